/** Calls about ledgers that are worked out over many samples. */
import type { HeadroomWorkState } from '../../src/app/headroom-api.ts';
import { call, id, send } from './client.ts';

export const startLedger = (buildId: string, samples: number) =>
  send<HeadroomWorkState>(`/builds/${id(buildId)}/headroom-works`, { samples });
export const fetchLedger = (workId: string) => call<HeadroomWorkState>(`/headroom-works/${id(workId)}`);
/** Sent even while the page goes away. */
export const cancelLedger = (workId: string) =>
  call<HeadroomWorkState>(`/headroom-works/${id(workId)}`, { method: 'DELETE', keepalive: true });
