/** Tiles in the browser: what is drawn, what is read off, and that memory stays bounded. The tiles themselves: logs/tiles.test.ts. */
import { describe, expect, it } from 'vitest';
import { tileOf } from '../../src/logs/tiles.ts';
import type { ChannelName } from '../../src/logs/types.ts';
import { TraceTiles } from './trace-tiles.ts';

const log = { startS: 0, endS: 1000 };
const timesS = Float64Array.from({ length: 100_001 }, (_, i) => i / 100);
const values = timesS.map((timeS, i) => Math.sin(timeS) + (i === 54_321 ? 50 : 0));

const made = (mostBytes?: number) => {
  const asked: string[] = [];
  const tiles = new TraceTiles(
    log,
    async (channels, level, tile) => {
      asked.push(`${level}/${tile}`);
      return new Map(channels.map((channel) => [channel, tileOf(timesS, values, log, level, tile)]));
    },
    mostBytes,
  );
  const settled = async () => {
    for (let i = 0; i < 200; i++) await Promise.resolve();
    await new Promise((done) => setTimeout(done, 5));
  };
  return { tiles, asked, settled };
};
const NAMES: readonly ChannelName[] = ['engine-speed'];

describe('tiles in the browser', () => {
  it('draw the whole log first and the window when it is here, in order and without a reading twice', async () => {
    const { tiles, settled } = made();
    expect(tiles.drawn('engine-speed', 500, 600, 1000)).toBeNull();
    tiles.want(NAMES, 500, 600, 1000);
    await settled();
    const drawn = tiles.drawn('engine-speed', 500, 600, 1000)!;
    expect(drawn.timesS[0]).toBeLessThanOrEqual(500);
    expect(drawn.timesS.at(-1)).toBeGreaterThanOrEqual(600);
    expect(drawn.timesS.every((timeS, i, all) => i === 0 || timeS > all[i - 1]!)).toBe(true);
    expect(Math.max(...drawn.values)).toBe(values[54_321]);
    expect(drawn.key).toBe(tiles.drawnKey('engine-speed', 500, 600, 1000));
  });

  it('show a lone peak of one reading at every zoom', async () => {
    const { tiles, settled } = made();
    for (const half of [500, 200, 50, 10, 1, 0.2]) {
      const [startS, endS] = [Math.max(0, 543.21 - half), Math.min(1000, 543.21 + half)];
      tiles.want(NAMES, startS, endS, 1200);
      await settled();
      const drawn = tiles.drawn('engine-speed', startS, endS, 1200)!;
      expect(Math.max(...drawn.values)).toBe(values[54_321]);
    }
  });

  it('read off the very reading nearest to the hairline', async () => {
    const { tiles, settled } = made();
    tiles.want(NAMES, 0, 1000, 1000);
    await settled();
    expect(tiles.nearest('engine-speed', 123.454)!.exact).toBe(false);
    tiles.wantExact(NAMES, 123.454, 100);
    await settled();
    expect(tiles.nearest('engine-speed', 123.454)).toEqual({
      timeS: 123.45,
      value: values[12_345],
      exact: true,
    });
  });

  it('keep within their memory however far one pans', async () => {
    const { tiles, settled } = made(400_000);
    for (let startS = 0; startS < 980; startS += 10) {
      tiles.want(NAMES, startS, startS + 20, 1200);
      await settled();
      expect(tiles.bytes).toBeLessThanOrEqual(400_000);
    }
    expect(tiles.drawn('engine-speed', 960, 980, 1200)).not.toBeNull();
  });
});
