/**
 * Humid air as ambient and intake air: vapour pressure, humidity ratio, density and gas constant.
 *
 * Saturation pressure and enthalpy come from the PsychroLib package, which implements ASHRAE
 * Handbook - Fundamentals 2017, chapter 1. The gas laws around them stand here.
 */
import psychrolib from 'psychrolib';
import { type Solved, solved, unsolved } from './reason.ts';
import { findRoot } from './roots.ts';

psychrolib.SetUnitSystem(psychrolib.SI);

/** Gas constant of dry air [J/(kg K)]. Source: ASHRAE Fundamentals 2017, ch. 1, eq. 1 (8314.472 / 28.966). */
export const DRY_AIR_GAS_CONSTANT_J_PER_KG_K = 287.042;
/** Molar mass of water over that of dry air [-]. Source: ASHRAE Fundamentals 2017, ch. 1, eq. 20. */
export const WATER_TO_AIR_MOLAR_MASS = 0.621945;
/** Where the saturation law holds [K]. Source: ASHRAE Fundamentals 2017, ch. 1, eq. 5 and 6 (-100 to 200 degC). */
export const SATURATION_RANGE_K = { from: 173.15, to: 473.15 } as const;
const ZERO_CELSIUS_K = 273.15;

/**
 * Vapour pressure over water, below the triple point over ice.
 *
 * @param temperatureK [K], 173.15 to 473.15
 * @returns pressure [Pa]. Reason: `input-out-of-range`.
 * Source: ASHRAE Fundamentals 2017, ch. 1, eq. 5 and 6 (through PsychroLib).
 */
export const waterSaturationPressurePa = (temperatureK: number): Solved<number> =>
  temperatureK >= SATURATION_RANGE_K.from && temperatureK <= SATURATION_RANGE_K.to
    ? solved(psychrolib.GetSatVapPres(temperatureK - ZERO_CELSIUS_K))
    : unsolved(
        'input-out-of-range',
        `Saturation of water is known from -100 to 200 degC; asked at ${(temperatureK - ZERO_CELSIUS_K).toFixed(1)} degC.`,
      );

/**
 * Temperature at which the vapour starts to condense (or to freeze out).
 *
 * @param vapourPressurePa [Pa], that of saturation between -100 and 200 degC
 * @returns dew point [K]. Reasons: `input-out-of-range`, `no-convergence`.
 * Source: inverse of {@link waterSaturationPressurePa}.
 */
export const dewPointK = (vapourPressurePa: number): Solved<number> => {
  const { from, to } = SATURATION_RANGE_K;
  const logarithm = Math.log(vapourPressurePa);
  const excess = (kelvin: number): number => Math.log(psychrolib.GetSatVapPres(kelvin - ZERO_CELSIUS_K)) - logarithm;
  if (!(vapourPressurePa > 0 && excess(from) <= 0 && excess(to) >= 0)) {
    return unsolved('input-out-of-range', `No dew point between -100 and 200 degC has ${vapourPressurePa} Pa.`);
  }
  return findRoot(excess, from, to);
};

/**
 * Mass of vapour per mass of dry air, W = 0.621945 pv / (p - pv).
 *
 * @param vapourPressurePa [Pa], 0 to below the total
 * @param pressurePa total pressure [Pa]
 * @returns humidity ratio [kg/kg dry air]. Reason: `input-out-of-range` (boiling: pv >= p).
 * Source: ASHRAE Fundamentals 2017, ch. 1, eq. 20.
 */
export const humidityRatioFromVapourPressure = (vapourPressurePa: number, pressurePa: number): Solved<number> =>
  vapourPressurePa >= 0 && vapourPressurePa < pressurePa
    ? solved((WATER_TO_AIR_MOLAR_MASS * vapourPressurePa) / (pressurePa - vapourPressurePa))
    : unsolved(
        'input-out-of-range',
        `Vapour pressure ${vapourPressurePa} Pa must lie between 0 and the total pressure ${pressurePa} Pa.`,
      );

/**
 * Vapour pressure [Pa] of air with a humidity ratio [kg/kg dry air] at a total pressure [Pa], pv = p W / (0.621945 + W).
 * Source: ASHRAE Fundamentals 2017, ch. 1, eq. 20 solved for pv.
 */
export const vapourPressureFromHumidityRatioPa = (humidityRatio: number, pressurePa: number): number =>
  (pressurePa * humidityRatio) / (WATER_TO_AIR_MOLAR_MASS + humidityRatio);

/**
 * Gas constant of moist air [J/(kg K)], R = Ra (1 + W / 0.621945) / (1 + W), for a humidity ratio W [kg/kg dry air].
 * Source: ideal-gas mixture, ASHRAE Fundamentals 2017, ch. 1.
 */
export const moistAirGasConstantJPerKgK = (humidityRatio: number): number =>
  (DRY_AIR_GAS_CONSTANT_J_PER_KG_K * (1 + humidityRatio / WATER_TO_AIR_MOLAR_MASS)) / (1 + humidityRatio);

/**
 * Density of moist air, rho = p / (R T).
 *
 * @param pressurePa total pressure [Pa]
 * @param temperatureK [K]
 * @param humidityRatio [kg/kg dry air], 0 for dry air
 * @returns [kg moist air/m3]
 * Source: ASHRAE Fundamentals 2017, ch. 1, eq. 26 and 28.
 */
export const moistAirDensityKgPerM3 = (pressurePa: number, temperatureK: number, humidityRatio = 0): number =>
  pressurePa / (moistAirGasConstantJPerKgK(humidityRatio) * temperatureK);

/**
 * Enthalpy of moist air over dry air and liquid water at 0 degC, h = 1006 t + W (2501000 + 1860 t).
 *
 * @param temperatureK [K], about 220 to 470
 * @param humidityRatio [kg/kg dry air]
 * @returns [J/kg dry air]
 * Source: ASHRAE Fundamentals 2017, ch. 1, eq. 30 (through PsychroLib, which takes no less than 1e-7 kg/kg).
 */
export const moistAirEnthalpyJPerKgDryAir = (temperatureK: number, humidityRatio: number): number =>
  psychrolib.GetMoistAirEnthalpy(temperatureK - ZERO_CELSIUS_K, humidityRatio);

/** One state of humid air. */
export interface MoistAir {
  /** Partial pressure of the vapour [Pa]. */
  readonly vapourPressurePa: number;
  /** Total less vapour [Pa]: what the correction standards call dry pressure. */
  readonly dryPressurePa: number;
  /** Vapour per dry air [kg/kg]. */
  readonly humidityRatio: number;
  /** Vapour by mole in the moist air [mol/mol]. */
  readonly vapourMoleFraction: number;
  /** Dry air per moist air [kg/kg]: the part that brings oxygen. */
  readonly dryAirMassFraction: number;
  readonly densityKgPerM3: number;
  readonly gasConstantJPerKgK: number;
}

/**
 * Everything about a state of humid air given by relative humidity.
 *
 * @param pressurePa total pressure [Pa]
 * @param temperatureK [K], 173.15 to 473.15
 * @param relativeHumidity 0 to 1 [-], over water above 0 degC and over ice below
 * @returns a {@link MoistAir}. Reason: `input-out-of-range`.
 * Source: ideal-gas mixture with ASHRAE saturation, ASHRAE Fundamentals 2017, ch. 1. The enhancement factor (up to
 * 0.5 % of the vapour pressure) is left out.
 */
export const moistAir = (pressurePa: number, temperatureK: number, relativeHumidity: number): Solved<MoistAir> => {
  if (!(relativeHumidity >= 0 && relativeHumidity <= 1)) {
    return unsolved('input-out-of-range', `Relative humidity lies between 0 and 1; got ${relativeHumidity}.`);
  }
  const saturation = waterSaturationPressurePa(temperatureK);
  if (!saturation.ok) return saturation;
  const vapourPressurePa = relativeHumidity * saturation.value;
  const ratio = humidityRatioFromVapourPressure(vapourPressurePa, pressurePa);
  if (!ratio.ok) return ratio;
  const humidityRatio = ratio.value;
  return solved({
    vapourPressurePa,
    dryPressurePa: pressurePa - vapourPressurePa,
    humidityRatio,
    vapourMoleFraction: vapourPressurePa / pressurePa,
    dryAirMassFraction: 1 / (1 + humidityRatio),
    densityKgPerM3: moistAirDensityKgPerM3(pressurePa, temperatureK, humidityRatio),
    gasConstantJPerKgK: moistAirGasConstantJPerKgK(humidityRatio),
  });
};
