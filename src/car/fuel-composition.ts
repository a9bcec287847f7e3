/**
 * What a car's fuel is made of, and what follows from it.
 *
 * Shares are by volume in the fuel as it is in the tank; the rest is petrol. Petrol as sold may hold ethanol itself and
 * carries its own octane numbers, so a blend made of pump petrol is weighed with those.
 */
import {
  type BlendShares,
  blendName,
  ETHANOL,
  expectSolved,
  type Fuel,
  type FuelAtoms,
  fuelBlend,
  METHANOL,
  octaneBlendingSpread,
  petrol,
  petrolBlend,
  TOLUENE,
} from '../physics/index.ts';
import type { Car, CarFacts } from './car.ts';

/**
 * Petrol without alcohol as the car room takes it: CH1.87 with 42.9 MJ/kg. Source: heating value of certification petrol
 * without ethanol, from fuel flow, torque and efficiency of US EPA test-cell tables (42.9 to 43.0); EN 228 for the density.
 */
const PETROL_FACTS = { lowerHeatingValueJPerKg: 42.9e6 } as const;

/** Petrol as sold: its octane numbers and how much ethanol is in it. */
export interface PetrolAsSold {
  readonly researchOctane: number;
  readonly motorOctane: number;
  /** By volume [-]. */
  readonly ethanolContent: number;
}

/** Usual European premium (EN 228), taken where nobody says. */
export const USUAL_PETROL: PetrolAsSold = { researchOctane: 95, motorOctane: 85, ethanolContent: 0 };

const held = (share: number): number => Math.min(1, Math.max(0, share));

/** Shares of a car's fuel by volume [-]; null for diesel. Together never above 1, whatever a sample does. */
export const fuelSharesOf = (car: {
  readonly fuel: Pick<Car['fuel'], 'ethanolContent' | 'methanolContent' | 'tolueneContent'>;
  readonly facts: Pick<CarFacts, 'fuelKind'>;
}): BlendShares | null => {
  const { fuel, facts } = car;
  if (facts.fuelKind === 'diesel') return null;
  if (facts.fuelKind === 'methanol') return { ethanol: 0, methanol: 1, toluene: 0 };
  const ethanol = held(fuel.ethanolContent);
  const methanol = held(fuel.methanolContent);
  const toluene = held(fuel.tolueneContent);
  const over = Math.max(1, ethanol + methanol + toluene);
  return { ethanol: ethanol / over, methanol: methanol / over, toluene: toluene / over };
};

/** Parts of a blend as they are poured: pump petrol with its own ethanol, and what is added. By volume [-]. */
export interface PouredParts {
  readonly petrolAsSold: number;
  readonly ethanol: number;
  readonly methanol: number;
  readonly toluene: number;
}

/** How much of each goes in for the shares of the finished fuel; ethanol below zero means that the petrol brings too much. */
export const pouredParts = (shares: BlendShares, sold: Pick<PetrolAsSold, 'ethanolContent'>): PouredParts => {
  const hydrocarbon = 1 - shares.ethanol - shares.methanol - shares.toluene;
  const petrolAsSold = sold.ethanolContent < 1 ? Math.max(0, hydrocarbon) / (1 - sold.ethanolContent) : 0;
  return { ...shares, petrolAsSold, ethanol: shares.ethanol - petrolAsSold * sold.ethanolContent };
};

const petrolName = ({ researchOctane, ethanolContent }: PetrolAsSold): string =>
  `petrol RON ${Number(researchOctane.toFixed(1))}${ethanolContent > 0 ? ` (E${Math.round(100 * ethanolContent)})` : ''}`;

/** A blend as one fuel, and one standard deviation of its octane numbers from blending alone. */
export interface BlendedFuel {
  readonly fuel: Fuel;
  readonly octaneSpread: { readonly researchOctane: number; readonly motorOctane: number };
  /** Share of the petrol as sold by mole [-]: how much of its own octane uncertainty is left. */
  readonly petrolByMole: number;
}

/** The fuel that has the shares; octane numbers by mole from those of the petrol as sold. */
export const blendedFuel = (shares: BlendShares, sold: PetrolAsSold): BlendedFuel => {
  const hydrocarbon = petrol(sold.researchOctane, sold.motorOctane, PETROL_FACTS);
  const poured = pouredParts(shares, sold);
  const added = { ethanol: Math.max(0, poured.ethanol), methanol: shares.methanol, toluene: shares.toluene };
  const pump: Fuel = {
    ...expectSolved(petrolBlend({ ethanol: sold.ethanolContent, methanol: 0, toluene: 0 }, hydrocarbon)),
    name: petrolName(sold),
    researchOctane: sold.researchOctane,
    motorOctane: sold.motorOctane,
  };
  const parts = [
    { fuel: ETHANOL, volumeFraction: added.ethanol },
    { fuel: METHANOL, volumeFraction: added.methanol },
    { fuel: TOLUENE, volumeFraction: added.toluene },
    { fuel: pump, volumeFraction: Math.max(0, poured.petrolAsSold) },
  ];
  const moles = parts.map(
    ({ fuel, volumeFraction }) => (volumeFraction * fuel.densityKgPerM3) / fuel.molarMassKgPerMol,
  );
  const all = moles.reduce((sum, n) => sum + n, 0);
  return {
    fuel: expectSolved(fuelBlend(parts, blendName(added, pump.name))),
    octaneSpread: octaneBlendingSpread(added, pump),
    petrolByMole: (moles[3] ?? 0) / all,
  };
};

/** The petrol that a car's fuel starts from: petrol sold as such has its ethanol in its octane numbers already. */
export const soldFor = (facts: Pick<CarFacts, 'fuelKind' | 'petrolAsSold'>, shares: BlendShares): PetrolAsSold =>
  facts.fuelKind === 'petrol' ? { ...facts.petrolAsSold, ethanolContent: shares.ethanol } : facts.petrolAsSold;

/** Diesel as one fuel: EN 590 middle values (from memory); octane has no meaning for it. */
export const DIESEL: Fuel = {
  ...petrol(60, 60, {
    hydrogenToCarbon: 1.8,
    lowerHeatingValueJPerKg: 42.8e6,
    latentHeatJPerKg: 270e3,
    densityKgPerM3: 832,
  }),
  name: 'diesel',
};

/** Shares in steps [-], so that the samples of one car share what is kept by them. */
export const steppedShares = (shares: BlendShares, step: number): BlendShares => {
  const round = (share: number) => Math.round(share / step) * step;
  const [ethanol, methanol, toluene] = [round(shares.ethanol), round(shares.methanol), round(shares.toluene)];
  const over = Math.max(1, ethanol + methanol + toluene);
  return { ethanol: ethanol / over, methanol: methanol / over, toluene: toluene / over };
};

/**
 * The fuel of a car by its composition: atoms, heats, density, octane, vapour. Properties that the sheet states (heating
 * value, air-fuel ratio ...) stand in `car.fuel`; this says what the composition gives. `shareStep` rounds the shares by
 * volume [-] for whoever keeps something by them.
 */
export const fuelCompositionOf = (car: Pick<Car, 'fuel' | 'facts'>, shareStep?: number): Fuel => {
  const shares = fuelSharesOf(car);
  if (shares === null) return DIESEL;
  const asked = shareStep === undefined ? shares : steppedShares(shares, shareStep);
  return blendedFuel(asked, soldFor(car.facts, asked)).fuel;
};

/** Hydrogen and oxygen per carbon of a car's fuel [-], shares by volume in hundredths: what a car gets does not depend on which came before. */
export const fuelAtomsOf = (car: Pick<Car, 'fuel' | 'facts'>): FuelAtoms => {
  const { hydrogenToCarbon, oxygenToCarbon } = fuelCompositionOf(car, 0.01);
  return { hydrogenToCarbon, oxygenToCarbon };
};
