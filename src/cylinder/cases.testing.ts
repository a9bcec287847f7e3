/** Shared by the tests of this room: cylinders and charges to ask about, all invented. */
import { expectSolved, petrol } from '../physics/index.ts';
import { newCharge, trapCharge, type WritableCharge } from './closing.ts';
import { type Cylinder, prepareCylinder, USUAL_CYLINDER } from './cylinder.ts';
import { solveCycle } from './solve-cycle.ts';
import { type CycleCharge, type CycleOut, type CylinderSpec, newCycleOut } from './types.ts';

export const PETROL_98 = petrol(98, 88);

/** A usual cylinder of 0.5 litre with changes. */
export const cylinderWith = (changes: Partial<CylinderSpec> = {}): Cylinder =>
  expectSolved(prepareCylinder({ ...USUAL_CYLINDER, boreM: 0.086, strokeM: 0.086, compressionRatio: 10, ...changes }));

/** A charge drawn in at a speed [rpm], manifold pressure [kPa] and lambda, 90 % of the swept volume filled. */
export const chargeAt = (
  cylinder: Cylinder,
  engineSpeedRpm: number,
  manifoldKPa: number,
  lambda = 1,
  changes: Partial<CycleCharge> = {},
): WritableCharge => {
  const chargeTemperatureK = 315;
  const charge = trapCharge(
    cylinder,
    {
      engineSpeedRpm,
      airKg: (0.9 * cylinder.sweptM3 * manifoldKPa * 1e3) / (287.05 * chargeTemperatureK),
      manifoldPressurePa: manifoldKPa * 1e3,
      chargeTemperatureK,
      exhaustPressurePa: Math.max(104, 1.15 * manifoldKPa) * 1e3,
      exhaustTemperatureK: 1150,
      lambda,
      fuel: PETROL_98,
      waterPerAir: 0.008,
      evaporationCoolingK: 15,
      evaporationJPerKgAir: 0,
    },
    newCharge(PETROL_98),
  );
  return Object.assign(charge, changes);
};

/** Solves and insists on an answer. */
export const solvedCycle = (
  cylinder: Cylinder,
  charge: CycleCharge,
  sparkAdvanceDeg: number,
  resolution = 1,
): CycleOut => {
  const out = newCycleOut();
  const refusal = solveCycle(cylinder, charge, { sparkAdvanceDeg }, out, resolution);
  if (refusal) throw new Error(refusal.says);
  return out;
};

/** Operating points spread over what a road engine does: speed, manifold pressure [kPa], lambda, spark. */
export const SPREAD_POINTS = [
  [4000, 200, 0.83, 8.5],
  [1500, 40, 1, 30],
  [7000, 250, 0.8, 5],
  [2000, 100, 1, 22],
  [1000, 30, 1, 25],
  [3000, 180, 0.9, -5],
  [6000, 100, 1.2, 38],
] as const;
