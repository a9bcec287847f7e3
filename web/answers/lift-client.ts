/** Calls about changes of parts. */
import type { BuildView } from '../../src/app/api.ts';
import type {
  LiftComparisonView,
  LiftSearchRequest,
  LiftSearchState,
  PartOptionsView,
  PlannedSetRequest,
} from '../../src/app/lift-api.ts';
import { call, id, send } from './client.ts';

export const fetchLift = (beforeId: string, afterId: string) =>
  call<LiftComparisonView>(`/builds/${id(beforeId)}/lift?to=${id(afterId)}`);
export const fetchPartOptions = (carId: string) => call<PartOptionsView>(`/cars/${id(carId)}/part-options`);
export const savePartOptions = (carId: string, options: unknown) =>
  send<PartOptionsView>(`/cars/${id(carId)}/part-options`, { options });
export const startSearch = (buildId: string, request: LiftSearchRequest) =>
  send<LiftSearchState>(`/builds/${id(buildId)}/lift-searches`, request);
export const fetchSearch = (searchId: string) => call<LiftSearchState>(`/lift-searches/${id(searchId)}`);
export const cancelSearch = (searchId: string) =>
  call<LiftSearchState>(`/lift-searches/${id(searchId)}`, { method: 'DELETE' });
export const planSet = (buildId: string, request: PlannedSetRequest) =>
  send<BuildView>(`/builds/${id(buildId)}/planned-sets`, request);
