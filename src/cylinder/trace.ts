/** The closed cycle as curves over crank angle, for a page or a printout. */
import { type Solved, solved, unsolved } from '../physics/index.ts';
import { burnedTemperatureK } from './burned-table.ts';
import type { Cylinder } from './cylinder.ts';
import { ANGLE, ARG_DX, BURNED, KNOCK, MASS, P, TU, V, WALL, WORK } from './places.ts';
import { CYCLE_STEPS, solveCycle } from './solve-cycle.ts';
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
  const stretch = cylinder.spec.burn.slowShare > 0 ? cylinder.spec.burn.slowStretch : 1;
  const most =
    1 +
    resolution *
      (CYCLE_STEPS.compression + CYCLE_STEPS.delay + Math.ceil(CYCLE_STEPS.burning * stretch) + CYCLE_STEPS.expansion);
  const column = () => new Float64Array(most);
  const crankAngleDeg = column();
  const volumeM3 = column();
  const pressurePa = column();
  const burnedShare = column();
  const unburnedK = column();
  const burnedK = column();
  const heatReleaseJPerDeg = column();
  const wallHeatJ = column();
  const workJ = column();
  const knockIntegral = column();
  let count = 1;
  const summary = newCycleOut();
  const refusal = solveCycle(cylinder, charge, setting, summary, resolution, {
    step: ({ state, place, rate, gas }) => {
      const x = state[BURNED]!;
      const mass = state[MASS]!;
      const pv = state[P]! * place[V]!;
      crankAngleDeg[count] = state[ANGLE]!;
      volumeM3[count] = place[V]!;
      pressurePa[count] = state[P]!;
      burnedShare[count] = x;
      unburnedK[count] = x < 1 ? state[TU]! : Number.NaN;
      burnedK[count] =
        x < SHOWN_FROM
          ? Number.NaN
          : burnedTemperatureK(
              gas.burned.values,
              (pv - mass * (1 - x) * gas.unburnedGasConstant * state[TU]!) / (mass * x),
            );
      heatReleaseJPerDeg[count] = gas.releasableHeatJ * rate[ARG_DX]!;
      wallHeatJ[count] = state[WALL]!;
      workJ[count] = state[WORK]!;
      knockIntegral[count] = state[KNOCK]!;
      count++;
    },
  });
  if (refusal) return unsolved(refusal.code, refusal.says);
  crankAngleDeg[0] = cylinder.spec.intakeClosingDeg;
  volumeM3[0] = (summary.massKg * cylinder.gas.unburnedGasConstant * charge.temperatureK) / summary.closingPressurePa;
  pressurePa[0] = summary.closingPressurePa;
  unburnedK[0] = charge.temperatureK;
  burnedK[0] = Number.NaN;
  // Phases cut short by the valves take no steps, so fewer than the most may have been kept.
  const used = (values: Float64Array) => values.subarray(0, count);
  const { releasableHeatJ } = cylinder.gas;
  return solved({
    crankAngleDeg: used(crankAngleDeg),
    volumeM3: used(volumeM3),
    pressurePa: used(pressurePa),
    burnedShare: used(burnedShare),
    unburnedK: used(unburnedK),
    burnedK: used(burnedK),
    heatReleaseJPerDeg: used(heatReleaseJPerDeg),
    heatReleasedJ: used(burnedShare).map((x) => releasableHeatJ * x),
    wallHeatJ: used(wallHeatJ),
    workJ: used(workJ),
    knockIntegral: used(knockIntegral),
    summary,
  });
};
