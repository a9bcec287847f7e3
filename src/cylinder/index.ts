/** The cylinder room: the closed cycle, best timing, knock. Other rooms import from here only. */

export { USUAL_BURN } from './burn-law.ts';
export { type Cylinder, prepareCylinder, type Refusal, USUAL_CYLINDER } from './cylinder.ts';
export { CYLINDER_REASONS } from './reasons.ts';
export { CYCLE_STEPS, solveCycle } from './solve-cycle.ts';
export {
  type BurnSpec,
  type CycleCharge,
  type CycleFuel,
  type CycleOut,
  type CycleSetting,
  type CylinderSpec,
  newCycleOut,
} from './types.ts';
