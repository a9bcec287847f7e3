/** Calls about the cylinder. */
import type { CylinderView } from '../../src/app/cylinder-api.ts';
import { call, id } from './client.ts';

export const fetchCylinder = (buildId: string, engineSpeedRpm: number) =>
  call<CylinderView>(`/builds/${id(buildId)}/cylinder?rpm=${engineSpeedRpm}`);
