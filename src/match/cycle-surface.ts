/**
 * The crank-angle cycle of one engine as a smooth surface over engine speed and trapped density, so that a match may ask
 * for it some thousand times in a few milliseconds. At each node the cycle itself is solved for best, late and very late
 * timing, a warmer charge, other mixtures and more residual gas; between nodes polynomials through all of them.
 * How far the surface is from the cycle: `cycle-surface.test.ts`.
 */
import {
  bestTorqueAdvance,
  type CycleCharge,
  type CycleFuel,
  type CycleOut,
  type Cylinder,
  newCycleOut,
  newTimingOut,
  prepareCylinder,
  solveCycle,
  USUAL_CYLINDER,
} from '../cylinder/index.ts';

/** What a surface is made for. */
export interface CycleEngine {
  readonly boreM: number;
  readonly strokeM: number;
  readonly compressionRatio: number;
  readonly fuel: CycleFuel;
}

/** Where the surface is asked. */
export interface CycleState {
  engineSpeedRpm: number;
  /** Dry air trapped in a cylinder over its swept volume [kg/m3]. */
  trappedDensityKgPerM3: number;
  /** Mixture when the intake valve has closed [K]. */
  closingTemperatureK: number;
  residualFraction: number;
  lambda: number;
}

/** Heats and work over the heat that the trapped air could burn at the right mixture. Reused between calls. */
export interface CycleAnswer {
  bestTorqueAdvanceDeg: number;
  /** Gross work over compression and expansion. */
  work: number;
  released: number;
  /** To the walls of cylinder and exhaust port. */
  wall: number;
  peakPressurePa: number;
  /** Of the knock integral at octane number 100. */
  logKnock: number;
}

/** Room for one answer of the surface. */
export const newCycleAnswer = (): CycleAnswer => ({
  bestTorqueAdvanceDeg: 0,
  work: 0,
  released: 0,
  wall: 0,
  peakPressurePa: 0,
  logKnock: 0,
});

const SPEEDS_RPM = [1000, 1900, 3300, 5200, 8000] as const;
const DENSITIES = [0.4, 0.9, 1.8, 3.4] as const;
/** Degrees after best timing at which the cycle is solved. */
const LATE_DEG = [-8, 0, 10, 22] as const;
/** To the right mixture; what is leaner burns less fuel with the same air and is scaled. */
const MIXTURES = [0.7, 0.86, 1] as const;
/** Lateness at which the slopes are taken [deg]. */
const SLOPE_LATE_DEG = 8;
const BASE = { closingTemperatureK: 355, residualFraction: 0.045, lambda: MIXTURES[1] } as const;
const WARMER_K = 20;
const MORE_RESIDUAL = 0.04;
/** Humidity [kg/kg]: usual air. */
const WATER_PER_AIR = 0.008;

/** Numbers kept at a node: best timing, then five answers at each lateness, then their changes. */
const ANSWERS = 5;
const AT_LATE = 1;
const PER_WARMER = AT_LATE + ANSWERS * LATE_DEG.length;
const PER_LEANER = PER_WARMER + ANSWERS + 1;
const PER_RICHER = PER_LEANER + ANSWERS + 1;
const PER_RESIDUAL = PER_RICHER + ANSWERS + 1;
const SIZE = PER_RESIDUAL + ANSWERS + 1;

export interface CycleSurface {
  readonly engine: CycleEngine;
  readonly sweptM3: number;
  readonly nodes: Float64Array;
  /** The nodes of each density mixed for one engine speed, and that speed: a match asks for one speed many times. */
  readonly atSpeed: Float64Array;
  speedRpm: number;
}

/** Polynomial through all places: weight of each at `x`. */
const lagrange = (places: readonly number[], x: number, weights: Float64Array): void => {
  for (let i = 0; i < places.length; i++) {
    let weight = 1;
    for (let j = 0; j < places.length; j++) {
      if (j !== i) weight *= (x - places[j]!) / (places[i]! - places[j]!);
    }
    weights[i] = weight;
  }
};

const LOG_SPEEDS = SPEEDS_RPM.map(Math.log);
const LOG_DENSITIES = DENSITIES.map(Math.log);

/** Dry air that a mass of fuel needs and its heat: what the answers are divided by [J/kg of air]. */
const heatPerAirJPerKg = (fuel: CycleFuel): number => fuel.lowerHeatingValueJPerKg / fuel.stoichiometricAirFuelRatio;

const chargeOf = (cylinder: Cylinder, fuel: CycleFuel, state: Readonly<CycleState>): CycleCharge => ({
  engineSpeedRpm: state.engineSpeedRpm,
  airKg: state.trappedDensityKgPerM3 * cylinder.sweptM3,
  temperatureK: state.closingTemperatureK,
  residualFraction: state.residualFraction,
  lambda: state.lambda,
  fuel,
  waterPerAir: WATER_PER_AIR,
  evaporationJPerKgAir: 0,
  exhaustPressurePa: 1.25 * 90e3 * state.trappedDensityKgPerM3,
});

/** One cycle at a state, its answers written from `at` on; false where there is no cycle. */
const answersAt = (
  cylinder: Cylinder,
  fuel: CycleFuel,
  state: Readonly<CycleState>,
  sparkAdvanceDeg: number,
  out: CycleOut,
  into: Float64Array,
  at: number,
): boolean => {
  const charge = chargeOf(cylinder, fuel, state);
  if (solveCycle(cylinder, charge, { sparkAdvanceDeg }, out) !== null) return false;
  const heat = charge.airKg * heatPerAirJPerKg(fuel);
  into[at] = out.grossWorkJ / heat;
  into[at + 1] = out.heatReleasedJ / heat;
  into[at + 2] = (out.wallHeatJ + out.exhaustStrokeHeatJ + out.portHeatJ) / heat;
  into[at + 3] = Math.log(out.peakPressurePa);
  into[at + 4] = Math.log(Math.max(1e-12, out.knockIntegral));
  return true;
};

/** Where the search for best timing begins [deg before top dead centre]. */
const FIRST_GUESS_DEG = 24;
const timing = newTimingOut();

/** Spark of the most work [deg before top dead centre]; null where the cycle has no solution. */
const bestSpark = (cylinder: Cylinder, fuel: CycleFuel, state: Readonly<CycleState>, out: CycleOut): number | null => {
  const refusal = bestTorqueAdvance(cylinder, chargeOf(cylinder, fuel, state), FIRST_GUESS_DEG, out, timing);
  return refusal === null ? timing.advanceDeg : null;
};

const fillNode = (
  cylinder: Cylinder,
  fuel: CycleFuel,
  base: CycleState,
  nodes: Float64Array,
  from: number,
): boolean => {
  const out = newCycleOut();
  const scratch = new Float64Array(ANSWERS);
  const best = bestSpark(cylinder, fuel, base, out);
  if (best === null) return false;
  nodes[from] = best;
  let sound = true;
  LATE_DEG.forEach((late, i) => {
    sound &&= answersAt(cylinder, fuel, base, best - late, out, nodes, from + AT_LATE + i * ANSWERS);
  });
  const here = new Float64Array(ANSWERS);
  sound &&= answersAt(cylinder, fuel, base, best - SLOPE_LATE_DEG, out, here, 0);
  const halfBurned = out.halfBurnedDeg;
  /** Change against the base state, timing as far from its own best: half burned at the same angle. */
  const change = (state: CycleState, at: number): void => {
    let spark = best - SLOPE_LATE_DEG;
    sound &&= answersAt(cylinder, fuel, state, spark, out, scratch, 0);
    spark += out.halfBurnedDeg - halfBurned;
    sound &&= answersAt(cylinder, fuel, state, spark, out, scratch, 0);
    for (let k = 0; k < ANSWERS; k++) nodes[at + k] = scratch[k]! - here[k]!;
    nodes[at + ANSWERS] = spark - (best - SLOPE_LATE_DEG);
  };
  change({ ...base, closingTemperatureK: base.closingTemperatureK + WARMER_K }, from + PER_WARMER);
  change({ ...base, lambda: MIXTURES[2] }, from + PER_LEANER);
  change({ ...base, lambda: MIXTURES[0] }, from + PER_RICHER);
  change({ ...base, residualFraction: base.residualFraction + MORE_RESIDUAL }, from + PER_RESIDUAL);
  return sound;
};

const cylinderOf = (engine: CycleEngine): Cylinder | null => {
  const prepared = prepareCylinder({
    ...USUAL_CYLINDER,
    boreM: engine.boreM,
    strokeM: engine.strokeM,
    compressionRatio: engine.compressionRatio,
  });
  return prepared.ok ? prepared.value : null;
};

/** Gross work at best timing over the air's heat, by the cycle itself; null where it has no solution. */
export const bestWork = (engine: CycleEngine, state: Readonly<CycleState>): number | null => {
  const cylinder = cylinderOf(engine);
  if (!cylinder) return null;
  const out = newCycleOut();
  const scratch = new Float64Array(ANSWERS);
  const best = bestSpark(cylinder, engine.fuel, state, out);
  return best !== null && answersAt(cylinder, engine.fuel, state, best, out, scratch, 0) ? scratch[0]! : null;
};

/** Makes the surface; null where the cycle has no solution for such an engine. Some 600 cycles, near 12 ms. */
export const cycleSurface = (engine: CycleEngine): CycleSurface | null => {
  const cylinder = cylinderOf(engine);
  if (!cylinder) return null;
  const nodes = new Float64Array(SPEEDS_RPM.length * DENSITIES.length * SIZE);
  let from = 0;
  for (const engineSpeedRpm of SPEEDS_RPM) {
    for (const trappedDensityKgPerM3 of DENSITIES) {
      const sound = fillNode(cylinder, engine.fuel, { engineSpeedRpm, trappedDensityKgPerM3, ...BASE }, nodes, from);
      if (!sound) return null;
      from += SIZE;
    }
  }
  return {
    engine,
    sweptM3: cylinder.sweptM3,
    nodes,
    atSpeed: new Float64Array(DENSITIES.length * SIZE),
    speedRpm: Number.NaN,
  };
};

const speedWeights = new Float64Array(SPEEDS_RPM.length);
const densityWeights = new Float64Array(DENSITIES.length);
const lateWeights = new Float64Array(LATE_DEG.length);
const mixed = new Float64Array(SIZE);

const clamp = (x: number, low: number, high: number): number => (x < low ? low : Math.min(x, high));

const mixSpeed = (surface: CycleSurface, engineSpeedRpm: number): void => {
  lagrange(LOG_SPEEDS, Math.log(clamp(engineSpeedRpm, 900, 9500)), speedWeights);
  const { nodes, atSpeed } = surface;
  const row = atSpeed.length;
  atSpeed.fill(0);
  for (let i = 0; i < SPEEDS_RPM.length; i++) {
    const weight = speedWeights[i]!;
    for (let k = 0; k < row; k++) atSpeed[k]! += weight * nodes[i * row + k]!;
  }
  surface.speedRpm = engineSpeedRpm;
};

/** All numbers of the surface at a speed and density, into `mixed`. */
const mix = (surface: CycleSurface, state: CycleState): void => {
  if (surface.speedRpm !== state.engineSpeedRpm) mixSpeed(surface, state.engineSpeedRpm);
  lagrange(LOG_DENSITIES, Math.log(clamp(state.trappedDensityKgPerM3, 0.3, 5)), densityWeights);
  const { atSpeed } = surface;
  const [w0, w1, w2, w3] = densityWeights as unknown as readonly [number, number, number, number];
  for (let k = 0; k < SIZE; k++) {
    mixed[k] = w0 * atSpeed[k]! + w1 * atSpeed[k + SIZE]! + w2 * atSpeed[k + 2 * SIZE]! + w3 * atSpeed[k + 3 * SIZE]!;
  }
};

/** Share of the warm, lean, rich and residual changes that a state has. */
const shares = { warmer: 0, leaner: 0, richer: 0, residual: 0 };

const setShares = (state: CycleState): void => {
  // Over 1/T, as the knock delay has it; ending where the cycle was looked at.
  const t = clamp(state.closingTemperatureK, 290, 480);
  shares.warmer =
    (1 / BASE.closingTemperatureK - 1 / t) / (1 / BASE.closingTemperatureK - 1 / (BASE.closingTemperatureK + WARMER_K));
  const lambda = clamp(state.lambda, 0.64, 1);
  const [rich, middle, lean] = MIXTURES;
  // Parabola through the three mixtures; nought at the middle one.
  shares.richer = ((lambda - middle) * (lambda - lean)) / ((rich - middle) * (rich - lean));
  shares.leaner = ((lambda - middle) * (lambda - rich)) / ((lean - middle) * (lean - rich));
  shares.residual = (clamp(state.residualFraction, 0, 0.25) - BASE.residualFraction) / MORE_RESIDUAL;
};

const changed = (k: number): number =>
  shares.warmer * mixed[PER_WARMER + k]! +
  shares.leaner * mixed[PER_LEANER + k]! +
  shares.richer * mixed[PER_RICHER + k]! +
  shares.residual * mixed[PER_RESIDUAL + k]!;

const atLate = (k: number): number => {
  let sum = 0;
  for (let i = 0; i < LATE_DEG.length; i++) sum += lateWeights[i]! * mixed[AT_LATE + i * ANSWERS + k]!;
  return sum;
};

const answerLate = (late: number, out: CycleAnswer): void => {
  const held = clamp(late, -14, 28);
  lagrange(LATE_DEG, held, lateWeights);
  out.work = Math.max(0.02, atLate(0) + changed(0) - 0.006 * Math.max(0, late - held));
  out.released = atLate(1) + changed(1);
  out.wall = Math.max(0, atLate(2) + changed(2));
  out.peakPressurePa = Math.exp(atLate(3) + changed(3));
  out.logKnock = atLate(4) + changed(4) - 0.06 * (late - held);
};

/**
 * Answers at a state and timing.
 *
 * Valid: 900 to 9500 rpm, 0.3 to 5 kg/m3, 290 to 480 K, residual to 0.25, lambda 0.64 to 1.1, timing 14 deg before to
 * 28 deg after best; beyond, held at the end (work and knock go on in straight lines). Lean of 1 work and heats go with the fuel, 1/lambda.
 */
export const cycleAt = (
  surface: CycleSurface,
  state: CycleState,
  sparkAdvanceDeg: number,
  out: CycleAnswer,
): CycleAnswer => {
  mix(surface, state);
  setShares(state);
  const fuelShare = state.lambda > 1 ? 1 / state.lambda : 1;
  // The change was taken with the timing moved by the last number of its block: best timing moves along.
  const best = mixed[0]! + changed(ANSWERS);
  out.bestTorqueAdvanceDeg = best;
  answerLate(best - sparkAdvanceDeg, out);
  out.work *= fuelShare;
  out.released *= fuelShare;
  out.wall *= fuelShare;
  return out;
};

/** Logarithm of the knock integral so late of best timing; beyond the nodes a straight line, so that a search finds an end. */
const logKnockLate = (late: number): number => {
  const held = clamp(late, -14, 28);
  lagrange(LATE_DEG, held, lateWeights);
  return atLate(4) + changed(4) - 0.06 * (late - held);
};

/** Logarithm of the knock integral, at octane number 100, at another timing of the state of the last {@link cycleAt}. */
export const logKnockAt = (sparkAdvanceDeg: number, answer: Readonly<CycleAnswer>): number =>
  logKnockLate(answer.bestTorqueAdvanceDeg - sparkAdvanceDeg);

/**
 * Timing at which the knock integral, at octane number 100, has the logarithm `logKnock` [deg before top dead centre];
 * state and best timing are those of the last {@link cycleAt} of this surface. Between 60 deg early and 60 deg late of best.
 */
export const advanceAtKnock = (logKnock: number, answer: Readonly<CycleAnswer>): number => {
  let late = 8;
  for (let i = 0; i < 6; i++) {
    const value = logKnockLate(late);
    const slope = (logKnockLate(late + 0.5) - value) / 0.5;
    const next = late - (value - logKnock) / Math.min(-0.015, slope);
    late = clamp(next, late - 25, late + 25);
    if (Math.abs(value - logKnock) < 1e-4) break;
  }
  return answer.bestTorqueAdvanceDeg - clamp(late, -60, 60);
};
