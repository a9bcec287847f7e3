import { quantileOf } from '../../logs/index.ts';
import type { LoadStretch, ReviewContext } from '../context.ts';
import type { FindingId } from '../types.ts';
import { compressorTrack } from './map-point.ts';
import { confidenceBy, finding, inPercent, inRpm, inSeconds, lacking, type Rule } from './rule.ts';
import { runningMean } from './spans.ts';

/**
 * What the turbine makes of the gas while the wastegate is shut, over what nozzle law and efficiency promise, as a share.
 * Healthy builds of the trade spread by a fifth about 1; a leak before the turbine costs with the cube of the flow lost.
 */
const WORK_SHARE = 0.8;
const CERTAIN_SHARE = 0.55;
/** Pulses give a turbine about a quarter more work than the same mean flow does steadily (Watson & Janota (1982) ch. 7, from memory). */
const PULSE_FACTOR = 1.25;
/** Gas before the turbine: it warms from cruise to full load as the manifold does [K, s] (common practice). */
const COOL_GAS_K = 850;
const HOT_GAS_K = 1200;
const GAS_WARMS_S = 1.5;
const GAS_CP_J_PER_KG_K = 1150;
const GAS_HEAT_RATIO = 1.33;
const GAS_CONSTANT_J_PER_KG_K = 287;
const AIR_CP_J_PER_KG_K = 1005;
const AIR_EXPONENT = 0.2857;
/** Share of the asked boost between which the wastegate is certainly shut and the figures are large enough. */
const FROM_SHARE = 0.2;
const TO_SHARE = 0.78;
const LEAST_SPOOL_S = 0.35;
const SETTLE_S = 0.4;
const ARRIVED_SHARE = 0.92;
/** A turbocharger that is there in this time is not slow, and so short a rise cannot be weighed against its inertia. */
const QUICK_S = 1.25;
/** These take away gas work, air or the pressure reading itself: what they explain is not told twice. */
const EXPLAINS: ReadonlySet<FindingId> = new Set([
  'pressure-sensor-ceiling',
  'compressor-surge',
  'misfire',
  'throttle-closing',
  'back-pressure-high',
  'boost-leak',
]);

/** Turbine expansion ratio at which a nozzle of this area passes the flow; bisection, capped at 6. Source: isentropic nozzle, Heywood (1988) appendix C. */
const expansionRatio = (flowKgPerS: number, gasK: number, afterPa: number, areaM2: number): number => {
  const g = GAS_HEAT_RATIO;
  const critical = ((g + 1) / 2) ** (g / (g - 1));
  const passes = (ratio: number) => {
    const part = Math.min(ratio, critical);
    const flux = Math.sqrt(((2 * g) / (g - 1)) * (part ** (-2 / g) - part ** (-(g + 1) / g)));
    return (areaM2 * ratio * afterPa * flux) / Math.sqrt(GAS_CONSTANT_J_PER_KG_K * gasK);
  };
  let low = 1.0001;
  let high = 6;
  for (let step = 0; step < 30; step++) {
    const middle = (low + high) / 2;
    if (passes(middle) < flowKgPerS) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
};

interface Spool {
  readonly share: number;
  readonly from: number;
  readonly to: number;
  readonly arrivedAt: number | null;
}

const spoolOf = (context: ReviewContext, load: LoadStretch): Spool | null => {
  const { car } = context;
  const track = compressorTrack(context);
  const manifold = context.on('manifold-pressure');
  const wanted = context.wantedManifoldPressurePa();
  if (!car || !track || !manifold || !wanted) return null;
  const outside = context.barometricPressurePa;
  const shareOf = (i: number) => (manifold[i]! - outside) / (wanted.values[i]! - outside);
  const up = (i: number) => wanted.values[i]! - outside > 25e3;
  let to = load.from;
  while (to < load.to && !(up(to) && shareOf(to) > TO_SHARE)) to++;
  let arrivedAt: number | null = null;
  for (let i = to; i < load.to && arrivedAt === null; i++) if (shareOf(i) >= ARRIVED_SHARE) arrivedAt = i;
  const from = load.from + context.samples(SETTLE_S);
  const shaft = runningMean(
    Float64Array.from({ length: load.to - load.from }, (_, k) => {
      const point = track.points[load.from + k];
      return point ? (point.correctedShaftSpeedRpm * track.speedFactor * Math.PI) / 30 : Number.NaN;
    }),
    context.samples(0.08),
  );
  const lambda = context.on('lambda');
  const step = context.samples(0.05);
  const shares: number[] = [];
  for (let i = from; i < to; i++) {
    const point = track.points[i];
    if (!point || !up(i) || shareOf(i) < FROM_SHARE) continue;
    const k = i - load.from;
    if (k - step < 0 || k + step >= shaft.length) continue;
    const air = track.airFlowKgPerS[i]!;
    const omega = shaft[k]!;
    const gain = (shaft[k + step]! - shaft[k - step]!) / (2 * step * context.stepS);
    const compressorW =
      (air * AIR_CP_J_PER_KG_K * track.inletTemperatureK * (track.pressureRatio[i]! ** AIR_EXPONENT - 1)) /
      Math.max(0.45, point.efficiency);
    const inertiaW = car.turbocharger.shaftInertiaKgM2 * omega * gain;
    const mixture = Math.min(1.1, Math.max(0.7, lambda?.[i] ?? 0.9));
    const gas = air * (1 + 1 / (mixture * car.fuel.stoichiometricAirFuelRatio));
    const gasK = HOT_GAS_K - (HOT_GAS_K - COOL_GAS_K) * Math.exp(-(context.timesS[i]! - load.startS) / GAS_WARMS_S);
    const share = gas / car.exhaust.referenceFlowKgPerS;
    const afterPa = outside + car.exhaust.pressureDropPa * share * share;
    const ratio = expansionRatio(gas, gasK, afterPa, car.turbocharger.turbineEffectiveAreaM2);
    const turbineW =
      gas *
      GAS_CP_J_PER_KG_K *
      gasK *
      car.turbocharger.turbineEfficiency *
      (1 - ratio ** (-(GAS_HEAT_RATIO - 1) / GAS_HEAT_RATIO));
    const promised = PULSE_FACTOR * turbineW * car.turbocharger.mechanicalEfficiency;
    const value = (compressorW + inertiaW) / promised;
    if (Number.isFinite(value)) shares.push(value);
  }
  const middle = quantileOf(shares, 0.5);
  if (middle === null || shares.length * context.stepS < LEAST_SPOOL_S) return null;
  return { share: middle, from: load.from, to: Math.min(to, load.to - 1), arrivedAt };
};

export const slowSpool: Rule = {
  id: 'slow-spool',
  look(context) {
    const speed = context.on('engine-speed');
    if (!context.car?.compressorMap) return lacking('build: compressor map, turbine and shaft');
    if (!compressorTrack(context) || !speed || !context.wantedManifoldPressurePa()) {
      return lacking('manifold-pressure', 'charge-temperature', 'engine-speed');
    }
    return context.loads.flatMap((load) => {
      if (!load.first) return [];
      const spool = spoolOf(context, load);
      if (!spool || spool.share > WORK_SHARE) return [];
      const tookS = spool.arrivedAt === null ? null : context.timesS[spool.arrivedAt]! - load.startS;
      if (tookS !== null && tookS < QUICK_S) return [];
      if (context.found.some((one) => EXPLAINS.has(one.id) && one.startS < load.endS && one.endS > load.startS))
        return [];
      const rpm = speed[load.from]!;
      return [
        finding('slow-spool', {
          severity: 'fix',
          confidence: confidenceBy(-spool.share, -WORK_SHARE, -CERTAIN_SHARE),
          startS: load.startS,
          endS: context.timesS[spool.arrivedAt ?? spool.to]!,
          channels: ['manifold-pressure', 'engine-speed', 'charge-temperature'],
          numbers: {
            turbineWorkShare: spool.share,
            timeToTargetS: tookS,
            startEngineSpeedRpm: rpm,
            arrivesAtRpm: spool.arrivedAt === null ? null : speed[spool.arrivedAt],
          },
          says: `Boost came late${tookS === null ? '' : ` (${inSeconds(tookS)} from ${inRpm(rpm)} to target)`}: while it rose the turbine gave only ${inPercent(spool.share)} of the work this gas flow should yield.`,
          couldAlsoBe: [
            'an exhaust leak before the turbine',
            'a wastegate that does not close fully',
            'a boost leak',
            'a turbine larger than the build sheet says',
            'late timing or a dragging bearing',
          ],
          next: 'Look for soot at manifold and turbine flanges and check wastegate preload, engine cold; then pressure-test the charge pipes.',
          source:
            'power balance of the shaft: Watson & Janota, Turbocharging the Internal Combustion Engine (1982) ch. 2-3 (from memory)',
        }),
      ];
    });
  },
};
