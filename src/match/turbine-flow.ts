/**
 * Turbine beside wastegate in one state of exhaust gas, quick enough for the inside of an iteration: what depends on the
 * gas alone is set once a round.
 */
import type { Car } from '../car/index.ts';
import {
  chokedFlowFunction,
  criticalPressureRatio,
  nozzleFlowFunction,
  tipSpeedMPerS,
  turbineEfficiency,
} from '../physics/index.ts';

/** Shape of the turbine's flow with the exponent 2 of TURBINE_FLOW_EXPONENT, without a power. */
const flowShape = (share: number): number => Math.sqrt(1 - share * share);

/**
 * Work of the exhaust's pulses over that of the same mean flow, steady [-]. Published: 1.0 to 1.3, less the more cylinders
 * share a housing and the wider the wastegate stands (Watson & Janota (1982) ch. 7, from memory); the low end is taken.
 */
const PULSE_WORK = 1.04;

/** The turbine in one state of gas; set once a round, so that its solution costs few powers. */
export const turbine = {
  area: 0,
  bestEfficiency: 0,
  outletPa: 0,
  inletK: 0,
  cp: 0,
  gasConstant: 0,
  heatRatio: 0,
  critical: 0,
  choked: 0,
  exponent: 0,
  blade: 0,
  /** Answers. */
  flow: 0,
  power: 0,
  efficiency: 0,
};

/**
 * Sets the turbine that the functions of this file speak of: outlet pressure [Pa], inlet temperature [K], specific heat and
 * gas constant of the exhaust [J/(kg K)], shaft speed [rpm]. One working space, set anew before each balance, since a
 * balance asks for the flow some hundred times.
 */
export const setTurbine = (
  turbocharger: Car['turbocharger'],
  outletPa: number,
  inletK: number,
  cp: number,
  gasConstant: number,
  rpm: number,
) => {
  turbine.area = turbocharger.turbineEffectiveAreaM2;
  turbine.bestEfficiency = PULSE_WORK * turbocharger.turbineEfficiency;
  turbine.outletPa = outletPa;
  turbine.inletK = inletK;
  turbine.cp = cp;
  turbine.gasConstant = gasConstant;
  turbine.heatRatio = cp / (cp - gasConstant);
  turbine.critical = criticalPressureRatio(turbine.heatRatio);
  turbine.choked = chokedFlowFunction(turbine.heatRatio);
  turbine.exponent = gasConstant / cp;
  turbine.blade = tipSpeedMPerS(turbocharger.turbineWheelM, rpm);
};

/**
 * Flow and power of the turbine at an inlet pressure.
 * Power m cp T3 eta (1 - (p4/p3)^((k-1)/k)); efficiency a parabola in blade over spouting speed; stator and rotor throttle one after
 * the other, so flow rises as sqrt(1 - (p4/p3)^n) and levels off later than one nozzle's.
 * Source: Watson & Janota (1982) sect. 5.5; Eriksson & Nielsen (2014) ch. 8; check values CT-06, CT-07.
 */
export const runTurbine = (inletPa: number): void => {
  const share = turbine.outletPa / inletPa;
  if (share >= 1) {
    turbine.flow = 0;
    turbine.power = 0;
    turbine.efficiency = 0;
    return;
  }
  const work = -turbine.cp * turbine.inletK * Math.expm1(turbine.exponent * Math.log(share));
  // Far from its best the parabola would reach nought; a tenth is left, so that the shaft always has something to turn it.
  turbine.efficiency = Math.max(
    0.1 * turbine.bestEfficiency,
    turbineEfficiency(turbine.blade / Math.sqrt(2 * work), turbine.bestEfficiency),
  );
  const flowFunction = turbine.choked * flowShape(share);
  turbine.flow = (turbine.area * inletPa * flowFunction) / Math.sqrt(turbine.gasConstant * turbine.inletK);
  turbine.power = turbine.flow * turbine.efficiency * work;
};

/** Inlet pressure that gives the turbine this power [Pa]; secant steps from a guess, held to a bracket. */
export const inletPressureForPower = (powerW: number, guessPa: number): number => {
  if (powerW <= 0) return turbine.outletPa;
  let low = turbine.outletPa;
  let high = Number.POSITIVE_INFINITY;
  let x0 = low;
  let f0 = -powerW;
  let x = Math.max(guessPa, 1.02 * low);
  for (let i = 0; i < 40; i++) {
    runTurbine(x);
    const f = turbine.power - powerW;
    if (Math.abs(f) <= 1e-7 * powerW) return x;
    if (f < 0) low = x;
    else high = x;
    let next = f === f0 ? Number.NaN : x - (f * (x - x0)) / (f - f0);
    if (!(next > low && next < high)) next = high === Number.POSITIVE_INFINITY ? 1.3 * x : 0.5 * (low + high);
    if (Math.abs(next - x) <= 1e-8 * x) return next;
    x0 = x;
    f0 = f;
    x = next;
  }
  return x;
};

/** Flow function of the wastegate: one nozzle. */
export const wastegateFunction = (share: number): number =>
  share <= turbine.critical ? turbine.choked : nozzleFlowFunction(share, turbine.heatRatio);

/** Inlet pressure that pushes a flow through the turbine and `wastegateM2` of wastegate beside it [Pa]. */
export const inletPressureForFlow = (flowKgPerS: number, wastegateM2: number, guessPa: number): number => {
  const need = flowKgPerS * Math.sqrt(turbine.gasConstant * turbine.inletK);
  let low = turbine.outletPa;
  let high = Number.POSITIVE_INFINITY;
  let x0 = low;
  let f0 = -need;
  let x = Math.max(guessPa, 1.002 * low);
  for (let i = 0; i < 60; i++) {
    const share = turbine.outletPa / x;
    const through = turbine.area * turbine.choked * flowShape(share);
    const past = wastegateM2 > 0 ? wastegateM2 * wastegateFunction(share) : 0;
    const f = x * (through + past) - need;
    if (Math.abs(f) <= 1e-8 * need) return x;
    if (f < 0) low = x;
    else high = x;
    let next = f === f0 ? Number.NaN : x - (f * (x - x0)) / (f - f0);
    if (!(next > low && next < high)) next = high === Number.POSITIVE_INFINITY ? 1.3 * x : 0.5 * (low + high);
    x0 = x;
    f0 = f;
    x = next;
  }
  return x;
};
