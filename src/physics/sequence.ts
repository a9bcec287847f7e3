/**
 * Quasi-random points: a Sobol sequence with Owen's scrambling, seeded and repeatable, and the normal quantile that
 * turns its coordinates into spreads.
 *
 * Take counts that are powers of two where you can: the sequence is then balanced in every dimension. Points of one
 * seed are one sample; error bars come from several seeds.
 */
import { type Solved, solved, unsolved } from './reason.ts';
import { SOBOL_DIRECTIONS } from './sobol-directions.ts';

const BITS = 32;

/** Most dimensions [-] that the table of direction numbers holds. Source: Joe & Kuo (2008), cut here. */
export const MOST_DIMENSIONS = SOBOL_DIRECTIONS.length + 1;

/** Direction numbers of each dimension, most significant bit first. */
const directionsOf = (dimensions: number): Uint32Array[] => {
  const first = new Uint32Array(BITS);
  for (let bit = 0; bit < BITS; bit++) first[bit] = 2 ** (BITS - 1 - bit);
  const all = [first];
  for (let d = 1; d < dimensions; d++) {
    const { polynomial, initial } = SOBOL_DIRECTIONS[d - 1]!;
    const degree = initial.length;
    const v = new Uint32Array(BITS);
    for (let bit = 0; bit < BITS; bit++) {
      if (bit < degree) {
        v[bit] = initial[bit]! * 2 ** (BITS - 1 - bit);
        continue;
      }
      let value = v[bit - degree]! ^ (v[bit - degree]! >>> degree);
      for (let k = 1; k < degree; k++) {
        if ((polynomial >>> (degree - k)) & 1) value ^= v[bit - k]!;
      }
      v[bit] = value >>> 0;
    }
    all.push(v);
  }
  return all;
};

const reverseBits = (value: number): number => {
  let x = value >>> 0;
  x = ((x >>> 1) & 0x55555555) | ((x & 0x55555555) << 1);
  x = ((x >>> 2) & 0x33333333) | ((x & 0x33333333) << 2);
  x = ((x >>> 4) & 0x0f0f0f0f) | ((x & 0x0f0f0f0f) << 4);
  x = ((x >>> 8) & 0x00ff00ff) | ((x & 0x00ff00ff) << 8);
  return ((x >>> 16) | (x << 16)) >>> 0;
};

/** Mixes bits so that neighbouring seeds share nothing (finaliser of MurmurHash3). */
const mix = (value: number): number => {
  let x = value >>> 0;
  x = Math.imul(x ^ (x >>> 16), 0x85ebca6b);
  x = Math.imul(x ^ (x >>> 13), 0xc2b2ae35);
  return (x ^ (x >>> 16)) >>> 0;
};

/** Nested uniform scramble: each bit is flipped by a hash of the bits above it (Laine & Karras; Burley 2020). */
const scramble = (value: number, seed: number): number => {
  let x = reverseBits(value);
  x = (x + seed) | 0;
  x ^= Math.imul(x, 0x6c50b47c);
  x ^= Math.imul(x, 0xb82f1e52);
  x ^= Math.imul(x, 0xc7afe638);
  x ^= Math.imul(x, 0x8d22f6e6);
  return reverseBits(x);
};

/** A sequence of points in the open unit cube. */
export interface PointSequence {
  readonly dimensions: number;
  /** Writes the next point [-] into `into` (made when absent) and returns it. */
  readonly next: (into?: Float64Array) => Float64Array;
}

const sequence = (dimensions: number, finish: (value: number, dimension: number) => number): Solved<PointSequence> => {
  if (!(Number.isInteger(dimensions) && dimensions >= 1 && dimensions <= MOST_DIMENSIONS)) {
    return unsolved(
      'input-out-of-range',
      `The sequence has 1 to ${MOST_DIMENSIONS} dimensions; asked for ${dimensions}.`,
    );
  }
  const directions = directionsOf(dimensions);
  const state = new Uint32Array(dimensions);
  let index = 0;
  return solved({
    dimensions,
    next: (into = new Float64Array(dimensions)) => {
      for (let d = 0; d < dimensions; d++) into[d] = finish(state[d]!, d);
      // Gray code: the next point differs by the direction of the lowest zero bit of the count.
      const bit = 31 - Math.clz32(~index & (index + 1));
      for (let d = 0; d < dimensions; d++) state[d] = state[d]! ^ directions[d]![bit]!;
      index = (index + 1) >>> 0;
      return into;
    },
  });
};

/**
 * The plain Sobol sequence from its first point, the origin [-]. For checks; use {@link scrambledSobol} for sampling.
 * Reason: `input-out-of-range` for more than {@link MOST_DIMENSIONS} dimensions.
 * Source: Antonov & Saleev (1979) Gray-code order; direction numbers Joe & Kuo (2008).
 */
export const plainSobol = (dimensions: number): Solved<PointSequence> =>
  sequence(dimensions, (value) => value / 2 ** 32);

/**
 * Sobol sequence with Owen's nested uniform scrambling.
 *
 * @param dimensions 1 to {@link MOST_DIMENSIONS} [-]
 * @param seed any integer; the same seed gives the same points
 * @returns a {@link PointSequence} of up to 2^32 points, each coordinate above 0 and below 1. Reason:
 * `input-out-of-range`.
 * Source: Owen (1995), Randomly permuted (t,m,s)-nets; hash form: Burley, J. Computer Graphics Techniques 9 (2020) 4.
 */
export const scrambledSobol = (dimensions: number, seed: number): Solved<PointSequence> => {
  const seeds = Array.from({ length: Math.max(0, dimensions) || 0 }, (_, d) =>
    mix(mix(seed) + Math.imul(d, 0x9e3779b9)),
  );
  // Half a step keeps coordinates off 0 and 1, where quantiles have no value.
  return sequence(dimensions, (value, d) => (scramble(value, seeds[d]!) + 0.5) / 2 ** 32);
};

const horner = (coefficients: readonly number[], x: number): number =>
  coefficients.reduceRight((sum, coefficient) => sum * x + coefficient, 0);

const CENTRE_TOP = [
  3.3871328727963665, 133.14166789178438, 1971.5909503065513, 13731.69376550946, 45921.95393154987, 67265.7709270087,
  33430.57558358813, 2509.0809287301227,
];
const CENTRE_BOTTOM = [
  1, 42.31333070160091, 687.1870074920579, 5394.196021424751, 21213.794301586597, 39307.89580009271, 28729.085735721943,
  5226.495278852854,
];
const MIDDLE_TOP = [
  1.4234371107496835, 4.630337846156546, 5.769497221460691, 3.6478483247632045, 1.2704582524523684, 0.2417807251774506,
  0.022723844989269184, 0.0007745450142783414,
];
const MIDDLE_BOTTOM = [
  1, 2.053191626637759, 1.6763848301838038, 0.6897673349851, 0.14810397642748008, 0.015198666563616457,
  0.0005475938084995345, 1.0507500716444169e-9,
];
const TAIL_TOP = [
  6.657904643501103, 5.463784911164114, 1.7848265399172913, 0.29656057182850487, 0.026532189526576124,
  0.0012426609473880784, 2.7115555687434876e-5, 2.0103343992922881e-7,
];
const TAIL_BOTTOM = [
  1, 0.599832206555888, 0.1369298809227358, 0.014875361290850615, 0.0007868691311456133, 1.8463183175100548e-5,
  1.421511758316446e-7, 2.0442631033899397e-15,
];

/**
 * Quantile of the standard normal distribution.
 *
 * @param probability above 0 and below 1 [-]
 * @returns z [-], to about 16 digits. Errors: RangeError at or beyond 0 and 1 (a programming error; the points of
 * {@link scrambledSobol} never reach them).
 * Source: Wichura, Applied Statistics 37 (1988) 477, algorithm AS 241, routine PPND16.
 */
export const normalQuantile = (probability: number): number => {
  if (!(probability > 0 && probability < 1)) {
    throw new RangeError(`A quantile needs a probability between 0 and 1; got ${probability}.`);
  }
  const q = probability - 0.5;
  if (Math.abs(q) <= 0.425) {
    const r = 0.180625 - q * q;
    return (q * horner(CENTRE_TOP, r)) / horner(CENTRE_BOTTOM, r);
  }
  const r = Math.sqrt(-Math.log(q < 0 ? probability : 1 - probability));
  const z =
    r <= 5
      ? horner(MIDDLE_TOP, r - 1.6) / horner(MIDDLE_BOTTOM, r - 1.6)
      : horner(TAIL_TOP, r - 5) / horner(TAIL_BOTTOM, r - 5);
  return q < 0 ? -z : z;
};
