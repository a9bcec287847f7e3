/** Heat from gas to cylinder walls after Woschni. Other printed forms use other exponents and give other numbers. */

/** Factors of the gas velocity [-; m/(s K)]. Source: Heywood (1988) eq. 12.20, after Woschni, SAE 670931. */
export const WOSCHNI_VELOCITY = {
  gasExchange: { pistonSpeedFactor: 6.18, combustionFactor: 0 },
  compression: { pistonSpeedFactor: 2.28, combustionFactor: 0 },
  combustion: { pistonSpeedFactor: 2.28, combustionFactor: 3.24e-3 },
} as const;

/** Part of the cycle. */
export type WoschniPhase = keyof typeof WOSCHNI_VELOCITY;

/**
 * Mean gas velocity, w = C1 Sp + C2 (Vd Tr / (pr Vr)) (p - pm).
 *
 * @param phase gas exchange, compression, or combustion with expansion
 * @param meanPistonSpeed [m/s]
 * @param sweptVolumeM3 of one cylinder [m3]
 * @param referenceTemperatureK at a known state before combustion, such as intake closing [K]
 * @param referencePressurePa there [Pa]
 * @param referenceVolumeM3 there [m3]
 * @param combustionRisePa pressure less motored pressure at the same angle [Pa]; below zero counts as zero
 * @returns [m/s]
 * Source: Heywood (1988) eq. 12.20, after Woschni, SAE 670931 (1967).
 */
export const woschniGasVelocityMPerS = (
  phase: WoschniPhase,
  meanPistonSpeed: number,
  sweptVolumeM3: number,
  referenceTemperatureK: number,
  referencePressurePa: number,
  referenceVolumeM3: number,
  combustionRisePa: number,
): number => {
  const { pistonSpeedFactor, combustionFactor } = WOSCHNI_VELOCITY[phase];
  return (
    pistonSpeedFactor * meanPistonSpeed +
    combustionFactor *
      ((sweptVolumeM3 * referenceTemperatureK) / (referencePressurePa * referenceVolumeM3)) *
      Math.max(0, combustionRisePa)
  );
};

/**
 * Heat-transfer coefficient, h = 3.26 B^-0.2 p^0.8 T^-0.55 w^0.8 (p in kPa).
 *
 * @param boreM [m]
 * @param pressurePa gas [Pa]
 * @param temperatureK gas, bulk [K]
 * @param gasVelocityMPerS from {@link woschniGasVelocityMPerS} [m/s]
 * @returns [W/(m2 K)]
 * Source: Heywood (1988) eq. 12.19, after Woschni, SAE 670931 (1967).
 */
export const woschniCoefficientWPerM2K = (
  boreM: number,
  pressurePa: number,
  temperatureK: number,
  gasVelocityMPerS: number,
): number => 3.26 * boreM ** -0.2 * (pressurePa / 1000) ** 0.8 * temperatureK ** -0.55 * gasVelocityMPerS ** 0.8;
