/**
 * One engine speed at one manifold pressure: every flow, pressure and temperature round the engine, found together.
 *
 * Humid air -> filter -> compressor -> charge cooler -> throttle -> injection -> filling -> cylinder -> turbine beside
 * wastegate -> exhaust pipe. Two ways to close it: the wastegate's opening is given and the shaft's surplus of power
 * comes out, or the shaft is in balance and the opening comes out.
 */
import {
  compressorAt,
  correctedMassFlowKgPerS,
  MAP_PLACE,
  newCompressorState,
  speedFromCorrectedRpm,
} from '../physics/index.ts';
import { type CylinderAnswer, type CylinderCharge, type CylinderModel, frictionPressurePa } from './cylinder.ts';
import {
  exhaustHeat,
  fillingCorrection,
  fillingPerPaK,
  fuelForLambda,
  newEngineFlows,
  newEngineHeat,
  setCharge,
} from './engine-flows.ts';
import { burnedEnthalpy, curveAt, type Prepared, roadSpeedMPerS } from './prepare.ts';
import { evaporatedShare } from './spray.ts';
import {
  inletPressureForFlow,
  inletPressureForPower,
  runTurbine,
  setTurbine,
  turbine,
  wastegateFunction,
} from './turbine-flow.ts';

/** Everything at one point; reused between calls. SI, pressures absolute. */
export interface Balance {
  manifoldPressurePa: number;
  airFlowKgPerS: number;
  fillingCorrection: number;
  volumetricEfficiency: number;
  inletPressurePa: number;
  inletTemperatureK: number;
  compressorOutletPressurePa: number;
  compressorOutletTemperatureK: number;
  correctedFlowKgPerS: number;
  pressureRatio: number;
  compressorEfficiency: number;
  compressorPowerW: number;
  shaftSpeedRpm: number;
  chokeFlowKgPerS: number;
  surgeFlowKgPerS: number;
  mapPlace: number;
  coolerEffectiveness: number;
  coreTemperatureK: number;
  chargeTemperatureK: number;
  injectionFlowKgPerS: number;
  injectionEvaporatedShare: number;
  evaporatedFlowKgPerS: number;
  lambda: number;
  fuelFlowKgPerS: number;
  exhaustFlowKgPerS: number;
  exhaustTemperatureK: number;
  exhaustPressurePa: number;
  turbineFlowKgPerS: number;
  turbineEfficiency: number;
  turbinePowerW: number;
  turbineOutletPressurePa: number;
  turbineOutletTemperatureK: number;
  wastegateCapacityKgPerS: number;
  wastegateOpening: number;
  /** Set free in the cylinders. */
  heatW: number;
  indicatedPowerW: number;
  pumpingPowerW: number;
  /** Rubbing friction and accessories. */
  frictionPowerW: number;
  wallHeatW: number;
  /** Turbine power times bearings less compressor power [W]; nought in balance. */
  surplusPowerW: number;
  converged: boolean;
}

/** What is held at a solution instead of computed. All optional. */
export interface Held {
  readonly chargeTemperatureK?: number | undefined;
  readonly lambda?: number | undefined;
  readonly sparkAdvanceDeg?: number | null | undefined;
  readonly exhaustPressurePa?: number | undefined;
}

export type CloseBy = 'opening' | 'shaft balance';

export interface Solver {
  readonly prepared: Prepared;
  readonly cylinderModel: CylinderModel;
  readonly engineSpeedRpm: number;
  readonly baseFilling: number;
  readonly lambdaTarget: number;
  readonly sparkAdvanceDeg: number | null;
  /** True: long full throttle, the cooler core in balance; false: one pull from low speed. */
  readonly sustained: boolean;
  readonly held: Held;
  readonly balance: Balance;
  readonly cylinder: CylinderAnswer;
  readonly charge: CylinderCharge;
}

const compressor = newCompressorState();
const flows = newEngineFlows();
const heat = newEngineHeat();

/** Sum of relative moves at which a balance counts as settled: far inside the 0.1 % that mass and energy must close to. */
const SETTLED = 1e-5;
/** A little damping keeps the loop of filling and back-pressure from swinging. */
const DAMPING = 0.9;

/**
 * What alternator and pumps take from the crank [W]: some 50 A at 14 V and 55 % efficiency, and 0.3 kW for the water
 * pump (common practice, no source). Net brake power is after them (SAE J1349 net; ISO 1585).
 */
export const ACCESSORY_POWER_W = 1600;

/** Share of the rev limit at which boost has usually come up, so that the core begins to warm (no source). */
const BOOST_UP_SHARE = 0.45;
/** Mean heat into the core during the pull so far, over the present (flow and heat rise with speed; no source). */
const HEAT_SO_FAR = 0.87;
/** Core over outside air when the pedal goes down after cruising [K] (no source). */
const CORE_START_OVER_AMBIENT_K = 3;
/** Rotating parts as a share of the car's mass in a middle gear. Source: SAE J2263 (1.03), rest for the engine, no source. */
export const MOVING_MASS = 1.06;

/** How long a pull in a middle gear has been on boost at this engine speed [s], from kinetic energy over power. */
const pullTimeS = (solver: Solver, airFlow: number): number => {
  const { prepared, engineSpeedRpm } = solver;
  const { car, cylinder, corePullGear } = prepared;
  const powerW = airFlow * cylinder.heatPerAirJPerKg * 0.3;
  const now = roadSpeedMPerS(car, engineSpeedRpm, corePullGear.ratio);
  const start = roadSpeedMPerS(car, BOOST_UP_SHARE * car.engine.revLimitRpm, corePullGear.ratio);
  // Mean power of the pull so far is some four fifths of the present one.
  const energy = 0.5 * MOVING_MASS * car.body.massKg * Math.max(0, now * now - start * start);
  return 0.5 + energy / (0.8 * Math.max(powerW, 1000));
};

/**
 * Finds the balance at `manifoldPressurePa`; warm-started from what `solver.balance` holds.
 *
 * By 'opening', `opening` (0 to 1) is the wastegate's and `surplusPowerW` comes out; by 'shaft balance' the opening that
 * leaves no surplus comes out, above 1 where even wide open would not do and below 0 where shut is not enough.
 * Repeats until flow, pressure and temperatures move less than two parts in a million, at most 80 times.
 */
export const balanceAt = (solver: Solver, manifoldPressurePa: number, closeBy: CloseBy, opening: number): Balance => {
  const { prepared, balance: b, cylinderModel, cylinder, charge, engineSpeedRpm, held } = solver;
  const { car, conditions, scale, surface, burned } = prepared;
  const { turbocharger: turbo, chargeCooler, injection, engine } = car;
  const ambientPa = conditions.ambientPressurePa;
  const ambientK = conditions.ambientTemperatureK;
  const cyclesPerS = engineSpeedRpm / 120;
  const pm = manifoldPressurePa;
  const boostPa = pm - ambientPa;
  const cp = prepared.airSpecificHeat;
  const R = prepared.airGasConstant;
  const Rb = burned.gasConstantJPerKgK;
  const reference = { temperatureK: surface.referenceTemperatureK, pressurePa: surface.referencePressurePa };
  const ambientDensity = ambientPa / (R * ambientK);
  const lambda = held.lambda ?? solver.lambdaTarget;
  const spark = held.sparkAdvanceDeg === undefined ? solver.sparkAdvanceDeg : held.sparkAdvanceDeg;
  const frictionPa = frictionPressurePa(engine, engineSpeedRpm);

  let pe = held.exhaustPressurePa ?? (b.exhaustPressurePa > 0 ? b.exhaustPressurePa : 1.1 * pm);
  let tc = held.chargeTemperatureK ?? (b.chargeTemperatureK > 0 ? b.chargeTemperatureK : ambientK + 20);
  let te = b.exhaustTemperatureK > 0 ? b.exhaustTemperatureK : 1150;
  let p4 = b.turbineOutletPressurePa > 0 ? b.turbineOutletPressurePa : ambientPa * 1.1;
  let air = 0;
  let missBefore = Number.NaN;
  let peBefore = Number.NaN;
  let converged = false;
  for (let round = 0; round < 80; round++) {
    // Filling is known at equal pressures; residual gas takes its part of it.
    const correction = fillingCorrection(prepared, pe, pm);
    const airNow = (fillingPerPaK(prepared, solver.baseFilling * correction, engineSpeedRpm) * pm) / tc;
    const airMoved = Math.abs(airNow - air) / airNow;
    air = airNow;
    const air2 = air * air;

    const p1 = Math.max(0.3 * ambientPa, ambientPa - (prepared.filterLossPerFlow2 * air2 * 1.2) / ambientDensity);
    const chargeDensity = pm / (R * tc);
    const beforeThrottle = pm + (prepared.throttleLossPerFlow2 * air2) / chargeDensity;
    const p2 = beforeThrottle + (prepared.coolerLossPerFlow2 * air2 * prepared.coolerReferenceDensity) / chargeDensity;
    const corrected = correctedMassFlowKgPerS(air, ambientK, p1, reference);
    const pressureRatio = p2 / p1;
    compressorAt(surface, corrected, pressureRatio, scale, compressor);
    const rise = compressor.workRatio + 2 * compressor.shortfall;
    const t2 = ambientK * (1 + rise);
    const compressorPower = air * cp * (t2 - ambientK);
    const shaftRpm = speedFromCorrectedRpm(compressor.shaftSpeedRpm, ambientK, reference);

    // Charge cooler: the core between charge and outside air, warmed by the pull so far.
    const effectiveness = Math.min(0.98, Math.max(0, curveAt(car.curves.effectiveness, air)));
    const hot = air * cp * effectiveness;
    const cold = Math.max(1e-3, prepared.corePullGear.coldConductanceAtRpm(engineSpeedRpm));
    const settled = (hot * t2 + cold * ambientK) / (hot + cold);
    const start = ambientK + CORE_START_OVER_AMBIENT_K;
    const soaked = solver.sustained
      ? 1
      : 1 - Math.exp((-pullTimeS(solver, air) * (hot + cold)) / chargeCooler.coreHeatCapacityJPerK);
    const core = solver.sustained ? settled : start + HEAT_SO_FAR * (settled - start) * soaked;
    const cooled = t2 - effectiveness * (t2 - core);

    // Water-methanol: square-root law against manifold pressure.
    let spray = 0;
    if (car.facts.hasInjection && boostPa > injection.startBoostGaugePa && injection.nozzleFlowM3PerS > 0) {
      const push = (injection.pumpPressureGaugePa - boostPa) / injection.pumpPressureGaugePa;
      spray = push > 0 ? injection.nozzleFlowM3PerS * Math.sqrt(push) * prepared.mixDensity : 0;
    }
    const evaporates = spray > 0 ? evaporatedShare(prepared, cooled, pm, spray / air) : 0;
    const evaporated = spray * evaporates;
    const afterSpray = spray > 0 ? cooled - (evaporated * prepared.mixLatentJPerKg) / (air * cp) : cooled;
    const tcNow = held.chargeTemperatureK ?? Math.max(220, afterSpray);

    const pumping = (pe - pm) * prepared.displacementM3 * cyclesPerS;
    flows.airKgPerS = air;
    flows.fuelKgPerS = fuelForLambda(prepared, air, lambda, spray);
    flows.sprayKgPerS = spray;
    flows.liquidKgPerS = spray - evaporated;
    flows.chargeTemperatureK = tcNow;
    flows.lambda = lambda;
    flows.pumpingW = pumping;
    setCharge(prepared, flows, engineSpeedRpm, pm, pe, te, charge);
    cylinderModel.burn(charge, prepared.cylinder, spark, cylinder);
    exhaustHeat(prepared, flows, cylinder, heat);
    const { exhaustKgPerS: exhaust, temperatureK: teNow } = heat;

    const cpb = burned.a + burned.b * (0.95 * teNow);
    setTurbine(turbo, p4, teNow, cpb, Rb, shaftRpm);
    let peNow: number;
    if (held.exhaustPressurePa !== undefined) peNow = held.exhaustPressurePa;
    else if (closeBy === 'shaft balance')
      peNow = inletPressureForPower(compressorPower / turbo.mechanicalEfficiency, pe);
    else peNow = inletPressureForFlow(exhaust, opening * turbo.wastegateAreaM2, pe);
    runTurbine(peNow);
    const capacity = (turbo.wastegateAreaM2 * peNow * wastegateFunction(p4 / peNow)) / Math.sqrt(Rb * teNow);
    const turbineFlow = Math.min(turbine.flow, exhaust);
    const t4 = teNow - (turbine.power / Math.max(1e-9, turbine.flow) / cpb) * (turbineFlow / exhaust);
    const density4 = p4 / (Rb * t4);
    const p4Now =
      ambientPa + (prepared.exhaustLossPerFlow2 * exhaust * exhaust * prepared.exhaustReferenceDensity) / density4;

    const moved =
      airMoved +
      Math.abs(peNow - pe) / pe +
      Math.abs(tcNow - tc) / tc +
      Math.abs(teNow - te) / te +
      Math.abs(p4Now - p4) / p4;
    // Secant steps on the exhaust's pressure, which all else follows; damped where two rounds say nothing of a slope.
    const miss = peNow - pe;
    const slope = (miss - missBefore) / (pe - peBefore);
    const step = slope < -0.3 && slope > -3 ? -miss / slope : DAMPING * miss;
    missBefore = miss;
    peBefore = pe;
    pe += step;
    tc = tcNow;
    te = teNow;
    p4 += DAMPING * (p4Now - p4);
    converged = moved < SETTLED;
    if (converged || round === 79) {
      b.manifoldPressurePa = pm;
      b.airFlowKgPerS = air;
      b.fillingCorrection = correction;
      b.volumetricEfficiency = solver.baseFilling * correction;
      b.inletPressurePa = p1;
      b.inletTemperatureK = ambientK;
      b.compressorOutletPressurePa = p2;
      b.compressorOutletTemperatureK = t2;
      b.correctedFlowKgPerS = corrected;
      b.pressureRatio = pressureRatio;
      b.compressorEfficiency = compressor.efficiency;
      b.compressorPowerW = compressorPower;
      b.shaftSpeedRpm = shaftRpm;
      b.chokeFlowKgPerS = compressor.chokeFlowKgPerS;
      b.surgeFlowKgPerS = compressor.surgeFlowKgPerS;
      b.mapPlace = compressor.place;
      b.coolerEffectiveness = t2 > ambientK ? (t2 - tcNow) / (t2 - ambientK) : effectiveness;
      b.coreTemperatureK = core;
      b.chargeTemperatureK = tcNow;
      b.injectionFlowKgPerS = spray;
      b.injectionEvaporatedShare = evaporates;
      b.evaporatedFlowKgPerS = evaporated;
      b.lambda = lambda;
      b.fuelFlowKgPerS = flows.fuelKgPerS;
      b.exhaustFlowKgPerS = exhaust;
      b.exhaustTemperatureK = te;
      b.exhaustPressurePa = pe;
      b.turbineFlowKgPerS = turbine.flow;
      b.turbineEfficiency = turbine.efficiency;
      b.turbinePowerW = turbine.power;
      b.turbineOutletPressurePa = p4;
      b.turbineOutletTemperatureK = t4;
      b.wastegateCapacityKgPerS = capacity;
      b.wastegateOpening =
        closeBy === 'opening' ? opening : capacity > 0 ? (exhaust - turbine.flow) / capacity : exhaust > 0 ? 1e3 : 0;
      b.heatW = heat.releasedW;
      b.indicatedPowerW = heat.indicatedW;
      b.pumpingPowerW = pumping;
      b.frictionPowerW = frictionPa * prepared.displacementM3 * cyclesPerS + ACCESSORY_POWER_W;
      b.wallHeatW = heat.wallW;
      b.surplusPowerW = turbine.power * turbo.mechanicalEfficiency - compressorPower;
      b.converged = moved < 1e-4;
      break;
    }
  }
  return b;
};

/** Room for one balance, to be filled by its solver. */
export const newBalance = (): Balance => ({
  manifoldPressurePa: 0,
  airFlowKgPerS: 0,
  fillingCorrection: 1,
  volumetricEfficiency: 0,
  inletPressurePa: 0,
  inletTemperatureK: 0,
  compressorOutletPressurePa: 0,
  compressorOutletTemperatureK: 0,
  correctedFlowKgPerS: 0,
  pressureRatio: 1,
  compressorEfficiency: 0,
  compressorPowerW: 0,
  shaftSpeedRpm: 0,
  chokeFlowKgPerS: 0,
  surgeFlowKgPerS: 0,
  mapPlace: MAP_PLACE.inside,
  coolerEffectiveness: 0,
  coreTemperatureK: 0,
  chargeTemperatureK: 0,
  injectionFlowKgPerS: 0,
  injectionEvaporatedShare: 0,
  evaporatedFlowKgPerS: 0,
  lambda: 1,
  fuelFlowKgPerS: 0,
  exhaustFlowKgPerS: 0,
  exhaustTemperatureK: 0,
  exhaustPressurePa: 0,
  turbineFlowKgPerS: 0,
  turbineEfficiency: 0,
  turbinePowerW: 0,
  turbineOutletPressurePa: 0,
  turbineOutletTemperatureK: 0,
  wastegateCapacityKgPerS: 0,
  wastegateOpening: 0,
  heatW: 0,
  indicatedPowerW: 0,
  pumpingPowerW: 0,
  frictionPowerW: 0,
  wallHeatW: 0,
  surplusPowerW: 0,
  converged: false,
});

/** Brake power [W] of a balance: indicated less pumping less friction. */
export const brakePowerW = (b: Balance): number => b.indicatedPowerW - b.pumpingPowerW - b.frictionPowerW;

/** Enthalpy flow of the exhaust over 298.15 K [W], for the energy bookkeeping. */
export const exhaustEnthalpyW = (prepared: Prepared, b: Balance): number =>
  b.exhaustFlowKgPerS * burnedEnthalpy(prepared.burned, b.exhaustTemperatureK);
