/**
 * Fuels: what a tank holds, as one object that everything else reads.
 *
 * Pure liquids come from their formula and heat of formation; petrol is a stand-in CH1.87 whose heating value and
 * density are typical, since real petrol varies by some per cent. Densities at 20 degC, heats at 25 degC.
 */
import { fuelMolarMassPerCarbonKgPerMol, stoichiometricAirFuelRatioOf } from './burned-gas.ts';
import { type Solved, solved, unsolved } from './reason.ts';
import { ATOMIC_MASS_KG_PER_MOL as A } from './species.ts';

/** A liquid fuel. */
export interface Fuel {
  readonly name: string;
  readonly hydrogenToCarbon: number;
  readonly oxygenToCarbon: number;
  readonly stoichiometricAirFuelRatio: number;
  readonly lowerHeatingValueJPerKg: number;
  readonly latentHeatJPerKg: number;
  readonly densityKgPerM3: number;
  readonly researchOctane: number;
  readonly motorOctane: number;
  /** Mean molar mass [kg/mol]; blends weigh octane by mole. */
  readonly molarMassKgPerMol: number;
}

/** Heats of formation of the products [J/mol]. Source: CODATA key values; water as vapour. */
const CARBON_DIOXIDE_FORMATION_J_PER_MOL = -393_510;
const WATER_VAPOUR_FORMATION_J_PER_MOL = -241_826;

/** A compound CcHhOo. */
export interface Formula {
  readonly carbon: number;
  readonly hydrogen: number;
  readonly oxygen: number;
}

/** Molar mass [kg/mol] of a compound. Source: IUPAC abridged standard atomic weights 2021. */
export const molarMassKgPerMol = (formula: Formula): number =>
  formula.carbon * A.C + formula.hydrogen * A.H + formula.oxygen * A.O;

/** Oxygen by mass [kg/kg] in a compound. Definition. */
export const oxygenMassFraction = (formula: Formula): number => (formula.oxygen * A.O) / molarMassKgPerMol(formula);

/**
 * Lower heating value of a liquid from its heat of formation.
 *
 * @param formula the compound
 * @param formationJPerMol heat of formation of the liquid at 25 degC [J/mol]
 * @returns [J/kg]
 * Source: Hess's law with products carbon dioxide and water vapour.
 */
export const lowerHeatingValueFromFormationJPerKg = (formula: Formula, formationJPerMol: number): number =>
  (formationJPerMol -
    formula.carbon * CARBON_DIOXIDE_FORMATION_J_PER_MOL -
    (formula.hydrogen / 2) * WATER_VAPOUR_FORMATION_J_PER_MOL) /
  molarMassKgPerMol(formula);

const compound = (
  name: string,
  formula: Formula,
  formationJPerMol: number,
  vaporisationJPerMol: number,
  densityKgPerM3: number,
  researchOctane: number,
  motorOctane: number,
): Fuel => {
  const atoms = {
    hydrogenToCarbon: formula.hydrogen / formula.carbon,
    oxygenToCarbon: formula.oxygen / formula.carbon,
  };
  const molarMass = molarMassKgPerMol(formula);
  return {
    name,
    ...atoms,
    stoichiometricAirFuelRatio: stoichiometricAirFuelRatioOf(atoms),
    lowerHeatingValueJPerKg: lowerHeatingValueFromFormationJPerKg(formula, formationJPerMol),
    latentHeatJPerKg: vaporisationJPerMol / molarMass,
    densityKgPerM3,
    researchOctane,
    motorOctane,
    molarMassKgPerMol: molarMass,
  };
};

/**
 * Ethanol. Source: heat of formation ATcT 1.112, heat of vaporisation and density CRC Handbook (42.32 kJ/mol,
 * 789.3 kg/m3), octane Florian & Liming as collected by the chemicals library.
 */
export const ETHANOL: Fuel = compound(
  'ethanol',
  { carbon: 2, hydrogen: 6, oxygen: 1 },
  -277_030,
  42_320,
  789.3,
  108.6,
  89.7,
);

/** Methanol. Source: ATcT 1.112, CRC Handbook (37.43 kJ/mol, 791.4 kg/m3), octane Florian & Liming (chemicals library). */
export const METHANOL: Fuel = compound(
  'methanol',
  { carbon: 1, hydrogen: 4, oxygen: 1 },
  -238_400,
  37_430,
  791.4,
  108.7,
  88.6,
);

/** Toluene. Source: ATcT 1.112, CRC Handbook (38.01 kJ/mol), Lemmon & Span 2006 density, octane Florian & Liming (chemicals library). */
export const TOLUENE: Fuel = compound(
  'toluene',
  { carbon: 7, hydrogen: 8, oxygen: 0 },
  12_360,
  38_010,
  867.2,
  120.1,
  103.5,
);

/** Isooctane. Source: ATcT 1.112 heat of formation, CRC Handbook (35.14 kJ/mol, 691.9 kg/m3); octane by definition. */
export const ISOOCTANE: Fuel = compound(
  'isooctane',
  { carbon: 8, hydrogen: 18, oxygen: 0 },
  -258_800,
  35_140,
  691.9,
  100,
  100,
);

/** Normal heptane, the usual test fluid's main part. Source: ATcT 1.112, CRC (36.57 kJ/mol, 684 kg/m3); octane by definition. */
export const HEPTANE: Fuel = compound('n-heptane', { carbon: 7, hydrogen: 16, oxygen: 0 }, -223_910, 36_570, 684, 0, 0);

/** Mean carbon atoms of petrol's molecules [-]; only weighs octane in blends. Source: Heywood (1988) table D.4 (about 8). */
const PETROL_CARBON = 7.9;

/**
 * Petrol CH1.87 with given octane numbers.
 *
 * @param researchOctane RON [-]
 * @param motorOctane MON [-]
 * @returns a {@link Fuel} with 43.4 MJ/kg, 745 kg/m3 and 350 kJ/kg
 * Source: Heywood (1988) table D.4 (composition, latent heat; from memory); heating value and density typical of road
 * petrol, EN 228 allows 720 to 775 kg/m3.
 */
export const petrol = (researchOctane: number, motorOctane: number): Fuel => {
  const atoms = { hydrogenToCarbon: 1.87, oxygenToCarbon: 0 };
  return {
    name: `petrol RON ${researchOctane}`,
    ...atoms,
    stoichiometricAirFuelRatio: stoichiometricAirFuelRatioOf(atoms),
    lowerHeatingValueJPerKg: 43.4e6,
    latentHeatJPerKg: 350e3,
    densityKgPerM3: 745,
    researchOctane,
    motorOctane,
    molarMassKgPerMol: PETROL_CARBON * fuelMolarMassPerCarbonKgPerMol(atoms),
  };
};

/**
 * Petrol sold by anti-knock index, (RON + MON) / 2 [-].
 *
 * @param antiKnock AKI [-]
 * @param sensitivity RON less MON [-], 8 to 10 for road petrol
 * @returns a {@link Fuel}
 * Source: ASTM D4814 (definition of the index); sensitivity common practice.
 */
export const petrolByAntiKnockIndex = (antiKnock: number, sensitivity = 9): Fuel => ({
  ...petrol(antiKnock + sensitivity / 2, antiKnock - sensitivity / 2),
  name: `petrol AKI ${antiKnock}`,
});

/** Anti-knock index [-], (RON + MON) / 2. Source: ASTM D4814. */
export const antiKnockIndex = (fuel: Fuel): number => (fuel.researchOctane + fuel.motorOctane) / 2;

/** Energy per mass of stoichiometric air [J/kg air]: what a litre of air can burn. Definition. */
export const energyPerAirJPerKg = (fuel: Fuel): number =>
  fuel.lowerHeatingValueJPerKg / fuel.stoichiometricAirFuelRatio;

/** A part of a blend by volume before mixing. */
export interface BlendPart {
  readonly fuel: Fuel;
  readonly volumeFraction: number;
}

/**
 * One fuel from parts by volume. Volumes add (real alcohol blends swell by up to 0.3 %), heats add by mass, atoms by
 * mole, octane numbers by mole.
 *
 * @param parts fuels and volumes [-, any scale]; none negative, one or more above zero
 * @param name what to call it
 * @returns a {@link Fuel}. Reason: `input-out-of-range`.
 * Source: mass balance; octane by mole: Anderson et al., Energy & Fuels 24 (2010) 6576 (good to about 2 octane numbers
 * for ethanol, less for toluene).
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
  }
  if (volume === 0) return unsolved('input-out-of-range', 'A blend needs at least one fuel.');
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
  });
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
  fuelBlend(
    [
      { fuel: ETHANOL, volumeFraction: ethanolVolumeFraction },
      { fuel: base, volumeFraction: 1 - ethanolVolumeFraction },
    ],
    `E${Math.round(ethanolVolumeFraction * 100)} on ${base.name}`,
  );

/**
 * Petrol with toluene.
 *
 * @param tolueneVolumeFraction [-], 0 to 1
 * @param base the petrol
 * @returns a {@link Fuel}. Reason: `input-out-of-range`.
 * Source: {@link fuelBlend}; toluene's own octane numbers in a blend vary with the base.
 */
export const tolueneBlend = (tolueneVolumeFraction: number, base: Fuel): Solved<Fuel> =>
  fuelBlend(
    [
      { fuel: TOLUENE, volumeFraction: tolueneVolumeFraction },
      { fuel: base, volumeFraction: 1 - tolueneVolumeFraction },
    ],
    `${Math.round(tolueneVolumeFraction * 100)} % toluene in ${base.name}`,
  );
