/** Turbine relations: flow, efficiency against blade speed, outlet, shaft balance and wastegate. */

import { clamp } from './clamp.ts';
import { isentropicRise } from './compressor.ts';
import { chokedFlowFunction, circleAreaM2, nozzleFlowFunction, nozzleMassFlowKgPerS } from './nozzle.ts';
import { type Solved, solved, unsolved } from './reason.ts';

/** Mean properties of hot burned gas. Source: Heywood (1988) figs. 4.13 to 4.17, near 1100 K. */
export const EXHAUST_GAS = { heatRatio: 1.33, specificHeatJPerKgK: 1150, gasConstantJPerKgK: 287 } as const;

/** Isentropic temperature drop over inlet temperature, 1 - pr^-((k-1)/k) [-], at an expansion ratio p3/p4 [-]. Definition. */
export const isentropicDrop = (expansionRatio: number, heatRatio: number = EXHAUST_GAS.heatRatio): number =>
  -isentropicRise(1 / expansionRatio, heatRatio);

/**
 * Outlet temperature, T4 = T3 (1 - eta (1 - (p3/p4)^-((k-1)/k))).
 *
 * @param inletTemperatureK total [K]
 * @param expansionRatio p3/p4 [-], 1 or more
 * @param isentropicEfficiency [-]
 * @param heatRatio [-]
 * @returns [K]
 * Source: definition of isentropic efficiency.
 */
export const turbineOutletTemperatureK = (
  inletTemperatureK: number,
  expansionRatio: number,
  isentropicEfficiency: number,
  heatRatio: number = EXHAUST_GAS.heatRatio,
): number => inletTemperatureK * (1 - isentropicEfficiency * isentropicDrop(expansionRatio, heatRatio));

/**
 * Power given to the shaft, P = m cp T3 eta (1 - (p3/p4)^-((k-1)/k)).
 *
 * @param massFlowKgPerS through the turbine [kg/s]
 * @param inletTemperatureK total [K]
 * @param expansionRatio p3/p4 [-]
 * @param efficiency isentropic, times mechanical where wanted [-]
 * @param heatRatio [-]
 * @param specificHeatJPerKgK mean [J/(kg K)]
 * @returns [W]
 * Source: steady-flow energy balance.
 */
export const turbinePowerW = (
  massFlowKgPerS: number,
  inletTemperatureK: number,
  expansionRatio: number,
  efficiency: number,
  heatRatio: number = EXHAUST_GAS.heatRatio,
  specificHeatJPerKgK: number = EXHAUST_GAS.specificHeatJPerKgK,
): number =>
  massFlowKgPerS * specificHeatJPerKgK * inletTemperatureK * efficiency * isentropicDrop(expansionRatio, heatRatio);

/**
 * Expansion ratio at which the turbine gives the power that the compressor takes.
 *
 * @param powerW at the compressor [W]
 * @param massFlowKgPerS through the turbine [kg/s]
 * @param inletTemperatureK total [K]
 * @param efficiency isentropic times mechanical [-]
 * @param heatRatio [-]
 * @param specificHeatJPerKgK [J/(kg K)]
 * @returns p3/p4 [-]. Reason: `work-exceeds-enthalpy`.
 * Source: energy balance; inverse of {@link turbinePowerW}.
 */
export const expansionRatioForPower = (
  powerW: number,
  massFlowKgPerS: number,
  inletTemperatureK: number,
  efficiency: number,
  heatRatio: number = EXHAUST_GAS.heatRatio,
  specificHeatJPerKgK: number = EXHAUST_GAS.specificHeatJPerKgK,
): Solved<number> => {
  const drop = powerW / (massFlowKgPerS * specificHeatJPerKgK * inletTemperatureK * efficiency);
  return drop >= 0 && drop < 1
    ? solved((1 - drop) ** (-heatRatio / (heatRatio - 1)))
    : unsolved(
        'work-exceeds-enthalpy',
        `The exhaust flow cannot give ${(powerW / 1000).toFixed(1)} kW at any expansion ratio.`,
      );
};

/**
 * Mass flow through a turbine taken as one isentropic nozzle.
 *
 * @param effectiveAreaM2 [m2]
 * @param inletPressurePa total [Pa]
 * @param inletTemperatureK total [K]
 * @param outletPressurePa static [Pa]
 * @param heatRatio [-]
 * @param gasConstantJPerKgK [J/(kg K)]
 * @returns [kg/s]; chokes at an expansion ratio of about 1.85, where a real radial turbine still takes a little more
 * Source: Heywood (1988) sect. 6.8.4, eq. C.8.
 */
export const turbineNozzleMassFlowKgPerS = (
  effectiveAreaM2: number,
  inletPressurePa: number,
  inletTemperatureK: number,
  outletPressurePa: number,
  heatRatio: number = EXHAUST_GAS.heatRatio,
  gasConstantJPerKgK: number = EXHAUST_GAS.gasConstantJPerKgK,
): number =>
  nozzleMassFlowKgPerS(
    effectiveAreaM2,
    inletPressurePa,
    inletTemperatureK,
    outletPressurePa,
    heatRatio,
    gasConstantJPerKgK,
  );

/**
 * Mass flow through a radial turbine whose stator and rotor throttle in series: m sqrt(R T3) / (A p3) =
 * psi_choked sqrt(1 - (p4/p3)^exponent). It rises smoothly and levels off later than one nozzle.
 *
 * @param effectiveAreaM2 [m2], of the choked flow at large expansion ratio
 * @param inletPressurePa total [Pa]
 * @param inletTemperatureK total [K]
 * @param outletPressurePa static [Pa]; above inlet there is no flow
 * @param heatRatio [-]
 * @param gasConstantJPerKgK [J/(kg K)]
 * @param exponent shape [-], about 1 to 3
 * @returns [kg/s]
 * Source: Eriksson & Nielsen, Modeling and Control of Engines and Drivelines (2014), ch. 8 (square-root turbine flow).
 */
export const turbineSmoothMassFlowKgPerS = (
  effectiveAreaM2: number,
  inletPressurePa: number,
  inletTemperatureK: number,
  outletPressurePa: number,
  heatRatio: number = EXHAUST_GAS.heatRatio,
  gasConstantJPerKgK: number = EXHAUST_GAS.gasConstantJPerKgK,
  exponent = 2,
): number => {
  const ratio = outletPressurePa / inletPressurePa;
  if (ratio >= 1) return 0;
  return (
    ((effectiveAreaM2 * inletPressurePa) / Math.sqrt(gasConstantJPerKgK * inletTemperatureK)) *
    chokedFlowFunction(heatRatio) *
    Math.sqrt(1 - ratio ** exponent)
  );
};

/**
 * Effective area that passes a known flow as one nozzle: from one figure of a data sheet or of a log.
 *
 * @param massFlowKgPerS [kg/s]
 * @param inletPressurePa total [Pa]
 * @param inletTemperatureK total [K]
 * @param outletPressurePa static [Pa], below inlet
 * @param heatRatio [-]
 * @param gasConstantJPerKgK [J/(kg K)]
 * @returns [m2]. Reason: `input-out-of-range` when there is no pressure difference.
 * Source: inverse of {@link turbineNozzleMassFlowKgPerS}.
 */
export const turbineAreaFromFlowM2 = (
  massFlowKgPerS: number,
  inletPressurePa: number,
  inletTemperatureK: number,
  outletPressurePa: number,
  heatRatio: number = EXHAUST_GAS.heatRatio,
  gasConstantJPerKgK: number = EXHAUST_GAS.gasConstantJPerKgK,
): Solved<number> => {
  const flowFunction = nozzleFlowFunction(outletPressurePa / inletPressurePa, heatRatio);
  return flowFunction > 0
    ? solved((massFlowKgPerS * Math.sqrt(gasConstantJPerKgK * inletTemperatureK)) / (inletPressurePa * flowFunction))
    : unsolved('input-out-of-range', 'The area of a turbine follows from a flow at an expansion ratio above 1.');
};

/** Exponent of {@link turbineSmoothMassFlowKgPerS} that the match uses [-]; fits run from 1 to 3. Source: Eriksson & Nielsen (2014) ch. 8. */
export const TURBINE_FLOW_EXPONENT = 2;

/**
 * Effective area of the match's turbine from one flow point of a data sheet or of a log.
 *
 * @param massFlowKgPerS through the turbine, wastegate shut [kg/s]
 * @param expansionRatio p3/p4 of the point [-], above 1
 * @param inletPressurePa total; of a corrected flow its reference [Pa]
 * @param inletTemperatureK total; of a corrected flow its reference [K]
 * @returns [m2]. Reason: `input-out-of-range` without an expansion. Air of k = 1.4 below 500 K (a cold test), burned gas above
 * Source: inverse of {@link turbineSmoothMassFlowKgPerS}, which is linear in the area.
 */
export const turbineAreaFromPointM2 = (
  massFlowKgPerS: number,
  expansionRatio: number,
  inletPressurePa: number,
  inletTemperatureK: number,
): Solved<number> => {
  if (!(expansionRatio > 1 && massFlowKgPerS > 0 && inletPressurePa > 0 && inletTemperatureK > 0)) {
    return unsolved('input-out-of-range', 'The area of a turbine follows from a flow at an expansion ratio above 1.');
  }
  const { heatRatio, gasConstantJPerKgK } =
    inletTemperatureK < 500 ? { heatRatio: 1.4, gasConstantJPerKgK: 287.05 } : EXHAUST_GAS;
  const perArea = turbineSmoothMassFlowKgPerS(
    1,
    inletPressurePa,
    inletTemperatureK,
    inletPressurePa / expansionRatio,
    heatRatio,
    gasConstantJPerKgK,
    TURBINE_FLOW_EXPONENT,
  );
  return solved(massFlowKgPerS / perArea);
};

/** Volute throat over (area over radius) times wheel diameter, and wheel throat over diameter squared [-] (common proportions, no source). */
const VOLUTE_SHARE = 1;
const WHEEL_SHARE = 0.357;

/**
 * Effective area from housing and wheel: the volute's throat and the wheel's, two throttles in series,
 * 1/A2 = 1/Avolute2 + 1/Awheel2, so that a housing of twice the area over radius passes some 30 % more.
 *
 * @param areaOverRadiusM of the housing [m]
 * @param wheelDiameterM largest diameter of the turbine wheel [m]
 * @returns [m2]
 * Source: volute and rotor as throttles in series, Watson & Janota (1982) ch. 4; the two shares are common proportions, no source.
 */
export const turbineAreaFromHousingM2 = (areaOverRadiusM: number, wheelDiameterM: number): number =>
  1 / Math.hypot(1 / (VOLUTE_SHARE * areaOverRadiusM * wheelDiameterM), 1 / (WHEEL_SHARE * wheelDiameterM ** 2));

/**
 * Blade-speed ratio U/C: tip speed over the speed of an isentropic expansion, C = sqrt(2 cp T3 (1 - (p3/p4)^-((k-1)/k))).
 *
 * @param wheelTipSpeedMPerS [m/s]
 * @param inletTemperatureK total [K]
 * @param expansionRatio p3/p4 [-], above 1
 * @param heatRatio [-]
 * @param specificHeatJPerKgK [J/(kg K)]
 * @returns [-]. Reason: `input-out-of-range` without an expansion.
 * Source: Watson & Janota, Turbocharging the Internal Combustion Engine (1982), ch. 4.
 */
export const bladeSpeedRatio = (
  wheelTipSpeedMPerS: number,
  inletTemperatureK: number,
  expansionRatio: number,
  heatRatio: number = EXHAUST_GAS.heatRatio,
  specificHeatJPerKgK: number = EXHAUST_GAS.specificHeatJPerKgK,
): Solved<number> =>
  expansionRatio > 1
    ? solved(
        wheelTipSpeedMPerS /
          Math.sqrt(2 * specificHeatJPerKgK * inletTemperatureK * isentropicDrop(expansionRatio, heatRatio)),
      )
    : unsolved('input-out-of-range', 'A blade-speed ratio needs an expansion ratio above 1.');

/**
 * Turbine efficiency against blade-speed ratio, a parabola through zero: eta_max x (2 - x) with x = BSR / BSR_best.
 *
 * @param ratio blade-speed ratio [-]
 * @param bestEfficiency at the best ratio [-]
 * @param bestRatio best blade-speed ratio [-], about 0.65 to 0.7 for radial turbines
 * @returns [-], never below zero (past twice the best ratio the wheel would be driven)
 * Source: Watson & Janota (1982), ch. 4; Eriksson & Nielsen (2014), ch. 8.
 */
export const turbineEfficiency = (ratio: number, bestEfficiency: number, bestRatio = 0.68): number => {
  const x = clamp(ratio / bestRatio, 0, 2);
  return bestEfficiency * x * (2 - x);
};

/**
 * Open area of a flap or poppet valve over a port: the curtain under the valve, at most the port.
 *
 * @param portDiameterM [m]
 * @param liftM mean lift [m]
 * @returns [m2]
 * Source: Heywood (1988) sect. 6.3.2 (curtain area).
 */
export const wastegateOpenAreaM2 = (portDiameterM: number, liftM: number): number =>
  Math.min(Math.PI * portDiameterM * Math.max(liftM, 0), circleAreaM2(portDiameterM));

/**
 * Exhaust flow past the turbine.
 *
 * @param openAreaM2 [m2]
 * @param dischargeCoefficient [-], about 0.6 to 0.8
 * @param inletPressurePa before the turbine [Pa]
 * @param inletTemperatureK [K]
 * @param outletPressurePa after the turbine [Pa]
 * @param heatRatio [-]
 * @param gasConstantJPerKgK [J/(kg K)]
 * @returns [kg/s]
 * Source: Heywood (1988) eq. C.8 and C.9.
 */
export const wastegateMassFlowKgPerS = (
  openAreaM2: number,
  dischargeCoefficient: number,
  inletPressurePa: number,
  inletTemperatureK: number,
  outletPressurePa: number,
  heatRatio: number = EXHAUST_GAS.heatRatio,
  gasConstantJPerKgK: number = EXHAUST_GAS.gasConstantJPerKgK,
): number =>
  nozzleMassFlowKgPerS(
    openAreaM2 * dischargeCoefficient,
    inletPressurePa,
    inletTemperatureK,
    outletPressurePa,
    heatRatio,
    gasConstantJPerKgK,
  );

/**
 * Change of shaft speed from the surplus of power, dn/dt = (30/pi) P / (J omega).
 *
 * @param surplusPowerW turbine less bearings less compressor [W]
 * @param inertiaKgM2 of the whole shaft [kg m2]
 * @param speedRpm [rpm], above 0
 * @returns [rpm/s]
 * Source: Newton's second law for rotation.
 */
export const shaftAccelerationRpmPerS = (surplusPowerW: number, inertiaKgM2: number, speedRpm: number): number =>
  (surplusPowerW / (inertiaKgM2 * ((speedRpm * Math.PI) / 30))) * (30 / Math.PI);
