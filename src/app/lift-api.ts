/**
 * What the lift calls answer. Types only; see the table at the head of api.ts. SI, unit in the key; prices in the currency
 * of the part options, as typed.
 */
import type { LiftComparison, LiftSearch, PartOptions, SearchStage } from '../lift/index.ts';

export interface LiftComparisonView extends LiftComparison {
  readonly schema: 'boostwright.lift/1';
  readonly kind: 'comparison';
  readonly cautions: readonly string[];
}

export interface LiftSearchView extends LiftSearch {
  readonly schema: 'boostwright.lift/1';
  readonly kind: 'search';
  readonly cautions: readonly string[];
}

/** Part options kept for a car; null where none were saved. */
export interface PartOptionsView {
  readonly carId: string;
  readonly options: PartOptions | null;
  /** ISO 8601, UTC. */
  readonly savedAt: string | null;
}

export interface LiftSearchRequest {
  readonly targetPowerW: number;
  /** Wanted chance of it, above 0 to 1. */
  readonly chance: number;
  /** A part options file; the car's saved one when absent. */
  readonly options?: unknown;
  /** Rows of the ledger that are to count as limits besides those that decide anyway. */
  readonly keepInside?: readonly string[];
}

/** A search under way or done; ask again until it is. It is forgotten some minutes after it was last asked for. */
export type LiftSearchState =
  | {
      readonly searchId: string;
      readonly state: 'working';
      readonly stage: SearchStage | 'waiting';
      readonly done: number;
    }
  | { readonly searchId: string; readonly state: 'done'; readonly answer: LiftSearchView }
  | { readonly searchId: string; readonly state: 'cancelled' }
  | { readonly searchId: string; readonly state: 'refused'; readonly code: string; readonly says: string };

/** Saves a set of parts as a planned build of the car. */
export interface PlannedSetRequest {
  readonly label: string;
  readonly parts: readonly { readonly place: string; readonly option: string }[];
  /** A part options file; the car's saved one when absent. */
  readonly options?: unknown;
}
