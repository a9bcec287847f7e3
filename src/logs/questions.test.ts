/** What a log leaves open is asked once; what its readings contradict is told. Ranges: common practice of road cars, no source. */
import { describe, expect, it } from 'vitest';
import { readLog } from './read-log.ts';
import { channelNamed, quantileOf } from './sampling.ts';
import { drive, type Moment, TEST_BAROMETER_PA, TEST_LEGS, USUAL_COLUMNS, written } from './test-drive.ts';
import type { ChannelChoice, Log } from './types.ts';

const whole = drive(TEST_LEGS, 50, 12);
/** Nothing but the pull: where the engine is loaded and the pedal down. */
const pullOnly = whole.filter(({ pedal, manifoldPa }) => pedal > 0.95 && manifoldPa > 1.2 * TEST_BAROMETER_PA);
type Cell = (moment: Moment, i: number) => string | number;
const logOf = (moments: Moment[], columns: Record<string, Cell>, choices: ChannelChoice[] = []): Log => {
  const result = readLog(new TextEncoder().encode(written(moments, columns)), { choices });
  if (!result.ok) throw new Error(result.problem.says);
  return result.log;
};
const base = { t: USUAL_COLUMNS['Time (s)']!, rpm: USUAL_COLUMNS['Engine Speed (rpm)']! };
const asked = (log: Log) =>
  (log.questions ?? []).map(({ kind, columns, options }) => ({
    kind,
    columns,
    first: options[0]!.says,
    others: options.length - 1,
  }));
/** Answers a question with one of its options and reads again. */
const answered = (moments: Moment[], columns: Record<string, Cell>, option: RegExp) => {
  const [question] = logOf(moments, columns).questions ?? [];
  const picked = question?.options.find(({ says }) => option.test(says));
  if (!picked) throw new Error(`no option like ${option} in ${JSON.stringify(question)}`);
  return logOf(moments, columns, [...picked.choices]);
};
const middle = (log: Log, name: Parameters<typeof channelNamed>[1]): number =>
  quantileOf(channelNamed(log, name)!.values, 0.5)!;

describe('left open', () => {
  it('gauge or absolute, in a log of nothing but a pull; the answer ends the question', () => {
    const columns = {
      ...base,
      'Charge (kPa)': () => '',
      'MAP (kPa)': ({ manifoldPa }: Moment) => (manifoldPa / 1e3).toFixed(1),
    };
    expect(asked(logOf(pullOnly, columns))).toEqual([
      { kind: 'open', columns: ['MAP (kPa)'], first: expect.stringContaining('absolute'), others: 1 },
    ]);
    const gauge = answered(pullOnly, columns, /^gauge/);
    expect(gauge.questions).toEqual([]);
    expect(middle(gauge, 'manifold-pressure') - middle(logOf(pullOnly, columns), 'manifold-pressure')).toBeCloseTo(
      gauge.barometricPressurePa,
      3,
    );
  });
  it('not where the log shows a closed throttle, and not where the file says it', () => {
    const map: Cell = ({ manifoldPa }) => (manifoldPa / 1e3).toFixed(1);
    expect(
      logOf(whole, { ...base, 'Pedal (%)': ({ pedal }) => (100 * pedal).toFixed(0), 'MAP (kPa)': map }).questions,
    ).toEqual([]);
    expect(logOf(pullOnly, { ...base, 'MAP (kPa abs)': map }).questions).toEqual([]);
  });
  it('takes "boost" for gauge where the readings leave it open', () => {
    const columns = {
      ...base,
      'Boost (psi)': ({ manifoldPa }: Moment) => ((manifoldPa - TEST_BAROMETER_PA) / 6894.757).toFixed(1),
    };
    const log = logOf(pullOnly, columns);
    expect(asked(log)).toEqual([
      { kind: 'open', columns: ['Boost (psi)'], first: expect.stringContaining('gauge'), others: 1 },
    ]);
    expect(channelNamed(log, 'manifold-pressure')?.reference).toBe('gauge');
  });
  it('°C or °F, once for all temperatures of the file', () => {
    const columns = { ...base, coolant_temp: () => 58, oil_temp: () => 57 };
    const log = logOf(whole, columns);
    expect(asked(log)).toEqual([{ kind: 'open', columns: ['coolant_temp', 'oil_temp'], first: '°C', others: 1 }]);
    const fahrenheit = answered(whole, columns, /°F/);
    expect(fahrenheit.questions).toEqual([]);
    // 58 degF is (58 - 32)/1.8 degC: NIST SP 811 (2008), appendix B.
    expect(middle(fahrenheit, 'coolant-temperature')).toBeCloseTo(273.15 + 26 / 1.8, 2);
  });
  it('km/h or mph, where neither gears nor acceleration nor the rest of the file tell', () => {
    const columns = { ...base, v_car: ({ speedMPerS }: Moment) => (speedMPerS * 3.6).toFixed(0) };
    expect(asked(logOf(whole, columns))).toEqual([{ kind: 'open', columns: ['v_car'], first: 'km/h', others: 2 }]);
    const mph = answered(whole, columns, /mph/);
    expect(mph.questions).toEqual([]);
    expect(middle(mph, 'vehicle-speed') / middle(logOf(whole, columns), 'vehicle-speed')).toBeCloseTo(1.609344, 6);
  });
  it('g/s, kg/h or lb/min, and a meter that is a frequency', () => {
    expect(asked(logOf(whole, { ...base, maf: ({ rpm }) => (rpm / 60).toFixed(1) }))).toEqual([
      { kind: 'open', columns: ['maf'], first: 'a flow in g/s', others: 2 },
    ]);
    const frequency = { ...base, maf: ({ rpm }: Moment) => (1500 + rpm * 0.6).toFixed(0) };
    const log = logOf(whole, frequency);
    expect(asked(log)).toEqual([
      { kind: 'open', columns: ['maf'], first: 'the frequency of the meter in Hz', others: 3 },
    ]);
    expect(channelNamed(log, 'air-flow')).toBeNull();
    expect(channelNamed(log, 'air-flow-frequency')?.unit).toBe('Hz');
    expect(channelNamed(answered(whole, frequency, /kg\/h/), 'air-flow')?.unit).toBe('kg/h');
  });
  it('which fuel an air-fuel ratio is scaled for, where petrol makes no sense of it', () => {
    const columns = { ...base, 'Wideband (AFR)': (_: Moment, i: number) => (9.4 + (i % 7) / 10).toFixed(1) };
    expect(asked(logOf(whole, columns))).toEqual([
      { kind: 'open', columns: ['Wideband (AFR)'], first: expect.stringContaining('14.7'), others: 4 },
    ]);
    const e85 = answered(whole, columns, /E85/);
    expect(e85.questions).toEqual([]);
    expect(middle(e85, 'lambda')).toBeCloseTo(9.7 / 9.8, 6);
    expect(logOf(whole, { ...base, 'Wideband (AFR)': () => 14.6 }).questions).toEqual([]);
    expect(logOf(whole, { ...base, 'Wideband (AFR)': () => 12.1 }).questions).toEqual([]);
  });
  it('gauge or absolute of oil and fuel pressure, where no reading is low enough to tell', () => {
    const columns = { ...base, 'Fuel Pressure (kPa)': ({ pedal }: Moment) => 280 + 100 * pedal };
    expect(asked(logOf(whole, columns))).toEqual([
      { kind: 'open', columns: ['Fuel Pressure (kPa)'], first: expect.stringContaining('gauge'), others: 1 },
    ]);
    const absolute = answered(whole, columns, /^absolute/);
    expect(middle(logOf(whole, columns), 'fuel-pressure') - middle(absolute, 'fuel-pressure')).toBeCloseTo(
      absolute.barometricPressurePa,
      3,
    );
    expect(logOf(whole, { ...base, 'Oil Pressure (bar)': (_, i) => (i < 100 ? 0 : 4) }).questions).toEqual([]);
  });
});

describe('contradicted by the readings', () => {
  it.each([
    ['Coolant Temp (°C)', (): number => 190, 'coolant-temperature', 273.15 + 158 / 1.8, 'it is °F'],
    ['Coolant Temp (°F)', (): number => 88, 'coolant-temperature', 361.15, 'it is °C'],
    ['Lambda (lambda)', (): number => 14.7, 'lambda', 1, 'an air-fuel ratio, lambda x 14.7'],
    ['Vehicle Speed (m/s)', (): number => 180, 'vehicle-speed', 50, 'it is km/h'],
    ['Battery (V)', (): number => 13_900, 'battery-voltage', 13.9, 'it is mV'],
  ] as const)('%s: read as what it must be, and asked', (header, cell, name, middleSi, first) => {
    const stretched = whole.map((moment) => ({ ...moment, timeS: moment.timeS * 20 }));
    const log = logOf(stretched, { ...base, [header]: cell });
    expect(asked(log)).toMatchObject([{ kind: 'contradiction', columns: [header], first }]);
    expect(middle(log, name)).toBeCloseTo(middleSi, 2);
    expect(channelNamed(log, name)!.confidence).toBeLessThan(0.85);
    const asWritten = logOf(stretched, { ...base, [header]: cell }, [
      ...log.questions!.at(-1)!.options.find(({ says }) => /as written|^lambda/.test(says))!.choices,
    ]);
    expect(asWritten.questions).toEqual([]);
  });
  it('a boost in "bar" that reads 14 is in psi', () => {
    const columns = {
      ...base,
      'Boost (bar)': ({ manifoldPa }: Moment) => ((manifoldPa - TEST_BAROMETER_PA) / 6894.757).toFixed(1),
    };
    const log = logOf(whole, columns);
    expect(asked(log)).toMatchObject([{ kind: 'contradiction', columns: ['Boost (bar)'], first: 'it is psi' }]);
    const top = Math.max(...whole.map(({ manifoldPa }) => manifoldPa));
    expect(Math.max(...channelNamed(log, 'manifold-pressure')!.values) / top).toBeCloseTo(1, 1);
  });
  it('one wild end is a sensor, not a unit: nothing is asked', () => {
    const log = logOf(whole, { ...base, 'Coolant Temp (°C)': (_, i) => (i % 50 === 0 ? 190 : 88) });
    expect(log.questions).toEqual([]);
    expect(middle(log, 'coolant-temperature')).toBeCloseTo(361.15, 6);
  });
  it('where no unit fits, the column is doubted and asked about', () => {
    const log = logOf(whole, { ...base, 'Coolant Temp (°C)': () => 900 });
    expect(asked(log)).toMatchObject([{ kind: 'contradiction', first: 'it is °C as written' }]);
    expect(channelNamed(log, 'coolant-temperature')!.confidence).toBeLessThan(0.65);
  });
});
