/** Which cells of a column are readings: loggers that write every channel on every row repeat the last value of the slower ones. */

export interface FreshCells {
  /** Positions in clock order (indices into the order of rows) that hold a reading; columns that have one on every row share theirs. */
  readonly at: Int32Array;
  /** Rows between readings as found, 1 when every row is one. */
  readonly everyRows: number;
}

/** One in ten gaps may break the beat: rows lost, an order that slips. */
const ON_BEAT_SHARE = 0.9;
/** Chance that a column changing at random looks as if it had one given beat; some two hundred are tried. */
const BY_CHANCE = 1e-6;
/** Fewer gaps than this prove no beat: a driver's foot may move at round times. */
const FEWEST_GAPS = 6;
const LONGEST_BEAT = 240;

/** Rows that look at a column's changes at most: where more than this share of rows change, every row is a reading. */
const BUSY_SHARE = 0.55;

interface Changes {
  readonly count: number;
  /** Positions where the value differs from the one before; of a busy column, where hardly anybody asks, looked up anew. */
  readonly at: () => Int32Array;
  readonly firstFinite: number;
  readonly blanks: number;
  readonly blankShare: number;
  /** Changes so often that no beat of two rows or more can be. */
  readonly isBusy: boolean;
}

/** `room`: for the positions of one column, used again for the next. */
const changesOf = (cells: Float64Array, order: Int32Array, room: Int32Array): Changes => {
  let firstFinite = 0;
  while (firstFinite < order.length && Number.isNaN(cells[order[firstFinite]!]!)) firstFinite++;
  let blanks = 0;
  let last = firstFinite < order.length ? cells[order[firstFinite]!]! : Number.NaN;
  let count = 0;
  for (let i = firstFinite + 1; i < order.length; i++) {
    const value = cells[order[i]!]!;
    if (value === last) continue;
    if (Number.isNaN(value)) {
      blanks++;
      continue;
    }
    room[count++] = i;
    last = value;
  }
  const seen = order.length - firstFinite;
  const isBusy = count > BUSY_SHARE * seen;
  const kept = isBusy ? null : room.slice(0, count);
  return {
    count,
    at: () => {
      if (kept) return kept;
      const anew = new Int32Array(count);
      changesOf(cells, order, anew);
      return anew;
    },
    firstFinite,
    blanks,
    blankShare: seen > 0 ? blanks / seen : 1,
    isBusy,
  };
};

/** Rows from each change to the one before within its piece, 0 for the first of a piece. */
const gapsOf = (at: Int32Array, pieceOf: Int32Array): Int32Array => {
  const gaps = new Int32Array(at.length);
  for (let i = 1; i < at.length; i++) {
    if (pieceOf[at[i - 1]!] === pieceOf[at[i]!]) gaps[i] = at[i]! - at[i - 1]!;
  }
  return gaps;
};

/** The longest beat [rows] that the gaps between changes keep to exactly (a logger that takes turns), 1 when there is none. */
const beatByRows = (gaps: Int32Array): number => {
  const counts = new Map<number, number>();
  let size = 0;
  let longest = 0;
  for (const gap of gaps) {
    if (gap === 0) continue;
    counts.set(gap, (counts.get(gap) ?? 0) + 1);
    size++;
    if (gap > longest) longest = gap;
  }
  let best = 1;
  if (size < FEWEST_GAPS) return best;
  for (let beat = 2; beat <= Math.min(LONGEST_BEAT, longest); beat++) {
    let on = 0;
    for (const [gap, times] of counts) if (gap % beat === 0) on += times;
    if (on >= ON_BEAT_SHARE * size && beat ** -on < BY_CHANCE) best = beat;
  }
  return best;
};

/** The beat that most columns share when it is three of them and three in five, else 1. */
const commonBeat = (known: readonly number[]): number => {
  const votes = new Map<number, number>();
  for (const beat of known) votes.set(beat, (votes.get(beat) ?? 0) + 1);
  for (const [beat, count] of votes) if (count >= 3 && count >= 0.6 * known.length) return beat;
  return 1;
};

/** Rates [Hz] at which channels are sampled on a time grid of their own. */
const GRID_RATES_HZ = [0.1, 0.2, 0.5, 1, 2, 2.5, 4, 5, 10, 12.5, 20, 25, 40, 50, 100, 125, 200, 250, 500];
const MOST_PHASES = 600;

/** Changes that come faster than the beat rule it out: a short burst of them has one phase on every slow grid. One in ten may slip. */
const isTooQuick = (gaps: Int32Array, beat: number): boolean => {
  let [quick, size] = [0, 0];
  for (const gap of gaps) {
    if (gap === 0) continue;
    size++;
    if (gap < 0.6 * beat) quick++;
  }
  return quick > 0.1 * size;
};

/**
 * The longest beat [rows] whose time grid the changes keep to although rows jitter, 1 when there is none: the resultant
 * length R of the changes' phases (K. V. Mardia and P. E. Jupp, "Directional Statistics", 2000, section 2.3.1) is
 * compared with that of a window one row wide, sin(pi/k)/(pi/k), and with chance (Rayleigh's test: p near exp(-n R^2), section 6.3.1).
 */
const beatByTime = (
  at: Int32Array,
  gaps: Int32Array,
  order: Int32Array,
  timeS: Float64Array,
  stepS: number,
): number => {
  if (at.length < 9 || !(stepS > 0)) return 1;
  const stride = Math.max(1, Math.floor(at.length / MOST_PHASES));
  let best = 1;
  for (const rateHz of GRID_RATES_HZ) {
    const beat = Math.round(1 / (rateHz * stepS));
    if (beat < 2 || beat > LONGEST_BEAT || Math.abs(beat * rateHz * stepS - 1) > 0.1 || beat <= best) continue;
    let [x, y, size] = [0, 0, 0];
    for (let i = 0; i < at.length; i += stride) {
      const angle = 2 * Math.PI * rateHz * timeS[order[at[i]!]!]!;
      x += Math.cos(angle);
      y += Math.sin(angle);
      size++;
    }
    const resultant = Math.hypot(x, y) / size;
    const window = (Math.sin(Math.PI / beat) * beat) / Math.PI;
    if (resultant > 0.72 * window && size * resultant ** 2 > 9 && !isTooQuick(gaps, beat)) best = beat;
  }
  return best;
};

/**
 * Readings of all columns of a table. `stepS` is the usual time [s] between rows; no column is refreshed more slowly than
 * its `longestBeatS` [s] (a pedal that is pressed at regular times is no channel logged that seldom). States and counts
 * (`isState`) carry no noise, so each of their rows counts. Another column that changes too seldom to tell takes the beat of the columns whose readings fall on the same rows as its changes, or, where every other column
 * has one common beat (a logger that polls one channel a row), that beat.
 */
export const readingsOfAll = (
  columns: readonly Float64Array[],
  order: Int32Array,
  pieceOf: Int32Array,
  timeS: Float64Array,
  stepS: number,
  isState: readonly boolean[],
  longestBeatS: readonly number[] = [],
): FreshCells[] => {
  const room = new Int32Array(order.length);
  const everyRow = Int32Array.from({ length: order.length }, (_, i) => i);
  const changes = columns.map((cells) => changesOf(cells, order, room));
  const isSlow = (beat: number, i: number): boolean => beat * stepS > (longestBeatS[i] ?? Number.POSITIVE_INFINITY);
  const beats = changes.map(({ at: placesOf, blankShare, isBusy }, i) => {
    if (isState[i] || isBusy || blankShare > 0.02) return 1;
    const at = placesOf();
    const gaps = gapsOf(at, pieceOf);
    const beat = Math.max(beatByRows(gaps), beatByTime(at, gaps, order, timeS, stepS));
    return isSlow(beat, i) ? 1 : beat;
  });
  const held = (i: number): boolean => changes[i]!.blankShare <= 0.02;
  const isOpen = (i: number): boolean => held(i) && (isState[i] || (beats[i] === 1 && changes[i]!.count < 40));
  const known = beats.filter((_, i) => held(i) && !isOpen(i));
  const common = commonBeat(known);
  // A poller's slow column may slip too often to keep the beat, but it never changes faster than it.
  if (common > 1) {
    for (let i = 0; i < beats.length; i++) {
      if (!held(i) || beats[i]! >= common) continue;
      if (!isTooQuick(gapsOf(changes[i]!.at(), pieceOf), common)) beats[i] = common;
    }
  }
  const found = columns.map((cells, i) =>
    isOpen(i) ? null : readingsOf(cells, order, pieceOf, changes[i]!, beats[i]!, everyRow),
  );
  const groups = new Map<number, Uint8Array>();
  for (const group of found) {
    if (!group || group.everyRows < 2) continue;
    const rows = groups.get(group.everyRows) ?? new Uint8Array(order.length);
    for (const row of group.at) rows[row] = 1;
    groups.set(group.everyRows, rows);
  }
  return columns.map((cells, i) => {
    const settled = found[i];
    if (settled) return settled;
    let beat = common;
    if (isState[i]) return readingsOf(cells, order, pieceOf, changes[i]!, beat, everyRow);
    const at = changes[i]!.at();
    for (const [candidate, rows] of groups) {
      const on = at.reduce((sum, row) => sum + rows[row]!, 0);
      if (candidate > beat && !isSlow(candidate, i) && on >= ON_BEAT_SHARE * at.length && candidate ** -on < 0.05)
        beat = candidate;
    }
    return readingsOf(cells, order, pieceOf, changes[i]!, beat, everyRow);
  });
};

/** Cells that are readings: every filled cell at beat 1, else each change and the beats counted from it. */
const readingsOf = (
  cells: Float64Array,
  order: Int32Array,
  pieceOf: Int32Array,
  changes: Changes,
  beat: number,
  everyRow: Int32Array,
): FreshCells => {
  if (beat <= 1 && changes.firstFinite === 0 && changes.blanks === 0) return { at: everyRow, everyRows: 1 };
  const out = new Int32Array(order.length);
  let size = 0;
  if (beat <= 1) {
    for (let i = changes.firstFinite; i < order.length; i++) if (!Number.isNaN(cells[order[i]!]!)) out[size++] = i;
    return { at: size === out.length ? out : out.slice(0, size), everyRows: 1 };
  }
  const { firstFinite } = changes;
  const at = changes.at();
  const put = (i: number): void => {
    if (i >= firstFinite && !Number.isNaN(cells[order[i]!]!)) out[size++] = i;
  };
  let next = 0;
  let from = 0;
  while (from < order.length) {
    let to = from;
    while (to < order.length && pieceOf[to] === pieceOf[from]) to++;
    const first = next;
    while (next < at.length && at[next]! < to) next++;
    const begin = Math.max(from, firstFinite);
    // Each change of the piece is an anchor; a piece without changes counts from its own start.
    const lead = first < next ? at[first]! : begin;
    for (let i = lead - Math.floor((lead - begin) / beat) * beat; i < lead; i += beat) put(i);
    for (let a = first; a < Math.max(next, first + 1); a++) {
      const anchor = a < next ? at[a]! : lead;
      const end = a + 1 < next ? at[a + 1]! - beat / 2 : to;
      if (anchor < to) put(anchor);
      for (let i = anchor + beat; i < end; i += beat) put(i);
    }
    from = to;
  }
  return { at: out.slice(0, size), everyRows: beat };
};
