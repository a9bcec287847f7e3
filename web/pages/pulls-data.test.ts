/** Conditions between fields, address and the server's words; both readers agree on what is meant. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readCondition } from '../../src/app/pull-filter.ts';
import { CHANNEL_NAMES } from '../../src/logs/types.ts';
import { METRIC_UNITS, makeUnits, US_UNITS } from '../state/units.ts';
import {
  askOf,
  askText,
  type ConditionRow,
  conditionText,
  conditionWords,
  rowOf,
  type StatisticName,
  type StatisticWord,
} from './pulls-data.ts';

const systems = { metric: makeUnits(METRIC_UNITS, null), us: makeUnits(US_UNITS, null) };
const channels = [...CHANNEL_NAMES.filter((name) => name !== 'time'), 'boost', 'power', 'torque'] as StatisticName[];
const rows: fc.Arbitrary<ConditionRow> = fc.record({
  kind: fc.constant('statistic' as const),
  channel: fc.constantFrom(...channels),
  statistic: fc.constantFrom<StatisticWord>('min', 'max', 'mean', 'at-power'),
  over: fc.boolean(),
  typed: fc.integer({ min: -400, max: 90_000 }).map((n) => String(n / 100)),
});

describe('a condition typed in reading units', () => {
  it('is read by the server as the same number in SI, for every channel and both unit systems', () => {
    fc.assert(
      fc.property(rows, fc.constantFrom('metric' as const, 'us' as const), (row, system) => {
        const units = systems[system];
        const text = conditionText(row, units)!;
        const { condition } = readCondition(text);
        expect(condition).toMatchObject({
          kind: 'statistic',
          channel: row.kind === 'statistic' ? row.channel : '',
          comparison: row.kind === 'statistic' && row.over ? '>' : '<',
        });
        // Back in the fields it is the figure that was typed.
        const back = rowOf(text, units);
        const typed = (one: ConditionRow | null) => (one?.kind === 'statistic' ? Number(one.typed) : Number.NaN);
        expect(Math.abs(typed(back) - typed(row))).toBeLessThan(1e-3 * Math.abs(typed(row)) + 1e-3);
        expect({ ...back, typed: '' }).toEqual({ ...row, typed: '' });
      }),
    );
  });

  // NIST SP 811 (2008) appendix B: 1 psi = 6894.757 Pa.
  it('has the right size', () => {
    const boost: ConditionRow = { kind: 'statistic', channel: 'boost', statistic: 'max', over: true, typed: '20' };
    const read = readCondition(conditionText(boost, systems.us)!).condition;
    expect(read.kind === 'statistic' && Math.abs(read.valueSi - 137895.1)).toBeLessThan(0.2);
    const duty: ConditionRow = {
      kind: 'statistic',
      channel: 'injector-duty',
      statistic: 'max',
      over: true,
      typed: '90',
    };
    expect(readCondition(conditionText(duty, systems.metric)!).condition).toMatchObject({ valueSi: 0.9 });
  });

  it('waits for its figure', () => {
    const row = (typed: string): ConditionRow => ({
      kind: 'statistic',
      channel: 'boost',
      statistic: 'max',
      over: true,
      typed,
    });
    for (const typed of ['', ' ', 'much', '1.2.3', '1e5']) expect(conditionText(row(typed), systems.metric)).toBeNull();
    expect(conditionText(row('1,5'), systems.metric)).toBe('boost max > 150000 Pa');
    expect(conditionText({ kind: 'gear', typed: '2.5' }, systems.metric)).toBeNull();
  });
});

describe('the other conditions', () => {
  it.each<[ConditionRow, string]>([
    [{ kind: 'gear', typed: '3' }, 'gear = 3'],
    [{ kind: 'duration', over: false, typed: '4.5' }, 'duration < 4.5 s'],
    [{ kind: 'finding', id: 'boost-leak' }, 'finding is boost-leak'],
    [{ kind: 'build', id: 'otter-build-2' }, 'build is otter-build-2'],
  ])('%j', (row, text) => {
    expect(conditionText(row, systems.metric)).toBe(text);
    expect(rowOf(text, systems.metric)).toEqual(row);
    expect(readCondition(text).text).toBe(text);
  });

  it('what was written by hand in other words has no fields, and is told as it stands', () => {
    expect(rowOf('boost max >= 1.5 bar', systems.metric)).toBeNull();
    expect(rowOf('nonsense max > 3', systems.metric)).toBeNull();
    expect(conditionWords('gear = 3', systems.metric)).toBe('gear = 3');
    expect(conditionWords('boost max > 150000 Pa', systems.metric)).toBe('Boost, highest, over 1.5 bar');
  });
});

describe('the address', () => {
  it('holds conditions, order and place', () => {
    const ask = { where: ['boost max > 150000 Pa', 'gear = 3'], sort: 'lambda min', rising: true, offset: 200 };
    expect(askOf(askText(ask))).toEqual(ask);
    expect(askText({ where: [], sort: 'newest', rising: false, offset: 0 })).toBe('');
    expect(askOf('offset=-5&sort=power')).toEqual({ where: [], sort: 'power', rising: false, offset: 0 });
  });
});
