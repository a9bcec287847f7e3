/** Whether engine speed tells road speed: the gear, the scale of the logged speed, slipping clutch and spinning tyres. */
import type { Car } from '../../car/index.ts';
import { medianOf } from '../../logs/index.ts';
import type { PartKinematics } from './acceleration.ts';
import type { PartSeries, SpeedSeries } from './part-series.ts';

/** Engine speed over road speed may stand this far above its calm value by tyre slip alone. */
const USUAL_TYRE_SLIP = 0.1;
const DRIVEN_SLACK = 0.05;

const isDriven = (speed: SpeedSeries, car: Car): boolean =>
  speed.channel === 'wheel-speed-driven' ||
  (speed.channel === 'vehicle-speed' &&
    (car.facts.speedSource === 'driven wheel' || car.facts.speedSource === 'gearbox'));

/** Logged over gearing speed at every grid point; NaN where too slow to tell. */
const ratios = (speed: SpeedSeries, series: PartSeries, perGearing: number): Float64Array =>
  series.engineSpeedRpm.map((rpm, i) => {
    const v = speed.speedMPerS[i]!;
    return v > 4 ? (rpm * perGearing) / v : Number.NaN;
  });

/**
 * Gear of a part: as told, else the one whose gearing is nearest to the logged speed.
 * @returns gear number from 1 and its ratio, or null when neither is known
 */
export const gearOf = (series: PartSeries, car: Car): { gear: number; gearRatio: number } | null => {
  const { gearRatios } = car.facts;
  if (series.gear !== null) {
    const gearRatio = gearRatios[series.gear - 1];
    return gearRatio === undefined ? null : { gear: series.gear, gearRatio };
  }
  const speed = series.speeds[0];
  if (!speed) return null;
  const seen = medianOf(ratios(speed, series, (Math.PI / 30) * car.tyres.rollingRadiusM));
  if (seen === null) return null;
  const off = (gearRatio: number) => Math.abs(Math.log(seen / (gearRatio * car.driveline.finalDrive)));
  const [nearest] = gearRatios
    .map((gearRatio, index) => ({ gear: index + 1, gearRatio }))
    .sort((a, b) => off(a.gearRatio) - off(b.gearRatio));
  return nearest && off(nearest.gearRatio) < 0.12 ? nearest : null;
};

/**
 * Scale that brings a logged speed to gearing times engine speed, from the calmest tenth of a part: 1 over the share by
 * which it reads. Slip only ever raises engine speed over road speed, so the low end is the calm one.
 */
const scaleOf = (ratio: Float64Array): number => {
  const sorted = Float64Array.from(ratio.filter(Number.isFinite)).sort();
  return sorted.length < 5 ? Number.NaN : sorted[Math.floor(0.1 * sorted.length)]!;
};

/** Slip begins and ends before it shows: its stretch is widened by this on both sides [s]. */
const SLIP_MARGIN_S = 0.4;

const widened = (flags: readonly boolean[], by: number): boolean[] =>
  flags.map((_, i) => flags.slice(Math.max(0, i - by), i + by + 1).some(Boolean));

export const partKinematics = (series: PartSeries, gearRatio: number, car: Car): PartKinematics => {
  const overallRatio = gearRatio * car.driveline.finalDrive;
  const perGearing = ((Math.PI / 30) * car.tyres.rollingRadiusM) / overallRatio;
  const calm = series.timesS.length;
  const none: PartKinematics = {
    gearRatio,
    slipping: new Array<boolean>(calm).fill(false),
    speed: null,
    speedScale: 1,
    speedIsDriven: false,
  };
  let best = none;
  let worst = 0;
  for (const speed of series.speeds) {
    const ratio = ratios(speed, series, perGearing);
    const scale = scaleOf(ratio);
    if (!Number.isFinite(scale)) continue;
    const driven = isDriven(speed, car);
    const limit = driven ? DRIVEN_SLACK : USUAL_TYRE_SLIP;
    const above = Array.from(ratio, (r) => r / scale - 1);
    const count = above.filter((r) => r > limit).length;
    // Satellite speed lags a fifth of a second or more: it reads low throughout hard acceleration without any slip.
    if (speed.channel === 'satellite-speed') continue;
    if (count * series.stepS < 0.2 || count <= worst) continue;
    worst = count;
    best = {
      gearRatio,
      slipping: widened(
        above.map((r) => r > 0.4 * limit),
        Math.round(SLIP_MARGIN_S / series.stepS),
      ),
      speed,
      speedScale: scale > 0.96 && scale < 1.06 ? 1 : scale,
      speedIsDriven: driven,
    };
  }
  return best;
};
