/**
 * Engine speed running away from road speed at full load, and which coupling gave way: clutch or tyres.
 * Shared by clutch-slip and wheel-spin.
 */
import type { ChannelName } from '../../logs/index.ts';
import { quantileOf } from '../../logs/index.ts';
import { STANDARD_GRAVITY_M_PER_S2 } from '../../physics/index.ts';
import type { LoadStretch, ReviewContext } from '../context.ts';
import { longest, spansInLoad } from './load.ts';
import { extremeIn, runningMean, type Span, slopeIn } from './spans.ts';

/** Engine over driven wheels is rigid but for sensor scatter; 3.5 % held is the clutch. */
const CLUTCH_EXCESS = 0.035;
/** Driven over undriven wheels: tyres creep up to 8 % at full throttle before they spin (Pacejka's slip at peak force is 8-12 %). */
const SPIN_EXCESS = 0.12;
/** Engine over undriven wheels, where up to 8 % of creep count too; satellite speed also lags by some tenths of a second. */
const EITHER_EXCESS = 0.1;
const LAG_ALLOWANCE = 0.02;
/** Satellite speed is old by about this when it is logged. */
const SATELLITE_LAG_S = 0.25;
const SLIP_FOR_S = 0.25;
const SETTLE_S = 0.35;
/** Air at 20 °C and 100 kPa, near enough for the drag of a car [kg/m3]. */
const AIR_DENSITY_KG_PER_M3 = 1.19;
/** Greatest acceleration of a two-wheel-drive road car on road tyres when the build does not say (common practice). */
const USUAL_GRIP_LIMIT_M_PER_S2 = 6.5;
/** A driven wheel that gains speed this much faster than grip allows the car to is spinning. */
const IMPOSSIBLE_SHARE = 1.35;

/** Slower speeds lag so far behind each other in a pull that their ratio says nothing. */
const SLOWEST_HZ = 4;

/** What either rule needs one of, quick enough. */
export const ROAD_SPEEDS = `a road speed logged ${SLOWEST_HZ} times a second`;

export type SlipCause = 'clutch' | 'tyres';

export interface Slip {
  readonly cause: SlipCause;
  readonly load: LoadStretch;
  readonly span: Span;
  /** Greatest excess of the faster side over the slower, as a share. */
  readonly excess: number;
  readonly threshold: number;
  readonly engineSpeedRpm: number;
  readonly slipRpm: number;
  readonly channels: readonly ChannelName[];
  /** False when only the size of the acceleration told clutch from tyres. */
  readonly proven: boolean;
  readonly accelerationMPerS2: number | null;
}

/** Greatest acceleration the driven tyres can give [m/s2], with load transfer. Source: Gillespie, Fundamentals of Vehicle Dynamics (1992), eq. 2-6. */
export const gripLimitMPerS2 = (context: ReviewContext): number => {
  const { car } = context;
  if (!car) return USUAL_GRIP_LIMIT_M_PER_S2;
  const { grip } = car.tyres;
  const { drivenAxleLoad, centreOfGravityHeight } = car.body;
  if (car.facts.driven === 'all') return grip * STANDARD_GRAVITY_M_PER_S2;
  const transfer = (car.facts.driven === 'rear' ? -1 : 1) * grip * centreOfGravityHeight;
  return (grip * STANDARD_GRAVITY_M_PER_S2 * drivenAxleLoad) / (1 + transfer);
};

/**
 * Share of the clutch's torque capacity that this acceleration took: (m a + drag + rolling) r / (overall gearing x
 * efficiency) over capacity; null without build or gear. Source: Gillespie (1992), eq. 2-9.
 */
const clutchUse = (
  { car }: ReviewContext,
  accelerationMPerS2: number,
  speedMPerS: number,
  gear: number | null,
): number | null => {
  const ratio = gear === null ? undefined : car?.facts.gearRatios[gear - 1];
  if (!car || ratio === undefined) return null;
  const { massKg, dragAreaM2, rollingResistance } = car.body;
  const forceN =
    massKg * (accelerationMPerS2 + rollingResistance * STANDARD_GRAVITY_M_PER_S2) +
    0.5 * AIR_DENSITY_KG_PER_M3 * dragAreaM2 * speedMPerS ** 2;
  const torqueNm = (forceN * car.tyres.rollingRadiusM) / (ratio * car.driveline.finalDrive * car.driveline.efficiency);
  return torqueNm / car.driveline.clutchTorqueCapacityNm;
};

interface Speeds {
  readonly driven: { name: ChannelName; values: Float64Array } | null;
  readonly undriven: { name: ChannelName; values: Float64Array; lags: boolean } | null;
  /** Road speed of unknown origin. */
  readonly road: { name: ChannelName; values: Float64Array } | null;
}

const speedsOf = (context: ReviewContext): Speeds => {
  const source = context.car?.facts.speedSource ?? null;
  const named = (name: ChannelName) => {
    const fastEnough = (context.channel(name)?.rateHz ?? 0) >= SLOWEST_HZ;
    const values = fastEnough ? context.on(name) : null;
    return values && { name, values };
  };
  const road = named('vehicle-speed');
  const roadIsDriven = source === 'driven wheel' || source === 'gearbox';
  const driven = named('wheel-speed-driven') ?? (source && roadIsDriven ? road : null);
  const free = named('wheel-speed-undriven') ?? (source === 'undriven wheel' ? road : null);
  const satellite = named('satellite-speed');
  const late = context.samples(SATELLITE_LAG_S);
  const undriven = free
    ? { ...free, lags: false }
    : satellite
      ? { name: satellite.name, values: satellite.values.map((value, i, all) => all[i + late] ?? value), lags: true }
      : null;
  return { driven, undriven, road };
};

/** How far the faster side is over the slower, as a share, from grid index `from` to the end of a load. */
interface Excess {
  readonly from: number;
  readonly values: Float64Array;
}

const excessOver = (
  context: ReviewContext,
  load: LoadStretch,
  fast: Float64Array,
  slow: Float64Array,
  pair: string,
): Excess | null => {
  const ratio = context.kept(`ratio ${pair}`, () =>
    runningMean(
      fast.map((value, i) => (slow[i]! > 3 ? value / slow[i]! : Number.NaN)),
      context.samples(0.06),
    ),
  );
  // The locked ratio: what the stretch shows at its least, just before and in it.
  const from = Math.max(0, load.from - context.samples(0.2));
  const near = ratio.subarray(from, load.to);
  const locked = quantileOf(near, 0.1);
  return locked === null || locked <= 0 ? null : { from, values: near.map((value) => value / locked - 1) };
};

/** A reading that hardly ever moved in a stretch while the engine gained is frozen; it catches up by a jump. */
const FROZEN_SHARE = 0.8;

/** A speed that stood still while the engine gained is frozen: it proves nothing about a coupling. */
const standsStill = (slow: Float64Array, from: number, to: number): boolean => {
  let still = 0;
  for (let i = from + 1; i < to; i++) if (Math.abs(slow[i]! - slow[i - 1]!) < 1e-6 * slow[i]!) still++;
  return still > FROZEN_SHARE * (to - from - 1);
};

const found = (
  context: ReviewContext,
  load: LoadStretch,
  excess: Excess | null,
  slow: Float64Array,
  threshold: number,
): { span: Span; peak: { value: number; index: number } } | null => {
  if (!excess) return null;
  const span = longest(
    spansInLoad(context, load, (i) => excess.values[i - excess.from]! > threshold * context.strictness, {
      settleS: SETTLE_S,
      minimumS: SLIP_FOR_S,
      bridgeS: 0.3,
    }),
  );
  if (!span || standsStill(slow, span.from, span.to)) return null;
  const { value, index } = extremeIn(excess.values, 'largest', span.from - excess.from, span.to - excess.from)!;
  return { span, peak: { value, index: index + excess.from } };
};

/** Greatest acceleration over 0.4 s from just before the slip to its end: what the coupling carried as it gave way. */
const accelerationIn = (context: ReviewContext, speed: Float64Array, span: Span): number | null => {
  const width = context.samples(0.4);
  let most: number | null = null;
  for (let i = Math.max(0, span.from - context.samples(0.5)); i + width <= span.to; i += Math.max(1, width >> 2)) {
    const slope = slopeIn(context.timesS, speed, i, i + width);
    if (slope !== null && (most === null || slope > most)) most = slope;
  }
  return most;
};

/** Null when engine speed or every road speed is missing. */
export const slips = (context: ReviewContext): readonly Slip[] | null =>
  context.kept('slips', () => {
    const engine = context.on('engine-speed');
    const speeds = speedsOf(context);
    if (!engine || (!speeds.driven && !speeds.undriven && !speeds.road)) return null;
    const grip = gripLimitMPerS2(context);
    const first = (load: LoadStretch) => load.gear === 1;
    return context.loads.flatMap((load): Slip[] => {
      const make = (
        cause: SlipCause,
        seen: { span: Span; peak: { value: number; index: number } },
        threshold: number,
        channels: readonly ChannelName[],
        proven: boolean,
        accelerationMPerS2: number | null,
      ): Slip => {
        const rpm = engine[seen.peak.index]!;
        return {
          cause,
          load,
          span: seen.span,
          excess: seen.peak.value,
          threshold,
          engineSpeedRpm: rpm,
          slipRpm: rpm - rpm / (1 + seen.peak.value),
          channels,
          proven,
          accelerationMPerS2,
        };
      };
      const out: Slip[] = [];
      const { driven, undriven, road } = speeds;
      if (driven) {
        const seen = found(
          context,
          load,
          excessOver(context, load, engine, driven.values, 'engine over driven'),
          driven.values,
          CLUTCH_EXCESS,
        );
        if (seen) out.push(make('clutch', seen, CLUTCH_EXCESS, ['engine-speed', driven.name], true, null));
      }
      if (driven && undriven) {
        const threshold = (first(load) ? 2 : 1) * SPIN_EXCESS + (undriven.lags ? LAG_ALLOWANCE : 0);
        const seen = found(
          context,
          load,
          excessOver(context, load, driven.values, undriven.values, 'driven over undriven'),
          undriven.values,
          threshold,
        );
        if (seen) out.push(make('tyres', seen, threshold, [driven.name, undriven.name], true, null));
        return out;
      }
      const free = undriven ?? (driven ? null : road && { ...road, lags: false });
      if (free) {
        const threshold = (first(load) ? 0.25 : EITHER_EXCESS) + (free.lags ? LAG_ALLOWANCE : 0);
        const excess = excessOver(context, load, engine, free.values, 'engine over free');
        const seen = found(context, load, excess, free.values, threshold);
        if (seen) {
          const acceleration = accelerationIn(context, free.values, seen.span);
          const speedThen = free.values[seen.span.from]!;
          const clutchShare = acceleration === null ? null : clutchUse(context, acceleration, speedThen, load.gear);
          // Neither is seen directly: whichever was asked for the greater share of what it can carry gave way.
          const byGear: SlipCause = load.gear !== null && load.gear <= 2 ? 'tyres' : 'clutch';
          const cause: SlipCause =
            acceleration === null || clutchShare === null
              ? byGear
              : acceleration / grip > clutchShare
                ? 'tyres'
                : 'clutch';
          out.push(make(cause, seen, threshold, ['engine-speed', free.name], false, acceleration));
        }
        return out;
      }
      if (driven) {
        // Driven wheels alone: they cannot gain speed faster than grip could push the car.
        const smooth = runningMean(driven.values, context.samples(0.05));
        const half = context.samples(0.15);
        const gain = smooth.map(
          (_, i) =>
            (smooth[Math.min(smooth.length - 1, i + half)]! - smooth[Math.max(0, i - half)]!) /
            (2 * half * context.stepS),
        );
        const span = longest(
          spansInLoad(context, load, (i) => gain[i]! > IMPOSSIBLE_SHARE * grip * context.strictness, {
            settleS: SETTLE_S,
            minimumS: 0.12,
            bridgeS: 0.3,
          }),
        );
        const before =
          span && standsStill(driven.values, span.from - context.samples(0.6), span.from - context.samples(0.2));
        if (span && !before) {
          const peak = extremeIn(gain, 'largest', span.from, span.to)!;
          const excess = (smooth[span.to - 1]! - smooth[span.from]!) / Math.max(1, smooth[span.from]!);
          const base = make(
            'tyres',
            { span, peak: { value: excess, index: peak.index } },
            0,
            [driven.name],
            false,
            peak.value,
          );
          out.push(base);
        }
      }
      return out;
    });
  });
