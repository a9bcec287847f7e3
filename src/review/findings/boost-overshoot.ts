import { boostError, cameNear } from './boost-error.ts';
import { longest } from './load.ts';
import { confidenceBy, finding, inKpa, inRpm, lacking, type Rule } from './rule.ts';
import { extremeIn, meanIn, spansWhere } from './spans.ts';

/** Peak over target when boost first arrives; a well-set control stays within 5-8 kPa. */
const OVERSHOOT_PA = 11.5e3;
/** Boost arrives only where it was so far under its target before. */
const CAME_FROM_PA = 10e3;
/** After a full-throttle shift some 12 kPa are normal: the shaft did not slow down while the throttle was shut. */
const AFTER_SHIFT_PA = 24e3;
const LOOK_FOR_S = 2.5;
const ABOVE_FOR_S = 0.1;
/** The peak must pass: what stays is creep, or a target from elsewhere. */
const DECAYED_SHARE = 0.6;

export const boostOvershoot: Rule = {
  id: 'boost-overshoot',
  look(context) {
    const error = boostError(context);
    const speed = context.on('engine-speed');
    if (!error || !speed)
      return lacking('manifold-pressure', 'manifold-pressure-target or build: boost target', 'engine-speed');
    return context.loads.flatMap((load) => {
      const arrived = cameNear(error, load, 3e3);
      if (arrived === null) return [];
      let under = Number.POSITIVE_INFINITY;
      for (let i = Math.max(0, load.from - context.samples(0.3)); i <= arrived; i++) {
        const off = error.manifoldPa[i]! - error.wantedPa[i]!;
        if (off < under) under = off;
      }
      if (!(under < -CAME_FROM_PA)) return [];
      const to = Math.min(load.to, arrived + context.samples(LOOK_FOR_S));
      const limit = (load.first ? OVERSHOOT_PA : AFTER_SHIFT_PA) * context.strictness;
      const peak = extremeIn(error.errorPa, 'largest', arrived, to);
      if (!peak || peak.value < limit) return [];
      const above = longest(
        spansWhere(context.timesS, (i) => error.errorPa[i]! > 0.6 * limit, {
          minimumS: ABOVE_FOR_S,
          bridgeS: 0.2,
          from: arrived,
          to: load.to,
        }),
      );
      if (!above || peak.index < above.from || peak.index >= above.to) return [];
      const later = meanIn(
        error.errorPa,
        peak.index + context.samples(0.8),
        Math.min(load.to, peak.index + context.samples(2)),
      );
      // The stretch may end before: then its last readings must show the fall.
      const last = later ?? meanIn(error.errorPa, load.to - context.samples(0.1), load.to);
      if (last === null || last > DECAYED_SHARE * peak.value) return [];
      // Cylinders that drop out and come back move the boost as well.
      if (
        context.found.some(
          ({ id, startS }) => id === 'misfire' && startS > load.startS && startS < context.timesS[peak.index]!,
        )
      )
        return [];
      const rpm = speed[peak.index]!;
      return [
        finding('boost-overshoot', {
          severity: peak.value > 30e3 ? 'stop' : 'fix',
          confidence: confidenceBy(peak.value, limit, limit + 14e3),
          startS: above.startS,
          endS: above.endS,
          channels: ['manifold-pressure', error.from === 'channel' && 'manifold-pressure-target', 'engine-speed'],
          numbers: {
            overshootPa: peak.value,
            peakManifoldPressurePa: error.manifoldPa[peak.index],
            targetManifoldPressurePa: error.wantedPa[peak.index],
            engineSpeedRpm: rpm,
            aboveForS: above.endS - above.startS,
          },
          says: `Boost shot ${inKpa(peak.value)} over target at ${inRpm(rpm)} as it arrived: the wastegate opened too late.`,
          couldAlsoBe: [
            'too much base duty or derivative-free boost control',
            'a slow solenoid or long control hose',
            'a gust of timing or mixture change at tip-in',
          ],
          next: 'Lower wastegate duty just below the engine speed where boost arrives, and log again at a lower target first: a spike knocks before the gauge shows it.',
          source: 'common practice',
        }),
      ];
    });
  },
};
