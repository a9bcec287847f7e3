/** Ledgers over many samples: begun, looked at while they go on, called off. */
import type { Garage } from '../garage/index.ts';
import type { Conditions } from '../match/index.ts';
import { conditionsFrom } from './conditions.ts';
import type { HeadroomWorkState } from './headroom-api.ts';
import { type AppCompute, headroomOf } from './jobs.ts';
import { BadInput, refusalOf } from './problems.ts';

/** Works kept in memory, the newest. */
const MOST_KEPT = 12;
const FEWEST = 16;
const MOST = 4000;

interface Work {
  readonly key: string;
  readonly stop: AbortController;
  state: HeadroomWorkState;
}

/** @throws BadInput for a number of samples that cannot be worked with. */
export const checkSamples = (samples: number): number => {
  if (!(Number.isInteger(samples) && samples >= FEWEST && samples <= MOST)) {
    throw new BadInput('bad-samples', `The samples must be a whole number from ${FEWEST} to ${MOST}.`);
  }
  return samples;
};

export class HeadroomDesk {
  readonly #garage: Garage;
  readonly #compute: AppCompute;
  readonly #works = new Map<string, Work>();
  #count = 0;

  constructor(garage: Garage, compute: AppCompute) {
    this.#garage = garage;
    this.#compute = compute;
  }

  /** Calls off what is under way. */
  close(): void {
    for (const { stop } of this.#works.values()) stop.abort();
  }

  /** Begins a ledger of so many samples, or finds the same one under way or done. */
  start(buildId: string, samples: number, given: Partial<Conditions>): HeadroomWorkState {
    checkSamples(samples);
    const { sheet, contentHash } = this.#garage.build(buildId);
    const conditions = conditionsFrom(given);
    const key = JSON.stringify([contentHash, conditions, samples]);
    for (const { key: known, state } of this.#works.values()) {
      // Two builds of the same content have the same ledger, each under its own name.
      if (known === key && state.state === 'done') return { ...state, answer: { ...state.answer, buildId } };
      if (known === key && state.state === 'working') return state;
    }
    const workId = `ledger-${++this.#count}`;
    const work: Work = {
      key,
      stop: new AbortController(),
      state: { workId, state: 'working', done: 0, of: samples },
    };
    this.#works.set(workId, work);
    for (const [id, { state }] of this.#works) {
      if (this.#works.size <= MOST_KEPT) break;
      if (state.state !== 'working') this.#works.delete(id);
    }
    headroomOf(this.#compute, { build: sheet, conditions }, samples, {
      signal: work.stop.signal,
      progress: (done, of) => {
        if (work.state.state === 'working') work.state = { workId, state: 'working', done, of };
      },
    }).then(
      ({ build: _name, ...answer }) => {
        if (!work.stop.signal.aborted) work.state = { workId, state: 'done', answer: { ...answer, buildId } };
      },
      (error: unknown) => {
        if (work.stop.signal.aborted) return;
        const refusal = refusalOf(error);
        work.state = {
          workId,
          state: 'refused',
          code: refusal?.code ?? 'fault',
          says: refusal?.says ?? 'Boostwright failed here; try again, and report it if it stays so.',
        };
      },
    );
    return work.state;
  }

  #work(workId: string): Work {
    const work = this.#works.get(workId);
    if (!work) throw new BadInput('not-found', `There is no work "${workId}" any more; start it again.`);
    return work;
  }

  state(workId: string): HeadroomWorkState {
    return this.#work(workId).state;
  }

  cancel(workId: string): HeadroomWorkState {
    const work = this.#work(workId);
    if (work.state.state === 'working') {
      work.stop.abort();
      work.state = { workId, state: 'cancelled' };
    }
    return work.state;
  }
}
