/** What the readings of two pulls differ by at the same engine speed, with what a sensor does not repeat. */
import { NORMAL_90 } from '../power/index.ts';
import type { Band } from '../types.ts';
import type { Common } from './common.ts';
import { normalBand } from './power-difference.ts';
import type { BasisReading, BasisReadings, ComparedReading, PullBasis, ReadingName } from './types.ts';

/**
 * What a sensor that reads alike from one pull to the next still does not repeat, one standard deviation, SI: about a fifth
 * of the accuracy that its kind is sold with (common practice, no source). Set values (timing, duty, retard) repeat.
 */
const REPEATS_TO: Readonly<Partial<Record<ReadingName, number>>> = {
  boost: 400,
  'manifold-pressure': 400,
  'compressor-outlet-pressure': 500,
  'exhaust-pressure': 1500,
  'barometric-pressure': 150,
  'charge-temperature': 0.7,
  'intake-temperature': 0.7,
  'ambient-temperature': 0.7,
  'compressor-outlet-temperature': 1,
  'exhaust-temperature': 6,
  'coolant-temperature': 0.7,
  'oil-temperature': 0.7,
  'oil-pressure': 4e3,
  'fuel-pressure': 2e3,
  lambda: 0.003,
  'air-flow': 0.0005,
  'battery-voltage': 0.05,
  'shaft-speed': 200,
};

const absoluteBarometerSd = (basis: PullBasis, name: ReadingName): number => {
  const entersHere = basis.manifoldPressureIsGauge ? name === 'manifold-pressure' : name === 'boost';
  return entersHere ? basis.air.barometricPressureSdPa : 0;
};

/** One standard deviation of the difference of two means of a channel. */
const readingDifferenceSd = (
  name: ReadingName,
  one: BasisReading,
  two: BasisReading,
  first: PullBasis,
  second: PullBasis,
  common: Common,
): number => {
  if (common.sameReadings) return 0;
  const barometer = common.sameLog
    ? 0
    : Math.hypot(absoluteBarometerSd(first, name), absoluteBarometerSd(second, name));
  return Math.hypot(one.sd, two.sd, (REPEATS_TO[name] ?? 0) * Math.SQRT2, barometer);
};

/** All readings that both rows have, the second less the first. */
export const comparedReadings = (
  one: BasisReadings,
  two: BasisReadings,
  first: PullBasis,
  second: PullBasis,
  common: Common,
): Partial<Record<ReadingName, ComparedReading>> => {
  const compared: Partial<Record<ReadingName, ComparedReading>> = {};
  for (const name of Object.keys(one.values) as ReadingName[]) {
    const [a, b] = [one.values[name], two.values[name]];
    if (!a || !b) continue;
    const difference = normalBand(b.mean - a.mean, readingDifferenceSd(name, a, b, first, second, common));
    compared[name] = { first: a.mean, second: b.mean, difference };
  }
  return compared;
};

/** One standard deviation behind a normal band. */
export const sdOf = ({ p10, p90 }: Band): number => (p90 - p10) / (2 * NORMAL_90);
