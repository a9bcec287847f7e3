/** Several series with clocks of their own laid on one column of times, so that the rest of the room sees one table. */

/** Samples this close [s] share a row: the clocks of one file tick in microseconds or finer. */
const SAME_S = 1e-6;

export interface Merged {
  /** Times of the rows [s], rising. */
  readonly timeS: Float64Array;
  /** For each raster the row of each of its samples, -1 for one that runs back in its own time and is left out. */
  readonly rows: readonly Int32Array[];
  /** Samples left out. */
  readonly leftOut: number;
  /** The most that a sample's time was moved [s]. */
  readonly movedS: number;
}

/** Lays rasters [s] on one clock. A row takes samples of at most `toleranceS`, one of each raster; its time is that of its first. */
const mergedWithin = (rasters: readonly Float64Array[], toleranceS: number): Merged => {
  const total = rasters.reduce((sum, raster) => sum + raster.length, 0);
  const timeS = new Float64Array(total);
  const rows = rasters.map((raster) => new Int32Array(raster.length).fill(-1));
  const next = new Int32Array(rasters.length);
  const rowOf = new Int32Array(rasters.length).fill(-1);
  let leftOut = 0;
  /** Moves a raster on to its next sample that is not before the last one taken. */
  const settle = (raster: number): boolean => {
    const times = rasters[raster]!;
    const lastRow = rowOf[raster]!;
    const last = lastRow >= 0 ? times[next[raster]! - 1]! : Number.NEGATIVE_INFINITY;
    while (next[raster]! < times.length && !(times[next[raster]!]! >= last)) {
      next[raster]!++;
      leftOut++;
    }
    return next[raster]! < times.length;
  };
  // A heap of rasters by the time of their next sample.
  const heap: number[] = [];
  const due = (raster: number): number => rasters[raster]![next[raster]!]!;
  const before = (a: number, b: number): boolean => due(a) < due(b) || (due(a) === due(b) && a < b);
  const sink = (from: number): void => {
    let at = from;
    for (;;) {
      let least = at;
      for (const child of [2 * at + 1, 2 * at + 2]) {
        if (child < heap.length && before(heap[child]!, heap[least]!)) least = child;
      }
      if (least === at) return;
      [heap[at], heap[least]] = [heap[least]!, heap[at]!];
      at = least;
    }
  };
  for (let raster = 0; raster < rasters.length; raster++) if (settle(raster)) heap.push(raster);
  for (let at = heap.length >> 1; at >= 0; at--) if (at < heap.length) sink(at);
  let row = -1;
  let movedS = 0;
  while (heap.length > 0) {
    const raster = heap[0]!;
    const time = due(raster);
    if (row < 0 || time - timeS[row]! > toleranceS || rowOf[raster] === row) timeS[++row] = time;
    else if (time - timeS[row]! > movedS) movedS = time - timeS[row]!;
    rows[raster]![next[raster]!] = row;
    rowOf[raster] = row;
    next[raster]!++;
    if (settle(raster)) sink(0);
    else {
      const end = heap.pop()!;
      if (heap.length > 0) {
        heap[0] = end;
        sink(0);
      }
    }
  }
  return { timeS: timeS.slice(0, row + 1), rows, leftOut, movedS };
};

/** Usual step [s] of a raster: the middle one of the rising steps. */
export const usualStepS = (timeS: Float64Array): number => {
  const stride = Math.max(1, Math.floor(timeS.length / 5000));
  const steps: number[] = [];
  for (let i = 1; i < timeS.length; i += stride) {
    const step = timeS[i]! - timeS[i - 1]!;
    if (step > 0) steps.push(step);
  }
  return steps.sort((a, b) => a - b)[steps.length >> 1] ?? 0;
};

/**
 * Lays rasters [s] on one clock of at most about `mostRows` rows. Samples keep their times to a microsecond; only where
 * that makes too many rows are samples within half the shortest usual step brought together, which moves times by no
 * more than that (`movedS`). Null when even so there are too many.
 */
export const mergedRasters = (rasters: readonly Float64Array[], mostRows: number): Merged | null => {
  const exact = mergedWithin(rasters, SAME_S);
  if (exact.timeS.length <= mostRows) return exact;
  const steps = rasters.map(usualStepS).filter((step) => step > 0);
  if (steps.length === 0) return null;
  const near = mergedWithin(rasters, Math.min(...steps) / 2);
  return near.timeS.length <= mostRows ? near : null;
};
