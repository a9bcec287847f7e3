/** Long work watched from outside: how far it is, and called off. */

/** Somebody called the work off. */
export class Cancelled extends Error {
  override readonly name = 'Cancelled';
}

export interface Watch {
  /** Hears how many of how many samples are done; from nought to all. */
  readonly progress?: ((done: number, of: number) => void) | undefined;
  readonly signal?: AbortSignal | undefined;
}

/** Pieces under way at a time: enough that no worker waits, few enough that a cancel is heard soon. */
const AT_ONCE = 4;

/**
 * Does pieces of work in order, some at a time, and puts their answers together in order. Where `signal` is aborted the
 * pieces under way are let go and no other begins.
 * @throws Cancelled
 */
export const inPieces = async <P extends { readonly from: number; readonly to: number }, R>(
  pieces: readonly P[],
  solve: (piece: P) => Promise<readonly R[]>,
  { progress, signal }: Watch = {},
): Promise<R[]> => {
  const all = pieces.reduce((sum, { from, to }) => sum + to - from, 0);
  const solved: (readonly R[])[] = [];
  let next = 0;
  let done = 0;
  const stopIfCancelled = () => {
    if (signal?.aborted) throw new Cancelled('the work was called off');
  };
  const hand = async (): Promise<void> => {
    for (;;) {
      stopIfCancelled();
      const own = next++;
      const piece = pieces[own];
      if (!piece) return;
      solved[own] = await solve(piece);
      stopIfCancelled();
      done += piece.to - piece.from;
      progress?.(done, all);
    }
  };
  stopIfCancelled();
  progress?.(0, all);
  const work = Promise.all(Array.from({ length: Math.min(AT_ONCE, pieces.length) }, hand));
  if (!signal) await work;
  else {
    // A cancel is answered at once, not when the piece under way is done.
    let heard = () => {};
    const called = new Promise<never>((_, reject) => {
      heard = () => reject(new Cancelled('the work was called off'));
      signal.addEventListener('abort', heard, { once: true });
    });
    work.catch(() => {});
    try {
      await Promise.race([work, called]);
    } finally {
      signal.removeEventListener('abort', heard);
    }
  }
  return solved.flat();
};
