/** Ledgers over many samples: begun, looked at while they go on, called off. */
import type { Garage } from '../garage/index.ts';
import type { Conditions } from '../match/index.ts';
import { conditionsFrom } from './conditions.ts';
import type { HeadroomWorkState } from './headroom-api.ts';
import { type AppCompute, headroomOf } from './jobs.ts';
import { BadInput } from './problems.ts';
import { Works, type WorkWords } from './works.ts';

/** Works kept in memory, the newest. */
const MOST_KEPT = 12;
const FEWEST = 16;
const MOST = 4000;

const LEDGER_WORDS: WorkWords<HeadroomWorkState> = {
  name: 'ledger',
  called: 'work',
  refused: (workId, code, says) => ({ workId, state: 'refused', code, says }),
  cancelled: (workId) => ({ workId, state: 'cancelled' }),
};

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
  readonly #works = new Works<HeadroomWorkState>(LEDGER_WORDS, MOST_KEPT);

  constructor(garage: Garage, compute: AppCompute) {
    this.#garage = garage;
    this.#compute = compute;
  }

  /** Calls off what is under way. */
  close(): void {
    this.#works.close();
  }

  /** Begins a ledger of so many samples, or finds the same one under way or done. */
  start(buildId: string, samples: number, given: Partial<Conditions>): HeadroomWorkState {
    checkSamples(samples);
    const { sheet, contentHash } = this.#garage.build(buildId);
    const conditions = conditionsFrom(given);
    const key = JSON.stringify([contentHash, conditions, samples]);
    const found = this.#works.find(key);
    // Two builds of the same content have the same ledger, each under its own name.
    if (found?.state === 'done') return { ...found, answer: { ...found.answer, buildId } };
    return (
      found ??
      this.#works.begin(
        key,
        (workId) => ({ workId, state: 'working', done: 0, of: samples }),
        async (workId, signal, tell) => {
          const progress = (done: number, of: number) => tell({ workId, state: 'working', done, of });
          const watch = { signal, progress };
          const { build: _name, ...answer } = await headroomOf(
            this.#compute,
            { build: sheet, conditions },
            samples,
            watch,
          );
          return { workId, state: 'done', answer: { ...answer, buildId } };
        },
      )
    );
  }

  state(workId: string): HeadroomWorkState {
    return this.#works.state(workId);
  }

  cancel(workId: string): HeadroomWorkState {
    return this.#works.cancel(workId);
  }
}
