/** Tiles over the desk: packed as told, the readings of the samples, refused where they cannot be. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { openGarage } from '../garage/index.ts';
import type { TilesHead } from './api.ts';
import { computeHere } from './compute.ts';
import { Desk } from './desk.ts';
import { JOBS } from './jobs.ts';
import { ChannelShelf } from './tiles.ts';

const DEMO = fileURLToPath(new URL('../../data/demo', import.meta.url));

let folder: string;
let desk: Desk;
const runId = 'wren-run-1';

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'tiles-'));
  desk = new Desk(openGarage(folder), computeHere(JOBS));
  await desk.seedDemo(DEMO);
}, 300_000);
afterAll(async () => {
  await desk.close();
  rmSync(folder, { recursive: true, force: true });
});

const unpacked = (bytes: Uint8Array) => {
  const length = new DataView(bytes.buffer, bytes.byteOffset).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(bytes.subarray(4, 4 + length))) as TilesHead;
  let at = 4 + length;
  const take = (count: number) => {
    const numbers = new Float64Array(bytes.slice(at, at + 8 * count).buffer);
    at += 8 * count;
    return numbers;
  };
  return { head, series: head.channels.map(({ readings }) => ({ timesS: take(readings), values: take(readings) })) };
};

describe('tiles of a run', () => {
  it('hold the readings that were kept, channel by channel', async () => {
    const { head, series } = unpacked(
      await desk.tiles({ runId, channels: ['engine-speed', 'lambda'], level: 0, tile: 0 }),
    );
    expect(head.channels.map(({ channel }) => channel)).toEqual(['engine-speed', 'lambda']);
    const kept = await desk.garage.samples(desk.garage.run(runId), ['engine-speed', 'lambda'], head.startS, head.endS);
    kept.forEach(({ timesS, values }, i) => {
      const at = new Map(Array.from(timesS, (timeS, k) => [timeS, values[k]!]));
      expect(series[i]!.timesS.length).toBeGreaterThan(10);
      const odd = series[i]!.timesS.findIndex((timeS, k) => at.get(timeS) !== series[i]!.values[k]);
      expect(odd).toBe(-1);
      expect(Math.max(...series[i]!.values)).toBe(Math.max(...values));
      expect(Math.min(...series[i]!.values)).toBe(Math.min(...values));
    });
  });

  it('are refused for what is not there', async () => {
    const ask = (change: object) => desk.tiles({ runId, channels: ['lambda'], level: 0, tile: 0, ...change });
    await expect(ask({ channels: ['cup-holder'] })).rejects.toThrow('There is no channel "cup-holder".');
    await expect(ask({ tile: 1 })).rejects.toThrow('There is no tile 1 at level 0.');
    const log = readFileSync(join(DEMO, 'logs', 'wren-third-gear.csv'), 'utf8').replace('26.5', '26.4');
    const { run } = await desk.importRun({
      carId: 'otter',
      buildId: 'otter-build-1',
      fileName: 'other.csv',
      bytes: new TextEncoder().encode(log.replaceAll('"Gear"', '"Gear of the box"')),
      assumedRateHz: null,
    });
    await expect(ask({ runId: run.id })).rejects.toThrow('are not confirmed yet');
  });

  it('come from whole channels that leave memory when there are too many', async () => {
    const run = desk.garage.run(runId);
    const one = await desk.garage.wholeChannel(run, 'engine-speed');
    const room = one.timesS.byteLength * 5;
    const shelf = new ChannelShelf(room);
    for (const channel of ['engine-speed', 'manifold-pressure', 'air-flow']) {
      await shelf.take(desk.garage, runId, channel);
      expect(shelf.bytes).toBeLessThanOrEqual(room);
    }
    expect((await shelf.take(desk.garage, runId, 'engine-speed')).values).toEqual(one.values);
  });
});
