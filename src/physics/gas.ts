/**
 * Ideal-gas mixtures with temperature-dependent properties, fast enough for inner loops.
 *
 * A mixture keeps one polynomial pair of its own (the mass-weighted sum over its species), so a property costs one
 * Horner sum whatever the number of species. Between 200 and 3500 K the properties are those of the source; outside,
 * specific heat stays at its end value and enthalpy and entropy follow from that, so that they stay finite, smooth and
 * rising while an iteration passes through.
 */
import { clamp } from './clamp.ts';
import { type Solved, solved, unsolved } from './reason.ts';
import { ALL_SPECIES, MOLAR_GAS_CONSTANT_J_PER_MOL_K, SPECIES, type Species } from './species.ts';

/** Range of the polynomials [K]. Source: GRI-Mech 3.0 (nitrogen and argon are stated from 300 K). */
export const GAS_RANGE_K = { from: 200, to: 3500 } as const;
const MIDDLE_K = 1000;

/** Shares by mole; they need not add up to one. */
export type Composition = Readonly<Partial<Record<Species, number>>>;

/** A mixture ready for evaluation. */
export interface Gas {
  /** Shares by mole [mol/mol], adding up to one; species with none are absent. */
  readonly moleFractions: Composition;
  readonly molarMassKgPerMol: number;
  readonly gasConstantJPerKgK: number;
  /** a1..a7 times the gas constant, below and above 1000 K. */
  readonly low: Float64Array;
  readonly high: Float64Array;
}

/** The species table laid out flat, since mixtures are made in inner loops too. */
const MOLAR_MASSES = Float64Array.from(ALL_SPECIES, (species) => SPECIES[species].molarMassKgPerMol);
const LOW = Float64Array.from(ALL_SPECIES.flatMap((species) => SPECIES[species].low));
const HIGH = Float64Array.from(ALL_SPECIES.flatMap((species) => SPECIES[species].high));
/** Working space of {@link gasMixture}. */
const shares = new Float64Array(ALL_SPECIES.length);

/**
 * A mixture from shares by mole.
 *
 * @param composition moles of each species [any, same unit]; zero or more, not all zero
 * @returns a {@link Gas}. Reason: `input-out-of-range`.
 * Source: ideal mixture (Gibbs-Dalton); entropy of mixing is part of the constant, so s holds at fixed composition.
 */
export const gasMixture = (composition: Composition): Solved<Gas> => {
  let total = 0;
  for (let s = 0; s < ALL_SPECIES.length; s++) {
    const share = composition[ALL_SPECIES[s]!] ?? 0;
    if (!(share >= 0 && share < Number.POSITIVE_INFINITY)) {
      return unsolved('input-out-of-range', `The share of ${ALL_SPECIES[s]} is ${share}; it cannot be negative.`);
    }
    shares[s] = share;
    total += share;
  }
  if (total === 0) return unsolved('input-out-of-range', 'A mixture needs at least one species.');
  const moleFractions: Partial<Record<Species, number>> = {};
  const low = new Float64Array(7);
  const high = new Float64Array(7);
  let molarMass = 0;
  for (let s = 0; s < ALL_SPECIES.length; s++) {
    const share = shares[s]! / total;
    if (share === 0) continue;
    moleFractions[ALL_SPECIES[s]!] = share;
    molarMass += share * MOLAR_MASSES[s]!;
    for (let i = 0; i < 7; i++) {
      low[i]! += share * LOW[7 * s + i]!;
      high[i]! += share * HIGH[7 * s + i]!;
    }
    const mixing = share * Math.log(share);
    low[6]! -= mixing;
    high[6]! -= mixing;
  }
  const gasConstant = MOLAR_GAS_CONSTANT_J_PER_MOL_K / molarMass;
  for (let i = 0; i < 7; i++) {
    low[i]! *= gasConstant;
    high[i]! *= gasConstant;
  }
  return solved({ moleFractions, molarMassKgPerMol: molarMass, gasConstantJPerKgK: gasConstant, low, high });
};

const cpInside = (a: Float64Array, t: number): number => a[0]! + t * (a[1]! + t * (a[2]! + t * (a[3]! + t * a[4]!)));
const hInside = (a: Float64Array, t: number): number =>
  a[5]! + t * (a[0]! + t * (a[1]! / 2 + t * (a[2]! / 3 + t * (a[3]! / 4 + (t * a[4]!) / 5))));
const sInside = (a: Float64Array, t: number): number =>
  a[6]! + a[0]! * Math.log(t) + t * (a[1]! + t * (a[2]! / 2 + t * (a[3]! / 3 + (t * a[4]!) / 4)));

const coefficients = (gas: Gas, t: number): Float64Array => (t < MIDDLE_K ? gas.low : gas.high);
const within = (t: number): number => clamp(t, GAS_RANGE_K.from, GAS_RANGE_K.to);

/**
 * Specific heat at constant pressure [J/(kg K)] at a temperature [K], 200 to 3500; held beyond.
 * Source: NASA seven-term form with GRI-Mech 3.0 coefficients.
 */
export const specificHeatJPerKgK = (gas: Gas, temperatureK: number): number => {
  const t = within(temperatureK);
  return cpInside(coefficients(gas, t), t);
};

/**
 * Enthalpy [J/kg] at a temperature [K], with the heat of formation from the elements at 298.15 K included.
 * Source: NASA seven-term form with GRI-Mech 3.0 coefficients; range 200 to 3500 K, constant specific heat beyond.
 */
export const enthalpyJPerKg = (gas: Gas, temperatureK: number): number => {
  const t = within(temperatureK);
  const a = coefficients(gas, t);
  return t === temperatureK ? hInside(a, t) : hInside(a, t) + cpInside(a, t) * (temperatureK - t);
};

/** Internal energy u = h - R T [J/kg] at a temperature [K]. Source: definition, with {@link enthalpyJPerKg}. */
export const internalEnergyJPerKg = (gas: Gas, temperatureK: number): number =>
  enthalpyJPerKg(gas, temperatureK) - gas.gasConstantJPerKgK * temperatureK;

/**
 * Entropy [J/(kg K)] at a temperature [K] above 0 and a pressure [Pa] above 0.
 * Source: NASA seven-term form with GRI-Mech 3.0 coefficients, less R ln(p / 1 atm), the file's standard pressure.
 */
export const entropyJPerKgK = (gas: Gas, temperatureK: number, pressurePa: number): number =>
  standardEntropy(gas, temperatureK) - gas.gasConstantJPerKgK * Math.log(pressurePa / 101325);

const standardEntropy = (gas: Gas, temperatureK: number): number => {
  const t = within(temperatureK);
  const a = coefficients(gas, t);
  return t === temperatureK ? sInside(a, t) : sInside(a, t) + cpInside(a, t) * Math.log(temperatureK / t);
};

/** Ratio of specific heats cp / (cp - R) [-] at a temperature [K]. Source: definition. */
export const heatRatio = (gas: Gas, temperatureK: number): number => {
  const cp = specificHeatJPerKgK(gas, temperatureK);
  return cp / (cp - gas.gasConstantJPerKgK);
};

/**
 * Temperature that has an enthalpy, by Newton steps (enthalpy rises with temperature, so there is one).
 *
 * @param gas the mixture
 * @param enthalpy [J/kg] on the scale of {@link enthalpyJPerKg}
 * @param guessK start [K]
 * @returns [K]. Reasons: `input-out-of-range` (below 0 K), `no-convergence`.
 * Source: inverse of {@link enthalpyJPerKg}.
 */
export const temperatureFromEnthalpyK = (gas: Gas, enthalpy: number, guessK = 600): Solved<number> => {
  let t = guessK;
  for (let i = 0; i < 50; i++) {
    const step = (enthalpy - enthalpyJPerKg(gas, t)) / specificHeatJPerKgK(gas, t);
    t += step;
    if (Math.abs(step) <= 1e-9 * Math.abs(t) + 1e-9) {
      return t > 0 ? solved(t) : unsolved('input-out-of-range', 'That enthalpy lies below absolute zero.');
    }
  }
  return unsolved('no-convergence', `No temperature found for an enthalpy of ${enthalpy} J/kg.`);
};

/** Newton on ln T; standard entropy rises with temperature without bound either way, so one answer always exists. */
const temperatureAtEntropy = (gas: Gas, target: number, guessK: number): number => {
  let t = guessK;
  for (let i = 0; i < 60; i++) {
    const step = (target - standardEntropy(gas, t)) / specificHeatJPerKgK(gas, t);
    t *= Math.exp(step);
    if (Math.abs(step) < 1e-11) break;
  }
  return t;
};

/**
 * Temperature after an isentropic change of pressure with variable specific heat: s0(T2) - s0(T1) = R ln(p2/p1).
 *
 * @param gas the mixture, of fixed composition
 * @param temperatureK before [K], above 0
 * @param pressureRatio p2/p1 [-], above 0
 * @returns [K]. Errors: RangeError for a temperature or ratio that is not positive (a programming error).
 * Source: Cengel & Boles, Thermodynamics, sect. 7-9 (exact analysis).
 */
export const isentropicTemperatureK = (gas: Gas, temperatureK: number, pressureRatio: number): number => {
  if (!(temperatureK > 0 && pressureRatio > 0)) {
    throw new RangeError(`Isentropic change needs positive numbers; got ${temperatureK} K and ratio ${pressureRatio}.`);
  }
  const exponent = gas.gasConstantJPerKgK / specificHeatJPerKgK(gas, temperatureK);
  return temperatureAtEntropy(
    gas,
    standardEntropy(gas, temperatureK) + gas.gasConstantJPerKgK * Math.log(pressureRatio),
    temperatureK * pressureRatio ** exponent,
  );
};

/**
 * Temperature after an isentropic change of volume with variable specific heat:
 * s0(T2) - s0(T1) = R ln(T2/T1) + R ln(v1/v2).
 *
 * @param gas the mixture, of fixed composition
 * @param temperatureK before [K], above 0
 * @param volumeRatio v1/v2 [-], above 0; larger than 1 compresses
 * @returns [K]. Errors: RangeError for a temperature or ratio that is not positive (a programming error).
 * Source: Cengel & Boles, Thermodynamics, sect. 7-9 (relative specific volume).
 */
export const isentropicCompressionTemperatureK = (gas: Gas, temperatureK: number, volumeRatio: number): number => {
  if (!(temperatureK > 0 && volumeRatio > 0)) {
    throw new RangeError(`Isentropic change needs positive numbers; got ${temperatureK} K and ratio ${volumeRatio}.`);
  }
  const r = gas.gasConstantJPerKgK;
  const target = standardEntropy(gas, temperatureK) + r * Math.log(volumeRatio / temperatureK);
  let t = temperatureK * volumeRatio ** (r / (specificHeatJPerKgK(gas, temperatureK) - r));
  for (let i = 0; i < 60; i++) {
    const step = (target - standardEntropy(gas, t) + r * Math.log(t)) / (specificHeatJPerKgK(gas, t) - r);
    t *= Math.exp(step);
    if (Math.abs(step) < 1e-11) break;
  }
  return t;
};

const known = (composition: Composition): Gas => {
  const gas = gasMixture(composition);
  if (!gas.ok) throw new Error(gas.reason.says);
  return gas.value;
};

/** Dry air by mole [mol/mol]. Source: N2 0.78084, O2 0.20946, Ar 0.00934, CO2 0.00036 (U.S. Standard Atmosphere). */
export const DRY_AIR_COMPOSITION = {
  N2: 0.78084,
  O2: 0.20946,
  Ar: 0.00934,
  CO2: 0.00036,
} as const satisfies Composition;

/** Dry air. Source: {@link DRY_AIR_COMPOSITION}. */
export const DRY_AIR: Gas = known(DRY_AIR_COMPOSITION);

/**
 * Air with water vapour.
 *
 * @param humidityRatio vapour per dry air [kg/kg], 0 or more
 * @returns a {@link Gas}. Reason: `input-out-of-range`.
 * Source: ideal mixture.
 */
export const humidAirGas = (humidityRatio: number): Solved<Gas> =>
  gasMixture({
    ...DRY_AIR_COMPOSITION,
    H2O: (humidityRatio * DRY_AIR.molarMassKgPerMol) / SPECIES.H2O.molarMassKgPerMol,
  });
