/** Vapour pressures, latent heats and the cooling of charge air by what is sprayed into it. */
import { vapourPressureFromHumidityRatioPa, WATER_TO_AIR_MOLAR_MASS, waterSaturationPressurePa } from './air.ts';
import { clamp } from './clamp.ts';
import { monotoneCurve } from './curves.ts';
import { METHANOL } from './fuels.ts';
import { chainSolved, expectSolved, mapSolved, type Solved, solved, unsolved } from './reason.ts';
import { findRoot } from './roots.ts';

const ZERO_CELSIUS_K = 273.15;

interface Antoine {
  /** log10(p [bar]) = a - b / (T [K] + c). */
  readonly a: number;
  readonly b: number;
  readonly c: number;
  readonly fromK: number;
  readonly toK: number;
}

/** Antoine constants [bar, K]. Source: Poling, Prausnitz & O'Connell, The Properties of Gases and Liquids, 5th ed., app. A. */
const ANTOINE = {
  methanol: { a: 5.20277, b: 1580.08, c: -33.65, fromK: 262.59, toK: 356.41 },
  ethanol: { a: 5.33675, b: 1648.22, c: -42.232, fromK: 276.5, toK: 369.54 },
} as const satisfies Record<string, Antoine>;

/** Alcohols whose vapour pressure is known here. */
export type Alcohol = keyof typeof ANTOINE;

const antoinePa = ({ a, b, c }: Antoine, temperatureK: number): number => 1e5 * 10 ** (a - b / (temperatureK + c));

/**
 * Vapour pressure of an alcohol [Pa] at a temperature [K] for inner loops: the same law as {@link alcoholVapourPressurePa}
 * without its limits, meant for 240 to 400 K. Source: Antoine constants of Poling et al., 5th ed.
 */
export const alcoholPressurePa = (alcohol: Alcohol, temperatureK: number): number =>
  antoinePa(ANTOINE[alcohol], temperatureK);

/**
 * Vapour pressure of an alcohol [Pa] at a temperature [K], methanol 262 to 356 K, ethanol 276 to 370 K.
 * Reason: `input-out-of-range`. Source: Antoine constants of Poling et al., 5th ed.
 */
export const alcoholVapourPressurePa = (alcohol: Alcohol, temperatureK: number): Solved<number> => {
  const constants = ANTOINE[alcohol];
  return temperatureK >= constants.fromK && temperatureK <= constants.toK
    ? solved(antoinePa(constants, temperatureK))
    : unsolved(
        'input-out-of-range',
        `The vapour pressure of ${alcohol} is known from ${constants.fromK} to ${constants.toK} K; asked at ${temperatureK} K.`,
      );
};

/** Boiling point of an alcohol [K] at a pressure [Pa]. Reason: `input-out-of-range`. Source: Antoine constants solved for T. */
export const alcoholBoilingPointK = (alcohol: Alcohol, pressurePa: number): Solved<number> => {
  const { a, b, c, fromK, toK } = ANTOINE[alcohol];
  const temperatureK = b / (a - Math.log10(pressurePa / 1e5)) - c;
  return temperatureK >= fromK && temperatureK <= toK
    ? solved(temperatureK)
    : unsolved(
        'input-out-of-range',
        `The boiling point of ${alcohol} at ${pressurePa} Pa lies outside ${fromK} to ${toK} K.`,
      );
};

/** Latent heat of water [kJ/kg] against temperature [degC]. Source: IAPWS-95 through CoolProp 8.0.0 (IF97 agrees to 0.01 %). */
const WATER_LATENT = expectSolved(
  monotoneCurve(
    [0, 20, 25, 40, 60, 80, 100, 120, 140, 160, 180, 200],
    [2500.9, 2453.52, 2441.68, 2405.98, 2357.65, 2308.0, 2256.4, 2202.11, 2144.28, 2081.97, 2014.16, 1939.74],
  ),
);

/** Latent heat of water [J/kg] at a temperature [K], 0 to 200 degC; held at the ends beyond. Source: IAPWS-95. */
export const waterLatentHeatJPerKg = (temperatureK: number): number =>
  1000 * WATER_LATENT.at(temperatureK - ZERO_CELSIUS_K);

/** Latent heat of methanol [kJ/kg] against temperature [degC]. Source: de Reuck & Craven equation of state through CoolProp 8.0.0. */
const METHANOL_LATENT = expectSolved(
  monotoneCurve(
    [0, 20, 25, 40, 60, 80, 100, 120, 150],
    [1205.05, 1176.58, 1169.0, 1145.04, 1109.64, 1069.19, 1022.06, 966.15, 860.14],
  ),
);

/** Latent heat of methanol [J/kg] at a temperature [K], 0 to 150 degC; held at the ends beyond. Source: de Reuck & Craven (1993). */
export const methanolLatentHeatJPerKg = (temperatureK: number): number =>
  1000 * METHANOL_LATENT.at(temperatureK - ZERO_CELSIUS_K);

/**
 * Most water that air can hold as vapour.
 *
 * @param pressurePa total [Pa]
 * @param temperatureK [K], -100 to 200 degC
 * @returns humidity ratio [kg/kg dry air]. Reason: `input-out-of-range` (also where water boils: no limit).
 * Source: ASHRAE Fundamentals 2017, ch. 1, eq. 21, ideal-gas mixture.
 */
export const saturatedHumidityRatio = (pressurePa: number, temperatureK: number): Solved<number> =>
  chainSolved(waterSaturationPressurePa(temperatureK), (saturation) =>
    saturation < pressurePa
      ? solved((WATER_TO_AIR_MOLAR_MASS * saturation) / (pressurePa - saturation))
      : unsolved('input-out-of-range', 'Water boils at that pressure and temperature; the air takes any amount.'),
  );

/** Cooling [K] of air by full evaporation, w hfg / cp: liquid per air [kg/kg], latent heat [J/kg], specific heat [J/(kg K)].
 * Source: simple balance; sensible heats left out. */
export const simpleEvaporativeCoolingK = (
  liquidPerAir: number,
  latentHeatJPerKg: number,
  specificHeatJPerKgK = 1006,
): number => (liquidPerAir * latentHeatJPerKg) / specificHeatJPerKgK;

/** Specific heats of air, vapours and liquids [J/(kg K)]. Source: ASHRAE Fundamentals 2017 ch. 1; CRC Handbook (methanol). */
const CP = { air: 1006, steam: 1860, water: 4186, methanolVapour: 1380, methanolLiquid: 2530 } as const;

/** Spray and the charge that it meets; masses per kilogram of dry air. */
export interface ChargeSpray {
  readonly pressurePa: number;
  readonly temperatureK: number;
  /** Vapour already in the air [kg/kg]. */
  readonly humidityRatio: number;
  readonly waterPerAir: number;
  readonly methanolPerAir: number;
  readonly liquidTemperatureK: number;
}

/** What becomes of the spray. */
export interface ChargeCooling {
  readonly temperatureK: number;
  /** Shares evaporated [-]; the rest goes on as liquid. */
  readonly waterEvaporated: number;
  readonly methanolEvaporated: number;
}

/** Methanol over dry air by molar mass [-]. */
const METHANOL_TO_AIR_MOLAR_MASS = METHANOL.molarMassKgPerMol / 28.966e-3;

/**
 * Temperature of charge air after a spray has evaporated as far as saturation allows, given time enough.
 *
 * Each liquid is limited by its own saturation pressure over the mixture (Raoult's lowering in the shared droplet and the
 * droplets' finite time are left out, so this is the most cooling that can be had). Energy: air, vapours and what stays
 * liquid end at one temperature.
 *
 * @param spray state of the charge and the liquids [Pa, K, kg/kg]
 * @returns a {@link ChargeCooling}. Reasons: `input-out-of-range`, `bracket-without-root`, `no-convergence`.
 * Source: energy balance with ASHRAE and Antoine saturation; water limit as adiabatic saturation, ASHRAE 2017 ch. 1.
 */
export const evaporateIntoCharge = (spray: ChargeSpray): Solved<ChargeCooling> => {
  const { pressurePa, temperatureK, humidityRatio, waterPerAir, methanolPerAir, liquidTemperatureK } = spray;
  const lowest = 220;
  if (
    !(
      pressurePa > 0 &&
      temperatureK > 250 &&
      temperatureK < 470 &&
      liquidTemperatureK > 250 &&
      liquidTemperatureK < 370
    ) ||
    !(humidityRatio >= 0 && waterPerAir >= 0 && methanolPerAir >= 0)
  ) {
    return unsolved(
      'input-out-of-range',
      'Charge must lie between 250 and 470 K, liquid between 250 and 370 K, no mass below 0.',
    );
  }
  const room = (saturationPa: number, molarMassRatio: number): number =>
    saturationPa >= pressurePa
      ? Number.POSITIVE_INFINITY
      : (molarMassRatio * saturationPa) / (pressurePa - saturationPa);
  const evaporated = (t: number): { water: number; methanol: number } => {
    const water = expectSolved(waterSaturationPressurePa(t));
    return {
      water: clamp(room(water, WATER_TO_AIR_MOLAR_MASS) - humidityRatio, 0, waterPerAir),
      methanol: clamp(room(antoinePa(ANTOINE.methanol, t), METHANOL_TO_AIR_MOLAR_MASS), 0, methanolPerAir),
    };
  };
  // Heats are counted from liquid at the reference, so that vapour carries its latent heat there and steam's own cp.
  const reference = ZERO_CELSIUS_K;
  const waterLatent = waterLatentHeatJPerKg(reference);
  const methanolLatent = METHANOL.latentHeatJPerKg + (CP.methanolLiquid - CP.methanolVapour) * (298.15 - reference);
  const given =
    (CP.air + humidityRatio * CP.steam) * (temperatureK - reference) +
    (waterPerAir * CP.water + methanolPerAir * CP.methanolLiquid) * (liquidTemperatureK - reference);
  const held = (t: number): number => {
    const { water, methanol } = evaporated(t);
    const rise = t - reference;
    return (
      (CP.air + humidityRatio * CP.steam) * rise +
      water * (waterLatent + CP.steam * rise) +
      (waterPerAir - water) * CP.water * rise +
      methanol * (methanolLatent + CP.methanolVapour * rise) +
      (methanolPerAir - methanol) * CP.methanolLiquid * rise
    );
  };
  const highest = Math.max(temperatureK, liquidTemperatureK);
  return mapSolved(
    findRoot((t) => held(t) - given, lowest, highest, { tolerance: 1e-7 }),
    (finalK) => {
      const { water, methanol } = evaporated(finalK);
      return {
        temperatureK: finalK,
        waterEvaporated: waterPerAir === 0 ? 1 : water / waterPerAir,
        methanolEvaporated: methanolPerAir === 0 ? 1 : methanol / methanolPerAir,
      };
    },
  );
};

/** Relative humidity [-] of air with a humidity ratio [kg/kg] at a pressure [Pa] and temperature [K]; above 1 means fog.
 * Reason: `input-out-of-range`. Source: ASHRAE Fundamentals 2017, ch. 1. */
export const relativeHumidityOf = (humidityRatio: number, pressurePa: number, temperatureK: number): Solved<number> =>
  mapSolved(
    waterSaturationPressurePa(temperatureK),
    (saturation) => vapourPressureFromHumidityRatioPa(humidityRatio, pressurePa) / saturation,
  );
