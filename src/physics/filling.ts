/** Filling of the cylinders: speed-density air flow and what the exhaust's pressure does to it. */

/** Gas constant of dry air as speed-density tables take it [J/(kg K)]. Source: ISO 2533:1975, rounded. */
export const AIR_GAS_CONSTANT_J_PER_KG_K = 287.05;

/**
 * Air flow of a four-stroke engine, m = VE Vd p / (R T) N / 2.
 *
 * @param volumetricEfficiency against manifold density [-]
 * @param totalDisplacementM3 all cylinders [m3]
 * @param engineSpeedRpm [rpm]
 * @param manifoldPressurePa absolute [Pa]
 * @param chargeTemperatureK [K]
 * @param gasConstantJPerKgK [J/(kg K)]
 * @returns [kg/s]
 * Source: Heywood (1988) eq. 2.27.
 */
export const speedDensityAirFlowKgPerS = (
  volumetricEfficiency: number,
  totalDisplacementM3: number,
  engineSpeedRpm: number,
  manifoldPressurePa: number,
  chargeTemperatureK: number,
  gasConstantJPerKgK = AIR_GAS_CONSTANT_J_PER_KG_K,
): number =>
  (volumetricEfficiency * totalDisplacementM3 * manifoldPressurePa * engineSpeedRpm) /
  (gasConstantJPerKgK * chargeTemperatureK * 120);

/**
 * Volumetric efficiency against manifold density [-] from a measured air flow [kg/s]; other arguments as in
 * {@link speedDensityAirFlowKgPerS}, all above 0. Source: Heywood (1988) eq. 2.27 solved for VE.
 */
export const volumetricEfficiencyFromFlow = (
  airFlowKgPerS: number,
  totalDisplacementM3: number,
  engineSpeedRpm: number,
  manifoldPressurePa: number,
  chargeTemperatureK: number,
  gasConstantJPerKgK = AIR_GAS_CONSTANT_J_PER_KG_K,
): number =>
  airFlowKgPerS /
  speedDensityAirFlowKgPerS(
    1,
    totalDisplacementM3,
    engineSpeedRpm,
    manifoldPressurePa,
    chargeTemperatureK,
    gasConstantJPerKgK,
  );

/**
 * Air drawn by one cylinder in one cycle [kg] from its swept volume [m3], manifold pressure [Pa] and charge
 * temperature [K]. Source: Heywood (1988) eq. 2.27 per cycle.
 */
export const airPerCycleKg = (
  volumetricEfficiency: number,
  cylinderDisplacementM3: number,
  manifoldPressurePa: number,
  chargeTemperatureK: number,
  gasConstantJPerKgK = AIR_GAS_CONSTANT_J_PER_KG_K,
): number =>
  (volumetricEfficiency * cylinderDisplacementM3 * manifoldPressurePa) / (gasConstantJPerKgK * chargeTemperatureK);

/** Fuel flow [kg/s] from air flow [kg/s], lambda above 0 [-] and stoichiometric ratio [kg/kg]. Definition. */
export const fuelFlowKgPerS = (airFlowKgPerS: number, lambda: number, stoichiometricAirFuelRatio: number): number =>
  airFlowKgPerS / (lambda * stoichiometricAirFuelRatio);

/** Air flow [kg/s] from fuel flow [kg/s], lambda [-] and stoichiometric ratio [kg/kg]; inverse. Definition. */
export const airFlowFromFuelKgPerS = (fuelKgPerS: number, lambda: number, stoichiometricAirFuelRatio: number): number =>
  fuelKgPerS * lambda * stoichiometricAirFuelRatio;

/**
 * Filling left by residual gas that expands from exhaust to intake pressure, relative to equal pressures:
 * (r - (pe/pi)^(1/k)) / (r - 1).
 *
 * @param compressionRatio [-], above 1
 * @param exhaustToIntakePressure pe/pi [-], above 0
 * @param heatRatio of the residual gas [-]
 * @returns [-]: 1 at equal pressures, more when the intake pressure is higher; never below 0
 * Source: Eriksson & Nielsen (2014) eq. 4.8; Heywood (1988) eq. 6.3 with Ti = Ta and pi = pa.
 */
export const residualFillingFactor = (
  compressionRatio: number,
  exhaustToIntakePressure: number,
  heatRatio = 1.3,
): number => Math.max(0, (compressionRatio - exhaustToIntakePressure ** (1 / heatRatio)) / (compressionRatio - 1));

/**
 * Volumetric efficiency carried from the pressure ratio at which it was known to another one.
 *
 * @param volumetricEfficiency known [-]
 * @param knownExhaustToIntake pe/pi at which it was known [-]
 * @param exhaustToIntake pe/pi now [-]
 * @param compressionRatio [-]
 * @param heatRatio of the residual gas [-]
 * @returns [-]
 * Source: ratio of two {@link residualFillingFactor} (Eriksson & Nielsen 2014, eq. 4.8).
 */
export const volumetricEfficiencyAtPressureRatio = (
  volumetricEfficiency: number,
  knownExhaustToIntake: number,
  exhaustToIntake: number,
  compressionRatio: number,
  heatRatio = 1.3,
): number =>
  (volumetricEfficiency * residualFillingFactor(compressionRatio, exhaustToIntake, heatRatio)) /
  residualFillingFactor(compressionRatio, knownExhaustToIntake, heatRatio);

/**
 * Burned gas that stays in the clearance volume [kg], m = pe Vc / (R Te), at the exhaust's pressure [Pa] and
 * temperature [K], clearance [m3]. Source: Heywood (1988) sect. 6.4; leaves out back-flow during valve overlap.
 */
export const residualGasMassKg = (
  exhaustPressurePa: number,
  exhaustTemperatureK: number,
  clearanceM3: number,
  gasConstantJPerKgK = 287,
): number => (exhaustPressurePa * clearanceM3) / (gasConstantJPerKgK * exhaustTemperatureK);
