import { mixtureError, mixtureSpans } from './mixture.ts';
import { confidenceBy, finding, inRpm, isDiesel, lacking, type Rule } from './rule.ts';

/** Richer than asked by this much, this long: twice what sensor gain (1-2 %) and fuelling scatter explain. */
const RICH_ERROR = 0.055;
const RICH_FOR_S = 0.8;
/** Below this petrol engines lose power and wash the bores (common practice). */
const RICH_WITHOUT_TARGET = 0.72;
const CERTAIN_ERROR = 0.085;

export const richUnderLoad: Rule = {
  id: 'rich-under-load',
  look(context) {
    if (isDiesel(context)) return [];
    const mixture = mixtureError(context);
    if (!mixture) return lacking('lambda');
    const speed = context.on('engine-speed');
    const found = mixtureSpans(context, -1, {
      error: RICH_ERROR * context.strictness,
      withoutTarget: RICH_WITHOUT_TARGET,
      minimumS: RICH_FOR_S,
    });
    return found.map(({ span, worst, lambda, wanted, meanError }) => {
      const rpm = speed?.[worst.index] ?? Number.NaN;
      const under = wanted - lambda;
      return finding('rich-under-load', {
        severity: lambda < 0.68 ? 'fix' : 'watch',
        confidence: mixture.from === 'channel' ? confidenceBy(under, RICH_ERROR, CERTAIN_ERROR) : 0.75,
        startS: span.startS,
        endS: span.endS,
        channels: ['lambda', mixture.from === 'channel' && 'lambda-target', 'engine-speed'],
        numbers: {
          lambda,
          lambdaTarget: mixture.from ? wanted : null,
          lambdaError: mixture.from ? -under : null,
          meanLambdaError: meanError,
          engineSpeedRpm: rpm,
        },
        says: mixture.from
          ? `Lambda fell to ${lambda.toFixed(2)} at ${inRpm(rpm)} on boost where ${wanted.toFixed(2)} was asked for: the engine got more fuel than its air needed.`
          : `Lambda fell to ${lambda.toFixed(2)} at ${inRpm(rpm)} on boost: richer than any engine needs for power or cooling.`,
        couldAlsoBe: [
          'metered air escaping before the engine (boost leak)',
          'injectors larger than the settings say, or rail pressure too high',
          'a wideband sensor reading rich',
        ],
        next: 'Check the charge pipes for leaks, then the injector flow and dead-time settings; lean the map out in small steps only with knock watched.',
        source: 'common practice',
      });
    });
  },
};
