/** What a change of parts gains, and which parts to buy, as `boostwright lift --json` prints it. */
import { setImmediate } from 'node:timers/promises';
import { type Build, resolveBuild } from '../car/index.ts';
import {
  type ComparedBuilds,
  type ComparedShare,
  checkPartOptions,
  combineComparison,
  fitParts,
  type LedgerAsk,
  type LedgerGiven,
  ledgerSolver,
  MOST_SETS,
  type PairSample,
  type PartOptions,
  pairShard,
  parsePartOptions,
  refusedSearch,
  type SearchAim,
  type SearchGround,
  type SearchStep,
  searchAnswer,
  searchGround,
  searchSteps,
} from '../lift/index.ts';
import { type Conditions, PART_NAMES, type PartName } from '../match/index.ts';
import { headroomCautions } from './cautions.ts';
import type { LiftComparisonView, LiftSearchView } from './lift-api.ts';
import { BadInput } from './problems.ts';
import { Cancelled } from './watch.ts';

/** Samples behind a comparison when nothing is said. */
export const USUAL_LIFT_SAMPLES = 256;

const ON_PAPER =
  'A set of parts is right on paper only: fit, map and check one change at a time, from low boost up. What else must go with a part stands beside it, and is not all there may be.';

/** Cautions for every car that is spoken of, each once. */
const cautionsFor = (builds: readonly Build[]): string[] => [
  ON_PAPER,
  ...new Set(builds.flatMap((build) => headroomCautions(resolveBuild(build).car))),
];

const refuse = (name: string, problems: readonly { readonly path: string; readonly says: string }[]): BadInput => {
  const [first] = problems;
  const says =
    problems.length === 1 && first
      ? `${first.path === '' ? '' : `${first.path}: `}${first.says}.`
      : `${problems.length} things in it need mending.`;
  return new BadInput('bad-options', `${name} is not a usable part options file: ${says}`, problems);
};

/**
 * Reads the text of a part options file; `name` is how to call it in sentences.
 * @throws BadInput with every problem and its place.
 */
export const readPartOptions = (text: string, name: string): PartOptions => {
  if (text.trim() === '') throw new BadInput('bad-options', `${name} is empty; give part options saved as JSON.`);
  const read = parsePartOptions(text);
  if (!read.ok) throw refuse(name, read.problems);
  return read.options;
};

/** The same for a value that is JSON already. */
export const readPartOptionsValue = (value: unknown, name: string): PartOptions => {
  const read = checkPartOptions(value);
  if (!read.ok) throw refuse(name, read.problems);
  return read.options;
};

// ---- jobs for workers

export interface CompareRequest extends ComparedBuilds {
  readonly options?: PartOptions | undefined;
}

/** One share of the samples, both builds in each. */
export const liftPairs = ({ share, ...builds }: CompareRequest & { readonly share: ComparedShare }): PairSample[] =>
  pairShard(builds, share);

/** The shares put together, in order. */
export const liftTogether = ({
  solved,
  ...request
}: CompareRequest & { readonly solved: readonly PairSample[] }): LiftComparisonView => ({
  schema: 'boostwright.lift/1',
  kind: 'comparison',
  ...combineComparison(request, solved, request.options),
  cautions: cautionsFor([request.before, request.after]),
});

/** The last ground a thread worked on: its sampled parts serve the next batch too. */
let solverKept: { readonly key: string; readonly solve: ReturnType<typeof ledgerSolver> } | null = null;

/** Ledgers of some flows of a search; all asks with the same places together. */
export const liftLedgers = ({
  ground,
  asks,
}: {
  readonly ground: SearchGround;
  readonly asks: readonly LedgerAsk[];
}): LedgerGiven[] => {
  const together = asks[0]?.together ?? [];
  const key = JSON.stringify([ground, together]);
  if (solverKept?.key !== key) solverKept = { key, solve: ledgerSolver(ground, together) };
  return solverKept.solve(asks);
};

// ---- search

export interface SearchRequest {
  readonly build: Build;
  readonly options: PartOptions;
  readonly conditions: Conditions;
  readonly aim: SearchAim;
  readonly samples?: number | undefined;
  readonly keepInside?: readonly PartName[] | undefined;
}

/** Names of ledger rows as typed, or a refusal that lists them. */
export const readKeepInside = (names: readonly string[]): PartName[] =>
  names.map((name) => {
    const found = PART_NAMES.find((part) => part === name.trim().toLowerCase());
    if (!found) {
      throw new BadInput('bad-part', `There is no ledger row "${name.trim()}"; use ${PART_NAMES.join(', ')}.`);
    }
    return found;
  });

/**
 * @throws BadInput for a target or chance that makes no sense, or a file with too many sets.
 */
export const checkSearch = ({ options, aim }: SearchRequest): void => {
  if (!(aim.targetPowerW >= 1000 && aim.targetPowerW <= 3e6)) {
    throw new BadInput('bad-target', 'The target power must lie between 1 and 3000 kW.');
  }
  if (!(aim.chance > 0 && aim.chance <= 1)) {
    throw new BadInput('bad-chance', 'The wanted chance must lie above 0 and at most 1, like 0.8 for 80 of 100.');
  }
  const refused = refusedSearch(options);
  if (refused) {
    throw new BadInput(
      'too-many-sets',
      `The part options make ${refused.sets} sets of parts, and ${MOST_SETS} can be searched: leave out places or options.`,
    );
  }
};

export interface SearchWatch {
  readonly step?: (step: Pick<SearchStep, 'stage' | 'done'>) => void;
  readonly signal?: AbortSignal;
}

/** Ledger samples in one piece of work for a worker: about a second. */
const PIECE = 64;

/** Cuts asks into pieces of work, in order. */
const piecesOf = (asks: readonly LedgerAsk[]): LedgerAsk[][] => {
  const pieces: LedgerAsk[][] = [];
  let size = Number.POSITIVE_INFINITY;
  for (const ask of asks) {
    const own = ask.to - ask.from;
    if (size + own > PIECE) {
      pieces.push([]);
      size = 0;
    }
    pieces.at(-1)!.push(ask);
    size += own;
  }
  return pieces;
};

/** Pieces under way at a time: enough that no worker waits, few enough that a cancel is heard. */
const AT_ONCE = 4;

/** Runs a search with `solve` doing the heavy work, wherever that is. */
export const runSearch = async (
  request: SearchRequest,
  solve: (work: { ground: SearchGround; asks: readonly LedgerAsk[] }) => Promise<LedgerGiven[]>,
  { step: tell, signal }: SearchWatch = {},
): Promise<LiftSearchView> => {
  checkSearch(request);
  const { build, options, conditions, aim, samples, keepInside } = request;
  const how = { samples, keepInside };
  const ground = searchGround(build, options, conditions, how);
  const steps = searchSteps(options, aim, how);
  const stopIfCancelled = () => {
    if (signal?.aborted) throw new Cancelled('the search was called off');
  };
  let step = steps.next();
  while (!step.done) {
    const { asks, stage, done } = step.value;
    const pieces = piecesOf(asks);
    const given: LedgerGiven[][] = [];
    let next = 0;
    let solved = 0;
    const hand = async (): Promise<void> => {
      for (;;) {
        // A turn of the loop, so that a cancel is heard where the work is done in this thread.
        await setImmediate();
        stopIfCancelled();
        if (next >= pieces.length) return;
        const own = next++;
        given[own] = await solve({ ground, asks: pieces[own]! });
        solved += 1;
        tell?.({ stage, done: done + ((step.value as SearchStep).doneThen - done) * (solved / pieces.length) });
      }
    };
    tell?.({ stage, done });
    await Promise.all(Array.from({ length: Math.min(AT_ONCE, pieces.length) }, hand));
    stopIfCancelled();
    step = steps.next(given.flat());
  }
  const answer = searchAnswer(ground, aim, step.value);
  const fitted = step.value.front.flatMap(({ set }) => {
    const result = fitParts(build, options, set.choice);
    return result.ok ? [result.build] : [];
  });
  return { schema: 'boostwright.lift/1', kind: 'search', ...answer, cautions: cautionsFor([build, ...fitted]) };
};
