/** Stretches of a log in which something holds, and the small statistics that rules share. Pure arithmetic, no meaning. */

/** A stretch of the common grid: indexes `from` (first) to `to` (one past the last), with its times [s]. */
export interface Span {
  readonly from: number;
  readonly to: number;
  readonly startS: number;
  readonly endS: number;
}

export interface SpanOptions {
  /** Shorter stretches are dropped [s]. */
  readonly minimumS: number;
  /** Stretches closer than this are one [s]. */
  readonly bridgeS?: number;
  /** First index looked at. */
  readonly from?: number;
  /** One past the last index looked at. */
  readonly to?: number;
}

/** Stretches of `timesS` (ascending) in which `test(index)` holds. A test that reads a missing value should return false. */
export const spansWhere = (
  timesS: ArrayLike<number>,
  test: (index: number) => boolean,
  { minimumS, bridgeS = 0, from = 0, to = timesS.length }: SpanOptions,
): Span[] => {
  const joined: { from: number; to: number }[] = [];
  for (let i = from; i < to; i++) {
    if (!test(i)) continue;
    const last = joined.at(-1);
    if (last && (last.to === i || timesS[i]! - timesS[last.to - 1]! <= bridgeS)) last.to = i + 1;
    else joined.push({ from: i, to: i + 1 });
  }
  return joined
    .map((span) => ({ ...span, startS: timesS[span.from]!, endS: timesS[span.to - 1]! }))
    .filter((span) => span.endS - span.startS >= minimumS - 1e-9);
};

/** Mean of the finite values in [from, to), or null when there are none. */
export const meanIn = (values: ArrayLike<number>, from = 0, to = values.length): number | null => {
  let sum = 0;
  let count = 0;
  for (let i = from; i < to; i++) {
    const value = values[i]!;
    if (!Number.isFinite(value)) continue;
    sum += value;
    count++;
  }
  return count > 0 ? sum / count : null;
};

/** Smallest or largest finite value in [from, to) with its index, or null when there is none. */
export const extremeIn = (
  values: ArrayLike<number>,
  which: 'smallest' | 'largest',
  from = 0,
  to = values.length,
): { value: number; index: number } | null => {
  const sign = which === 'largest' ? 1 : -1;
  let best: { value: number; index: number } | null = null;
  for (let i = from; i < to; i++) {
    const value = values[i]!;
    if (Number.isFinite(value) && (!best || sign * value > sign * best.value)) best = { value, index: i };
  }
  return best;
};

/** Centred running mean over `halfWidth` samples each side, leaving out what is not finite; NaN where nothing is near. */
export const runningMean = (values: ArrayLike<number>, halfWidth: number): Float64Array => {
  const size = values.length;
  const out = new Float64Array(size);
  let sum = 0;
  let count = 0;
  for (let i = 0; i < Math.min(halfWidth, size); i++) {
    const value = values[i]!;
    if (!Number.isFinite(value)) continue;
    sum += value;
    count++;
  }
  for (let i = 0; i < size; i++) {
    const comes = i + halfWidth < size ? values[i + halfWidth]! : Number.NaN;
    if (Number.isFinite(comes)) {
      sum += comes;
      count++;
    }
    const goes = i > halfWidth ? values[i - halfWidth - 1]! : Number.NaN;
    if (Number.isFinite(goes)) {
      sum -= goes;
      count--;
    }
    out[i] = count > 0 ? sum / count : Number.NaN;
  }
  return out;
};

/** Least-squares slope of y over x in [from, to), leaving out what is not finite; null with fewer than three points or no spread of x. */
export const slopeIn = (x: ArrayLike<number>, y: ArrayLike<number>, from = 0, to = x.length): number | null => {
  let n = 0;
  let sx = 0;
  let sy = 0;
  let sxx = 0;
  let sxy = 0;
  const x0 = x[from] ?? 0;
  for (let i = from; i < to; i++) {
    const a = x[i]! - x0;
    const b = y[i]!;
    if (!Number.isFinite(a) || !Number.isFinite(b)) continue;
    n++;
    sx += a;
    sy += b;
    sxx += a * a;
    sxy += a * b;
  }
  const spread = n * sxx - sx * sx;
  return n >= 3 && spread > 1e-12 * n * sxx ? (n * sxy - sx * sy) / spread : null;
};

/** A run of equal readings: indexes `from` to `to` (one past the last), its times [s] and value. */
export interface EqualRun extends Span {
  readonly value: number;
}

/**
 * Runs of exactly equal values in a channel's readings, of two readings and more, in order. A step of time over
 * `longestStepS` (or backwards) ends a run: nobody saw what was in between.
 */
export const equalRuns = (
  timesS: ArrayLike<number>,
  values: ArrayLike<number>,
  longestStepS = Number.POSITIVE_INFINITY,
): EqualRun[] => {
  const runs: EqualRun[] = [];
  let from = 0;
  for (let i = 1; i <= values.length; i++) {
    const stepS = i < values.length ? timesS[i]! - timesS[i - 1]! : Number.NaN;
    if (i < values.length && values[i] === values[from] && stepS >= 0 && stepS <= longestStepS) continue;
    if (i - from >= 2) runs.push({ from, to: i, startS: timesS[from]!, endS: timesS[i - 1]!, value: values[from]! });
    from = i;
  }
  return runs;
};
