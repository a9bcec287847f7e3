/** What rules on full-load stretches share. */
import type { LoadStretch, ReviewContext } from '../context.ts';
import { type Span, spansWhere } from './spans.ts';

/** Boost is 'up' when the manifold stands this far over the barometer: below it, turbocharged rules say nothing. */
export const BOOST_UP_PA = 20e3;

/** Stretches inside one load where `test` holds, ignoring its first `settleS` seconds. */
export const spansInLoad = (
  context: ReviewContext,
  load: LoadStretch,
  test: (index: number) => boolean,
  { settleS, minimumS, bridgeS }: { settleS: number; minimumS: number; bridgeS?: number },
): Span[] =>
  spansWhere(context.timesS, test, {
    minimumS,
    ...(bridgeS === undefined ? {} : { bridgeS }),
    from: Math.min(load.to, load.from + context.samples(settleS)),
    to: load.to,
  });

/** First index in the load at which the manifold has come to this share of the asked boost (both gauge), or null. */
export const boostArrival = (
  context: ReviewContext,
  load: LoadStretch,
  manifoldPa: Float64Array,
  wantedPa: Float64Array,
  share: number,
): number | null => {
  const outside = context.barometricPressurePa;
  for (let i = load.from; i < load.to; i++) {
    const wanted = wantedPa[i]! - outside;
    if (wanted > BOOST_UP_PA && manifoldPa[i]! - outside >= share * wanted) return i;
  }
  return null;
};

/** The longest of several spans, or null. */
export const longest = (spans: readonly Span[]): Span | null =>
  spans.reduce<Span | null>(
    (best, span) => (!best || span.endS - span.startS > best.endS - best.startS ? span : best),
    null,
  );
