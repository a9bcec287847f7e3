/** Plus-minus of what no build sheet says, sampled beside the sheet's own inputs. */
import { type Car, type Input, type ResolvedBuild, withSample } from '../../car/index.ts';
import { normalSamples } from '../sampling.ts';
import { type TransientNumbers, USUAL_NUMBERS } from './air-path.ts';
import { CORE_START_OVER_AMBIENT_K } from './start.ts';

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
/** How much warmer than outside the cooler's core is at the pedal: by what came before, half to twice the usual (ln). */
const START_CORE_SPREAD = 0.7;

const ABOUT: Readonly<Record<keyof TransientNumbers, string>> = {
  ductLengthM: 'Length of the charge path',
  throttleLagS: 'Lag of the throttle',
  wastegateLagS: 'Lag of the wastegate',
  controlGain: 'Boost control, gain',
  controlPerS: 'Boost control, integral',
  controlAheadS: 'Boost control, look ahead',
  controlGate: 'Boost control, where it takes over',
  forecastError: 'Boost control, error of its forecast',
  mixtureLagS: 'Lag of the mixture',
  bypassCrackPa: 'Bypass valve, pressure at which it opens',
  bypassLagS: 'Lag of the bypass valve',
};

/** What is sampled beside the sheet's inputs, in the order of the columns after theirs; one standard deviation each. */
export const UNSAID_INPUTS: readonly Input[] = [
  ...NAMES.map((name) => ({ path: `unsaid.${name}`, about: ABOUT[name], sdSi: SPREADS[name] })),
  { path: 'unsaid.cruise', about: 'How hard the cruise before the pedal pulls', sdSi: CRUISE_SPREAD },
  { path: 'unsaid.startCore', about: 'How warm the charge cooler is at the pedal', sdSi: START_CORE_SPREAD },
].map((input) => ({ ...input, unit: '%', valueSi: 1, source: 'estimate', estimated: true }) as const);

/** What no sheet says of one run. */
export interface Unsaid {
  readonly numbers: Partial<TransientNumbers>;
  /** Factor on the cruise torque. */
  readonly cruise: number;
  /** Core of the charge cooler over outside air at the pedal [K]. */
  readonly startCoreOverK: number;
}
/** What no build sheet says, at its best estimate. */
export const USUAL_UNSAID: Unsaid = { numbers: {}, cruise: 1, startCoreOverK: CORE_START_OVER_AMBIENT_K };

export interface SampledRun extends Unsaid {
  readonly car: Car;
}

/** Draws of car and unsaid numbers together; the same build and seed give the same draws, row by row. */
export const sampledRuns = (resolved: ResolvedBuild, samples: number, seed: number) => {
  const inputs = resolved.inputs.length;
  const width = inputs + UNSAID_INPUTS.length;
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
      startCoreOverK: CORE_START_OVER_AMBIENT_K * Math.exp(START_CORE_SPREAD * row[inputs + NAMES.length + 1]!),
    };
  };
};
