/** Sampled shares of a blend carry the properties that follow from them along: a leaner share of ethanol asks for more air and gives more heat. */
import type { Car } from './car.ts';
import { type BlendedFuel, blendedFuel, fuelSharesOf, soldFor } from './fuel-composition.ts';

/** Properties of the fuel that move with its shares unless somebody typed them; names of the sheet. */
export const SHARED_PROPERTIES = [
  'researchOctane',
  'motorOctane',
  'lowerHeatingValue',
  'stoichiometricAirFuelRatio',
  'density',
  'latentHeat',
] as const;

const PLACES = {
  lowerHeatingValue: 'lowerHeatingValueJPerKg',
  stoichiometricAirFuelRatio: 'stoichiometricAirFuelRatio',
  density: 'densityKgPerM3',
  latentHeat: 'latentHeatJPerKg',
} as const;

const blendOf = (car: Pick<Car, 'fuel' | 'facts'>): BlendedFuel | null => {
  const shares = fuelSharesOf(car);
  return shares === null ? null : blendedFuel(shares, soldFor(car.facts, shares));
};

/**
 * Moves the properties of `moved` that follow from its shares by as much as the shares of `best` and `moved` differ.
 * Octane numbers of petrol sold by them stay: its ethanol is in them already.
 */
export const followShares = (
  best: Pick<Car, 'fuel' | 'facts'>,
  moved: { fuel: Car['fuel']; facts: Car['facts'] },
): void => {
  const { ethanolContent, methanolContent, tolueneContent } = best.fuel;
  if (
    moved.fuel.ethanolContent === ethanolContent &&
    moved.fuel.methanolContent === methanolContent &&
    moved.fuel.tolueneContent === tolueneContent
  ) {
    return;
  }
  const before = blendOf(best);
  const after = blendOf(moved);
  if (before === null || after === null) return;
  const { fuelFollowsShares, fuelKind } = best.facts;
  const fuel = { ...moved.fuel };
  for (const name of Object.keys(PLACES) as (keyof typeof PLACES)[]) {
    const place = PLACES[name];
    if (fuelFollowsShares.includes(name)) fuel[place] *= after.fuel[place] / before.fuel[place];
  }
  if (fuelKind === 'blend' || fuelKind === 'ethanol blend') {
    for (const name of ['researchOctane', 'motorOctane'] as const) {
      if (fuelFollowsShares.includes(name)) fuel[name] += after.fuel[name] - before.fuel[name];
    }
  }
  moved.fuel = fuel;
};
