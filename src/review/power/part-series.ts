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
import { lonelyReadings } from '../findings/readings.ts';
import { type Grade, gradeByAltitude, UNKNOWN_GRADE } from './altitude-grade.ts';
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
  /** Engine speed in the same steps before the grid, from where clutch and pedal are home: slip of the tyres builds up there. */
  readonly leadIn: { readonly engineSpeedRpm: Float64Array; readonly engineSpeedSlopeRpmPerS: Float64Array };
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
  /** Misfires per second. */
  readonly misfireRateHz: Float64Array | null;
  readonly speeds: readonly SpeedSeries[];
  /** Of the road under the stretch, by altitude where that was logged. */
  readonly grade: Grade;
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

/** A run of equal readings this long, in number and time, is a sensor that stands still or is at its end. */
const STILL_READINGS = 10;
const STILL_S = 1.5;

/** Without the long runs of readings that are the same to the last digit. */
const withoutStillness = (channel: Channel): Channel => {
  const { timesS, values } = channel;
  const keep = new Uint8Array(values.length).fill(1);
  for (let from = 0; from < values.length; ) {
    let to = from;
    while (to + 1 < values.length && values[to + 1] === values[from]) to++;
    if (to - from + 1 >= STILL_READINGS && timesS[to]! - timesS[from]! >= STILL_S) keep.fill(0, from, to + 1);
    from = to + 1;
  }
  return { ...channel, timesS: timesS.filter((_, i) => keep[i] === 1), values: values.filter((_, i) => keep[i] === 1) };
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

/** Throttle, clutch and what the sensors show of them need this after a shift and after the pedal goes down [s]. */
const SETTLE_S = 0.4;
/** The clutch is home and the engine turns with the wheels this long after a stretch begins [s]. */
const CLUTCH_HOME_S = 0.1;
/** Holes up to this are bridged; a dropout longer than it is a hole [s]. */
const LONGEST_HOLE_S = 0.5;
const STEP_S = 0.03;
const MOST_POINTS = 200;
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

/** Engine speed from the clutch coming home to `startS`; its lowest reading tells where it came home after a shift. */
const leadInOf = (speed: Channel, fromS: number, startS: number, stepS: number): PartSeries['leadIn'] => {
  const { timesS, values } = sliceOf(speed, fromS, startS + SPEED_HALF_WIDTH_S);
  let lowest = 0;
  values.forEach((rpm, i) => {
    if (timesS[i]! < startS && rpm < values[lowest]!) lowest = i;
  });
  const home = Math.max(fromS, values.length > 0 ? timesS[lowest]! : startS) + CLUTCH_HOME_S;
  const size = Math.max(0, Math.floor((startS - home) / stepS));
  const atS = Float64Array.from({ length: size }, (_, i) => startS - (size - i) * stepS);
  const inside = sliceOf(speed, home - 0.02, startS + SPEED_HALF_WIDTH_S);
  const fit = localFit(inside.timesS, inside.values, atS, SPEED_HALF_WIDTH_S);
  return { engineSpeedRpm: fit.values, engineSpeedSlopeRpmPerS: fit.slopes };
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
  const startS = part.startS + SETTLE_S;
  if (endS - startS < 0.3) return 'too short a stretch in one gear';
  const stepS = Math.max(STEP_S, (endS - startS) / MOST_POINTS);
  const size = Math.floor((endS - startS) / stepS) + 1;
  const timesS = Float64Array.from({ length: size }, (_, i) => startS + i * stepS);
  const marginS = 2.5;
  const read = (name: ChannelName): Channel | null => {
    const found = doubted.has(name) ? null : channelNamed(log, name);
    if (!found) return null;
    const believable = cleaned(found, startS - marginS, endS + marginS);
    const near = NEVER_STILL.has(name) ? withoutStillness(believable) : believable;
    return near.timesS.length < 4 ? null : near;
  };
  const on = (name: ChannelName): Float64Array | null => {
    const channel = read(name);
    return channel && resample(channel, timesS, Math.max(LONGEST_HOLE_S, 3 / Math.max(channel.rateHz, 1e-3)));
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
  const misfires = read('misfire-count');
  const misfireFit = misfires && localFit(misfires.timesS, misfires.values, timesS, 0.6, 5);
  const ceilingPa = car?.sensors.manifoldPressureCeilingPa ?? Number.POSITIVE_INFINITY;
  const ceilingKgPerS = car?.facts.airMetering === 'airflow meter' ? car.sensors.airflowMeterCeilingKgPerS : Infinity;
  const manifoldPressurePa = on('manifold-pressure')?.map((p) => (p < 0.992 * ceilingPa ? p : Number.NaN)) ?? null;
  const speeds = SPEED_CHANNELS.flatMap((channel): SpeedSeries[] => {
    const found = read(channel);
    if (!found) return [];
    const { timesS: times, values } = sliceOf(found, startS - 0.4, endS + 0.4);
    const fit = localFit(times, values, timesS, 0.4, 6);
    return [{ channel, speedMPerS: fit.values, slopeMPerS2: fit.slopes, slopeSdMPerS2: fit.slopeSd }];
  });
  const altitudeM = speeds[0] ? on('altitude') : null;
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
    leadIn: leadInOf(speed, part.startS, startS, stepS),
    manifoldPressurePa,
    // Across a hole the fit reaches over to other times: no slope there.
    manifoldPressureSlopePaPerS:
      pressureFit?.slopes.map((slope, i) => (Number.isFinite(manifoldPressurePa?.[i]) ? slope : Number.NaN)) ?? null,
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
    misfireRateHz: misfireFit?.slopes ?? null,
    speeds,
    grade: altitudeM && speeds[0] ? gradeByAltitude(altitudeM, speeds[0].speedMPerS, stepS) : UNKNOWN_GRADE,
  };
};
