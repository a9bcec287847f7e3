/** Tiles of a run's traces for a screen: from whole channels kept in memory, as numbers and not as text. */
import type { Garage } from '../garage/index.ts';
import { type ChannelName, FINEST_LEVEL, type Tile, tileOf } from '../logs/index.ts';
import type { TilesHead, TileView } from './api.ts';
import { BadInput } from './problems.ts';
import type { KeptReview } from './runs.ts';
import { isChannelName, siUnitOf } from './si-units.ts';

export interface TilesRequest {
  readonly runId: string;
  readonly channels: readonly string[];
  readonly level: number;
  readonly tile: number;
}

interface Kept {
  readonly timesS: Float64Array;
  readonly values: Float64Array;
}

/** Memory for whole channels [bytes]: some fifteen of a million readings. */
const MOST_BYTES = 256e6;

/** Whole channels of runs, the last ones asked for; a run's samples never change, so they are never stale. */
export class ChannelShelf {
  readonly #kept = new Map<string, Promise<Kept>>();
  readonly #bytes = new Map<string, number>();
  readonly #mostBytes: number;

  constructor(mostBytes = MOST_BYTES) {
    this.#mostBytes = mostBytes;
  }

  /** Bytes held now. */
  get bytes(): number {
    return [...this.#bytes.values()].reduce((sum, bytes) => sum + bytes, 0);
  }

  take(garage: Garage, runId: string, channel: string): Promise<Kept> {
    const run = garage.run(runId);
    const key = `${run.samples} ${channel}`;
    const known = this.#kept.get(key);
    if (known) {
      // The last one asked for leaves last.
      this.#kept.delete(key);
      this.#kept.set(key, known);
      return known;
    }
    const reading = garage.wholeChannel(run, channel).then(({ timesS, values }) => {
      this.#bytes.set(key, timesS.byteLength + values.byteLength);
      for (const other of [...this.#kept.keys()]) {
        if (this.bytes <= this.#mostBytes || other === key) break;
        this.#kept.delete(other);
        this.#bytes.delete(other);
      }
      return { timesS, values };
    });
    this.#kept.set(key, reading);
    reading.catch(() => this.#kept.delete(key));
    return reading;
  }
}

/** A head as JSON with its length before it, blanks up to a multiple of eight, then times and values of each channel. */
const packed = (head: TilesHead, tiles: readonly Tile[]): Uint8Array => {
  const text = new TextEncoder().encode(JSON.stringify(head));
  const before = 8 * Math.ceil((4 + text.length) / 8);
  const size = tiles.reduce((sum, { timesS, values }) => sum + timesS.byteLength + values.byteLength, 0);
  const out = new Uint8Array(before + size).fill(0x20, 0, before);
  new DataView(out.buffer).setUint32(0, before - 4, true);
  out.set(text, 4);
  let at = before;
  for (const { timesS, values } of tiles) {
    for (const numbers of [timesS, values]) {
      out.set(new Uint8Array(numbers.buffer, numbers.byteOffset, numbers.byteLength), at);
      at += numbers.byteLength;
    }
  }
  return out;
};

/** One tile of each of the named channels; a channel that was not logged is left out. */
export const tilesOfRun = async (garage: Garage, shelf: ChannelShelf, request: TilesRequest): Promise<Uint8Array> => {
  const { runId, channels, level, tile } = request;
  const run = garage.run(runId);
  const unknown = channels.find((name) => !isChannelName(name));
  if (unknown !== undefined) throw new BadInput('bad-request', `There is no channel "${unknown}".`);
  if (run.samples === null) {
    throw new BadInput(
      'not-confirmed',
      `The channels of run "${run.id}" are not confirmed yet: confirm them to see its traces.`,
    );
  }
  if (level > FINEST_LEVEL || tile >= 2 ** level) {
    throw new BadInput('bad-request', `There is no tile ${tile} at level ${level}.`);
  }
  const { startS, endS } = (run.review as KeptReview).answer.log;
  const whole = await Promise.all(channels.map((channel) => shelf.take(garage, runId, channel)));
  const tiles = whole.map(({ timesS, values }) => tileOf(timesS, values, { startS, endS }, level, tile));
  const views = channels.map((channel, i): TileView => {
    const name = channel as ChannelName;
    const { timesS, whole: isWhole } = tiles[i]!;
    return { channel: name, unit: siUnitOf(name), readings: timesS.length, whole: isWhole };
  });
  return packed({ level, tile, startS, endS, channels: views }, tiles);
};
