/** What the server answers about a ledger being worked out over many samples. Types only; see the table at the head of api.ts. */
import type { HeadroomView } from './api.ts';

export interface HeadroomWorkRequest {
  /** 16 to 4000. */
  readonly samples: number;
}

/** Work under way or done: asked again until it is. The newest are kept; one that was dropped is begun anew. */
export type HeadroomWorkState =
  | { readonly workId: string; readonly state: 'working'; readonly done: number; readonly of: number }
  | { readonly workId: string; readonly state: 'done'; readonly answer: HeadroomView }
  | { readonly workId: string; readonly state: 'cancelled' }
  | { readonly workId: string; readonly state: 'refused'; readonly code: string; readonly says: string };
