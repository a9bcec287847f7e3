import { longest } from './load.ts';
import { confidenceBy, finding, inPercent, inRpm, lacking, type Rule } from './rule.ts';
import { extremeIn, runningMean, spansWhere } from './spans.ts';

/** From here on opening and closing overlap and flow stops following the pulse (common practice: 85-90 %). */
const DUTY_LIMIT = 0.9;
/** Close to the limit: worth knowing, no alarm. */
const DUTY_NOTE = 0.86;
const DUTY_ALARM_MARGIN = 0.012;
const HELD_FOR_S = 0.2;

export const injectorNearStatic: Rule = {
  id: 'injector-near-static',
  look(context) {
    const speed = context.on('engine-speed');
    const logged = context.on('injector-duty');
    const pulse = context.on('injector-pulse');
    if (!speed || (!logged && !pulse)) return lacking('injector-duty or injector-pulse', 'engine-speed');
    // One injection per two turns: duty = pulse * speed / 120.
    const duty = runningMean(logged ?? pulse!.map((value, i) => (value * speed[i]!) / 120), context.samples(0.04));
    const limit = context.car?.fuelSystem.injectorDutyLimit ?? DUTY_LIMIT;
    const spans = spansWhere(context.timesS, (i) => duty[i]! > Math.min(DUTY_NOTE, limit) && speed[i]! > 1500, {
      minimumS: HELD_FOR_S,
      bridgeS: 1.5,
    });
    return spans.map((span) => {
      const peak = extremeIn(duty, 'largest', span.from, span.to)!;
      const past = longest(
        spansWhere(context.timesS, (i) => duty[i]! > (limit + DUTY_ALARM_MARGIN) * context.strictness, {
          minimumS: HELD_FOR_S,
          bridgeS: 0.2,
          from: span.from,
          to: span.to,
        }),
      );
      const rpm = speed[peak.index]!;
      const at = past ?? span;
      return finding('injector-near-static', {
        severity: past ? (peak.value > 0.97 ? 'stop' : 'fix') : 'note',
        confidence: past ? confidenceBy(peak.value, limit, limit + 0.05) : 0.7,
        startS: at.startS,
        endS: at.endS,
        channels: [logged ? 'injector-duty' : 'injector-pulse', 'engine-speed'],
        numbers: { peakInjectorDuty: peak.value, injectorDutyLimit: limit, engineSpeedRpm: rpm },
        says: past
          ? `Injector duty reached ${inPercent(peak.value)} at ${inRpm(rpm)} (limit ${inPercent(limit)}): the injectors are nearly always open and have no more to give.`
          : `Injector duty reached ${inPercent(peak.value)} at ${inRpm(rpm)}: little is left to the limit of ${inPercent(limit)}.`,
        couldAlsoBe: ['low rail pressure', 'a mixture richer than asked for', 'dead time set too long'],
        next: past
          ? 'Do not raise boost or engine speed further: fit larger injectors (or raise rail pressure within its rating) first, and watch lambda at high speed.'
          : 'Plan injectors before the next step in boost.',
        source: 'common practice',
      });
    });
  },
};
