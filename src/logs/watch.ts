/** Watching a long reading and ending it early, without timers: the reader calls back now and then. */
import type { LogProblem } from './types.ts';

export interface ReadWatch {
  /** Called with the share done, 0 to 1, never falling, at most a few hundred times. */
  readonly onProgress?: (share: number) => void;
  /** Asked now and then; when it says true the reading ends with the problem 'stopped'. */
  readonly isStopped?: () => boolean;
}

/** Thrown inside a reader to leave it; never leaves the room. */
export class ReadingStopped extends Error {}

export const STOPPED: LogProblem = { code: 'stopped', says: 'The reading was stopped before its end.' };

/** Smallest share that is told. */
const STEP = 1 / 200;

/** A function that a reader calls with its share done: tells it on, and throws when it is to stop. `from` and `to` are this reader's part of the whole. */
export const ticker = (watch: ReadWatch | undefined, from = 0, to = 1): ((share: number) => void) => {
  let told = -1;
  return (share) => {
    if (!watch) return;
    if (watch.isStopped?.()) throw new ReadingStopped();
    const now = from + (to - from) * Math.min(1, Math.max(0, share));
    if (now - told < STEP && now < to) return;
    if (now <= told) return;
    told = now;
    watch.onProgress?.(now);
  };
};
