/** One power out of several that share some of their errors, robust against one that is wrong. */
import type { Band } from '../types.ts';
import { choleskyFactor, choleskySolve } from './cholesky.ts';
import type { Bin, Cell, PullEstimates } from './pull-estimates.ts';
import { METHODS, type Method } from './unknowns.ts';

/** 90th percentile of the standard normal distribution. */
export const NORMAL_90 = 1.2816;

/** Errors of a shape over engine speed: one standard deviation [relative] and how far it reaches [rpm]. */
interface Shape {
  readonly sd: number;
  readonly reachRpm: number;
}

/** Of the filling curve between the points that an owner knows; density alone feels it. */
const FILLING_SHAPE: Shape = { sd: 0.012, reachRpm: 900 };
/** Of the meter's curve. */
const METER_SHAPE: Shape = { sd: 0.01, reachRpm: 1200 };
/** Of lambda, timing and friction laws: all three by combustion feel it. */
const TORQUE_SHAPE: Shape = { sd: 0.005, reachRpm: 1200 };
/** Of small pulses and of the mixture between air and fuel while power rises. */
const FUEL_SHAPE: Shape = { sd: 0.008, reachRpm: 900 };
/** Of the road's rise along the pull. */
const ROAD_SHAPE: Shape = { sd: 0.006, reachRpm: 800 };
/** Of every cell on its own: rounding, resampling, the edges of a bin. */
export const CELL_SD = 0.004;

/** Spread of what a method's shape over engine speed adds to a bin where two pulls do not share it [relative]. */
export const SHAPE_SD: Readonly<Record<Method, number>> = {
  density: FILLING_SHAPE.sd,
  meter: METER_SHAPE.sd,
  fuel: FUEL_SHAPE.sd,
  acceleration: ROAD_SHAPE.sd,
};

const shapeOf = (a: Method, b: Method): Shape[] => {
  const shapes: Shape[] = [];
  if (a !== 'acceleration' && b !== 'acceleration') shapes.push(TORQUE_SHAPE);
  if (a !== b) return shapes;
  shapes.push({ density: FILLING_SHAPE, meter: METER_SHAPE, fuel: FUEL_SHAPE, acceleration: ROAD_SHAPE }[a]);
  return shapes;
};

/** Covariance of ln power between two cells. */
const covariance = (a: Cell, b: Cell, bins: readonly Bin[]): number => {
  let sum = 0;
  for (let u = 0; u < a.moves.length; u++) sum += a.moves[u]! * b.moves[u]!;
  const [binA, binB] = [bins[a.bin]!, bins[b.bin]!];
  const apart = binA.engineSpeedRpm - binB.engineSpeedRpm;
  for (const { sd, reachRpm } of shapeOf(a.method, b.method)) {
    // The road under two gears is not the same road.
    const same = a.method !== 'acceleration' || binA.part === binB.part ? 1 : 0;
    sum += same * sd * sd * Math.exp(-0.5 * (apart / reachRpm) ** 2);
  }
  if (a.bin === b.bin) sum += a.burningNoiseSd * b.burningNoiseSd;
  if (a === b) sum += a.noiseSd ** 2 + CELL_SD ** 2;
  return sum;
};

/** The cells of a pull with the covariance of every pair, computed once. */
interface Field {
  readonly cells: readonly Cell[];
  readonly covariance: Float64Array;
  readonly byBin: readonly (readonly number[])[];
}

const fieldOf = (cells: readonly Cell[], bins: readonly Bin[]): Field => {
  const size = cells.length;
  const matrix = new Float64Array(size * size);
  for (let i = 0; i < size; i++) {
    for (let j = 0; j <= i; j++) {
      const value = covariance(cells[i]!, cells[j]!, bins);
      matrix[i * size + j] = value;
      matrix[j * size + i] = value;
    }
  }
  const byBin = bins.map((): number[] => []);
  cells.forEach(({ bin }, i) => {
    byBin[bin]!.push(i);
  });
  return { cells, covariance: matrix, byBin };
};

/**
 * Weights of several estimates of one value that have the least variance and none of which is negative: V^-1 1 / (1' V^-1 1),
 * leaving out members as long as one is negative. No weight can so carry the answer beyond what the members say.
 * Source: Aitken (1935); non-negativity after Lawson & Hanson, Solving Least Squares Problems (1974) ch. 23.
 */
export const leastVarianceWeights = (covarianceOf: (i: number, j: number) => number, size: number): Float64Array => {
  let kept = Array.from({ length: size }, (_, i) => i);
  const weights = new Float64Array(size);
  while (kept.length > 1) {
    const matrix = Float64Array.from(kept.flatMap((i) => kept.map((j) => covarianceOf(i, j))));
    const factor = choleskyFactor(matrix, kept.length);
    if (!factor.ok) break;
    const raw = choleskySolve(factor.value, new Float64Array(kept.length).fill(1));
    const total = raw.reduce((sum, w) => sum + w, 0);
    const smallest = raw.reduce((least, w, i) => (w < raw[least]! ? i : least), 0);
    if (raw[smallest]! >= 0 && total > 0) {
      kept.forEach((i, place) => {
        weights[i] = raw[place]! / total;
      });
      return weights;
    }
    kept = kept.filter((_, place) => place !== smallest);
  }
  // One left, or no factor: the one of least variance.
  const best = kept.reduce((least, i) => (covarianceOf(i, i) < covarianceOf(least, least) ? i : least), kept[0] ?? 0);
  if (size > 0) weights[best] = 1;
  return weights;
};

/** A bin's answer as weights on cells. */
interface Mixed {
  readonly members: readonly number[];
  readonly weights: Float64Array;
  readonly logPower: number;
  readonly variance: number;
}

const mixBin = (field: Field, bin: number, methods: ReadonlySet<Method>): Mixed | null => {
  const size = field.cells.length;
  const members = field.byBin[bin]!.filter((i) => methods.has(field.cells[i]!.method));
  if (members.length === 0) return null;
  const of = (i: number, j: number) => field.covariance[members[i]! * size + members[j]!]!;
  const weights = leastVarianceWeights(of, members.length);
  let logPower = 0;
  let variance = 0;
  members.forEach((member, i) => {
    logPower += weights[i]! * field.cells[member]!.logPower;
    members.forEach((_, j) => {
      variance += weights[i]! * weights[j]! * of(i, j);
    });
  });
  return { members, weights, logPower, variance };
};

/** How far one level lies from another, in logarithms, and what errors that are allowed for would make of it. */
interface Apart {
  readonly gap: number;
  readonly sd: number;
}

/** How far a method's level lies from what the others say together: mean of ln(method / others) over the shared bins. */
export interface LevelGap extends Apart {
  readonly method: Method;
}

/** Level of some methods against some others over the bins that they share; shared errors cancel. */
const levelBetween = (field: Field, some: ReadonlySet<Method>, others: ReadonlySet<Method>): Apart | null => {
  const size = field.cells.length;
  const weights = new Float64Array(size);
  let shared = 0;
  for (let bin = 0; bin < field.byBin.length; bin++) {
    const [own, against] = [mixBin(field, bin, some), mixBin(field, bin, others)];
    if (!own || !against) continue;
    shared++;
    own.members.forEach((member, i) => {
      weights[member]! += own.weights[i]!;
    });
    against.members.forEach((member, i) => {
      weights[member]! -= against.weights[i]!;
    });
  }
  if (shared === 0) return null;
  let gap = 0;
  let variance = 0;
  for (let i = 0; i < size; i++) {
    if (weights[i] === 0) continue;
    gap += (weights[i]! * field.cells[i]!.logPower) / shared;
    for (let j = 0; j < size; j++)
      variance += (weights[i]! * weights[j]! * field.covariance[i * size + j]!) / shared ** 2;
  }
  return { gap, sd: Math.sqrt(Math.max(variance, 1e-8)) };
};

const levelGap = (field: Field, method: Method, others: ReadonlySet<Method>): LevelGap | null => {
  const apart = levelBetween(field, new Set([method]), others);
  return apart && { method, ...apart };
};

/** The same from the estimates of a pull; null where they share no bin. */
export const levelGapOf = (
  { bins, cells }: PullEstimates,
  method: Method,
  others: ReadonlySet<Method>,
): LevelGap | null => levelGap(fieldOf(cells, bins), method, others);

const gapsOf = (field: Field, methods: ReadonlySet<Method>): LevelGap[] =>
  METHODS.filter((method) => methods.has(method)).flatMap(
    (method) => levelGap(field, method, new Set([...methods].filter((other) => other !== method))) ?? [],
  );

export interface BinPower {
  readonly logPower: number;
  readonly sd: number;
}

export interface Combined {
  /** Per bin; null where nothing is known. */
  readonly combined: readonly (BinPower | null)[];
  readonly fromAir: readonly (BinPower | null)[];
  readonly fromFuel: readonly (BinPower | null)[];
  readonly fromAcceleration: readonly (BinPower | null)[];
  readonly gaps: readonly LevelGap[];
  /** Set aside because the others agree with each other and not with it. */
  readonly outlier: LevelGap | null;
  /** The ways do not agree and no single one of them is the odd one. */
  readonly divided: boolean;
  /** Where divided: two camps, each at one within itself and farthest from the other; null where there are no such two. */
  readonly camps: Camps | null;
}

export interface Camps extends Apart {
  readonly high: readonly Method[];
  readonly low: readonly Method[];
}

/** How far the spreads are to be believed, and how fast the agreement of the ways changes that. */
export interface Belief {
  /** Errors over what the spreads add up to, before the ways are compared [-]. */
  readonly share: number;
  /** Independent comparisons that the share is worth. */
  readonly worth: number;
}

/**
 * Every spread here and on the sheet is set so that it alone is not too small, and on a given car several are next to nothing,
 * so that all of them together are too wide. The share is the one under which the true powers of the labelled logs are
 * likeliest, every log counted once; with one car left out it is 0.55 to 0.7 (docs/scores.md). The worth is how much the
 * squared errors rise with the distance between the ways.
 */
export const BELIEF: Belief = { share: 0.65, worth: 8 };

/**
 * Factor on a standard deviation after `freedom` comparisons that lie `chiSquare` apart: the believed variance and the seen
 * one, each by what it is worth. Ways that agree narrow the band, ways that do not widen it.
 * Source: scaled inverse chi-square as the conjugate prior of a variance, Gelman et al., Bayesian Data Analysis, 3rd ed.
 * (2013), sect. 2.6.
 */
export const believedScale = ({ share, worth }: Belief, chiSquare: number, freedom: number): number =>
  Math.sqrt((worth * share * share + chiSquare) / (worth + freedom));

/** A method this many standard deviations off is out, or the camps are divided. */
const OUT_SIGMAS = 2.5;
const AGREE_SIGMAS = 2;

const widest = (gaps: readonly LevelGap[]): LevelGap | null =>
  gaps.reduce<LevelGap | null>(
    (worst, gap) => (!worst || Math.abs(gap.gap / gap.sd) > Math.abs(worst.gap / worst.sd) ? gap : worst),
    null,
  );

const agreeing = (field: Field, methods: ReadonlySet<Method>): boolean =>
  gapsOf(field, methods).every(({ gap, sd }) => Math.abs(gap) < AGREE_SIGMAS * sd);

/** The two camps, each at one within itself, that lie most standard deviations apart. */
const campsOf = (field: Field, present: ReadonlySet<Method>): Camps | null => {
  const methods = METHODS.filter((method) => present.has(method));
  let best: Camps | null = null;
  // Every split once: the last method is always on the second side.
  for (let mask = 1; mask < 2 ** (methods.length - 1); mask++) {
    const some = methods.filter((_, i) => (mask >> i) & 1);
    const others = methods.filter((_, i) => !((mask >> i) & 1));
    if (!agreeing(field, new Set(some)) || !agreeing(field, new Set(others))) continue;
    const apart = levelBetween(field, new Set(some), new Set(others));
    if (!apart || (best && Math.abs(apart.gap / apart.sd) <= Math.abs(best.gap / best.sd))) continue;
    const [high, low] = apart.gap > 0 ? [some, others] : [others, some];
    best = { gap: Math.abs(apart.gap), sd: apart.sd, high, low };
  }
  return best;
};

/**
 * How far the members of a bin lie apart, (y - m)' V^-1 (y - m) with m their best mean: of a chi-square with one freedom less
 * than members where the spreads are right.
 */
const apartness = (field: Field, { members }: Mixed): { chiSquare: number; freedom: number } => {
  const count = members.length;
  const size = field.cells.length;
  const none = { chiSquare: 0, freedom: 0 };
  if (count < 2) return none;
  const matrix = Float64Array.from(members.flatMap((i) => members.map((j) => field.covariance[i * size + j]!)));
  const factor = choleskyFactor(matrix, count);
  if (!factor.ok) return none;
  const powers = members.map((i) => field.cells[i]!.logPower);
  const ones = choleskySolve(factor.value, new Float64Array(count).fill(1));
  const sum = ones.reduce((total, w) => total + w, 0);
  const mean = powers.reduce((total, y, i) => total + ones[i]! * y, 0) / sum;
  const off = Float64Array.from(powers, (y) => y - mean);
  const solvedOff = choleskySolve(factor.value, off);
  return { chiSquare: off.reduce((total, r, i) => total + r * solvedOff[i]!, 0), freedom: count - 1 };
};

const perBin = (field: Field, methods: ReadonlySet<Method>, belief: Belief, extraVariance = 0): (BinPower | null)[] =>
  field.byBin.map((_, bin) => {
    const mixed = mixBin(field, bin, methods);
    if (!mixed) return null;
    const { chiSquare, freedom } = apartness(field, mixed);
    const scale = believedScale(belief, chiSquare, freedom);
    return { logPower: mixed.logPower, sd: Math.sqrt(scale ** 2 * Math.max(0, mixed.variance) + extraVariance) };
  });

/** Brings the methods of a pull together. */
export const combine = ({ bins, cells }: PullEstimates, belief = BELIEF): Combined => {
  const field = fieldOf(cells, bins);
  const present = new Set(cells.map(({ method }) => method));
  const gaps = gapsOf(field, present);
  const worst = widest(gaps);
  let outlier: LevelGap | null = null;
  let divided = false;
  let kept: ReadonlySet<Method> = present;
  let extraVariance = 0;
  if (worst && Math.abs(worst.gap) > OUT_SIGMAS * worst.sd) {
    const without = new Set([...present].filter((method) => method !== worst.method));
    const rest = widest(gapsOf(field, without));
    if (rest && Math.abs(rest.gap) < AGREE_SIGMAS * rest.sd) {
      outlier = worst;
      kept = without;
    } else {
      divided = true;
      extraVariance = (worst.gap / 2) ** 2;
    }
  }
  const air = new Set<Method>((['density', 'meter'] as const).filter((method) => method !== outlier?.method));
  return {
    combined: perBin(field, kept, belief, extraVariance),
    fromAir: perBin(field, air, belief),
    fromFuel: perBin(field, new Set<Method>(['fuel']), belief),
    fromAcceleration: perBin(field, new Set<Method>(['acceleration']), belief),
    gaps,
    outlier,
    divided,
    camps: divided ? campsOf(field, present) : null,
  };
};

/** A band of a log-normal value [unit of exp(logPower)], times `factor`. */
export const bandOf = ({ logPower, sd }: BinPower, factor = 1): Band => {
  const p50 = Math.exp(logPower) * factor;
  return { p10: p50 * Math.exp(-NORMAL_90 * sd), p50, p90: p50 * Math.exp(NORMAL_90 * sd) };
};
