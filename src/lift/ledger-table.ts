/** Ledgers of sets of parts over many samples, as plain arrays that go between workers. */
import { type Build, type Car, type ResolvedBuild, resolveBuild } from '../car/index.ts';
import {
  type CarPart,
  type Conditions,
  type LedgerContext,
  type LedgerGrid,
  ledgerContext,
  ledgerEngineSpeedsRpm,
  ledgerGrid,
  ledgerRows,
  type MatchOptions,
  type PartName,
  partsOf,
  refuelledGrids,
} from '../match/index.ts';
import { commonNumbers } from './common-numbers.ts';
import { type Choice, fitParts } from './fit.ts';
import type { PartOptions } from './options.ts';
import { heldByFlow, type Split, splitPlaces } from './separable.ts';
import { sideChoices } from './sets.ts';
import { type SideParts, sideParts, typedWith, withSideParts } from './side-parts.ts';

/** What a search rests on, the same for all its sets. */
export interface SearchGround {
  readonly build: Build;
  readonly options: PartOptions;
  readonly conditions: Conditions;
  readonly seed: number;
  /** Samples of the sequence that `from` and `to` of a {@link LedgerAsk} count in. */
  readonly samples: number;
  /** Rows that decide although the ledger does not let them. */
  readonly keepInside: readonly PartName[];
  readonly match?: MatchOptions | undefined;
}

/** One flow to be solved with all combinations of the side groups: samples `from` to `to` (not counted). */
export interface LedgerAsk {
  readonly choice: Choice;
  /** -1 to 0 is the best estimate. */
  readonly from: number;
  readonly to: number;
  /** Half the engine speeds: good enough to sort sets by. */
  readonly coarse: boolean;
  /** Places that are to count as changing the flow whatever they set. */
  readonly together: readonly number[];
}

/** Rows are samples, columns parts. A level is boost as a part of the peak that is asked for; NaN: out of reach. */
export interface LedgerTable {
  readonly parts: readonly PartName[];
  readonly decides: readonly boolean[];
  readonly levels: Float64Array;
  readonly powersW: Float64Array;
  readonly boostsPa: Float64Array;
  readonly uses: Float64Array;
}

/** The ledger of one flow: its own rows, and those of every combination of every side group. */
export interface FlowLedger {
  readonly own: LedgerTable;
  readonly sides: readonly (readonly LedgerTable[])[];
  /** Most power at any boost looked at, sample by sample. */
  readonly mostPowersW: Float64Array;
}

export type LedgerGiven = FlowLedger | { readonly says: string };

/** Every second engine speed, the last one kept. */
const coarser = (speeds: readonly number[]): number[] =>
  speeds.filter((_, index) => (speeds.length - 1 - index) % 2 === 0);

interface Rows {
  readonly parts: readonly CarPart[];
  readonly table: LedgerTable;
}

const rowsFor = (parts: readonly CarPart[], count: number, keepInside: readonly PartName[]): Rows => {
  const array = () => new Float64Array(count * parts.length);
  return {
    parts,
    table: {
      parts: parts.map(({ part }) => part),
      decides: parts.map(({ part, counts }) => counts || keepInside.includes(part)),
      levels: array(),
      powersW: array(),
      boostsPa: array(),
      uses: array(),
    },
  };
};

const fill = ({ parts, table }: Rows, row: number, car: Car, context: LedgerContext, grid: LedgerGrid): void => {
  ledgerRows(car, context, grid, parts).forEach((part, column) => {
    const at = row * parts.length + column;
    // A part that boost does not move either holds at any boost or at none.
    const never = parts[column]?.dependsOnBoost === false && part.utilisation >= 1;
    table.levels[at] = never ? 0 : (part.levelAtLimit ?? Number.NaN);
    table.powersW[at] = never ? 0 : (part.powerAtLimitW ?? Number.NaN);
    table.boostsPa[at] = never ? 0 : (part.boostAtLimitPa ?? Number.NaN);
    table.uses[at] = part.utilisation;
  });
};

/** What is prepared once for many flows. */
interface Prepared {
  readonly carsOf: (build: ResolvedBuild) => (sample: number) => Car;
  readonly split: Split;
  readonly sides: readonly (readonly SideParts[])[];
}

const prepareGround = (ground: SearchGround, together: readonly number[]): Prepared => {
  const before = resolveBuild(ground.build);
  const { carsOf } = commonNumbers(before, ground.samples, ground.seed);
  const split = splitPlaces(ground.options, new Set(together));
  const sides = sideChoices(ground.options, split).map((choices) =>
    choices.map((choice) => {
      const fitted = fitParts(ground.build, ground.options, choice);
      if (!fitted.ok) throw new Error(`side parts that make no build: ${fitted.problems[0]?.says}`);
      const resolved = resolveBuild(fitted.build);
      const carAt = carsOf(resolved);
      const kept = new Map<number, Car>();
      return sideParts(before, resolved, (sample) => {
        const known = kept.get(sample) ?? carAt(sample);
        kept.set(sample, known);
        return known;
      });
    }),
  );
  return { carsOf, split, sides };
};

const solveFlow = (ground: SearchGround, { carsOf, split, sides }: Prepared, ask: LedgerAsk): LedgerGiven => {
  const fitted = fitParts(ground.build, ground.options, ask.choice);
  if (!fitted.ok) return { says: fitted.problems.map(({ path, says }) => `${path}: ${says}`).join('; ') };
  const resolved = resolveBuild(fitted.build);
  const context = ledgerContext(resolved, ground.conditions, ground.match);
  const carAt = carsOf(resolved);
  const count = ask.to - ask.from;
  const held = heldByFlow(split);
  const own = rowsFor(
    partsOf(resolved.car, context.typed).filter(({ part }) => held(part)),
    count,
    ground.keepInside,
  );
  const bySide = sides.map((group, index) =>
    group.map((parts) => {
      const car = withSideParts(resolved.car, parts, -1);
      const rows = partsOf(car, typedWith(context.typed, parts)).filter(({ part }) => split.groups[index]!.holds(part));
      return { parts, rows: rowsFor(rows, count, ground.keepInside) };
    }),
  );
  const mostPowersW = new Float64Array(count);
  for (let row = 0; row < count; row++) {
    const sample = ask.from + row;
    const car = carAt(sample);
    const speeds = ground.match?.engineSpeedsRpm ?? ledgerEngineSpeedsRpm(car);
    const grid = ledgerGrid(car, {
      ...context,
      options: ask.coarse ? { ...context.options, engineSpeedsRpm: coarser(speeds) } : { ...context.options },
    });
    mostPowersW[row] = grid.levels.at(-1)?.power ?? 0;
    fill(own, row, car, context, grid);
    const refuelled = split.groups.some(({ refuels }) => refuels) ? refuelledGrids(grid) : () => grid;
    bySide.forEach((group, index) => {
      for (const { parts, rows } of group) {
        const fittedCar = withSideParts(car, parts, sample);
        const delivered = split.groups[index]!.refuels ? refuelled(fittedCar) : grid;
        fill(rows, row, fittedCar, context, delivered);
      }
    });
  }
  return { own: own.table, sides: bySide.map((group) => group.map(({ rows }) => rows.table)), mostPowersW };
};

/** Solves flows of one ground: what many flows share is worked out once. All asks with the same `together`. */
export const ledgerSolver = (
  ground: SearchGround,
  together: readonly number[],
): ((asks: readonly LedgerAsk[]) => LedgerGiven[]) => {
  const prepared = prepareGround(ground, together);
  return (asks) => asks.map((ask) => solveFlow(ground, prepared, ask));
};
