/** Logs being read: how far each is, for the page that sent it, and the end of a reading whose sender has gone. */
import type { FastifyReply } from 'fastify';
import type { JobWatch } from '../app/index.ts';

/** Readings that are remembered at once: the oldest is forgotten, its page then shows no share. */
const MOST_KEPT = 100;

export interface ReadingView {
  /** Share read, 0 to 1; null when no such reading is under way. */
  readonly share: number | null;
}

export class Readings {
  readonly #shares = new Map<string, number>();

  /** Watches one reading. Where the sender closes its connection before the answer, the reading is called off. */
  watch(readingId: string | undefined, reply: FastifyReply): JobWatch {
    const stop = new AbortController();
    const gone = () => {
      if (readingId !== undefined) this.#shares.delete(readingId);
      if (!reply.raw.writableFinished) stop.abort();
    };
    if (reply.raw.destroyed) {
      stop.abort();
      return { signal: stop.signal };
    }
    reply.raw.once('close', gone);
    if (readingId === undefined) return { signal: stop.signal };
    if (this.#shares.size >= MOST_KEPT) {
      const [oldest] = this.#shares.keys();
      if (oldest !== undefined) this.#shares.delete(oldest);
    }
    this.#shares.set(readingId, 0);
    return {
      signal: stop.signal,
      onProgress: (share) => {
        if (this.#shares.has(readingId)) this.#shares.set(readingId, share);
      },
    };
  }

  view(readingId: string): ReadingView {
    return { share: this.#shares.get(readingId) ?? null };
  }
}
