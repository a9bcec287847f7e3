/** Two builds of a car compared part by part: what changed, what it gains, what gives out first then, what it costs. */
import { type Build, compareBuilds, compareFacts, type ResolvedBuild, resolveBuild } from '../car/index.ts';
import {
  type CarPart,
  type Conditions,
  combineSamples,
  type LedgerPart,
  type LedgerSample,
  ledgerContext,
  type MatchOptions,
  type PartName,
  partsOf,
} from '../match/index.ts';
import { type ComparedBuilds, comparedSpeedsRpm, fullThrottle, type PairSample, pairShard } from './compare-samples.ts';
import type { PartOptions } from './options.ts';
import { pricedChange } from './priced.ts';
import { gainOf, isLaunchTyre, regressionsOf } from './regressions.ts';
import type { FirstLimit, Gain, LiftComparison, NumberChange, PartLift, PartStanding } from './types.ts';

export interface CompareOptions {
  /** Samples behind the bands; 256 when absent (powers of two suit the sequence). */
  readonly samples?: number | undefined;
  /** Same seed, same answer. 1 when absent. */
  readonly seed?: number | undefined;
  readonly match?: MatchOptions | undefined;
  /** Part options with prices, to cost the change. */
  readonly options?: PartOptions | undefined;
}

/** Share of the lower peak boost that counts as boost having come. */
const ARRIVED = 0.9;
const NOTHING: Gain = {
  before: { p10: 0, p50: 0, p90: 0 },
  after: { p10: 0, p50: 0, p90: 0 },
  gain: { p10: 0, p50: 0, p90: 0 },
};
const WORTH_NAMING = 0.05;

const most = (values: readonly (number | null)[]): number =>
  values.reduce<number>((best, value) => (value !== null && value > best ? value : best), 0);

/** Engine speed at which a boost is first reached, on straight lines between the solved speeds; null for never. */
const arrivalRpm = (speeds: readonly number[], boosts: readonly (number | null)[], wantedPa: number): number | null => {
  for (let i = 0; i < speeds.length; i++) {
    const here = boosts[i];
    if (here === null || here === undefined || here < wantedPa) continue;
    const before = i > 0 ? boosts[i - 1] : null;
    if (before === null || before === undefined) return speeds[i]!;
    const share = here > before ? (wantedPa - before) / (here - before) : 1;
    return speeds[i - 1]! + share * (speeds[i]! - speeds[i - 1]!);
  }
  return null;
};

/** Which deciding row the rising boost meets first in a sample, and the power there or the most there is. */
const firstOf = (rows: readonly CarPart[], sample: LedgerSample): { part: PartName | null; powerW: number } => {
  let least = Number.POSITIVE_INFINITY;
  let found: { part: PartName | null; powerW: number } = { part: null, powerW: sample.mostPowerW };
  sample.parts.forEach(({ levelAtLimit, powerAtLimitW }, index) => {
    const row = rows[index]!;
    if (!row.counts || levelAtLimit === null || powerAtLimitW === null || levelAtLimit >= least) return;
    least = levelAtLimit;
    found = { part: row.part, powerW: powerAtLimitW };
  });
  return found;
};

const firstLimits = (parts: readonly LedgerPart[]): FirstLimit[] =>
  parts
    .filter(({ chanceFirst }) => chanceFirst >= WORTH_NAMING)
    .map(({ part, limit, chanceFirst, lift }) => ({ part, limit, chance: chanceFirst, lift }))
    .sort((a, b) => b.chance - a.chance);

const standingOf = (part: LedgerPart | undefined): PartStanding | null =>
  part
    ? {
        demand: part.demand,
        rating: part.rating,
        utilisation: part.utilisation,
        worstEngineSpeedRpm: part.worstEngineSpeedRpm,
        ...(part.powerAtLimitW ? { powerAtLimitW: part.powerAtLimitW } : {}),
        ...(part.boostAtLimitPa ? { boostAtLimitPa: part.boostAtLimitPa } : {}),
        decides: part.decides,
        chanceFirst: part.chanceFirst,
      }
    : null;

const numberChanges = (before: ResolvedBuild, after: ResolvedBuild): NumberChange[] =>
  compareBuilds(before, after).map((change) => ({
    ...change,
    follows: (before.quantities[change.path]?.estimated && after.quantities[change.path]?.estimated) ?? false,
  }));

/**
 * Puts the samples of {@link pairShard} together. `samples` and `seed` as they were asked for.
 *
 * Every gain is taken in each sample between two cars that are alike in everything the builds share, so its band is what
 * is not known about the change.
 */
export const combineComparison = (
  { before, after, conditions, match }: ComparedBuilds,
  pairs: readonly PairSample[],
  options?: PartOptions,
): LiftComparison => {
  const [one, other] = [resolveBuild(before), resolveBuild(after)];
  const speeds = comparedSpeedsRpm(one, other);
  const rowsOf = (build: ResolvedBuild) => partsOf(build.car, ledgerContext(build, conditions, match).typed);
  const [oldRows, newRows] = [rowsOf(one), rowsOf(other)];
  const ledgerOf = (build: ResolvedBuild, side: 'before' | 'after') =>
    combineSamples(
      build,
      conditions,
      pairs.map((pair) => pair[side].ledger),
      { match },
    ).parts;
  const [oldParts, newParts] = [ledgerOf(one, 'before'), ledgerOf(other, 'after')];
  const both = (of: (side: PairSample['before'], which: 'before' | 'after') => number | null): Gain | null =>
    gainOf(pairs.map((pair) => [of(pair.before, 'before'), of(pair.after, 'after')] as const));

  const peaks = [one, other].map(({ car }) => most(fullThrottle(car, speeds, conditions, match).boostPa));
  const arrivalBoostPa = ARRIVED * Math.min(...peaks);
  const boostArrivalRpm = both(({ boostPa }) => arrivalRpm(speeds, boostPa, arrivalBoostPa));
  const powerW = both(({ ledger }) => ledger.powerW) ?? NOTHING;
  const powerAtFirstLimitW =
    both(({ ledger }, which) => firstOf(which === 'before' ? oldRows : newRows, ledger).powerW) ?? NOTHING;

  const names = [...new Set([...newParts, ...oldParts].map(({ part }) => part))];
  const loadAt = (rows: readonly CarPart[], side: 'before' | 'after', part: PartName) => {
    const index = rows.findIndex((row) => row.part === part);
    return (pair: PairSample) => pair[side].ledger.parts[index]?.utilisation ?? null;
  };
  const parts = names.map((name): PartLift => {
    const [old, fresh] = [oldParts, newParts].map((all) => all.find(({ part }) => part === name));
    const [useBefore, useAfter] = [loadAt(oldRows, 'before', name), loadAt(newRows, 'after', name)];
    const use = gainOf(pairs.map((pair) => [useBefore(pair), useAfter(pair)] as const));
    const about = (fresh ?? old)!;
    return {
      part: name,
      limit: about.limit,
      unit: about.unit,
      before: standingOf(old),
      after: standingOf(fresh),
      ...(use ? { useGain: use.gain } : {}),
    };
  });
  const curve = speeds.flatMap((engineSpeedRpm, index) => {
    const torqueNm = both((side) => side.torqueNm[index] ?? null);
    const boostPa = both((side) => side.boostPa[index] ?? null);
    return torqueNm && boostPa ? [{ engineSpeedRpm, torqueNm, boostPa }] : [];
  });
  const changes = numberChanges(one, other);
  return {
    before: before.name,
    after: after.name,
    conditions,
    samples: pairs.length,
    changes,
    facts: compareFacts(one, other),
    powerW,
    torqueNm: both(({ torqueNm }) => most(torqueNm)) ?? NOTHING,
    ...(boostArrivalRpm ? { boostArrivalRpm } : {}),
    arrivalBoostPa,
    powerAtFirstLimitW,
    first: { before: firstLimits(oldParts), after: firstLimits(newParts) },
    parts,
    curve,
    regressions: regressionsOf({
      powerW,
      boostArrivalRpm,
      powerAtFirstLimitW,
      parts: parts.filter(({ part, after: now }) => !isLaunchTyre(part, now?.decides ?? false)),
      curve,
    }),
    cost: options ? pricedChange(before, after, options, changes, powerAtFirstLimitW.gain.p50) : null,
  };
};

/**
 * Compares two builds in this thread. Same builds, conditions and seed: same answer. A build compared with itself gains
 * nought, with a band of nought.
 */
export const compareLift = (
  before: Build,
  after: Build,
  conditions: Conditions,
  { samples = 256, seed = 1, match, options }: CompareOptions = {},
): LiftComparison => {
  const builds = { before, after, conditions, match };
  return combineComparison(builds, pairShard(builds, { samples, seed, from: 0, to: samples }), options);
};
