/** One closed cycle solved: phases in turn, then work, heat, exhaust and knock in numbers. */
import { meanPistonSpeedMPerS, WOSCHNI_VELOCITY } from '../physics/index.ts';
import { burnedAtDeg, WIEBE_HALF, WIEBE_RAPID, WIEBE_TENTH } from './burn-curve.ts';
import { burnScale, DEVELOPMENT_BASE_SCALE, RAPID_BASE_SCALE } from './burn-law.ts';
import { burnedEnergy, burnedSlope, burnedTemperatureK, burnedZFromEnthalpy } from './burned-table.ts';
import { prepareGas, unburnedEnthalpy } from './charge-gas.ts';
import type { Cylinder, Refusal } from './cylinder.ts';
import { advance, type CycleObserver, KNOCK_SECONDS } from './integrate.ts';
import {
  ANGLE,
  BEFORE_AT,
  BEFORE_P,
  BURN_LENGTH,
  BURN_START,
  BURNED,
  COMBUSTION_TERM,
  COSINE,
  EVAPORATED,
  EVAPORATION_PER_DEG,
  FLAME_SLOPE,
  FLAME_TU,
  FLAME_Z,
  HOT_TU,
  HOT_Z,
  KNOCK,
  KNOCK_FACTOR,
  LAST_AT,
  LAST_P,
  locate,
  MASS,
  MOTORED_P,
  MOTORED_V,
  P,
  PEAK,
  PEAK_AT,
  PISTON_TERM,
  SECONDS_PER_DEG,
  SINE,
  TU,
  V,
  WALL,
  WORK,
} from './places.ts';
import { CYLINDER_REASONS } from './reasons.ts';
import type { CycleCharge, CycleOut, CycleSetting } from './types.ts';

const RADIANS = Math.PI / 180;

/** Steps of the four phases at resolution 1. Source: convergence table in docs/model.md. */
const CYCLE_STEPS = { compression: 10, delay: 1, burning: 16, expansion: 8 } as const;

/** Longest mean step of each phase [deg]: slow burns and odd valve angles get more steps, usual ones never do. */
const LONGEST_STEP = { compression: 13, delay: 6, burning: 5, expansion: 14 } as const;

const stepsFor = (phase: keyof typeof CYCLE_STEPS, lengthDeg: number): number =>
  Math.max(CYCLE_STEPS[phase], Math.ceil(lengthDeg / LONGEST_STEP[phase]));

/** First step over the mean less one [-]: small steps where the pressure changes fast, towards the spark and after the burn. */
const GRADING = { compression: 0.5, expansion: -0.4 };

/** Pressure at which the burned gas is taken to be in equilibrium: compressed by 1.3, times this (burning about doubles it). */
const BURN_PRESSURE_FACTOR = 1.85;

/** Exhaust port over the bore [-]: diameter, length (common practice, no source). */
const PORT_DIAMETER = 0.4;
const PORT_LENGTH = 1.1;
/**
 * Nu = 0.1 Re^0.8 over the time that the valve is open: four times a long smooth pipe, for the jet at the valve and the
 * bend. Published port factors lie between three and eight times (Heywood (1988) sect. 12.6.4, from memory).
 */
const PORT_NUSSELT = 0.1;
const PRANDTL = 0.72;

const WALL_COMBUSTION = WOSCHNI_VELOCITY.combustion;
const WALL_EXHAUST = WOSCHNI_VELOCITY.gasExchange;

const volumeAt = (cylinder: Cylinder, angleDeg: number): number => {
  const { state } = cylinder;
  const cosine = state[COSINE]!;
  const sine = state[SINE]!;
  state[MOTORED_V] = 0;
  state[COSINE] = Math.cos(angleDeg * RADIANS);
  state[SINE] = Math.sin(angleDeg * RADIANS);
  locate(cylinder);
  state[COSINE] = cosine;
  state[SINE] = sine;
  return cylinder.place[V]!;
};

/** Share of the development after which the gas is looked at, and of the rapid burn to its half [-]. */
const INTO_DEVELOPMENT = 0.5;
const INTO_RAPID = (WIEBE_HALF - WIEBE_TENTH) / WIEBE_RAPID;
/** Exponent of the unburned gas's temperature over volume on the motored curve near top dead centre [-]. */
const MOTORED_EXPONENT = 0.31;

/** Crank angles of burning from the spark's state, into `out`. */
const setBurn = (cylinder: Cylinder, charge: CycleCharge, sparkDeg: number, out: CycleOut): void => {
  const { state, gas, spec, place } = cylinder;
  const pistonSpeed = meanPistonSpeedMPerS(spec.strokeM, charge.engineSpeedRpm);
  const sparkVolume = place[V]!;
  const p = state[P]!;
  const t = state[TU]!;
  const scaleAt = (angleDeg: number): number => {
    const ratio = sparkVolume / volumeAt(cylinder, Math.min(angleDeg, 120));
    const warmer = Math.exp(MOTORED_EXPONENT * Math.log(ratio));
    return burnScale(
      pistonSpeed,
      spec.boreM,
      charge.lambda,
      t * warmer,
      p * ratio * warmer,
      gas.diluentMoleShare,
      gas.unburnedGasConstant,
    );
  };
  const { developmentDeg, rapidDeg } = spec.burn;
  const usual = sparkDeg + INTO_DEVELOPMENT * developmentDeg;
  const development = limited(scaleAt(usual) / DEVELOPMENT_BASE_SCALE);
  out.developmentDeg = developmentDeg * development;
  const half = sparkDeg + out.developmentDeg + INTO_RAPID * rapidDeg * development;
  out.rapidDeg = rapidDeg * limited(scaleAt(half) / RAPID_BASE_SCALE);
};

/** The gas that burns first: at the unburned mixture's enthalpy, moving with its temperature. */
const setFlame = (cylinder: Cylinder): void => {
  const { state, gas } = cylinder;
  const { values } = gas.burned;
  const tu = state[TU]!;
  const z = burnedZFromEnthalpy(values, unburnedEnthalpy(gas, tu), 7e5);
  const t = tu * 1e-3;
  state[FLAME_Z] = z;
  state[FLAME_SLOPE] = (gas.c0 + t * (gas.c1 + t * (gas.c2 + t * gas.c3))) / (1 + burnedSlope(values, z));
  state[FLAME_TU] = tu;
};

const limited = (stretch: number): number => (stretch < 0.3 ? 0.3 : Math.min(stretch, 6));

/**
 * Solves one closed cycle.
 *
 * @param cylinder made ready by `prepareCylinder`; its working space is used
 * @param charge what is trapped: speed 100 to 20,000 rpm, lambda 0.5 to 2, residual share to 0.6 [SI]
 * @param setting spark [deg before top dead centre]
 * @param out numbers of the cycle, overwritten [J, Pa, K, deg, -]
 * @param resolution multiplies the steps of {@link CYCLE_STEPS} [-], 1 for matching
 * @param observer sees every step, or null
 * @returns null, or the reason why there is no cycle; `out` then holds nothing of use. Codes: see `CYLINDER_REASONS`.
 * Source: Heywood (1988) ch. 9 and 14; equations at the head of `integrate.ts`.
 */
export const solveCycle = (
  cylinder: Cylinder,
  charge: CycleCharge,
  setting: CycleSetting,
  out: CycleOut,
  resolution = 1,
  observer: CycleObserver | null = null,
): Refusal => {
  const { spec, state, gas, place } = cylinder;
  const { engineSpeedRpm, temperatureK } = charge;
  const sparkDeg = -setting.sparkAdvanceDeg;
  if (
    !(
      engineSpeedRpm >= 100 &&
      engineSpeedRpm <= 20_000 &&
      temperatureK >= 230 &&
      temperatureK <= 700 &&
      charge.exhaustPressurePa > 0 &&
      charge.evaporationJPerKgAir >= 0 &&
      charge.fuel.researchOctane > 0
    )
  ) {
    return CYLINDER_REASONS.charge;
  }
  if (!(sparkDeg >= spec.intakeClosingDeg + 15 && sparkDeg <= spec.exhaustOpeningDeg - 30)) {
    return CYLINDER_REASONS.spark;
  }
  // A first look at the pressure, for the equilibrium of the burned gas; air alone is near enough.
  const closingVolume = volumeAt(cylinder, spec.intakeClosingDeg);
  const guessPa = (charge.airKg * (1.05 / (1 - charge.residualFraction)) * 285 * temperatureK) / closingVolume;
  const burnPa = BURN_PRESSURE_FACTOR * guessPa * Math.exp(1.3 * Math.log(closingVolume / cylinder.clearanceM3));
  const refusal = prepareGas(charge, burnPa, spec.combustionEfficiency, gas);
  if (refusal) return refusal;

  const mass = gas.massKg;
  const pistonSpeed = meanPistonSpeedMPerS(spec.strokeM, engineSpeedRpm);
  const closingPa = (mass * gas.unburnedGasConstant * temperatureK) / closingVolume;
  state.fill(0);
  state[MASS] = mass;
  state[SECONDS_PER_DEG] = 1 / (6 * engineSpeedRpm);
  state[PISTON_TERM] = WALL_COMBUSTION.pistonSpeedFactor * pistonSpeed;
  state[COMBUSTION_TERM] =
    (WALL_COMBUSTION.combustionFactor * cylinder.sweptM3 * temperatureK) / (closingPa * closingVolume);
  state[KNOCK_FACTOR] =
    (state[SECONDS_PER_DEG]! / KNOCK_SECONDS) * Math.exp(-3.402 * Math.log(charge.fuel.researchOctane / 100));
  state[ANGLE] = spec.intakeClosingDeg;
  state[COSINE] = Math.cos(spec.intakeClosingDeg * RADIANS);
  state[SINE] = Math.sin(spec.intakeClosingDeg * RADIANS);
  state[P] = closingPa;
  state[TU] = temperatureK;
  state[LAST_AT] = spec.intakeClosingDeg - 1;
  state[BEFORE_AT] = spec.intakeClosingDeg - 2;
  state[LAST_P] = closingPa;
  state[BEFORE_P] = closingPa;
  const startEnergy = unburnedEnthalpy(gas, temperatureK) - gas.unburnedGasConstant * temperatureK;

  state[EVAPORATION_PER_DEG] = (charge.evaporationJPerKgAir * charge.airKg) / (sparkDeg - spec.intakeClosingDeg);
  const compressionSteps = resolution * stepsFor('compression', sparkDeg - spec.intakeClosingDeg);
  advance(
    cylinder,
    sparkDeg,
    compressionSteps,
    GRADING.compression,
    false,
    Math.floor(0.4 * compressionSteps) + 1,
    observer,
  );
  state[EVAPORATION_PER_DEG] = 0;
  const sparkVolume = place[V]!;
  const sparkPa = state[P]!;
  if (!(sparkPa > 0 && state[TU]! > 0)) return CYLINDER_REASONS.finite;
  setBurn(cylinder, charge, sparkDeg, out);
  state[MOTORED_V] = sparkVolume;
  state[MOTORED_P] = sparkPa;
  const length = out.rapidDeg / WIEBE_RAPID;
  const delay = Math.max(0, out.developmentDeg - WIEBE_TENTH * length);
  const start = Math.min(sparkDeg + delay, spec.exhaustOpeningDeg);
  state[BURN_START] = start;
  state[BURN_LENGTH] = length;
  advance(cylinder, start, resolution * stepsFor('delay', start - sparkDeg), 0, false, 1, observer);
  setFlame(cylinder);
  const stretch = spec.burn.slowShare > 0 ? spec.burn.slowStretch : 1;
  const end = Math.min(start + stretch * length, spec.exhaustOpeningDeg);
  advance(
    cylinder,
    end,
    resolution * Math.max(Math.ceil(CYCLE_STEPS.burning * stretch), stepsFor('burning', end - start)),
    0,
    true,
    1,
    observer,
  );
  advance(
    cylinder,
    spec.exhaustOpeningDeg,
    resolution * stepsFor('expansion', spec.exhaustOpeningDeg - end),
    GRADING.expansion,
    false,
    1,
    observer,
  );

  out.massKg = mass;
  out.fuelHeatJ = gas.fuelHeatJ;
  out.closingPressurePa = closingPa;
  out.halfBurnedDeg = spec.burn.slowShare > 0 ? burnedAtDeg(cylinder, 0.5) : start + length * WIEBE_HALF;
  out.burnEndDeg = start + stretch * length;
  finish(cylinder, charge, closingVolume, startEnergy, out);
  return Number.isFinite(out.grossWorkJ + out.exhaustTemperatureK + out.knockIntegral + out.peakPressurePa)
    ? null
    : CYLINDER_REASONS.finite;
};

/** Balances after the exhaust valve opens, and everything that follows from the end state. */
const finish = (
  cylinder: Cylinder,
  charge: CycleCharge,
  closingVolume: number,
  startEnergy: number,
  out: CycleOut,
): void => {
  const { spec, state, gas, place } = cylinder;
  const { values } = gas.burned;
  const mass = gas.massKg;
  const p = state[P]!;
  const tu = state[TU]!;
  const x = state[BURNED]!;
  const volume = place[V]!;
  const unburnedKg = mass * (1 - x);
  const ru = gas.unburnedGasConstant;
  const unburnedJPerKg = x < 1 ? unburnedEnthalpy(gas, tu) - ru * tu : 0;
  const z = x > 0 ? (p * volume - unburnedKg * ru * tu) / (mass * x) : 0;
  const energy = unburnedKg * unburnedJPerKg + (x > 0 ? mass * x * burnedEnergy(values, z) : 0);
  out.closedWorkJ = state[WORK]!;
  out.wallHeatJ = state[WALL]!;
  out.energyResidual =
    (energy - mass * startEnergy + out.closedWorkJ + out.wallHeatJ + state[EVAPORATED]!) / gas.fuelHeatJ;
  out.heatReleasedJ = gas.releasableHeatJ * x;
  out.burnedAtOpening = x;
  out.openingPressurePa = p;
  out.openingTemperatureK = (p * volume) / (mass * (x * gas.burnedGasConstant + (1 - x) * ru));
  if (p > state[PEAK]!) {
    state[PEAK] = p;
    state[PEAK_AT] = state[ANGLE]!;
  }
  out.peakPressurePa = state[PEAK]!;
  out.peakPressureDeg = state[PEAK_AT]!;
  out.peakBurnedK = state[HOT_Z]! > 0 ? burnedTemperatureK(values, state[HOT_Z]!) : 0;
  out.peakUnburnedK = state[HOT_TU]!;
  out.knockIntegral = state[KNOCK]!;

  // Strokes completed: closing pressure back to bottom dead centre; after the exhaust valve opens the pressure falls in a
  // straight line to the port's at bottom dead centre.
  const most = cylinder.clearanceM3 + cylinder.sweptM3;
  const portPa = charge.exhaustPressurePa;
  const blowDownWork = 0.5 * (p + portPa) * (most - volume);
  out.grossWorkJ = out.closedWorkJ + blowDownWork - out.closingPressurePa * (most - closingVolume);
  out.grossMeanPressurePa = out.grossWorkJ / cylinder.sweptM3;

  // Wall heat while the exhaust leaves, with the gas expanded to the port's pressure.
  const drop = Math.exp(0.22 * Math.log(Math.min(1, portPa / p)));
  const emptyingK = out.openingTemperatureK * drop;
  const half = Math.sqrt(emptyingK);
  const eighth = Math.sqrt(Math.sqrt(half));
  const gasSpeed = WALL_EXHAUST.pistonSpeedFactor * meanPistonSpeedMPerS(spec.strokeM, charge.engineSpeedRpm);
  const coefficient =
    cylinder.wallFactor * Math.exp(0.8 * Math.log((portPa * 1e-3 * gasSpeed) / (half * eighth * Math.sqrt(eighth))));
  const liner = cylinder.linerPerTravelM * (0.5 * spec.strokeM + cylinder.clearanceHeightM);
  const cooled = cylinder.chamberAreaM2 * (emptyingK - spec.chamberWallK) + liner * (emptyingK - spec.linerWallK);
  const seconds = state[SECONDS_PER_DEG]! * (360 - spec.exhaustOpeningDeg);
  out.exhaustStrokeHeatJ = coefficient * cooled * seconds;

  // Energy of what is left unburned counts as chemical, not as warmth; its heat capacity is taken as the burned gas's.
  const heatPerKg = unburnedEnthalpy(gas, 298.15) - gas.burnedReferenceJPerKg;
  const sensible = energy - unburnedKg * heatPerKg;
  const enthalpy = (sensible - blowDownWork + portPa * most - out.exhaustStrokeHeatJ) / mass;
  const exhaustZ = burnedZFromEnthalpy(values, enthalpy, gas.burnedGasConstant * emptyingK);
  out.valveTemperatureK = burnedTemperatureK(values, exhaustZ);

  // Port: one heated length, with the flow of the open time.
  const hotK = out.valveTemperatureK;
  const specificHeat = gas.burnedGasConstant * (burnedSlope(values, exhaustZ) + 1);
  const viscosity = 3.3e-7 * Math.exp(0.7 * Math.log(hotK));
  const flow = mass / seconds;
  const diameter = PORT_DIAMETER * spec.boreM;
  const reynolds = (4 * flow) / (Math.PI * diameter * viscosity);
  // Nu = C Re^0.8 with Pr = 0.72: transfer units are h pi D L / (m cp) = pi (L/D) Nu k D / (D m cp).
  const conductivity = (viscosity * specificHeat) / PRANDTL;
  const units =
    (spec.portHeatFactor *
      PORT_NUSSELT *
      Math.exp(0.8 * Math.log(reynolds)) *
      Math.PI *
      PORT_LENGTH *
      spec.boreM *
      conductivity) /
    (flow * specificHeat);
  out.portHeatJ = mass * specificHeat * (hotK - spec.chamberWallK) * (1 - Math.exp(-units));
  const outside = enthalpy - out.portHeatJ / mass;
  const outsideZ = burnedZFromEnthalpy(values, outside, exhaustZ);
  out.exhaustTemperatureK = burnedTemperatureK(values, outsideZ);
  out.exhaustEnthalpyJ = mass * (outside - gas.burnedReferenceJPerKg);
};
