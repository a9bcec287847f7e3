/** Draws a lane: stretches of findings as tinted ground, prediction and band, the logged trace, its limit, the hairline. */
import { firstIndexAtOrAfter } from '../../src/logs/tiles.ts';
import { columnBars } from './column-bars.ts';
import type { Ink, PackedInk } from './ink.ts';
import type { LanePlace, PredictedPiece, Stretch, TraceData } from './lane.ts';
import { pennant } from './marks.ts';
import { paintShapes } from './paint-shapes.ts';
import type { Pixels } from './pixels.ts';
import { niceTicks } from './scale.ts';
import type { Shape } from './shape.ts';

/** Widths and sizes [px of the sheet]. */
const LINE = 2;
const PREDICTED_LINE = 1.5;
const WALL_LINE = 2.25;
const HAIR_LINE = 1.75;
const HATCH_LINE = 1.1;
const HATCH_STEP = 7;
const HATCH_REACH = 6;
const DOT_RADIUS = 2.5;
const LOGGED_RADIUS = 4.6;
const PREDICTED_RADIUS = 4;
/** Readings further apart than this are dots too, so that it shows what was read and what is only a line. */
const DOTS_FROM = 9;
/** Least height between figures of the axis. */
const FIGURES_APART = 26;

export interface Lane {
  readonly data: TraceData;
  readonly stretches: readonly Stretch[];
  /** A state or a count: drawn as a staircase. */
  readonly stepped: boolean;
}

/** What stands on the hairline, in reading units. */
export interface OnHairline {
  readonly timeS: number;
  readonly logged: { readonly timeS: number; readonly value: number } | null;
  readonly expected: number | undefined;
}

const drawStretches = (pixels: Pixels, place: LanePlace, stretches: readonly Stretch[], ink: PackedInk): void => {
  for (const { startS, endS, selected } of stretches) {
    if (endS < place.startS || startS > place.endS) continue;
    const from = Math.max(place.left, place.x(startS));
    pixels.box(from, place.top, Math.max(place.x(endS), from + 3), place.bottom, selected ? ink.accentWash : ink.panel);
  }
};

/** First point of a piece that is drawn in the window, with the one before it; null where the piece has none there. */
const beginOf = ({ timesS }: PredictedPiece, { startS, endS }: LanePlace): number | null => {
  const last = timesS.length - 1;
  if (last < 1 || timesS[last]! < startS || timesS[0]! > endS) return null;
  return Math.max(1, firstIndexAtOrAfter(timesS, startS));
};

/** The predicted band, column by column. */
const drawBand = (pixels: Pixels, place: LanePlace, piece: PredictedPiece, ink: PackedInk): void => {
  const begin = beginOf(piece, place);
  if (begin === null) return;
  const { timesS, low, high } = piece;
  for (let i = begin; i < timesS.length && timesS[i - 1]! <= place.endS; i++) {
    const from = place.x(timesS[i - 1]!);
    const to = place.x(timesS[i]!);
    const stop = Math.min(place.right, Math.round(to));
    for (let column = Math.max(place.left, Math.round(from)); column < stop; column++) {
      const share = (column + 0.5 - from) / (to - from);
      const top = high[i - 1]! + share * (high[i]! - high[i - 1]!);
      const foot = low[i - 1]! + share * (low[i]! - low[i - 1]!);
      pixels.upright(column, place.y(top), place.y(foot), ink.band);
    }
  }
};

/** The line through the middle of the prediction. */
const drawMiddle = (pixels: Pixels, place: LanePlace, piece: PredictedPiece): void => {
  const begin = beginOf(piece, place);
  if (begin === null) return;
  const { timesS, middle } = piece;
  let x = place.x(timesS[begin - 1]!);
  let y = place.y(middle[begin - 1]!);
  for (let i = begin; i < timesS.length && x <= place.right; i++) {
    const nextX = place.x(timesS[i]!);
    // Points closer than a few pixels make so smooth a line no truer.
    if (nextX - x < 3 * place.ratio && i < timesS.length - 1) continue;
    const nextY = place.y(middle[i]!);
    pixels.line(x, y, nextX, nextY, PREDICTED_LINE * place.ratio);
    x = nextX;
    y = nextY;
  }
};

/** More readings than columns: an upright bar in each, by {@link columnBars}. */
const drawDense = (pixels: Pixels, place: LanePlace, { timesS, values }: TraceData, ink: PackedInk): void => {
  const wide = Math.max(1, Math.round(LINE * place.ratio));
  const columns = place.right - place.left;
  const { least, most, bridges } = columnBars(timesS, values, place.startS, place.endS, columns);
  for (let column = 0; column < columns; column++) {
    if (Number.isNaN(least[column]!)) continue;
    const top = place.y(most[column]!) - wide / 2;
    const foot = place.y(least[column]!) + wide / 2;
    const first = place.left + column - (wide >> 1);
    for (let own = 0; own < wide; own++) pixels.upright(first + own, top, foot, ink.ink);
  }
  for (const [column, value, next, nextValue] of bridges) {
    pixels.line(place.left + column, place.y(value), place.left + next, place.y(nextValue), wide);
  }
};

/** The line through every reading, with dots where there is room for them. */
const drawLine = (pixels: Pixels, place: LanePlace, { timesS, values }: TraceData, stepped: boolean): void => {
  const wide = LINE * place.ratio;
  const from = Math.max(0, firstIndexAtOrAfter(timesS, place.startS) - 1);
  const inside = firstIndexAtOrAfter(timesS, place.endS) - from;
  const dots = inside <= (place.right - place.left) / (DOTS_FROM * place.ratio);
  let x = Number.NaN;
  let y = 0;
  for (let i = from; i < timesS.length; i++) {
    const value = values[i]!;
    if (Number.isNaN(value)) {
      // Nothing was read here: the line ends, and begins anew.
      x = Number.NaN;
      continue;
    }
    const nextX = place.x(timesS[i]!);
    const nextY = place.y(value);
    if (!Number.isNaN(x)) {
      if (stepped) {
        pixels.line(x, y, nextX, y, wide);
        pixels.line(nextX, y, nextX, nextY, wide);
      } else pixels.line(x, y, nextX, nextY, wide);
    }
    if (dots) pixels.disc(nextX, nextY, DOT_RADIUS * place.ratio);
    x = nextX;
    y = nextY;
    if (timesS[i]! > place.endS) break;
  }
};

const drawWall = (pixels: Pixels, place: LanePlace, wall: NonNullable<TraceData['wall']>, ink: PackedInk): void => {
  const y = Math.round(place.y(wall.at));
  if (y < place.top - 1 || y > place.bottom + 1) return;
  const { ratio } = place;
  const thick = Math.max(2, Math.round(WALL_LINE * ratio));
  const reach = HATCH_REACH * ratio;
  const [foot, head] = wall.forbidden === 'above' ? [y, y - reach] : [y + reach, y];
  const step = Math.max(2, Math.round(HATCH_STEP * ratio));
  pixels.clip(place.left, place.left + step);
  for (let x = place.left - 2 * step; x < place.left + 2 * step; x += step) {
    pixels.line(x, foot, x + reach, head, HATCH_LINE * ratio);
  }
  pixels.clip(place.left, place.right);
  pixels.repeat(place.left, step, place.right);
  pixels.ink(ink.ink);
  pixels.box(place.left, y - (thick >> 1), place.right, y - (thick >> 1) + thick, ink.ink);
};

/** The hairline and what was read and predicted on it, over the lane. */
export const drawHairline = (pixels: Pixels, place: LanePlace, on: OnHairline, ink: PackedInk): void => {
  const { ratio } = place;
  const x = place.x(on.timeS);
  if (x < place.left || x > place.right) return;
  pixels.clip(place.left, place.right);
  pixels.uprightLine(x, HAIR_LINE * ratio);
  pixels.ink(ink.accent);
  if (on.expected !== undefined) {
    const y = place.y(on.expected);
    pixels.disc(x, y, (PREDICTED_RADIUS + PREDICTED_LINE / 2) * ratio);
    pixels.ink(ink.ink2);
    pixels.disc(x, y, (PREDICTED_RADIUS - PREDICTED_LINE / 2) * ratio);
    pixels.ink(ink.film);
  }
  // On the reading itself, which may stand a little off the hairline.
  const dot = on.logged ? place.x(on.logged.timeS) : Number.NaN;
  if (on.logged && dot >= place.left && dot <= place.right) {
    pixels.disc(dot, place.y(on.logged.value), LOGGED_RADIUS * ratio);
    pixels.ink(ink.ink);
  }
};

const ticksOf = ({ low, high, top, bottom, ratio }: LanePlace): number[] =>
  niceTicks(low, high, Math.max(1, (bottom - top) / (FIGURES_APART * ratio)));

/** All of a lane that is neither writing nor hairline. */
export const drawLane = (pixels: Pixels, place: LanePlace, lane: Lane, ink: PackedInk): void => {
  const { data } = lane;
  pixels.clip(place.left, place.right);
  pixels.clear(ink.film);
  drawStretches(pixels, place, lane.stretches, ink);
  // Nothing was read yet, or nothing here: an axis and a limit would be told of no trace.
  if (data.timesS.length === 0 && data.predicted.length === 0) return;
  const fine = Math.max(1, Math.round(place.ratio));
  for (const tick of ticksOf(place)) {
    const y = Math.round(place.y(tick) - fine / 2);
    pixels.box(place.left, y, place.right, y + fine, ink.rule);
  }
  for (const piece of data.predicted) drawBand(pixels, place, piece, ink);
  for (const piece of data.predicted) drawMiddle(pixels, place, piece);
  pixels.ink(ink.ink2);
  const readings = firstIndexAtOrAfter(data.timesS, place.endS) - firstIndexAtOrAfter(data.timesS, place.startS);
  if (readings > place.right - place.left) drawDense(pixels, place, data, ink);
  else drawLine(pixels, place, data, lane.stepped);
  pixels.ink(ink.ink);
  if (data.wall) drawWall(pixels, place, data.wall, ink);
};

const FIGURES = new Intl.NumberFormat('en-GB', { maximumFractionDigits: 3 });
const figures = new Map<number, string>();
/** A figure of an axis, as it was written last time: writing a number as a language does is slow. */
export const figureOf = (value: number): string => {
  let written = figures.get(value);
  if (written === undefined) {
    if (figures.size > 2000) figures.clear();
    written = FIGURES.format(value);
    figures.set(value, written);
  }
  return written;
};

const pennantsOf = (place: LanePlace, stretches: readonly Stretch[]): Shape[] => {
  const { ratio } = place;
  const shapes: Shape[] = [];
  let flag = 0;
  for (const { startS, endS, selected, letter } of stretches) {
    if (endS < place.startS || startS > place.endS) continue;
    const from = Math.max(place.left / ratio + 2, place.x(startS) / ratio);
    // Flags that would lie on one another stand side by side.
    flag = Math.max(from, flag + 28);
    shapes.push(...pennant(letter, from, Math.min(place.right / ratio - 2, place.x(endS) / ratio), 2, selected, flag));
  }
  return shapes;
};

/** What is written on a lane: figures of its axis, and the pennants of its findings in order of time. */
export const writeLane = (
  pen: CanvasRenderingContext2D,
  place: LanePlace,
  { data, stretches }: Lane,
  ink: Ink,
): void => {
  const { ratio } = place;
  pen.font = `${13 * ratio}px "IBM Plex Sans", sans-serif`;
  pen.textAlign = 'right';
  pen.textBaseline = 'middle';
  pen.fillStyle = ink.ink3;
  const empty = data.timesS.length === 0 && data.predicted.length === 0;
  for (const tick of empty ? [] : ticksOf(place)) {
    const y = place.y(tick);
    // A figure that would be cut off by the lane is no figure.
    if (y > 6 * ratio && y < place.height - 6 * ratio) pen.fillText(figureOf(tick), place.left - 6 * ratio, y);
  }
  const shapes = pennantsOf(place, stretches);
  if (shapes.length > 0) paintShapes(pen, shapes, ink, ratio);
};
