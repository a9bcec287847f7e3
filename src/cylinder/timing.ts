/**
 * Spark timing by search on the cycle: most torque, and the borderline of knock.
 *
 * Knock is relative. The Livengood-Wu integral of a law fitted to one engine says little by itself; here its level is
 * compared with the level that the same cycle has at a state which common practice calls borderline, shifted by what logs
 * have shown. It is never a guarantee that an engine does not knock.
 */
import { expectSolved, petrol, type Reason } from '../physics/index.ts';
import { newCharge, trapCharge } from './closing.ts';
import { type Cylinder, prepareCylinder, USUAL_CYLINDER } from './cylinder.ts';
import { CYLINDER_REASONS } from './reasons.ts';
import { solveCycle } from './solve-cycle.ts';
import { type CycleCharge, type CycleOut, newCycleOut } from './types.ts';

/** Result of a search; reused between calls. */
export interface TimingOut {
  /** [deg before top dead centre]. */
  advanceDeg: number;
  /** Cycles solved. */
  cycles: number;
  /** Whether the answer lies at the edge of what is searched: spark so far retarded or advanced that there is no inside answer. */
  edge: 'none' | 'retarded' | 'advanced';
}

/** An empty {@link TimingOut} [deg]. */
export const newTimingOut = (): TimingOut => ({ advanceDeg: 0, cycles: 0, edge: 'none' });

/** Timings searched [deg before top dead centre]. */
export const TIMING_RANGE = { latest: -25, earliest: 70 } as const;
const held = (advance: number): number =>
  advance < TIMING_RANGE.latest ? TIMING_RANGE.latest : Math.min(advance, TIMING_RANGE.earliest);

const setting = { sparkAdvanceDeg: 0 };

/** Half burned at best torque [deg after top dead centre]. Source: Heywood (1988) sect. 9.1.1, about 10 deg; only a start here. */
const USUAL_HALF_BURNED = 6;
/** Points of the parabola lie this far apart [deg]. */
const SPREAD = 5;

/**
 * Timing of most gross work for a charge: three cycles around a first guess and the top of the parabola through them, a
 * fourth when the guess was more than 2.5 deg out by the half-burned angle, more when the top lies outside.
 *
 * @param cylinder made ready
 * @param charge trapped
 * @param guessDeg start, such as the answer at the speed before [deg before top dead centre]
 * @param work space for the cycles; afterwards it holds the last cycle solved, not the best
 * @param out answer
 * @returns null, or the reason why no cycle could be solved. Good to 0.5 deg, which costs less than 0.03 % of the work.
 * Source: maximum brake torque timing, Heywood (1988) sect. 15.3.1.
 */
export const bestTorqueAdvance = (
  cylinder: Cylinder,
  charge: CycleCharge,
  guessDeg: number,
  work: CycleOut,
  out: TimingOut,
): Reason | null => {
  out.edge = 'none';
  out.cycles = 0;
  let at = held(guessDeg);
  let refusal = cycleAt(cylinder, charge, at, work, out);
  if (refusal) return refusal;
  for (let round = 0; round < 3; round++) {
    const wanted = held(at + 0.9 * (work.halfBurnedDeg - USUAL_HALF_BURNED));
    if (Math.abs(wanted - at) < 2.5) break;
    at = wanted;
    refusal = cycleAt(cylinder, charge, at, work, out);
    if (refusal) return refusal;
    if (Math.abs(work.halfBurnedDeg - USUAL_HALF_BURNED) < 4) break;
  }
  let middle = work.grossWorkJ;
  refusal = cycleAt(cylinder, charge, at - SPREAD, work, out);
  if (refusal) return refusal;
  let later = work.grossWorkJ;
  refusal = cycleAt(cylinder, charge, at + SPREAD, work, out);
  if (refusal) return refusal;
  let earlier = work.grossWorkJ;
  // The top may still lie outside; walk towards it.
  for (let round = 0; round < 12 && (earlier > middle || later > middle); round++) {
    const up = earlier > later;
    at += up ? SPREAD : -SPREAD;
    if (at > TIMING_RANGE.earliest || at < TIMING_RANGE.latest) {
      out.edge = up ? 'advanced' : 'retarded';
      out.advanceDeg = held(at);
      return null;
    }
    refusal = cycleAt(cylinder, charge, at + (up ? SPREAD : -SPREAD), work, out);
    if (refusal) return refusal;
    if (up) {
      later = middle;
      middle = earlier;
      earlier = work.grossWorkJ;
    } else {
      earlier = middle;
      middle = later;
      later = work.grossWorkJ;
    }
  }
  const curvature = earlier - 2 * middle + later;
  out.advanceDeg = curvature < 0 ? at - (SPREAD * (earlier - later)) / (2 * curvature) : at;
  return null;
};

const cycleAt = (
  cylinder: Cylinder,
  charge: CycleCharge,
  advanceDeg: number,
  work: CycleOut,
  out: TimingOut,
): Reason | null => {
  setting.sparkAdvanceDeg = advanceDeg;
  out.cycles++;
  return solveCycle(cylinder, charge, setting, work);
};

/** Usual change of the integral's logarithm per degree [1/deg]; only the first step of the search takes it. */
const USUAL_SLOPE = 0.08;
/** The search ends when the next step would be shorter [deg]. */
const CLOSE = 0.15;

/**
 * Timing at which the knock integral reaches a level: secant on its logarithm.
 *
 * @param cylinder made ready
 * @param charge trapped; its fuel's research octane number stands for octane
 * @param logLevel level of ln(integral) taken as borderline, such as {@link knockReference} [-]
 * @param guessDeg start, such as the answer at the speed before [deg before top dead centre]
 * @param work space for the cycles; afterwards it holds the last cycle solved, within a fraction of a degree of the answer
 * @param out answer; `edge` says when no timing searched reaches the level
 * @returns null, or the reason why no cycle could be solved. Good to 0.1 deg of the law, not of an engine.
 * Source: Livengood & Wu (1955); Douaud & Eyzat, SAE 780080; research octane since boosted engines follow it (Kalghatgi,
 * SAE 2001-01-3584).
 */
export const knockLimitedAdvance = (
  cylinder: Cylinder,
  charge: CycleCharge,
  logLevel: number,
  guessDeg: number,
  work: CycleOut,
  out: TimingOut,
): Reason | null => {
  if (!Number.isFinite(logLevel)) return CYLINDER_REASONS.reference;
  out.edge = 'none';
  out.cycles = 0;
  let at = held(guessDeg);
  let refusal = cycleAt(cylinder, charge, at, work, out);
  if (refusal) return refusal;
  let off = Math.log(work.knockIntegral) - logLevel;
  let slope = USUAL_SLOPE;
  for (let round = 0; round < 12; round++) {
    const move = -off / slope;
    const next = held(at + (move > 20 ? 20 : Math.max(move, -20)));
    if (next === at) {
      out.edge = at === TIMING_RANGE.latest ? 'retarded' : 'advanced';
      break;
    }
    if (Math.abs(next - at) < CLOSE) {
      at = next;
      break;
    }
    refusal = cycleAt(cylinder, charge, next, work, out);
    if (refusal) return refusal;
    const offNext = Math.log(work.knockIntegral) - logLevel;
    const secant = (offNext - off) / (next - at);
    // Late burning lengthens the time in which the end gas ignites, so the slope fades; it is kept from turning over.
    slope = Math.max(secant, 0.015);
    at = next;
    off = offNext;
  }
  out.advanceDeg = at;
  return null;
};

/** A state that common practice calls borderline [SI, deg]: 98 octane petrol at 2 bar, 4000 rpm. Source: common practice, none printed. */
export const KNOCK_ANCHOR = {
  advanceDeg: 8.5,
  researchOctane: 98,
  manifoldPressurePa: 200e3,
  chargeTemperatureK: 318.15,
  compressionRatio: 9.25,
  engineSpeedRpm: 4000,
  lambda: 0.83,
  volumetricEfficiency: 0.95,
  exhaustPressurePa: 230e3,
  exhaustTemperatureK: 1250,
  /** Of petrol near lambda 0.83; about a half of it evaporates from walls instead. */
  evaporationCoolingK: 15,
  boreM: 0.086,
  strokeM: 0.086,
} as const;

let reference: number | null = null;

/**
 * ln(knock integral) of this room's cycle at {@link KNOCK_ANCHOR} [-]: the level taken as borderline until logs say better.
 * Source: anchor common practice, no source.
 */
export const knockReference = (): number => {
  if (reference === null) {
    const a = KNOCK_ANCHOR;
    const cylinder = expectSolved(
      prepareCylinder({ ...USUAL_CYLINDER, boreM: a.boreM, strokeM: a.strokeM, compressionRatio: a.compressionRatio }),
    );
    const fuel = petrol(a.researchOctane, a.researchOctane - 10);
    const charge = trapCharge(
      cylinder,
      {
        ...a,
        airKg: (a.volumetricEfficiency * cylinder.sweptM3 * a.manifoldPressurePa) / (287.05 * a.chargeTemperatureK),
        fuel,
        waterPerAir: 0.008,
        evaporationJPerKgAir: 0,
      },
      newCharge(fuel),
    );
    const out = newCycleOut();
    const refusal = solveCycle(cylinder, charge, { sparkAdvanceDeg: a.advanceDeg }, out);
    if (refusal) throw new Error(refusal.says);
    reference = Math.log(out.knockIntegral);
  }
  return reference;
};
