/** Looking through pulls, against plain JavaScript over the same 5,000. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { parseBuild } from '../car/index.ts';
import type { Garage } from './garage.ts';
import { addManyPulls } from './many-pulls.testing.ts';
import { openGarage } from './open.ts';
import type { Comparison, PullCondition, PullOrder, PullQuery, PullRecord } from './records.ts';

const COUNT = 5000;
let folder = '';
let garage: Garage;
let made: ReturnType<typeof addManyPulls>;
let flat: readonly { runId: string; buildId: string; place: number; number: number; pull: PullRecord }[];

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'pulls-'));
  garage = openGarage(folder);
  const sheet = parseBuild(
    readFileSync(new URL('../../data/demo/builds/wren-dozen-numbers.json', import.meta.url), 'utf8'),
  );
  if (!sheet.ok) throw new Error('the demo sheet was refused');
  made = addManyPulls(garage, sheet.build, COUNT);
  addManyPulls(garage, sheet.build, 40, 'Other car');
  flat = made.kept.flatMap(({ runId, buildId, pulls }, run) =>
    pulls.map((pull, place) => ({ runId, buildId, place, number: run + 1, pull })),
  );
}, 120_000);
afterAll(() => {
  garage.close();
  rmSync(folder, { recursive: true, force: true });
});

const compare = (value: number | null | undefined, comparison: Comparison, with_: number): boolean => {
  if (value === null || value === undefined) return false;
  if (comparison === '<') return value < with_;
  if (comparison === '<=') return value <= with_;
  if (comparison === '>') return value > with_;
  if (comparison === '>=') return value >= with_;
  return value === with_;
};
const statistic = (pull: PullRecord, channel: string) => pull.statistics.find((one) => one.channel === channel);

/** The slow oracle. */
const fits = ({ pull, buildId }: (typeof flat)[number], condition: PullCondition): boolean => {
  switch (condition.kind) {
    case 'statistic':
      return compare(
        statistic(pull, condition.channel)?.[condition.statistic],
        condition.comparison,
        condition.valueSi,
      );
    case 'duration':
      return compare(pull.endS - pull.startS, condition.comparison, condition.valueSi);
    case 'gear':
      return pull.gears.some((gear) => compare(gear, condition.comparison, condition.valueSi));
    case 'finding':
      return condition.id === null ? pull.findings.length === 0 : pull.findings.some(({ id }) => id === condition.id);
    case 'build':
      return buildId === condition.id;
  }
};
const sortKey = (pull: PullRecord, order: PullOrder): number | null => {
  if (order.by === 'power') return pull.powerW?.p50 ?? null;
  if (order.by === 'duration') return pull.endS - pull.startS;
  return order.by === 'statistic' ? (statistic(pull, order.channel)?.[order.statistic] ?? null) : null;
};
const oracle = ({ conditions, order }: PullQuery) =>
  flat
    .filter((row) => conditions.every((condition) => fits(row, condition)))
    .sort((a, b) => {
      const newest = b.number - a.number || a.place - b.place;
      if (order.by === 'newest') return newest;
      const [x, y] = [sortKey(a.pull, order), sortKey(b.pull, order)];
      if (x === null || y === null) return x === y ? newest : x === null ? 1 : -1;
      return (order.rising ? x - y : y - x) || newest;
    });

const STATISTICS = ['least', 'most', 'mean', 'atPeakPower'] as const;
const channelNames = fc.constantFrom('boost', 'lambda', 'charge-temperature', 'power', 'exhaust-pressure');
const comparisons = fc.constantFrom<Comparison>('<', '<=', '>', '>=');
const conditions: fc.Arbitrary<PullCondition> = fc.oneof(
  fc.record({
    kind: fc.constant('statistic' as const),
    channel: channelNames,
    statistic: fc.constantFrom(...STATISTICS),
    comparison: comparisons,
    valueSi: fc.double({ min: 0, max: 1000, noNaN: true }),
  }),
  fc.record({
    kind: fc.constantFrom('duration' as const, 'gear' as const),
    comparison: fc.constantFrom<Comparison>('<', '<=', '>', '>=', '='),
    valueSi: fc.integer({ min: 1, max: 10 }),
  }),
  fc.record({ kind: fc.constant('finding' as const), id: fc.constantFrom('knock', 'boost-leak', 'surge', null) }),
  fc.record({ kind: fc.constant('build' as const), id: fc.constantFrom('heron-build-1', 'heron-build-2', 'none') }),
);
const orders: fc.Arbitrary<PullOrder> = fc.oneof(
  fc.constant<PullOrder>({ by: 'newest' }),
  fc.record({ by: fc.constantFrom('duration' as const, 'power' as const), rising: fc.boolean() }),
  fc.record({
    by: fc.constant('statistic' as const),
    channel: channelNames,
    statistic: fc.constantFrom(...STATISTICS),
    rising: fc.boolean(),
  }),
);

describe('looking through 5,000 pulls', () => {
  test('finds, sorts and counts as plain JavaScript does', () => {
    fc.assert(
      fc.property(
        fc.array(conditions, { maxLength: 4 }),
        orders,
        fc.integer({ min: 0, max: 60 }),
        (list, order, offset) => {
          const query: PullQuery = { conditions: list, order, offset, limit: 25, channels: ['boost', 'lambda'] };
          const found = garage.pulls.find('heron', query);
          const wanted = oracle(query);
          expect(found.total).toBe(wanted.length);
          expect(found.ofCar).toBe(COUNT);
          const page = wanted.slice(offset, offset + 25);
          expect(found.pulls.map(({ runId, place }) => [runId, place])).toEqual(
            page.map(({ runId, place }) => [runId, place]),
          );
          found.pulls.forEach((pull, i) => {
            const { statistics, ...rest } = page[i]!.pull;
            expect(pull).toMatchObject(rest);
            expect(pull.statistics).toEqual(
              ['boost', 'lambda'].flatMap((channel) => statistics.find((one) => one.channel === channel) ?? []),
            );
          });
        },
      ),
      { numRuns: 60, seed: 11 },
    );
  }, 60_000);

  test('says how many pulls do not have what is asked about', () => {
    const asked = (channel: string, kind: 'most' | 'atPeakPower'): PullCondition => ({
      kind: 'statistic',
      channel,
      statistic: kind,
      comparison: '>',
      valueSi: 0,
    });
    const { without } = garage.pulls.find('heron', {
      conditions: [asked('lambda', 'most'), asked('boost', 'atPeakPower'), asked('shaft-speed', 'most')],
      order: { by: 'newest' },
      offset: 0,
      limit: 1,
      channels: [],
    });
    // Every tenth pull has no lambda, every seventh no power and so nothing at its peak.
    expect(without).toEqual([COUNT / 10, Math.ceil(COUNT / 7), COUNT]);
  });

  test('text from outside stays text', () => {
    const nasty = `x' OR 1=1; DROP TABLE pull; --`;
    const { total } = garage.pulls.find('heron', {
      conditions: [
        { kind: 'statistic', channel: nasty, statistic: 'most', comparison: '>', valueSi: 0 },
        { kind: 'finding', id: nasty },
        { kind: 'build', id: nasty },
      ],
      order: { by: 'statistic', channel: nasty, statistic: 'mean', rising: true },
      offset: 0,
      limit: 10,
      channels: [nasty],
    });
    expect(total).toBe(0);
    expect(garage.pulls.channels('heron').length).toBe(26);
    expect(garage.faults().filter((text) => !text.includes('missing'))).toEqual([]);
  });

  test('names the channels of a car', () => {
    const names = garage.pulls.channels('heron');
    expect(names).toEqual(
      [...new Set(flat.flatMap(({ pull }) => pull.statistics.map(({ channel }) => channel)))].sort(),
    );
  });
});

describe('keeping pulls', () => {
  test('again puts the new ones in place of the old, and nothing is left behind', () => {
    const [first] = made.kept;
    const run = garage.run(first!.runId);
    garage.pulls.keep(run, { version: 'later', pulls: first!.pulls.slice(0, 2) });
    const find = () =>
      garage.pulls.find('heron', {
        conditions: [],
        order: { by: 'newest' },
        offset: 0,
        limit: COUNT,
        channels: ['boost'],
      });
    expect(find().total).toBe(COUNT - first!.pulls.length + 2);
    garage.pulls.keep(run, { version: 'invented', pulls: first!.pulls });
    expect(find().total).toBe(COUNT);
    expect(find().pulls.every(({ statistics }) => statistics.length === 1)).toBe(true);
  });

  test('only confirmed runs of another version are to be read', () => {
    // None of the invented runs was confirmed.
    expect(garage.pulls.runsToRead('heron', 'later')).toEqual([]);
  });
});
