/**
 * Water-methanol mixtures for injection.
 *
 * "Per cent by volume" has two meanings: volumes measured before mixing, or methanol in the volume after mixing (as
 * handbook tables have it; the mix shrinks). Both stand here and say which. Density and freezing point are Melinder's
 * (2010) for 8 to 60 per cent by mass; methanol burns with a flame that daylight hides, so see {@link METHANOL_HAZARD}.
 */

import { clamp } from './clamp.ts';
import { linearCurve, monotoneCurve } from './curves.ts';
import { METHANOL } from './fuels.ts';
import { expectSolved, mapSolved, type Solved, solved, unsolved } from './reason.ts';
import { findRoot } from './roots.ts';

const ZERO_CELSIUS_K = 273.15;
const REFERENCE_K = ZERO_CELSIUS_K + 20;

/** Hazards of methanol: lower flammable limit by volume in air [-], flash point closed cup [K]. Source: NFPA 497:2008. */
export const METHANOL_HAZARD = { lowerFlammableLimit: 0.06, flashPointK: 285.15 } as const;

/** Water at 20 degC [kg/m3]. Source: CRC Handbook. */
export const WATER_KG_PER_M3 = 998.2;
/** Methanol at 20 degC [kg/m3]. Source: CRC Handbook. */
export const METHANOL_KG_PER_M3 = METHANOL.densityKgPerM3;

/** Latent heat of water at 25 degC [J/kg]. Source: IAPWS-IF97. */
export const WATER_LATENT_J_PER_KG = 2.4417e6;

/**
 * Methanol by mass [-]; freezing point [degC]; density at 0, 20 and 40 degC [kg/m3].
 * Source: Melinder, Properties of Secondary Working Fluids for Indirect Systems (IIR, 2010), aqueous methanol, through
 * CoolProp 8.0.0; first row water, CRC Handbook.
 */
const TABLE = [
  [0, 0, 999.8, 998.2, 992.2],
  [0.08, -5.065, 987.01, 984.62, 978.33],
  [0.1, -6.54, 984.39, 981.54, 975.02],
  [0.15, -10.566, 978.32, 974.11, 966.75],
  [0.2, -15.08, 972.52, 966.79, 958.37],
  [0.25, -20.105, 966.58, 959.29, 949.77],
  [0.3, -25.685, 960.22, 951.48, 940.9],
  [0.35, -31.868, 953.3, 943.25, 931.73],
  [0.4, -38.703, 945.73, 934.57, 922.27],
  [0.45, -46.229, 937.51, 925.41, 912.46],
  [0.5, -54.466, 928.64, 915.72, 902.22],
  [0.55, -63.407, 919.12, 905.42, 891.38],
  [0.6, -73.006, 908.94, 894.36, 879.64],
] as const;
/** Density beyond the fit at 20 degC [kg/m3]. Source: Perry's Chemical Engineers' Handbook, table 2-109 (from memory); methanol CRC. */
const RICH = [
  [0.7, 871.5],
  [0.8, 846.9],
  [0.9, 820.2],
  [1, METHANOL_KG_PER_M3],
] as const;

const column = (index: 0 | 1 | 2 | 3 | 4): number[] => TABLE.map((row) => row[index]);
const freezing = expectSolved(monotoneCurve(column(0), column(1)));
const density20 = expectSolved(
  monotoneCurve([...column(0), ...RICH.map((row) => row[0])], [...column(3), ...RICH.map((row) => row[1])]),
);
/** Slope of density with temperature [kg/(m3 K)]; pure methanol -0.94 (CRC). */
const expansionCold = expectSolved(
  linearCurve([...column(0), 1], [...TABLE.map((row) => (row[3] - row[2]) / 20), -0.94]),
);
const expansionWarm = expectSolved(
  linearCurve([...column(0), 1], [...TABLE.map((row) => (row[4] - row[3]) / 20), -0.94]),
);
/** Richest mix whose freezing point is tabled [-]. */
const RICHEST_TABLED = 0.6;

const fraction = (value: number): boolean => value >= 0 && value <= 1;
const notAFraction = <T>(name: string, value: number): Solved<T> =>
  unsolved('input-out-of-range', `${name} lies between 0 and 1; got ${value}.`);

/**
 * Density of a mix.
 *
 * @param methanolMassFraction 0 to 1 [-]
 * @param temperatureK [K], about 0 to 40 degC; held to -10 to 50 degC
 * @returns [kg/m3]. Reason: `input-out-of-range`.
 * Source: Melinder (2010) to 60 % by mass, Perry's table 2-109 beyond (at 20 degC; expansion interpolated).
 */
export const waterMethanolDensityKgPerM3 = (
  methanolMassFraction: number,
  temperatureK: number = REFERENCE_K,
): Solved<number> => {
  if (!fraction(methanolMassFraction)) return notAFraction('Methanol by mass', methanolMassFraction);
  const above20 = clamp(temperatureK - REFERENCE_K, -30, 30);
  const slope = (above20 < 0 ? expansionCold : expansionWarm).at(methanolMassFraction);
  return solved(density20.at(methanolMassFraction) + slope * above20);
};

/**
 * Methanol by mass [-] from volumes measured before mixing at 20 degC [-]. Reason: `input-out-of-range`.
 * Source: mass balance with CRC densities 791.4 and 998.2 kg/m3.
 */
export const massFractionFromVolumesBeforeMixing = (methanolVolumeFraction: number): Solved<number> => {
  if (!fraction(methanolVolumeFraction)) return notAFraction('Methanol by volume', methanolVolumeFraction);
  const methanol = methanolVolumeFraction * METHANOL_KG_PER_M3;
  return solved(methanol / (methanol + (1 - methanolVolumeFraction) * WATER_KG_PER_M3));
};

/**
 * Volume fraction before mixing at 20 degC [-] from methanol by mass [-]; inverse of
 * {@link massFractionFromVolumesBeforeMixing}. Reason: `input-out-of-range`. Source: mass balance.
 */
export const volumeBeforeMixingFromMassFraction = (methanolMassFraction: number): Solved<number> => {
  if (!fraction(methanolMassFraction)) return notAFraction('Methanol by mass', methanolMassFraction);
  const methanol = methanolMassFraction / METHANOL_KG_PER_M3;
  return solved(methanol / (methanol + (1 - methanolMassFraction) / WATER_KG_PER_M3));
};

/**
 * Volume of methanol over the volume of the finished mix at 20 degC [-] from methanol by mass [-].
 * Reason: `input-out-of-range`. Source: mass balance with {@link waterMethanolDensityKgPerM3}.
 */
export const finalVolumeFromMassFraction = (methanolMassFraction: number): Solved<number> =>
  mapSolved(
    waterMethanolDensityKgPerM3(methanolMassFraction),
    (mixDensity) => (methanolMassFraction * mixDensity) / METHANOL_KG_PER_M3,
  );

/**
 * Methanol by mass [-] from methanol over the volume of the finished mix at 20 degC [-], the handbook's "per cent by
 * volume". Reasons: `input-out-of-range`, `no-convergence`. Source: inverse of {@link finalVolumeFromMassFraction}.
 */
export const massFractionFromFinalVolume = (methanolVolumeFraction: number): Solved<number> =>
  fraction(methanolVolumeFraction)
    ? findRoot((w) => (w * density20.at(w)) / METHANOL_KG_PER_M3 - methanolVolumeFraction, 0, 1)
    : notAFraction('Methanol by volume', methanolVolumeFraction);

/**
 * Freezing point [K] of a mix, methanol by mass 0 to 0.6 [-]; pure methanol, without additives.
 * Reason: `input-out-of-range` (richer mixes freeze below -73 degC). Source: Melinder (2010); Lange's table 5.13 agrees.
 */
export const waterMethanolFreezingPointK = (methanolMassFraction: number): Solved<number> =>
  methanolMassFraction >= 0 && methanolMassFraction <= RICHEST_TABLED
    ? solved(freezing.at(methanolMassFraction) + ZERO_CELSIUS_K)
    : unsolved(
        'input-out-of-range',
        'Freezing points are tabled from 0 to 60 % methanol by mass; richer mixes freeze below -73 degC.',
      );

/** Latent heat of a mix [J/kg] at 25 degC, mass-weighted, methanol by mass [-]. Reason: `input-out-of-range`. Source: ideal mass sum. */
export const waterMethanolLatentHeatJPerKg = (methanolMassFraction: number): Solved<number> =>
  fraction(methanolMassFraction)
    ? solved(methanolMassFraction * METHANOL.latentHeatJPerKg + (1 - methanolMassFraction) * WATER_LATENT_J_PER_KG)
    : notAFraction('Methanol by mass', methanolMassFraction);

/**
 * Heat that a mix gives on burning, liquid in and water vapour out [J/kg], methanol by mass [-]; below zero for mixes
 * that are nearly water. Reason: `input-out-of-range`. Source: definition; water counts its latent heat as a loss.
 */
export const waterMethanolHeatingValueJPerKg = (methanolMassFraction: number): Solved<number> =>
  fraction(methanolMassFraction)
    ? solved(
        methanolMassFraction * METHANOL.lowerHeatingValueJPerKg - (1 - methanolMassFraction) * WATER_LATENT_J_PER_KG,
      )
    : notAFraction('Methanol by mass', methanolMassFraction);

/** What to pour together. */
export interface MixRecipe {
  readonly methanolM3: number;
  readonly waterM3: number;
}

/**
 * Volumes of methanol and water for a volume of finished mix, at 20 degC. Together they are more than the mix.
 *
 * @param mixVolumeM3 [m3], 0 or more
 * @param methanolMassFraction [-]
 * @returns a {@link MixRecipe} [m3]. Reason: `input-out-of-range`.
 * Source: mass balance.
 */
export const mixRecipe = (mixVolumeM3: number, methanolMassFraction: number): Solved<MixRecipe> =>
  mixVolumeM3 >= 0
    ? mapSolved(waterMethanolDensityKgPerM3(methanolMassFraction), (mixDensity) => ({
        methanolM3: (mixVolumeM3 * mixDensity * methanolMassFraction) / METHANOL_KG_PER_M3,
        waterM3: (mixVolumeM3 * mixDensity * (1 - methanolMassFraction)) / WATER_KG_PER_M3,
      }))
    : unsolved('input-out-of-range', `A volume of mix is not negative; got ${mixVolumeM3} m3.`);
