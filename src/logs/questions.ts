/** Questions to the person: what a log leaves open, and what its readings contradict. */
import type { Candidate } from './candidates.ts';
import type { ChannelChoice, LogQuestion } from './types.ts';

/** An answer: in words, and what it says of each column. */
export interface Answer {
  readonly says: string;
  readonly settles: Omit<Partial<ChannelChoice>, 'column'>;
}

/** A number as it stands in the file, short. */
export const shortly = (value: number): string => Number(value.toPrecision(Math.abs(value) >= 100 ? 4 : 3)).toString();

const quoted = (candidates: readonly Candidate[]): string =>
  candidates
    .slice(0, 4)
    .map(({ column }) => `"${column.header}"`)
    .join(', ') + (candidates.length > 4 ? ` and ${candidates.length - 4} more` : '');

/** "X" reads 3 to 14. Of several columns only the names. */
export const readsFromTo = (candidates: readonly Candidate[]): string => {
  const [only] = candidates;
  if (!only) return '';
  return candidates.length > 1
    ? quoted(candidates)
    : `${quoted([only])} (from ${shortly(only.marks.low)} to ${shortly(only.marks.high)})`;
};

/** Asks about columns that share an answer. The first answer is what is taken until then. */
export const ask = (
  candidates: readonly Candidate[],
  kind: LogQuestion['kind'],
  asks: string,
  answers: readonly Answer[],
): void => {
  candidates[0]?.questions.push({
    kind,
    columns: candidates.map(({ column }) => column.header),
    asks,
    options: answers.map(({ says, settles }) => ({
      says,
      choices: candidates.map(({ column, channel }) => ({
        column: column.header,
        channel,
        ...settles,
      })),
    })),
  });
};

/** A first choice with the others behind it, each once. */
export const firstOf = <T>(first: T, others: readonly T[]): T[] => [first, ...others.filter((one) => one !== first)];
