/** The cylinder room: the closed cycle, best timing, knock. Other rooms import from here only. */
export { newCharge, type PortState, trapCharge, type WritableCharge } from './closing.ts';
export { type Cylinder, prepareCylinder, USUAL_CYLINDER } from './cylinder.ts';
export { solveCycle } from './solve-cycle.ts';
export { bestTorqueAdvance, KNOCK_ANCHOR, knockLimitedAdvance, knockReference, newTimingOut } from './timing.ts';
export { traceCycle } from './trace.ts';
export { type CycleCharge, type CycleFuel, type CycleOut, newCycleOut } from './types.ts';
