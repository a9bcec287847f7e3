/** Which parts to buy: the cheapest set that reaches a power, and the front of price against power. */
import { type Build, resolveBuild } from '../car/index.ts';
import { bandOf, type Conditions, ledgerContext, type PartName, partsOf } from '../match/index.ts';
import { chosenOptions, fitParts } from './fit.ts';
import { type LedgerGiven, ledgerSolver, type SearchGround } from './ledger-table.ts';
import { fieldsSet, type PartOptions } from './options.ts';
import {
  type FoundSet,
  planSearch,
  type SearchAim,
  type SearchEffort,
  type SearchFound,
  type SearchStep,
  USUAL_EFFORT,
} from './search-plan.ts';
import { countSets } from './sets.ts';
import type { AlsoWatch, FirstLimit, LiftOutcome, LiftSearch, LiftSet } from './types.ts';

export interface SearchOptions {
  /** Samples behind the figures; 64 when absent (powers of two suit the sequence). */
  readonly samples?: number | undefined;
  /** Same seed, same answer. 1 when absent. */
  readonly seed?: number | undefined;
  /** Rows of the ledger that are to count as limits besides those that decide anyway. */
  readonly keepInside?: readonly PartName[] | undefined;
  readonly effort?: Partial<SearchEffort> | undefined;
}

/** Most sets that an options file may make. */
export const MOST_SETS = 100_000;

/**
 * Rows that the ledger lists without letting them decide, but whose part can be bought here: they then count, since an
 * option that lifts a limit which nobody minds could never be worth its price. Idle pulses are named, not counted.
 */
const RATED_BY: Readonly<Record<string, PartName>> = {
  'sensors.manifoldPressureCeiling': 'manifold pressure sensor',
  'sensors.gaugeCeiling': 'boost gauge',
};

/** Ledger rows that a search keeps inside their limits although no option was asked to: those whose rating some option sets. */
export const keptInside = (options: PartOptions): PartName[] => [
  ...new Set(
    options.places.flatMap((place) =>
      place.options.flatMap((option) => fieldsSet(option).flatMap((path) => RATED_BY[path] ?? [])),
    ),
  ),
];

/** What a search rests on, for whoever solves its ledgers. */
export const searchGround = (
  build: Build,
  options: PartOptions,
  conditions: Conditions,
  { samples = USUAL_EFFORT.samples, seed = 1, keepInside = [] }: SearchOptions = {},
): SearchGround => ({
  build,
  options,
  conditions,
  seed,
  samples,
  keepInside: [...new Set([...keptInside(options), ...keepInside])],
});

/** The steps of a search: yields what to solve, takes the ledgers, returns what it found. */
export const searchSteps = (
  options: PartOptions,
  aim: SearchAim,
  { samples = USUAL_EFFORT.samples, effort = {} }: SearchOptions = {},
): Generator<SearchStep, SearchFound, readonly LedgerGiven[]> =>
  planSearch(options, aim, {
    ...USUAL_EFFORT,
    ...effort,
    samples,
    narrowing: Math.min(samples, effort.narrowing ?? USUAL_EFFORT.narrowing),
  });

/** Chances below this are not worth a word. */
const WORTH_NAMING = 0.05;

const shares = <T>(values: readonly T[]): [T, number][] => {
  const counts = new Map<T, number>();
  for (const value of values) counts.set(value, (counts.get(value) ?? 0) + 1);
  return [...counts].map(([value, count]): [T, number] => [value, count / values.length]).sort((a, b) => b[1] - a[1]);
};

/** Rows that do not decide and are past their limit by the time the first deciding part gives out. */
const watched = (
  { tables, limits }: FoundSet,
  rowOf: (part: PartName) => { limit: string; usual: boolean } | undefined,
) =>
  tables.flatMap((table) =>
    table.parts.flatMap((part, column): AlsoWatch[] => {
      // Below third gear the driver decides what the tyres carry.
      if (table.decides[column] || part.startsWith('tyres')) return [];
      let past = 0;
      limits.levels.forEach((first, sample) => {
        const at = sample * table.parts.length + column;
        const level = table.levels[at]!;
        if (level < first || (Number.isNaN(level) && table.uses[at]! >= 1)) past++;
      });
      const row = rowOf(part);
      const chance = past / limits.levels.length;
      return row && chance >= 0.5 ? [{ part, limit: row.limit, chance, usualRating: row.usual }] : [];
    }),
  );

const liftSet = (ground: SearchGround, found: FoundSet, sureAsFittedW: number | null): LiftSet => {
  const { set, limits } = found;
  const fitted = fitParts(ground.build, ground.options, set.choice);
  const resolved = resolveBuild(fitted.ok ? fitted.build : ground.build);
  const rows = new Map(
    partsOf(resolved.car, ledgerContext(resolved, ground.conditions).typed).map((row) => [row.part, row]),
  );
  const first = shares(limits.parts).flatMap(([part, chance]): FirstLimit[] => {
    const row = part === null ? undefined : rows.get(part);
    return row && chance >= WORTH_NAMING ? [{ part: row.part, limit: row.limit, chance, lift: row.lift }] : [];
  });
  const gainW = sureAsFittedW === null ? 0 : found.surePowerW - sureAsFittedW;
  const boost = bandOf(limits.boostsPa.filter((pa) => Number.isFinite(pa)));
  return {
    parts: chosenOptions(ground.options, set.choice).flatMap((option, index) =>
      option
        ? [
            {
              place: ground.options.places[index]!.place,
              option: option.name,
              price: option.price,
              ...(option.needs === undefined ? {} : { needs: option.needs }),
              ...(option.note === undefined ? {} : { note: option.note }),
            },
          ]
        : [],
    ),
    price: set.price,
    powerAtFirstLimitW: bandOf(limits.powersW) ?? { p10: 0, p50: 0, p90: 0 },
    ...(boost && limits.parts.filter((part) => part !== null).length >= limits.parts.length / 2
      ? { boostAtFirstLimitPa: boost }
      : {}),
    surePowerW: found.surePowerW,
    chanceOfTarget: found.chanceOfTarget,
    first,
    alsoWatch: watched(found, (part) => {
      const row = rows.get(part);
      return row && { limit: row.limit, usual: row.ratingPath !== undefined };
    }),
    ...(gainW > 0 && set.price > 0 ? { pricePerW: set.price / gainW } : {}),
  };
};

/** Puts what was found into words and figures. */
export const searchAnswer = (ground: SearchGround, aim: SearchAim, found: SearchFound): LiftSearch => {
  const { build, options, conditions } = ground;
  const asFittedW = found.asFitted?.surePowerW ?? null;
  const inWords = (set: FoundSet) => liftSet(ground, set, asFittedW);
  const front = found.front.map(inWords);
  const best = front.at(-1) ?? null;
  const cheapest = found.cheapest === null ? undefined : front[found.front.indexOf(found.cheapest)];
  const outcome: LiftOutcome = cheapest
    ? { reached: true, cheapest }
    : {
        reached: false,
        reason:
          best === null
            ? 'no usable set'
            : found.front.some(({ chanceOfTarget }) => chanceOfTarget > 0)
              ? 'no set reaches it with the wanted chance'
              : 'no set reaches the target',
        best,
        shortW: aim.targetPowerW - (best?.surePowerW ?? 0),
      };
  return {
    build: build.name,
    options: options.name,
    currency: options.currency,
    conditions,
    target: { powerW: aim.targetPowerW, chance: aim.chance },
    outcome,
    front,
    asFitted: found.asFitted ? inWords(found.asFitted) : null,
    keptInside: ground.keepInside,
    unusable: found.unusable.map(({ choice, says }) => ({
      parts: chosenOptions(options, choice).flatMap((option) => (option ? [option.name] : [])),
      says,
    })),
    counts: {
      sets: found.sets,
      withFigures: found.withFigures,
      exact: found.exact,
      samples: found.withFigures > 0 ? (found.front[0]?.limits.levels.length ?? 0) : 0,
    },
  };
};

export type SearchRefusal = { readonly ok: false; readonly reason: 'too many sets'; readonly sets: number };

/** Refuses a file that makes more sets than can be held. */
export const refusedSearch = (options: PartOptions): SearchRefusal | null => {
  const sets = countSets(options);
  return sets > MOST_SETS ? { ok: false, reason: 'too many sets', sets } : null;
};

/**
 * Searches all sets of an options file in this thread.
 *
 * A set reaches a power where boost can be raised to it with no deciding part past its limit. Refuses with a typed
 * reason where there are more than {@link MOST_SETS} sets. Deterministic: same input, same answer.
 */
export const searchLift = (
  build: Build,
  options: PartOptions,
  conditions: Conditions,
  aim: SearchAim,
  how: SearchOptions = {},
): { readonly ok: true; readonly search: LiftSearch } | SearchRefusal => {
  const refused = refusedSearch(options);
  if (refused) return refused;
  const ground = searchGround(build, options, conditions, how);
  const steps = searchSteps(options, aim, how);
  const solvers = new Map<string, ReturnType<typeof ledgerSolver>>();
  let step = steps.next();
  while (!step.done) {
    const { asks } = step.value;
    const together = asks[0]?.together ?? [];
    const key = together.join(',');
    const solver = solvers.get(key) ?? ledgerSolver(ground, together);
    solvers.set(key, solver);
    step = steps.next(solver(asks));
  }
  return { ok: true, search: searchAnswer(ground, aim, step.value) };
};
