/** Which cells of a column are readings: loggers that write every channel on every row repeat the last value of the slower ones. */

export interface FreshCells {
  /** Positions in clock order (indices into the order of rows) that hold a reading. */
  readonly at: Int32Array;
  /** Rows between readings as found, 1 when every row is one. */
  readonly everyRows: number;
}

/** One in ten gaps may break the beat: rows lost, an order that slips. */
const ON_BEAT_SHARE = 0.9;
/** Chance that a column changing at random looks as if it had the beat. */
const BY_CHANCE = 1e-4;
const LONGEST_BEAT = 240;

interface Changes {
  /** Positions where the value differs from the one before, and the rows since the previous change within a piece (0 for the first). */
  readonly at: number[];
  readonly gap: number[];
  readonly firstFinite: number;
  readonly blankShare: number;
}

const changesOf = (cells: Float64Array, order: Int32Array, pieceOf: Int32Array): Changes => {
  const at: number[] = [];
  const gap: number[] = [];
  let firstFinite = -1;
  let blanks = 0;
  let last = Number.NaN;
  let lastChange = -1;
  for (let i = 0; i < order.length; i++) {
    const value = cells[order[i]!]!;
    if (Number.isNaN(value)) {
      if (firstFinite >= 0) blanks++;
      continue;
    }
    if (firstFinite < 0) {
      firstFinite = i;
      last = value;
      continue;
    }
    if (value !== last) {
      at.push(i);
      const sameStretch = lastChange >= 0 && pieceOf[lastChange] === pieceOf[i];
      gap.push(sameStretch ? i - lastChange : 0);
      lastChange = i;
      last = value;
    }
  }
  const seen = firstFinite < 0 ? 0 : order.length - firstFinite;
  return { at, gap, firstFinite, blankShare: seen > 0 ? blanks / seen : 1 };
};

/** The longest beat [rows] that the gaps between changes keep to, 1 when there is none, 0 when there are too few changes to tell. */
const beatOf = (gaps: readonly number[]): number => {
  const counts = new Map<number, number>();
  let size = 0;
  let longest = 0;
  for (const gap of gaps) {
    if (gap === 0) continue;
    counts.set(gap, (counts.get(gap) ?? 0) + 1);
    size++;
    if (gap > longest) longest = gap;
  }
  if (size < 3) return 0;
  let best = 1;
  for (let beat = 2; beat <= Math.min(LONGEST_BEAT, longest); beat++) {
    let on = 0;
    for (const [gap, times] of counts) if (gap % beat === 0) on += times;
    if (on < ON_BEAT_SHARE * size || beat ** -on > BY_CHANCE) continue;
    best = beat;
  }
  if (best > 1) return best;
  return size < 12 && (counts.get(1) ?? 0) === 0 ? 0 : 1;
};

/**
 * Beats of all columns of a table, in rows. A column that changes too seldom to tell takes the beat of the columns whose
 * changes fall on the same rows as its own, or where every other column has one common beat (a logger that polls one
 * channel a row) that beat, else 1.
 */
export const beatsOf = (columns: readonly Float64Array[], order: Int32Array, pieceOf: Int32Array): FreshCells[] => {
  const changes = columns.map((cells) => changesOf(cells, order, pieceOf));
  const beats = changes.map(({ gap, blankShare }) => (blankShare > 0.02 ? 1 : beatOf(gap)));
  const known = beats.filter((beat, i) => beat > 0 && changes[i]!.blankShare <= 0.02);
  const common = known.length >= 3 && known.every((beat) => beat === known[0]) ? known[0]! : 1;
  const groups = new Map<number, Set<number>>();
  beats.forEach((beat, i) => {
    if (beat < 2) return;
    const rows = groups.get(beat) ?? new Set<number>();
    for (const at of changes[i]!.at) rows.add(at);
    groups.set(beat, rows);
  });
  const settled = beats.map((beat, i) => {
    if (beat > 0) return beat;
    const { at } = changes[i]!;
    let found = common;
    if (common === 1 && at.length >= 2) {
      for (const [candidate, rows] of groups) {
        if (candidate > found && at.every((row) => rows.has(row))) found = candidate;
      }
    }
    return found;
  });
  return columns.map((cells, i) => readingsOf(cells, order, pieceOf, changes[i]!, settled[i]!));
};

/** Cells that are readings: every filled cell at beat 1, else each change and the beats counted from it. */
const readingsOf = (
  cells: Float64Array,
  order: Int32Array,
  pieceOf: Int32Array,
  changes: Changes,
  beat: number,
): FreshCells => {
  const out: number[] = [];
  if (beat <= 1) {
    for (let i = 0; i < order.length; i++) if (!Number.isNaN(cells[order[i]!]!)) out.push(i);
    return { at: Int32Array.from(out), everyRows: 1 };
  }
  const put = (i: number): void => {
    if (i >= changes.firstFinite && !Number.isNaN(cells[order[i]!]!)) out.push(i);
  };
  let next = 0;
  let from = 0;
  while (from < order.length) {
    let to = from;
    while (to < order.length && pieceOf[to] === pieceOf[from]) to++;
    const first = next;
    while (next < changes.at.length && changes.at[next]! < to) next++;
    // Anchors of this piece; one without changes counts from its own start.
    const anchors = changes.at.slice(first, next);
    if (anchors.length === 0) anchors.push(Math.max(from, changes.firstFinite));
    const begin = Math.max(from, changes.firstFinite);
    for (let i = anchors[0]! - Math.floor((anchors[0]! - begin) / beat) * beat; i < anchors[0]!; i += beat) put(i);
    anchors.forEach((anchor, a) => {
      const end = a + 1 < anchors.length ? anchors[a + 1]! - beat / 2 : to;
      put(anchor);
      for (let i = anchor + beat; i < end; i += beat) put(i);
    });
    from = to;
  }
  return { at: Int32Array.from(out), everyRows: beat };
};
