/** Part load: the manifold pressure that gives a torque at an engine speed, and the whole point there. */
import type { Car, LoadNumbers, ResolvedBuild } from '../car/index.ts';
import { loadNumbersOf } from '../car/index.ts';
import { clamp } from '../physics/index.ts';
import { type CylinderModel, newCharge, newCylinderAnswer } from './cylinder.ts';
import { fuelDelivery } from './fuel-delivery.ts';
import { type LoadBalance, type LoadSolver, loadBalance } from './part-load-air.ts';
import { partLoadCylinder } from './part-load-cylinder.ts';
import { curveAt, prepare } from './prepare.ts';
import type { Conditions } from './types.ts';

export interface LoadOptions {
  /**
   * Taken from the crank by what a test cell does not count as the engine, like a charging alternator [W]; 0 when
   * absent: oil pump, water pump and an alternator that does not charge are in the friction (SAE J1349).
   */
  readonly accessoryPowerW?: number | undefined;
  /** A cylinder of one's own; the crank-angle cycle when absent. */
  readonly cylinder?: CylinderModel | undefined;
}

export type LoadProblemCode =
  | 'not a spark-ignition engine'
  | 'engine speed out of range'
  | 'torque beyond full load'
  | 'torque below closed throttle'
  | 'no balance found';

export interface LoadProblem {
  readonly engineSpeedRpm: number;
  readonly torqueNm: number;
  readonly reason: LoadProblemCode;
  /** In words with figures. */
  readonly says: string;
}

/** One solved point. SI, pressures absolute, mean effective pressures over the swept volume. */
export interface LoadPoint {
  readonly engineSpeedRpm: number;
  readonly torqueNm: number;
  readonly powerW: number;
  readonly manifoldPressurePa: number;
  /** Before the throttle. */
  readonly throttleInletPressurePa: number;
  readonly airFlowKgPerS: number;
  readonly volumetricEfficiency: number;
  readonly residualFraction: number;
  readonly chargeTemperatureK: number;
  readonly lambda: number;
  /** Why the mixture is as it is. */
  readonly mixture: 'stoichiometric' | 'towards full load' | 'sparing the exhaust';
  readonly fuelFlowKgPerS: number;
  /** Brake specific fuel consumption. */
  readonly fuelConsumptionKgPerJ: number;
  readonly brakeEfficiency: number;
  /** Gross. */
  readonly indicatedEfficiency: number;
  readonly indicatedPressurePa: number;
  readonly pumpingPressurePa: number;
  readonly frictionPressurePa: number;
  readonly brakePressurePa: number;
  readonly exhaustPressurePa: number;
  readonly exhaustTemperatureK: number;
  readonly sparkAdvanceDeg: number;
  readonly timing: 'best torque' | 'knock-limited' | 'as typed';
  readonly peakCylinderPressurePa: number;
  readonly wallHeatW: number;
  readonly injectorPulseS: number;
  readonly injectorDuty: number;
}

/** The numeric answers of a point. */
export type LoadAnswer = {
  [K in keyof LoadPoint]: LoadPoint[K] extends number ? K : never;
}[keyof LoadPoint];

export type LoadResult =
  | { readonly ok: true; readonly point: LoadPoint }
  | { readonly ok: false; readonly problem: LoadProblem };

/** Lowest manifold pressure looked at [Pa]: a shut throttle at speed. */
const LOWEST_PA = 12e3;
/** Share of the full-load manifold pressure from which the mixture goes towards the full-load target (common practice, no source). */
const ENRICHING_FROM = 0.92;
/**
 * Shares of the full-load manifold pressure between which an engine computer begins to spare the exhaust by a richer
 * mixture: at light load it keeps to its closed loop (common practice, no source).
 */
const SPARING_FROM = 0.5;
const SPARING_WHOLE_FROM = 0.7;
const SPEED_RANGE_RPM: readonly [number, number] = [400, 15_000];

/** One engine speed made ready: full load, then any torque below it. */
export interface LoadSpeed {
  readonly engineSpeedRpm: number;
  /** Manifold pressure and torque at full load. */
  readonly full: { readonly manifoldPressurePa: number; readonly torqueNm: number };
  readonly at: (torqueNm: number) => LoadResult;
}

const torqueOf = (solver: LoadSolver, b: LoadBalance): number =>
  b.brakeW / ((2 * Math.PI * solver.engineSpeedRpm) / 60);

/** Highest manifold pressure with the throttle open [Pa]: the supply's for a natural engine, else target or what the turbine gives. */
const fullPressurePa = (solver: LoadSolver): number => {
  const { car, conditions } = solver.prepared;
  const lambda = Math.min(1, solver.lambdaFull);
  const ambientPa = conditions.ambientPressurePa;
  const target =
    car.facts.aspiration === 'natural'
      ? ambientPa
      : Math.max(
          0.9 * ambientPa,
          curveAt(car.curves.boostTarget, solver.engineSpeedRpm) + (car.curves.boostIsGauge ? ambientPa : 0),
        );
  const spare = (pa: number) => loadBalance(solver, pa, lambda).reachablePressurePa - pa;
  if (spare(target) >= 0) return target;
  let low = 0.5 * ambientPa;
  let high = target;
  for (let i = 0; i < 10; i++) {
    const middle = 0.5 * (low + high);
    if (spare(middle) >= 0) low = middle;
    else high = middle;
  }
  return low;
};

/**
 * Mixture at a manifold pressure: stoichiometric; from {@link ENRICHING_FROM} of the full-load pressure on a straight way
 * to the full-load target; and before that, from {@link SPARING_FROM} on, as much richer as keeps the exhaust at its
 * temperature limit, never richer than the target.
 */
const balanced = (
  solver: LoadSolver,
  fullPa: number,
  pa: number,
): { b: LoadBalance; mixture: LoadPoint['mixture'] } => {
  const { lambdaFull, prepared } = solver;
  if (lambdaFull >= 1) return { b: loadBalance(solver, pa, lambdaFull), mixture: 'stoichiometric' };
  const share = Math.min(1, Math.max(0, (pa / fullPa - ENRICHING_FROM) / (1 - ENRICHING_FROM)));
  const lambda = 1 + share * (lambdaFull - 1);
  const mixture = share > 0 ? 'towards full load' : 'stoichiometric';
  const b = loadBalance(solver, pa, lambda);
  const limitK = prepared.car.turbocharger.turbineInletTemperatureLimitK;
  if (b.exhaustTemperatureK <= limitK || lambda <= lambdaFull + 1e-3) return { b, mixture };
  const rich = loadBalance(solver, pa, lambdaFull);
  const fall = b.exhaustTemperatureK - rich.exhaustTemperatureK;
  const wanted = fall > 0 ? Math.min(1, (b.exhaustTemperatureK - limitK) / fall) : 1;
  const part = wanted * clamp((pa / fullPa - SPARING_FROM) / (SPARING_WHOLE_FROM - SPARING_FROM), 0, 1);
  return part > 0
    ? { b: loadBalance(solver, pa, lambda + part * (lambdaFull - lambda)), mixture: 'sparing the exhaust' }
    : { b, mixture };
};

const finished = (solver: LoadSolver, b: LoadBalance, mixture: LoadPoint['mixture']): LoadPoint => {
  const { prepared, engineSpeedRpm, cylinder } = solver;
  const { car, conditions, displacementM3 } = prepared;
  const swept = (displacementM3 * engineSpeedRpm) / 120;
  const heatW = b.fuelFlowKgPerS * car.fuel.lowerHeatingValueJPerKg;
  const delivery = fuelDelivery(
    car,
    engineSpeedRpm,
    b.manifoldPressurePa - conditions.ambientPressurePa,
    b.fuelFlowKgPerS,
  );
  return {
    engineSpeedRpm,
    torqueNm: torqueOf(solver, b),
    powerW: b.brakeW,
    manifoldPressurePa: b.manifoldPressurePa,
    throttleInletPressurePa: b.supplyPressurePa,
    airFlowKgPerS: b.airFlowKgPerS,
    volumetricEfficiency: b.volumetricEfficiency,
    residualFraction: b.residualFraction,
    chargeTemperatureK: b.chargeTemperatureK,
    lambda: b.lambda,
    mixture,
    fuelFlowKgPerS: b.fuelFlowKgPerS,
    fuelConsumptionKgPerJ: b.fuelFlowKgPerS / b.brakeW,
    brakeEfficiency: b.brakeW / heatW,
    indicatedEfficiency: b.indicatedW / heatW,
    indicatedPressurePa: b.indicatedW / swept,
    pumpingPressurePa: b.pumpingW / swept,
    frictionPressurePa: b.frictionW / swept,
    brakePressurePa: b.brakeW / swept,
    exhaustPressurePa: b.exhaustPressurePa,
    exhaustTemperatureK: b.exhaustTemperatureK,
    sparkAdvanceDeg: cylinder.sparkAdvanceDeg,
    timing:
      solver.sparkAdvanceDeg !== null
        ? 'as typed'
        : cylinder.sparkAdvanceDeg < cylinder.bestTorqueAdvanceDeg - 0.5
          ? 'knock-limited'
          : 'best torque',
    peakCylinderPressurePa: cylinder.peakPressurePa,
    wallHeatW: b.wallW,
    injectorPulseS: delivery.pulseS,
    injectorDuty: delivery.duty,
  };
};

const newSolver = (
  car: Car,
  conditions: Conditions,
  engineSpeedRpm: number,
  numbers: LoadNumbers,
  options: LoadOptions,
): LoadSolver => ({
  prepared: prepare(car, conditions),
  numbers,
  cylinderModel: options.cylinder ?? partLoadCylinder(car, numbers),
  engineSpeedRpm,
  baseFilling: Math.max(0.05, curveAt(car.curves.volumetricEfficiency, engineSpeedRpm)),
  lambdaFull: Math.max(0.4, curveAt(car.curves.lambdaTarget, engineSpeedRpm)),
  // A typed timing is full throttle's: at part load the estimate stands.
  sparkAdvanceDeg: null,
  accessoryPowerW: options.accessoryPowerW ?? 0,
  cylinder: newCylinderAnswer(),
  charge: newCharge(engineSpeedRpm),
});

const isFinitePoint = (point: LoadPoint): boolean =>
  Object.values(point).every((value) => typeof value !== 'number' || Number.isFinite(value));

const refusal = (
  engineSpeedRpm: number,
  torqueNm: number,
  reason: LoadProblemCode,
  says: string,
): { readonly ok: false; readonly problem: LoadProblem } => ({
  ok: false,
  problem: { engineSpeedRpm, torqueNm, reason, says },
});

/**
 * One engine speed of a car made ready for any torque, by a car and its engine's unsaid numbers.
 * Total: speeds and engines that cannot be answered give every torque a typed problem.
 */
export const loadSpeed = (
  car: Car,
  numbers: LoadNumbers,
  conditions: Conditions,
  engineSpeedRpm: number,
  options: LoadOptions = {},
): LoadSpeed => {
  const none = (reason: LoadProblemCode, says: string): LoadSpeed => ({
    engineSpeedRpm,
    full: { manifoldPressurePa: 0, torqueNm: 0 },
    at: (torqueNm) => refusal(engineSpeedRpm, torqueNm, reason, says),
  });
  if (car.facts.ignition !== 'spark')
    return none('not a spark-ignition engine', 'Part load is worked out for throttled spark-ignition engines only.');
  const [slowest, fastest] = SPEED_RANGE_RPM;
  if (!(engineSpeedRpm >= slowest && engineSpeedRpm <= fastest))
    return none('engine speed out of range', `Engine speed must lie between ${slowest} and ${fastest} rpm.`);

  const solver = newSolver(car, conditions, engineSpeedRpm, numbers, options);
  const fullPa = fullPressurePa(solver);
  const torqueAt = (pa: number) => torqueOf(solver, balanced(solver, fullPa, pa).b);
  // Boost that costs more in knock and back-pressure than it brings is not asked for.
  let highPa = fullPa;
  let most = torqueAt(fullPa);
  for (const share of [0.92, 0.84, 0.76, 0.68]) {
    const torque = torqueAt(share * fullPa);
    if (!(torque > most)) break;
    most = torque;
    highPa = share * fullPa;
  }
  const least = torqueAt(LOWEST_PA);
  if (!Number.isFinite(most) || !Number.isFinite(least))
    return none('no balance found', 'The flows have no balance here with these numbers; look for one that is far off.');
  const at = (torqueNm: number): LoadResult => {
    if (!(torqueNm <= most + 0.01))
      return refusal(
        engineSpeedRpm,
        torqueNm,
        'torque beyond full load',
        `Full load at ${Math.round(engineSpeedRpm)} rpm is about ${Math.round(most)} N m at ${Math.round(highPa / 1000)} kPa.`,
      );
    if (!(torqueNm >= Math.max(least, 0.1)))
      return refusal(
        engineSpeedRpm,
        torqueNm,
        'torque below closed throttle',
        'Give a torque above nought: an engine that is dragged along, or idles, is not worked out here.',
      );
    let [low, high] = [LOWEST_PA, highPa];
    let [fLow, fHigh] = [least - torqueNm, most - torqueNm];
    let side = 0;
    let pa = high;
    for (let i = 0; i < 50; i++) {
      pa = fHigh > fLow ? low - (fLow * (high - low)) / (fHigh - fLow) : 0.5 * (low + high);
      if (!(pa > low && pa < high)) pa = 0.5 * (low + high);
      const value = torqueAt(pa) - torqueNm;
      if (Math.abs(value) < 1e-4 * Math.max(1, torqueNm) || high - low < 0.5) break;
      if (value < 0) {
        low = pa;
        fLow = value;
        if (side === -1) fHigh *= 0.5;
        side = -1;
      } else {
        high = pa;
        fHigh = value;
        if (side === 1) fLow *= 0.5;
        side = 1;
      }
    }
    const { b, mixture } = balanced(solver, fullPa, pa);
    const point = finished(solver, b, mixture);
    if (!b.converged || !isFinitePoint(point) || Math.abs(point.torqueNm - torqueNm) > 0.01 * Math.max(10, torqueNm))
      return refusal(engineSpeedRpm, torqueNm, 'no balance found', 'The flows did not settle at this point.');
    return { ok: true, point };
  };
  return { engineSpeedRpm, full: { manifoldPressurePa: highPa, torqueNm: most }, at };
};

/**
 * The point at a torque: throttled below outside pressure, boosted above with the wastegate taking what it must.
 *
 * Fuel = air / (lambda AFR); torque = (indicated - pumping - friction) Vd / 4 pi, with pumping = exhaust - manifold
 * pressure + loss at the valves. Typed problem where the torque is out of reach.
 */
export const loadPoint = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  engineSpeedRpm: number,
  torqueNm: number,
  options: LoadOptions = {},
): LoadResult => loadSpeed(resolved.car, loadNumbersOf(resolved), conditions, engineSpeedRpm, options).at(torqueNm);
