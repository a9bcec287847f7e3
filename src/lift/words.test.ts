import { expect, test } from 'vitest';
import type { Regression, RegressionKind } from './types.ts';
import { regressionWords } from './words.ts';

const band = (p50: number) => ({ p10: p50 - 1, p50, p90: p50 + 1 });
const write = (value: number, unit: string) => `${value} ${unit}`;
const of = (kind: RegressionKind, more: Partial<Regression> = {}): string =>
  regressionWords({ kind, unit: 'W', before: band(10), after: band(7), change: band(-3), ...more }, write);

test('every kind is a sentence with its figures and no gap', () => {
  const kinds: readonly RegressionKind[] = [
    'later boost',
    'less torque',
    'less power',
    'less power at the first limit',
    'past its limit',
    'less headroom',
    'now first',
    'known less well',
  ];
  for (const kind of kinds) {
    const words = of(kind, { part: 'clutch', engineSpeedRpm: 2500 });
    expect(words).toMatch(/^[A-Z].*\.$/);
    expect(words).toMatch(/\d/);
    expect(words).not.toMatch(/undefined|NaN/);
  }
});

test('figures are those of after and before, in the unit of whoever prints', () => {
  expect(of('less power')).toBe('Less power at the boost asked for: 7 W instead of 10 W.');
  expect(of('later boost', { unit: 'rpm', before: band(2000), after: band(2400), change: band(400) })).toBe(
    'Boost comes 400 rpm later: at 2400 rpm instead of 2000 rpm.',
  );
  expect(of('past its limit', { part: 'injectors at idle', before: band(0.7), after: band(1.2) })).toBe(
    'Injectors at idle: the pulse is shorter than they meter evenly, 120 % of it used instead of 70 %.',
  );
  expect(of('now first', { part: 'clutch', after: band(0.46) })).toBe(
    'Now first to give out: clutch, in 46 of 100 samples.',
  );
});
