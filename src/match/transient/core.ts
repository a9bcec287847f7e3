/** The charge cooler's core as a store of heat: one step of it, and its way along a pull or between pulls. */
import type { Car } from '../../car/index.ts';

/** Heat from fins to the air that blows through goes with its speed to 0.5 (laminar) to 0.6 (louvred). Source: Kays & London, ch. 10 (from memory). */
const SPEED_EXPONENT = 0.55;

/** Cooler core to outside air [W/K] at a road speed [m/s]: standing, and what the moving air adds, known at 100 km/h. */
export const coldConductanceWPerK = (cooler: Car['chargeCooler'], roadSpeedMPerS: number): number =>
  cooler.standingConductanceWPerK +
  cooler.movingConductanceWPerK * (Math.max(0, roadSpeedMPerS) / (100 / 3.6)) ** SPEED_EXPONENT;

/**
 * Core after `dt` [s] of charge that gives `hotWPerK` (flow times specific heat times effectiveness) at `hotK`, and of
 * outside air that takes `coldWPerK` at `coldK`: C dT/dt = hot (T2 - T) - cold (T - Ta), exact for constant streams [K].
 * Source: lumped capacity, Incropera sect. 5.1.
 */
export const coreAfter = (
  coreK: number,
  heatCapacityJPerK: number,
  hotWPerK: number,
  hotK: number,
  coldWPerK: number,
  coldK: number,
  dt: number,
): number => {
  const both = Math.max(1e-6, hotWPerK + coldWPerK);
  const settled = (hotWPerK * hotK + coldWPerK * coldK) / both;
  return settled + (coreK - settled) * Math.exp((-both * dt) / Math.max(1, heatCapacityJPerK));
};
