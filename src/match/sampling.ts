/** Seeded samples of a build's uncertain inputs, as standard normal numbers. */
import { type ResolvedBuild, withSample } from '../car/index.ts';
import { expectSolved, MOST_DIMENSIONS, normalQuantile, scrambledSobol } from '../physics/index.ts';

/**
 * Rows `from` to `to` (not counted; all when absent) of `samples` rows of `inputs` standard normal numbers from scrambled
 * Sobol points; the same seed gives the same rows. Beyond the sequence's dimensions a second one with another seed goes on.
 */
export const normalSamples = (samples: number, inputs: number, seed: number, from = 0, to = samples): Float64Array => {
  const rows = Math.max(0, to - from);
  const out = new Float64Array(rows * inputs);
  for (let first = 0; first < inputs; first += MOST_DIMENSIONS) {
    const dimensions = Math.min(MOST_DIMENSIONS, inputs - first);
    const sequence = expectSolved(scrambledSobol(dimensions, seed + 7919 * (first / MOST_DIMENSIONS)));
    const point = new Float64Array(dimensions);
    for (let row = 0; row < from; row++) sequence.next(point);
    for (let row = 0; row < rows; row++) {
      sequence.next(point);
      for (let d = 0; d < dimensions; d++) out[row * inputs + first + d] = normalQuantile(point[d]!);
    }
  }
  return out;
};

/**
 * The sampled cars of a build: `normals` row by row in the order of `resolved.inputs`. `car` takes the number of the
 * sample, which must lie from `from` up to `to`.
 */
export const sampledCars = (resolved: ResolvedBuild, samples: number, seed: number, from = 0, to = samples) => {
  const inputs = resolved.inputs.length;
  const normals = normalSamples(samples, inputs, seed, from, to);
  return {
    inputs,
    normals,
    car: (index: number) =>
      withSample(resolved, normals.subarray((index - from) * inputs, (index - from + 1) * inputs)),
  };
};
