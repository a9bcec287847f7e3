/** Plus-minus of what no build sheet says, sampled beside the sheet's own inputs. */
import { type Car, type ResolvedBuild, withSample } from '../../car/index.ts';
import { normalSamples } from '../sampling.ts';
import { type TransientNumbers, USUAL_NUMBERS } from './air-path.ts';

/** One standard deviation of ln(value); of the value itself for the forecast's error. Common practice, no source. */
const SPREADS: Readonly<Record<keyof TransientNumbers, number>> = {
  ductLengthM: 0.3,
  throttleLagS: 0.3,
  wastegateLagS: 0.35,
  controlGain: 0.5,
  controlPerS: 0.5,
  controlAheadS: 0.6,
  controlGate: 0.4,
  forecastError: 0.1,
  mixtureLagS: 0.4,
  bypassCrackPa: 0.35,
  bypassLagS: 0.35,
};
const NAMES = Object.keys(SPREADS) as (keyof TransientNumbers)[];

/** How hard the cruise before the pedal pulls over the level road's need: grade, wind, and a foot that is not steady (ln). */
const CRUISE_SPREAD = 0.35;

export interface SampledRun {
  readonly car: Car;
  readonly numbers: TransientNumbers;
  /** Factor on the cruise torque. */
  readonly cruise: number;
}

/** Draws of car and unsaid numbers together; the same build and seed give the same draws, row by row. */
export const sampledRuns = (resolved: ResolvedBuild, samples: number, seed: number) => {
  const inputs = resolved.inputs.length;
  const width = inputs + NAMES.length + 1;
  const normals = normalSamples(samples, width, seed);
  return (index: number): SampledRun => {
    const row = normals.subarray(index * width, (index + 1) * width);
    const numbers = { ...USUAL_NUMBERS } as { -readonly [K in keyof TransientNumbers]: number };
    NAMES.forEach((name, i) => {
      const z = row[inputs + i]!;
      if (name === 'forecastError') numbers[name] = SPREADS[name] * z;
      else numbers[name] = USUAL_NUMBERS[name] * Math.exp(SPREADS[name] * z);
    });
    return {
      car: withSample(resolved, row.subarray(0, inputs)),
      numbers,
      cruise: Math.exp(CRUISE_SPREAD * row[inputs + NAMES.length]!),
    };
  };
};
