/** Compressor relations: efficiencies, outlet temperature, power, and correction of flow and speed to a map's air. */
import { enthalpyJPerKg, type Gas, isentropicTemperatureK, temperatureFromEnthalpyK } from './gas.ts';
import { mapSolved, type Solved, solved, unsolved } from './reason.ts';

/** Mean specific heat of air in a compressor [J/(kg K)]. Source: text tables near 300 K. */
export const COMPRESSOR_AIR_SPECIFIC_HEAT_J_PER_KG_K = 1005;

/**
 * Isentropic temperature rise over inlet temperature, pr^((k-1)/k) - 1 [-], at a pressure ratio above 0 [-].
 * Source: definition.
 */
export const isentropicRise = (pressureRatio: number, heatRatio = 1.4): number =>
  Math.expm1(((heatRatio - 1) / heatRatio) * Math.log(pressureRatio));

/**
 * Outlet temperature at constant specific heat, T2 = T1 (1 + (pr^((k-1)/k) - 1) / eta).
 *
 * @param inletTemperatureK total [K]
 * @param pressureRatio total to total [-], 1 or more
 * @param isentropicEfficiency 0 to 1 [-], above 0
 * @param heatRatio [-]
 * @returns [K]
 * Source: definition of isentropic (adiabatic) efficiency; SAE J1826.
 */
export const compressorOutletTemperatureK = (
  inletTemperatureK: number,
  pressureRatio: number,
  isentropicEfficiency: number,
  heatRatio = 1.4,
): number => inletTemperatureK * (1 + isentropicRise(pressureRatio, heatRatio) / isentropicEfficiency);

/**
 * Power taken up, P = m cp T1 (pr^((k-1)/k) - 1) / eta.
 *
 * @param massFlowKgPerS [kg/s]
 * @param inletTemperatureK total [K]
 * @param pressureRatio total to total [-]
 * @param isentropicEfficiency [-], above 0
 * @param heatRatio [-]
 * @param specificHeatJPerKgK mean [J/(kg K)]
 * @returns [W]
 * Source: steady-flow energy balance.
 */
export const compressorPowerW = (
  massFlowKgPerS: number,
  inletTemperatureK: number,
  pressureRatio: number,
  isentropicEfficiency: number,
  heatRatio = 1.4,
  specificHeatJPerKgK = COMPRESSOR_AIR_SPECIFIC_HEAT_J_PER_KG_K,
): number =>
  (massFlowKgPerS * specificHeatJPerKgK * inletTemperatureK * isentropicRise(pressureRatio, heatRatio)) /
  isentropicEfficiency;

/** Outlet of a compression. */
export interface Compression {
  readonly outletTemperatureK: number;
  readonly workJPerKg: number;
}

/**
 * Outlet temperature and work with specific heat varying with temperature.
 *
 * @param gas what is compressed
 * @param inletTemperatureK total [K]
 * @param pressureRatio total to total [-], above 0
 * @param isentropicEfficiency [-], above 0 up to 1
 * @returns outlet temperature [K] and work [J/kg]. Reasons: `input-out-of-range`, `no-convergence`.
 * Source: definition of isentropic efficiency with enthalpies.
 */
export const compressGas = (
  gas: Gas,
  inletTemperatureK: number,
  pressureRatio: number,
  isentropicEfficiency: number,
): Solved<Compression> => {
  if (!(inletTemperatureK > 0 && pressureRatio > 0 && isentropicEfficiency > 0 && isentropicEfficiency <= 1)) {
    return unsolved('input-out-of-range', 'A compression needs positive temperature, ratio and efficiency.');
  }
  const inlet = enthalpyJPerKg(gas, inletTemperatureK);
  const ideal = isentropicTemperatureK(gas, inletTemperatureK, pressureRatio);
  const workJPerKg = (enthalpyJPerKg(gas, ideal) - inlet) / isentropicEfficiency;
  return mapSolved(temperatureFromEnthalpyK(gas, inlet + workJPerKg, ideal), (outletTemperatureK) => ({
    outletTemperatureK,
    workJPerKg,
  }));
};

/**
 * Isentropic efficiency from measured temperatures, eta = T1 (pr^((k-1)/k) - 1) / (T2 - T1).
 *
 * @param inletTemperatureK total [K]
 * @param outletTemperatureK total [K], above inlet
 * @param pressureRatio total to total [-]
 * @param heatRatio [-]
 * @returns [-]. Reason: `input-out-of-range` when the air does not get warmer.
 * Source: SAE J1826. Heat from the turbine side makes a measured value too low.
 */
export const compressorEfficiencyFromTemperatures = (
  inletTemperatureK: number,
  outletTemperatureK: number,
  pressureRatio: number,
  heatRatio = 1.4,
): Solved<number> =>
  outletTemperatureK > inletTemperatureK && inletTemperatureK > 0 && pressureRatio > 0
    ? solved((inletTemperatureK * isentropicRise(pressureRatio, heatRatio)) / (outletTemperatureK - inletTemperatureK))
    : unsolved('input-out-of-range', 'Efficiency needs air that leaves the compressor warmer than it entered.');

/**
 * Isentropic from polytropic efficiency of a compression [-], at a pressure ratio above 1 [-].
 * Source: Couper et al., Chemical Process Equipment, 2nd ed., eq. 7.35.
 */
export const isentropicFromPolytropicEfficiency = (
  pressureRatio: number,
  polytropicEfficiency: number,
  heatRatio = 1.4,
): number =>
  isentropicRise(pressureRatio, heatRatio) /
  Math.expm1(((heatRatio - 1) / (heatRatio * polytropicEfficiency)) * Math.log(pressureRatio));

/**
 * Polytropic from isentropic efficiency of a compression [-], at a pressure ratio above 1 [-].
 * Source: inverse of {@link isentropicFromPolytropicEfficiency}.
 */
export const polytropicFromIsentropicEfficiency = (
  pressureRatio: number,
  isentropicEfficiency: number,
  heatRatio = 1.4,
): number =>
  (((heatRatio - 1) / heatRatio) * Math.log(pressureRatio)) /
  Math.log1p(isentropicRise(pressureRatio, heatRatio) / isentropicEfficiency);

/**
 * Pressure ratio that the compressor must make.
 *
 * @param manifoldPressurePa absolute [Pa]
 * @param chargeSideLossPa loss from compressor outlet to manifold [Pa]
 * @param ambientPressurePa [Pa]
 * @param inletLossPa loss from ambient to compressor inlet [Pa], less than ambient
 * @returns total to total [-]
 * Source: definition p2t/p1t.
 */
export const compressorPressureRatio = (
  manifoldPressurePa: number,
  chargeSideLossPa: number,
  ambientPressurePa: number,
  inletLossPa: number,
): number => (manifoldPressurePa + chargeSideLossPa) / (ambientPressurePa - inletLossPa);

/** The air to which a map's flow and speed are corrected. */
export interface ReferenceAir {
  readonly temperatureK: number;
  readonly pressurePa: number;
}

/** Reference states seen on maps [K, Pa]; a map must name its own. Source: ISO 2533; the others common practice. */
export const MAP_REFERENCES = {
  'standard atmosphere (15 degC, 101.325 kPa)': { temperatureK: 288.15, pressurePa: 101325 },
  '545 degR, 28.4 inHg': { temperatureK: 545 / 1.8, pressurePa: 28.4 * 3386.389 },
  '25 degC, 100 kPa': { temperatureK: 298.15, pressurePa: 100000 },
  '20 degC, 98.1 kPa': { temperatureK: 293.15, pressurePa: 98100 },
} as const satisfies Record<string, ReferenceAir>;

/**
 * Corrected mass flow, m sqrt(T/Tref) / (p/pref).
 *
 * @param massFlowKgPerS [kg/s]
 * @param inletTemperatureK total [K]
 * @param inletPressurePa total [Pa]
 * @param reference the map's air [K, Pa]
 * @returns [kg/s]
 * Source: SAE J1826; definition.
 */
export const correctedMassFlowKgPerS = (
  massFlowKgPerS: number,
  inletTemperatureK: number,
  inletPressurePa: number,
  reference: ReferenceAir,
): number =>
  (massFlowKgPerS * Math.sqrt(inletTemperatureK / reference.temperatureK) * reference.pressurePa) / inletPressurePa;

/** Mass flow [kg/s] from corrected flow [kg/s], inlet [K, Pa] and reference; inverse. Source: SAE J1826; definition. */
export const massFlowFromCorrectedKgPerS = (
  correctedFlowKgPerS: number,
  inletTemperatureK: number,
  inletPressurePa: number,
  reference: ReferenceAir,
): number =>
  (correctedFlowKgPerS * Math.sqrt(reference.temperatureK / inletTemperatureK) * inletPressurePa) /
  reference.pressurePa;

/** Corrected shaft speed [rpm], n sqrt(Tref/T), inlet [K]. Source: SAE J1826; definition. */
export const correctedSpeedRpm = (speedRpm: number, inletTemperatureK: number, reference: ReferenceAir): number =>
  speedRpm * Math.sqrt(reference.temperatureK / inletTemperatureK);

/** Shaft speed [rpm] from corrected speed [rpm], inlet [K]; inverse. Source: SAE J1826; definition. */
export const speedFromCorrectedRpm = (
  correctedRpm: number,
  inletTemperatureK: number,
  reference: ReferenceAir,
): number => correctedRpm * Math.sqrt(inletTemperatureK / reference.temperatureK);

/** Speed of a wheel's tip [m/s] from diameter [m] and speed [rpm]. Definition. */
export const tipSpeedMPerS = (diameterM: number, speedRpm: number): number => (Math.PI * diameterM * speedRpm) / 60;
