import { firstIndexAtOrAfter, medianOf } from '../../logs/index.ts';
import type { ReviewContext } from '../context.ts';
import { withoutFlatBursts } from './readings.ts';
import { finding, inRpm, lacking, type Rule } from './rule.ts';
import { meanIn, runningMean, type Span, spansWhere } from './spans.ts';

/** A handful of counts happens on over-run and start; in a pull they are misfires. */
const COUNTS = 4;
/** Unburnt oxygen reads lean: a blip of this much over the running mean of lambda. */
const BLIP_LAMBDA = 0.07;
const LEAST_BLIPS = 4;
const WINDOW_S = 0.6;
/**
 * Engine speed off the line between its neighbours, standard deviation over a second at full load: sensors and
 * drivelines shake it by 4-11 rpm, a missing cylinder by its whole share of torque.
 */
const ROUGH_RPM = 15;
/** And so many times what the same log shows out of load. */
const ROUGHER = 3;
const ROUGH_WINDOW_S = 1;
/** Whole rpm steps of a coarse reading shake as well. */
const STEPS = 2;
/** A reading that repeats itself this often while the engine gains is held between messages: its steps are the logger's. */
const HELD_SHARE = 0.1;
/** A logger's clock is off by so much from reading to reading [s]; times the gain of the engine that shakes too. */
const JITTER_S = 0.005;
const LEAST_IN_WINDOW = 15;
/** Slower logging smooths single cylinders away. */
const ROUGH_SLOWEST_HZ = 18;
const SETTLE_S = 0.6;

interface Seen extends Span {
  readonly by: 'misfire-count' | 'engine-speed' | 'lambda';
  readonly count: number;
}

const byCount = (context: ReviewContext): Seen[] => {
  const count = context.on('misfire-count');
  if (!count) return [];
  const rises = new Set<number>();
  for (let i = 1; i < count.length; i++) if (count[i]! > count[i - 1]!) rises.add(i);
  return spansWhere(context.timesS, (i) => rises.has(i), { minimumS: 0, bridgeS: 2 })
    .map((span) => ({
      ...span,
      by: 'misfire-count' as const,
      count: count[span.to - 1]! - count[Math.max(0, span.from - 1)]!,
    }))
    .filter((seen) => seen.count >= COUNTS * context.strictness);
};

/** Standard deviation of a bell curve with this mean of absolute differences. */
const scatterOf = (off: Float64Array, from: number, to: number): number => 1.2533 * (meanIn(off, from, to) ?? 0);

/** 1 at each of `timesS` that lies less than `reachS` from a full-load stretch, 0 elsewhere. */
const nearLoads = ({ loads }: ReviewContext, timesS: Float64Array, reachS: number): Uint8Array => {
  const near = new Uint8Array(timesS.length);
  for (const { startS, endS } of loads) {
    let i = firstIndexAtOrAfter(timesS, startS - reachS);
    if (timesS[i] === startS - reachS) i++;
    for (; i < timesS.length && timesS[i]! < endS + reachS; i++) near[i] = 1;
  }
  return near;
};

/** Engine speed that shakes under load as it does not elsewhere in the log. */
const byRoughness = (context: ReviewContext): Seen[] => {
  const channel = context.cleaned('engine-speed');
  if (!channel || context.doubted.has('engine-speed') || channel.rateHz < ROUGH_SLOWEST_HZ) return [];
  const { timesS, values } = channel;
  // Off the straight line between the neighbours, at the time of the reading: loggers' clocks jitter.
  const off = values.map((value, i) => {
    const before = timesS[i - 1];
    const after = timesS[i + 1];
    if (before === undefined || after === undefined) return 0;
    const share = (timesS[i]! - before) / (after - before);
    return Math.abs(value - (values[i - 1]! * (1 - share) + values[i + 1]! * share));
  });
  const loaded = nearLoads(context, timesS, 0.5);
  const elsewhere = 1.4826 * (medianOf(off.filter((_, i) => loaded[i] === 0)) ?? 0);
  const limit = Math.max(ROUGH_RPM, ROUGHER * elsewhere, STEPS * channel.resolution) * context.strictness;
  const width = Math.round(ROUGH_WINDOW_S * channel.rateHz);
  return context.loads.flatMap((load) => {
    const from = firstIndexAtOrAfter(timesS, load.startS + SETTLE_S);
    const to = firstIndexAtOrAfter(timesS, load.endS - 0.1);
    let held = 0;
    for (let i = from + 1; i < to; i++) if (values[i] === values[i - 1]) held++;
    if (held > HELD_SHARE * (to - from)) return [];
    let first = -1;
    let last = -1;
    if (width < LEAST_IN_WINDOW) return [];
    for (let i = from; i + width <= to; i += Math.max(1, width >> 2)) {
      const gainRpmPerS = (values[i + width - 1]! - values[i]!) / Math.max(timesS[i + width - 1]! - timesS[i]!, 0.1);
      if (scatterOf(off, i, i + width) < limit + JITTER_S * Math.abs(gainRpmPerS)) continue;
      if (first < 0) first = i;
      last = i + width - 1;
    }
    if (first < 0) return [];
    const size = scatterOf(off, first, last + 1);
    return [
      {
        from: load.from,
        to: load.to,
        startS: timesS[first]!,
        endS: timesS[last]!,
        by: 'engine-speed' as const,
        count: size,
      },
    ];
  });
};

/** Lean blips in a row under boost, each back within a few readings. */
const byLambda = (context: ReviewContext): Seen[] => {
  const read = context.channel('lambda');
  const channel = read && withoutFlatBursts(read);
  const pressure = context.on('manifold-pressure');
  if (!channel || context.doubted.has('lambda') || channel.rateHz < 9) return [];
  const floor = runningMean(channel.values, Math.max(2, Math.round((WINDOW_S * channel.rateHz) / 2)));
  return context.loads.flatMap((load) => {
    const blips: number[] = [];
    let up = false;
    for (let i = firstIndexAtOrAfter(channel.timesS, load.startS + 0.8); i < channel.values.length; i++) {
      const timeS = channel.timesS[i]!;
      if (timeS > load.endS) break;
      const at = Math.round((timeS - context.timesS[0]!) / context.stepS);
      if (pressure && !(pressure[at]! > context.barometricPressurePa)) continue;
      const over = channel.values[i]! - floor[i]!;
      if (!up && over > BLIP_LAMBDA * context.strictness) {
        blips.push(timeS);
        up = true;
      } else if (over < 0) up = false;
    }
    if (blips.length < LEAST_BLIPS) return [];
    return [
      {
        from: load.from,
        to: load.to,
        startS: blips[0]!,
        endS: blips.at(-1)!,
        by: 'lambda' as const,
        count: blips.length,
      },
    ];
  });
};

export const misfire: Rule = {
  id: 'misfire',
  look(context) {
    const counted = context.on('misfire-count');
    if (!counted && !context.on('lambda') && !context.on('engine-speed'))
      return lacking('misfire-count or engine-speed or lambda');
    const rough = counted ? [] : byRoughness(context);
    const seen = counted ? byCount(context) : rough.length > 0 ? rough : byLambda(context);
    const lambda = context.on('lambda');
    const wanted = context.wantedLambda();
    const speed = context.on('engine-speed');
    const pressure = context.on('manifold-pressure');
    return seen.map((one) => {
      const at = Math.round((one.startS - context.timesS[0]!) / context.stepS);
      const rpm = speed?.[at] ?? Number.NaN;
      // Unburnt charges carry their oxygen to the sensor: lambda above its target beside rough running leaves little doubt.
      const end = Math.round((one.endS - context.timesS[0]!) / context.stepS);
      const lean =
        one.by === 'engine-speed' && lambda && wanted
          ? medianOf(lambda.subarray(at, end).map((value, i) => value - wanted.values[at + i]!))
          : null;
      return finding('misfire', {
        severity: 'fix',
        confidence:
          one.by === 'misfire-count'
            ? one.count >= 10
              ? 0.95
              : 0.82
            : one.by === 'engine-speed'
              ? (lean ?? 0) > BLIP_LAMBDA
                ? 0.9
                : 0.7
              : Math.min(0.85, 0.6 + 0.03 * one.count),
        startS: one.startS,
        endS: one.endS,
        channels: [one.by, 'engine-speed', pressure && 'manifold-pressure'],
        numbers: {
          misfires: one.by === 'misfire-count' ? one.count : null,
          leanBlips: one.by === 'lambda' ? one.count : null,
          roughnessRpm: one.by === 'engine-speed' ? one.count : null,
          lambdaError: lean,
          engineSpeedRpm: rpm,
          manifoldPressurePa: pressure?.[at],
        },
        says:
          one.by === 'misfire-count'
            ? `${one.count.toFixed(0)} misfires were counted from ${inRpm(rpm)} on: the spark is blown out or the mixture does not light.`
            : one.by === 'engine-speed'
              ? `From ${inRpm(rpm)} on engine speed shook by ±${one.count.toFixed(0)} rpm between readings${(lean ?? 0) > BLIP_LAMBDA ? ` and lambda stood ${lean!.toFixed(2)} lean` : ''}: cylinders drop out.`
              : `Lambda jumped lean ${one.count.toFixed(0)} times from ${inRpm(rpm)} on: charges went through unburnt.`,
        couldAlsoBe: [
          'plug gaps too wide for this boost',
          'weak coils or low voltage',
          'mixture too rich or too lean to light',
          'crankshaft sensor noise',
          'driveline shunt or wheel hop',
        ],
        next: 'Stop full-throttle pulls: unburnt fuel overheats the catalyst and turbine. Close the plug gaps and check coils and voltage first.',
        source: 'common practice',
      });
    });
  },
};
