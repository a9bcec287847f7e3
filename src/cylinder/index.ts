/** The cylinder room: the closed cycle, best timing, knock. Other rooms import from here only. */
export { BURN_BASE, laminarSpeedMPerS, USUAL_BURN } from './burn-law.ts';
export {
  CHARGE_WARMING,
  INTAKE_WALL_K,
  newCharge,
  type PortState,
  trapCharge,
  type WritableCharge,
} from './closing.ts';
export { type Cylinder, prepareCylinder, type Refusal, USUAL_CYLINDER } from './cylinder.ts';
export { KNOCK_UNTIL_BURNED } from './integrate.ts';
export { CYLINDER_REASONS } from './reasons.ts';
export { CYCLE_STEPS, solveCycle } from './solve-cycle.ts';
export {
  bestTorqueAdvance,
  KNOCK_ANCHOR,
  knockLimitedAdvance,
  knockReference,
  newTimingOut,
  TIMING_RANGE,
  type TimingOut,
} from './timing.ts';
export { type CycleTrace, traceCycle } from './trace.ts';
export {
  type BurnSpec,
  type CycleCharge,
  type CycleFuel,
  type CycleOut,
  type CycleSetting,
  type CylinderSpec,
  newCycleOut,
} from './types.ts';
