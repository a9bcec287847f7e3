import { quantileOf } from '../../logs/index.ts';
import type { ReviewContext } from '../context.ts';
import { confidenceBy, finding, inDegC, lacking, type Rule } from './rule.ts';
import { extremeIn, runningMean, spansWhere } from './spans.ts';

/** Thermostats hold 85-95 °C and hard runs add some kelvins: hotter than this is no longer held by one. */
const HOT_K = 273.15 + 100.5;
/** Some controls run 103-105 °C on purpose at part load. Then it stands there: so close for the middle half of light load. */
const HELD_WITHIN_K = 2;
const HELD_FOR_S = 20;
/** Over a temperature that is held on purpose this much is no longer held. */
const OVER_HELD_K = 6;
/** Where a thermostat holds it. */
const WARM_K = 273.15 + 90;
/** A pressurised system boils at about 120 °C; usual limit 108 °C when the build gives none. */
const LIMIT_K = 273.15 + 108;
const HOT_FOR_S = 2;

/** From where on the coolant counts as hot [K]: the usual figure, or over what this log's control holds at light load. */
const hotFrom = (context: ReviewContext, coolant: Float64Array): number => {
  const manifold = context.on('manifold-pressure');
  const light = coolant.map((value, i) =>
    value > WARM_K - 10 && !(manifold && manifold[i]! > 0.9 * context.barometricPressurePa) ? value : Number.NaN,
  );
  let count = 0;
  for (const value of light) if (Number.isFinite(value)) count++;
  const low = quantileOf(light, 0.25);
  const high = quantileOf(light, 0.75);
  if (low === null || high === null || high - low > HELD_WITHIN_K || count * context.stepS < HELD_FOR_S) return HOT_K;
  return Math.max(HOT_K, (low + high) / 2 + OVER_HELD_K);
};

export const coolantHot: Rule = {
  id: 'coolant-hot',
  look(context) {
    const coolant = context.on('coolant-temperature');
    if (!coolant) return lacking('coolant-temperature');
    const smooth = runningMean(coolant, context.samples(0.5));
    const limit = context.car?.engine.coolantTemperatureLimitK ?? LIMIT_K;
    const hot = WARM_K + (Math.min(hotFrom(context, smooth), limit) - WARM_K) * context.strictness;
    return spansWhere(context.timesS, (i) => smooth[i]! > hot, { minimumS: HOT_FOR_S, bridgeS: 10 }).map((span) => {
      const peak = extremeIn(smooth, 'largest', span.from, span.to)!;
      const over = peak.value > limit;
      return finding('coolant-hot', {
        severity: over ? 'stop' : 'watch',
        confidence: confidenceBy(peak.value, hot, limit),
        startS: span.startS,
        endS: span.endS,
        channels: ['coolant-temperature'],
        numbers: {
          peakCoolantTemperatureK: peak.value,
          coolantTemperatureLimitK: limit,
          hotForS: span.endS - span.startS,
        },
        says: `Coolant climbed to ${inDegC(peak.value)} (limit ${inDegC(limit)}): more heat goes in than the radiator sheds.`,
        couldAlsoBe: [
          'air in the system or a loose pressure cap',
          'a fan that does not come on',
          'a head gasket letting gas into the coolant',
          'a sensor reading high',
        ],
        next: over
          ? 'Back off at once and let it cool with the engine idling; never open the cap hot. Find the cause before driving hard again.'
          : 'Watch it on the next drive, check level and fan with the engine cold.',
        source: 'common practice',
      });
    });
  },
};
