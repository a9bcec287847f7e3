/** What a column's numbers look like, whatever its name says. */
/** Robust marks of a column, in the unit it is written in. */
export interface Marks {
  readonly count: number;
  readonly low: number;
  readonly q05: number;
  readonly median: number;
  readonly q95: number;
  readonly high: number;
  /** Every number is whole. */
  readonly whole: boolean;
  /** Smallest power of ten that every number is a multiple of. */
  readonly decimalStep: number;
  /** Smallest step between different readings, not under `decimalStep`; 0 when all are equal. */
  readonly step: number;
}

const MOST_LOOKED_AT = 6000;

/** One reading in a hundred may be a spike; `low` and `high` are the quantiles beyond it. */
const SPIKE_SHARE = 0.01;

const decimalStepOf = (values: Float64Array): number => {
  for (let places = 0; places <= 6; places++) {
    const scale = 10 ** places;
    if (
      values.every(
        (value) => Math.abs(value * scale - Math.round(value * scale)) < 1e-6 * Math.max(1, Math.abs(value * scale)),
      )
    ) {
      return 1 / scale;
    }
  }
  return 0;
};

/** Marks of the finite cells, or null when there are none. */
export const marksOf = (cells: Float64Array): Marks | null => {
  const stride = Math.max(1, Math.floor(cells.length / MOST_LOOKED_AT));
  const seen = new Float64Array(Math.ceil(cells.length / stride) + 1);
  let size = 0;
  // Blank cells of slower channels follow a pattern; every finite cell is visited and one in `stride` of them is taken.
  let finite = 0;
  for (let i = 0; i < cells.length; i++) {
    const value = cells[i]!;
    if (Number.isNaN(value)) continue;
    if (finite++ % stride === 0) seen[size++] = value;
  }
  if (size === 0) return null;
  const values = seen.subarray(0, size).sort();
  const decimalStep = decimalStepOf(
    values.length > 500 ? values.filter((_, i) => i % Math.ceil(values.length / 500) === 0) : values,
  );
  let step = Number.POSITIVE_INFINITY;
  let different = 1;
  for (let i = 1; i < values.length; i++) {
    const difference = values[i]! - values[i - 1]!;
    if (difference <= 1e-9 * Math.abs(values[i]!)) continue;
    different++;
    if (difference < step) step = difference;
  }
  // Already in order: the quantile is read off.
  const at = (share: number): number => {
    const place = share * (values.length - 1);
    const below = Math.floor(place);
    const above = Math.min(below + 1, values.length - 1);
    return values[below]! + (values[above]! - values[below]!) * (place - below);
  };
  return {
    count: finite,
    low: at(SPIKE_SHARE),
    q05: at(0.05),
    median: at(0.5),
    q95: at(0.95),
    high: at(1 - SPIKE_SHARE),
    whole: decimalStep === 1,
    decimalStep,
    step: different < 2 ? 0 : different < 12 ? decimalStep || step : Math.max(step, decimalStep),
  };
};
