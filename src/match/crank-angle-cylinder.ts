/** The crank-angle cycle in the place of the cylinder: what the match, the transient and part load ask it for. */
import type { Car } from '../car/index.ts';
import { CHARGE_WARMING, INTAKE_WALL_K, knockReference } from '../cylinder/index.ts';
import { ETHANOL, expectSolved, type Fuel, fuelBlend, METHANOL, petrol, residualGasMassKg } from '../physics/index.ts';
import {
  advanceAtKnock,
  bestWork,
  type CycleState,
  type CycleSurface,
  cycleAt,
  cycleSurface,
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
/** Specific heat of burned over that of fresh gas, for mixing. */
const BURNED_HEAT_RATIO = 1.16;

/**
 * Work lost because cycles burn at scattered angles, the more so the later they burn: half the curvature of work over
 * burning angle, 6e-4 per square degree, times a variance that grows by a tenth of the square of the lateness.
 * Source: Heywood (1988) sect. 9.4.2 for the direction; figures common practice, no source.
 */
const SCATTER_LOSS_PER_DEG2 = 3e-5;

/** Octane number in the Douaud-Eyzat delay goes with this power. Source: SAE 780080. */
const OCTANE_EXPONENT = 3.402;

const BASE_PETROL = petrol(100, 88);
/** The fuel of a car for the cycle, in steps of 5 % ethanol: gases hardly differ within one. */
const cycleFuelOf = (car: Car): Fuel => {
  if (car.facts.fuelKind === 'methanol') return { ...METHANOL, researchOctane: 100 };
  const ethanol = Math.round(20 * Math.min(1, Math.max(0, car.fuel.ethanolContent))) / 20;
  const blend =
    ethanol === 0
      ? BASE_PETROL
      : expectSolved(
          fuelBlend(
            [
              { fuel: BASE_PETROL, volumeFraction: 1 - ethanol },
              { fuel: ETHANOL, volumeFraction: ethanol },
            ],
            'blend',
          ),
        );
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

/** Where the sheet's efficiency is taken to hold, beside ratio 9, lambda 0.9 and best timing: under boost at middling speed. */
const REFERENCE_STATE: CycleState = {
  engineSpeedRpm: 4500,
  trappedDensityKgPerM3: 2.1,
  closingTemperatureK: 355,
  residualFraction: 0.045,
  lambda: 0.9,
};

const answer = newCycleAnswer();

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

/** Temperature and residual share when the intake valve closes, into `state`. */
const closeIntake = (charge: CylinderCharge, airKg: number, clearanceM3: number): void => {
  const exhaustK = charge.exhaustTemperatureK > 0 ? charge.exhaustTemperatureK : 1150;
  const left = residualGasMassKg(charge.exhaustPressurePa, exhaustK, clearanceM3, 290);
  const share = Math.min(0.4, left / (left + 1.08 * airKg));
  const fuelCoolingK = charge.evaporationCoolingK - charge.injectedCoolingK;
  const cooled =
    charge.chargeTemperatureK - FUEL_FROM_CHARGE * fuelCoolingK - MIST_FROM_CHARGE * charge.injectedCoolingK;
  const fresh = Math.max(240, cooled + CHARGE_WARMING * (INTAKE_WALL_K - cooled));
  const weight = share * BURNED_HEAT_RATIO;
  state.residualFraction = share;
  state.closingTemperatureK = ((1 - share) * fresh + weight * exhaustK) / (1 - share + weight);
};

/** How far work changes for a compression ratio a little off the surface's: the ideal cycle's trend. */
const ratioTrend = (ratio: number): number => 1 - ratio ** -0.3;

/**
 * The cylinder of a car by the crank-angle cycle.
 *
 * The sheet's indicated efficiency scales the work (at the reference it is said at), walls taking the difference; the cycle
 * gives everything else: mixture, timing, residual gas, heat to the walls, peak pressure, knock. Timing that nobody typed
 * is what engine computers are usually set to, no earlier than best torque. Diesel: {@link meanValueCylinder}, since the
 * burn law is spark ignition's; so also an engine outside the cycle's range.
 */
export const crankAngleCylinder = (car: Car): CylinderModel => {
  const engine = car.facts.ignition === 'spark' ? engineOf(car) : null;
  if (engine === null) return meanValueCylinder;
  const { surface } = engine;
  const sweptM3 = car.engine.displacementM3 / car.facts.cylinders;
  const clearanceM3 = sweptM3 / Math.max(1, car.engine.compressionRatio - 1);
  const over = car.engine.compressionRatio / surface.engine.compressionRatio;
  const trend = ratioTrend(car.engine.compressionRatio) / ratioTrend(surface.engine.compressionRatio);
  const scaleOf = (facts: CylinderFacts) =>
    (trend * facts.learnedTorque * facts.indicatedEfficiency) / engine.workAtReference;
  return {
    burn: (charge, facts, sparkAdvanceDeg, out) => {
      // Not told the trapped air, a usual filling stands in: only burning speed and knock see it.
      const airKg =
        charge.airPerCycleKg > 0
          ? charge.airPerCycleKg
          : (0.92 * sweptM3 * charge.manifoldPressurePa) / (287 * charge.chargeTemperatureK);
      closeIntake(charge, airKg, clearanceM3);
      state.engineSpeedRpm = charge.engineSpeedRpm;
      state.trappedDensityKgPerM3 = airKg / sweptM3;
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
      const level = knockReference() + OCTANE_EXPONENT * Math.log(Math.max(40, facts.researchOctane) / 100);
      out.knockLimitAdvanceDeg = advanceAtKnock(level - 3.5 * Math.log(over), answer) + facts.learnedAdvanceDeg;
    },
  };
};
