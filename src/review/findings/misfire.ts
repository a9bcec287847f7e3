import type { ReviewContext } from '../context.ts';
import { withoutFlatBursts } from './readings.ts';
import { finding, inRpm, lacking, type Rule } from './rule.ts';
import { runningMean, type Span, spansWhere } from './spans.ts';

/** A handful of counts happens on over-run and start; in a pull they are misfires. */
const COUNTS = 4;
/** Unburnt oxygen reads lean: a blip of this much over the running mean of lambda. */
const BLIP_LAMBDA = 0.07;
const LEAST_BLIPS = 4;
const WINDOW_S = 0.6;

interface Seen extends Span {
  readonly by: 'misfire-count' | 'lambda';
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
    .filter((seen) => seen.count >= COUNTS);
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
    for (let i = 0; i < channel.values.length; i++) {
      const timeS = channel.timesS[i]!;
      if (timeS < load.startS + 0.8 || timeS > load.endS) continue;
      const at = Math.round((timeS - context.timesS[0]!) / context.stepS);
      if (pressure && !(pressure[at]! > context.barometricPressurePa)) continue;
      const over = channel.values[i]! - floor[i]!;
      if (!up && over > BLIP_LAMBDA) {
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
    if (!counted && !context.on('lambda')) return lacking('misfire-count', 'lambda');
    const seen = counted ? byCount(context) : byLambda(context);
    const speed = context.on('engine-speed');
    const pressure = context.on('manifold-pressure');
    return seen.map((one) => {
      const at = Math.round((one.startS - context.timesS[0]!) / context.stepS);
      const rpm = speed?.[at] ?? Number.NaN;
      return finding('misfire', {
        severity: 'fix',
        confidence:
          one.by === 'misfire-count' ? (one.count >= 10 ? 0.95 : 0.82) : Math.min(0.85, 0.6 + 0.03 * one.count),
        startS: one.startS,
        endS: one.endS,
        channels: [one.by, 'engine-speed', pressure && 'manifold-pressure'],
        numbers: { misfires: one.count, engineSpeedRpm: rpm, manifoldPressurePa: pressure?.[at] },
        says:
          one.by === 'misfire-count'
            ? `${one.count.toFixed(0)} misfires were counted from ${inRpm(rpm)} on: the spark is blown out or the mixture does not light.`
            : `Lambda jumped lean ${one.count.toFixed(0)} times from ${inRpm(rpm)} on: charges went through unburnt.`,
        couldAlsoBe: [
          'plug gaps too wide for this boost',
          'weak coils or low voltage',
          'mixture too rich or too lean to light',
          'crankshaft sensor noise',
        ],
        next: 'Stop full-throttle pulls: unburnt fuel overheats the catalyst and turbine. Close the plug gaps and check coils and voltage first.',
        source: 'common practice',
      });
    });
  },
};
