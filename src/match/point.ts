/** One engine speed solved against its boost target: which of the three cases holds, and the finished answer. */
import { fallingZero, MAP_PLACE } from '../physics/index.ts';
import { type Balance, balanceAt, brakePowerW, type Solver } from './balance.ts';
import { fuelDelivery } from './fuel-delivery.ts';
import type { MatchCase, MatchPoint, MatchProblem, MatchProblemCode } from './types.ts';

/** Most manifold pressure looked at [Pa]: beyond any road car. */
const CEILING_PA = 800e3;

/** How far the actuator lets the wastegate open at a boost, 0 to 1: spring and span; the boost control can only hold it closer. */
export const springOpening = (solver: Solver, boostPa: number): number => {
  const { wastegateCrackPressureGaugePa, wastegateSpanPa } = solver.prepared.car.turbocharger;
  const open = (boostPa - wastegateCrackPressureGaugePa) / Math.max(1, wastegateSpanPa);
  return open < 0 ? 0 : Math.min(open, 1);
};

export interface SolvedCase {
  readonly case: MatchCase;
  readonly targetPa: number;
}

/** The step that no longer matters [Pa]: a few parts in a million of a charge pressure. */
const CLOSE_PA = 0.5;
const close = (): number => CLOSE_PA;

/** Leaves the solver at the zero of a falling surplus, begun where the straight line between two ends crosses nought. */
const settleBetween = (f: (pa: number) => number, low: number, fLow: number, high: number, fHigh: number): void => {
  const slope = (fHigh - fLow) / (high - low);
  fallingZero(f, low, high, low - fLow / slope, slope, close);
};

/**
 * Solves for the manifold pressure that the turbocharger gives against a target. Leaves the answer in `solver.balance`.
 *
 * - boost held: with the wastegate between shut and as open as its spring allows the shaft balances at the target;
 * - wastegate shut: even shut, the turbine cannot carry the target; the highest pressure that it can carry is taken;
 * - wastegate open: as open as its spring allows, the turbine still gives too much; boost creeps up to where it balances.
 *
 * `likely` is the case of a neighbouring point: it is looked at first, and the answer does not depend on it.
 */
export const solveCase = (solver: Solver, targetPa: number, likely?: MatchCase): SolvedCase => {
  const { prepared, balance } = solver;
  const ambientPa = prepared.conditions.ambientPressurePa;
  const shut = (pa: number) => balanceAt(solver, pa, 'opening', 0).surplusPowerW;
  const target = Math.min(CEILING_PA, Math.max(targetPa, 0.9 * ambientPa));
  if (likely === 'boost held') {
    balanceAt(solver, target, 'shaft balance', 0);
    const { converged, wastegateOpening } = balance;
    if (converged && wastegateOpening >= 0 && wastegateOpening < springOpening(solver, target - ambientPa)) {
      return { case: 'boost held', targetPa };
    }
  }
  const shutSurplus = shut(target);
  if (shutSurplus < 0) {
    let low = 0.9 * ambientPa;
    // Nearest pressure below the target at which the turbine has power to spare.
    let high = target;
    let fHigh = shutSurplus;
    let fLow = Number.NaN;
    for (let share = 0.75; share > 0.1; share -= 0.25) {
      const tried = low + share * (target - low);
      const value = shut(tried);
      if (value >= 0) {
        low = tried;
        fLow = value;
        break;
      }
      high = tried;
      fHigh = value;
    }
    if (Number.isNaN(fLow)) fLow = shut(low);
    if (fLow > 0) settleBetween(shut, low, fLow, high, fHigh);
    return { case: 'wastegate shut', targetPa };
  }
  const sprung = (pa: number) => balanceAt(solver, pa, 'opening', springOpening(solver, pa - ambientPa)).surplusPowerW;
  const openSurplus = sprung(target);
  if (openSurplus <= 0) {
    balanceAt(solver, target, 'shaft balance', 0);
    return { case: 'boost held', targetPa };
  }
  let low = target;
  let fLow = openSurplus;
  for (let i = 0; i < 24 && low < CEILING_PA; i++) {
    const high = Math.min(CEILING_PA, low + 20e3 * (1 + i));
    const value = sprung(high);
    if (value <= 0) {
      settleBetween(sprung, low, fLow, high, value);
      break;
    }
    low = high;
    fLow = value;
  }
  return { case: 'wastegate open', targetPa };
};

const kPa = (pa: number) => `${Math.round(pa / 1000)} kPa`;

/** The finished point and what is wrong with it. */
export const finishPoint = (solver: Solver, solvedCase: SolvedCase, problems: MatchProblem[]): MatchPoint => {
  const { prepared, balance: b, cylinder, engineSpeedRpm, sparkAdvanceDeg } = solver;
  const { car, conditions } = prepared;
  const ambientPa = conditions.ambientPressurePa;
  const boostPa = b.manifoldPressurePa - ambientPa;
  const powerW = brakePowerW(b);
  solver.cylinderModel.knockLimit?.(prepared.cylinder, cylinder);
  const fuel = fuelDelivery(car, engineSpeedRpm, boostPa, b.fuelFlowKgPerS);
  const say = (reason: MatchProblemCode, says: string) => problems.push({ engineSpeedRpm, reason, says });
  if (!b.converged)
    say('no balance found', 'The flows did not settle at this engine speed; take its figures with care.');
  if (b.mapPlace === MAP_PLACE.choked) {
    say(
      'compressor choked',
      `No shaft speed of the map gives pressure ratio ${b.pressureRatio.toFixed(2)} at ${b.correctedFlowKgPerS.toFixed(3)} kg/s corrected.`,
    );
  } else if (b.mapPlace === MAP_PLACE.surge) {
    say(
      'compressor surges',
      `Flow of ${b.correctedFlowKgPerS.toFixed(3)} kg/s corrected is left of the surge line (${b.surgeFlowKgPerS.toFixed(3)} kg/s) at pressure ratio ${b.pressureRatio.toFixed(2)}.`,
    );
  } else if (b.mapPlace === MAP_PLACE.aboveLines) {
    say(
      'outside the map',
      `The shaft turns ${Math.round(b.shaftSpeedRpm)} rpm, past the fastest line of the map; what lies there is guessed.`,
    );
  }
  if (solvedCase.case === 'wastegate open' && b.manifoldPressurePa > solvedCase.targetPa + 2e3) {
    say(
      'wastegate cannot hold the target',
      `Boost creeps to ${kPa(boostPa)} against a target of ${kPa(solvedCase.targetPa - ambientPa)}: the wastegate is as open as its spring allows.`,
    );
  }
  if (fuel.duty > 1) {
    say('injectors static', `The injectors would have to be open ${(100 * fuel.duty).toFixed(0)} % of the time.`);
  }
  if (fuel.pumpFlowShare > 1) {
    say(
      'pump cannot hold the rail pressure',
      `Demand is ${(100 * fuel.pumpFlowShare).toFixed(0)} % of the pump's flow; the rail falls to ${kPa(fuel.railPressurePa)} over the manifold.`,
    );
  }
  const flowShare = b.exhaustFlowKgPerS > 0 ? Math.max(0, 1 - b.turbineFlowKgPerS / b.exhaustFlowKgPerS) : 0;
  return {
    engineSpeedRpm,
    case: solvedCase.case,
    boostPa,
    boostTargetPa: solvedCase.targetPa - ambientPa,
    manifoldPressurePa: b.manifoldPressurePa,
    airFlowKgPerS: b.airFlowKgPerS,
    volumetricEfficiency: b.volumetricEfficiency,
    compressorInletPressurePa: b.inletPressurePa,
    compressorInletTemperatureK: b.inletTemperatureK,
    compressorPressureRatio: b.pressureRatio,
    compressorCorrectedFlowKgPerS: b.correctedFlowKgPerS,
    compressorEfficiency: b.compressorEfficiency,
    compressorChokeShare: b.chokeFlowKgPerS > 0 ? Math.min(5, b.correctedFlowKgPerS / b.chokeFlowKgPerS) : 5,
    compressorSurgeShare: Math.min(5, b.surgeFlowKgPerS / b.correctedFlowKgPerS),
    shaftSpeedRpm: b.shaftSpeedRpm,
    compressorOutletPressurePa: b.compressorOutletPressurePa,
    compressorOutletTemperatureK: b.compressorOutletTemperatureK,
    compressorPowerW: b.compressorPowerW,
    chargeTemperatureK: b.chargeTemperatureK,
    chargeCoolerEffectiveness: b.coolerEffectiveness,
    exhaustPressurePa: b.exhaustPressurePa,
    exhaustTemperatureK: b.exhaustTemperatureK,
    turbineOutletPressurePa: b.turbineOutletPressurePa,
    turbineOutletTemperatureK: b.turbineOutletTemperatureK,
    exhaustFlowKgPerS: b.exhaustFlowKgPerS,
    wastegateFlowShare: flowShare,
    wastegateOpening: Math.min(1, Math.max(0, b.wastegateOpening)),
    lambda: b.lambda,
    fuelFlowKgPerS: b.fuelFlowKgPerS,
    injectionFlowKgPerS: b.injectionFlowKgPerS,
    injectionEvaporatedShare: b.injectionEvaporatedShare,
    injectorDuty: fuel.duty,
    injectorPulseS: fuel.pulseS,
    railPressurePa: fuel.railPressurePa,
    pumpFlowShare: fuel.pumpFlowShare,
    sparkAdvanceDeg: cylinder.sparkAdvanceDeg,
    // With estimated timing the limit is where the estimate came from: a margin would say nothing.
    knockMarginDeg: sparkAdvanceDeg === null ? null : cylinder.knockLimitAdvanceDeg - cylinder.sparkAdvanceDeg,
    knockShare: sparkAdvanceDeg === null ? null : cylinder.knockShare,
    peakCylinderPressurePa: cylinder.peakPressurePa,
    meanPistonSpeedMPerS: (2 * car.engine.strokeM * engineSpeedRpm) / 60,
    torqueNm: powerW / ((2 * Math.PI * engineSpeedRpm) / 60),
    powerW,
  };
};

/** True where every number of a balance that the answer shows is finite. */
export const isSound = (b: Balance): boolean =>
  Number.isFinite(b.airFlowKgPerS) &&
  Number.isFinite(b.exhaustPressurePa) &&
  Number.isFinite(b.exhaustTemperatureK) &&
  Number.isFinite(b.indicatedPowerW) &&
  Number.isFinite(b.shaftSpeedRpm);
