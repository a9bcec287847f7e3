/** Powers against labelled logs of invented cars, read and reviewed as a user's are. Needs the logs beside the checkout. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { describe, expect, it } from 'vitest';
import { checkBuild, type ResolvedBuild, resolveBuild } from '../../car/index.ts';
import { type Pull, readLog } from '../../logs/index.ts';
import type { Band, CurvePoint } from '../types.ts';
import { pullPowers } from './pull-powers.ts';

const FOLDER = resolve(import.meta.dirname, '../../../../shared/logs');
const SETS = ['each', 'mixed'];
const SCRIPT = pathToFileURL(resolve(import.meta.dirname, '../../../scripts/labelled-build.mjs')).href;
const present = existsSync(join(FOLDER, 'each'));

interface TruePull {
  readonly t_start: number;
  readonly t_end: number;
  readonly gear: number;
  readonly curve: { readonly rpm: number[]; readonly power_kW: number[] };
}
interface Truth {
  readonly log: string;
  readonly car: string;
  readonly clean: boolean;
  readonly pulls: TruePull[];
  readonly t0_log_s: number;
  readonly time_map: { readonly from_s: number; readonly to_s: number | null; readonly log_minus_true_s: number }[];
  readonly told_car: unknown;
  readonly told_compressor_map: string;
}

type BuildMaker = (told: unknown, map: unknown) => unknown;
const { buildFromToldCar } = (await import(/* @vite-ignore */ SCRIPT)) as { buildFromToldCar: BuildMaker };

interface Point {
  readonly log: string;
  readonly clean: boolean;
  readonly trueW: number;
  readonly bands: Partial<Record<'combined' | 'air' | 'fuel' | 'acceleration' | 'predicted', Band>>;
}

const onLogClock = (truth: Truth, timeS: number): number => {
  const row = truth.time_map.find(({ from_s, to_s }) => timeS >= from_s && (to_s === null || timeS < to_s));
  return timeS + (row?.log_minus_true_s ?? truth.t0_log_s);
};

const ownersBuild = (folder: string, truth: Truth): ResolvedBuild => {
  const map = JSON.parse(readFileSync(join(folder, truth.told_compressor_map), 'utf8'));
  const read = checkBuild(buildFromToldCar(truth.told_car, map));
  if (!read.ok) throw new Error(`${truth.log}: ${JSON.stringify(read.problems)}`);
  return resolveBuild(read.build);
};

const rowsOf = (curve: readonly CurvePoint[], truth: TruePull) =>
  truth.curve.rpm.flatMap((rpm, i) => {
    const row = curve.find(({ engineSpeedRpm, gear }) => engineSpeedRpm === rpm && gear === truth.gear);
    return row ? [{ row, trueW: truth.curve.power_kW[i]! * 1e3 }] : [];
  });

const pointsOf = (folder: string, name: string): Point[] => {
  const truth: Truth = JSON.parse(readFileSync(join(folder, name), 'utf8'));
  if (truth.pulls.length === 0) return [];
  const resolved = ownersBuild(folder, truth);
  const { facts, driveline, tyres } = resolved.car;
  const rpmPerMPerS = facts.gearRatios.map((r) => (r * driveline.finalDrive * 30) / (Math.PI * tyres.rollingRadiusM));
  const read = readLog(readFileSync(join(folder, truth.log)), { gearing: { rpmPerMPerS } });
  if (!read.ok) throw new Error(`${name}: ${read.problem.says}`);
  const powers = pullPowers(read.log, read.log.pulls, resolved);
  return truth.pulls.flatMap((one) => {
    const [from, to] = [onLogClock(truth, one.t_start), onLogClock(truth, one.t_end)];
    const covers = (pull: Pull) => pull.startS < to && pull.endS > from;
    const index = read.log.pulls.findIndex(covers);
    if (index < 0) return [];
    return rowsOf(powers[index]!.curve, one).map(({ row, trueW }) => ({
      log: name,
      clean: truth.clean,
      trueW,
      bands: {
        combined: row.powerW,
        ...(row.fromAirW ? { air: row.fromAirW } : {}),
        ...(row.fromFuelW ? { fuel: row.fromFuelW } : {}),
        ...(row.fromAccelerationW ? { acceleration: row.fromAccelerationW } : {}),
        ...(row.predictedPowerW ? { predicted: row.predictedPowerW } : {}),
      },
    }));
  });
};

const median = (values: number[]): number => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)]!;

const scoreOf = (points: readonly Point[], which: keyof Point['bands']) => {
  const found = points.flatMap(({ bands, trueW }) => (bands[which] ? [{ band: bands[which], trueW }] : []));
  const errors = found.map(({ band, trueW }) => band.p50 / trueW - 1);
  return {
    points: found.length,
    bias: median(errors),
    medianError: median(errors.map(Math.abs)),
    inBand: found.filter(({ band, trueW }) => band.p10 <= trueW && trueW <= band.p90).length / found.length,
  };
};

describe('power against labelled logs', () => {
  if (!present) {
    console.info('not run: no labelled logs beside the checkout (../shared/logs)');
    it('says plainly that the logs are not there', () => {
      expect(present).toBe(false);
    });
    return;
  }
  it('is honest: bands hold about as often as they say, errors small, no bias', { timeout: 600_000 }, () => {
    const points = SETS.flatMap((set) => {
      const folder = join(FOLDER, set);
      return readdirSync(folder)
        .filter((name) => name.endsWith('.truth.json'))
        .flatMap((name) => pointsOf(folder, name));
    });
    const table = Object.fromEntries(
      (['combined', 'air', 'fuel', 'acceleration', 'predicted'] as const).map((which) => [
        which,
        scoreOf(points, which),
      ]),
    );
    console.table(table);
    console.info(
      'clean logs, combined:',
      scoreOf(
        points.filter(({ clean }) => clean),
        'combined',
      ),
    );
    const combined = table.combined!;
    expect(combined.points).toBeGreaterThan(900);
    expect(combined.inBand).toBeGreaterThanOrEqual(0.7);
    expect(combined.inBand).toBeLessThanOrEqual(0.9);
    expect(combined.medianError).toBeLessThan(0.03);
    expect(Math.abs(combined.bias)).toBeLessThan(0.01);
    // Three ways that each stand on their own feet.
    for (const which of ['air', 'fuel', 'acceleration'] as const) expect(table[which]!.medianError).toBeLessThan(0.05);
  });
});
