/** Fuel properties that nobody typed, by kind of fuel. */
import type { Build } from './build-schema.ts';
import type { Estimate, Known } from './estimates.ts';

interface PureFuel {
  readonly researchOctane: number;
  readonly motorOctane: number;
  readonly lowerHeatingValue: number;
  readonly stoichiometricAirFuelRatio: number;
  readonly density: number;
  readonly latentHeat: number;
}

/** Petrol: usual European premium (EN 228 limits; middle values common practice, no source). */
const PETROL: PureFuel = {
  researchOctane: 95,
  motorOctane: 85,
  lowerHeatingValue: 42.9e6,
  stoichiometricAirFuelRatio: 14.6,
  density: 745,
  latentHeat: 350e3,
};
/** CRC Handbook density and latent heat; heats of formation ATcT; octane Florian & Liming. */
const ETHANOL: PureFuel = {
  researchOctane: 108.6,
  motorOctane: 89.7,
  lowerHeatingValue: 26.82e6,
  stoichiometricAirFuelRatio: 9.0,
  density: 789.3,
  latentHeat: 924e3,
};
const METHANOL: PureFuel = {
  researchOctane: 108.7,
  motorOctane: 88.6,
  lowerHeatingValue: 19.94e6,
  stoichiometricAirFuelRatio: 6.474,
  density: 791.4,
  latentHeat: 1168e3,
};
/** EN 590 middle values (from memory); octane has no meaning for it. */
const DIESEL: PureFuel = {
  researchOctane: 60,
  motorOctane: 60,
  lowerHeatingValue: 42.8e6,
  stoichiometricAirFuelRatio: 14.5,
  density: 832,
  latentHeat: 270e3,
};

const PURE: Readonly<Record<Build['fuel']['kind'], PureFuel>> = {
  petrol: PETROL,
  'ethanol blend': PETROL,
  methanol: METHANOL,
  diesel: DIESEL,
};

const SPREAD: Readonly<Record<keyof PureFuel, number>> = {
  researchOctane: 0.015,
  motorOctane: 0.015,
  lowerHeatingValue: 0.01,
  stoichiometricAirFuelRatio: 0.01,
  density: 0.015,
  latentHeat: 0.08,
};

/** Mass-weighted blend of the base fuel with ethanol by volume; octane by volume (an approximation good to 2 numbers). */
export const fuelEstimates = (build: Build): Estimate[] =>
  (Object.keys(SPREAD) as (keyof PureFuel)[]).map((name) => ({
    group: 'fuel' as const,
    name,
    relative: SPREAD[name],
    why: `usual ${build.fuel.kind}`,
    valueSi: (known: Known) => {
      const base = PURE[build.fuel.kind];
      // Pump petrol's few per cent of ethanol are inside its usual values already.
      const byVolume = build.fuel.kind === 'ethanol blend' ? known('fuel', 'ethanolContent') : 0;
      const ethanolMass = byVolume * ETHANOL.density;
      const byMass = ethanolMass / (ethanolMass + (1 - byVolume) * base.density);
      const share = name === 'density' || name === 'researchOctane' || name === 'motorOctane' ? byVolume : byMass;
      return share * ETHANOL[name] + (1 - share) * base[name];
    },
  }));
