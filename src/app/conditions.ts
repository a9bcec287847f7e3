/** The air outside that a prediction is made for. */
import { type Conditions, STANDARD_CONDITIONS } from '../match/index.ts';
import { BadInput } from './problems.ts';

const LIMITS = {
  ambientPressurePa: [50_000, 110_000, 'the pressure outside', 'Pa'],
  ambientTemperatureK: [230, 330, 'the temperature outside', 'K'],
  relativeHumidity: [0, 1, 'the relative humidity', '(1 = 100 %)'],
} as const satisfies Record<keyof Conditions, readonly [number, number, string, string]>;

/**
 * Standard air (ISO 2533:1975, dry) with what was given put in.
 * @throws BadInput where a value is outside what the model covers.
 */
export const conditionsFrom = (given: Partial<Conditions> = {}): Conditions => {
  const conditions = { ...STANDARD_CONDITIONS, ...given };
  for (const key of Object.keys(LIMITS) as (keyof Conditions)[]) {
    const [low, high, what, unit] = LIMITS[key];
    const value = conditions[key];
    if (!(value >= low && value <= high)) {
      throw new BadInput(
        'bad-conditions',
        `${what[0]?.toUpperCase()}${what.slice(1)} must lie between ${low} and ${high} ${unit}, and ${Number.isFinite(value) ? Number(value.toPrecision(5)) : 'what was given is no number'}${Number.isFinite(value) ? ' was given' : ''}.`,
      );
    }
  }
  return conditions;
};
