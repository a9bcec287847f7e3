/**
 * The standard atmosphere up to 20 km, and what altitude the air of the day is worth.
 *
 * Source: ISO 2533:1975 (same numbers as U.S. Standard Atmosphere 1976 in this range).
 */
import { type Solved, solved, unsolved } from './reason.ts';

/** Sea-level temperature [K] of ISO 2533:1975. */
export const STANDARD_TEMPERATURE_K = 288.15;
/** Sea-level pressure [Pa] of ISO 2533:1975. */
export const STANDARD_PRESSURE_PA = 101325;
/** Gas constant of dry air [J/(kg K)] of ISO 2533:1975. */
const GAS_CONSTANT_J_PER_KG_K = 287.05287;
const GRAVITY_M_PER_S2 = 9.80665;
const LAPSE_K_PER_M = 0.0065;
const TROPOPAUSE_M = 11000;
const TROPOPAUSE_K = STANDARD_TEMPERATURE_K - LAPSE_K_PER_M * TROPOPAUSE_M;
const EXPONENT = GRAVITY_M_PER_S2 / (GAS_CONSTANT_J_PER_KG_K * LAPSE_K_PER_M);
const TROPOPAUSE_PA = STANDARD_PRESSURE_PA * (TROPOPAUSE_K / STANDARD_TEMPERATURE_K) ** EXPONENT;
const SCALE_HEIGHT_M = (GAS_CONSTANT_J_PER_KG_K * TROPOPAUSE_K) / GRAVITY_M_PER_S2;
/** Nominal earth radius [m] of ISO 2533:1975. */
const EARTH_RADIUS_M = 6356766;
/** Where the model here holds, geopotential [m]. Source: ISO 2533:1975, table 5 below zero to -2 km. */
export const ATMOSPHERE_RANGE_M = { from: -2000, to: 20000 } as const;

/** One level of the standard atmosphere. */
export interface AtmosphereLevel {
  readonly pressurePa: number;
  readonly temperatureK: number;
  readonly densityKgPerM3: number;
}

/**
 * Pressure, temperature and density of the standard atmosphere.
 *
 * @param geopotentialAltitudeM [m], -2000 to 20000
 * @returns an {@link AtmosphereLevel} [Pa, K, kg/m3]. Reason: `input-out-of-range`.
 * Source: ISO 2533:1975, eq. 12 to 14: 6.5 K/km to 11 km, then 216.65 K.
 */
export const standardAtmosphere = (geopotentialAltitudeM: number): Solved<AtmosphereLevel> => {
  if (!(geopotentialAltitudeM >= ATMOSPHERE_RANGE_M.from && geopotentialAltitudeM <= ATMOSPHERE_RANGE_M.to)) {
    return unsolved(
      'input-out-of-range',
      `The atmosphere here spans -2 to 20 km; asked at ${geopotentialAltitudeM} m.`,
    );
  }
  const low = geopotentialAltitudeM <= TROPOPAUSE_M;
  const temperatureK = low ? STANDARD_TEMPERATURE_K - LAPSE_K_PER_M * geopotentialAltitudeM : TROPOPAUSE_K;
  const pressurePa = low
    ? STANDARD_PRESSURE_PA * (temperatureK / STANDARD_TEMPERATURE_K) ** EXPONENT
    : TROPOPAUSE_PA * Math.exp(-(geopotentialAltitudeM - TROPOPAUSE_M) / SCALE_HEIGHT_M);
  return solved({ pressurePa, temperatureK, densityKgPerM3: pressurePa / (GAS_CONSTANT_J_PER_KG_K * temperatureK) });
};

/** Geopotential [m] from geometric altitude z [m], H = r z / (r + z). Source: ISO 2533:1975, eq. 8. */
export const geopotentialAltitudeM = (geometricAltitudeM: number): number =>
  (EARTH_RADIUS_M * geometricAltitudeM) / (EARTH_RADIUS_M + geometricAltitudeM);

const altitudeOf = (value: number, read: (level: AtmosphereLevel) => number, lowExponent: number): Solved<number> => {
  const bottom = standardAtmosphere(ATMOSPHERE_RANGE_M.from);
  const top = standardAtmosphere(ATMOSPHERE_RANGE_M.to);
  const sea = standardAtmosphere(0);
  const tropopause = standardAtmosphere(TROPOPAUSE_M);
  if (!bottom.ok || !top.ok || !sea.ok || !tropopause.ok) {
    return unsolved('input-out-of-range', 'The atmosphere here spans -2 to 20 km.');
  }
  if (!(value <= read(bottom.value) && value >= read(top.value))) {
    return unsolved('input-out-of-range', `No level between -2 and 20 km has the value ${value}.`);
  }
  const ratio = value / read(sea.value);
  return solved(
    value >= read(tropopause.value)
      ? (STANDARD_TEMPERATURE_K / LAPSE_K_PER_M) * (1 - ratio ** (1 / lowExponent))
      : TROPOPAUSE_M - SCALE_HEIGHT_M * Math.log(value / read(tropopause.value)),
  );
};

/**
 * Altitude in the standard atmosphere that has this pressure.
 *
 * @param pressurePa station pressure [Pa]
 * @returns geopotential altitude [m]. Reason: `input-out-of-range`.
 * Source: ISO 2533:1975 solved for altitude.
 */
export const pressureAltitudeM = (pressurePa: number): Solved<number> =>
  altitudeOf(pressurePa, (level) => level.pressurePa, EXPONENT);

/**
 * Altitude in the standard atmosphere that has this air density. Use the density of moist air for the humid value.
 *
 * @param densityKgPerM3 density of the air of the day [kg/m3]
 * @returns geopotential altitude [m]. Reason: `input-out-of-range`.
 * Source: definition with ISO 2533:1975.
 */
export const densityAltitudeM = (densityKgPerM3: number): Solved<number> =>
  altitudeOf(densityKgPerM3, (level) => level.densityKgPerM3, EXPONENT - 1);

/**
 * Dynamic viscosity of air by Sutherland's law, mu = 1.458e-6 T^1.5 / (T + 110.4).
 *
 * @param temperatureK [K], about 170 to 1900 (within 2 % of tables)
 * @returns [Pa s]
 * Source: ISO 2533:1975, eq. 22.
 */
export const airViscosityPaS = (temperatureK: number): number =>
  (1.458e-6 * temperatureK * Math.sqrt(temperatureK)) / (temperatureK + 110.4);

/**
 * Thermal conductivity of air, lambda = 2.648151e-3 T^1.5 / (T + 245.4 * 10^(-12/T)).
 *
 * @param temperatureK [K], about 170 to 1000
 * @returns [W/(m K)]
 * Source: ISO 2533:1975, eq. 24.
 */
export const airConductivityWPerMK = (temperatureK: number): number =>
  (2.648151e-3 * temperatureK * Math.sqrt(temperatureK)) / (temperatureK + 245.4 * 10 ** (-12 / temperatureK));

/**
 * Speed of sound of an ideal gas, a = sqrt(k R T).
 *
 * @param temperatureK static temperature [K]
 * @param heatRatio ratio of specific heats [-]
 * @param gasConstantJPerKgK [J/(kg K)]
 * @returns [m/s]
 * Source: ISO 2533:1975, eq. 20.
 */
export const speedOfSoundMPerS = (
  temperatureK: number,
  heatRatio = 1.4,
  gasConstantJPerKgK = GAS_CONSTANT_J_PER_KG_K,
): number => Math.sqrt(heatRatio * gasConstantJPerKgK * temperatureK);
