/** Friction and pumping as mean effective pressures, and what they come to as power. */

/** Constants of the Chen-Flynn law; they belong to an engine and come with it. */
export interface ChenFlynn {
  /** A [Pa]. */
  readonly constantPa: number;
  /** B [-], per peak cylinder pressure. */
  readonly perPeakPressure: number;
  /** C [Pa s/m], per mean piston speed. */
  readonly perPistonSpeedPaSPerM: number;
  /** D [Pa s2/m2], per mean piston speed squared. */
  readonly perPistonSpeedSquaredPaS2PerM2: number;
}

/** Starting values [Pa, -, Pa s/m]. Source: Chen & Flynn, SAE 650733 (1965), constants from memory, D left zero. */
export const USUAL_CHEN_FLYNN: ChenFlynn = {
  constantPa: 13700,
  perPeakPressure: 0.005,
  perPistonSpeedPaSPerM: 16200,
  perPistonSpeedSquaredPaS2PerM2: 0,
};

/**
 * Friction mean effective pressure, A + B pmax + C Sp + D Sp2.
 *
 * @param constants of the engine
 * @param peakPressurePa in the cylinder [Pa]
 * @param meanPistonSpeed [m/s]
 * @returns [Pa]
 * Source: Chen & Flynn, SAE 650733 (1965).
 */
export const chenFlynnFrictionPa = (constants: ChenFlynn, peakPressurePa: number, meanPistonSpeed: number): number =>
  constants.constantPa +
  constants.perPeakPressure * peakPressurePa +
  constants.perPistonSpeedPaSPerM * meanPistonSpeed +
  constants.perPistonSpeedSquaredPaS2PerM2 * meanPistonSpeed * meanPistonSpeed;

/**
 * Total friction of a warm spark-ignition engine, 0.97 + 0.15 (N/1000) + 0.05 (N/1000)2 bar; with pumping at full
 * throttle included.
 *
 * @param engineSpeedRpm [rpm], about 1000 to 6000 for four cylinders of 0.85 to 2 litres
 * @returns [Pa]
 * Source: Barnes-Moss (1975) as given by Heywood (1988) eq. 13.6.
 */
export const barnesMossFrictionPa = (engineSpeedRpm: number): number => {
  const thousands = engineSpeedRpm / 1000;
  return 1e5 * (0.97 + 0.15 * thousands + 0.05 * thousands * thousands);
};

/**
 * Mean effective pressure of the gas exchange [Pa]: exhaust less intake manifold pressure [Pa]; negative when boost
 * pushes the pistons. Source: Heywood (1988) sect. 13.4 (ideal loop, without throttling at the valves).
 */
export const pumpingPressurePa = (exhaustPressurePa: number, manifoldPressurePa: number): number =>
  exhaustPressurePa - manifoldPressurePa;

/** Power [W] of a mean effective pressure [Pa] in a four-stroke, mep Vd N / 2. Source: Heywood (1988) eq. 2.19b. */
export const powerFromMeanPressureW = (
  meanPressurePa: number,
  totalDisplacementM3: number,
  engineSpeedRpm: number,
): number => (meanPressurePa * totalDisplacementM3 * engineSpeedRpm) / 120;

/** Torque [N m] of a mean effective pressure [Pa] in a four-stroke, mep Vd / (4 pi). Source: Heywood (1988) eq. 2.20. */
export const torqueFromMeanPressureNm = (meanPressurePa: number, totalDisplacementM3: number): number =>
  (meanPressurePa * totalDisplacementM3) / (4 * Math.PI);

/** Mean effective pressure [Pa] of a four-stroke's torque [N m] and displacement [m3]. Source: Heywood (1988) eq. 2.20. */
export const meanPressureFromTorquePa = (torqueNm: number, totalDisplacementM3: number): number =>
  (4 * Math.PI * torqueNm) / totalDisplacementM3;

/** Power [W] from torque [N m] and speed [rpm]. Definition. */
export const powerFromTorqueW = (torqueNm: number, speedRpm: number): number => (torqueNm * speedRpm * Math.PI) / 30;

/** Torque [N m] from power [W] and speed above 0 [rpm]. Definition. */
export const torqueFromPowerNm = (powerW: number, speedRpm: number): number => (powerW * 30) / (Math.PI * speedRpm);
