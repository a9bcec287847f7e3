/** Conditions in plain words: what is understood, in which units, and what is refused with which sentence. */
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { BadInput } from './problems.ts';
import { readCondition, readOrder, readStatisticName } from './pull-filter.ts';

const read = (text: string) => readCondition(text).condition;
const refusal = (text: string): string => {
  try {
    readCondition(text);
  } catch (error) {
    if (error instanceof BadInput) return error.message;
    throw error;
  }
  throw new Error(`"${text}" was not refused`);
};

describe('conditions', () => {
  // Units: NIST SP 811 (2008) appendix B: 1 psi = 6894.757 Pa, 1 lb/min = 0.007559873 kg/s, 1 hp = 745.6999 W.
  test.each([
    ['boost max > 150 kPa', 'boost', 'most', '>', 150e3],
    ['boost max > 20 psi', 'boost', 'most', '>', 137895.1],
    ['boost max>=1.5bar', 'boost', 'most', '>=', 150e3],
    ['Manifold pressure mean < 250 kPa', 'manifold-pressure', 'mean', '<', 250e3],
    ['manifold_pressure max < 36 psi abs', 'manifold-pressure', 'most', '<', 248211.3],
    ['charge temperature max > 60 degC', 'charge-temperature', 'most', '>', 333.15],
    ['charge-temperature min > 140 F', 'charge-temperature', 'least', '>', 333.15],
    ['lambda at-power < 0.85', 'lambda', 'atPeakPower', '<', 0.85],
    ['lambda at peak power < 0.85', 'lambda', 'atPeakPower', '<', 0.85],
    ['lambda-target min < 0.8 lambda', 'lambda-target', 'least', '<', 0.8],
    ['injector-duty max > 90 %', 'injector-duty', 'most', '>', 0.9],
    ['injector-duty max > 0.9', 'injector-duty', 'most', '>', 0.9],
    ['air-flow max > 40 lb/min', 'air-flow', 'most', '>', 0.3023949],
    ['power > 300 hp', 'power', 'most', '>', 223709.96],
    ['power mean > 100 kW', 'power', 'mean', '>', 100e3],
    ['torque max > 400 Nm', 'torque', 'most', '>', 400],
    ['knock-retard max > 2', 'knock-retard', 'most', '>', 2],
    ['spark-advance min < -3 deg', 'spark-advance', 'least', '<', -3],
    ['fuel-pressure min < 2.5 bar', 'fuel-pressure', 'least', '<', 250e3],
    ['vehicle-speed max > 100 mph', 'vehicle-speed', 'most', '>', 44.704],
    ['injection-flow max > 300 cc/min', 'injection-flow', 'most', '>', 5e-6],
  ])('%s', (text, channel, statistic, comparison, valueSi) => {
    const condition = read(text);
    expect(condition).toMatchObject({ kind: 'statistic', channel, statistic, comparison });
    const value = condition.kind === 'statistic' ? condition.valueSi : Number.NaN;
    expect(Math.abs(value / valueSi - 1)).toBeLessThan(1e-6);
  });

  test('gears, durations, findings, builds', () => {
    expect(read('gear = 3')).toEqual({ kind: 'gear', comparison: '=', valueSi: 3 });
    expect(read('gear is 3')).toEqual({ kind: 'gear', comparison: '=', valueSi: 3 });
    expect(read('duration > 4 s')).toEqual({ kind: 'duration', comparison: '>', valueSi: 4 });
    expect(read('finding is knock')).toEqual({ kind: 'finding', id: 'knock' });
    expect(read('finding is lean under load')).toEqual({ kind: 'finding', id: 'lean-under-load' });
    expect(read('finding is none')).toEqual({ kind: 'finding', id: null });
    expect(read('build is otter-build-2')).toEqual({ kind: 'build', id: 'otter-build-2' });
  });

  test.each([
    ['bost max > 150 kPa', 'there is no channel "bost"'],
    ['time max > 3 s', 'there is no channel "time"'],
    ['boost > 150 kPa', 'say which one: boost min, max, mean or at-power'],
    ['boost max > 150', '"150" needs a unit'],
    ['boost max > 150 degC', '"degC" is no unit of boost'],
    ['boost max > 150 kPa abs', '"kPa abs" is no unit of boost'],
    ['manifold-pressure max > 15 psi gauge', '"psi gauge" is no unit of manifold-pressure'],
    ['boost max > much', '"much" is no number'],
    ['boost max', 'it has no <'],
    ['', 'it has no <'],
    ['boost max = 150 kPa', 'hardly ever equal'],
    ['finding > knock', 'a finding is one or it is not'],
    ['finding is rust', 'there is no finding "rust"'],
    ['gear > 3 kPa', '"kPa" is no unit of gear'],
    [`boost max > 1 kPa; DROP TABLE pull`, 'is no unit of boost'],
    ['x'.repeat(300), 'longer than 200'],
  ])('%s is refused in words', (text, why) => {
    expect(refusal(text)).toContain(why);
    expect(refusal(text)).toContain('Write it like');
  });

  test('what was understood, read again, is understood alike', () => {
    for (const text of ['boost max>=1.5bar', 'lambda at peak power < 0.85', 'duration<4', 'finding is boost leak']) {
      const { text: tidied, condition } = readCondition(text);
      expect(readCondition(tidied)).toEqual({ text: tidied, condition });
    }
  });

  test('any text is read or refused', () => {
    fc.assert(
      fc.property(
        fc.oneof(
          fc.string({ maxLength: 60 }),
          fc.string({ maxLength: 20 }).map((tail) => `boost max > ${tail}`),
        ),
        (text) => {
          try {
            readCondition(text);
          } catch (error) {
            expect(error).toBeInstanceOf(BadInput);
          }
        },
      ),
    );
  });
});

describe('orders and columns', () => {
  test('are read', () => {
    expect(readOrder('newest', true).order).toEqual({ by: 'newest' });
    expect(readOrder('power', false).order).toEqual({ by: 'power', rising: false });
    expect(readOrder('Lambda min', true)).toEqual({
      order: { by: 'statistic', channel: 'lambda', statistic: 'least', rising: true },
      text: 'lambda min',
    });
    expect(() => readOrder('boost', true)).toThrow('say which one');
    expect(readStatisticName('Charge temperature')).toBe('charge-temperature');
    expect(() => readStatisticName('run; --')).toThrow('There is no channel');
  });
});
