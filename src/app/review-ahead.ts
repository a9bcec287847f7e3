/** A review in two threads: one reads the log and looks for findings, the other solves the match and makes the powers. */
import type { Build } from '../car/index.ts';
import type { ReadWatch } from '../logs/index.ts';
import { conditionsOf, dayOf, findIn, powerWorkFrom, reviewFrom, reviewLog, withoutCells } from '../review/index.ts';
import type { Compute } from './compute.ts';
import {
  type PowersAsker,
  type PowersMade,
  type PowersQuestion,
  type powersAhead,
  powersAsker,
} from './powers-ahead.ts';
import { speedsToPredict } from './predict.ts';
import { openLog, type ReadRequest } from './read-run.ts';
import { type ReviewAnswer, reviewAnswer } from './review.ts';

/** What the second thread of a review can do. */
export type PowersJobs = { readonly powersAhead: typeof powersAhead };
export type PowersCompute = Compute<PowersJobs>;

/** Powers that a thread has begun to make. */
export interface PowersBegun {
  readonly asker: PowersAsker;
  readonly made: Promise<PowersMade | null>;
}

/** Lets a thread of `compute`, which must have threads, make ready for the powers of a log driven with this build. */
export const beginPowers = (compute: PowersCompute, build: Build): PowersBegun => {
  const asker = powersAsker(build);
  const made = compute.run('powersAhead', asker.ahead, undefined, [asker.ahead.port]);
  // Its fault is heard when the powers are wanted; until then, and where the log is refused, nobody listens.
  made.catch(() => {});
  return { asker, made };
};

/**
 * The answer of `reviewedLog` sooner: another thread (null: there is none) solves the match while this one reads, and makes
 * powers while this one looks for findings; the powers left then are shared.
 * @throws BadInput where the file is no log, with one sentence.
 */
export const reviewInTwoThreads = async (
  powers: PowersBegun | null,
  request: ReadRequest,
  watch?: ReadWatch,
): Promise<ReviewAnswer> => {
  try {
    const { log, resolved, answer } = openLog({ ...request, sharedMemory: powers !== null }, watch);
    if (!powers || !resolved || log.pulls.length === 0) {
      return reviewAnswer(answer(), reviewLog(log, resolved));
    }
    const { asker } = powers;
    asker.askMatch({
      conditions: conditionsOf(dayOf(log)),
      engineSpeedsRpm: speedsToPredict(resolved.car, log.pulls),
    });
    let question: PowersQuestion | undefined;
    const found = findIn(log, resolved, (doubted) => {
      question = { log: withoutCells(log), doubted };
      asker.askPowers(question);
    });
    const told = answer();
    const helped = question ? asker.help(resolved, question) : [];
    const made = await powers.made;
    if (!made) throw new Error('the powers were called off');
    const work = powerWorkFrom([...helped, ...made.works], made);
    return reviewAnswer(told, reviewFrom(log, resolved, found, work, made.predicted));
  } finally {
    powers?.asker.close();
  }
};
