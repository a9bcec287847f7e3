/** Calls about several runs: compared, and all pulls of a car looked through. */
import type { CompareView, PullsView } from '../../src/app/compare-api.ts';
import { call, id } from './client.ts';

/** Runs as `ID` or `ID:PULL`. */
export const fetchCompare = (runs: readonly string[]) =>
  call<CompareView>(`/compare?${new URLSearchParams(runs.map((run) => ['run', run]))}`);

/** `query`: where, sort, direction, channels, offset and limit as the server names them. */
export const fetchPulls = (carId: string, query: string) => call<PullsView>(`/cars/${id(carId)}/pulls?${query}`);
