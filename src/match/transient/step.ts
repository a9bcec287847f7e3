/**
 * One step of time of the whole air path.
 *
 * Pressures and compressor flow are stepped together, linearised and implicit (a three-row system), and so is the exhaust
 * manifold: stiff small volumes then never limit the step. Shaft, metal, actuators and control are slow beside it and go
 * explicitly with the new flows. First order in the step; convergence is shown in docs/model.md and held by a test.
 * Source: mean-value engine models, Eriksson & Nielsen (2014) ch. 7 and 8; duct and volume with the compressor between
 * them, Greitzer, ASME J. Eng. Power 98 (1976) 190.
 */
import {
  type CompressorAtSpeed,
  chokedFlowFunction,
  compressorAtSpeed,
  criticalPressureRatio,
  newCompressorAtSpeed,
  nozzleFlowFunction,
  shutOffHead,
} from '../../physics/index.ts';
import { ACCESSORY_POWER_W } from '../balance.ts';
import { frictionPressurePa } from '../cylinder.ts';
import {
  exhaustHeat,
  fillingCorrection,
  fillingPerPaK,
  fuelForLambda,
  newEngineFlows,
  newEngineHeat,
  setCharge,
} from '../engine-flows.ts';
import { curveAt } from '../prepare.ts';
import { evaporatedShare } from '../spray.ts';
import { runTurbine, setTurbine, turbine, wastegateFunction } from '../turbine-flow.ts';
import type { AirPath, AirState } from './air-path.ts';
import { coldConductanceWPerK, coreAfter } from './core.ts';

/** What the driver and the road give in a step. */
export interface Driver {
  /** 0 the throttle's rest, 1 full. */
  pedal: number;
  /** Share of the throttle's area at the pedal's rest. */
  restOpening: number;
  fuelOn: boolean;
  /** Boost control at work: an engine computer lets the wastegate go when the pedal is up. */
  boostWanted: boolean;
}

/** Below this share of pressure lost the nozzle law is continued straight, so that its slope stays finite. Source: Eriksson & Nielsen (2014) sect. 7.3. */
const STRAIGHT_SHARE = 0.01;
const AIR_HEAT_RATIO = 1.4;
const AIR_CRITICAL = criticalPressureRatio(AIR_HEAT_RATIO);
const AIR_CHOKED = chokedFlowFunction(AIR_HEAT_RATIO);
const STRAIGHT_VALUE = nozzleFlowFunction(1 - STRAIGHT_SHARE, AIR_HEAT_RATIO);
/** Cylinder, spray and curves are asked anew this often: they move slowly beside the flows. */
const REFRESH_S = 0.01;
/** Part of the charge pipes and cooler that lies after the core [-] (common practice, no source). */
const AFTER_CORE_SHARE = 0.5;
/** The shaft is never held slower than this [rad/s]: bearings of a running engine's exhaust keep it turning. */
const LEAST_SHAFT_RAD_PER_S = 200;
/** Step left of the surge line [s]: surge moves in milliseconds. */
const SURGE_STEP_S = 1e-4;
/** Below this pressure ratio a wheel left of its surge line does no harm and makes no sound. */
export const LEAST_SURGE_RATIO = 1.1;
/** The control sees boost through its sensor and filter [s]. */
const RISE_LAG_S = 0.03;
const MOST_PA = 1e6;
const LEAST_PA = 5e3;
/** Gas of a cylinder that burns nothing leaves warmed by the walls this much (no source). */
const OVERRUN_WARMING_K = 250;

/** Flow function of air through a throttle at a pressure ratio below 1 [-]. */
export const airNozzle = (ratio: number): number =>
  ratio <= AIR_CRITICAL ? AIR_CHOKED : nozzleFlowFunction(ratio, AIR_HEAT_RATIO);

const atSpeed: CompressorAtSpeed = newCompressorAtSpeed();
const flows = newEngineFlows();
const heat = newEngineHeat();
const orifice = { flow: 0, byUp: 0, byDown: 0 };

/** Flow through an area between two pressures and its slopes over both; either way round. */
const nozzle = (areaM2: number, upPa: number, downPa: number, gasConstantTimesK: number, out: typeof orifice): void => {
  const back = downPa > upPa;
  const high = back ? downPa : upPa;
  const low = back ? upPa : downPa;
  const ratio = low / high;
  const per = areaM2 / Math.sqrt(gasConstantTimesK);
  let value: number;
  let slope: number;
  if (ratio <= AIR_CRITICAL) {
    value = AIR_CHOKED;
    slope = 0;
  } else if (ratio > 1 - STRAIGHT_SHARE) {
    slope = -STRAIGHT_VALUE / STRAIGHT_SHARE;
    value = slope * (ratio - 1);
  } else {
    value = nozzleFlowFunction(ratio, AIR_HEAT_RATIO);
    const k = AIR_HEAT_RATIO;
    const a = ratio ** (2 / k);
    const b = ratio ** ((k + 1) / k);
    slope = ((k / (k - 1)) * ((2 / k) * a - ((k + 1) / k) * b)) / (value * ratio);
  }
  const flow = per * high * value;
  const byHigh = per * (value - ratio * slope);
  const byLow = per * slope;
  out.flow = back ? -flow : flow;
  out.byUp = back ? -byLow : byHigh;
  out.byDown = back ? -byHigh : byLow;
};

/** What the cylinder, the spray and the curves say now; kept until they are asked again. */
const refresh = (path: AirPath, s: AirState, fuelOn: boolean): void => {
  const { prepared, solver, held } = path;
  const { car, conditions } = prepared;
  const { injection, engine } = car;
  const pm = s.manifoldPressurePa;
  const tc = s.chargeTemperatureK;
  const air = Math.max(1e-4, s.engineFlowKgPerS);
  const cp = prepared.airSpecificHeat;
  held.ageS = 0;
  held.baseFilling = Math.max(0.05, curveAt(car.curves.volumetricEfficiency, s.engineSpeedRpm));
  held.frictionPa = frictionPressurePa(engine, s.engineSpeedRpm);
  held.lambdaTarget = Math.max(0.4, curveAt(car.curves.lambdaTarget, s.engineSpeedRpm));
  held.forecastOpening = path.forecast(s.engineSpeedRpm);
  const boostPa = pm - conditions.ambientPressurePa;
  held.sprayKgPerS = 0;
  held.evaporatedKgPerS = 0;
  if (car.facts.hasInjection && boostPa > injection.startBoostGaugePa && injection.nozzleFlowM3PerS > 0) {
    const push = (injection.pumpPressureGaugePa - boostPa) / injection.pumpPressureGaugePa;
    if (push > 0) {
      const spray = injection.nozzleFlowM3PerS * Math.sqrt(push) * prepared.mixDensity;
      const latentRise = (spray * prepared.mixLatentJPerKg) / (air * cp);
      held.sprayKgPerS = spray;
      held.evaporatedKgPerS =
        spray * evaporatedShare(prepared, tc + held.evaporatedKgPerS * latentRise, pm, spray / air);
    }
  }
  if (!fuelOn) {
    held.indicatedEfficiency = 0;
    held.heatShare = 0;
    held.wallHeatShare = 0;
    return;
  }
  const { charge, cylinder } = solver;
  const spark = car.curves.sparkAdvance && boostPa > 0 ? curveAt(car.curves.sparkAdvance, s.engineSpeedRpm) : null;
  flows.airKgPerS = air;
  flows.fuelKgPerS = s.fuelFlowKgPerS;
  flows.liquidKgPerS = held.sprayKgPerS - held.evaporatedKgPerS;
  flows.chargeTemperatureK = tc;
  flows.lambda = s.lambda;
  setCharge(prepared, flows, s.engineSpeedRpm, pm, s.exhaustPressurePa, s.exhaustTemperatureK, charge);
  solver.cylinderModel.burn(charge, prepared.cylinder, spark, cylinder);
  held.indicatedEfficiency = cylinder.indicatedEfficiency;
  held.heatShare = cylinder.heatShare;
  held.wallHeatShare = cylinder.wallHeatShare;
};

/**
 * Boost control as an engine computer does it: wastegate let go altogether while boost is far short; then the opening
 * that the steady match forecasts, corrected in proportion, in time and for the rise seen, within what the spring allows.
 * Proportional-integral-derivative law with limits; the integral stands while the valve is at an end (common practice).
 */
const wantedOpening = (path: AirPath, s: AirState, driver: Driver, dt: number): number => {
  const { numbers, prepared, held } = path;
  const { wastegateCrackPressureGaugePa: crack, wastegateSpanPa } = prepared.car.turbocharger;
  const span = Math.max(1, wastegateSpanPa);
  const boost = s.chargePressurePa - prepared.conditions.ambientPressurePa;
  const sprung = Math.min(1, Math.max(0, (boost - crack) / span));
  if (!driver.boostWanted) {
    s.controlPa = 0;
    return sprung;
  }
  const short = s.targetPa - s.manifoldPressurePa;
  const wanted = s.targetPa - prepared.conditions.ambientPressurePa;
  if (short > numbers.controlGate * Math.max(1, wanted)) {
    s.controlPa = 0;
    return 0;
  }
  const forecast = Math.min(1, held.forecastOpening * (1 + numbers.forecastError));
  const ahead = short - numbers.controlAheadS * s.risePaPerS;
  const free = forecast - (numbers.controlGain * ahead + s.controlPa) / span;
  const opening = Math.min(sprung, Math.max(0, free));
  // The integral stands still while the valve is at an end and would be driven further into it.
  if ((opening > 0 || short < 0) && (opening < sprung || short > 0)) s.controlPa += numbers.controlPerS * short * dt;
  return opening;
};

/** Advances `s` by `dt` [s] at its engine speed; the caller moves the engine speed with `brakeTorqueNm`. */
export const stepAir = (path: AirPath, s: AirState, driver: Driver, dt: number): void => {
  const { prepared, numbers, held } = path;
  const { car, conditions, scale, surface, burned } = prepared;
  const { turbocharger: turbo, chargeCooler, intake, exhaust } = car;
  const ambientPa = conditions.ambientPressurePa;
  const ambientK = conditions.ambientTemperatureK;
  const cp = prepared.airSpecificHeat;
  const R = prepared.airGasConstant;
  const Rb = burned.gasConstantJPerKgK;
  const cyclesPerS = s.engineSpeedRpm / 120;

  // Valves and mixture follow with their lags.
  const opening = driver.restOpening + (1 - driver.restOpening) * driver.pedal;
  s.throttleOpening += (opening - s.throttleOpening) * (1 - Math.exp(-dt / numbers.throttleLagS));
  const lambdaWanted = driver.pedal > 0.5 ? held.lambdaTarget : 1;
  s.lambda += (lambdaWanted - s.lambda) * (1 - Math.exp(-dt / numbers.mixtureLagS));
  held.ageS += dt;
  if (held.ageS >= REFRESH_S) refresh(path, s, driver.fuelOn);
  s.targetPa = path.targetPa(s.engineSpeedRpm);
  s.wantedOpening = wantedOpening(path, s, driver, dt);
  s.wastegateOpening += (s.wantedOpening - s.wastegateOpening) * (1 - Math.exp(-dt / numbers.wastegateLagS));
  const overPa = s.chargePressurePa - s.manifoldPressurePa - numbers.bypassCrackPa;
  const bypassWanted = path.bypassAreaM2 > 0 ? Math.min(1, Math.max(0, overPa / 15e3)) : 0;
  s.bypassOpening += (bypassWanted - s.bypassOpening) * (1 - Math.exp(-dt / numbers.bypassLagS));

  const density = ambientPa / (R * ambientK);
  const theta = Math.sqrt(ambientK / surface.referenceTemperatureK);
  const correctedRpm = (s.shaftRadPerS * 30) / Math.PI / theta;
  const shutHead = shutOffHead(
    correctedRpm,
    turbo.compressorInducerM,
    turbo.compressorExducerM,
    surface.referenceTemperatureK,
    cp,
  );
  const filterPer = (prepared.filterLossPerFlow2 * 1.2) / density;
  const areaOverLength = path.ductAreaM2 / numbers.ductLengthM;
  const correction = fillingCorrection(prepared, s.exhaustPressurePa, s.manifoldPressurePa);
  const effectiveness = Math.min(
    0.98,
    Math.max(0, curveAt(car.curves.effectiveness, Math.max(0, s.compressorFlowKgPerS))),
  );
  const enginePerPaK = fillingPerPaK(prepared, held.baseFilling * correction, s.engineSpeedRpm);
  s.sprayCoolingK = (held.evaporatedKgPerS * prepared.mixLatentJPerKg) / (Math.max(1e-4, s.engineFlowKgPerS) * cp);

  // Duct, charge volume and plenum: linearised, implicit together; in short steps where the compressor may surge.
  let workJ = 0;
  let coreJ = 0;
  let t2 = s.compressorOutletK;
  let tc = s.chargeTemperatureK;
  let left = dt;
  while (left > 1e-9) {
    const mc = s.compressorFlowKgPerS;
    const pc = s.chargePressurePa;
    const pm = s.manifoldPressurePa;
    const p1 = Math.max(0.3 * ambientPa, ambientPa - filterPer * mc * Math.abs(mc));
    const toCorrected = (theta * surface.referencePressurePa) / p1;
    compressorAtSpeed(surface, correctedRpm, mc * toCorrected, scale, shutHead, atSpeed);
    const h = mc * toCorrected < atSpeed.surgeFlowKgPerS ? Math.min(left, SURGE_STEP_S) : left;
    left -= h;
    t2 = ambientK * (1 + atSpeed.workRatio);
    const cooled = t2 - effectiveness * (t2 - s.coreTemperatureK);
    const entering = Math.max(220, cooled - s.sprayCoolingK);
    workJ += h * Math.abs(mc) * (t2 - ambientK) * cp;
    coreJ += h * Math.max(0, mc) * (t2 - s.coreTemperatureK) * cp;
    const lossPer = (prepared.coolerLossPerFlow2 * prepared.coolerReferenceDensity * R * entering) / pc;
    const ratioSlope = atSpeed.slopePerKgPerS * toCorrected * p1;
    const ductRate = areaOverLength * (atSpeed.pressureRatio * p1 - lossPer * mc * Math.abs(mc) - pc);
    // What steadies is taken implicitly, what drives surge explicitly.
    const ductByFlow = areaOverLength * (Math.min(0, ratioSlope) - 2 * lossPer * Math.abs(mc));
    nozzle(s.throttleOpening * path.throttleAreaM2, pc, pm, R * cooled, orifice);
    const { flow: mt, byUp, byDown } = orifice;
    let bypass = 0;
    let bypassByPa = 0;
    if (s.bypassOpening > 1e-4) {
      nozzle(s.bypassOpening * path.bypassAreaM2, pc, ambientPa, R * cooled, orifice);
      bypass = orifice.flow;
      bypassByPa = orifice.byUp;
    }
    // What comes out of the cooler mixes with what stands between it and the valves: dT/dt = m (Tin - T) / M.
    const standing = (pm * (intake.plenumVolumeM3 + AFTER_CORE_SHARE * intake.chargeVolumeM3)) / (R * tc);
    tc += (entering - tc) * -Math.expm1((-h * Math.abs(mt)) / standing);
    const enginePerPa = enginePerPaK / tc;
    const pipePa = (R * cooled) / intake.chargeVolumeM3;
    const plenumPa = (R * tc) / intake.plenumVolumeM3;
    // Rows of (1/h - J) d = f, unknowns: flow, charge pressure, manifold pressure.
    const a11 = 1 / h - ductByFlow;
    const a22 = 1 / h + pipePa * (byUp + bypassByPa);
    const a23 = pipePa * byDown;
    const a32 = -plenumPa * byUp;
    const a33 = 1 / h + plenumPa * (enginePerPa - byDown);
    const f2 = pipePa * (mc - mt - bypass);
    const f3 = plenumPa * (mt - enginePerPa * pm);
    const b22 = a22 + (pipePa * areaOverLength) / a11;
    const g2 = f2 + (pipePa * ductRate) / a11;
    const dpm = (f3 - (a32 * g2) / b22) / (a33 - (a32 * a23) / b22);
    const dpc = (g2 - a23 * dpm) / b22;
    s.compressorFlowKgPerS = mc + (ductRate - areaOverLength * dpc) / a11;
    s.chargePressurePa = Math.min(MOST_PA, Math.max(LEAST_PA, pc + dpc));
    s.risePaPerS += (dpm / h - s.risePaPerS) * (1 - Math.exp(-h / RISE_LAG_S));
    s.manifoldPressurePa = Math.min(MOST_PA, Math.max(LEAST_PA, pm + dpm));
    s.correctedFlowKgPerS = mc * toCorrected;
    if (s.compressorFlowKgPerS < 0 && mc >= 0) s.reversals++;
    if (s.correctedFlowKgPerS < s.leastShare * atSpeed.surgeFlowKgPerS && atSpeed.pressureRatio >= LEAST_SURGE_RATIO)
      s.leastShare = s.correctedFlowKgPerS / atSpeed.surgeFlowKgPerS;
  }
  s.compressorRatio = atSpeed.pressureRatio;
  s.surgeFlowKgPerS = atSpeed.surgeFlowKgPerS;
  s.compressorOutletK = t2;
  s.chargeTemperatureK = tc;
  const compressorW = workJ / dt;
  s.compressorPowerW = compressorW;
  // The core stores what the charge leaves in it and gives to the outside air.
  const meanHot = (coreJ * effectiveness) / dt / Math.max(1, t2 - s.coreTemperatureK);
  s.coreTemperatureK = coreAfter(
    s.coreTemperatureK,
    chargeCooler.coreHeatCapacityJPerK,
    Math.max(0, meanHot),
    t2,
    coldConductanceWPerK(chargeCooler, s.roadSpeedMPerS),
    ambientK,
    dt,
  );
  const air = (enginePerPaK / tc) * s.manifoldPressurePa;
  s.engineFlowKgPerS = air;

  // Cylinder: heat, work and what is left for the exhaust, as in the steady match.
  const pe = s.exhaustPressurePa;
  const pumping = (pe - s.manifoldPressurePa) * prepared.displacementM3 * cyclesPerS;
  const spray = held.sprayKgPerS;
  s.fuelFlowKgPerS = driver.fuelOn ? fuelForLambda(prepared, air, s.lambda, spray) : 0;
  flows.airKgPerS = air;
  flows.fuelKgPerS = s.fuelFlowKgPerS;
  flows.sprayKgPerS = spray;
  flows.liquidKgPerS = spray - held.evaporatedKgPerS;
  flows.chargeTemperatureK = tc;
  flows.lambda = s.lambda;
  flows.pumpingW = pumping;
  exhaustHeat(prepared, flows, held, heat);
  const gas = heat.exhaustKgPerS;
  const te = driver.fuelOn ? heat.temperatureK : tc + OVERRUN_WARMING_K;
  const omegaEngine = (2 * Math.PI * s.engineSpeedRpm) / 60;
  s.brakeTorqueNm =
    (heat.indicatedW - pumping - held.frictionPa * prepared.displacementM3 * cyclesPerS - ACCESSORY_POWER_W) /
    omegaEngine;

  const cpGas = burned.a + burned.b * 0.95 * te;
  s.exhaustTemperatureK = te;

  // Exhaust volume, turbine beside wastegate, exhaust pipe.
  const p4 = s.turbineOutletPa;
  setTurbine(turbo, p4, te, cpGas, Rb, (s.shaftRadPerS * 30) / Math.PI);
  runTurbine(pe);
  const turbineFlow = turbine.flow;
  const drop = Math.max(1, pe - p4);
  const slopePer = 1 / pe + (0.5 * p4) / (pe * drop);
  const past =
    pe > p4 ? (s.wastegateOpening * turbo.wastegateAreaM2 * pe * wastegateFunction(p4 / pe)) / Math.sqrt(Rb * te) : 0;
  const exhaustPa = (Rb * te) / exhaust.manifoldVolumeM3;
  const out = turbineFlow + past;
  const stiff = exhaustPa * Math.max(out, 1e-4) * slopePer;
  s.exhaustPressurePa = Math.min(MOST_PA, Math.max(0.8 * ambientPa, pe + (exhaustPa * (gas - out)) / (1 / dt + stiff)));
  const turbineW = turbine.power;
  s.turbinePowerW = turbineW;
  const t4 = te - turbineW / Math.max(1e-6, out) / cpGas;
  const density4 = p4 / (Rb * Math.max(300, t4));
  const p4Now = ambientPa + (prepared.exhaustLossPerFlow2 * out * out * prepared.exhaustReferenceDensity) / density4;
  s.turbineOutletPa += (p4Now - p4) * (1 - Math.exp(-dt / 0.02));

  // Shaft: J w dw/dt = Pt eta - Pc.
  const shaft = s.shaftRadPerS;
  s.shaftRadPerS = Math.max(
    LEAST_SHAFT_RAD_PER_S,
    shaft + (dt * (turbineW * turbo.mechanicalEfficiency - compressorW)) / (turbo.shaftInertiaKgM2 * shaft),
  );
  s.timeS += dt;
};
