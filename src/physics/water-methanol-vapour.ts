/**
 * Vapour over a water-methanol mix: activities by Wilson's equation, partial pressures, boiling point.
 *
 * Methanol escapes more readily than its share says (activity above 1), which an ideal mix would miss by up to a third.
 */
import { waterSaturationPressurePa } from './air.ts';
import { alcoholPressurePa } from './evaporation.ts';
import { METHANOL } from './fuels.ts';
import { expectSolved, type Solved, solved, unsolved } from './reason.ts';
import { findRoot } from './roots.ts';

/** Molar mass of water [kg/mol]. Source: IUPAC 2021. */
export const WATER_MOLAR_MASS_KG_PER_MOL = 18.015e-3;

/**
 * Wilson's constants for methanol (1) and water (2): energies [cal/mol] over the gas constant [K], and molar volumes
 * [cm3/mol]. Source: Gmehling & Onken, VLE Data Collection (DECHEMA), as in Perry's 7th ed., table 13-7 (from memory).
 */
const WILSON = { k12: 107.3832 / 1.98721, k21: 469.5509 / 1.98721, volume1: 40.73, volume2: 18.07 } as const;

/** Activity coefficients [-]. */
export interface Activities {
  readonly methanol: number;
  readonly water: number;
}

/** Methanol by mole [-] in the liquid from methanol by mass [-]. Definition. */
export const methanolMoleFraction = (methanolMassFraction: number): number => {
  const methanol = methanolMassFraction / METHANOL.molarMassKgPerMol;
  return methanol / (methanol + (1 - methanolMassFraction) / WATER_MOLAR_MASS_KG_PER_MOL);
};

/**
 * Activity coefficients in the liquid [-] at methanol by mole 0 to 1 [-] and a temperature [K], about 280 to 375.
 * Source: Wilson, J. Am. Chem. Soc. 86 (1964) 127; constants of Gmehling & Onken. Measured vapour at 1 atm is met within 2 %.
 */
export const waterMethanolActivities = (moleFraction: number, temperatureK: number): Activities => {
  const a12 = (WILSON.volume2 / WILSON.volume1) * Math.exp(-WILSON.k12 / temperatureK);
  const a21 = (WILSON.volume1 / WILSON.volume2) * Math.exp(-WILSON.k21 / temperatureK);
  const water = 1 - moleFraction;
  const s1 = moleFraction + a12 * water;
  const s2 = water + a21 * moleFraction;
  const common = a12 / s1 - a21 / s2;
  return { methanol: Math.exp(water * common) / s1, water: Math.exp(-moleFraction * common) / s2 };
};

/** Partial pressures over a mix [Pa]. */
export interface MixPressures {
  readonly methanolPa: number;
  readonly waterPa: number;
}

/**
 * Partial pressures over a mix.
 *
 * @param moleFraction methanol by mole in the liquid, 0 to 1 [-]
 * @param temperatureK [K], 240 to 400
 * @returns {@link MixPressures} [Pa]. Reason: `input-out-of-range`.
 * Source: modified Raoult's law with Wilson's activities; ASHRAE (water) and Antoine (methanol) for the pure liquids.
 */
export const waterMethanolPressuresPa = (moleFraction: number, temperatureK: number): Solved<MixPressures> => {
  if (!(moleFraction >= 0 && moleFraction <= 1 && temperatureK >= 240 && temperatureK <= 400)) {
    return unsolved(
      'input-out-of-range',
      'Methanol by mole lies between 0 and 1, the temperature between 240 and 400 K.',
    );
  }
  const water = waterSaturationPressurePa(temperatureK);
  if (!water.ok) return water;
  const activity = waterMethanolActivities(moleFraction, temperatureK);
  return solved({
    methanolPa: moleFraction * activity.methanol * alcoholPressurePa('methanol', temperatureK),
    waterPa: (1 - moleFraction) * activity.water * water.value,
  });
};

/**
 * Boiling point of a mix [K] at methanol by mole [-] and a pressure [Pa], 5 kPa to 250 kPa.
 * Reasons: `input-out-of-range`, `bracket-without-root`. Source: {@link waterMethanolPressuresPa} solved for the temperature.
 */
export const waterMethanolBoilingPointK = (moleFraction: number, pressurePa: number): Solved<number> =>
  moleFraction >= 0 && moleFraction <= 1
    ? findRoot(
        (t) => {
          const { methanolPa, waterPa } = expectSolved(waterMethanolPressuresPa(moleFraction, t));
          return Math.log((methanolPa + waterPa) / pressurePa);
        },
        260,
        400,
        { tolerance: 1e-6 },
      )
    : unsolved('input-out-of-range', `Methanol by mole lies between 0 and 1; got ${moleFraction}.`);
