/**
 * Part load against measured fuel maps: US EPA, National Vehicle and Fuel Emissions Laboratory, benchmarking test packages
 * (public domain), kept beside the checkout. Only what a data sheet says of the engines goes in.
 */
import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { loadMapWithBands } from './index.ts';
import { CELL_AIR, engineOf, MEASURED_ENGINES } from './part-load-engines.testing.ts';

const FOLDER = join(import.meta.dirname, '../../../shared/real');

interface CellRow {
  readonly engineSpeedRpm: number;
  readonly torqueNm: number;
  readonly fuelFlowKgPerS: number;
  /** Torque over the most at this speed. */
  readonly share: number;
}

/** The rows of a map, or null where the file is not beside this checkout. */
const cellRows = (file: string): CellRow[] | null => {
  const path = join(FOLDER, file);
  if (!existsSync(path)) return null;
  const rows = readFileSync(path, 'utf8')
    .split('\n')
    .map((line) => line.split(',').map(Number))
    .filter((cells) => cells.length === 5 && cells.every(Number.isFinite)) as [number, number, number][];
  const most = new Map<number, number>();
  for (const [rpm, torque] of rows) most.set(rpm, Math.max(most.get(rpm) ?? 0, torque));
  return rows.map(([rpm, torque, gPerS]) => ({
    engineSpeedRpm: rpm,
    torqueNm: torque,
    fuelFlowKgPerS: gPerS / 1000,
    share: torque / (most.get(rpm) ?? torque),
  }));
};

/** 1500 rpm and 4500 rpm as the maps have them: 1497 to 4501. */
const inRegion = ({ engineSpeedRpm, share }: CellRow): boolean =>
  engineSpeedRpm > 1490 && engineSpeedRpm < 4510 && share >= 0.3 && share <= 0.85;

const mean = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0) / values.length;

describe.each(MEASURED_ENGINES)('$file', ({ file, sheet }) => {
  const rows = cellRows(file);
  if (!rows) console.warn(`not run: ${file} (the measured maps are not beside this checkout)`);

  it('fuel flow within 6 % rms and inside p10-p90 at 8 of 10 points, from the data sheet alone', () => {
    expect(rows === null).toBe(cellRows(file) === null);
    if (!rows) return;
    const used = rows.filter(inRegion);
    expect(used.length).toBeGreaterThan(100);
    const map = loadMapWithBands(engineOf(sheet), CELL_AIR, { points: used }, { samples: 128 });
    const found = used.flatMap((row) => {
      const at = map.points.find(
        (point) =>
          point.engineSpeedRpm === row.engineSpeedRpm && Math.abs(point.torqueNm - row.torqueNm) < 0.01 * row.torqueNm,
      );
      return at ? [{ row, band: at.fuelFlowKgPerS, error: at.fuelFlowKgPerS.p50 / row.fuelFlowKgPerS - 1 }] : [];
    });
    const missing = used.length - found.length;
    const rms = Math.sqrt(mean(found.map(({ error }) => error ** 2)));
    const inside = found.filter(
      ({ row, band }) => band.p10 <= row.fuelFlowKgPerS && row.fuelFlowKgPerS <= band.p90,
    ).length;
    const width = mean(found.map(({ band }) => (band.p90 - band.p10) / band.p50));
    const region = (slow: number, light: number) =>
      found
        .filter(({ row }) => row.engineSpeedRpm >= slow && row.engineSpeedRpm < slow + 1000)
        .filter(({ row }) => row.share >= light && row.share < light + 0.14);
    const table = [1490, 2490, 3490].map((slow) =>
      [0.3, 0.44, 0.58, 0.72]
        .map((light) => (100 * mean(region(slow, light).map(({ error }) => error))).toFixed(1))
        .join(' '),
    );
    console.info(
      `${file}: ${found.length} points, rms ${(100 * rms).toFixed(2)} %, bias ${(100 * mean(found.map(({ error }) => error))).toFixed(2)} %, ` +
        `inside ${((100 * inside) / found.length).toFixed(0)} %, width ${(100 * width).toFixed(1)} %, out of reach ${missing}; ` +
        `bias by speed (1.5, 2.5, 3.5 to 4.5 thousand) and load (30, 44, 58, 72 %): ${table.join(' / ')}`,
    );
    expect(missing).toBeLessThanOrEqual(0.05 * used.length);
    expect(rms).toBeLessThan(0.06);
    // A point out of reach counts as outside.
    expect(inside / used.length).toBeGreaterThanOrEqual(0.8);
    // Wider than this would be no prediction.
    expect(width).toBeLessThan(0.15);
  });
});
