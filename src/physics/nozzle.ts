/**
 * Compressible flow of an ideal gas through nozzles and pipes, and incompressible flow through a restrictor.
 *
 * `heatRatio` is the ratio of specific heats k [-], above 1; gas constants are in J/(kg K); a zero index is a stagnation
 * (total) value.
 */

/** Static over stagnation temperature, 1 / (1 + (k-1)/2 M2) [-] at a Mach number [-]. Source: Anderson, eq. 3.28. */
export const temperatureRatioAtMach = (mach: number, heatRatio = 1.4): number =>
  1 / (1 + ((heatRatio - 1) / 2) * mach * mach);

/** Static over stagnation pressure, (T/T0)^(k/(k-1)) [-] at a Mach number [-]. Source: Anderson, eq. 3.30. */
export const pressureRatioAtMach = (mach: number, heatRatio = 1.4): number =>
  temperatureRatioAtMach(mach, heatRatio) ** (heatRatio / (heatRatio - 1));

/**
 * Area over throat area of isentropic flow, A/A* [-], at a Mach number above 0 [-].
 * Source: Anderson, Modern Compressible Flow, eq. 5.20.
 */
export const areaRatioAtMach = (mach: number, heatRatio = 1.4): number =>
  (2 / ((heatRatio + 1) * temperatureRatioAtMach(mach, heatRatio))) ** ((heatRatio + 1) / (2 * (heatRatio - 1))) / mach;

/**
 * Mach number [-] at a static over stagnation pressure in (0, 1] [-]; inverse of {@link pressureRatioAtMach}. Zero for a
 * ratio of 1 or more. Source: Anderson, eq. 3.30 solved for M.
 */
export const machAtPressureRatio = (pressureRatio: number, heatRatio = 1.4): number =>
  pressureRatio >= 1 ? 0 : Math.sqrt((2 / (heatRatio - 1)) * (pressureRatio ** (-(heatRatio - 1) / heatRatio) - 1));

/** Throat over stagnation pressure at which a nozzle chokes, (2/(k+1))^(k/(k-1)) [-]. Source: Heywood (1988) eq. C.4. */
export const criticalPressureRatio = (heatRatio = 1.4): number =>
  Math.exp((heatRatio / (heatRatio - 1)) * Math.log(2 / (heatRatio + 1)));

/**
 * Stagnation pressure [Pa] of gas brought isentropically from T to T0, p0 = p (T0/T)^(k/(k-1)).
 * Source: Anderson, eq. 3.29; temperatures [K], static pressure [Pa].
 */
export const stagnationPressurePa = (
  staticPressurePa: number,
  staticTemperatureK: number,
  stagnationTemperatureK: number,
  heatRatio = 1.4,
): number => staticPressurePa * (stagnationTemperatureK / staticTemperatureK) ** (heatRatio / (heatRatio - 1));

/** Largest value of {@link nozzleFlowFunction} [-], reached when choked. Source: Heywood (1988) eq. C.9. */
export const chokedFlowFunction = (heatRatio = 1.4): number =>
  Math.sqrt(heatRatio) * Math.exp(((heatRatio + 1) / (2 * (heatRatio - 1))) * Math.log(2 / (heatRatio + 1)));

/**
 * Dimensionless mass flow m sqrt(R T0) / (A p0) of an isentropic nozzle.
 *
 * @param pressureRatio downstream static over upstream stagnation pressure [-]; at 1 or above there is no flow
 * @param heatRatio [-]
 * @returns [-], 0 to {@link chokedFlowFunction}
 * Source: Heywood (1988) eq. C.8 and C.9.
 */
export const nozzleFlowFunction = (pressureRatio: number, heatRatio = 1.4): number => {
  if (pressureRatio >= 1) return 0;
  if (pressureRatio <= criticalPressureRatio(heatRatio)) return chokedFlowFunction(heatRatio);
  const logarithm = Math.log(pressureRatio);
  const root = Math.exp(logarithm / heatRatio);
  // Written as pr^(2/k) (1 - pr^((k-1)/k)); the difference of powers would lose digits near pr = 1.
  const drop = -Math.expm1(((heatRatio - 1) / heatRatio) * logarithm);
  return root * Math.sqrt(((2 * heatRatio) / (heatRatio - 1)) * drop);
};

/**
 * Mass flow through an orifice or nozzle, choked or not.
 *
 * @param effectiveAreaM2 throat area times discharge coefficient [m2]
 * @param upstreamPressurePa stagnation [Pa]
 * @param upstreamTemperatureK stagnation [K]
 * @param downstreamPressurePa static [Pa]; above upstream there is no flow (a one-way law: swap sides for reverse flow)
 * @param heatRatio [-]
 * @param gasConstantJPerKgK [J/(kg K)]
 * @returns [kg/s], 0 or more
 * Source: Heywood (1988) eq. C.8 and C.9.
 */
export const nozzleMassFlowKgPerS = (
  effectiveAreaM2: number,
  upstreamPressurePa: number,
  upstreamTemperatureK: number,
  downstreamPressurePa: number,
  heatRatio = 1.4,
  gasConstantJPerKgK = 287.05,
): number =>
  ((effectiveAreaM2 * upstreamPressurePa) / Math.sqrt(gasConstantJPerKgK * upstreamTemperatureK)) *
  nozzleFlowFunction(downstreamPressurePa / upstreamPressurePa, heatRatio);

/**
 * Mass flow of a nozzle whose throat is sonic.
 *
 * @param effectiveAreaM2 [m2]
 * @param upstreamPressurePa stagnation [Pa]
 * @param upstreamTemperatureK stagnation [K]
 * @param heatRatio [-]
 * @param gasConstantJPerKgK [J/(kg K)]
 * @returns [kg/s]
 * Source: Heywood (1988) eq. C.9.
 */
export const chokedMassFlowKgPerS = (
  effectiveAreaM2: number,
  upstreamPressurePa: number,
  upstreamTemperatureK: number,
  heatRatio = 1.4,
  gasConstantJPerKgK = 287.05,
): number =>
  ((effectiveAreaM2 * upstreamPressurePa) / Math.sqrt(gasConstantJPerKgK * upstreamTemperatureK)) *
  chokedFlowFunction(heatRatio);

/**
 * Fanno parameter f L* / D [-] (Darcy f): length to sonic flow in an adiabatic pipe, at a Mach number in (0, 1] [-].
 * Source: Anderson, Modern Compressible Flow, eq. 3.107 (there with 4 times the Fanning factor).
 */
export const fannoParameter = (mach: number, heatRatio = 1.4): number => {
  const m2 = mach * mach;
  const k = heatRatio;
  return (1 - m2) / (k * m2) + ((k + 1) / (2 * k)) * Math.log(((k + 1) * m2) / (2 + (k - 1) * m2));
};

/** Static pressure over that at sonic flow in a Fanno pipe [-], at a Mach number above 0 [-]. Source: Anderson, eq. 3.104. */
export const fannoPressureRatio = (mach: number, heatRatio = 1.4): number =>
  Math.sqrt((heatRatio + 1) / (2 + (heatRatio - 1) * mach * mach)) / mach;

/** Mach number [-] at p/p* above 0 [-] in a Fanno pipe; inverse of {@link fannoPressureRatio}. Source: Anderson, eq. 3.104. */
export const machAtFannoPressureRatio = (pressureRatio: number, heatRatio = 1.4): number => {
  const k = heatRatio;
  return Math.sqrt((Math.sqrt(1 + ((k - 1) * (k + 1)) / pressureRatio ** 2) - 1) / (k - 1));
};

/**
 * Volume flow of a liquid through a simple restrictor, Q = Cd A sqrt(2 dp / rho).
 *
 * @param dischargeCoefficient [-], about 0.6 to 0.95
 * @param areaM2 [m2]
 * @param pressureDifferencePa [Pa]; negative gives the flow back
 * @param densityKgPerM3 [kg/m3]
 * @returns [m3/s]
 * Source: Bernoulli with a discharge coefficient.
 */
export const restrictorFlowM3PerS = (
  dischargeCoefficient: number,
  areaM2: number,
  pressureDifferencePa: number,
  densityKgPerM3: number,
): number =>
  dischargeCoefficient *
  areaM2 *
  Math.sign(pressureDifferencePa) *
  Math.sqrt((2 * Math.abs(pressureDifferencePa)) / densityKgPerM3);

/** Area of a circle [m2] from its diameter [m]. Definition. */
export const circleAreaM2 = (diameterM: number): number => (Math.PI / 4) * diameterM * diameterM;
