/**
 * Correction of measured power to standard air: corrected power = factor times observed power.
 *
 * All of these suppose an engine whose air flow follows the weather. A turbocharged engine whose boost control holds a
 * manifold pressure makes up for much of the weather by itself, so each of them then gives too much on a poor day (and
 * too little on a good one). The caution travels with every answer.
 */
import { type Solved, solved, unsolved } from './reason.ts';

/** The standards that are known here. */
export type CorrectionStandard = 'SAE J1349' | 'ISO 1585' | 'DIN 70020' | 'SAE J607';

/** What every corrected figure of a boost-controlled engine must say. Source: common practice, no standard. */
export const BOOST_CONTROL_CAUTION =
  'Boost control makes up for part of the weather, so this factor over-corrects an engine that holds its boost target.';

/** Bounds of validity; absent where the standard (as known here) states none. */
export interface CorrectionValidity {
  readonly temperatureK?: readonly [number, number];
  readonly dryPressurePa?: readonly [number, number];
  readonly factor?: readonly [number, number];
}

interface CorrectionLaw {
  readonly reference: {
    readonly temperatureK: number;
    readonly pressurePa: number;
    readonly pressureIs: 'dry' | 'total';
  };
  readonly validity: CorrectionValidity;
  readonly source: string;
  readonly factor: (totalPressurePa: number, dryPressurePa: number, temperatureK: number) => number;
}

const INCH_OF_MERCURY_PA = 3386.389;

/**
 * The standards: reference state [K, Pa], range of validity and source of each. The offsets 273 and 460 are those the
 * standards print; 273.15 would change a factor by less than 0.03 %.
 */
export const CORRECTION_STANDARDS: Readonly<Record<CorrectionStandard, CorrectionLaw>> = {
  'SAE J1349': {
    reference: { temperatureK: 298, pressurePa: 99000, pressureIs: 'dry' },
    // Limits from memory of the JUN90 text; no second source seen.
    validity: { temperatureK: [288.15, 308.15], dryPressurePa: [90000, 105000], factor: [0.93, 1.07] },
    source: 'SAE J1349 JUN90, atmospheric correction of a spark-ignition engine at 85 % mechanical efficiency',
    factor: (_, dryPa, temperatureK) => 1.18 * (99000 / dryPa) * Math.sqrt((temperatureK - 0.15) / 298) - 0.18,
  },
  'ISO 1585': {
    reference: { temperatureK: 298, pressurePa: 99000, pressureIs: 'dry' },
    // Limits from memory of UN R85 annex 5; no second source seen.
    validity: { temperatureK: [283, 313], dryPressurePa: [80000, 110000], factor: [0.93, 1.07] },
    source: 'ISO 1585:1992 and UN R85 annex 5, spark ignition',
    factor: (_, dryPa, temperatureK) => (99000 / dryPa) ** 1.2 * ((temperatureK - 0.15) / 298) ** 0.6,
  },
  'DIN 70020': {
    reference: { temperatureK: 293, pressurePa: 101300, pressureIs: 'total' },
    validity: {},
    source: 'DIN 70020 (formula from memory)',
    factor: (totalPa, _, temperatureK) => (101300 / totalPa) * Math.sqrt((temperatureK - 0.15) / 293),
  },
  'SAE J607': {
    reference: { temperatureK: 288.71, pressurePa: 29.92 * INCH_OF_MERCURY_PA, pressureIs: 'dry' },
    validity: {},
    source: 'SAE J607 (withdrawn; formula from memory)',
    factor: (_, dryPa, temperatureK) =>
      ((29.92 * INCH_OF_MERCURY_PA) / dryPa) * Math.sqrt((temperatureK * 1.8 - 459.67 + 460) / 520),
  },
};

/** A correction factor and how far it may be trusted. */
export interface PowerCorrection {
  readonly standard: CorrectionStandard;
  /** Corrected power over observed power [-]. */
  readonly factor: number;
  /** What lies outside the standard's range; empty when all is inside or the standard states none. */
  readonly outsideRange: readonly string[];
  readonly caution: string;
}

const outside = (name: string, value: number, range: readonly [number, number] | undefined): string[] =>
  range && (value < range[0] || value > range[1])
    ? [`${name} ${Number(value.toPrecision(6))} lies outside ${range[0]} to ${range[1]}`]
    : [];

/**
 * Factor from observed to corrected power.
 *
 * SAE J1349: 1.18 (990 hPa/pd) sqrt((t + 273)/298) - 0.18. ISO 1585: (99 kPa/pd)^1.2 ((t + 273)/298)^0.6.
 * DIN 70020: (1013 hPa/p) sqrt((t + 273)/293). SAE J607: (29.92 inHg/pd) sqrt((tF + 460)/520).
 *
 * @param standard which standard
 * @param totalPressurePa barometer [Pa]
 * @param vapourPressurePa partial pressure of water vapour [Pa]; the standards but DIN use the dry pressure
 * @param temperatureK intake air [K]
 * @returns a {@link PowerCorrection}; outside the range of validity it still answers and says so. Reason:
 * `input-out-of-range` where there is no dry air or no temperature.
 * Source: per standard, in {@link CORRECTION_STANDARDS}.
 */
export const powerCorrection = (
  standard: CorrectionStandard,
  totalPressurePa: number,
  vapourPressurePa: number,
  temperatureK: number,
): Solved<PowerCorrection> => {
  const dryPressurePa = totalPressurePa - vapourPressurePa;
  if (!(vapourPressurePa >= 0 && dryPressurePa > 0 && temperatureK > 1)) {
    return unsolved('input-out-of-range', 'A power correction needs dry air at a positive pressure and temperature.');
  }
  const law = CORRECTION_STANDARDS[standard];
  const factor = law.factor(totalPressurePa, dryPressurePa, temperatureK);
  return solved({
    standard,
    factor,
    outsideRange: [
      ...outside('temperature [K]', temperatureK, law.validity.temperatureK),
      ...outside('dry pressure [Pa]', dryPressurePa, law.validity.dryPressurePa),
      ...outside('factor', factor, law.validity.factor),
    ],
    caution: BOOST_CONTROL_CAUTION,
  });
};
