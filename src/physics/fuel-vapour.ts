/**
 * Fuel as vapour, and charge made of air and fuel vapour: mixtures of `gas.ts`, so that cp(T), h(T), s(T) and the ratio of
 * specific heats of the unburned charge come from the same laws as those of burned gas.
 */
import type { Fuel } from './fuels.ts';
import { type Composition, type Gas, gasMixture } from './gas.ts';
import { type Solved, unsolved } from './reason.ts';

/**
 * Vapour of a fuel.
 *
 * @param fuel petrol, alcohol or blend
 * @returns a {@link Gas}, 200 to 3500 K by its polynomials; vapour cracks above some 900 K. Reason: `input-out-of-range`.
 * Source: NASA TM-4513 polynomials; petrol as toluene and isooctane with its hydrogen per carbon.
 */
export const fuelVapour = (fuel: Fuel): Solved<Gas> => gasMixture(fuel.vapourMolPerKg);

/**
 * Air with a fuel's vapour in it: the charge before it burns.
 *
 * @param air moles of the air's species in any unit, humid air with its H2O
 * @param airMolarMassKgPerMol of that air [kg/mol]
 * @param fuel petrol, alcohol or blend
 * @param fuelPerAir mass of vapour per mass of that air [kg/kg], 0 or more
 * @returns a {@link Gas}. Reason: `input-out-of-range`.
 * Source: ideal mixture; {@link fuelVapour}.
 */
export const chargeWithVapour = (
  air: Composition,
  airMolarMassKgPerMol: number,
  fuel: Fuel,
  fuelPerAir: number,
): Solved<Gas> => {
  if (!(fuelPerAir >= 0 && fuelPerAir < Number.POSITIVE_INFINITY)) {
    return unsolved('input-out-of-range', `Fuel per air is 0 or more; got ${fuelPerAir}.`);
  }
  const moles = Object.values(air).reduce((sum, share) => sum + share, 0);
  const mass = moles * airMolarMassKgPerMol * fuelPerAir;
  const mixed: Record<string, number> = { ...air };
  for (const [species, perKg] of Object.entries(fuel.vapourMolPerKg)) {
    mixed[species] = (mixed[species] ?? 0) + mass * perKg;
  }
  return gasMixture(mixed);
};
