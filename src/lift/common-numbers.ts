/**
 * Common random numbers: what two builds of a car share is as wrong in the one as in the other, so that the band of a
 * difference is the difference's own and not that of two unrelated cars.
 *
 * An input keeps its sample coordinate where the same part is fitted before and after; a part that was changed has a
 * coordinate of its own. Source: common random numbers, Law, Simulation Modeling and Analysis (5th ed., 2015) sect. 11.2.
 */
import { type Car, FIELD_PLACES, type ResolvedBuild, withSample } from '../car/index.ts';
import { normalSamples } from '../match/index.ts';

/** Curves and map whose plus-minus is that of the part. */
const PART_CURVES = ['engine.volumetricEfficiency', 'chargeCooler.effectiveness'] as const;
/** Curves whose plus-minus is that of holding what is asked for, whatever is asked. */
const HELD_CURVES = ['targets.boost', 'targets.lambda', 'targets.sparkAdvance'] as const;
/** Factors on the compressor map. */
const MAP = 'turbocharger.compressorMap.';
const MAP_INPUTS = [
  'turbocharger.compressorMap.flow',
  'turbocharger.compressorMap.efficiency',
  'turbocharger.compressorMap.speed',
  'turbocharger.compressorMap.surge',
] as const;

/** Every input that a build can have, in an order that does not depend on the build. */
const PATHS: readonly string[] = [
  ...FIELD_PLACES.map(({ group, name }) => `${group}.${name}`),
  ...PART_CURVES,
  ...HELD_CURVES,
  ...MAP_INPUTS,
];
const PLACE_OF_PATH = new Map(PATHS.map((path, index) => [path, index]));

const same = (one: unknown, other: unknown): boolean => one === other || JSON.stringify(one) === JSON.stringify(other);

/** Whether an input of `after` belongs to a part that is not the one in `before`. */
const isNewPart = (path: string, before: ResolvedBuild, after: ResolvedBuild): boolean => {
  if (path.startsWith(MAP)) {
    const wheels = ({ car }: ResolvedBuild) => [
      car.turbocharger.compressorInducerM,
      car.turbocharger.compressorExducerM,
    ];
    const [old, fresh] = [before.car.compressorMap, after.car.compressorMap];
    return old || fresh ? !same(old, fresh) : !same(wheels(before), wheels(after));
  }
  switch (path) {
    case 'engine.volumetricEfficiency':
      return !same(before.car.curves.volumetricEfficiency, after.car.curves.volumetricEfficiency);
    case 'chargeCooler.effectiveness':
      return !same(before.car.curves.effectiveness, after.car.curves.effectiveness);
    case 'targets.boost':
    case 'targets.lambda':
    case 'targets.sparkAdvance':
      return false;
    default: {
      const [old, fresh] = [before.quantities[path], after.quantities[path]];
      if (!old || !fresh) return true;
      // Two estimates by engine class are the same guess about the same part, also where the guess has moved.
      if (old.estimated && fresh.estimated) return false;
      return old.valueSi !== fresh.valueSi || old.sdSi !== fresh.sdSi || old.source !== fresh.source;
    }
  }
};

/** A permutation of 0 to count - 1 by the order of hashes (finaliser of MurmurHash3). */
const shuffled = (count: number, seed: number): Uint32Array => {
  const hash = (value: number): number => {
    let x = (value ^ Math.imul(seed, 0x9e3779b9)) >>> 0;
    x = Math.imul(x ^ (x >>> 16), 0x85ebca6b);
    x = Math.imul(x ^ (x >>> 13), 0xc2b2ae35);
    return (x ^ (x >>> 16)) >>> 0;
  };
  const keys = Array.from({ length: count }, (_, index) => hash(index + 1));
  return Uint32Array.from(keys.map((_, index) => index).sort((a, b) => (keys[a] ?? 0) - (keys[b] ?? 0) || a - b));
};

/** Sampled cars of builds that have one build in common. */
export interface CommonNumbers {
  readonly samples: number;
  /** The car of a build in sample `index`; the best estimate for index -1. */
  readonly carsOf: (build: ResolvedBuild) => (index: number) => Car;
}

/** Apart from the seed of the first sequence, so that the two have nothing in common. */
const NEW_PART_SEED = 0x5bd1e995;

/**
 * Sample coordinates for `before` and for every build made from it.
 *
 * The cars of `before` itself are those that the ledger of that build draws with this seed and count. New parts take
 * theirs from a second sequence in a shuffled order of rows (two scrambles of one Sobol dimension in the same order
 * would be correlated; shuffling: Burley, J. Computer Graphics Techniques 9 (2020) 4). Coordinates go by path, so that
 * one more option changes nobody else's samples.
 */
export const commonNumbers = (before: ResolvedBuild, samples: number, seed: number): CommonNumbers => {
  const own = before.inputs.length;
  const ofBefore = normalSamples(samples, own, seed);
  const ofNewParts = normalSamples(samples, PATHS.length, (seed ^ NEW_PART_SEED) >>> 0);
  const order = shuffled(samples, seed);
  const placeBefore = new Map(before.inputs.map(({ path }, index) => [path, index]));
  return {
    samples,
    carsOf: (build) => {
      const from = build.inputs.map(({ path }) => {
        const shared = placeBefore.get(path);
        if (shared !== undefined && (build === before || !isNewPart(path, before, build))) return shared;
        const place = PLACE_OF_PATH.get(path);
        if (place === undefined) throw new Error(`unknown input ${path}`);
        return -1 - place;
      });
      const z = new Float64Array(from.length);
      return (index) => {
        if (index < 0) return build.car;
        const newRow = (order[index] ?? 0) * PATHS.length;
        from.forEach((place, input) => {
          z[input] = (place >= 0 ? ofBefore[index * own + place] : ofNewParts[newRow - 1 - place]) ?? 0;
        });
        return withSample(build, z);
      };
    },
  };
};
