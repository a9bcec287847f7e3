/** Differences of power against labelled logs of invented cars: how often the truth lies inside. Needs the logs beside the checkout. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { describe, expect, it } from 'vitest';
import { checkBuild, type ResolvedBuild, resolveBuild } from '../car/index.ts';
import { readLog } from '../logs/index.ts';
import type { PullBasis } from './compare/types.ts';
import { comparePulls } from './compare.ts';
import { pullBases } from './index.ts';

const FOLDER = resolve(import.meta.dirname, '../../../shared/logs');
const SCRIPT = pathToFileURL(resolve(import.meta.dirname, '../../scripts/labelled-build.mjs')).href;
const present = existsSync(join(FOLDER, 'each'));

interface Truth {
  readonly log: string;
  readonly car: string;
  readonly clean: boolean;
  readonly pulls: {
    readonly t_start: number;
    readonly t_end: number;
    readonly gear: number;
    readonly curve: { readonly rpm: number[]; readonly power_kW: number[] };
  }[];
  readonly t0_log_s: number;
  readonly time_map: { readonly from_s: number; readonly to_s: number | null; readonly log_minus_true_s: number }[];
  readonly told_car: unknown;
  readonly told_compressor_map: string;
}

interface Item {
  readonly car: string;
  readonly basis: PullBasis;
  readonly resolved: ResolvedBuild;
  /** True power [W] by gear and engine speed. */
  readonly trueW: ReadonlyMap<string, number>;
}

type BuildMaker = (told: unknown, map: unknown) => unknown;
const { buildFromToldCar } = (await import(/* @vite-ignore */ SCRIPT)) as { buildFromToldCar: BuildMaker };

const onLogClock = (truth: Truth, timeS: number): number => {
  const row = truth.time_map.find(({ from_s, to_s }) => timeS >= from_s && (to_s === null || timeS < to_s));
  return timeS + (row?.log_minus_true_s ?? truth.t0_log_s);
};

const itemsOf = (folder: string, name: string): Item[] => {
  const truth: Truth = JSON.parse(readFileSync(join(folder, name), 'utf8'));
  if (!truth.clean || truth.pulls.length === 0) return [];
  const map = JSON.parse(readFileSync(join(folder, truth.told_compressor_map), 'utf8'));
  const build = checkBuild(buildFromToldCar(truth.told_car, map));
  if (!build.ok) throw new Error(`${name}: ${JSON.stringify(build.problems)}`);
  const resolved = resolveBuild(build.build);
  const { facts, driveline, tyres } = resolved.car;
  const rpmPerMPerS = facts.gearRatios.map((r) => (r * driveline.finalDrive * 30) / (Math.PI * tyres.rollingRadiusM));
  const read = readLog(readFileSync(join(folder, truth.log)), { gearing: { rpmPerMPerS } });
  if (!read.ok) throw new Error(`${name}: ${read.problem.says}`);
  return pullBases(read.log, truth.log, resolved).map((basis) => {
    const inside = truth.pulls.filter(
      ({ t_start, t_end }) => basis.startS < onLogClock(truth, t_end) && basis.endS > onLogClock(truth, t_start),
    );
    const trueW = new Map(
      inside.flatMap(({ gear, curve }) =>
        curve.rpm.map((rpm, i): [string, number] => [`${gear} ${rpm}`, curve.power_kW[i]! * 1e3]),
      ),
    );
    return { car: truth.car, basis, resolved, trueW };
  });
};

describe.runIf(present)('differences between clean labelled pulls of one car', () => {
  const items = ['each', 'mixed'].flatMap((set) => {
    const folder = join(FOLDER, set);
    return readdirSync(folder)
      .filter((name) => name.endsWith('.truth.json'))
      .flatMap((name) => itemsOf(folder, name));
  });
  const points = items.flatMap((one, i) =>
    items.slice(i + 1).flatMap((two) => {
      if (one.car !== two.car) return [];
      return comparePulls({ ...one, name: 'A' }, { ...two, name: 'B' }).speeds.flatMap((row) => {
        const key = `${row.gear} ${row.engineSpeedRpm}`;
        const [first, second] = [one.trueW.get(key), two.trueW.get(key)];
        return row.asMeasured && first !== undefined && second !== undefined
          ? [{ power: row.asMeasured, trueW: second - first, levelW: first }]
          : [];
      });
    }),
  );

  it('are many enough to tell', () => {
    expect(points.length).toBeGreaterThan(150);
  });

  it('lie inside p10 to p90 in 72 to 90 % of bins', () => {
    const inside = points.filter(
      ({ power: { differenceW }, trueW }) => trueW >= differenceW.p10 && trueW <= differenceW.p90,
    );
    const share = inside.length / points.length;
    const relative = (sum: number) => ((100 * sum) / points.length).toFixed(1);
    const width = points.reduce((sum, { power, levelW }) => {
      const { p10, p90 } = power.differenceW;
      return sum + (p90 - p10) / 2 / levelW;
    }, 0);
    console.log(
      `${points.length} bins, ${(100 * share).toFixed(0)} % inside, mean half band ${relative(width)} % of power`,
    );
    expect(share).toBeGreaterThan(0.72);
    expect(share).toBeLessThan(0.9);
  });

  it('have narrower bands than the two powers would have by themselves', () => {
    const narrower = points.filter(({ power: { firstW, secondW, differenceW } }) => {
      const apart = Math.hypot(firstW.p90 - firstW.p10, secondW.p90 - secondW.p10);
      return differenceW.p90 - differenceW.p10 < apart;
    });
    // Single powers are told by the agreement of their ways, differences are not: some of these bands are the wider ones.
    expect(narrower.length / points.length).toBeGreaterThan(0.6);
  });
});

it('says when it did not look', () => {
  if (!present)
    console.warn('not run: differences between labelled logs: the folder of labelled logs is not beside the checkout');
  expect(present).toBe(existsSync(join(FOLDER, 'each')));
});
