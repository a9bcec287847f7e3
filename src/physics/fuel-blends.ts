/**
 * Blends: any mix of fuels by volume as one fuel, with what its octane numbers are worth.
 *
 * Volumes are measured before mixing and add (real alcohol blends swell by up to 0.3 %), heats add by mass, atoms by
 * mole. Octane numbers add by mole: on that basis alcohols blend nearly in a straight line, by volume they do not.
 */
import { fuelMolarMassPerCarbonKgPerMol } from './burned-gas.ts';
import { ETHANOL, type Fuel, METHANOL, TOLUENE } from './fuels.ts';
import { type Solved, solved, unsolved } from './reason.ts';
import { VAPOUR_SPECIES, type VapourSpecies } from './species.ts';

/** A part of a blend by volume before mixing. */
export interface BlendPart {
  readonly fuel: Fuel;
  readonly volumeFraction: number;
}

/**
 * One fuel from parts by volume.
 *
 * @param parts fuels and volumes [-, any scale]; none negative, one or more above zero
 * @param name what to call it
 * @returns a {@link Fuel}. Reason: `input-out-of-range`.
 * Source: mass balance; octane by mole: Anderson et al., Energy & Fuels 24 (2010) 6576; how far it holds:
 * {@link octaneBlendingSpread}.
 */
export const fuelBlend = (parts: readonly BlendPart[], name: string): Solved<Fuel> => {
  let volume = 0;
  let mass = 0;
  let moles = 0;
  let carbon = 0;
  let hydrogen = 0;
  let oxygen = 0;
  let air = 0;
  let heat = 0;
  let latent = 0;
  let research = 0;
  let motor = 0;
  const vapour: Partial<Record<VapourSpecies, number>> = {};
  for (const { fuel, volumeFraction } of parts) {
    if (!(volumeFraction >= 0 && volumeFraction < Number.POSITIVE_INFINITY)) {
      return unsolved('input-out-of-range', `The share of ${fuel.name} is ${volumeFraction}; it cannot be negative.`);
    }
    const m = volumeFraction * fuel.densityKgPerM3;
    const n = m / fuel.molarMassKgPerMol;
    const c = m / fuelMolarMassPerCarbonKgPerMol(fuel);
    volume += volumeFraction;
    mass += m;
    moles += n;
    carbon += c;
    hydrogen += c * fuel.hydrogenToCarbon;
    oxygen += c * fuel.oxygenToCarbon;
    air += m * fuel.stoichiometricAirFuelRatio;
    heat += m * fuel.lowerHeatingValueJPerKg;
    latent += m * fuel.latentHeatJPerKg;
    research += n * fuel.researchOctane;
    motor += n * fuel.motorOctane;
    for (const species of VAPOUR_SPECIES) {
      const own = fuel.vapourMolPerKg[species] ?? 0;
      if (m * own > 0) vapour[species] = (vapour[species] ?? 0) + m * own;
    }
  }
  if (!(mass > 0)) return unsolved('input-out-of-range', 'A blend needs at least one fuel.');
  for (const species of VAPOUR_SPECIES) if (vapour[species] !== undefined) vapour[species] = vapour[species] / mass;
  return solved({
    name,
    hydrogenToCarbon: hydrogen / carbon,
    oxygenToCarbon: oxygen / carbon,
    stoichiometricAirFuelRatio: air / mass,
    lowerHeatingValueJPerKg: heat / mass,
    latentHeatJPerKg: latent / mass,
    densityKgPerM3: mass / volume,
    researchOctane: research / moles,
    motorOctane: motor / moles,
    molarMassKgPerMol: mass / moles,
    vapourMolPerKg: vapour,
  });
};

/** Shares by volume before mixing [-]; the rest is petrol. */
export interface BlendShares {
  readonly ethanol: number;
  readonly methanol: number;
  readonly toluene: number;
}

const percent = (share: number): string => `${Number((100 * share).toFixed(1))}`;

/** What a blend is called: `E85 on petrol RON 95`, `20 % toluene in petrol AKI 93`, `methanol`. Source: trade names (ASTM D5798 for Exx). */
export const blendName = ({ ethanol, methanol, toluene }: BlendShares, base: string): string => {
  const rest = 1 - ethanol - methanol - toluene;
  const names = [
    ...(ethanol > 0 ? [[ethanol, 'ethanol', `E${percent(ethanol)}`] as const] : []),
    ...(methanol > 0 ? [[methanol, 'methanol', `M${percent(methanol)}`] as const] : []),
    ...(toluene > 0 ? [[toluene, 'toluene', null] as const] : []),
  ];
  if (names.length === 0) return base;
  const [only] = names;
  if (names.length === 1 && only) {
    if (rest < 1e-9) return only[1];
    if (only[2] !== null) return `${only[2]} on ${base}`;
  }
  const list = names.map(([share, name]) => `${percent(share)} % ${name}`).join(', ');
  return rest < 1e-9 ? list : `${list} in ${base}`;
};

/**
 * Petrol with ethanol, methanol and toluene, any of them.
 *
 * @param shares by volume before mixing [-], each 0 to 1, together no more than 1
 * @param base the petrol
 * @returns a {@link Fuel}. Reason: `input-out-of-range`.
 * Source: {@link fuelBlend}.
 */
export const petrolBlend = (shares: BlendShares, base: Fuel): Solved<Fuel> => {
  const rest = 1 - shares.ethanol - shares.methanol - shares.toluene;
  if (!(rest >= -1e-9)) {
    return unsolved('input-out-of-range', 'Shares by volume add up to 100 % at most; the rest is petrol.');
  }
  return fuelBlend(
    [
      { fuel: ETHANOL, volumeFraction: shares.ethanol },
      { fuel: METHANOL, volumeFraction: shares.methanol },
      { fuel: TOLUENE, volumeFraction: shares.toluene },
      { fuel: base, volumeFraction: Math.max(0, rest) },
    ],
    blendName(shares, base.name),
  );
};

/**
 * Petrol with ethanol.
 *
 * @param ethanolVolumeFraction [-], 0 to 1; 0.85 is E85
 * @param base the petrol
 * @returns a {@link Fuel}. Reason: `input-out-of-range`.
 * Source: {@link fuelBlend}.
 */
export const ethanolBlend = (ethanolVolumeFraction: number, base: Fuel): Solved<Fuel> =>
  petrolBlend({ ethanol: ethanolVolumeFraction, methanol: 0, toluene: 0 }, base);

/**
 * Petrol with methanol.
 *
 * @param methanolVolumeFraction [-], 0 to 1; 0.15 is M15
 * @param base the petrol
 * @returns a {@link Fuel}. Reason: `input-out-of-range`.
 * Source: {@link fuelBlend}.
 */
export const methanolBlend = (methanolVolumeFraction: number, base: Fuel): Solved<Fuel> =>
  petrolBlend({ ethanol: 0, methanol: methanolVolumeFraction, toluene: 0 }, base);

/**
 * Petrol with toluene.
 *
 * @param tolueneVolumeFraction [-], 0 to 1
 * @param base the petrol
 * @returns a {@link Fuel}. Reason: `input-out-of-range`.
 * Source: {@link fuelBlend}; toluene's own octane numbers in a blend vary with the base.
 */
export const tolueneBlend = (tolueneVolumeFraction: number, base: Fuel): Solved<Fuel> =>
  petrolBlend({ ethanol: 0, methanol: 0, toluene: tolueneVolumeFraction }, base);

/** Shares of a blend by mole [-]: what its octane numbers are weighed by. Source: mass balance; shares by volume, densities at 20 degC. */
export const moleShares = (shares: BlendShares, base: Fuel): BlendShares & { readonly petrol: number } => {
  const moles = (fuel: Fuel, volume: number) => (volume * fuel.densityKgPerM3) / fuel.molarMassKgPerMol;
  const ethanol = moles(ETHANOL, shares.ethanol);
  const methanol = moles(METHANOL, shares.methanol);
  const toluene = moles(TOLUENE, shares.toluene);
  const petrol = moles(base, Math.max(0, 1 - shares.ethanol - shares.methanol - shares.toluene));
  const all = ethanol + methanol + toluene + petrol;
  return { ethanol: ethanol / all, methanol: methanol / all, toluene: toluene / all, petrol: petrol / all };
};

/** One standard deviation of RON and MON [-] that blending itself brings. */
export interface OctaneSpread {
  readonly researchOctane: number;
  readonly motorOctane: number;
}

/**
 * How far octane numbers by mole may be off [-]: nothing for a part alone, most near the middle, as k x (1 - x) with the
 * share by mole x.
 *
 * Alcohol: k = 8 (petrols answer between straight and 8 above it near the middle: Anderson & Wallington, Energy & Fuels
 * 34 (2020), interaction term Z; size from memory). Toluene: k = 18 for RON and 28 for MON, which covers the toluene
 * standardization fuels of ASTM D2699 and D2700 (from memory); real blends of much toluene come out below the straight line.
 *
 * @param shares by volume [-]
 * @param base the petrol
 * @returns an {@link OctaneSpread}
 * Source: as named.
 */
export const octaneBlendingSpread = (shares: BlendShares, base: Fuel): OctaneSpread => {
  const x = moleShares(shares, base);
  const alcohol = x.ethanol + x.methanol;
  const fromAlcohol = 8 * alcohol * (1 - alcohol) * 0.7;
  const bend = x.toluene * (1 - x.toluene);
  return {
    researchOctane: Math.hypot(fromAlcohol, 18 * bend),
    motorOctane: Math.hypot(fromAlcohol, 28 * bend),
  };
};
