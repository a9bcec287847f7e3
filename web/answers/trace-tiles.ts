/** Tiles of a run's traces in the browser: asked for as the window needs them, the last used kept, memory bounded. */
import type { TilesHead } from '../../src/app/api.ts';
import {
  firstIndexAtOrAfter,
  levelFor,
  type Tile,
  type TiledTime,
  tileSpanS,
  tilesOver,
} from '../../src/logs/tiles.ts';
import type { ChannelName } from '../../src/logs/types.ts';
import { id } from './client.ts';

/** Memory for tiles [bytes]. */
const MOST_BYTES = 64e6;
const AT_ONCE = 3;
const AGAIN_AFTER_MS = 1500;

export type FetchTiles = (
  channels: readonly ChannelName[],
  level: number,
  tile: number,
) => Promise<ReadonlyMap<ChannelName, Tile>>;

/** An answer of tiles, taken apart. */
export const unpackTiles = (bytes: ArrayBuffer): ReadonlyMap<ChannelName, Tile> => {
  const length = new DataView(bytes).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, 4, length))) as TilesHead;
  let at = 4 + length;
  const take = (count: number) => {
    const numbers = new Float64Array(bytes.slice(at, at + 8 * count));
    at += 8 * count;
    return numbers;
  };
  return new Map(
    head.channels.map(({ channel, readings, whole }) => [
      channel,
      { timesS: take(readings), values: take(readings), whole },
    ]),
  );
};

export const tilesFromServer =
  (runId: string): FetchTiles =>
  async (channels, level, tile) => {
    const query = new URLSearchParams({ channels: channels.join(','), level: String(level), tile: String(tile) });
    const response = await fetch(`/api/runs/${id(runId)}/tiles?${query}`);
    if (!response.ok) throw new Error(`tiles were refused (${response.status})`);
    return unpackTiles(await response.arrayBuffer());
  };

/** Readings of a window as they can be drawn now. */
export interface Drawn {
  readonly timesS: Float64Array;
  readonly values: Float64Array;
  /** Changes when other tiles make it up. */
  readonly key: string;
}

interface Place {
  readonly level: number;
  readonly tile: number;
}

/** Reading nearest to a time. */
export interface NearestReading {
  readonly timeS: number;
  readonly value: number;
  /** False while only some of the readings around are here. */
  readonly exact: boolean;
}

const placeOf = ({ level, tile }: Place): string => `${level}/${tile}`;

export class TraceTiles {
  readonly log: TiledTime;
  readonly #fetch: FetchTiles;
  readonly #tiles = new Map<string, Tile>();
  /** Channels wanted by place, the most wanted place first. */
  #wanted: { readonly place: Place; readonly channels: Set<ChannelName> }[] = [];
  readonly #underWay = new Set<string>();
  readonly #listeners = new Set<() => void>();
  readonly #mostBytes: number;
  #bytes = 0;
  #running = 0;
  #failed = false;

  constructor(log: TiledTime, fetchTiles: FetchTiles, mostBytes = MOST_BYTES) {
    this.log = log;
    this.#fetch = fetchTiles;
    this.#mostBytes = mostBytes;
  }

  get bytes(): number {
    return this.#bytes;
  }

  /** True while the server does not answer; it is asked again by itself. */
  get failed(): boolean {
    return this.#failed;
  }

  subscribe(listener: () => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  #key(channel: ChannelName, place: Place): string {
    return `${channel} ${placeOf(place)}`;
  }

  #look(channel: ChannelName, place: Place): Tile | undefined {
    const key = this.#key(channel, place);
    const tile = this.#tiles.get(key);
    if (tile) {
      // The last one looked at leaves last.
      this.#tiles.delete(key);
      this.#tiles.set(key, tile);
    }
    return tile;
  }

  /** Says what a window needs, drawn in so many columns; what earlier windows needed and nobody has begun is let go. */
  want(channels: readonly ChannelName[], startS: number, endS: number, columns: number): void {
    const level = levelFor(this.log, endS - startS, columns);
    const [first, last] = tilesOver(this.log, level, startS, endS);
    const places: Place[] = [{ level: 0, tile: 0 }];
    for (let tile = first; tile <= last; tile++) places.push({ level, tile });
    // Where a pan or a zoom goes next.
    if (last + 1 < 2 ** level) places.push({ level, tile: last + 1 });
    if (first > 0) places.push({ level, tile: first - 1 });
    if (level > 0) {
      const [outer, outerLast] = tilesOver(this.log, level - 1, startS, endS);
      for (let tile = outer; tile <= outerLast; tile++) places.push({ level: level - 1, tile });
    }
    this.#ask(places, channels);
  }

  /** Says that every reading around a time is needed, at `rateHz` readings a second. */
  wantExact(channels: readonly ChannelName[], timeS: number, rateHz: number): void {
    const level = levelFor(this.log, 600 / Math.max(0.1, rateHz), 1200);
    const [tile] = tilesOver(this.log, level, timeS, timeS);
    this.#ask([{ level, tile }], channels, true);
  }

  #ask(places: readonly Place[], channels: readonly ChannelName[], besides = false): void {
    const missing = places.flatMap((place) => {
      const absent = channels.filter((channel) => {
        const key = this.#key(channel, place);
        return !this.#tiles.has(key) && !this.#underWay.has(key);
      });
      return absent.length > 0 ? [{ place, channels: new Set(absent) }] : [];
    });
    this.#wanted = besides ? [...missing, ...this.#wanted] : missing;
    this.#next();
  }

  #next(): void {
    while (this.#running < AT_ONCE && !this.#failed) {
      const wanted = this.#wanted.shift();
      if (!wanted) return;
      const { place } = wanted;
      const channels = [...wanted.channels].filter((channel) => !this.#underWay.has(this.#key(channel, place)));
      if (channels.length === 0) continue;
      const keys = channels.map((channel) => this.#key(channel, place));
      for (const key of keys) this.#underWay.add(key);
      this.#running++;
      this.#fetch(channels, place.level, place.tile)
        .then(
          (tiles) => {
            for (const [channel, tile] of tiles) this.#put(this.#key(channel, place), tile);
          },
          () => {
            this.#failed = true;
            this.#wanted.unshift(wanted);
            setTimeout(() => {
              this.#failed = false;
              this.#next();
            }, AGAIN_AFTER_MS);
          },
        )
        .finally(() => {
          for (const key of keys) this.#underWay.delete(key);
          this.#running--;
          for (const listener of this.#listeners) listener();
          this.#next();
        });
    }
  }

  #put(key: string, tile: Tile): void {
    const sizeOf = ({ timesS, values }: Tile) => timesS.byteLength + values.byteLength;
    const before = this.#tiles.get(key);
    if (before) this.#bytes -= sizeOf(before);
    this.#tiles.set(key, tile);
    this.#bytes += sizeOf(tile);
    for (const [old, its] of this.#tiles) {
      if (this.#bytes <= this.#mostBytes) break;
      // The whole log is what everything falls back on.
      if (old === key || old.endsWith(' 0/0')) continue;
      this.#tiles.delete(old);
      this.#bytes -= sizeOf(its);
    }
  }

  /** What can be drawn of a window now: its own tiles, and coarser ones where they are not here yet; null where nothing is. */
  drawn(channel: ChannelName, startS: number, endS: number, columns: number): Drawn | null {
    const level = levelFor(this.log, endS - startS, columns);
    const [first, last] = tilesOver(this.log, level, startS, endS);
    const spanS = tileSpanS(this.log, level);
    const pieces: { readonly tile: Tile; readonly from: number; readonly to: number }[] = [];
    let key = '';
    let size = 0;
    for (let number = first; number <= last; number++) {
      let place = { level, tile: number };
      let tile = this.#look(channel, place);
      while (!tile && place.level > 0) {
        place = { level: place.level - 1, tile: place.tile >> 1 };
        tile = this.#look(channel, place);
      }
      if (!tile) continue;
      key += `${placeOf(place)}:${number} `;
      const own = place.level === level;
      const fromS = this.log.startS + number * spanS;
      const from = own ? 0 : Math.max(0, firstIndexAtOrAfter(tile.timesS, fromS) - 1);
      const to = own
        ? tile.timesS.length
        : Math.min(tile.timesS.length, firstIndexAtOrAfter(tile.timesS, fromS + spanS) + 1);
      pieces.push({ tile, from, to });
      size += to - from;
    }
    if (pieces.length === 0) return null;
    const timesS = new Float64Array(size);
    const values = new Float64Array(size);
    let at = 0;
    for (const { tile, from, to } of pieces) {
      // Neighbouring tiles share the readings on either side of their border.
      let begin = from;
      while (begin < to && at > 0 && tile.timesS[begin]! <= timesS[at - 1]!) begin++;
      timesS.set(tile.timesS.subarray(begin, to), at);
      values.set(tile.values.subarray(begin, to), at);
      at += to - begin;
    }
    return { timesS: timesS.subarray(0, at), values: values.subarray(0, at), key };
  }

  /** The tiles that {@link drawn} would use, as its `key`, without putting them together. */
  drawnKey(channel: ChannelName, startS: number, endS: number, columns: number): string {
    const level = levelFor(this.log, endS - startS, columns);
    const [first, last] = tilesOver(this.log, level, startS, endS);
    let key = '';
    for (let number = first; number <= last; number++) {
      let place = { level, tile: number };
      while (place.level >= 0 && !this.#tiles.has(this.#key(channel, place))) {
        place = { level: place.level - 1, tile: place.tile >> 1 };
      }
      if (place.level >= 0) key += `${placeOf(place)}:${number} `;
    }
    return key;
  }

  /** The reading nearest to a time: of all readings where they are here, else of those that stand for them. */
  nearest(channel: ChannelName, timeS: number): NearestReading | null {
    for (let level = 20; level >= 0; level--) {
      const [number] = tilesOver(this.log, level, timeS, timeS);
      const tile = this.#tiles.get(this.#key(channel, { level, tile: number }));
      if (!tile || tile.timesS.length === 0) continue;
      const after = Math.min(tile.timesS.length - 1, firstIndexAtOrAfter(tile.timesS, timeS));
      const before = Math.max(0, after - 1);
      const nearer = timeS - tile.timesS[before]! <= tile.timesS[after]! - timeS ? before : after;
      return { timeS: tile.timesS[nearer]!, value: tile.values[nearer]!, exact: tile.whole };
    }
    return null;
  }
}
