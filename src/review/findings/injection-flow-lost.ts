import { quantileOf } from '../../logs/index.ts';
import { spansInLoad } from './load.ts';
import { confidenceBy, finding, inKpa, inPercent, lacking, type Rule } from './rule.ts';
import { meanIn, runningMean } from './spans.ts';

/** Flow left under this share of what the nozzle should pass; flow meters of this kind are good for 10 %. */
const LEFT_SHARE = 0.72;
const CERTAIN_SHARE = 0.4;
const LOST_FOR_S = 0.5;
/** The pump needs this long to fill the line once boost passes the start. */
const FILL_S = 0.9;
const START_MARGIN_PA = 20e3;
/** Start of injection where no build says it (common practice: 50-70 kPa). */
const USUAL_START_PA = 70e3;

export const injectionFlowLost: Rule = {
  id: 'injection-flow-lost',
  look(context) {
    const flow = context.on('injection-flow');
    const manifold = context.on('manifold-pressure');
    if (!flow || !manifold) return lacking('injection-flow', 'manifold-pressure');
    const injection = context.car?.facts.hasInjection ? context.car.injection : null;
    const gauge = manifold.map((value) => value - context.barometricPressurePa);
    const startPa = (injection?.startBoostGaugePa ?? USUAL_START_PA) + START_MARGIN_PA;
    const fill = context.samples(FILL_S);
    // Seconds on boost so far: only where the boost has stood over the start for a while must there be flow.
    const since = new Float64Array(gauge.length);
    for (let i = 1; i < gauge.length; i++) since[i] = gauge[i]! > startPa ? since[i - 1]! + 1 : 0;
    const steady = (i: number) => since[i]! > fill;
    const seen = flow.filter((_, i) => steady(i));
    // Square-root law against manifold pressure; without a build, what this log has shown at its best.
    const atBest = quantileOf(seen, 0.9) ?? 0;
    const expected = gauge.map((boost) =>
      injection
        ? injection.nozzleFlowM3PerS *
          Math.sqrt(Math.max(0, injection.pumpPressureGaugePa - boost) / injection.pumpPressureGaugePa)
        : atBest,
    );
    if (!injection && atBest <= 0) return [];
    const smooth = runningMean(flow, context.samples(0.1));
    return context.loads.flatMap((load) =>
      spansInLoad(
        context,
        load,
        (i) => steady(i) && smooth[i]! < (1 - (1 - LEFT_SHARE) * context.strictness) * expected[i]!,
        {
          settleS: 0.5,
          minimumS: LOST_FOR_S,
          bridgeS: 0.3,
        },
      ).map((span) => {
        const left = (meanIn(smooth, span.from, span.to) ?? 0) / (meanIn(expected, span.from, span.to) ?? 1);
        return finding('injection-flow-lost', {
          severity: 'stop',
          confidence: confidenceBy(-left, -LEFT_SHARE, -CERTAIN_SHARE),
          startS: span.startS,
          endS: span.endS,
          channels: ['injection-flow', 'manifold-pressure'],
          numbers: {
            shareLeft: left,
            meanFlowM3PerS: meanIn(smooth, span.from, span.to),
            expectedFlowM3PerS: meanIn(expected, span.from, span.to),
            manifoldPressurePa: manifold[span.from],
          },
          says: `Water-methanol flow fell to ${inPercent(left)} of what the nozzle should pass at ${inKpa(gauge[span.from]!)} boost: the engine ran on without its charge cooling and octane.`,
          couldAlsoBe: [
            'tank empty or pick-up drawing air',
            'a blocked nozzle or filter',
            'pump or relay failing',
            'a flow sensor fault',
          ],
          next: 'Stop full-throttle pulls and set the control to drop boost and timing when flow is lost. Check tank, filter and nozzle; methanol burns unseen and is poisonous, keep flames and skin away.',
          source: 'orifice law: flow with the square root of pump pressure over manifold pressure',
        });
      }),
    );
  },
};
