/**
 * Every rule on drives made from formulas: the sign itself, and near misses that must stay silent. The thresholds are
 * common practice (no source) unless a rule names one; what is checked here is that the rule does what its text says.
 */
import { describe, expect, test } from 'vitest';
import { FINDING_IDS } from '../types.ts';
import { ASKED_PA, manifold, OUTSIDE_PA, review } from './base-drive.ts';
import { FIRES } from './cases-found.ts';
import { SILENT } from './cases-silent.ts';
import { RULES } from './index.ts';
import { through } from './synthetic-log.ts';
import { between, lambdaWith } from './test-drives.ts';

describe('every finding', () => {
  test('has a rule, once', () => {
    expect(RULES.map((rule) => rule.id).sort()).toEqual([...FINDING_IDS].sort());
  });

  test('is covered by a drive that shows it', () => {
    const covered = new Set(FIRES.map((one) => one.id));
    expect(FINDING_IDS.filter((id) => !covered.has(id))).toEqual([]);
  });

  test('stays away from a healthy drive, with and without the build', () => {
    expect(review().ids).toEqual([]);
    expect(review({ build: null }).ids).toEqual([]);
  });
});

describe('is found', () => {
  test.each(FIRES)('$id: $what', ({ id, drive }) => {
    const { findings } = review(drive);
    const one = findings.find((found) => found.id === id);
    expect(findings.map((found) => found.id)).toContain(id);
    expect(one?.says).toMatch(/\d/);
    expect(one?.next.length).toBeGreaterThan(20);
    expect(one?.couldAlsoBe.length).toBeGreaterThan(0);
    expect(one?.confidence).toBeGreaterThanOrEqual(0.55);
    expect(Object.values(one?.numbers ?? {}).every(Number.isFinite)).toBe(true);
    expect(one!.endS).toBeGreaterThanOrEqual(one!.startS);
  });
});

describe('stays silent', () => {
  test.each(SILENT)('$id: $what', ({ id, drive }) => {
    expect(
      review(drive)
        .findings.filter((found) => found.severity !== 'note')
        .map((found) => found.id),
    ).not.toContain(id);
  });
});

describe('what cannot be looked for', () => {
  test('is named with what it needs', () => {
    const { notChecked } = review({ without: ['oil-pressure', 'knock-retard', 'exhaust-pressure'] });
    const needs = new Map(notChecked.map((one) => [one.id, one.needs]));
    expect(needs.get('low-oil-pressure')).toEqual(['oil-pressure']);
    expect(needs.get('knock')).toEqual(['knock-retard or knock-count or knock-level']);
    expect(needs.get('back-pressure-high')).toContain('exhaust-pressure');
    expect(needs.has('lean-under-load')).toBe(false);
  });

  test('a drive without a pull was not looked through for what only pulls show', () => {
    const needs = new Map(review({ pulls: [] }).notChecked.map((one) => [one.id, one.needs]));
    expect(needs.get('boost-creep')).toEqual(['a full-throttle pull']);
    expect(needs.get('clutch-slip')).toEqual(['a full-throttle pull']);
    expect(needs.has('coolant-hot')).toBe(false);
    const blind = new Map(
      review({ pulls: [], without: ['pedal', 'throttle'] }).notChecked.map((one) => [one.id, one.needs]),
    );
    expect(blind.get('boost-creep')).toEqual(['pedal or throttle']);
  });

  test('includes what needs the build when there is none', () => {
    const ids = review({ build: null }).notChecked.map((one) => one.id);
    expect(ids).toContain('boost-leak');
    expect(ids).toContain('compressor-choke');
    expect(ids).toContain('slow-spool');
  });

  test('an empty log gives no finding and no error', () => {
    const names = [
      'engine-speed',
      'vehicle-speed',
      'manifold-pressure',
      'lambda',
      'air-flow',
      'charge-temperature',
    ] as const;
    const gone = Object.fromEntries(names.map((name) => [name, () => Number.NaN]));
    expect(review({ change: gone, pulls: [] }).findings.filter((one) => one.severity !== 'note')).toEqual([]);
  });
});

test('a sentence tells its figures apart, so that a reader may choose their units', () => {
  const { findings } = review({ change: { 'coolant-temperature': through([0, 363], [5, 365], [12, 386]) } });
  const hot = findings.find((one) => one.id === 'coolant-hot')!;
  const figures = hot.told!.filter((part) => typeof part !== 'string');
  expect(figures.map(({ quantity }) => quantity)).toEqual(['temperature', 'temperature']);
  expect(figures[0]!.written).toBe(`${(figures[0]!.valueSi - 273.15).toFixed(0)} °C`);
  expect(hot.told!.map((part) => (typeof part === 'string' ? part : part.written)).join('')).toBe(hot.says);
  for (const { says } of findings) expect(says).not.toMatch(/[\uE000-\uF8FF]/);
});

test('the gravest comes first', () => {
  const { findings } = review({
    change: {
      lambda: lambdaWith((timeS) => (between(8, 9)(timeS) ? 0.1 : 0)),
      'coolant-temperature': through([0, 365], [16, 379]),
      'exhaust-pressure': (timeS) => OUTSIDE_PA + 2.2 * Math.max(0, manifold(timeS) - OUTSIDE_PA),
    },
  });
  const rank = { stop: 0, fix: 1, watch: 2, note: 3 };
  const ranks = findings.map((one) => rank[one.severity]);
  expect(ranks).toEqual([...ranks].sort((a, b) => a - b));
  expect(findings[0]?.id).toBe('lean-under-load');
  expect(findings[0]?.numbers.lambdaError).toBeCloseTo(0.1, 2);
  expect(ASKED_PA).toBeGreaterThan(OUTSIDE_PA);
});
