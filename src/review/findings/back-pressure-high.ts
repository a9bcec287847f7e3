import { spansInLoad } from './load.ts';
import { confidenceBy, finding, inKpa, inRpm, lacking, type Rule } from './rule.ts';
import { extremeIn, runningMean } from './spans.ts';

/**
 * Exhaust over intake boost, both gauge. A well-matched road turbocharger runs 1-1.6, twice the boost is common practice's
 * limit; residual gas and knock grow well before it. Boost is the most that the stretch has reached so far: where it falls
 * away the ratio grows without any more exhaust pressure.
 */
const RATIO_LIMIT = 1.72;
const RATIO_CERTAIN = 2.2;
/** Below this boost the ratio is a small number over a small number. */
const LEAST_BOOST_PA = 40e3;
const HIGH_FOR_S = 0.5;

export const backPressureHigh: Rule = {
  id: 'back-pressure-high',
  look(context) {
    const exhaust = context.on('exhaust-pressure');
    const manifold = context.on('manifold-pressure');
    const speed = context.on('engine-speed');
    if (!exhaust || !manifold || !speed) return lacking('exhaust-pressure', 'manifold-pressure', 'engine-speed');
    const outside = context.barometricPressurePa;
    const limit = 1 + (RATIO_LIMIT - 1) * context.strictness;
    const raw = new Float64Array(exhaust.length).fill(Number.NaN);
    for (const load of context.loads) {
      let reachedPa = LEAST_BOOST_PA;
      for (let i = load.from; i < load.to; i++) {
        const boostPa = manifold[i]! - outside;
        if (boostPa > reachedPa) reachedPa = boostPa;
        if (boostPa > LEAST_BOOST_PA) raw[i] = (exhaust[i]! - outside) / reachedPa;
      }
    }
    const ratio = runningMean(raw, context.samples(0.1));
    return context.loads.flatMap((load) =>
      spansInLoad(context, load, (i) => ratio[i]! > limit && Number.isFinite(raw[i]!), {
        settleS: 0.5,
        minimumS: HIGH_FOR_S,
        bridgeS: 0.2,
      }).map((span) => {
        const peak = extremeIn(ratio, 'largest', span.from, span.to)!;
        const rpm = speed[peak.index]!;
        return finding('back-pressure-high', {
          severity: peak.value > 2.6 ? 'fix' : 'watch',
          confidence: confidenceBy(peak.value, RATIO_LIMIT, RATIO_CERTAIN),
          startS: span.startS,
          endS: span.endS,
          channels: ['exhaust-pressure', 'manifold-pressure', 'engine-speed'],
          numbers: {
            exhaustOverBoost: peak.value,
            exhaustPressurePa: exhaust[peak.index],
            manifoldPressurePa: manifold[peak.index],
            exhaustOverManifold: exhaust[peak.index]! / manifold[peak.index]!,
            engineSpeedRpm: rpm,
          },
          says: `Exhaust back-pressure reached ${inKpa(exhaust[peak.index]! - outside)} at ${inRpm(rpm)}, ${peak.value.toFixed(1)} times the boost: the turbine or what follows it is too small for this flow.`,
          couldAlsoBe: [
            'a collapsed catalyst or silencer',
            'a turbine damaged or partly blocked',
            'an exhaust-pressure sensor drifting with heat',
          ],
          next: 'Measure pressure after the turbine to part turbine from exhaust; keep boost and timing where they are until it is known.',
          source: 'common practice',
        });
      }),
    );
  },
};
