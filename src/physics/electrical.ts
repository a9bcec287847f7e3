/** Wire and battery: gauge sizes, resistance, voltage drop, run time. */
import { type Solved, solved, unsolved } from './reason.ts';

/** Resistivity of copper at 20 degC [ohm m] (100 % IACS) and its temperature coefficient there [1/K]. Source: IEC 60028 (1925). */
export const COPPER = { resistivityOhmM: 1.7241e-8, temperatureCoefficientPerK: 0.00393 } as const;
/** Extra length of stranded wire [-]. Source: common practice, about 2 %; ASTM B8. */
export const STRANDING_FACTOR = 1.02;
const ZERO_CELSIUS_K = 273.15;
const REFERENCE_K = ZERO_CELSIUS_K + 20;

/** Wire diameter [m] of an American gauge number n (0 = 1/0, -1 = 2/0), 0.127 mm 92^((36-n)/39). Source: ASTM B258. */
export const gaugeDiameterM = (gauge: number): number => 0.127e-3 * 92 ** ((36 - gauge) / 39);

/** Cross-section [m2] of an American gauge number. Source: ASTM B258. */
export const gaugeAreaM2 = (gauge: number): number => (Math.PI / 4) * gaugeDiameterM(gauge) ** 2;

/** Resistance of copper over that at 20 degC [-] at a temperature [K], about -50 to 200 degC. Source: IEC 60028. */
export const copperResistanceRatio = (temperatureK: number): number =>
  1 + COPPER.temperatureCoefficientPerK * (temperatureK - REFERENCE_K);

/** Resistance of solid copper [ohm/m] of a cross-section above 0 [m2] at a temperature [K]; times {@link STRANDING_FACTOR} if stranded. Source: IEC 60028. */
export const copperResistanceOhmPerM = (areaM2: number, temperatureK = REFERENCE_K): number =>
  (COPPER.resistivityOhmM / areaM2) * copperResistanceRatio(temperatureK);

/** Voltage drop [V] of a current [A] over a total length, out and back [m], cross-section [m2], temperature [K]. Source: Ohm's law. */
export const cableVoltageDropV = (
  currentA: number,
  totalLengthM: number,
  areaM2: number,
  temperatureK = REFERENCE_K,
): number => currentA * totalLengthM * copperResistanceOhmPerM(areaM2, temperatureK);

/**
 * Short-circuit constant k of a copper conductor between two temperatures [A sqrt(s)/m2]: a cross-section withstands
 * I sqrt(t) / k.
 *
 * @param initialK before the fault [K]
 * @param finalK that the insulation stands [K], above initial
 * @returns [A s^0.5/m2]. Reason: `input-out-of-range`.
 * Source: IEC 60364-5-54, annex A, Qc = 3.45e-3 J/(K mm3), beta = 234.5 degC.
 */
export const shortCircuitConstant = (initialK: number, finalK: number): Solved<number> => {
  const beta = 234.5;
  const initialC = initialK - ZERO_CELSIUS_K;
  if (!(finalK > initialK && initialC > -beta)) {
    return unsolved(
      'input-out-of-range',
      'A short circuit heats the conductor: the final temperature lies above the initial.',
    );
  }
  const heat = 3.45e6;
  const share = Math.log1p((finalK - initialK) / (beta + initialC));
  return solved(Math.sqrt(((heat * (beta + 20)) / COPPER.resistivityOhmM) * share));
};

/** Conditions of battery ratings [K, s, V per cell, A]. Source: SAE J537 (cold cranking, reserve capacity), BCI (cranking amperes). */
export const BATTERY_TESTS = {
  coldCranking: { temperatureK: 255.15, durationS: 30, cellVoltageV: 1.2 },
  cranking: { temperatureK: 273.15, durationS: 30, cellVoltageV: 1.2 },
  reserveCapacity: { temperatureK: 300.15, currentA: 25, cellVoltageV: 1.75 },
} as const;

/** Battery cases by BCI group: length, width, height [m]. Source: BCI dimensional chart; makers differ by some millimetres. */
export const BATTERY_GROUPS: Readonly<Record<string, readonly [lengthM: number, widthM: number, heightM: number]>> = {
  '35': [0.23, 0.175, 0.225],
  '65': [0.306, 0.191, 0.192],
};

/**
 * Run time of a lead-acid battery, t = H (C / (I H))^k.
 *
 * @param capacityAs rated capacity [A s]
 * @param ratedTimeS discharge time H of the rating [s], 20 h usually
 * @param currentA [A], above 0
 * @param exponent Peukert's k [-], 1.05 to 1.3
 * @returns [s]
 * Source: Peukert (1897); not for cranking currents.
 */
export const peukertRunTimeS = (capacityAs: number, ratedTimeS: number, currentA: number, exponent: number): number =>
  ratedTimeS * (capacityAs / (currentA * ratedTimeS)) ** exponent;

/** Charge [A s] behind a reserve capacity [s] at 25 A. Source: SAE J537. */
export const chargeOfReserveCapacityAs = (reserveCapacityS: number): number =>
  reserveCapacityS * BATTERY_TESTS.reserveCapacity.currentA;

/** Apparent internal resistance [ohm] from open-circuit voltage [V] and voltage [V] under a current above 0 [A]; at the rating's temperature only. Source: Ohm's law. */
export const apparentResistanceOhm = (openCircuitV: number, loadedV: number, currentA: number): number =>
  (openCircuitV - loadedV) / currentA;
