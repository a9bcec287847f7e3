/** Serves jobs from messages: one at a time and in order; a cancelled one is passed over or stops at its next turn. */
import type { JobWatch } from './jobs.ts';
import type { FromWorker, ToWorker } from './messages.ts';

type AnyJob = (request: never, watch: JobWatch) => Promise<unknown>;

/** Least time between two words of progress [ms]: a page draws no faster. */
const SAY_EVERY_MS = 50;

export const serveJobs = (
  jobs: Readonly<Record<string, AnyJob>>,
  say: (message: FromWorker) => void,
  nowMs: () => number = () => performance.now(),
): ((message: ToWorker) => void) => {
  const cancelled = new Set<number>();
  const waiting: Extract<ToWorker, { job: string }>[] = [];
  let busy = false;
  let now: number | null = null;

  const turn = () => new Promise<void>((done) => setTimeout(done, 0));

  const work = async ({ id, job, request }: Extract<ToWorker, { job: string }>): Promise<void> => {
    let said = Number.NEGATIVE_INFINITY;
    const watch: JobWatch = {
      progress: (done, of) => {
        const atMs = nowMs();
        if (done < of && atMs - said < SAY_EVERY_MS) return;
        said = atMs;
        if (!cancelled.has(id)) say({ id, kind: 'progress', done, of });
      },
      goOn: async () => {
        await turn();
        return !cancelled.has(id);
      },
    };
    try {
      const found = jobs[job];
      if (!found) throw new Error(`There is no job "${job}".`);
      const value = cancelled.has(id) ? null : await found(request as never, watch);
      say(value === null || cancelled.has(id) ? { id, kind: 'stopped' } : { id, kind: 'answer', value });
    } catch (error) {
      say({ id, kind: 'fault', says: error instanceof Error ? error.message : String(error) });
    }
    cancelled.delete(id);
  };

  const next = async (): Promise<void> => {
    if (busy) return;
    busy = true;
    for (let one = waiting.shift(); one; one = waiting.shift()) {
      now = one.id;
      await work(one);
    }
    now = null;
    busy = false;
  };

  return (message) => {
    if ('cancel' in message) {
      // One that was answered already needs no cancelling.
      if (now === message.cancel || waiting.some(({ id }) => id === message.cancel)) cancelled.add(message.cancel);
      return;
    }
    waiting.push(message);
    void next();
  };
};
