import { confidenceBy, finding, inDegC, lacking, type Rule } from './rule.ts';
import { extremeIn, runningMean, spansWhere } from './spans.ts';

/** Thermostats hold 85-95 °C and some controls run 103 °C at part load: hotter is no longer held by the thermostat. */
const HOT_K = 273.15 + 103.5;
/** A pressurised system boils at about 120 °C; usual limit 108 °C when the build gives none. */
const LIMIT_K = 273.15 + 108;
const HOT_FOR_S = 2;

export const coolantHot: Rule = {
  id: 'coolant-hot',
  look(context) {
    const coolant = context.on('coolant-temperature');
    if (!coolant) return lacking('coolant-temperature');
    const smooth = runningMean(coolant, context.samples(0.5));
    const limit = context.car?.engine.coolantTemperatureLimitK ?? LIMIT_K;
    const hot = Math.min(HOT_K, limit);
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
