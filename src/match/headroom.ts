/** The ledger: what gives out first, second, third, with bands over everything uncertain about the build. */
import type { ResolvedBuild } from '../car/index.ts';
import { type LedgerContext, type LedgerSample, ledgerSample, type PartSample } from './ledger-sample.ts';
import { explainAnswers, measureNextOf } from './measure-next.ts';
import { partsOf } from './parts/index.ts';
import { POINT_ANSWERS, type PointAnswerName } from './sample-answers.ts';
import { sampledCars } from './sampling.ts';
import { type MatchOptions, matchCar } from './steady.ts';
import type { Band, Conditions, Ledger, LedgerPart } from './types.ts';
import { bandOf } from './uncertain.ts';

export interface HeadroomOptions {
  /** Samples behind the bands; 256 when absent (powers of two suit the sequence). */
  readonly samples?: number | undefined;
  /** Same seed, same ledger. 1 when absent. */
  readonly seed?: number | undefined;
  readonly match?: MatchOptions | undefined;
}

/** Paths of the build sheet that somebody filled in. */
const typedPaths = (resolved: ResolvedBuild): ReadonlySet<string> =>
  new Set(Object.entries(resolved.quantities).flatMap(([path, quantity]) => (quantity.estimated ? [] : [path])));

/** What the ledger of a build needs to know beside a car: the day's air, which fields somebody typed, how to match. */
export const ledgerContext = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  match: MatchOptions = {},
): LedgerContext => ({ conditions, typed: typedPaths(resolved), options: match });

/**
 * A share of the samples, so that several workers can do the ledger between them: samples `from` to `to` (not counted)
 * of `samples`. The same numbers come out however it is shared.
 */
export const ledgerShard = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  share: { readonly samples: number; readonly seed: number; readonly from: number; readonly to: number },
  match: MatchOptions = {},
): LedgerSample[] => {
  const context = ledgerContext(resolved, conditions, match);
  const drawn = sampledCars(resolved, share.samples, share.seed, share.from, Math.min(share.to, share.samples));
  const out: LedgerSample[] = [];
  for (let index = share.from; index < Math.min(share.to, share.samples); index++) {
    out.push(ledgerSample(drawn.car(index), context));
  }
  return out;
};

const exactly = (value: number): Band => ({ p10: value, p50: value, p90: value });

/** Part of the samples that must reach a limit before a band is given for it. */
const REACHED_SHARE = 0.5;

/**
 * Puts the samples together. `samples` in their order, as {@link ledgerShard} gives them for the same seed and count:
 * what to measure next is read from which inputs moved them.
 */
export const combineSamples = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  samples: readonly LedgerSample[],
  options: { readonly seed?: number | undefined; readonly match?: MatchOptions | undefined } = {},
): Ledger => {
  const context = ledgerContext(resolved, conditions, options.match);
  const rows = partsOf(resolved.car, context.typed);
  const best = ledgerSample(resolved.car, context);
  const drawn = samples.length > 0 ? samples : [best];
  const firsts = drawn.map((sample) => {
    // First is what the rising boost meets first, which also orders parts where power no longer rises.
    let first = -1;
    let least = Number.POSITIVE_INFINITY;
    sample.parts.forEach((part, index) => {
      if (rows[index]?.counts && part.levelAtLimit !== null && part.levelAtLimit < least) {
        least = part.levelAtLimit;
        first = index;
      }
    });
    return { part: first, powerW: first < 0 ? null : sample.parts[first]!.powerAtLimitW };
  });
  const parts: LedgerPart[] = rows.map((row, index) => {
    const own = best.parts[index]!;
    const oftenReached = (of: (sample: PartSample) => number | null): Band | null => {
      const reached = drawn.flatMap(({ parts: all }) => of(all[index]!) ?? []);
      return reached.length >= REACHED_SHARE * drawn.length ? bandOf(reached) : null;
    };
    // A row that decides nothing says at which boost, not that the car's power ends there.
    const power = row.counts ? oftenReached((sample) => sample.powerAtLimitW) : null;
    const boost = oftenReached((sample) => sample.boostAtLimitPa);
    return {
      part: row.part,
      limit: row.limit,
      demand: own.demand,
      rating: own.rating,
      unit: row.unit,
      utilisation: bandOf(drawn.map((sample) => sample.parts[index]!.utilisation)) ?? exactly(own.utilisation),
      worstEngineSpeedRpm: own.worstEngineSpeedRpm,
      ...(power ? { powerAtLimitW: power } : {}),
      ...(boost ? { boostAtLimitPa: boost } : {}),
      dependsOnBoost: row.dependsOnBoost,
      decides: row.counts,
      chanceFirst: firsts.filter((first) => first.part === index).length / drawn.length,
      lift: row.lift,
    };
  });
  const order = (part: LedgerPart) => part.powerAtLimitW?.p50 ?? Number.POSITIVE_INFINITY;
  const boostOrder = (part: LedgerPart) => part.boostAtLimitPa?.p50 ?? Number.POSITIVE_INFINITY;
  const byBoost = (a: LedgerPart, b: LedgerPart) => {
    const [one, other] = [boostOrder(a), boostOrder(b)];
    return one === other ? 0 : one - other;
  };
  parts.sort((a, b) => {
    const [one, other] = [order(a), order(b)];
    return (one === other ? byBoost(a, b) : one - other) || b.utilisation.p50 - a.utilisation.p50;
  });
  const firstPart = parts.reduce((a, b) => (b.chanceFirst > a.chanceFirst ? b : a), parts[0]!);
  const answersOf = (name: PointAnswerName) => drawn.map((sample) => sample.answers[name]);
  const uncertainty =
    samples.length === 0
      ? []
      : explainAnswers(
          resolved,
          {
            ...Object.fromEntries(POINT_ANSWERS.map((name) => [name, answersOf(name)])),
            'first-limit': firsts.map((first) => first.powerW),
          },
          { samples: samples.length, seed: options.seed ?? 1, firstPart: firstPart.part },
        );
  return {
    conditions,
    parts,
    measureNext: measureNextOf(uncertainty),
    uncertainty,
    powerNowW: bandOf(drawn.map((sample) => sample.powerW)) ?? exactly(best.powerW),
    boostNowPa: bandOf(drawn.map((sample) => sample.boostPa)) ?? exactly(best.boostPa),
    samples: samples.length,
    problems: matchCar(resolved.car, conditions, options.match).problems,
  };
};

/** The whole ledger in one go. */
export const headroomOf = (resolved: ResolvedBuild, conditions: Conditions, options: HeadroomOptions = {}): Ledger => {
  const { samples = 256, seed = 1, match } = options;
  const all = ledgerShard(resolved, conditions, { samples, seed, from: 0, to: samples }, match);
  return combineSamples(resolved, conditions, all, { seed, match });
};
