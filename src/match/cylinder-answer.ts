/**
 * The cylinder at one engine speed under full throttle: the cycle over crank angle, and how much more timing or boost its
 * charge and fuel bear before knock.
 */
import type { Car, ResolvedBuild } from '../car/index.ts';
import { newCharge as newCycleCharge, newCycleOut, solveCycle, traceCycle } from '../cylinder/index.ts';
import { balanceAt, brakePowerW, type Held, newBalance, type Solver } from './balance.ts';
import { cycleCylinderOf, cycleFuelOf, trapped } from './crank-angle-cylinder.ts';
import { finishPoint, isSound, solveCase } from './point.ts';
import { type Prepared, prepare } from './prepare.ts';
import { sampledCars } from './sampling.ts';
import { boostTargetAbsolutePa, solverAt } from './steady.ts';
import type { Band, Conditions, MatchCase } from './types.ts';
import { bandOf } from './uncertain.ts';

/** Curves over crank angle, for drawing; not a number where a zone does not exist yet or any more. */
export interface CylinderTrace {
  readonly crankAngleDeg: readonly number[];
  readonly pressurePa: readonly number[];
  readonly burnedShare: readonly number[];
  readonly unburnedTemperatureK: readonly (number | null)[];
  readonly burnedTemperatureK: readonly (number | null)[];
  /** Livengood-Wu integral over its borderline value [-]: 1 where knock is expected. */
  readonly knockShare: readonly number[];
}

export interface CylinderAnswerAtSpeed {
  readonly engineSpeedRpm: number;
  readonly case: MatchCase;
  readonly boostPa: Band;
  readonly manifoldPressurePa: number;
  readonly chargeTemperatureK: Band;
  readonly lambda: number;
  readonly fuelResearchOctane: number;
  readonly torqueNm: Band;
  readonly indicatedEfficiency: Band;
  readonly exhaustTemperatureK: Band;
  readonly peakPressurePa: Band;
  readonly peakPressureDeg: number;
  readonly halfBurnedDeg: number;
  readonly residualFraction: number;
  readonly closingTemperatureK: number;
  /** 10 to 90 % burned [deg]. */
  readonly rapidBurnDeg: number;
  readonly timing: {
    readonly sparkAdvanceDeg: Band;
    /** Typed: the sheet's curve. Estimated: what engine computers are usually set to. */
    readonly from: 'typed' | 'estimated';
    readonly bestTorqueAdvanceDeg: Band;
    /** Relative to a state that common practice takes as borderline; never a guarantee. */
    readonly knockLimitAdvanceDeg: Band;
    /** Limit less timing. */
    readonly knockMarginDeg: Band;
  };
  /** Boost at which this timing would be borderline, charge temperature following; absent where it is out of reach. */
  readonly boostAtKnockPa?: Band;
  readonly trace: CylinderTrace;
  /** Timing moved, everything else following. */
  readonly bySpark: {
    readonly sparkAdvanceDeg: readonly number[];
    readonly torqueNm: readonly number[];
    readonly peakPressurePa: readonly number[];
    readonly exhaustTemperatureK: readonly number[];
  };
  /** Boost moved. */
  readonly byBoost: {
    readonly boostPa: readonly number[];
    readonly knockLimitAdvanceDeg: readonly number[];
    readonly bestTorqueAdvanceDeg: readonly number[];
  };
  /** Charge temperature moved, at this boost. */
  readonly byChargeTemperature: {
    readonly chargeTemperatureK: readonly number[];
    readonly knockLimitAdvanceDeg: readonly number[];
  };
  /** The same without the water-methanol, where the car has it. */
  readonly withoutInjection?: { readonly chargeTemperatureK: number; readonly knockLimitAdvanceDeg: number };
  readonly samples: number;
}

/** Why there is no answer. */
export interface CylinderRefusal {
  readonly code: 'not spark ignition' | 'no balance found' | 'engine outside the cycle';
  readonly says: string;
}

export type CylinderResult =
  | { readonly ok: true; readonly value: CylinderAnswerAtSpeed }
  | { readonly ok: false; readonly reason: CylinderRefusal };

const CRANK_STEP_DEG = 1;
/** Limits are said to this far before best torque [deg]. */
const FAR_ENOUGH_DEG = 14;

interface Solved {
  readonly solver: Solver;
  readonly case: MatchCase;
  readonly powerW: number;
  readonly limitDeg: number;
}

/** Solved at the boost target, or at a manifold pressure whatever the turbocharger would give. */
const solve = (prepared: Prepared, rpm: number, held: Held, pressurePa?: number): Solved | null => {
  const balance = newBalance();
  const solver = solverAt(prepared, rpm, {}, held, balance);
  const solvedCase =
    pressurePa === undefined
      ? solveCase(solver, boostTargetAbsolutePa(prepared, rpm, {}))
      : { case: 'boost held' as const, targetPa: pressurePa };
  if (pressurePa !== undefined) balanceAt(solver, pressurePa, 'shaft balance', 0);
  if (!isSound(balance)) return null;
  finishPoint(solver, solvedCase, []);
  return {
    solver,
    case: solvedCase.case,
    powerW: brakePowerW(balance),
    // Far before best torque nobody fires and the cycle was not looked at: the limit is said no further than that.
    limitDeg: Math.min(solver.cylinder.knockLimitAdvanceDeg, solver.cylinder.bestTorqueAdvanceDeg + FAR_ENOUGH_DEG),
  };
};

/** A moment of a pull: what was logged of it is held, the rest is the match's. */
export interface CylinderMoment {
  readonly engineSpeedRpm: number;
  readonly manifoldPressurePa: number;
  readonly sparkAdvanceDeg: number;
  readonly chargeTemperatureK?: number | undefined;
  readonly lambda?: number | undefined;
}

/**
 * Timing at which knock is borderline at each moment [deg before top dead centre], no further before best torque than
 * anybody fires. Null where the flows have no balance.
 */
export const knockLimitsAt = (
  car: Car,
  conditions: Conditions,
  moments: readonly CylinderMoment[],
): (number | null)[] => {
  const prepared = prepare(car, conditions);
  return moments.map(
    ({ engineSpeedRpm, manifoldPressurePa, ...held }) =>
      solve(prepared, engineSpeedRpm, held, manifoldPressurePa)?.limitDeg ?? null,
  );
};

/** Manifold pressure at which a timing is borderline [Pa], by bisection between 0.6 and 4 bar; null outside. */
const pressureAtKnock = (prepared: Prepared, rpm: number, advanceDeg: number): number | null => {
  let low = 60e3;
  let high = 400e3;
  const spare = (pa: number) => {
    const found = solve(prepared, rpm, { sparkAdvanceDeg: advanceDeg }, pa);
    return found ? found.limitDeg - advanceDeg : null;
  };
  const atLow = spare(low);
  const atHigh = spare(high);
  if (atLow === null || atHigh === null || atLow < 0 || atHigh > 0) return null;
  for (let i = 0; i < 12; i++) {
    const middle = 0.5 * (low + high);
    const value = spare(middle);
    if (value === null) return null;
    if (value > 0) low = middle;
    else high = middle;
  }
  return 0.5 * (low + high);
};

const range = (from: number, to: number, count: number): number[] =>
  Array.from({ length: count }, (_, i) => from + ((to - from) * i) / (count - 1));

const traceOf = (car: Car, found: Solved) => {
  const cylinder = cycleCylinderOf(car);
  if (!cylinder) return null;
  const closed = newCycleCharge({ ...cycleFuelOf(car), researchOctane: Math.max(40, car.fuel.researchOctane) });
  trapped(cylinder, found.solver.charge, closed);
  const { sparkAdvanceDeg } = found.solver.cylinder;
  const traced = traceCycle(cylinder, closed, { sparkAdvanceDeg });
  // The borderline level is the integral that the cycle itself has at the limit.
  const atLimit = newCycleOut();
  const refusal = solveCycle(cylinder, closed, { sparkAdvanceDeg: found.limitDeg }, atLimit);
  if (!traced.ok || refusal) return null;
  const { value } = traced;
  const keep: number[] = [];
  let last = Number.NEGATIVE_INFINITY;
  value.crankAngleDeg.forEach((angle, i) => {
    if (angle - last < CRANK_STEP_DEG && i < value.crankAngleDeg.length - 1) return;
    keep.push(i);
    last = angle;
  });
  const pick = (values: Float64Array) => keep.map((i) => values[i]!);
  const zone = (values: Float64Array) => keep.map((i) => (Number.isFinite(values[i]!) ? values[i]! : null));
  const trace: CylinderTrace = {
    crankAngleDeg: pick(value.crankAngleDeg),
    pressurePa: pick(value.pressurePa),
    burnedShare: pick(value.burnedShare),
    unburnedTemperatureK: zone(value.unburnedK),
    burnedTemperatureK: zone(value.burnedK),
    knockShare: pick(value.knockIntegral).map((integral) => integral / Math.max(1e-9, atLimit.knockIntegral)),
  };
  return { trace, summary: value.summary, closed };
};

const bandsOf = (resolved: ResolvedBuild, conditions: Conditions, rpm: number, samples: number, seed: number) => {
  const drawn = sampledCars(resolved, samples, seed);
  const rows: Record<
    | 'boost'
    | 'charge'
    | 'torque'
    | 'efficiency'
    | 'exhaust'
    | 'peak'
    | 'spark'
    | 'best'
    | 'limit'
    | 'margin'
    | 'boostAtKnock',
    number[]
  > = {
    boost: [],
    charge: [],
    torque: [],
    efficiency: [],
    exhaust: [],
    peak: [],
    spark: [],
    best: [],
    limit: [],
    margin: [],
    boostAtKnock: [],
  };
  for (let i = 0; i < samples; i++) {
    const prepared = prepare(drawn.car(i), conditions);
    const found = solve(prepared, rpm, {});
    if (!found) continue;
    const { balance, cylinder } = found.solver;
    const limit = found.limitDeg;
    rows.boost.push(balance.manifoldPressurePa - conditions.ambientPressurePa);
    rows.charge.push(balance.chargeTemperatureK);
    rows.torque.push((60 * found.powerW) / (2 * Math.PI * rpm));
    rows.efficiency.push(cylinder.indicatedEfficiency);
    rows.exhaust.push(balance.exhaustTemperatureK);
    rows.peak.push(cylinder.peakPressurePa);
    rows.spark.push(cylinder.sparkAdvanceDeg);
    rows.best.push(cylinder.bestTorqueAdvanceDeg);
    rows.limit.push(limit);
    rows.margin.push(limit - cylinder.sparkAdvanceDeg);
    const pressure = pressureAtKnock(prepared, rpm, cylinder.sparkAdvanceDeg);
    if (pressure !== null) rows.boostAtKnock.push(pressure - conditions.ambientPressurePa);
  }
  return rows;
};

/**
 * The cylinder of a build at an engine speed, full throttle, with bands.
 *
 * Curves and sweeps are the best estimate's; bands come from `samples` cars. Deterministic for a seed. Refusals are typed; nothing throws.
 */
export const cylinderAtSpeed = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  engineSpeedRpm: number,
  { samples = 64, seed = 1 }: { readonly samples?: number; readonly seed?: number } = {},
): CylinderResult => {
  const { car } = resolved;
  if (car.facts.ignition !== 'spark') {
    return refuse(
      'not spark ignition',
      'The burn law is that of spark ignition; a diesel has no knock limit of this kind.',
    );
  }
  const prepared = prepare(car, conditions);
  const found = solve(prepared, engineSpeedRpm, {});
  if (!found) return refuse('no balance found', 'The flows have no balance at this engine speed with these numbers.');
  const traced = traceOf(car, found);
  if (!traced)
    return refuse('engine outside the cycle', 'Bore, stroke or compression ratio lie outside what the cycle knows.');
  const { balance, cylinder } = found.solver;
  const rows = bandsOf(resolved, conditions, engineSpeedRpm, samples, seed);
  const bands = Object.fromEntries(Object.entries(rows).map(([key, values]) => [key, bandOf(values)])) as Record<
    keyof typeof rows,
    Band | null
  >;
  const exact = (value: number): Band => ({ p10: value, p50: value, p90: value });
  const torque = (powerW: number) => (60 * powerW) / (2 * Math.PI * engineSpeedRpm);
  const sparks = range(
    Math.min(cylinder.sparkAdvanceDeg, cylinder.bestTorqueAdvanceDeg) - 10,
    cylinder.bestTorqueAdvanceDeg + 8,
    19,
  );
  const atSpark = sparks.flatMap((spark) => {
    const moved = solve(prepared, engineSpeedRpm, { sparkAdvanceDeg: spark });
    return moved ? [{ spark, moved }] : [];
  });
  const ambient = conditions.ambientPressurePa;
  const top = Math.max(80e3, 1.6 * (balance.manifoldPressurePa - ambient));
  const atBoost = range(0, top, 17).flatMap((boost) => {
    const moved = solve(prepared, engineSpeedRpm, {}, ambient + boost);
    return moved ? [{ boost, moved }] : [];
  });
  const atCharge = range(283.15, 363.15, 17).flatMap((chargeTemperatureK) => {
    const moved = solve(prepared, engineSpeedRpm, { chargeTemperatureK }, balance.manifoldPressurePa);
    return moved ? [{ chargeTemperatureK, moved }] : [];
  });
  const dry = car.facts.hasInjection
    ? solve(
        prepare({ ...car, facts: { ...car.facts, hasInjection: false } }, conditions),
        engineSpeedRpm,
        {},
        balance.manifoldPressurePa,
      )
    : null;
  return {
    ok: true,
    value: {
      engineSpeedRpm,
      case: found.case,
      boostPa: bands.boost ?? exact(balance.manifoldPressurePa - ambient),
      manifoldPressurePa: balance.manifoldPressurePa,
      chargeTemperatureK: bands.charge ?? exact(balance.chargeTemperatureK),
      lambda: balance.lambda,
      fuelResearchOctane: car.fuel.researchOctane,
      torqueNm: bands.torque ?? exact(torque(found.powerW)),
      indicatedEfficiency: bands.efficiency ?? exact(cylinder.indicatedEfficiency),
      exhaustTemperatureK: bands.exhaust ?? exact(balance.exhaustTemperatureK),
      peakPressurePa: bands.peak ?? exact(cylinder.peakPressurePa),
      peakPressureDeg: traced.summary.peakPressureDeg,
      halfBurnedDeg: traced.summary.halfBurnedDeg,
      residualFraction: traced.closed.residualFraction,
      closingTemperatureK: traced.closed.temperatureK,
      rapidBurnDeg: traced.summary.rapidDeg,
      timing: {
        sparkAdvanceDeg: bands.spark ?? exact(cylinder.sparkAdvanceDeg),
        from: car.curves.sparkAdvance ? 'typed' : 'estimated',
        bestTorqueAdvanceDeg: bands.best ?? exact(cylinder.bestTorqueAdvanceDeg),
        knockLimitAdvanceDeg: bands.limit ?? exact(found.limitDeg),
        knockMarginDeg: bands.margin ?? exact(found.limitDeg - cylinder.sparkAdvanceDeg),
      },
      // A boost that only some cars reach the borderline at is no answer.
      ...(bands.boostAtKnock && rows.boostAtKnock.length > 0.8 * samples ? { boostAtKnockPa: bands.boostAtKnock } : {}),
      trace: traced.trace,
      bySpark: {
        sparkAdvanceDeg: atSpark.map(({ spark }) => spark),
        torqueNm: atSpark.map(({ moved }) => torque(moved.powerW)),
        peakPressurePa: atSpark.map(({ moved }) => moved.solver.cylinder.peakPressurePa),
        exhaustTemperatureK: atSpark.map(({ moved }) => moved.solver.balance.exhaustTemperatureK),
      },
      byBoost: {
        boostPa: atBoost.map(({ boost }) => boost),
        knockLimitAdvanceDeg: atBoost.map(({ moved }) => moved.limitDeg),
        bestTorqueAdvanceDeg: atBoost.map(({ moved }) => moved.solver.cylinder.bestTorqueAdvanceDeg),
      },
      byChargeTemperature: {
        chargeTemperatureK: atCharge.map(({ chargeTemperatureK }) => chargeTemperatureK),
        knockLimitAdvanceDeg: atCharge.map(({ moved }) => moved.limitDeg),
      },
      ...(dry
        ? {
            withoutInjection: {
              chargeTemperatureK: dry.solver.balance.chargeTemperatureK,
              knockLimitAdvanceDeg: dry.limitDeg,
            },
          }
        : {}),
      samples,
    },
  };
};

const refuse = (code: CylinderRefusal['code'], says: string): CylinderResult => ({ ok: false, reason: { code, says } });
