/** Several runs in one file, each with a clock of its own that starts anew: counted on one after another. */
import { usualStepS } from './rasters.ts';

/** A run is this long [s] at least; shorter stretches before a jump back are a clock that stumbles. */
const SHORTEST_RUN_S = 5;
/** A clock that starts anew does so within this time [s] of where the first run started. */
const NEAR_START_S = 1;
/** Time [s] put between two runs: long enough that nothing is measured across it. */
const BETWEEN_RUNS_S = 10;

export interface RunStarts {
  /** First rows of the second and later runs. */
  readonly starts: readonly number[];
  /** The clock [s] of each later run's first row after counting on. */
  readonly countedFromS: readonly number[];
}

/**
 * Finds where runs start anew and counts their clocks on, in place. A run starts where the clock falls and a header is
 * repeated there (`headerRows`: rows that follow one), or where it falls back to where the first run began and goes on
 * for a while. A clock that jumps back elsewhere stays as it is: that is a fault of the clock, and told as one.
 */
export const countRunsOn = (timeS: Float64Array, headerRows: readonly number[]): RunStarts => {
  const rows = timeS.length;
  const afterHeader = new Set(headerRows);
  const firstS = timeS[0] ?? 0;
  const starts: number[] = [];
  let from = 0;
  for (let row = 1; row < rows; row++) {
    if (!(timeS[row]! < timeS[row - 1]!)) continue;
    const isRestart =
      Math.abs(timeS[row]! - firstS) <= NEAR_START_S &&
      timeS[row - 1]! - timeS[from]! >= SHORTEST_RUN_S &&
      staysBehind(timeS, row, timeS[row - 1]!);
    if (!afterHeader.has(row) && !isRestart) continue;
    starts.push(row);
    from = row;
  }
  const countedFromS: number[] = [];
  const step = usualStepS(timeS);
  starts.forEach((start, i) => {
    let endS = Number.NEGATIVE_INFINITY;
    for (let row = i === 0 ? 0 : starts[i - 1]!; row < start; row++) if (timeS[row]! > endS) endS = timeS[row]!;
    const startS = Math.ceil(endS + Math.max(BETWEEN_RUNS_S, 20 * step));
    const offsetS = startS - timeS[start]!;
    const end = starts[i + 1] ?? rows;
    for (let row = start; row < end; row++) timeS[row] = timeS[row]! + offsetS;
    countedFromS.push(startS);
  });
  return { starts, countedFromS };
};

/** The clock does not come back to `beforeS` within the next few rows: it did not just stumble. */
const staysBehind = (timeS: Float64Array, row: number, beforeS: number): boolean => {
  const end = Math.min(timeS.length, row + 20);
  for (let i = row; i < end; i++) if (timeS[i]! >= beforeS) return false;
  return true;
};

/** What a person is told of it, or null. */
export const runsNote = ({ starts, countedFromS }: RunStarts): string | null =>
  starts.length === 0
    ? null
    : `the file holds ${starts.length + 1} runs whose clocks start anew; ${
        starts.length === 1 ? 'the second is counted on from' : 'the later ones are counted on from'
      } ${countedFromS.slice(0, 8).join(' s, ')} s${starts.length > 8 ? ', …' : ''}`;
