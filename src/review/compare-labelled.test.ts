/** Differences of power against labelled logs of invented cars: how often the truth lies inside. Needs the logs beside the checkout. */
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import {
  gearingOf,
  LABELLED,
  type LabelledLog,
  labelledLogs,
  onLogClock,
  readBytes,
  type Told,
  type ToldClock,
} from '../../tests/labelled-logs.ts';
import type { ResolvedBuild } from '../car/index.ts';
import { readLog } from '../logs/index.ts';
import type { PullBasis } from './compare/types.ts';
import { comparePulls } from './compare.ts';
import { pullBases } from './index.ts';

const present = existsSync(join(LABELLED, 'each'));

interface Truth extends Told, ToldClock {
  readonly car: string;
  readonly pulls: {
    readonly t_start: number;
    readonly t_end: number;
    readonly gear: number;
    readonly curve: { readonly rpm: number[]; readonly power_kW: number[] };
  }[];
}

interface Item {
  readonly car: string;
  readonly basis: PullBasis;
  readonly resolved: ResolvedBuild;
  /** True power [W] by gear and engine speed. */
  readonly trueW: ReadonlyMap<string, number>;
}

const itemsOf = ({ folder, name, truth, resolved }: LabelledLog<Truth>): Item[] => {
  const read = readLog(readBytes(folder, truth), { gearing: gearingOf(resolved.car) });
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
  // The body of a suite is read even where its tests do not run.
  const items = present ? labelledLogs<Truth>(({ clean, pulls }) => clean && pulls.length > 0).flatMap(itemsOf) : [];
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
  expect(present).toBe(existsSync(join(LABELLED, 'each')));
});
