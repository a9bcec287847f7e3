import { describe, expect, it } from 'vitest';
import { readLog } from './read-log.ts';
import { channelNamed, quantileOf, resample, sliceOf, valueAt } from './sampling.ts';
import { drive, type Moment, TEST_BAROMETER_PA, TEST_LEGS, USUAL_COLUMNS, written } from './test-drive.ts';
import type { Channel, ChannelChoice, ChannelName, KnownGearing, Log } from './types.ts';

const moments = drive(TEST_LEGS, 50, 12);
type Cell = (moment: Moment, i: number) => string | number;
const logWith = (
  columns: Record<string, Cell>,
  options: { choices?: ChannelChoice[]; gearing?: KnownGearing } = {},
): Log => {
  const result = readLog(new TextEncoder().encode(written(moments, columns)), options);
  if (!result.ok) throw new Error(result.problem.says);
  return result.log;
};
const named = (log: Log, name: ChannelName): Channel => {
  const channel = channelNamed(log, name);
  if (!channel) throw new Error(`${name} was not recognised`);
  return channel;
};
const base = { t: USUAL_COLUMNS['Time (s)']!, rpm: USUAL_COLUMNS['Engine Speed (rpm)']! };
/** Manifold truth at the moment of most boost. */
const TOP_PA = Math.max(...moments.map(({ manifoldPa }) => manifoldPa));
const top = (channel: Channel): number => quantileOf(channel.values, 1)!;

describe('pressures', () => {
  // Conversion factors: NIST SP 811 (2008), appendix B.
  it.each([
    ['boost', ({ manifoldPa }: Moment) => ((manifoldPa - TEST_BAROMETER_PA) / 6894.757).toFixed(2), 'gauge'],
    ['boost', ({ manifoldPa }: Moment) => ((manifoldPa - TEST_BAROMETER_PA) / 1e5).toFixed(3), 'gauge'],
    ['boost', ({ manifoldPa }: Moment) => ((manifoldPa - TEST_BAROMETER_PA) / 1e3).toFixed(1), 'gauge'],
    ['map', ({ manifoldPa }: Moment) => (manifoldPa / 1e3).toFixed(1), 'absolute'],
    ['map', ({ manifoldPa }: Moment) => (manifoldPa / 1e5).toFixed(3), 'absolute'],
    ['map', ({ manifoldPa }: Moment) => (manifoldPa / 6894.757).toFixed(2), 'absolute'],
    ['map', ({ manifoldPa }: Moment) => (manifoldPa / 100).toFixed(0), 'absolute'],
  ] as const)('%s without a unit, case %#', (header, cell, reference) => {
    const log = logWith({ ...base, [header]: cell, baro: () => '' });
    const channel = named(log, 'manifold-pressure');
    expect(channel.reference).toBe(reference);
    // Without a barometer in the log the gauge forms rest on the assumed one, 3.3 kPa off here.
    expect(Math.abs(top(channel) / TOP_PA - 1)).toBeLessThan(reference === 'gauge' ? 0.02 : 0.002);
  });
  it('uses the logged barometer for gauge columns', () => {
    const log = logWith({
      ...base,
      'Boost (psi)': ({ manifoldPa }) => ((manifoldPa - TEST_BAROMETER_PA) / 6894.757).toFixed(2),
      'Baro (kPa)': () => 98,
    });
    expect(log).toMatchObject({ barometricPressurePa: 98_000, barometricFrom: 'channel' });
    expect(top(named(log, 'manifold-pressure'))).toBeCloseTo(TOP_PA, -2);
  });
  it('takes an oil sender that reads the outside air before the start for absolute, one that reads nought for gauge', () => {
    const stands = (i: number) => i < 40;
    const oil = (over: number) =>
      named(
        logWith({
          t: base.t,
          'Engine Speed (rpm)': ({ rpm }, i) => (stands(i) ? 0 : rpm),
          'Baro (kPa)': () => 98,
          'Oil Pressure (kPa)': (_, i) => (stands(i) ? over : 350 + over + (i % 3)),
        }),
        'oil-pressure',
      );
    expect(oil(98).reference).toBe('absolute');
    expect(quantileOf(oil(98).values, 0.9)).toBeCloseTo(352e3, -3);
    expect(oil(0).reference).toBe('gauge');
    expect(quantileOf(oil(0).values, 0.9)).toBeCloseTo(352e3, -3);
  });
  it('reads oil of 540 in kPa though the other pressures are in mbar: a tenth of it no engine runs on', () => {
    const log = logWith({
      ...base,
      map: ({ manifoldPa }) => (manifoldPa / 100).toFixed(0),
      baro: () => 980,
      oil_press: ({ rpm }) => Math.min(541, rpm / 8).toFixed(0),
    });
    expect(named(log, 'oil-pressure').unit).toBe('kPa');
    expect(named(log, 'manifold-pressure').unit).toBe('mbar');
  });
  it('believes a name that says gauge, and a manifold that reads nought before the start', () => {
    const kpa = ({ manifoldPa }: Moment) => (Math.max(0, manifoldPa - TEST_BAROMETER_PA) / 1e3 + 2).toFixed(1);
    expect(named(logWith({ ...base, 'Manifold Gauge Pressure (kPa)': kpa }), 'manifold-pressure').reference).toBe(
      'gauge',
    );
    const started = logWith({
      t: base.t,
      'Engine Speed (rpm)': ({ rpm }, i) => (i < 40 ? 0 : rpm),
      'Baro (kPa)': () => 98,
      'Manifold Pressure (kPa)': (moment, i) => (i < 40 ? '1.1' : kpa(moment)),
    });
    expect(named(started, 'manifold-pressure').reference).toBe('gauge');
  });
  it('overrides a written reference that physics forbids, and says so', () => {
    const log = logWith({
      ...base,
      'MAP (kPa abs)': ({ manifoldPa }) => ((manifoldPa - TEST_BAROMETER_PA) / 1e3).toFixed(1),
    });
    const channel = named(log, 'manifold-pressure');
    expect(channel.reference).toBe('gauge');
    expect(channel.confidence).toBeLessThan(0.7);
    expect(channel.because).toContain('written absolute');
  });
  it('keeps oil and fuel pressure gauge', () => {
    const log = logWith({ ...base, 'Oil Pressure (bar)': () => 4.5, 'Fuel Pressure (psi)': () => 43.5 });
    expect(named(log, 'oil-pressure')).toMatchObject({ pressureIs: 'gauge' });
    expect(named(log, 'oil-pressure').values[0]).toBeCloseTo(450e3, 3);
    expect(named(log, 'fuel-pressure').values[0]! / 299_921.9).toBeCloseTo(1, 5);
  });
});

describe('units by behaviour', () => {
  it('tells degrees Fahrenheit from Celsius', () => {
    const log = logWith({ ...base, coolant_temp: () => 190.4, iat: () => 95 });
    expect(named(log, 'coolant-temperature').values[0]).toBeCloseTo(361.15, 2);
    expect(named(log, 'charge-temperature').values[0]).toBeCloseTo(308.15, 2);
    const celsius = logWith({ ...base, coolant_temp: () => 88, iat: () => 35 });
    expect(named(celsius, 'coolant-temperature').values[0]).toBeCloseTo(361.15, 2);
  });
  it('tells lambda from an air-fuel ratio whatever the header says', () => {
    expect(named(logWith({ ...base, wideband: () => 12.5 }), 'lambda').values[0]).toBeCloseTo(12.5 / 14.7, 9);
    expect(named(logWith({ ...base, wideband: () => 0.85 }), 'lambda').values[0]).toBeCloseTo(0.85, 9);
    const wrong = named(logWith({ ...base, 'Lambda (lambda)': () => 12.5 }), 'lambda');
    expect(wrong.values[0]).toBeCloseTo(12.5 / 14.7, 9);
    expect(wrong.confidence).toBeLessThan(0.85);
  });
  it.each([
    ['g/s', 1e3],
    ['kg/h', 3600],
    ['lb/min', 60 / 0.45359237],
  ])('reads an air flow without a unit as %s by what the engine can pump', (unit, perKgPerS) => {
    // Speed-density, Heywood 1988, eq. 2.27: a two-litre engine at a volumetric efficiency of 0.9.
    const flow: Cell = ({ rpm, manifoldPa }) =>
      (((0.9 * 0.002 * rpm * manifoldPa) / (120 * 287.05 * 310)) * perKgPerS).toFixed(3);
    const columns: Record<string, Cell> = { ...base, map: USUAL_COLUMNS['MAP (kPa)']!, maf: flow };
    if (unit === 'lb/min') columns.coolant_temp = () => 192;
    if (unit === 'lb/min') columns.boost = ({ manifoldPa }) => ((manifoldPa - 98e3) / 6894.757).toFixed(2);
    if (unit === 'lb/min') delete columns.map;
    const channel = named(logWith(columns), 'air-flow');
    expect(channel.unit).toBe(unit);
  });
  it('reads a speed without a unit against the logged acceleration', () => {
    let last = 12;
    const acceleration: Cell = ({ speedMPerS }) => {
      const now = (speedMPerS - last) * 50;
      last = speedMPerS;
      return (now / 9.80665).toFixed(3);
    };
    const log = logWith({
      ...base,
      v_car: ({ speedMPerS }) => (speedMPerS / 0.44704).toFixed(1),
      g_long: acceleration,
    });
    expect(named(log, 'vehicle-speed').unit).toBe('mph');
    expect(named(log, 'acceleration').unit).toBe('gn');
  });
  it('turns a retard that is written negative', () => {
    const log = logWith({ ...base, 'Knock Retard (deg)': (_, i) => (i % 40 === 0 ? -3.5 : 0) });
    expect(top(named(log, 'knock-retard'))).toBe(3.5);
  });
  it('reads trims written as factors', () => {
    expect(
      named(logWith({ ...base, 'Lambda Correction': (_, i) => 1 + (i % 5) / 100 }), 'fuel-trim').values[4],
    ).toBeCloseTo(0.04, 9);
  });
  it('takes hertz for a meter’s frequency and volts for nothing', () => {
    const log = logWith({ ...base, 'MAF (Hz)': () => 4000, 'MAF (V)': () => 3 });
    expect(named(log, 'air-flow-frequency').values[0]).toBe(4000);
    expect(log.unrecognised.map(({ column }) => column)).toEqual(['MAF (V)']);
  });
});

describe('what a person has chosen', () => {
  const columns = {
    ...base,
    'Sensor 7': (): number => 0.9,
    'IAT (°C)': (): number => 30,
    'Boost (bar)': (): number => 1.2,
  };
  it('goes before recognition', () => {
    const log = logWith(columns, {
      choices: [
        { column: 'Sensor 7', channel: 'lambda' },
        { column: 'IAT (°C)', channel: 'intake-temperature' },
        { column: 'Boost (bar)', channel: null },
      ],
    });
    expect(named(log, 'lambda')).toMatchObject({ confidence: 1 });
    expect(named(log, 'intake-temperature').values[0]).toBeCloseTo(303.15, 9);
    expect(log.unrecognised.map(({ column }) => column)).toEqual(['Boost (bar)']);
  });
  it('sets unit and reference', () => {
    const log = logWith(columns, {
      choices: [{ column: 'Boost (bar)', channel: 'manifold-pressure', unit: 'psi', reference: 'gauge' }],
    });
    expect(named(log, 'manifold-pressure').values[0]! - log.barometricPressurePa).toBeCloseTo(1.2 * 6894.757, 1);
  });
});

describe('intake air temperature', () => {
  it('is the charge when another column is the air before the compressor', () => {
    const log = logWith({ ...base, 'IAT (C)': ({ pedal }) => 30 + 20 * pedal, 'Filter Air Temp (C)': () => 22 });
    expect(named(log, 'charge-temperature').column).toBe('IAT (C)');
    expect(named(log, 'intake-temperature').column).toBe('Filter Air Temp (C)');
  });
  it('is the air before the compressor when a surer column is the charge', () => {
    const log = logWith({ ...base, 'IAT (C)': () => 30, 'Charge Temp (C)': () => 45 });
    expect(named(log, 'intake-temperature').column).toBe('IAT (C)');
  });
});

describe('sampling', () => {
  const channel: Channel = {
    index: 0,
    column: 'x',
    channel: 'lambda',
    unit: '',
    confidence: 1,
    rateHz: 10,
    timesS: Float64Array.of(0, 0.1, 0.2, 1.2, 1.3),
    values: Float64Array.of(1, 2, 3, 9, 10),
    resolution: 0.001,
    because: '',
  };
  it('is linear between readings and silent in holes and outside', () => {
    expect(valueAt(channel, 0.05)).toBeCloseTo(1.5, 12);
    expect(valueAt(channel, 0.2)).toBe(3);
    expect(valueAt(channel, 0.7)).toBe(null);
    expect(valueAt(channel, 0.7, 2)).toBeCloseTo(6, 12);
    expect(valueAt(channel, 5)).toBe(null);
    expect(valueAt({ ...channel, channel: 'gear' }, 0.19)).toBe(2);
  });
  it('gives one value at a time and many the same way', () => {
    const times = [-1, 0, 0.04, 0.15, 0.21, 0.9, 1.25, 1.31, 4];
    const many = resample(channel, times);
    const single = times.map((time) => valueAt(channel, time));
    expect(Array.from(many, (value) => (Number.isNaN(value) ? null : value))).toEqual(single);
  });
  it('slices with both ends included', () => {
    expect([...sliceOf(channel, 0.1, 1.2).values]).toEqual([2, 3, 9]);
    expect(sliceOf(channel, 2, 1).values.length).toBe(0);
  });
});
