/**
 * The second thread of a review: makes ready what a match needs, waits for the log, and makes powers. The first one is busy
 * reading meanwhile and cannot answer; so what it has to say lies in a port, and shared memory tells that it is there.
 */
import { isMainThread, MessageChannel, type MessagePort, receiveMessageOnPort } from 'node:worker_threads';
import type { Build, ResolvedBuild } from '../car/index.ts';
import type { ChannelName, Log } from '../logs/index.ts';
import { type Conditions, STANDARD_CONDITIONS } from '../match/index.ts';
import {
  type Band,
  type KnockEvidence,
  knockEvidence,
  type PullWorks,
  predictedPower,
  pullWorks,
  type RoadLoadSeen,
  type RoadLoadUsed,
  roadLoadSeen,
} from '../review/index.ts';
import { resolvedOf } from './model-request.ts';

/** Known as soon as the log is read. */
export interface MatchQuestion {
  readonly conditions: Conditions;
  readonly engineSpeedsRpm: readonly number[];
}

/** Known once its sensors are judged. */
export interface PowersQuestion {
  readonly log: Log;
  readonly doubted: ReadonlySet<ChannelName>;
}

/** How many messages were put into the port, or {@link CALLED_OFF}; and the number of the next pull that nobody works on. */
const TOLD = 0;
const NEXT_PULL = 1;
const CALLED_OFF = -1;

export interface PowersAhead {
  readonly build: Build;
  readonly state: Int32Array<SharedArrayBuffer>;
  readonly port: MessagePort;
}

/** What the thread made; of the pulls those that it took. */
export interface PowersMade {
  readonly predicted: ReadonlyMap<number, Band>;
  readonly works: PullWorks;
  readonly knock: KnockEvidence | null;
  readonly roadLoad: RoadLoadSeen | null;
}

const takePull = (state: Int32Array): number => Atomics.add(state, NEXT_PULL, 1);

/** The next message after `seen` of them, waited for; null where the work was called off. */
const heard = <T>({ state, port }: PowersAhead, seen: number): T | null => {
  Atomics.wait(state, TOLD, seen);
  return Atomics.load(state, TOLD) === CALLED_OFF
    ? null
    : (receiveMessageOnPort(port) as { readonly message: T }).message;
};

const answered = (ahead: PowersAhead, resolved: ResolvedBuild): PowersMade | null => {
  const match = heard<MatchQuestion>(ahead, 0);
  if (!match) return null;
  const predicted = predictedPower(resolved, match.conditions, match.engineSpeedsRpm);
  const powers = heard<PowersQuestion>(ahead, 1);
  if (!powers) return null;
  const { log, doubted } = powers;
  const { seen: roadLoad, used } = roadLoadSeen(log, resolved, doubted);
  // The first thread takes pulls too, once it is through with the findings.
  ahead.port.postMessage({ used });
  const works = pullWorks(log, resolved, used, doubted, () => takePull(ahead.state));
  return { predicted, works, knock: knockEvidence(log, resolved, doubted), roadLoad };
};

/**
 * As a job of another thread: makes what a match needs whatever the air, waits for the questions, and answers them; null
 * where it was called off.
 * @throws in the main thread, which must never wait for itself.
 */
export const powersAhead = (ahead: PowersAhead): PowersMade | null => {
  if (isMainThread) throw new Error('powers are prepared ahead in a thread of its own');
  const resolved = resolvedOf(ahead.build);
  if (Atomics.load(ahead.state, TOLD) === 0) {
    predictedPower(resolved, STANDARD_CONDITIONS, [resolved.car.engine.revLimitRpm / 2]);
  }
  try {
    return answered(ahead, resolved);
  } finally {
    ahead.port.close();
  }
};

/** The first thread's side. */
export interface PowersAsker {
  readonly ahead: PowersAhead;
  readonly askMatch: (question: MatchQuestion) => void;
  readonly askPowers: (question: PowersQuestion) => void;
  /** Works in this thread on pulls that nobody has taken yet; none where the other thread is not that far. */
  readonly help: (resolved: ResolvedBuild, question: PowersQuestion) => PullWorks;
  /** Nothing more will be asked. */
  readonly close: () => void;
}

export const powersAsker = (build: Build): PowersAsker => {
  const state = new Int32Array(new SharedArrayBuffer(2 * Int32Array.BYTES_PER_ELEMENT));
  const { port1, port2 } = new MessageChannel();
  let told = 0;
  const tell = (message: unknown): void => {
    port1.postMessage(message);
    Atomics.store(state, TOLD, ++told);
    Atomics.notify(state, TOLD);
  };
  return {
    ahead: { build, state, port: port2 },
    askMatch: tell,
    askPowers: tell,
    help: (resolved, { log, doubted }) => {
      const road = receiveMessageOnPort(port1) as
        | { readonly message: { readonly used: RoadLoadUsed | null } }
        | undefined;
      return road ? pullWorks(log, resolved, road.message.used, doubted, () => takePull(state)) : [];
    },
    close: () => {
      Atomics.store(state, TOLD, CALLED_OFF);
      Atomics.notify(state, TOLD);
      port1.close();
    },
  };
};
