/** Long works of the desk: begun, looked at while they go on, called off. */
import { BadInput, refusalOf } from './problems.ts';

/** What every work's state says; its name and progress are its own. */
interface WorkState {
  readonly state: 'working' | 'done' | 'refused' | 'cancelled';
}

/** How one kind of work words its states. */
export interface WorkWords<S extends WorkState> {
  /** Like `search`: works are named `search-1`, `search-2`. */
  readonly name: string;
  /** What a work is called in a sentence. */
  readonly called: string;
  readonly refused: (id: string, code: string, says: string) => S;
  readonly cancelled: (id: string) => S;
}

interface Work<S> {
  readonly key: string;
  readonly stop: AbortController;
  state: S;
}

export class Works<S extends WorkState> {
  readonly #words: WorkWords<S>;
  readonly #most: number;
  readonly #works = new Map<string, Work<S>>();
  #count = 0;

  /** `most` finished works are kept, the newest. */
  constructor(words: WorkWords<S>, most: number) {
    this.#words = words;
    this.#most = most;
  }

  /** Calls off what is under way. */
  close(): void {
    for (const { stop } of this.#works.values()) stop.abort();
  }

  /** The same work under way or done. */
  find(key: string): S | undefined {
    for (const { key: known, state } of this.#works.values()) {
      if (known === key && (state.state === 'working' || state.state === 'done')) return state;
    }
    return undefined;
  }

  /** Begins a work; `run` tells how far it is and answers its last state. Nothing it says after a cancel counts. */
  begin(
    key: string,
    first: (id: string) => S,
    run: (id: string, signal: AbortSignal, tell: (state: S) => void) => Promise<S>,
  ): S {
    const id = `${this.#words.name}-${++this.#count}`;
    const work: Work<S> = { key, stop: new AbortController(), state: first(id) };
    this.#works.set(id, work);
    for (const [old, { state }] of this.#works) {
      if (this.#works.size <= this.#most) break;
      if (state.state !== 'working') this.#works.delete(old);
    }
    const tell = (state: S): void => {
      if (work.state.state === 'working' && !work.stop.signal.aborted) work.state = state;
    };
    run(id, work.stop.signal, tell).then(tell, (error: unknown) => {
      const refusal = refusalOf(error);
      tell(
        this.#words.refused(
          id,
          refusal?.code ?? 'fault',
          refusal?.says ?? 'Boostwright failed here; try again, and report it if it stays so.',
        ),
      );
    });
    return work.state;
  }

  #work(id: string): Work<S> {
    const work = this.#works.get(id);
    if (!work) {
      throw new BadInput('not-found', `There is no ${this.#words.called} "${id}" any more; start it again.`);
    }
    return work;
  }

  state(id: string): S {
    return this.#work(id).state;
  }

  cancel(id: string): S {
    const work = this.#work(id);
    if (work.state.state === 'working') {
      work.stop.abort();
      work.state = this.#words.cancelled(id);
    }
    return work.state;
  }
}
