/** The closed cycle as curves over crank angle, for a page or a printout. */
import { type Solved, solved, unsolved } from '../physics/index.ts';
import { burnedTemperatureK } from './burned-table.ts';
import type { Cylinder } from './cylinder.ts';
import { ANGLE, ARG_DX, BURNED, KNOCK, MASS, P, TU, V, WALL, WORK } from './places.ts';
import { solveCycle } from './solve-cycle.ts';
import { type CycleCharge, type CycleOut, type CycleSetting, newCycleOut } from './types.ts';

/** Curves of one cycle; all arrays are equally long, crank angles rise. */
export interface CycleTrace {
  /** [deg after top dead centre]. */
  readonly crankAngleDeg: Float64Array;
  readonly volumeM3: Float64Array;
  readonly pressurePa: Float64Array;
  /** [-]. */
  readonly burnedShare: Float64Array;
  /** Unburned gas; NaN when none is left [K]. */
  readonly unburnedK: Float64Array;
  /** Burned gas; NaN before a thousandth has burned [K]. */
  readonly burnedK: Float64Array;
  /** Heat set free per degree, and since closing. */
  readonly heatReleaseJPerDeg: Float64Array;
  readonly heatReleasedJ: Float64Array;
  /** Heat to the walls since closing [J]. */
  readonly wallHeatJ: Float64Array;
  /** Work since closing [J]. */
  readonly workJ: Float64Array;
  /** Livengood-Wu integral so far [-]. */
  readonly knockIntegral: Float64Array;
  /** The same cycle in numbers. */
  readonly summary: CycleOut;
}

/** Below this burned share the burned zone has no temperature worth showing [-]. */
const SHOWN_FROM = 1e-3;

/**
 * Solves one cycle and keeps every step.
 *
 * @param cylinder made ready
 * @param charge what is trapped [SI]
 * @param setting spark [deg before top dead centre]
 * @param resolution multiplies the steps [-]; at 1 the numbers are those of `solveCycle` to the last digit
 * @returns a {@link CycleTrace}. Reasons: as `solveCycle`.
 * Source: as `solveCycle`.
 */
export const traceCycle = (
  cylinder: Cylinder,
  charge: CycleCharge,
  setting: CycleSetting,
  resolution = 4,
): Solved<CycleTrace> => {
  const crankAngleDeg: number[] = [];
  const volumeM3: number[] = [];
  const pressurePa: number[] = [];
  const burnedShare: number[] = [];
  const unburnedK: number[] = [];
  const burnedK: number[] = [];
  const heatReleaseJPerDeg: number[] = [];
  const wallHeatJ: number[] = [];
  const workJ: number[] = [];
  const knockIntegral: number[] = [];
  // The first point is the closing itself, known once the cycle is solved.
  for (const column of [burnedShare, heatReleaseJPerDeg, wallHeatJ, workJ, knockIntegral]) column.push(0);
  const summary = newCycleOut();
  const refusal = solveCycle(cylinder, charge, setting, summary, resolution, {
    step: ({ state, place, rate, gas }) => {
      const x = state[BURNED]!;
      const mass = state[MASS]!;
      const pv = state[P]! * place[V]!;
      crankAngleDeg.push(state[ANGLE]!);
      volumeM3.push(place[V]!);
      pressurePa.push(state[P]!);
      burnedShare.push(x);
      unburnedK.push(x < 1 ? state[TU]! : Number.NaN);
      const z = (pv - mass * (1 - x) * gas.unburnedGasConstant * state[TU]!) / (mass * x);
      burnedK.push(x < SHOWN_FROM ? Number.NaN : burnedTemperatureK(gas.burned.values, z));
      heatReleaseJPerDeg.push(gas.releasableHeatJ * rate[ARG_DX]!);
      wallHeatJ.push(state[WALL]!);
      workJ.push(state[WORK]!);
      knockIntegral.push(state[KNOCK]!);
    },
  });
  if (refusal) return unsolved(refusal.code, refusal.says);
  crankAngleDeg.unshift(cylinder.spec.intakeClosingDeg);
  volumeM3.unshift(
    (summary.massKg * cylinder.gas.unburnedGasConstant * charge.temperatureK) / summary.closingPressurePa,
  );
  pressurePa.unshift(summary.closingPressurePa);
  unburnedK.unshift(charge.temperatureK);
  burnedK.unshift(Number.NaN);
  const curve = (values: number[]) => Float64Array.from(values);
  const { releasableHeatJ } = cylinder.gas;
  return solved({
    crankAngleDeg: curve(crankAngleDeg),
    volumeM3: curve(volumeM3),
    pressurePa: curve(pressurePa),
    burnedShare: curve(burnedShare),
    unburnedK: curve(unburnedK),
    burnedK: curve(burnedK),
    heatReleaseJPerDeg: curve(heatReleaseJPerDeg),
    heatReleasedJ: curve(burnedShare).map((x) => releasableHeatJ * x),
    wallHeatJ: curve(wallHeatJ),
    workJ: curve(workJ),
    knockIntegral: curve(knockIntegral),
    summary,
  });
};
