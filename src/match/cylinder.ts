/**
 * What happens in the cylinder, as the match asks for it. One function behind one interface: the crank-angle-resolved
 * cycle takes this place later without the rest of the match changing.
 */

import type { Car } from '../car/index.ts';

/** The charge in the cylinder at one operating point. */
export interface CylinderCharge {
  engineSpeedRpm: number;
  manifoldPressurePa: number;
  exhaustPressurePa: number;
  /** In the plenum, after charge cooler and injection. */
  chargeTemperatureK: number;
  lambda: number;
  /** Fuel and injected liquid still to evaporate, over air: latent heat over air's specific heat [K]. */
  evaporationCoolingK: number;
  /** The injected liquid's part of that [K]. */
  injectedCoolingK: number;
  /** Dry air that one cylinder traps in a cycle [kg]; 0 where the caller does not know it. */
  airPerCycleKg: number;
  /** Of the cycles before, for the gas left in the clearance [K]; 0 where the caller does not know it. */
  exhaustTemperatureK: number;
}

/** An empty charge at an engine speed. */
export const newCharge = (engineSpeedRpm: number): CylinderCharge => ({
  engineSpeedRpm,
  manifoldPressurePa: 0,
  exhaustPressurePa: 0,
  chargeTemperatureK: 0,
  lambda: 1,
  evaporationCoolingK: 0,
  injectedCoolingK: 0,
  airPerCycleKg: 0,
  exhaustTemperatureK: 0,
});

/** About the engine, constant over a match. */
export interface CylinderFacts {
  readonly compressionRatio: number;
  readonly researchOctane: number;
  /** Gross, at compression ratio 9, lambda 0.9, best timing, over the heat that the air could burn. */
  readonly indicatedEfficiency: number;
  /** Heat of the fuel that one kilogram of dry air burns at stoichiometric [J/kg]. */
  readonly heatPerAirJPerKg: number;
  /** Degrees on the estimated knock-limited timing. */
  readonly learnedAdvanceDeg: number;
  /** Degrees on the estimated borderline of knock. */
  readonly learnedKnockDeg: number;
  readonly learnedTorque: number;
  readonly learnedExhaustHeat: number;
  readonly spark: boolean;
}

/** The cylinder's facts of one car. */
export const cylinderFactsOf = (car: Car): CylinderFacts => ({
  compressionRatio: car.engine.compressionRatio,
  researchOctane: car.fuel.researchOctane,
  indicatedEfficiency: car.engine.indicatedEfficiency,
  heatPerAirJPerKg: car.fuel.lowerHeatingValueJPerKg / car.fuel.stoichiometricAirFuelRatio,
  learnedAdvanceDeg: car.learned.sparkAdvanceDeg,
  learnedKnockDeg: car.learned.knockLimitDeg,
  learnedTorque: car.learned.torque,
  learnedExhaustHeat: car.learned.exhaustHeat,
  spark: car.facts.ignition === 'spark',
});

/** Friction mean effective pressure by the build's three numbers [Pa]; engine speed in rpm. Shape: Heywood (1988) eq. 13.6. */
export const frictionPressurePa = (engine: Car['engine'], engineSpeedRpm: number): number => {
  const thousands = engineSpeedRpm / 1000;
  return (
    engine.frictionPressurePa +
    engine.frictionPerSpeedPa * thousands +
    engine.frictionPerSpeedSquaredPa * thousands * thousands
  );
};

/** Answer; reused between calls. */
export interface CylinderAnswer {
  /** Gross indicated work over the heat that the air could burn at stoichiometric [-]. */
  indicatedEfficiency: number;
  /** Heat set free over the heat that the air could burn at stoichiometric [-]: 1 when rich. */
  heatShare: number;
  /** Share of the heat set free that goes to coolant, oil and radiation [-]. */
  wallHeatShare: number;
  sparkAdvanceDeg: number;
  bestTorqueAdvanceDeg: number;
  /** Timing at which borderline knock is expected [deg before top dead centre]. */
  knockLimitAdvanceDeg: number;
  /** Knock integral over its borderline value at this timing [-]: 1 where borderline knock is expected. */
  knockShare: number;
  peakPressurePa: number;
}

/** An empty {@link CylinderAnswer}. */
export const newCylinderAnswer = (): CylinderAnswer => ({
  indicatedEfficiency: 0,
  heatShare: 1,
  wallHeatShare: 0,
  sparkAdvanceDeg: 0,
  bestTorqueAdvanceDeg: 0,
  knockLimitAdvanceDeg: 0,
  knockShare: 0,
  peakPressurePa: 0,
});

export interface CylinderModel {
  /** `sparkAdvanceDeg` null: estimate what an engine computer would run. */
  readonly burn: (
    charge: CylinderCharge,
    facts: CylinderFacts,
    sparkAdvanceDeg: number | null,
    out: CylinderAnswer,
  ) => CylinderAnswer;
  /** Writes the knock limit and share of the state last burned, where `burn` leaves it out to be quick. */
  readonly knockLimit?: (facts: CylinderFacts, out: CylinderAnswer) => void;
}

/** Fuel-air cycle efficiency rises with compression as 1 - r^(1-k); k = 1.3. Source: Heywood (1988) sect. 5.5.3, fig. 5-9. */
const CYCLE_EXPONENT = 0.3;
const REFERENCE_COMPRESSION = 1 - 9 ** -CYCLE_EXPONENT;

/**
 * Best-torque timing [deg before top dead centre]: half burned 8 deg after top dead centre (Heywood (1988) sect. 9.1.1),
 * with spark to half burned about 23 deg at low speed and 1.5 deg more per 1000 rpm, less in a dense charge (Heywood
 * fig. 9-13 for the trend; figures common practice, no source).
 */
const bestTorqueAdvanceDeg = (engineSpeedRpm: number, manifoldPressurePa: number): number => {
  const advance = 15 + (1.5 * engineSpeedRpm) / 1000 + 5 * (2 - manifoldPressurePa / 1e5);
  return advance < 4 ? 4 : Math.min(advance, 42);
};

/** Torque lost per square degree away from best torque: 4 % at 10 deg. Source: Heywood (1988) fig. 9-3 (shape), sect. 15.3.1. */
const TIMING_LOSS_PER_DEG2 = 4e-4;

/** Torque over its peak for timing `late` degrees after best torque; beyond 30 deg it falls on straight. */
const timingFactor = (late: number): number => {
  const off = Math.abs(late);
  const factor = off < 30 ? 1 - TIMING_LOSS_PER_DEG2 * off * off : 1 - TIMING_LOSS_PER_DEG2 * (60 * off - 900);
  return Math.max(factor, 0.2);
};

/**
 * Gross work over that at lambda 0.9, per air: greatest near lambda 0.88, 1.7 % less at 0.80, 8 % less at 0.70.
 * Source: shape of mean effective pressure against equivalence ratio, Heywood (1988) sect. 15.3.2 (from memory). Lean of
 * stoichiometric the heat itself falls and is counted by the caller.
 */
const lambdaFactor = (lambda: number): number => {
  const shape = (value: number) => 1 - 2.6 * (value - 0.88) ** 2;
  const held = lambda > 1 ? 1 : Math.max(lambda, 0.55);
  return shape(held) / shape(0.9);
};

/** Change of ln(knock integral) per degree of spark at the limit; from slider-crank pressure estimates, no source. */
const LOG_INTEGRAL_PER_DEG = 0.077;
/** End-gas temperature at the anchor [K]; usual for borderline knock (Heywood (1988) sect. 9.6.2). */
const ANCHOR_END_GAS_K = 850;
/** Anchor of the knock limit: 98 octane, 200 kPa, 45 degC, ratio 9.25, 4000 rpm, petrol near lambda 0.83 (common practice, no source). */
const ANCHOR = {
  advanceDeg: 8,
  pressurePa: 200e3,
  temperatureK: 318,
  compressionRatio: 9.25,
  speedRpm: 4000,
  coolingK: 27,
};
/** Part of a warmer or cooler charge that is still there when the valve closes; the walls take the rest (no source). */
const CHARGE_HEAT_LEFT = 0.65;

/**
 * Timing at which knock is borderline, from the sensitivities of the Douaud-Eyzat delay in the Livengood-Wu integral:
 * ln I = -3.402 ln ON + 1.7 ln p + -3800/T + ln t is held constant by moving the spark.
 * Time for the end gas goes with speed to -0.9, since burning takes a few more degrees at speed.
 * Source: Douaud & Eyzat, SAE 780080 (1978); Livengood & Wu (1955); research octane stands for octane, since boosted
 * engines follow it (Kalghatgi, SAE 2001-01-3584).
 */
const knockLimitAdvanceDeg = (charge: CylinderCharge, facts: CylinderFacts): number => {
  const ratio = facts.compressionRatio / ANCHOR.compressionRatio;
  const mixtureK =
    CHARGE_HEAT_LEFT * (charge.chargeTemperatureK - ANCHOR.temperatureK) -
    0.3 * (charge.evaporationCoolingK - ANCHOR.coolingK);
  const endGasK = Math.max(500, ANCHOR_END_GAS_K * (1 + mixtureK / ANCHOR.temperatureK) * ratio ** 0.25);
  const logIntegral =
    -3.402 * Math.log(Math.max(40, facts.researchOctane) / 98) +
    1.7 * Math.log((charge.manifoldPressurePa / ANCHOR.pressurePa) * ratio) -
    3800 * (1 / endGasK - 1 / ANCHOR_END_GAS_K) -
    0.9 * Math.log(charge.engineSpeedRpm / ANCHOR.speedRpm);
  const advance = ANCHOR.advanceDeg - logIntegral / LOG_INTEGRAL_PER_DEG;
  return advance < -15 ? -15 : Math.min(advance, 60);
};

/** Engine computers usually take out timing for a hot charge, about 0.2 deg/K from 50 degC (common practice, no source). */
const hotChargeRetardDeg = (chargeTemperatureK: number): number =>
  chargeTemperatureK > 323.15 ? 0.2 * (chargeTemperatureK - 323.15) : 0;

/** Timing that an engine computer is usually set to under load [deg]: the estimated limit, less for a hot charge. */
export const usualAdvanceDeg = (charge: CylinderCharge, facts: CylinderFacts): number =>
  Math.max(
    -5,
    knockLimitAdvanceDeg(charge, facts) + facts.learnedAdvanceDeg - hotChargeRetardDeg(charge.chargeTemperatureK),
  );

/**
 * Mean-value cylinder: published factors on one efficiency.
 * Peak pressure: polytropic compression, then the part of constant-volume burning that best timing gives, less 2.5 % of
 * it per degree late (Heywood (1988) sect. 9.2.2 and fig. 9-3 for the trend; the part is calibrated to usual 80-100 bar
 * near 2 bar manifold pressure, common practice, no source). Good to 15 %.
 */
export const meanValueCylinder: CylinderModel = {
  burn: (charge, facts, sparkAdvanceDeg, out) => {
    const best = facts.spark ? bestTorqueAdvanceDeg(charge.engineSpeedRpm, charge.manifoldPressurePa) : 12;
    const limit = knockLimitAdvanceDeg(charge, facts) + facts.learnedKnockDeg;
    const spark = sparkAdvanceDeg ?? (facts.spark ? Math.min(best, usualAdvanceDeg(charge, facts)) : best);
    const heatShare = charge.lambda > 1 ? 1 / charge.lambda : 1;
    const compression = (1 - facts.compressionRatio ** -CYCLE_EXPONENT) / REFERENCE_COMPRESSION;
    out.heatShare = heatShare;
    out.indicatedEfficiency =
      facts.indicatedEfficiency *
      compression *
      lambdaFactor(charge.lambda) *
      heatShare *
      timingFactor(best - spark) *
      facts.learnedTorque;
    // Heat to coolant, oil and exhaust port: 17 to 26 % of the fuel's heat (Heywood (1988) table 12.1), which near lambda
    // 0.8 is 21 to 32 % of the heat set free; less of it in a dense charge (Woschni's p^0.8). That fast running leaves less
    // time for it is made up by the hotter, livelier gas: exhaust temperatures logged along 25 labelled pulls show no trend.
    const wall = 0.265 * (charge.manifoldPressurePa / 200e3) ** -0.1;
    const exhaust = (1 - wall - out.indicatedEfficiency / heatShare) * facts.learnedExhaustHeat;
    const left = 1 - exhaust - out.indicatedEfficiency / heatShare;
    out.wallHeatShare = Math.max(left, 0);
    out.sparkAdvanceDeg = spark;
    out.bestTorqueAdvanceDeg = best;
    out.knockLimitAdvanceDeg = limit;
    out.knockShare = Math.exp(LOG_INTEGRAL_PER_DEG * (spark - limit));
    const compressed = charge.manifoldPressurePa * facts.compressionRatio ** 1.3;
    const compressedK = charge.chargeTemperatureK * facts.compressionRatio ** 0.3;
    const late = Math.max(0, best - spark);
    const riseK = (facts.heatPerAirJPerKg * heatShare * 0.93) / 1050;
    out.peakPressurePa = compressed * (1 + (0.5 * Math.max(0.1, 1 - 0.025 * late) * riseK) / compressedK);
    return out;
  },
};
