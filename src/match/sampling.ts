/** Seeded samples of a build's uncertain inputs, as standard normal numbers. */
import { type ResolvedBuild, withSample } from '../car/index.ts';
import { expectSolved, MOST_DIMENSIONS, normalQuantile, scrambledSobol } from '../physics/index.ts';

/**
 * `samples` rows of `inputs` standard normal numbers from scrambled Sobol points; the same seed gives the same rows.
 * Beyond the sequence's dimensions a second one with another seed goes on.
 */
export const normalSamples = (samples: number, inputs: number, seed: number): Float64Array => {
  const out = new Float64Array(samples * inputs);
  for (let from = 0; from < inputs; from += MOST_DIMENSIONS) {
    const dimensions = Math.min(MOST_DIMENSIONS, inputs - from);
    const sequence = expectSolved(scrambledSobol(dimensions, seed + 7919 * (from / MOST_DIMENSIONS)));
    const point = new Float64Array(dimensions);
    for (let row = 0; row < samples; row++) {
      sequence.next(point);
      for (let d = 0; d < dimensions; d++) out[row * inputs + from + d] = normalQuantile(point[d]!);
    }
  }
  return out;
};

/** The sampled cars of a build: `normals` row by row in the order of `resolved.inputs`. */
export const sampledCars = (resolved: ResolvedBuild, samples: number, seed: number) => {
  const inputs = resolved.inputs.length;
  const normals = normalSamples(samples, inputs, seed);
  return {
    inputs,
    normals,
    car: (index: number) => withSample(resolved, normals.subarray(index * inputs, (index + 1) * inputs)),
  };
};
