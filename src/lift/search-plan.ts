/**
 * The search over sets of parts as a plan: it says which flows to solve, is given their ledgers, and goes on. Whoever runs
 * it solves in one thread or in several; the answer is the same.
 *
 * A flow is one choice of the parts that move the air; solving it brings the ledger of every combination of the side
 * groups along (`separable.ts`). Where all flows can be solved with all samples, they are, and the front is exact.
 * Otherwise in three steps, each with fewer flows:
 * 1. Screening: every flow, best estimate, half the engine speeds. Gives the power of every set.
 * 2. Narrowing: a few samples of the flows whose sets come near the front, the nearest first.
 * 3. Figures: all samples, all engine speeds, of the flows near the narrowed front. The front is taken over all sets of
 *    these flows.
 * The steps are a heuristic: a flow that lies more than the margins below the front by its best estimate and above it
 * with all samples is lost. A test compares them with the exact front.
 */

import { type FirstLimits, firstLimits, tablesOf } from './first-limits.ts';
import { type Choice, keepAll } from './fit.ts';
import { nonDominated } from './front.ts';
import type { FlowLedger, LedgerAsk, LedgerGiven, LedgerTable } from './ledger-table.ts';
import type { PartOptions } from './options.ts';
import { splitPlaces } from './separable.ts';
import { type AllSets, allSets, type PartSet } from './sets.ts';

export interface SearchAim {
  readonly targetPowerW: number;
  /** Wanted chance of reaching it with nothing past its limit, above 0 to 1. */
  readonly chance: number;
}

export interface SearchEffort {
  /** Samples behind the figures. */
  readonly samples: number;
  /** Samples of the narrowing. */
  readonly narrowing: number;
  /** Ledger samples that are affordable: for the narrowing, and for the figures (up to here every flow is solved). */
  readonly narrowingMost: number;
  readonly figuresMost: number;
  /** Part of the front's power by which a set may lie below it and still go on. */
  readonly screeningMargin: number;
  readonly narrowingMargin: number;
}

/** Samples and margins that lose little of the exact front, as `search.test.ts` holds them to; margins are shares of power. */
export const USUAL_EFFORT: SearchEffort = {
  samples: 64,
  narrowing: 16,
  narrowingMost: 1024,
  figuresMost: 1536,
  screeningMargin: 0.1,
  narrowingMargin: 0.04,
};

export type SearchStage = 'screening' | 'narrowing' | 'figures' | 'checking';

export interface SearchStep {
  readonly asks: readonly LedgerAsk[];
  readonly stage: SearchStage;
  /** Part of the work that is done before and after this step, roughly, 0 to 1. */
  readonly done: number;
  readonly doneThen: number;
}

/** A set with its figures. */
export interface FoundSet {
  readonly set: PartSet;
  readonly limits: FirstLimits;
  /** Power reached with the wanted chance [W]: as many samples reach it as the chance asks. */
  readonly surePowerW: number;
  readonly chanceOfTarget: number;
  /** Every row of the set, for what else passes its limit. */
  readonly tables: readonly LedgerTable[];
}

export interface SearchFound {
  readonly asFitted: FoundSet | null;
  /** Cheapest first, the power reached with the wanted chance rising. */
  readonly front: readonly FoundSet[];
  /** The cheapest that reaches the target with the wanted chance. */
  readonly cheapest: FoundSet | null;
  /** Flows that do not make a whole build. */
  readonly unusable: readonly { readonly choice: Choice; readonly says: string }[];
  readonly sets: number;
  /** Sets with figures of all samples. */
  readonly withFigures: number;
  readonly exact: boolean;
}

type Plan<T> = Generator<SearchStep, T, readonly LedgerGiven[]>;

/** Power that at least `chance` of the samples reach [W]. */
export const sureAt = (powersW: ArrayLike<number>, chance: number): number => {
  const falling = Array.from(powersW).sort((a, b) => b - a);
  const index = Math.ceil(chance * falling.length - 1e-9) - 1;
  return falling[Math.min(falling.length - 1, Math.max(0, index))] ?? 0;
};

/** Share of the samples that reach a power. */
export const chanceAt = (powersW: ArrayLike<number>, targetW: number): number => {
  const all = Array.from(powersW);
  return all.length === 0 ? 0 : all.filter((power) => power >= targetW).length / all.length;
};

/** Ledger samples that are asked for at a time: enough to keep several workers busy to the end. */
const BATCH = 512;

/** Solves some flows, in batches; null where the parts do not make a whole build. */
function* solve(
  choices: readonly Choice[],
  how: Omit<LedgerAsk, 'choice'>,
  stage: SearchStage,
  [done, doneThen]: readonly [number, number],
): Plan<LedgerGiven[]> {
  const all: LedgerGiven[] = [];
  const batch = Math.max(2, Math.floor(BATCH / (how.to - how.from)));
  for (let from = 0; from < choices.length; from += batch) {
    const asked = choices.slice(from, from + batch);
    const given = yield {
      asks: asked.map((choice) => ({ ...how, choice })),
      stage,
      done: done + ((doneThen - done) * from) / choices.length,
      doneThen: done + ((doneThen - done) * Math.min(choices.length, from + batch)) / choices.length,
    };
    if (given.length !== asked.length) throw new Error('a ledger that was asked for was not given');
    all.push(...given);
  }
  return all;
}

const isLedger = (given: LedgerGiven | undefined): given is FlowLedger => given !== undefined && 'own' in given;

const limitsOf = (ledger: FlowLedger, set: PartSet): FirstLimits =>
  firstLimits(tablesOf(ledger, set.sides), ledger.mostPowersW);

/** Merit of every set whose flow is solved, by set index; NaN for the others. */
const merits = (sets: readonly PartSet[], ledgers: ReadonlyMap<number, LedgerGiven>, chance: number): Float64Array =>
  Float64Array.from(sets, (set) => {
    const ledger = ledgers.get(set.flow);
    return isLedger(ledger) ? sureAt(limitsOf(ledger, set).powersW, chance) : Number.NaN;
  });

/** Sets in order of price; of equal price the best first, so that it is the measure for the others. */
const byPrice = (sets: readonly PartSet[], merit: Float64Array): number[] =>
  sets
    .map((_, index) => index)
    .filter((index) => !Number.isNaN(merit[index]!))
    .sort((a, b) => sets[a]!.price - sets[b]!.price || merit[b]! - merit[a]!);

/** What the front would lose without a flow, as the greatest part of its power at any price. */
const lossWithout = (flow: number, order: readonly number[], sets: readonly PartSet[], merit: Float64Array): number => {
  let best = 0;
  let without = 0;
  let loss = 0;
  for (const index of order) {
    best = Math.max(best, merit[index]!);
    if (sets[index]!.flow !== flow) without = Math.max(without, merit[index]!);
    if (best > 0) loss = Math.max(loss, 1 - without / best);
  }
  return loss;
};

/**
 * Flows that have a set within `margin` of the front at its price: first those that the front would miss most, then the
 * nearest.
 */
const flowsNearFront = (sets: readonly PartSet[], merit: Float64Array, margin: number): number[] => {
  const order = byPrice(sets, merit);
  let best = 0;
  const nearest = new Map<number, number>();
  for (const index of order) {
    best = Math.max(best, merit[index]!);
    const share = best > 0 ? merit[index]! / best : 1;
    const { flow } = sets[index]!;
    if (share >= 1 - margin && share > (nearest.get(flow) ?? 0)) nearest.set(flow, share);
  }
  return [...nearest]
    .map(([flow, share]) => ({ flow, share, loss: share < 1 ? 0 : lossWithout(flow, order, sets, merit) }))
    .sort((a, b) => b.loss - a.loss || b.share - a.share)
    .map(({ flow }) => flow);
};

function* stage(
  all: AllSets,
  flows: readonly number[],
  how: Omit<LedgerAsk, 'choice'>,
  name: SearchStage,
  progress: readonly [number, number],
): Plan<ReadonlyMap<number, LedgerGiven>> {
  const given = yield* solve(
    flows.map((flow) => all.flows[flow]!),
    how,
    name,
    progress,
  );
  return new Map(flows.map((flow, index) => [flow, given[index]!]));
}

/** Levels of the same sample on the same car differ by rounding alone. */
const SAME_POWER = 1e-6;

/**
 * Solves sets whole, nothing apart, and names the places of side groups where that changes the first limit. Two samples
 * of each set: rows that depend on each other do so in any.
 */
function* entangled(options: PartOptions, found: readonly FoundSet[], together: readonly number[]): Plan<number[]> {
  const all = options.places.map((_, place) => place);
  const aside = all.filter((place) => !together.includes(place));
  const looked = found.filter(({ set }) => set.sides.some((side) => side > 0));
  const how = { from: 0, to: 2, coarse: false, together: all };
  const whole = yield* solve(
    looked.map(({ set }) => set.choice),
    how,
    'checking',
    [0.95, 1],
  );
  const differs = whole.some((ledger, index) => {
    if (!isLedger(ledger)) return true;
    const solved = firstLimits([ledger.own], ledger.mostPowersW);
    const { limits } = looked[index]!;
    return solved.powersW.some(
      (power, sample) => Math.abs(power - limits.powersW[sample]!) > SAME_POWER * Math.max(1, power),
    );
  });
  return differs ? aside : [];
}

function* searchOnce(
  options: PartOptions,
  together: readonly number[],
  aim: SearchAim,
  effort: SearchEffort,
): Plan<SearchFound | { readonly entangled: readonly number[] }> {
  const all = allSets(options, splitPlaces(options, new Set(together)));
  const { sets } = all;
  const exact = all.flows.length * effort.samples <= effort.figuresMost;
  const unusable = new Map<number, { choice: Choice; says: string }>();
  const note = (given: ReadonlyMap<number, LedgerGiven>) => {
    for (const [flow, answer] of given) {
      if (!isLedger(answer)) unusable.set(flow, { choice: all.flows[flow]!, says: answer.says });
    }
  };
  let flows = all.flows.map((_, flow) => flow);
  if (!exact) {
    const best = { from: -1, to: 0, coarse: true, together };
    const screened = yield* stage(all, flows, best, 'screening', [0, 0.25]);
    note(screened);
    const few = { from: 0, to: effort.narrowing, coarse: true, together };
    flows = flowsNearFront(sets, merits(sets, screened, 1), effort.screeningMargin);
    flows = flows.slice(0, Math.max(2, Math.floor(effort.narrowingMost / effort.narrowing)));
    const narrowed = yield* stage(all, flows, few, 'narrowing', [0.25, 0.5]);
    flows = flowsNearFront(sets, merits(sets, narrowed, aim.chance), effort.narrowingMargin);
    flows = flows.slice(0, Math.max(2, Math.floor(effort.figuresMost / effort.samples)));
    // What is fitted is the measure of every gain.
    if (!flows.includes(0)) flows = [0, ...flows.slice(0, -1)];
  }
  const how = { from: 0, to: effort.samples, coarse: false, together };
  const ledgers = yield* stage(all, flows, how, 'figures', [exact ? 0 : 0.5, 0.95]);
  note(ledgers);
  const merit = merits(sets, ledgers, aim.chance);
  const scored = (set: PartSet): FoundSet | null => {
    const ledger = ledgers.get(set.flow);
    if (!isLedger(ledger)) return null;
    const limits = limitsOf(ledger, set);
    return {
      set,
      limits,
      surePowerW: sureAt(limits.powersW, aim.chance),
      chanceOfTarget: chanceAt(limits.powersW, aim.targetPowerW),
      tables: tablesOf(ledger, set.sides),
    };
  };
  const withFigures = sets.flatMap((set, index) =>
    Number.isNaN(merit[index]!) ? [] : [{ set, price: set.price, merit: merit[index]! }],
  );
  const front = nonDominated(withFigures).flatMap(({ set }) => scored(set) ?? []);
  const mixed = yield* entangled(options, front, together);
  if (mixed.length > 0) return { entangled: mixed };
  const keep = keepAll(options);
  const asFitted = sets.find(({ choice }) => choice.every((option, place) => option === keep[place]));
  return {
    asFitted: asFitted ? scored(asFitted) : null,
    front,
    cheapest: front.find(({ chanceOfTarget }) => chanceOfTarget >= aim.chance) ?? null,
    unusable: [...unusable.values()],
    sets: sets.length,
    withFigures: withFigures.length,
    exact,
  };
}

/** The whole search; see the head of this file. */
export function* planSearch(options: PartOptions, aim: SearchAim, effort: SearchEffort): Plan<SearchFound> {
  const together: number[] = [];
  for (;;) {
    const answer = yield* searchOnce(options, together, aim, effort);
    if ('front' in answer) return answer;
    together.push(...answer.entangled);
  }
}
