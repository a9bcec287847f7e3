/** Fuel pumps: hydraulic power, affinity laws, and flow against pressure and voltage. Fuel under pressure can injure. */
import { linearCurve } from './curves.ts';
import { type Solved, solved, unsolved } from './reason.ts';

/** Hydraulic power [W], flow [m3/s] times pressure rise [Pa]. Definition. */
export const hydraulicPowerW = (flowM3PerS: number, pressureRisePa: number): number => flowM3PerS * pressureRisePa;

/** Current [A] of a pump from its hydraulic power [W], efficiency above 0 [-] and voltage [V]. Definition. */
export const pumpCurrentA = (hydraulicW: number, efficiency: number, voltageV: number): number =>
  hydraulicW / (efficiency * voltageV);

/** Flow [same unit] of a pump at another speed, proportional to it [-]. Source: affinity laws, Crane TP-410. */
export const affinityFlow = (flow: number, speedRatio: number): number => flow * speedRatio;

/** Pressure [same unit] at another speed, with its square [-]. Source: affinity laws, Crane TP-410. */
export const affinityPressure = (pressure: number, speedRatio: number): number => pressure * speedRatio ** 2;

/** Power [same unit] at another speed, with its cube [-]. Source: affinity laws, Crane TP-410. */
export const affinityPower = (power: number, speedRatio: number): number => power * speedRatio ** 3;

/** A pump as its data sheet or a bench measurement gives it. */
export interface PumpCurve {
  /** Voltage at the pump's terminals of the points [V]. */
  readonly voltageV: number;
  /** Rise over tank pressure, rising [Pa]. */
  readonly pressuresPa: readonly number[];
  /** Flow at each [m3/s]. */
  readonly flowsM3PerS: readonly number[];
}

/**
 * Flow of a pump at a pressure and voltage: the curve scaled by the affinity laws with speed taken as proportional to
 * voltage.
 *
 * @param curve measured points [V, Pa, m3/s]
 * @param pressurePa rise over tank pressure [Pa], 0 or more; below the first point the first flow holds
 * @param voltageV at the pump's terminals [V], above 0
 * @returns [m3/s]. Reasons: `table-malformed`, `input-out-of-range`, `pump-cannot-hold-pressure` past the last point.
 * Source: affinity laws (Crane TP-410); within about 20 % of the curve's voltage.
 */
export const pumpFlowM3PerS = (curve: PumpCurve, pressurePa: number, voltageV: number): Solved<number> => {
  if (!(pressurePa >= 0 && voltageV > 0 && curve.voltageV > 0)) {
    return unsolved('input-out-of-range', 'A pump needs a pressure of 0 or more and a voltage above 0.');
  }
  const points = linearCurve(curve.pressuresPa, curve.flowsM3PerS);
  if (!points.ok) return points;
  const speedRatio = voltageV / curve.voltageV;
  const atRated = pressurePa / speedRatio ** 2;
  const flow = affinityFlow(points.value.at(atRated), speedRatio);
  return atRated > points.value.to || flow <= 0
    ? unsolved(
        'pump-cannot-hold-pressure',
        `The pump's curve ends below ${(pressurePa / 1000).toFixed(0)} kPa at ${voltageV.toFixed(1)} V.`,
      )
    : solved(flow);
};
