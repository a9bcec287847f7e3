/** A review in two threads: one reads the log and looks for findings, the other solves the match and makes the powers. */
import { isMainThread, MessageChannel, type MessagePort, receiveMessageOnPort } from 'node:worker_threads';
import type { Build } from '../car/index.ts';
import type { ChannelName, Log, ReadWatch } from '../logs/index.ts';
import { type Conditions, STANDARD_CONDITIONS } from '../match/index.ts';
import {
  type Band,
  conditionsOf,
  dayOf,
  findIn,
  type PowerWork,
  powerWork,
  predictedPower,
  reviewFrom,
  reviewLog,
  withoutCells,
} from '../review/index.ts';
import type { AppCompute } from './jobs.ts';
import { resolvedOf } from './model-request.ts';
import { speedsToPredict } from './predict.ts';
import { openLog, type ReadRequest } from './read-run.ts';
import { type ReviewAnswer, reviewAnswer } from './review.ts';

const WAITING = 0;
const ASKED = 1;
const CALLED_OFF = 2;

/** Known once the log is read and its sensors are judged. */
interface Question {
  readonly log: Log;
  readonly doubted: ReadonlySet<ChannelName>;
  readonly conditions: Conditions;
  readonly engineSpeedsRpm: readonly number[];
}

/**
 * What the second thread prepares for before its question is known. It hears of the question by shared memory, since the
 * asking thread is busy reading; the question itself lies in the port.
 */
export interface PowersAhead {
  readonly build: Build;
  readonly state: Int32Array<SharedArrayBuffer>;
  readonly port: MessagePort;
}

interface Powers {
  readonly work: PowerWork;
  readonly predicted: ReadonlyMap<number, Band>;
}

/**
 * As a job of another thread: makes what a match needs whatever the air, waits for the question, and answers it; null where
 * it was called off.
 * @throws in the main thread, which must never wait for itself.
 */
export const powersAhead = ({ build, state, port }: PowersAhead): Powers | null => {
  if (isMainThread) throw new Error('powers are prepared ahead in a thread of its own');
  const resolved = resolvedOf(build);
  if (Atomics.load(state, 0) === WAITING) {
    predictedPower(resolved, STANDARD_CONDITIONS, [resolved.car.engine.revLimitRpm / 2]);
  }
  Atomics.wait(state, 0, WAITING);
  const asked = receiveMessageOnPort(port) as { readonly message: Question } | undefined;
  port.close();
  if (!asked) return null;
  const { log, doubted, conditions, engineSpeedsRpm } = asked.message;
  return {
    predicted: predictedPower(resolved, conditions, engineSpeedsRpm),
    work: powerWork(log, resolved, doubted),
  };
};

/** The asking side of {@link PowersAhead}. */
const askerOf = (build: Build) => {
  const state = new Int32Array(new SharedArrayBuffer(4));
  const { port1, port2 } = new MessageChannel();
  const decide = (how: number): void => {
    Atomics.store(state, 0, how);
    Atomics.notify(state, 0);
  };
  const ahead: PowersAhead = { build, state, port: port2 };
  return {
    ahead,
    ask: (question: Question): void => {
      port1.postMessage(question);
      decide(ASKED);
    },
    /** Nothing more will be asked. */
    close: (): void => {
      if (Atomics.load(state, 0) === WAITING) decide(CALLED_OFF);
      port1.close();
    },
  };
};

/**
 * The answer of `reviewedLog` sooner: a thread of `compute`, which must have threads, solves the match while this one reads,
 * and makes the powers while this one looks for findings.
 * @throws BadInput where the file is no log, with one sentence.
 */
export const reviewInTwoThreads = async (
  compute: AppCompute,
  request: ReadRequest,
  watch?: ReadWatch,
): Promise<ReviewAnswer> => {
  const asker = request.build ? askerOf(request.build) : null;
  const powers = asker && compute.run('powersAhead', asker.ahead, undefined, [asker.ahead.port]);
  // Its fault is heard below; until then, and where the log is refused, nobody listens.
  powers?.catch(() => {});
  try {
    const { log, resolved, answer } = openLog({ ...request, sharedMemory: asker !== null }, watch);
    if (!asker || !resolved || log.pulls.length === 0)
      return reviewAnswer(
        answer,
        reviewLog(log, resolved, () => new Map()),
      );
    const conditions = conditionsOf(dayOf(log));
    const engineSpeedsRpm = speedsToPredict(resolved.car, log.pulls);
    const found = findIn(log, resolved, (doubted) =>
      asker.ask({ log: withoutCells(log), doubted, conditions, engineSpeedsRpm }),
    );
    const made = await powers;
    if (!made) throw new Error('the powers were called off');
    return reviewAnswer(answer, reviewFrom(log, resolved, found, made.work, made.predicted));
  } finally {
    asker?.close();
  }
};
