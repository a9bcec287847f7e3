/** What page and worker say to each other. */

export type ToWorker =
  | { readonly id: number; readonly job: string; readonly request: unknown }
  | { readonly cancel: number };

export type FromWorker =
  | { readonly id: number; readonly kind: 'progress'; readonly done: number; readonly of: number }
  | { readonly id: number; readonly kind: 'answer'; readonly value: unknown }
  | { readonly id: number; readonly kind: 'stopped' }
  | { readonly id: number; readonly kind: 'fault'; readonly says: string };
