import { mixtureError, mixtureSpans } from './mixture.ts';
import { confidenceBy, finding, inRpm, isDiesel, lacking, type Rule } from './rule.ts';

/**
 * Lean by this much over the asked lambda. A wideband sensor is good for 1-2 % and a film transient lasts tenths of a
 * second; 0.055 lambda (0.8 AFR on petrol) held for a third of a second is past both.
 */
const LEAN_ERROR = 0.055;
const LEAN_FOR_S = 0.35;
/** Leaner than this on boost is unsafe with petrol whatever was asked for (common practice). */
const LEAN_WITHOUT_TARGET = 0.95;
/** As far off as this there is no doubt left. */
const CERTAIN_ERROR = 0.09;

export const leanUnderLoad: Rule = {
  id: 'lean-under-load',
  look(context) {
    if (isDiesel(context)) return [];
    const mixture = mixtureError(context);
    if (!mixture) return lacking('lambda');
    const speed = context.on('engine-speed');
    const found = mixtureSpans(context, 1, {
      error: LEAN_ERROR * context.strictness,
      withoutTarget: LEAN_WITHOUT_TARGET,
      minimumS: LEAN_FOR_S,
    });
    return found.map(({ span, worst, lambda, wanted, meanError }) => {
      const rpm = speed?.[worst.index] ?? Number.NaN;
      const over = lambda - wanted;
      return finding('lean-under-load', {
        severity: 'stop',
        confidence: mixture.from === 'channel' ? confidenceBy(over, LEAN_ERROR, CERTAIN_ERROR) : 0.8,
        startS: span.startS,
        endS: span.endS,
        channels: ['lambda', mixture.from === 'channel' && 'lambda-target', 'engine-speed'],
        numbers: {
          lambda,
          lambdaTarget: mixture.from ? wanted : null,
          lambdaError: mixture.from ? over : null,
          meanLambdaError: meanError,
          engineSpeedRpm: rpm,
        },
        says: mixture.from
          ? `Lambda rose to ${lambda.toFixed(2)} at ${inRpm(rpm)} on boost where ${wanted.toFixed(2)} was asked for: the engine got less fuel than its air needed.`
          : `Lambda rose to ${lambda.toFixed(2)} at ${inRpm(rpm)} on boost; richer than ${LEAN_WITHOUT_TARGET.toFixed(2)} is usual there.`,
        couldAlsoBe: [
          'misfires, whose unburnt oxygen reads lean',
          'an exhaust leak before the sensor',
          'a fuel map too low in this range',
        ],
        next: 'Stop full-throttle pulls. Check rail pressure, injector duty and the airflow reading in this stretch before the next one: lean on boost burns pistons.',
        source: 'common practice',
      });
    });
  },
};
