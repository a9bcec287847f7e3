/** A ledger shown at once from few samples and refined over many, for as long as its page is open. */
import { useCallback, useEffect, useState } from 'react';
import type { HeadroomView } from '../../src/app/api.ts';
import { Refused } from '../answers/client.ts';
import { cancelLedger, fetchLedger, startLedger } from '../answers/headroom-client.ts';
import { keep } from '../answers/use-answer.ts';

/** Samples of the refined ledger. */
const REFINED_SAMPLES = 2000;
const ASK_EVERY_MS = 300;

export type Refining =
  | { readonly state: 'working'; readonly done: number; readonly of: number }
  | { readonly state: 'stopped' }
  | { readonly state: 'refused'; readonly says: string }
  | { readonly state: 'done' };

/** Builds whose refining somebody stopped while these pages are open: it does not begin again by itself. */
const stopped = new Set<string>();

/**
 * Refines the shown ledger on the server and puts the answer in its place. Leaving the page, or another build, calls
 * off what is under way.
 */
export const useRefinedHeadroom = (
  buildId: string,
  view: HeadroomView,
): { readonly refining: Refining; readonly stop: () => void; readonly begin: () => void } => {
  const fine = view.samples >= REFINED_SAMPLES;
  const [turn, setTurn] = useState(0);
  const [refining, setRefining] = useState<Refining>({ state: 'working', done: 0, of: REFINED_SAMPLES });
  // biome-ignore lint/correctness/useExhaustiveDependencies: a new turn begins anew.
  useEffect(() => {
    if (fine) {
      setRefining({ state: 'done' });
      return;
    }
    if (stopped.has(buildId)) {
      setRefining({ state: 'stopped' });
      return;
    }
    let gone = false;
    let workId: string | null = null;
    const watch = async () => {
      setRefining({ state: 'working', done: 0, of: REFINED_SAMPLES });
      let state = await startLedger(buildId, REFINED_SAMPLES);
      workId = state.workId;
      while (!gone && state.state === 'working') {
        setRefining({ state: 'working', done: state.done, of: state.of });
        await new Promise((done) => setTimeout(done, ASK_EVERY_MS));
        if (!gone) state = await fetchLedger(state.workId);
      }
      if (gone) {
        if (state.state === 'working') await cancelLedger(state.workId);
        return;
      }
      workId = null;
      if (state.state === 'done') keep(`headroom ${buildId}`, state.answer);
      else if (state.state === 'refused') setRefining({ state: 'refused', says: state.says });
      // Called off by another page that showed the same ledger: this one still wants it.
      else if (!stopped.has(buildId)) setTurn((now) => now + 1);
    };
    watch().catch((error: unknown) => {
      if (!gone) setRefining({ state: 'refused', says: error instanceof Refused ? error.message : String(error) });
    });
    return () => {
      gone = true;
      // What has been started is called off; an answer to a page that left is nobody's.
      if (workId !== null) cancelLedger(workId).catch(() => {});
    };
  }, [buildId, fine, turn]);
  const stop = useCallback(() => {
    stopped.add(buildId);
    setTurn((now) => now + 1);
  }, [buildId]);
  const begin = useCallback(() => {
    stopped.delete(buildId);
    setTurn((now) => now + 1);
  }, [buildId]);
  return { refining, stop, begin };
};
