/** The crank-angle cycle in the place of the cylinder: what the match, the transient and part load ask it for. */
import { type Car, fuelSharesOf, steppedShares } from '../car/index.ts';
import {
  type Cylinder,
  KNOCK_ANCHOR,
  knockReference,
  newCharge as newCycleCharge,
  type PortState,
  prepareCylinder,
  trapCharge,
  USUAL_CYLINDER,
  type WritableCharge,
} from '../cylinder/index.ts';
import { expectSolved, type Fuel, petrol, petrolBlend } from '../physics/index.ts';
import {
  advanceAtKnock,
  bestWork,
  type CycleState,
  type CycleSurface,
  cycleAt,
  cycleSurface,
  logKnockAt,
  newCycleAnswer,
} from './cycle-surface.ts';
import {
  type CylinderCharge,
  type CylinderFacts,
  type CylinderModel,
  meanValueCylinder,
  usualAdvanceDeg,
} from './cylinder.ts';

/** Part of the fuel's latent heat that the charge pays before the valve closes; the rest comes from hot walls (no source). */
const FUEL_FROM_CHARGE = 0.5;
/** Of a fine mist carried into the cylinder: most of it, before or during compression (no source). */
const MIST_FROM_CHARGE = 0.75;
/**
 * Charge temperature that a filling curve is taken to be known at [K]. A warmer charge is warmed less on its way in, so
 * filling goes with its root (Heywood (1988) sect. 6.2.2); the match keeps the curve, the state at closing must not, or a
 * hot charge would close at a lower pressure and knock less than it does.
 */
const FILLING_KNOWN_AT_K = 318.15;
/** Exhaust temperature taken where a caller does not know it [K]. */
const USUAL_EXHAUST_K = 1150;

/**
 * Work lost because cycles burn at scattered angles, the more so the later they burn: half the curvature of work over
 * burning angle, 6e-4 per square degree, times a variance that grows by a tenth of the square of the lateness.
 * Source: Heywood (1988) sect. 9.4.2 for the direction; figures common practice, no source.
 */
const SCATTER_LOSS_PER_DEG2 = 3e-5;

/** Octane number in the Douaud-Eyzat delay goes with this power. Source: SAE 780080. */
const OCTANE_EXPONENT = 3.402;

/**
 * The law alone moves the limit by some 5 deg per 1000 rpm, twice what engines show (common practice, no source): at low
 * speed a little knock is mild and is lived with, at high speed it is not. The borderline level follows speed to this power.
 */
const KNOCK_SPEED_EXPONENT = 0.5;

const BASE_PETROL = petrol(100, 88);
/** The fuel of a car for the cycle, shares by volume in steps of 5 %: gases hardly differ within one. */
export const cycleFuelOf = (car: Car): Fuel => {
  const shares = fuelSharesOf(car);
  const blend = shares === null ? BASE_PETROL : expectSolved(petrolBlend(steppedShares(shares, 0.05), BASE_PETROL));
  return { ...blend, researchOctane: 100 };
};

/**
 * Steps that engines are rounded to, so that the samples of one car share a few surfaces. Half a step of bore or stroke
 * moves work by 0.2 % and the knock limit by half a degree; the compression ratio within a step is followed by its trend.
 */
const BORE_STEP_M = 8e-3;
const RATIO_STEP = 0.25;
/** Engines kept; the oldest leaves. A surface depends on its rounded engine alone, so leaving and coming back changes nothing. */
const MOST_KEPT = 400;
const kept = new Map<string, KeptEngine | null>();

interface KeptEngine {
  readonly surface: CycleSurface;
  /** Gross work over the air's heat at compression ratio 9, lambda 0.9, best timing: what the sheet's number is said at. */
  readonly workAtReference: number;
}

/** Where the sheet's efficiency is taken to hold, beside ratio 9, lambda 0.9 and best timing: under boost near most power. */
const REFERENCE_STATE: CycleState = {
  engineSpeedRpm: 5500,
  trappedDensityKgPerM3: 2.1,
  closingTemperatureK: 355,
  residualFraction: 0.045,
  lambda: 0.9,
};

const answer = newCycleAnswer();
const port: { -readonly [K in keyof PortState]: PortState[K] } = {
  engineSpeedRpm: 0,
  airKg: 0,
  manifoldPressurePa: 0,
  chargeTemperatureK: 0,
  exhaustPressurePa: 0,
  exhaustTemperatureK: 0,
  lambda: 1,
  fuel: BASE_PETROL,
  waterPerAir: 0.008,
  evaporationCoolingK: 0,
  evaporationJPerKgAir: 0,
};

const engineOf = (car: Car): KeptEngine | null => {
  const round = (value: number, step: number) => Math.max(1, Math.round(value / step)) * step;
  const boreM = round(car.engine.boreM, BORE_STEP_M);
  const strokeM = round(car.engine.strokeM, BORE_STEP_M);
  const compressionRatio = round(car.engine.compressionRatio, RATIO_STEP);
  const fuel = cycleFuelOf(car);
  const key = `${boreM} ${strokeM} ${compressionRatio} ${fuel.hydrogenToCarbon} ${fuel.oxygenToCarbon}`;
  let engine = kept.get(key);
  if (engine === undefined) {
    const surface = cycleSurface({ boreM, strokeM, compressionRatio, fuel });
    const workAtReference = bestWork({ boreM, strokeM, compressionRatio: 9, fuel }, REFERENCE_STATE);
    engine = surface && workAtReference !== null ? { surface, workAtReference } : null;
    if (kept.size >= MOST_KEPT) kept.delete(kept.keys().next().value as string);
    kept.set(key, engine);
  }
  return engine;
};

const state: CycleState = { ...REFERENCE_STATE };

/** The cylinder of a car with its own dimensions, not rounded; null where the cycle does not reach. */
export const cycleCylinderOf = (car: Car): Cylinder | null => {
  const prepared = prepareCylinder({
    ...USUAL_CYLINDER,
    boreM: car.engine.boreM,
    strokeM: car.engine.strokeM,
    compressionRatio: car.engine.compressionRatio,
  });
  return prepared.ok ? prepared.value : null;
};

/** What a cylinder has trapped when the intake valve closes, from the state in the ports, into `out`. */
export const trapped = (cylinder: Cylinder, charge: CylinderCharge, out: WritableCharge): WritableCharge => {
  port.engineSpeedRpm = charge.engineSpeedRpm;
  // Not told the trapped air, a usual filling stands in: only burning speed and knock see it.
  const airKg =
    charge.airPerCycleKg > 0
      ? charge.airPerCycleKg
      : (0.92 * cylinder.sweptM3 * charge.manifoldPressurePa) / (287 * charge.chargeTemperatureK);
  port.airKg = airKg * Math.sqrt(charge.chargeTemperatureK / FILLING_KNOWN_AT_K);
  port.manifoldPressurePa = charge.manifoldPressurePa;
  port.chargeTemperatureK = charge.chargeTemperatureK;
  port.exhaustPressurePa = charge.exhaustPressurePa;
  port.exhaustTemperatureK = charge.exhaustTemperatureK > 0 ? charge.exhaustTemperatureK : USUAL_EXHAUST_K;
  port.lambda = charge.lambda;
  port.fuel = out.fuel;
  const fuelCoolingK = charge.evaporationCoolingK - charge.injectedCoolingK;
  port.evaporationCoolingK = FUEL_FROM_CHARGE * fuelCoolingK + MIST_FROM_CHARGE * charge.injectedCoolingK;
  return trapCharge(cylinder, port, out);
};

/** How far work changes for a compression ratio a little off the surface's: the ideal cycle's trend. */
const ratioTrend = (ratio: number): number => 1 - ratio ** -0.3;

/**
 * The cylinder of a car by the crank-angle cycle.
 *
 * The sheet's indicated efficiency scales the work (at the reference it is said at), walls taking the difference; the cycle
 * (or `workOverCycle` says it at once)
 * gives everything else: mixture, timing, residual gas, heat to the walls, peak pressure, knock. Timing that nobody typed
 * is what engine computers are usually set to, no earlier than best torque. Diesel: {@link meanValueCylinder}, since the
 * burn law is spark ignition's; so also an engine outside the cycle's range.
 */
export const crankAngleCylinder = (
  car: Car,
  { workOverCycle }: { readonly workOverCycle?: number | undefined } = {},
): CylinderModel => {
  const engine = car.facts.ignition === 'spark' ? engineOf(car) : null;
  const cylinder = engine && cycleCylinderOf(car);
  if (!engine || !cylinder) return meanValueCylinder;
  const { surface } = engine;
  const closed = newCycleCharge(surface.engine.fuel);
  const sweptM3 = car.engine.displacementM3 / car.facts.cylinders;
  const over = car.engine.compressionRatio / surface.engine.compressionRatio;
  const trend = ratioTrend(car.engine.compressionRatio) / ratioTrend(surface.engine.compressionRatio);
  const scaleOf = (facts: CylinderFacts) =>
    trend * facts.learnedTorque * (workOverCycle ?? facts.indicatedEfficiency / engine.workAtReference);
  return {
    burn: (charge, facts, sparkAdvanceDeg, out) => {
      trapped(cylinder, charge, closed);
      state.engineSpeedRpm = charge.engineSpeedRpm;
      state.trappedDensityKgPerM3 = closed.airKg / sweptM3;
      state.closingTemperatureK = closed.temperatureK;
      state.residualFraction = closed.residualFraction;
      state.lambda = charge.lambda;
      let spark = sparkAdvanceDeg ?? usualAdvanceDeg(charge, facts);
      cycleAt(surface, state, spark, answer);
      const best = answer.bestTorqueAdvanceDeg;
      if (sparkAdvanceDeg === null && spark > best) {
        spark = best;
        cycleAt(surface, state, best, answer);
      }
      const late = Math.min(30, Math.max(0, best - spark));
      const work = answer.work * scaleOf(facts) * (1 - SCATTER_LOSS_PER_DEG2 * late * late);
      const released = Math.max(answer.released, 1.02 * work);
      // Work that the sheet's efficiency takes or gives was heat to the walls.
      const walls = Math.max(0, answer.wall + answer.work - work);
      const exhaust = Math.max(0.02, released - walls - work) * facts.learnedExhaustHeat;
      out.heatShare = released;
      out.indicatedEfficiency = work;
      out.wallHeatShare = Math.max(0, (released - work - exhaust) / released);
      out.sparkAdvanceDeg = spark;
      out.bestTorqueAdvanceDeg = best;
      out.knockLimitAdvanceDeg = best;
      out.peakPressurePa = answer.peakPressurePa * over ** 1.3;
      return out;
    },
    knockLimit: (facts, out) => {
      const level =
        knockReference() -
        KNOCK_SPEED_EXPONENT * Math.log(state.engineSpeedRpm / KNOCK_ANCHOR.engineSpeedRpm) +
        OCTANE_EXPONENT * Math.log(Math.max(40, facts.researchOctane) / 100);
      const borderline = level - 3.5 * Math.log(over);
      out.knockLimitAdvanceDeg = advanceAtKnock(borderline, answer) + facts.learnedKnockDeg;
      out.knockShare = Math.exp(logKnockAt(out.sparkAdvanceDeg - facts.learnedKnockDeg, answer) - borderline);
    },
  };
};
