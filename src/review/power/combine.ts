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

/** How far a method's level lies from what the others say together. */
export interface LevelGap {
  readonly method: Method;
  /** Mean of ln(method / others) over the shared bins. */
  readonly gap: number;
  /** What errors that are allowed for would make of it. */
  readonly sd: number;
}

/** Level of one method against some others over the bins that they share; shared errors cancel. */
const levelGap = (field: Field, method: Method, others: ReadonlySet<Method>): LevelGap | null => {
  const size = field.cells.length;
  const weights = new Float64Array(size);
  let shared = 0;
  field.byBin.forEach((members, bin) => {
    const own = members.find((i) => field.cells[i]!.method === method);
    const mixed = own === undefined ? null : mixBin(field, bin, others);
    if (own === undefined || !mixed) return;
    shared++;
    weights[own]! += 1;
    mixed.members.forEach((member, i) => {
      weights[member]! -= mixed.weights[i]!;
    });
  });
  if (shared === 0) return null;
  let gap = 0;
  let variance = 0;
  for (let i = 0; i < size; i++) {
    if (weights[i] === 0) continue;
    gap += (weights[i]! * field.cells[i]!.logPower) / shared;
    for (let j = 0; j < size; j++)
      variance += (weights[i]! * weights[j]! * field.covariance[i * size + j]!) / shared ** 2;
  }
  return { method, gap, sd: Math.sqrt(Math.max(variance, 1e-8)) };
};

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
  /** Two camps, and nothing to say which is right. */
  readonly divided: boolean;
}

/**
 * Every spread here and on the sheet is set so that it alone is not too small; all at once they are too wide. On labelled
 * logs the errors of power are this share of what the spreads add up to (calibrated there, see labelled.test.ts).
 */
const BAND_SCALE = 0.62;
/** The same for one estimate alone, where no two errors level each other. */
const SINGLE_BAND_SCALE = 0.74;
const WIDEST_BIRGE = 2.5;

/**
 * How much farther apart the methods lie than the bands allow for, 1 or more: the bands are widened by it.
 * Source: Birge, Phys. Rev. 40 (1932) 207.
 */
const birgeRatio = (gaps: readonly LevelGap[]): number => {
  if (gaps.length < 2) return 1;
  const mean = gaps.reduce((sum, { gap, sd }) => sum + (gap / (BAND_SCALE * sd)) ** 2, 0) / gaps.length;
  return Math.min(WIDEST_BIRGE, Math.max(1, Math.sqrt(mean)));
};

/** A method this many standard deviations off is out, or the camps are divided. */
const OUT_SIGMAS = 2.5;
const AGREE_SIGMAS = 2;

const widest = (gaps: readonly LevelGap[]): LevelGap | null =>
  gaps.reduce<LevelGap | null>(
    (worst, gap) => (!worst || Math.abs(gap.gap / gap.sd) > Math.abs(worst.gap / worst.sd) ? gap : worst),
    null,
  );

const perBin = (field: Field, methods: ReadonlySet<Method>, scale: number, extraVariance = 0): (BinPower | null)[] =>
  field.byBin.map((_, bin) => {
    const mixed = mixBin(field, bin, methods);
    return (
      mixed && { logPower: mixed.logPower, sd: Math.sqrt(scale ** 2 * Math.max(0, mixed.variance) + extraVariance) }
    );
  });

/** Brings the methods of a pull together. */
export const combine = ({ bins, cells }: PullEstimates): Combined => {
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
  const scale = BAND_SCALE * birgeRatio(gapsOf(field, kept));
  const air = new Set<Method>((['density', 'meter'] as const).filter((method) => method !== outlier?.method));
  return {
    combined: perBin(field, kept, scale, extraVariance),
    fromAir: perBin(field, air, SINGLE_BAND_SCALE),
    fromFuel: perBin(field, new Set<Method>(['fuel']), SINGLE_BAND_SCALE),
    fromAcceleration: perBin(field, new Set<Method>(['acceleration']), SINGLE_BAND_SCALE),
    gaps,
    outlier,
    divided,
  };
};

/** A band of a log-normal value [unit of exp(logPower)], times `factor`. */
export const bandOf = ({ logPower, sd }: BinPower, factor = 1): Band => {
  const p50 = Math.exp(logPower) * factor;
  return { p10: p50 * Math.exp(-NORMAL_90 * sd), p50, p90: p50 * Math.exp(NORMAL_90 * sd) };
};
