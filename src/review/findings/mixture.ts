/** Lambda against what was asked for, at full load: shared by the lean and the rich rule. */
import type { LoadStretch, ReviewContext } from '../context.ts';
import { spansInLoad } from './load.ts';
import { extremeIn, meanIn, runningMean, type Span } from './spans.ts';

/** Seconds after pedal down or a shift in which wall film and sensor lag make the mixture meaningless (common practice). */
const SETTLE_S = 0.7;
/** Manifold over barometer from which load counts as boost. */
const BOOSTED_RATIO = 1.15;

export interface MixtureSpan {
  readonly load: LoadStretch;
  readonly span: Span;
  readonly worst: { readonly value: number; readonly index: number };
  readonly meanError: number;
  readonly lambda: number;
  readonly wanted: number;
}

/** Fixed limits stand in when neither log nor build says what was asked for. */
export interface MixtureLimits {
  readonly error: number;
  readonly withoutTarget: number;
  readonly minimumS: number;
}

/** Lambda minus asked lambda on the grid (smoothed over 0.1 s), or null when lambda is missing. */
export const mixtureError = (
  context: ReviewContext,
): {
  error: Float64Array;
  lambda: Float64Array;
  wanted: Float64Array | null;
  from: 'channel' | 'build' | null;
} | null => {
  const lambda = context.on('lambda');
  if (!lambda) return null;
  const asked = context.wantedLambda();
  const smooth = runningMean(lambda, context.samples(0.05));
  return {
    lambda: smooth,
    wanted: asked?.values ?? null,
    from: asked?.from ?? null,
    error: smooth.map((value, i) => (asked ? value - asked.values[i]! : Number.NaN)),
  };
};

/** Stretches on boost where the mixture is off by `sign` times the limit (+1 lean, -1 rich). */
export const mixtureSpans = (context: ReviewContext, sign: 1 | -1, limits: MixtureLimits): MixtureSpan[] => {
  const mixture = mixtureError(context);
  if (!mixture) return [];
  const pressure = context.on('manifold-pressure');
  const measure = mixture.wanted
    ? mixture.error.map((value) => sign * value - limits.error)
    : mixture.lambda.map((value) => sign * (value - limits.withoutTarget));
  return context.loads.flatMap((load) =>
    spansInLoad(
      context,
      load,
      (i) => measure[i]! > 0 && (!pressure || pressure[i]! > BOOSTED_RATIO * context.barometricPressurePa),
      { settleS: SETTLE_S, minimumS: limits.minimumS, bridgeS: 0.1 },
    ).map((span): MixtureSpan => {
      const of = mixture.wanted ? mixture.error : mixture.lambda;
      const worst = extremeIn(of, sign > 0 ? 'largest' : 'smallest', span.from, span.to)!;
      return {
        load,
        span,
        worst,
        meanError: mixture.wanted ? (meanIn(mixture.error, span.from, span.to) ?? 0) : Number.NaN,
        lambda: mixture.lambda[worst.index]!,
        wanted: mixture.wanted ? mixture.wanted[worst.index]! : limits.withoutTarget,
      };
    }),
  );
};
