/** Calls about the fuel and the injected mix. */
import type { FuelView } from '../../src/app/fuel-api.ts';
import { call, id } from './client.ts';

export const fetchFuel = (buildId: string) => call<FuelView>(`/builds/${id(buildId)}/fuel`);
