/** Lambda from exhaust gas, and what a gauge that shows an air-fuel ratio means on another fuel. */
import { type Solved, solved, unsolved } from './reason.ts';

/** Dry exhaust as a garage's analyser gives it: shares by volume [-], not per cent; HC as hexane. */
export interface ExhaustReading {
  readonly carbonDioxide: number;
  readonly carbonMonoxide: number;
  readonly oxygen: number;
  readonly hydrocarbonsAsHexane: number;
  readonly nitricOxide: number;
}

/** Petrol's atoms per carbon as the regulations take them [-]. Source: Brettschneider (1979); from memory. */
export const BRETTSCHNEIDER_PETROL = { hydrogenToCarbon: 1.7261, oxygenToCarbon: 0.0176 } as const;
const HEXANE_CARBON = 6;
const WATER_GAS = 3.5;

/**
 * Lambda from the composition of dry exhaust.
 *
 * @param reading shares by volume [-]
 * @param fuel atoms per carbon [-]
 * @returns lambda [-]. Reason: `input-out-of-range` without any carbon dioxide (air in the probe, or no combustion).
 * Source: Brettschneider, Bosch Technische Berichte 6 (1979) 177.
 */
export const lambdaFromExhaust = (
  reading: ExhaustReading,
  fuel: { readonly hydrogenToCarbon: number; readonly oxygenToCarbon: number } = BRETTSCHNEIDER_PETROL,
): Solved<number> => {
  const { carbonDioxide: co2, carbonMonoxide: co, oxygen, hydrocarbonsAsHexane: hc, nitricOxide } = reading;
  if (!(co2 > 0 && co >= 0 && oxygen >= 0 && hc >= 0 && nitricOxide >= 0)) {
    return unsolved('input-out-of-range', 'Lambda from exhaust needs carbon dioxide and no negative share.');
  }
  const h = fuel.hydrogenToCarbon / 4;
  const o = fuel.oxygenToCarbon / 2;
  const burnedCarbon = co2 + co;
  const used = co2 + co / 2 + oxygen + nitricOxide / 2 + (h * (WATER_GAS / (WATER_GAS + co / co2)) - o) * burnedCarbon;
  return solved(used / ((1 + h - o) * (burnedCarbon + HEXANE_CARBON * hc)));
};

/** Equivalence ratio [-] from lambda above 0 [-], phi = 1 / lambda; its own inverse. Definition. */
export const equivalenceRatio = (lambda: number): number => 1 / lambda;

/**
 * True air-fuel ratio [kg/kg] behind a gauge that shows one for another fuel: a wide-band sensor measures lambda.
 * Reading and both stoichiometric ratios [kg/kg]. Source: definition of lambda.
 */
export const trueAirFuelRatio = (
  shownAirFuelRatio: number,
  gaugeStoichiometricRatio: number,
  fuelStoichiometricRatio: number,
): number => (shownAirFuelRatio / gaugeStoichiometricRatio) * fuelStoichiometricRatio;
