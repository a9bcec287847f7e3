/**
 * One engine speed at one manifold pressure with the throttle part closed: every flow, pressure and temperature found
 * together, for an engine with or without a turbocharger.
 */
import { frictionEngineOf, type LoadNumbers } from '../car/index.ts';
import {
  compressorAt,
  correctedMassFlowKgPerS,
  frictionByPart,
  newCompressorState,
  residualGasMassKg,
  valvePumpingPa,
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
import { burnedEnthalpy, curveAt, type Prepared } from './prepare.ts';
import { inletPressureForFlow, inletPressureForPower, runTurbine, setTurbine, turbine } from './turbine-flow.ts';

/** Everything at one part-load point; SI, pressures absolute. */
export interface LoadBalance {
  manifoldPressurePa: number;
  /** Before the throttle. */
  supplyPressurePa: number;
  /** Highest manifold pressure that the supply gives at this flow with the throttle open. */
  reachablePressurePa: number;
  airFlowKgPerS: number;
  volumetricEfficiency: number;
  residualFraction: number;
  chargeTemperatureK: number;
  lambda: number;
  fuelFlowKgPerS: number;
  exhaustTemperatureK: number;
  exhaustPressurePa: number;
  heatW: number;
  releasedW: number;
  indicatedW: number;
  pumpingW: number;
  frictionW: number;
  wallW: number;
  brakeW: number;
  /** What the energy account does not close by, over the heat set free. */
  imbalance: number;
  converged: boolean;
}

/** What holds at one engine speed of one car, whatever the load. */
export interface LoadSolver {
  readonly prepared: Prepared;
  readonly numbers: LoadNumbers;
  readonly cylinderModel: CylinderModel;
  readonly engineSpeedRpm: number;
  readonly baseFilling: number;
  readonly lambdaFull: number;
  readonly sparkAdvanceDeg: number | null;
  /** Taken from the crank by what the test cell does not count as the engine [W]. */
  readonly accessoryPowerW: number;
  readonly cylinder: CylinderAnswer;
  readonly charge: CylinderCharge;
}

const compressor = newCompressorState();
const flows = newEngineFlows();
const heat = newEngineHeat();
/** Valve areas ni Di2/B2 of four-valve and two-valve heads (common practice; Heywood (1988) table 6.1 for two valves). */
const VALVE_SHARES = { four: [0.27, 0.2], two: [0.2, 0.14] } as const;
const SETTLED = 3e-6;

/** Friction mean effective pressure [Pa]: the sheet's own where typed, by part from the dimensions otherwise. */
const loadFrictionPa = (solver: LoadSolver, manifoldPressurePa: number): number => {
  const { prepared, numbers, engineSpeedRpm } = solver;
  const { car, conditions } = prepared;
  if (numbers.frictionTyped) return frictionPressurePa(car.engine, engineSpeedRpm);
  const over = manifoldPressurePa / conditions.ambientPressurePa;
  return numbers.frictionFactor * frictionByPart(frictionEngineOf(car), engineSpeedRpm, over).totalPa;
};

/** Part of the filling that phased cams give up: whole up to 70 % of the outside pressure, none from 95 %. */
const phasedShare = (solver: LoadSolver, manifoldPressurePa: number): number => {
  const over = manifoldPressurePa / solver.prepared.conditions.ambientPressurePa;
  return solver.numbers.phasedFilling * Math.min(1, Math.max(0, (0.95 - over) / 0.25));
};

/** Compressor power [W] and outlet temperature [K] at a pressure ratio; none where the throttle would do without. */
const compress = (solver: LoadSolver, air: number, inletPa: number, outletPa: number) => {
  const { surface, scale, conditions, airSpecificHeat: cp } = solver.prepared;
  const inletK = conditions.ambientTemperatureK;
  if (outletPa <= 1.0005 * inletPa) return { powerW: 0, outletK: inletK };
  const reference = { temperatureK: surface.referenceTemperatureK, pressurePa: surface.referencePressurePa };
  compressorAt(
    surface,
    correctedMassFlowKgPerS(air, inletK, inletPa, reference),
    outletPa / inletPa,
    scale,
    compressor,
  );
  const rise = compressor.workRatio + 2 * compressor.shortfall;
  return {
    powerW: air * cp * inletK * rise,
    outletK: inletK * (1 + rise),
  };
};

/**
 * Compressor efficiency where the throttle takes away what it gives: usual of a map's middle (no source). A fixed one, since
 * far down a map efficiency and pressure lift one another and two states would answer.
 */
const IDLING_EFFICIENCY = 0.65;
/** Compressor work over tip speed squared, which gives the shaft speed. Source: Dixon & Hall ch. 7: 0.6 to 0.7 of backswept wheels. */
const WORK_FACTOR = 0.65;

/**
 * The balance at a manifold pressure and mixture.
 *
 * Without a turbocharger the supply is outside air less filter loss. With one, the wastegate can be as its spring has it
 * (shut below its cracking pressure: the turbine turns, the throttle takes what is too much) or opened as far as the
 * wanted pressure allows; `wastegateUse` says where between the two the exhaust pressure lies. Boosted, it has to carry
 * the compressor's power. Energy: enthalpy of exhaust = charge + heat set free - walls - work + pumping.
 */
export const loadBalance = (solver: LoadSolver, pm: number, lambda: number): LoadBalance => {
  const { prepared, numbers, engineSpeedRpm, charge, cylinder } = solver;
  const { car, conditions, burned } = prepared;
  const { engine, turbocharger: turbo } = car;
  const natural = car.facts.aspiration === 'natural';
  const ambientPa = conditions.ambientPressurePa;
  const ambientK = conditions.ambientTemperatureK;
  const cyclesPerS = engineSpeedRpm / 120;
  const cp = prepared.airSpecificHeat;
  const R = prepared.airGasConstant;
  const Rb = burned.gasConstantJPerKgK;
  const pistonSpeed = (2 * engine.strokeM * engineSpeedRpm) / 60;
  const valves = car.facts.valvesPerCylinder > 2 ? VALVE_SHARES.four : VALVE_SHARES.two;
  const frictionPa = loadFrictionPa(solver, pm);
  const valvePa = valvePumpingPa(pistonSpeed, pm / ambientPa, valves[0], valves[1]);
  const phased = phasedShare(solver, pm);

  let pe = Math.max(1.02 * ambientPa, pm);
  let tc = ambientK + 15;
  let te = 1000;
  let p4 = 1.02 * ambientPa;
  let air = 0;
  let driveNowW = 0;
  const b = newLoadBalance();
  for (let round = 0; round < 60; round++) {
    const correction = fillingCorrection(prepared, pe, pm) * (1 - phased);
    const airNow = (fillingPerPaK(prepared, solver.baseFilling * correction, engineSpeedRpm) * pm) / tc;
    const moved0 = Math.abs(airNow - air) / airNow;
    air = airNow;
    const filterPa = (prepared.filterLossPerFlow2 * air * air * 1.2) / (ambientPa / (R * ambientK));
    const p1 = Math.max(0.3 * ambientPa, ambientPa - filterPa);
    const density = pm / (R * tc);
    const throttlePa = (prepared.throttleLossPerFlow2 * air * air) / density;
    const coolerPa = natural
      ? 0
      : (prepared.coolerLossPerFlow2 * air * air * prepared.coolerReferenceDensity) / density;
    const neededPa = pm + throttlePa + coolerPa;

    const pumping = (pe - pm + valvePa) * prepared.displacementM3 * cyclesPerS;
    flows.airKgPerS = air;
    flows.fuelKgPerS = fuelForLambda(prepared, air, lambda, 0);
    flows.chargeTemperatureK = tc;
    flows.lambda = lambda;
    flows.pumpingW = pumping;
    setCharge(prepared, flows, engineSpeedRpm, pm, pe, te, charge);
    solver.cylinderModel.burn(charge, prepared.cylinder, solver.sparkAdvanceDeg, cylinder);
    exhaustHeat(prepared, flows, cylinder, heat);
    const { exhaustKgPerS: exhaust, temperatureK: teNow } = heat;

    let peNow: number;
    let tcNow: number;
    let supply: number;
    let t4 = teNow;
    let reachable = Number.POSITIVE_INFINITY;
    if (natural) {
      supply = p1;
      reachable = p1 - throttlePa;
      tcNow = ambientK + numbers.manifoldHeatingK;
      peNow = p4;
    } else {
      const cpb = burned.a + burned.b * (0.95 * teNow);
      const needed = compress(solver, air, p1, neededPa);
      const tipSpeed = Math.sqrt(Math.max(driveNowW, needed.powerW, 0.001 * heat.releasedW) / (WORK_FACTOR * air));
      setTurbine(turbo, p4, teNow, cpb, Rb, (60 * tipSpeed) / (Math.PI * turbo.compressorExducerM));
      const open = inletPressureForFlow(exhaust, turbo.wastegateAreaM2, pe);
      const shut = inletPressureForFlow(exhaust, 0, pe);
      const forPower =
        needed.powerW > 0
          ? inletPressureForPower(needed.powerW / turbo.mechanicalEfficiency, Math.max(open, pe))
          : open;
      const least = Math.max(open, forPower);
      // The spring lets pressure before the throttle rise to where it cracks the wastegate, or to what is needed.
      runTurbine(shut);
      reachable = shut >= 0.9995 * least ? Number.POSITIVE_INFINITY : 0;
      const crackedPa = Math.max(neededPa, ambientPa + turbo.wastegateCrackPressureGaugePa);
      const driveW = turbine.power * turbo.mechanicalEfficiency;
      // Isentropic rise over efficiency, both ways.
      const heatW = (air * cp * ambientK) / IDLING_EFFICIENCY;
      const spunPa = p1 * (1 + driveW / heatW) ** (cp / R);
      const sprungPa = Math.min(crackedPa, Math.max(neededPa, spunPa));
      const sprungW = Math.max(needed.powerW, heatW * (Math.max(1, sprungPa / p1) ** (R / cp) - 1));
      const sprung = Math.min(shut, inletPressureForPower(sprungW / turbo.mechanicalEfficiency, Math.max(least, pe)));
      driveNowW = sprungW;
      const sprungShare = 1 - numbers.wastegateUse;
      peNow = least + sprungShare * Math.max(0, sprung - least);
      supply = neededPa + sprungShare * (sprungPa - neededPa);
      const given = {
        powerW: needed.powerW + sprungShare * (sprungW - needed.powerW),
        outletK: needed.outletK + (sprungShare * (sprungW - needed.powerW)) / (air * cp),
      };
      t4 = teNow - given.powerW / turbo.mechanicalEfficiency / (exhaust * cpb);
      // Steady load: the cooler's core is in balance with the air that blows on it.
      const effectiveness = Math.min(0.98, Math.max(0, curveAt(car.curves.effectiveness, air)));
      const hot = air * cp * effectiveness;
      const cold = Math.max(1e-3, prepared.corePullGear.coldConductanceAtRpm(engineSpeedRpm));
      const core = (hot * given.outletK + cold * ambientK) / (hot + cold);
      tcNow = given.outletK - effectiveness * (given.outletK - core);
      // The throttle and the manifold's walls warm what comes cool.
      tcNow = Math.max(tcNow, ambientK + numbers.manifoldHeatingK);
    }
    const density4 = p4 / (Rb * Math.max(300, t4));
    const p4Now =
      ambientPa + (prepared.exhaustLossPerFlow2 * exhaust * exhaust * prepared.exhaustReferenceDensity) / density4;
    const moved =
      moved0 +
      Math.abs(peNow - pe) / pe +
      Math.abs(tcNow - tc) / tc +
      Math.abs(teNow - te) / te +
      Math.abs(p4Now - p4) / p4;
    const damping = round < 8 ? 0.9 : 0.6;
    pe += damping * (peNow - pe);
    tc += damping * (tcNow - tc);
    te = teNow;
    p4 += damping * (p4Now - p4);
    if (moved < SETTLED || round === 59) {
      const clearance = prepared.displacementM3 / (engine.compressionRatio - 1);
      const fresh = exhaust / cyclesPerS;
      const left = residualGasMassKg(pe, te, clearance, Rb) + (phased / (1 - phased)) * fresh * 0.5;
      b.manifoldPressurePa = pm;
      b.supplyPressurePa = supply;
      b.reachablePressurePa = reachable;
      b.airFlowKgPerS = air;
      b.volumetricEfficiency = solver.baseFilling * correction;
      b.residualFraction = left / (left + fresh);
      b.chargeTemperatureK = tc;
      b.lambda = lambda;
      b.fuelFlowKgPerS = flows.fuelKgPerS;
      b.exhaustTemperatureK = te;
      b.exhaustPressurePa = pe;
      b.heatW = heat.airHeatW;
      b.releasedW = heat.releasedW;
      b.indicatedW = heat.indicatedW;
      b.pumpingW = pumping;
      b.frictionW = frictionPa * prepared.displacementM3 * cyclesPerS + solver.accessoryPowerW;
      b.wallW = heat.wallW;
      b.brakeW = heat.indicatedW - pumping - b.frictionW;
      b.imbalance = (heat.enthalpyW - exhaust * burnedEnthalpy(burned, te)) / heat.releasedW;
      b.converged = moved < 1e-3;
      break;
    }
  }
  return b;
};

const newLoadBalance = (): LoadBalance => ({
  manifoldPressurePa: 0,
  supplyPressurePa: 0,
  reachablePressurePa: 0,
  airFlowKgPerS: 0,
  volumetricEfficiency: 0,
  residualFraction: 0,
  chargeTemperatureK: 0,
  lambda: 1,
  fuelFlowKgPerS: 0,
  exhaustTemperatureK: 0,
  exhaustPressurePa: 0,
  heatW: 0,
  releasedW: 0,
  indicatedW: 0,
  pumpingW: 0,
  frictionW: 0,
  wallW: 0,
  brakeW: 0,
  imbalance: 0,
  converged: false,
});
