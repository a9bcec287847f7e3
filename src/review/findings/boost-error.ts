/** Boost against what was asked for, in each full-load stretch: shared by creep, taper and overshoot. */
import type { LoadStretch, ReviewContext } from '../context.ts';
import { BOOST_UP_PA } from './load.ts';
import { runningMean } from './spans.ts';

/** Asked boost must have stood still this long before the difference means anything: at tip-in and shifts it jumps. */
const STEADY_S = 0.4;
/** Moving less than this in {@link STEADY_S} counts as standing still [Pa]; a map's slope over engine speed stays under it. */
const STEADY_PA = 12e3;

export interface BoostError {
  readonly manifoldPa: Float64Array;
  readonly wantedPa: Float64Array;
  /** Manifold minus asked pressure [Pa], smoothed over 0.1 s; NaN where the asked boost is moving or nearly nought. */
  readonly errorPa: Float64Array;
  readonly from: 'channel' | 'build';
}

/** Null when pressure or any asked boost is missing. */
export const boostError = (context: ReviewContext): BoostError | null =>
  context.kept('boost error', () => {
    const manifoldPa = context.on('manifold-pressure');
    const wanted = context.wantedManifoldPressurePa();
    if (!manifoldPa || !wanted) return null;
    const back = context.samples(STEADY_S);
    const wantedPa = wanted.values;
    const steady = (i: number): boolean => {
      if (wantedPa[i]! - context.barometricPressurePa < BOOST_UP_PA) return false;
      for (let k = Math.max(0, i - back); k < i; k++) {
        if (!(Math.abs(wantedPa[k]! - wantedPa[i]!) < STEADY_PA)) return false;
      }
      return true;
    };
    const raw = manifoldPa.map((value, i) => (steady(i) ? value - wantedPa[i]! : Number.NaN));
    const smooth = runningMean(raw, context.samples(0.05));
    return {
      manifoldPa,
      wantedPa,
      errorPa: smooth.map((value, i) => (Number.isFinite(raw[i]!) ? value : Number.NaN)),
      from: wanted.from,
    };
  });

/** First index in the load from which boost is within `nearPa` of what was asked, or null when it never comes there. */
export const cameNear = (error: BoostError, load: LoadStretch, nearPa: number): number | null => {
  for (let i = load.from; i < load.to; i++) if (error.errorPa[i]! > -nearPa) return i;
  return null;
};
