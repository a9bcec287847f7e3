/** Scaled and derived channels. Values against the same arithmetic done by hand; unit factors by NIST SP 811 (2008), appendix B. */
import { describe, expect, it } from 'vitest';
import { derivedChannel } from './derived.ts';
import { readLog } from './read-log.ts';
import { channelNamed } from './sampling.ts';
import { lineOf } from './scaling.ts';
import type { ChannelChoice, Log } from './types.ts';

const ROWS = 400;
const text = (columns: Record<string, (row: number) => string | number>): Uint8Array => {
  const names = Object.keys(columns);
  const rows = Array.from({ length: ROWS }, (_, row) => names.map((name) => columns[name]!(row)).join(','));
  return new TextEncoder().encode(`${names.join(',')}\n${rows.join('\n')}\n`);
};
const base = { 'Time (s)': (row: number) => (row / 20).toFixed(2), 'RPM (rpm)': (row: number) => 1500 + 10 * row };
const read = (columns: Record<string, (row: number) => string | number>, choices: ChannelChoice[]) =>
  readLog(text({ ...base, ...columns }), { choices });
const logOf = (...asked: Parameters<typeof read>): Log => {
  const result = read(...asked);
  if (!result.ok) throw new Error(result.problem.says);
  return result.log;
};
const refusal = (...asked: Parameters<typeof read>): string => {
  const result = read(...asked);
  if (result.ok) throw new Error('it was let through');
  expect(result.problem.code).toBe('bad-choice');
  return result.problem.says;
};
const volts = (row: number): string => (0.5 + row / 100).toFixed(2);

describe('scaling of an analogue column', () => {
  it('runs through two points: a sender of 0.5 V at 0 and 4.5 V at 10 bar', () => {
    const log = logOf({ 'AN 3 (V)': volts }, [
      {
        column: 'AN 3 (V)',
        channel: 'oil-pressure',
        unit: 'bar',
        scaling: {
          points: [
            [0.5, 0],
            [4.5, 10],
          ],
        },
      },
    ]);
    const { values, resolution, unit, reference } = channelNamed(log, 'oil-pressure')!;
    expect([unit, reference]).toEqual(['bar', 'gauge']);
    expect(values[0]).toBeCloseTo(0, 6);
    // 2.5 V is half way.
    expect(values[200]).toBeCloseTo(500e3, 3);
    // A hundredth of a volt is a fortieth of a bar.
    expect(resolution).toBeCloseTo(2500, 3);
  });
  it('takes slope and offset the same way: a wideband of 2 AFR a volt from 10', () => {
    const choice = { column: 'WB', channel: 'lambda', unit: 'AFR' } as const;
    const bySlope = logOf({ WB: volts }, [{ ...choice, scaling: { slope: 2, offset: 10 } }]);
    const byPoints = logOf({ WB: volts }, [
      {
        ...choice,
        scaling: {
          points: [
            [0, 10],
            [5, 20],
          ],
        },
      },
    ]);
    const lambda = channelNamed(bySlope, 'lambda')!;
    expect(lambda.values[185]).toBeCloseTo((10 + 2 * 2.35) / 14.7, 12);
    expect([...channelNamed(byPoints, 'lambda')!.values]).toEqual(
      [...lambda.values].map((value) => expect.closeTo(value, 12)),
    );
    const e85 = logOf({ WB: volts }, [{ ...choice, scaling: { slope: 2, offset: 10 }, airFuelAtLambdaOne: 9.8 }]);
    expect(channelNamed(e85, 'lambda')!.values[185]).toBeCloseTo(14.7 / 9.8, 12);
  });
  it.each([
    [
      {
        points: [
          [1, 0],
          [1, 10],
        ],
      } as const,
      'both points are at 1; give two that differ',
    ],
    [
      {
        points: [
          [0, 5],
          [1, 5],
        ],
      } as const,
      'both points give 5, so every reading would be the same',
    ],
    [{ slope: 0, offset: 1 }, 'a slope of 0 makes every reading the same'],
    [{ slope: Number.NaN, offset: 1 }, 'its slope and offset must be numbers'],
  ])('refuses %j', (scaling, says) => {
    expect(lineOf(scaling)).toBe(says);
    expect(refusal({ WB: volts }, [{ column: 'WB', channel: 'lambda', unit: 'AFR', scaling }])).toBe(
      `What is chosen for "WB" cannot be used: ${says}.`,
    );
  });
});

describe('what cannot be meant', () => {
  it.each<readonly [ChannelChoice, string]>([
    [{ column: 'WB', channel: 'lambda', scaling: { slope: 1, offset: 0 }, unit: 'kPa' }, 'kPa is no unit of lambda'],
    [
      { column: 'WB', channel: 'oil-pressure', scaling: { slope: 1, offset: 0 } },
      'say the unit that its scaling gives',
    ],
    [{ column: 'WB', channel: 'oil-pressure', unit: 'furlong' }, '"furlong" is no unit that is known'],
    [
      { column: 'WB', channel: 'lambda', unit: 'AFR', airFuelAtLambdaOne: 147 },
      'an air-fuel ratio of 147 at lambda 1 is none of a fuel; petrol has 14.7',
    ],
    [
      { column: 'WB', channel: 'lambda', unit: 'lambda', expression: '"WB"' },
      'the file has a column of this name; give the derived channel another',
    ],
    [{ column: 'x', channel: 'oil-pressure', expression: '"WB"' }, 'say the unit that its expression gives'],
    [
      { column: 'x', channel: 'oil-pressure', unit: 'bar', expression: '("WB"' },
      'its expression cannot be read. A closing bracket is missing',
    ],
  ])('%j', (choice, says) => {
    expect(refusal({ WB: volts }, [choice])).toBe(`What is chosen for "${choice.column}" cannot be used: ${says}.`);
  });
  it('a choice for a column that is not there is told and not used', () => {
    const log = logOf({ WB: volts }, [{ column: 'gone', channel: 'lambda' }]);
    expect(log.table.notes).toEqual(['a choice for "gone" was not used: the file has no such column']);
  });
});

describe('derived channels', () => {
  const pressures = {
    'Fuel Pressure (bar)': (row: number) => (3 + row / 400).toFixed(4),
    'MAP (kPa abs)': (row: number) => (101.325 + row / 4).toFixed(3),
  };
  const over = (expression: string, more: Partial<ChannelChoice> = {}): ChannelChoice => ({
    column: 'over manifold',
    channel: 'injection-pressure',
    unit: 'kPa',
    expression,
    ...more,
  });
  it('are computed row by row in the units that are asked for, and kept in SI', () => {
    const log = logOf(pressures, [over('fuel-pressure [kPa gauge] - manifold-pressure [kPa gauge]')]);
    const channel = channelNamed(log, 'injection-pressure')!;
    expect(channel).toMatchObject({ confidence: 1, column: 'over manifold', pressureIs: 'gauge' });
    expect(channel.rateHz).toBeCloseTo(20, 9);
    // 3.5 bar less (151.325 kPa - barometer), at row 200.
    const gaugeKpa = 151.325 - log.barometricPressurePa / 1e3;
    expect(channel.values[200]).toBeCloseTo((350 - gaugeKpa) * 1e3, 3);
    expect(channel.because).toBe('computed as fuel-pressure [kPa gauge] - manifold-pressure [kPa gauge]');
    expect(log.channels.filter(({ index }) => index === channel.index).length).toBe(1);
  });
  it('read a column by its name, as it is written', () => {
    const log = logOf({ 'AN 1': volts }, [
      { column: 'mix', channel: 'lambda', unit: 'AFR', expression: '10 + 2 * "AN 1"' },
    ]);
    expect(channelNamed(log, 'lambda')!.values[185]).toBeCloseTo((10 + 2 * 2.35) / 14.7, 12);
  });
  it('lay slower channels between their readings and have the rate of the fastest', () => {
    const log = logOf({ 'IAT (°C)': (row) => (row % 10 === 0 ? 20 + row / 10 : '') }, [
      {
        column: 'hot',
        channel: 'charge-temperature',
        unit: 'degC',
        expression: 'intake-temperature [degC] + engine-speed [rpm] / 1000',
      },
      { column: 'IAT (°C)', channel: 'intake-temperature', unit: 'degC' },
    ]);
    const { timesS, values } = channelNamed(log, 'charge-temperature')!;
    expect(timesS.length).toBeGreaterThan(385);
    expect(values[15]).toBeCloseTo(273.15 + 20 + 1.5 + (1500 + 150) / 1000, 6);
  });
  it('leave readings without a number out, and say how many', () => {
    const log = logOf({ 'AN 1': (row) => row % 4 }, [
      { column: 'inverse', channel: 'lambda', unit: 'lambda', expression: '1 / "AN 1"' },
    ]);
    const channel = channelNamed(log, 'lambda')!;
    expect(channel.values.length).toBe(300);
    expect(channel.because).toContain('no value at 100 of 400 readings');
  });
  it.each([
    ['lambda [AFR] + 1', '"over manifold" is left out. It cannot be computed: this log has no lambda.'],
    ['engine-speed [kPa]', '"over manifold" is left out. It cannot be computed: kPa is no unit of engine-speed.'],
    ['"AN 9"', '"over manifold" is left out. It cannot be computed: the file has no column "AN 9".'],
    ['ln(-engine-speed [rpm])', '"over manifold" is left out. It gives no number at any reading of this log.'],
  ])('%s is refused', (expression, says) => {
    expect(refusal(pressures, [over(expression)])).toBe(says);
  });
  it('remembered ones that this log cannot give are told and left out', () => {
    const result = readLog(text({ ...base, ...pressures }), { remembered: () => [over('lambda [AFR] + 1')] });
    if (!result.ok) throw new Error(result.problem.says);
    expect(result.log.choicesRemembered).toBe(true);
    expect(result.log.table.notes).toEqual([
      'the derived channel "over manifold" is left out. It cannot be computed: this log has no lambda',
    ]);
  });
  it('take well under a second for 70,000 rows', () => {
    const rows = Array.from(
      { length: 70_000 },
      (_, row) => `${(row / 100).toFixed(2)},${1500 + (row % 5000)},${100 + (row % 150)}`,
    );
    const bytes = new TextEncoder().encode(`Time (s),RPM,MAP (kPa abs)\n${rows.join('\n')}\n`);
    const log = readLog(bytes);
    if (!log.ok) throw new Error(log.problem.says);
    const choice = over(
      'max(manifold-pressure [kPa] - 98, 0) * 0.145 + sqrt(engine-speed [rpm]) / (1 + abs(manifold-pressure [kPa] - 150))',
    );
    const cpuMs = (): number => {
      const before = process.cpuUsage();
      const made = derivedChannel(
        { ...choice, channel: 'injection-pressure', expression: choice.expression! },
        { ...log.log, columnReadings: () => null, index: 9 },
      );
      expect(made.ok && made.channel.values.length).toBe(70_000);
      const { user, system } = process.cpuUsage(before);
      return (user + system) / 1e3;
    };
    const spent = Math.min(cpuMs(), cpuMs(), cpuMs());
    console.log(`an expression over 70,000 rows: ${spent.toFixed(0)} ms of processor time`);
    expect(spent).toBeLessThan(800);
  });
});
