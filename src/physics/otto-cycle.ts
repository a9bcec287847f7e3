/** The ideal Otto cycle: what no engine of that compression ratio can beat. */
import {
  DRY_AIR,
  type Gas,
  internalEnergyJPerKg,
  isentropicCompressionTemperatureK,
  specificHeatJPerKgK,
} from './gas.ts';
import { mapSolved, type Solved, unsolved } from './reason.ts';
import { findRoot } from './roots.ts';

/** Efficiency of the cold-air cycle, 1 - r^(1-k) [-], at a compression ratio r of 1 or more [-]. Source: Heywood (1988) eq. 5.31. */
export const ottoEfficiency = (compressionRatio: number, heatRatio = 1.4): number =>
  1 - compressionRatio ** (1 - heatRatio);

/** Temperature [K] after isentropic compression by a volume ratio [-] at constant heat ratio [-]. Source: Heywood (1988) table 5.2. */
export const compressionTemperatureK = (temperatureK: number, compressionRatio: number, heatRatio = 1.4): number =>
  temperatureK * compressionRatio ** (heatRatio - 1);

/** Pressure [Pa] after isentropic compression by a volume ratio [-] at constant heat ratio [-]. Source: Heywood (1988) table 5.2. */
export const compressionPressurePa = (pressurePa: number, compressionRatio: number, heatRatio = 1.4): number =>
  pressurePa * compressionRatio ** heatRatio;

/** States of an Otto cycle: 1 bottom, 2 compressed, 3 heated, 4 expanded. */
export interface OttoCycle {
  readonly compressedK: number;
  readonly peakK: number;
  readonly expandedK: number;
  readonly compressedPa: number;
  readonly peakPa: number;
  readonly workJPerKg: number;
  readonly efficiency: number;
  readonly meanPressurePa: number;
}

/**
 * Otto cycle with specific heat varying with temperature.
 *
 * @param compressionRatio [-], above 1
 * @param pressurePa at bottom dead centre [Pa]
 * @param temperatureK at bottom dead centre [K]
 * @param heatJPerKg added at top dead centre per mass of gas [J/kg]
 * @param gas working gas, dry air unless given
 * @returns an {@link OttoCycle} [K, Pa, J/kg, -]. Reasons: `input-out-of-range`, `bracket-without-root`, `no-convergence`.
 * Source: Cengel & Boles, Thermodynamics, sect. 9-5.
 */
export const ottoCycle = (
  compressionRatio: number,
  pressurePa: number,
  temperatureK: number,
  heatJPerKg: number,
  gas: Gas = DRY_AIR,
): Solved<OttoCycle> => {
  if (!(compressionRatio > 1 && pressurePa > 0 && temperatureK > 0 && heatJPerKg > 0)) {
    return unsolved(
      'input-out-of-range',
      'An Otto cycle needs a ratio above 1 and positive pressure, temperature, heat.',
    );
  }
  const compressedK = isentropicCompressionTemperatureK(gas, temperatureK, compressionRatio);
  const hot = internalEnergyJPerKg(gas, compressedK) + heatJPerKg;
  const coldSlope = specificHeatJPerKgK(gas, 300) - gas.gasConstantJPerKgK;
  const peak = findRoot(
    (t) => internalEnergyJPerKg(gas, t) - hot,
    compressedK,
    compressedK + (1.5 * heatJPerKg) / coldSlope,
  );
  return mapSolved(peak, (peakK) => {
    const expandedK = isentropicCompressionTemperatureK(gas, peakK, 1 / compressionRatio);
    const rejected = internalEnergyJPerKg(gas, expandedK) - internalEnergyJPerKg(gas, temperatureK);
    const workJPerKg = heatJPerKg - rejected;
    const volume = (gas.gasConstantJPerKgK * temperatureK) / pressurePa;
    const compressedPa = (pressurePa * compressionRatio * compressedK) / temperatureK;
    return {
      compressedK,
      peakK,
      expandedK,
      compressedPa,
      peakPa: (compressedPa * peakK) / compressedK,
      workJPerKg,
      efficiency: workJPerKg / heatJPerKg,
      meanPressurePa: workJPerKg / (volume * (1 - 1 / compressionRatio)),
    };
  });
};
