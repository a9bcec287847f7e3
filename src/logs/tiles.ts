/**
 * Tiles of a trace: the log's time cut into ever finer pieces, each small enough to draw. Where a tile holds too many
 * readings, equal stretches of its time stand for them by their first, lowest, highest and last reading, so that a drawing
 * with a stretch or more in every pixel column looks as if all readings had been drawn and no peak is lost.
 * Source: first, lowest, highest and last per pixel column draw a line without error: Jugel et al., Proc. VLDB 7 (2014) 797.
 */
import { firstIndexAtOrAfter } from './sampling.ts';

export { firstIndexAtOrAfter };

/** Stretches of a tile. */
export const TILE_STRETCHES = 512;
/** A tile with this many readings or fewer holds them all. */
export const TILE_READINGS = 4 * TILE_STRETCHES;
/** Finest level: an hour in pieces of a few milliseconds. */
export const FINEST_LEVEL = 20;

/** Where the tiles of a log begin and how long it is. */
export interface TiledTime {
  readonly startS: number;
  readonly endS: number;
}

/** Length [s] of a tile at a level: the whole log at level 0, half of it at level 1, and so on. */
export const tileSpanS = ({ startS, endS }: TiledTime, level: number): number =>
  Math.max(1e-3, endS - startS) / 2 ** level;

/** The coarsest level with a stretch or more in each of `columns` columns of a window of `windowS` seconds. */
export const levelFor = (log: TiledTime, windowS: number, columns: number): number => {
  const wanted = (TILE_STRETCHES * windowS) / Math.max(1, columns);
  const level = Math.ceil(Math.log2(tileSpanS(log, 0) / Math.max(1e-6, wanted)));
  return Math.min(FINEST_LEVEL, Math.max(0, level));
};

/** Numbers of the tiles at a level that a window touches, first and last. */
export const tilesOver = (log: TiledTime, level: number, startS: number, endS: number): [number, number] => {
  const spanS = tileSpanS(log, level);
  const held = (tile: number) => Math.min(2 ** level - 1, Math.max(0, Math.floor(tile)));
  return [held((startS - log.startS) / spanS), held((endS - log.startS) / spanS)];
};

/** Readings of a tile in order of time. */
export interface Tile {
  readonly timesS: Float64Array;
  readonly values: Float64Array;
  /** True when every reading of its time is there. */
  readonly whole: boolean;
}

/**
 * Tile number `tile` at `level` of a channel: readings with `start <= time < start + span`, and the neighbours on either
 * side, so that the line runs on to the next tile.
 *
 * @param timesS of the readings [s], ascending
 * @param values finite
 */
export const tileOf = (
  timesS: Float64Array,
  values: Float64Array,
  log: TiledTime,
  level: number,
  tile: number,
): Tile => {
  const spanS = tileSpanS(log, level);
  const startS = log.startS + tile * spanS;
  const last = tile === 2 ** level - 1;
  const first = firstIndexAtOrAfter(timesS, startS);
  const end = last ? timesS.length : firstIndexAtOrAfter(timesS, startS + spanS);
  const from = Math.max(0, first - 1);
  const to = Math.min(timesS.length, end + 1);
  if (end - first <= TILE_READINGS) {
    return { timesS: timesS.slice(from, to), values: values.slice(from, to), whole: true };
  }
  const kept = new Int32Array(4 * TILE_STRETCHES + 2);
  let size = 0;
  const keep = (index: number) => {
    if (size === 0 || kept[size - 1]! < index) kept[size++] = index;
  };
  if (from < first) keep(from);
  let i = first;
  for (let stretch = 0; stretch < TILE_STRETCHES && i < end; stretch++) {
    const untilS =
      stretch === TILE_STRETCHES - 1 ? Number.POSITIVE_INFINITY : startS + ((stretch + 1) * spanS) / TILE_STRETCHES;
    const begin = i;
    let low = i;
    let high = i;
    while (i < end && timesS[i]! < untilS) {
      if (values[i]! < values[low]!) low = i;
      if (values[i]! > values[high]!) high = i;
      i++;
    }
    if (i === begin) continue;
    keep(begin);
    keep(Math.min(low, high));
    keep(Math.max(low, high));
    keep(i - 1);
  }
  if (end < to) keep(end);
  const places = kept.subarray(0, size);
  return {
    timesS: Float64Array.from(places, (index) => timesS[index]!),
    values: Float64Array.from(places, (index) => values[index]!),
    whole: false,
  };
};
