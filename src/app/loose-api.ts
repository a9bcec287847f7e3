/** The shape of a log that belongs to no car: read or reviewed, nothing kept. Types only. */
import type { RunView } from './api.ts';

/** What of a build sheet would let a review say more. */
export interface SheetGain {
  /** What is to be typed, in trade words. */
  readonly needs: string;
  /** What the review then says. */
  readonly gives: string;
}

/** As {@link RunView}, without the car and the build that it does not have. */
export type LooseRunView = Omit<RunView, 'run' | 'build' | 'prediction'> & {
  readonly schema: 'boostwright.loose/1';
  readonly stage: 'read' | 'reviewed';
  /** Empty until reviewed. */
  readonly buildAdds: readonly SheetGain[];
};
