/** What gives out first in a set of parts, sample by sample, put together from its rows. */
import type { PartName } from '../match/index.ts';
import type { FlowLedger, LedgerTable } from './ledger-table.ts';

/** First limit of each sample: the boost level is the lowest at which a deciding row gives out; infinite for none. */
export interface FirstLimits {
  readonly levels: Float64Array;
  /** Crank power there, or the most at any boost looked at where nothing gives out [W]. */
  readonly powersW: Float64Array;
  /** Boost there [Pa]; NaN where nothing gives out. */
  readonly boostsPa: Float64Array;
  readonly parts: readonly (PartName | null)[];
}

/** The tables that make up one set. */
export const tablesOf = ({ own, sides }: FlowLedger, chosen: readonly number[]): LedgerTable[] => [
  own,
  ...sides.map((group, index) => group[chosen[index] ?? 0]!),
];

/** First limits over several tables of the same samples. */
export const firstLimits = (tables: readonly LedgerTable[], mostPowersW: Float64Array): FirstLimits => {
  const count = mostPowersW.length;
  const levels = new Float64Array(count).fill(Number.POSITIVE_INFINITY);
  const powersW = Float64Array.from(mostPowersW);
  const boostsPa = new Float64Array(count).fill(Number.NaN);
  const parts = new Array<PartName | null>(count).fill(null);
  for (const table of tables) {
    const width = table.parts.length;
    table.decides.forEach((decides, column) => {
      if (!decides) return;
      for (let sample = 0; sample < count; sample++) {
        const at = sample * width + column;
        const level = table.levels[at]!;
        // NaN compares false: out of reach.
        if (!(level < levels[sample]!)) continue;
        levels[sample] = level;
        powersW[sample] = table.powersW[at]!;
        boostsPa[sample] = table.boostsPa[at]!;
        parts[sample] = table.parts[column]!;
      }
    });
  }
  return { levels, powersW, boostsPa, parts };
};
