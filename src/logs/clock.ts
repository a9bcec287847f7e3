/** The log's clock: which column it is, its unit, where it breaks, and the order in which rows follow one another on it. */

import { clockSeconds } from './clock-text.ts';
import type { Layout } from './dialect.ts';
import { splitHeader } from './header.ts';
import { cellKind, parseCell } from './records.ts';
import type { ClockFault, ClockPiece, Dialect } from './types.ts';

export interface ClockColumn {
  readonly index: number;
  readonly isText: boolean;
  /** Seconds per written unit, or null when nothing is written. */
  readonly secondsPerUnit: number | null;
}

/** Words that make a name that of the clock. */
const CLOCK_NAMES = new Set([
  'time',
  'timestamp',
  'log time',
  'elapsed time',
  'elapsed',
  't',
  'clock',
  'time stamp',
  'time of day',
  'session time',
  'record time',
  'rec time',
  'zeit',
  'uhrzeit',
  'zeitstempel',
  'sec',
  'secs',
  'seconds',
  'sekunden',
  'temps',
  'tiempo',
  'date time',
  'datetime',
  'timer',
  'logtime',
  'ms',
  'time s',
  'time ms',
  'time sec',
  'offset',
  'relative time',
  'delta time',
]);
const CLOCK_WORDS = new Set([
  'time',
  'timestamp',
  'clock',
  'elapsed',
  'zeit',
  'uhrzeit',
  'datetime',
  'timer',
  'logtime',
]);
/** Words that make a time something other than the clock. */
const OTHER_TIMES = new Set([
  'inj',
  'injection',
  'injector',
  'injektor',
  'dwell',
  'dead',
  'deadtime',
  'open',
  'opening',
  'on',
  'delay',
  'response',
  'spool',
  'pulse',
  'pw',
  'burn',
  'lap',
  'dwelltime',
  'coil',
  'einspritz',
]);
/** Words of times that count from some start: a clock only where the file has no other. */
const TIMES_SINCE = new Set(['run', 'running', 'since', 'start']);

/** A clock of the day that falls by more than this has passed midnight [s]. */
const HALF_DAY_S = 43_200;

const readCell = (text: string, isText: boolean, decimal: '.' | ','): number =>
  isText ? clockSeconds(text) : parseCell(text, decimal).value;

/** Picks the clock among the columns by name, unit and behaviour in the head of the file, or null when there is none. A row counter is not a clock. */
export const findClock = (layout: Layout): ClockColumn | null =>
  clockAmong(layout, (word) => OTHER_TIMES.has(word) || TIMES_SINCE.has(word)) ??
  clockAmong(layout, (word) => OTHER_TIMES.has(word));

const clockAmong = (layout: Layout, isOther: (word: string) => boolean): ClockColumn | null => {
  let best: ClockColumn | null = null;
  let bestScore = 0;
  layout.headers.forEach((header, index) => {
    const cells = layout.sample.map((record) => record.fields[index] ?? '').filter((cell) => cell.trim() !== '');
    if (cells.length < layout.sample.length * 0.7) return;
    const isText = cells.filter((cell) => cellKind(cell) === 'clock').length > cells.length / 2;
    const values = cells
      .map((cell) => readCell(cell, isText, layout.decimal))
      .filter((value) => Number.isFinite(value));
    if (values.length < cells.length * 0.7) return;
    let rising = 0;
    let falling = 0;
    for (let i = 1; i < values.length; i++) {
      if (values[i]! > values[i - 1]!) rising++;
      else if (values[i]! < values[i - 1]! && !(isText && values[i - 1]! - values[i]! > HALF_DAY_S)) falling++;
    }
    if (falling > Math.max(1, 0.1 * values.length) || (values.length > 3 && rising < 0.02 * values.length)) return;
    const { words, unit } = splitHeader(header, layout.units[index] ?? '');
    const name = words.join(' ');
    if (words.some(isOther)) return;
    const secondsPerUnit =
      unit && ['s', 'ms', 'min', 'h'].includes(unit.unit)
        ? { s: 1, ms: 1e-3, min: 60, h: 3600 }[unit.unit as 's']! * unit.scale
        : null;
    let score = 0;
    if (CLOCK_NAMES.has(name)) score = 3;
    else if (words.some((word) => CLOCK_WORDS.has(word))) score = 2;
    else if (isText) score = 1.5;
    else if (secondsPerUnit !== null && rising > 0.9 * (values.length - 1) && values.length > 2) score = 1;
    if (score === 0) return;
    // Of two clocks the finer one is wanted, of equal ones the first.
    score +=
      (values.length > 1 ? rising / (values.length - 1) : 1) * 1.5 - index * 1e-3 + (secondsPerUnit !== null ? 0.2 : 0);
    if (score > bestScore) {
      bestScore = score;
      best = { index, isText, secondsPerUnit };
    }
  });
  return best;
};

const medianPositiveStep = (times: Float64Array): number => {
  const steps: number[] = [];
  const stride = Math.max(1, Math.floor(times.length / 20000));
  for (let i = 1; i < times.length; i += stride) {
    const step = times[i]! - times[i - 1]!;
    if (step > 0) steps.push(step);
  }
  if (steps.length === 0) return 0;
  steps.sort((a, b) => a - b);
  return steps[steps.length >> 1]!;
};

/** Seconds per unit of a clock that names none: whole numbers that step by two and more are milliseconds (no car logger is slower than one row in two seconds, common practice, no source). */
const guessSecondsPerUnit = (times: Float64Array): number => {
  const step = medianPositiveStep(times);
  let whole = true;
  for (let i = 0; whole && i < times.length; i += 7) whole = Number.isInteger(times[i]!);
  if (step >= 2000) return 1e-6;
  if (step >= 2) return 1e-3;
  if (whole && step === 1 && times.length > 10_000) return 1e-3;
  return 1;
};

/** More pieces than this and the clock is given up as broken. */
const MOST_PIECES = 2000;

export interface ReadClock {
  readonly timeS: Float64Array;
  readonly format: Dialect['timeFormat'];
}

/** Clock cells as seconds, midnight passed over, rows that share a coarse tick spread over it evenly. */
export const clockInSeconds = (cells: Float64Array, column: ClockColumn): ReadClock => {
  const timeS = Float64Array.from(cells);
  let format: Dialect['timeFormat'] = 'clock';
  if (column.isText) {
    let carried = 0;
    for (let i = 0; i < timeS.length; i++) {
      const now = timeS[i]! + carried;
      // A fall of more than half a day is midnight.
      if (i > 0 && now < timeS[i - 1]! - HALF_DAY_S && cells[i]! < 86400) carried += 86400;
      timeS[i] = cells[i]! + carried;
    }
  } else {
    let factor = column.secondsPerUnit ?? guessSecondsPerUnit(cells);
    const step = medianPositiveStep(cells) * factor;
    // A stated unit that would mean one row in twenty seconds, of whole numbers, is a misnamed millisecond clock.
    if (factor === 1 && step >= 20) factor = guessSecondsPerUnit(cells);
    for (let i = 0; i < timeS.length; i++) timeS[i] = timeS[i]! * factor;
    format = factor >= 60 ? 'min' : factor === 1 ? 's' : 'ms';
  }
  spreadTicks(timeS);
  return { timeS, format };
};

/** When most rows repeat the time of the one before, the clock ticks slower than the log: rows are spread evenly over each tick. */
const spreadTicks = (timeS: Float64Array): void => {
  let repeats = 0;
  for (let i = 1; i < timeS.length; i++) if (timeS[i] === timeS[i - 1]) repeats++;
  if (repeats <= 0.5 * timeS.length) return;
  const tick = medianPositiveStep(timeS);
  if (tick === 0) return;
  const perTick = Math.max(2, Math.round(timeS.length / Math.max(1, timeS.length - repeats)));
  let from = 0;
  while (from < timeS.length) {
    const startS = timeS[from]!;
    let to = from + 1;
    while (to < timeS.length && timeS[to] === startS) to++;
    const count = to - from;
    const isWhole = from > 0 && to < timeS.length;
    const spacing = tick / (isWhole ? count : Math.max(count, perTick));
    // The first tick was joined in its middle: its rows end where the next tick starts.
    const lead = from === 0 && to < timeS.length ? tick - spacing * count : 0;
    for (let i = from; i < to; i++) timeS[i] = startS + lead + spacing * (i - from);
    from = to;
  }
};

/** The step [s] that 99 in 100 rows stay under: what the logger's ordinary jitter reaches. */
const usualAtMost = (timeS: Float64Array, usual: number): number => {
  const stride = Math.max(1, Math.floor(timeS.length / 20_000));
  const steps = new Float64Array(Math.ceil(timeS.length / stride));
  let size = 0;
  for (let i = 1; i < timeS.length; i += stride) {
    const step = timeS[i]! - timeS[i - 1]!;
    if (step > 0) steps[size++] = step;
  }
  return size < 200 ? usual : steps.subarray(0, size).sort()[Math.floor(size * 0.99)]!;
};

export interface ClockOrder {
  readonly faults: ClockFault[];
  readonly pieces: ClockPiece[];
  /** Rows in clock order with strictly rising times; rows whose time is already taken are left out. */
  readonly order: Int32Array;
  /** Piece (index in time order of pieces) of each entry of `order`. */
  readonly pieceOf: Int32Array;
  readonly medianStepS: number;
}

/**
 * Finds the breaks of a clock [s]. A gap is a step of more than five times what 99 in 100 steps stay under and more than 0.25 s (ordinary jitter of
 * polled loggers stays under; common practice, no source); a step is a jump back that the clock keeps; a row or a few
 * that fall back and recover are 'backward'; equal times are 'duplicate'. Where a stepped clock reads the same times
 * twice, the longer piece keeps them and the other's rows there are left out, counted in the fault. Rows in `runStarts`
 * begin a new run: the log is cut there, and that is no fault.
 */
export const orderByClock = (timeS: Float64Array, runStarts: readonly number[] = []): ClockOrder => {
  const rows = timeS.length;
  const usual = medianPositiveStep(timeS);
  const gapS = Math.max(5 * usualAtMost(timeS, usual), 0.25);
  const faults: ClockFault[] = [];
  const keep = new Uint8Array(rows).fill(1);
  const bounds: number[] = [0];
  const newRun = new Set(runStarts);
  let last = 0;
  for (let i = 1; i < rows; i++) {
    if (newRun.has(i)) {
      bounds.push(i);
      last = i;
      continue;
    }
    const before = timeS[last]!;
    const now = timeS[i]!;
    const step = now - before;
    if (step === 0) {
      keep[i] = 0;
      const previous = faults[faults.length - 1];
      if (previous?.kind === 'duplicate' && previous.startS === now) {
        faults[faults.length - 1] = { ...previous, rows: previous.rows + 1 };
      } else faults.push({ kind: 'duplicate', startS: now, endS: now, rows: 1 });
      continue;
    }
    if (step < 0) {
      // Does the clock come back past where it was within a few rows?
      let back = i;
      while (back < rows && back - i < 8 && timeS[back]! <= before) back++;
      if (back < rows && back - i < 8 && timeS[back]! - before < gapS) {
        for (let k = i; k < back; k++) keep[k] = 0;
        faults.push({ kind: 'backward', startS: now, endS: before, rows: back - i });
        i = back - 1;
        continue;
      }
      faults.push({ kind: 'step', startS: now, endS: before, rows: 0 });
      bounds.push(i);
    } else if (step > gapS) {
      // One row that runs ahead and is taken back is a fault of that row, not a gap.
      const next = i + 1 < rows ? timeS[i + 1]! : Number.NaN;
      if (next > before && next - before <= gapS && next < now) {
        keep[i] = 0;
        faults.push({ kind: 'backward', startS: next, endS: now, rows: 1 });
        continue;
      }
      faults.push({ kind: 'gap', startS: before, endS: now, rows: 0 });
      bounds.push(i);
    }
    last = i;
  }
  bounds.push(rows);
  if (bounds.length > MOST_PIECES) return inRunningOrder(timeS, usual);
  const pieces: ClockPiece[] = [];
  for (let p = 0; p + 1 < bounds.length; p++) {
    const [firstRow, endRow] = [bounds[p]!, bounds[p + 1]!];
    let lastRow = endRow - 1;
    while (lastRow > firstRow && keep[lastRow] === 0) lastRow--;
    pieces.push({ startS: timeS[firstRow]!, endS: timeS[lastRow]!, firstRow, endRow });
  }
  leaveOutTakenTimes(timeS, pieces, keep, faults);
  return { ...inOrder(timeS, pieces, keep), faults, medianStepS: usual };
};

/** A clock that breaks thousands of times is no clock: only rows that pass every earlier time are kept, as one piece. */
const inRunningOrder = (timeS: Float64Array, usual: number): ClockOrder => {
  const rows: number[] = [];
  let highest = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < timeS.length; i++) {
    if (timeS[i]! > highest) {
      highest = timeS[i]!;
      rows.push(i);
    }
  }
  const [firstRow, endRow] = [rows[0]!, rows[rows.length - 1]! + 1];
  const piece = { startS: timeS[firstRow]!, endS: highest, firstRow, endRow };
  const order = Int32Array.from(rows);
  return {
    faults: [{ kind: 'step', startS: piece.startS, endS: highest, rows: timeS.length - rows.length }],
    pieces: [piece],
    order,
    pieceOf: new Int32Array(order.length),
    medianStepS: usual,
  };
};

const leaveOutTakenTimes = (
  timeS: Float64Array,
  pieces: readonly ClockPiece[],
  keep: Uint8Array,
  faults: ClockFault[],
): void => {
  if (!faults.some((fault) => fault.kind === 'step')) return;
  const byLength = [...pieces].sort((a, b) => b.endRow - b.firstRow - (a.endRow - a.firstRow));
  const taken: ClockPiece[] = [];
  for (const piece of byLength) {
    let left = 0;
    for (let row = piece.firstRow; row < piece.endRow; row++) {
      const now = timeS[row]!;
      if (keep[row] && taken.some((other) => now >= other.startS && now <= other.endS)) {
        keep[row] = 0;
        left++;
      }
    }
    taken.push(piece);
    if (left === 0) continue;
    const at = faults.findIndex(
      (fault) => fault.kind === 'step' && (fault.startS === piece.startS || fault.endS === piece.endS),
    );
    if (at >= 0) faults[at] = { ...faults[at]!, rows: faults[at]!.rows + left };
  }
};

const inOrder = (timeS: Float64Array, pieces: readonly ClockPiece[], keep: Uint8Array) => {
  const kept: ClockPiece[] = [];
  for (const piece of pieces) {
    let { firstRow, endRow } = piece;
    while (firstRow < endRow && keep[firstRow] === 0) firstRow++;
    while (endRow > firstRow && keep[endRow - 1] === 0) endRow--;
    if (endRow > firstRow) kept.push({ firstRow, endRow, startS: timeS[firstRow]!, endS: timeS[endRow - 1]! });
  }
  kept.sort((a, b) => a.startS - b.startS);
  const order = new Int32Array(keep.reduce((sum, flag) => sum + flag, 0));
  const pieceOf = new Int32Array(order.length);
  let size = 0;
  kept.forEach((piece, p) => {
    for (let row = piece.firstRow; row < piece.endRow; row++) {
      if (!keep[row]) continue;
      order[size] = row;
      pieceOf[size++] = p;
    }
  });
  // A piece cut round another one interleaves with it: then rows are put in order one by one, and of equal times one stays.
  let rises = true;
  for (let i = 1; rises && i < size; i++) rises = timeS[order[i]!]! > timeS[order[i - 1]!]!;
  if (rises) return { pieces: kept, order: order.subarray(0, size), pieceOf: pieceOf.subarray(0, size) };
  const places = Array.from({ length: size }, (_, i) => i)
    .sort((a, b) => timeS[order[a]!]! - timeS[order[b]!]! || a - b)
    .filter((place, i, all) => i === 0 || timeS[order[place]!]! > timeS[order[all[i - 1]!]!]!);
  return {
    pieces: kept,
    order: Int32Array.from(places, (i) => order[i]!),
    pieceOf: Int32Array.from(places, (i) => pieceOf[i]!),
  };
};
