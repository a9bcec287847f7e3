/** What could not be worked out, said once for all the pulls that it is true of. */
import type { ReviewProblem } from './types.ts';

/** Numbers of pulls in words, from 1 and rising: "pull 3", "pulls 1, 3", "pulls 1 to 4, 7". */
const pullsInWords = (numbers: readonly number[]): string => {
  const stretches: [number, number][] = [];
  for (const number of numbers) {
    const last = stretches.at(-1);
    if (last && number === last[1] + 1) last[1] = number;
    else stretches.push([number, number]);
  }
  const parts = stretches.map(([from, to]) => {
    if (from === to) return `${from}`;
    return to === from + 1 ? `${from}, ${to}` : `${from} to ${to}`;
  });
  return `${numbers.length === 1 ? 'pull' : 'pulls'} ${parts.join(', ')}`;
};

/** Problems of a review from the reasons of each pull, in the order in which they first occur. */
export const problemsOfPulls = (reasons: readonly (readonly string[])[]): ReviewProblem[] => {
  const numbers = new Map<string, number[]>();
  reasons.forEach((ofPull, index) => {
    for (const reason of new Set(ofPull)) numbers.set(reason, [...(numbers.get(reason) ?? []), index + 1]);
  });
  return [...numbers].map(([reason, pulls]) => ({ about: pullsInWords(pulls), reason }));
};
