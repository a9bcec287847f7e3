/** Channels of a log in words, in reading units, with the limits the build sheet knows for them. */
import type { BuildView, TraceView } from '../../src/app/api.ts';
import { firstIndexAtOrAfter } from '../../src/logs/tiles.ts';
import type { ChannelName } from '../../src/logs/types.ts';
import type { TraceData } from '../charts/lane.ts';
import { quantityOf } from '../state/garage.ts';
import { type UnitKind, type Units, writeNumber } from '../state/units.ts';

interface ChannelWords {
  readonly name: string;
  readonly kind?: UnitKind;
  readonly plain?: { readonly unit: string; readonly factor: number; readonly decimals: number };
  /** What the unit column may hold, as written in files. */
  readonly writtenUnits: readonly string[];
  readonly pressure?: true;
  readonly gauge?: true;
}

const plain = (unit: string, factor: number, decimals: number) => ({ unit, factor, decimals });
const PRESSURE_UNITS = ['bar', 'kPa', 'mbar', 'psi', 'inHg'];
const TEMPERATURE_UNITS = ['degC', 'degF', 'K'];
const SPEED_UNITS = ['km/h', 'mph', 'm/s'];

const pressure = (name: string): ChannelWords => ({
  name,
  kind: 'pressure',
  writtenUnits: PRESSURE_UNITS,
  pressure: true,
});
/** Oil, fuel and injection pressure stay against outside air: their parts are rated so. */
const gaugePressure = (name: string): ChannelWords => ({ ...pressure(name), gauge: true });
const temperature = (name: string): ChannelWords => ({ name, kind: 'temperature', writtenUnits: TEMPERATURE_UNITS });
const speed = (name: string): ChannelWords => ({ name, kind: 'speed', writtenUnits: SPEED_UNITS });
const share = (name: string): ChannelWords => ({ name, plain: plain('%', 100, 0), writtenUnits: ['%', '1'] });
const other = (
  name: string,
  unit: string,
  factor: number,
  decimals: number,
  writtenUnits: readonly string[],
): ChannelWords => ({
  name,
  plain: plain(unit, factor, decimals),
  writtenUnits,
});

/** Every channel, in the order in which traces are stacked. */
export const CHANNEL_WORDS: Readonly<Record<ChannelName, ChannelWords>> = {
  'engine-speed': other('Engine speed', 'rpm', 1, 0, ['rpm', 'krpm', 'rad/s']),
  'manifold-pressure': pressure('Manifold pressure'),
  'fuel-pressure': gaugePressure('Fuel pressure'),
  lambda: { name: 'Mixture', kind: 'mixture', writtenUnits: ['lambda', 'AFR'] },
  'spark-advance': other('Spark advance', '° before top', 1, 1, ['deg']),
  'charge-temperature': temperature('Charge temperature'),
  'air-flow': { name: 'Air flow', kind: 'airFlow', writtenUnits: ['g/s', 'kg/h', 'kg/s', 'lb/min'] },
  'injector-duty': share('Injector duty'),
  'knock-retard': other('Knock retard', '°', 1, 1, ['deg']),
  'compressor-outlet-pressure': pressure('Compressor outlet pressure'),
  'compressor-outlet-temperature': temperature('Compressor outlet temperature'),
  'exhaust-temperature': temperature('Exhaust temperature'),
  'exhaust-pressure': pressure('Exhaust pressure'),
  'shaft-speed': other('Shaft speed', 'krpm', 1e-3, 0, ['rpm', 'krpm']),
  'wastegate-duty': share('Wastegate duty'),
  'manifold-pressure-target': pressure('Manifold pressure asked for'),
  'lambda-target': { name: 'Mixture asked for', kind: 'mixture', writtenUnits: ['lambda', 'AFR'] },
  throttle: share('Throttle'),
  pedal: share('Pedal'),
  'vehicle-speed': speed('Road speed'),
  'wheel-speed-driven': speed('Driven wheel speed'),
  'wheel-speed-undriven': speed('Undriven wheel speed'),
  'satellite-speed': speed('Satellite speed'),
  'intake-temperature': temperature('Intake temperature'),
  'ambient-temperature': temperature('Outside temperature'),
  'barometric-pressure': pressure('Barometer'),
  'coolant-temperature': temperature('Coolant temperature'),
  'oil-temperature': temperature('Oil temperature'),
  'oil-pressure': gaugePressure('Oil pressure'),
  'battery-voltage': other('Battery voltage', 'V', 1, 1, ['V', 'mV']),
  'injector-pulse': other('Injector pulse', 'ms', 1000, 2, ['ms', 's']),
  'fuel-trim': share('Fuel trim'),
  'fuel-trim-long': share('Fuel trim, long term'),
  'air-flow-frequency': other('Airflow meter frequency', 'Hz', 1, 0, ['Hz', 'kHz']),
  'knock-level': other('Knock level', 'V', 1, 2, ['V', 'mV']),
  'knock-count': other('Knock count', '', 1, 0, ['1']),
  'misfire-count': other('Misfire count', '', 1, 0, ['1']),
  'injection-flow': { name: 'Water-methanol flow', kind: 'volumeFlow', writtenUnits: ['cc/min', 'L/h', 'L/min'] },
  'injection-pressure': gaugePressure('Water-methanol pressure'),
  gear: other('Gear', '', 1, 0, ['1']),
  'clutch-switch': other('Clutch switch', '', 1, 0, ['1']),
  acceleration: other('Acceleration', 'm/s²', 1, 2, ['g', 'm/s2']),
  altitude: other('Altitude', 'm', 1, 0, ['m', 'ft']),
  'ethanol-content': share('Ethanol content'),
  time: other('Time', 's', 1, 2, ['s', 'ms', 'min']),
};

export const CHANNEL_ORDER = Object.keys(CHANNEL_WORDS) as ChannelName[];

/** A channel's SI value in reading units. */
export const channelReading = (channel: ChannelName, units: Units, valueSi: number): number => {
  const { kind, plain: own } = CHANNEL_WORDS[channel];
  return kind === undefined ? valueSi * (own?.factor ?? 1) : units.toReading(kind, valueSi);
};

export const channelUnit = (channel: ChannelName, units: Units): string => {
  const { kind, plain: own, gauge } = CHANNEL_WORDS[channel];
  return kind === undefined ? (own?.unit ?? '') : `${units.label(kind)}${gauge ? ' gauge' : ''}`;
};

export const writeChannel = (channel: ChannelName, units: Units, valueSi: number): string => {
  const { kind, plain: own } = CHANNEL_WORDS[channel];
  return kind === undefined
    ? writeNumber(valueSi * (own?.factor ?? 1), own?.decimals ?? 2)
    : units.write(kind, valueSi);
};

/** Limits of the build sheet by channel. */
const LIMITS: Readonly<Partial<Record<ChannelName, { readonly path: string; readonly forbidden: 'above' | 'below' }>>> =
  {
    'engine-speed': { path: 'engine.revLimit', forbidden: 'above' },
    'manifold-pressure': { path: 'sensors.manifoldPressureCeiling', forbidden: 'above' },
    'air-flow': { path: 'sensors.airflowMeterCeiling', forbidden: 'above' },
    'charge-temperature': { path: 'chargeCooler.chargeTemperatureLimit', forbidden: 'above' },
    'compressor-outlet-temperature': { path: 'turbocharger.compressorOutletTemperatureLimit', forbidden: 'above' },
    'exhaust-temperature': { path: 'turbocharger.turbineInletTemperatureLimit', forbidden: 'above' },
    'shaft-speed': { path: 'turbocharger.shaftSpeedLimit', forbidden: 'above' },
    'injector-duty': { path: 'fuelSystem.injectorDutyLimit', forbidden: 'above' },
    'coolant-temperature': { path: 'engine.coolantTemperatureLimit', forbidden: 'above' },
    lambda: { path: 'sensors.widebandLowest', forbidden: 'below' },
  };

const wallOf = (channel: ChannelName, build: BuildView | undefined, units: Units): TraceData['wall'] => {
  const limit = LIMITS[channel];
  if (!limit || !build) return undefined;
  if (channel === 'air-flow' && build.facts.airMetering !== 'airflow meter') return undefined;
  const value = quantityOf(build, limit.path);
  return value === undefined ? undefined : { at: channelReading(channel, units, value), forbidden: limit.forbidden };
};

/** What is predicted of a channel in reading units. */
export const predictedData = (
  channel: ChannelName,
  predicted: TraceView['predicted'],
  units: Units,
): TraceData['predicted'] => {
  const read = (values: readonly number[]) => values.map((value) => channelReading(channel, units, value));
  return (predicted ?? []).map(({ timesS, p10, p50, p90 }) => ({
    timesS,
    low: read(p10),
    middle: read(p50),
    high: read(p90),
  }));
};

type Readings = { readonly timesS: ArrayLike<number>; readonly values: ArrayLike<number> };
type Gaps = readonly { readonly startS: number; readonly endS: number }[];

/** Readings with one that is missing inside every gap they lie on both sides of, so that no line is drawn over it. */
export const brokenAt = ({ timesS, values }: Readings, gaps: Gaps): { timesS: Float64Array; values: Float64Array } => {
  const breaks = gaps.flatMap(({ startS, endS }) => {
    const middleS = (startS + endS) / 2;
    const after = firstIndexAtOrAfter(timesS, middleS);
    return after > 0 && after < timesS.length ? [{ middleS, after }] : [];
  });
  const brokenTimes = new Float64Array(timesS.length + breaks.length);
  const brokenValues = new Float64Array(brokenTimes.length);
  let from = 0;
  let to = 0;
  const copy = (end: number) => {
    for (; from < end; from++, to++) {
      brokenTimes[to] = timesS[from]!;
      brokenValues[to] = values[from]!;
    }
  };
  for (const { middleS, after } of breaks) {
    copy(after);
    brokenTimes[to] = middleS;
    brokenValues[to++] = Number.NaN;
  }
  copy(timesS.length);
  return { timesS: brokenTimes, values: brokenValues };
};

/** Readings of a channel in reading units, with its wall; NaN inside a gap of the clock. */
export const traceData = (
  channel: ChannelName,
  logged: { readonly timesS: Float64Array; readonly values: Float64Array } | null,
  predicted: TraceData['predicted'],
  build: BuildView | undefined,
  units: Units,
  gaps: Gaps = [],
): TraceData => {
  const wall = wallOf(channel, build, units);
  const readings: Readings = logged ?? { timesS: [], values: [] };
  const { timesS, values } = gaps.length > 0 ? brokenAt(readings, gaps) : readings;
  return {
    timesS,
    values: Float64Array.from(values, (value) => channelReading(channel, units, value)),
    predicted,
    ...(wall ? { wall } : {}),
  };
};

/** Channels that hold a state or a count: drawn as a staircase. */
export const STEPPED: ReadonlySet<ChannelName> = new Set(['gear', 'clutch-switch', 'knock-count', 'misfire-count']);
