/** One single-gear stretch of a pull on an even grid of times, with everything the estimates read. */
import type { Car } from '../../car/index.ts';
import {
  type Channel,
  type ChannelName,
  channelNamed,
  type Log,
  type PullPart,
  resample,
  sliceOf,
} from '../../logs/index.ts';
import { lonelyReadings } from '../context.ts';
import { localFit } from './local-fit.ts';

/** Arrays on the grid; NaN where there is no reading near or it is not to be believed. null: not logged. */
export interface PartSeries {
  readonly gear: number | null;
  /** It follows a full-throttle shift. */
  readonly afterShift: boolean;
  readonly startS: number;
  readonly endS: number;
  readonly stepS: number;
  readonly timesS: Float64Array;
  readonly engineSpeedRpm: Float64Array;
  readonly engineSpeedSlopeRpmPerS: Float64Array;
  readonly engineSpeedSlopeSdRpmPerS: Float64Array;
  readonly manifoldPressurePa: Float64Array | null;
  readonly manifoldPressureSlopePaPerS: Float64Array | null;
  readonly exhaustPressurePa: Float64Array | null;
  readonly compressorOutletTemperatureK: Float64Array | null;
  readonly exhaustTemperatureK: Float64Array | null;
  readonly chargeTemperatureK: Float64Array | null;
  readonly chargeTemperatureSlopeKPerS: Float64Array | null;
  readonly lambda: Float64Array | null;
  readonly sparkAdvanceDeg: Float64Array | null;
  readonly airFlowKgPerS: Float64Array | null;
  readonly injectorPulseS: Float64Array | null;
  readonly injectorDuty: Float64Array | null;
  readonly batteryVoltageV: Float64Array | null;
  /** Rail over outside air. */
  readonly fuelPressureGaugePa: Float64Array | null;
  readonly injectionFlowM3PerS: Float64Array | null;
  /** Rises with every misfire; only its rise has a meaning. */
  readonly misfireCount: Float64Array | null;
  readonly speeds: readonly SpeedSeries[];
}

/** A logged road speed near the part. */
export interface SpeedSeries {
  readonly channel: ChannelName;
  readonly speedMPerS: Float64Array;
  readonly slopeMPerS2: Float64Array;
  readonly slopeSdMPerS2: Float64Array;
}

/** What readings of a quantity may be at all: outside it the sensor, not the engine, is seen. SI. */
const BELIEVABLE: Partial<Record<ChannelName, readonly [number, number]>> = {
  'engine-speed': [100, 16000],
  'manifold-pressure': [5e3, 6e5],
  'exhaust-pressure': [6e4, 1.2e6],
  'charge-temperature': [225, 440],
  'compressor-outlet-temperature': [225, 620],
  'exhaust-temperature': [350, 1500],
  lambda: [0.5, 1.6],
  'spark-advance': [-40, 60],
  'air-flow': [1e-4, 3],
  'injector-pulse': [1e-5, 0.06],
  'injector-duty': [0.001, 1.2],
  'battery-voltage': [7, 18],
  'fuel-pressure': [3e4, 3e7],
  'injection-flow': [0, 1e-4],
};

/** Readings around a stretch, single-reading spikes and unbelievable values taken out. */
const cleaned = (channel: Channel, startS: number, endS: number): Channel => {
  const { timesS, values } = sliceOf(channel, startS, endS);
  const near = { ...channel, timesS, values };
  const limits = BELIEVABLE[channel.channel];
  const lonely = new Set(lonelyReadings(near));
  const keep = (i: number) => !lonely.has(i) && (!limits || (values[i]! >= limits[0] && values[i]! <= limits[1]));
  return { ...near, timesS: timesS.filter((_, i) => keep(i)), values: values.filter((_, i) => keep(i)) };
};

/** True when a live quantity reads exactly the same through most of a stretch in which it must move. */
const frozen = ({ timesS, values }: Channel, startS: number, endS: number): boolean => {
  let longest = 0;
  let runStart = Number.NaN;
  let count = 0;
  for (let i = 0; i < values.length; i++) {
    if (timesS[i]! < startS || timesS[i]! > endS) continue;
    if (i > 0 && values[i] === values[i - 1] && !Number.isNaN(runStart)) {
      count++;
      if (count >= 8) longest = Math.max(longest, timesS[i]! - runStart);
    } else {
      runStart = timesS[i]!;
      count = 1;
    }
  }
  return longest > 0.6 * (endS - startS);
};

/** Quantities that never stand still to the last digit through a full-throttle pull. */
const NEVER_STILL: ReadonlySet<ChannelName> = new Set([
  'engine-speed',
  'vehicle-speed',
  'wheel-speed-driven',
  'wheel-speed-undriven',
  'satellite-speed',
  'manifold-pressure',
  'air-flow',
  'injector-pulse',
  'exhaust-pressure',
]);

const SPEED_CHANNELS = ['vehicle-speed', 'wheel-speed-driven', 'wheel-speed-undriven', 'satellite-speed'] as const;

/** Throttle, boost and clutch are not back before this after a full-throttle shift, or after the pedal goes down [s]. */
const SETTLE_AFTER_SHIFT_S = 0.35;
const SETTLE_AFTER_PEDAL_S = 0.1;
const STEP_S = 0.02;
const MOST_POINTS = 1200;
/** Half-width of the fit that gives the slope of engine speed [s]: long against noise, short against a rise of boost. */
const SPEED_HALF_WIDTH_S = 0.35;

/** Engine speed fell by this much just before: a change up, whether or not its other half counts as a pull. */
const SHIFT_DROP_RPM = 400;
const SHIFT_LOOK_BACK_S = 0.9;

const followsShift = (log: Log, startS: number): boolean => {
  const speed = channelNamed(log, 'engine-speed');
  if (!speed) return false;
  const before = sliceOf(speed, startS - SHIFT_LOOK_BACK_S, startS).values;
  const after = sliceOf(speed, startS, startS + 0.3).values;
  const least = after.reduce((low, rpm) => Math.min(low, rpm), Number.POSITIVE_INFINITY);
  return before.some((rpm) => rpm > least + SHIFT_DROP_RPM);
};

export interface PartReader {
  readonly log: Log;
  readonly car: Car | null;
  /** Channels that the review found untrustworthy. */
  readonly doubted: ReadonlySet<ChannelName>;
}

/** A part of a pull on its grid, or a sentence saying why not. */
export const partSeries = ({ log, car, doubted }: PartReader, part: PullPart): PartSeries | string => {
  const { endS, gear } = part;
  const afterShift = followsShift(log, part.startS);
  const startS = part.startS + (afterShift ? SETTLE_AFTER_SHIFT_S : SETTLE_AFTER_PEDAL_S);
  if (endS - startS < 0.3) return 'too short a stretch in one gear';
  const stepS = Math.max(STEP_S, (endS - startS) / MOST_POINTS);
  const size = Math.floor((endS - startS) / stepS) + 1;
  const timesS = Float64Array.from({ length: size }, (_, i) => startS + i * stepS);
  const marginS = 2.5;
  const read = (name: ChannelName): Channel | null => {
    const found = doubted.has(name) ? null : channelNamed(log, name);
    if (!found) return null;
    const near = cleaned(found, startS - marginS, endS + marginS);
    if (near.timesS.length < 4 || (NEVER_STILL.has(name) && frozen(near, startS, endS))) return null;
    return near;
  };
  const on = (name: ChannelName): Float64Array | null => {
    const channel = read(name);
    return channel && resample(channel, timesS, Math.max(0.8, 3 / Math.max(channel.rateHz, 1e-3)));
  };
  const speed = read('engine-speed');
  if (!speed) return 'no engine speed to trust';
  // Only readings inside the part: before and after it the clutch or the throttle is another.
  const inside = sliceOf(speed, startS - 0.02, endS + 0.02);
  if (inside.timesS.length < 5) return 'too few readings of engine speed';
  const engine = localFit(inside.timesS, inside.values, timesS, SPEED_HALF_WIDTH_S);
  const pressure = read('manifold-pressure');
  const pressureFit = pressure && localFit(pressure.timesS, pressure.values, timesS, 0.25, 5);
  const charge = read('charge-temperature');
  const chargeFit = charge && localFit(charge.timesS, charge.values, timesS, 0.7, 5);
  const ceilingPa = car?.sensors.manifoldPressureCeilingPa ?? Number.POSITIVE_INFINITY;
  const ceilingKgPerS = car?.facts.airMetering === 'airflow meter' ? car.sensors.airflowMeterCeilingKgPerS : Infinity;
  const manifoldPressurePa = on('manifold-pressure')?.map((p) => (p < 0.992 * ceilingPa ? p : Number.NaN)) ?? null;
  return {
    gear,
    afterShift,
    startS,
    endS,
    stepS,
    timesS,
    engineSpeedRpm: engine.values,
    engineSpeedSlopeRpmPerS: engine.slopes,
    engineSpeedSlopeSdRpmPerS: engine.slopeSd,
    manifoldPressurePa,
    manifoldPressureSlopePaPerS: pressureFit?.slopes ?? null,
    exhaustPressurePa: on('exhaust-pressure'),
    compressorOutletTemperatureK: on('compressor-outlet-temperature'),
    exhaustTemperatureK: on('exhaust-temperature'),
    chargeTemperatureK: chargeFit?.values ?? null,
    chargeTemperatureSlopeKPerS: chargeFit?.slopes ?? null,
    lambda: on('lambda'),
    sparkAdvanceDeg: on('spark-advance'),
    airFlowKgPerS: on('air-flow')?.map((flow) => (flow < 0.985 * ceilingKgPerS ? flow : Number.NaN)) ?? null,
    injectorPulseS: on('injector-pulse'),
    injectorDuty: on('injector-duty'),
    batteryVoltageV: on('battery-voltage'),
    fuelPressureGaugePa: on('fuel-pressure'),
    injectionFlowM3PerS: on('injection-flow'),
    misfireCount: on('misfire-count'),
    speeds: SPEED_CHANNELS.flatMap((channel): SpeedSeries[] => {
      const found = read(channel);
      if (!found) return [];
      const { timesS: times, values } = sliceOf(found, startS - 0.4, endS + 0.4);
      const fit = localFit(times, values, timesS, 0.4, 6);
      return [{ channel, speedMPerS: fit.values, slopeMPerS2: fit.slopes, slopeSdMPerS2: fit.slopeSd }];
    }),
  };
};
