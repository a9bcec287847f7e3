/**
 * One engine speed at many boost targets, with as few solutions as they need. Where the wastegate stays shut, or stands
 * as open as its spring allows, the answer does not depend on the target: it is found once and serves every target beyond
 * it. In between one balance of the shaft at the target tells the case and is the answer.
 */
import { type FallingZero, fallingZero } from '../physics/index.ts';
import { type Balance, balanceAt, newBalance, type Solver } from './balance.ts';
import { finishPoint, isSound, solveCase, springOpening } from './point.ts';
import type { MatchCase, MatchPoint } from './types.ts';

/** What is looked at, as in the match: from a little vacuum to beyond any road car. */
const LOWEST_SHARE_OF_AMBIENT = 0.9;
const CEILING_PA = 800e3;
/** A root counts as found when its next step is smaller than this [Pa]: 2 parts in 100,000 of a charge pressure. */
const CLOSE_PA = 4;

/** Roots found at the speeds before; carried from speed to speed. */
export interface LevelStart {
  shut: FallingZero | null;
  open: FallingZero | null;
  /** Highest pressure at which the flows settled, where that and not the turbine was what ended it. */
  edgePa: number | null;
}

/** Where to begin when nothing is known of a neighbouring level. */
export const newLevelStart = (): LevelStart => ({ shut: null, open: null, edgePa: null });

/**
 * Whether the shut wastegate balances at no higher pressure: well right of surge the surplus only falls with pressure.
 * Near surge and in it efficiency rises again on the way to the next speed line.
 */
const isAlone = (balance: Balance): boolean => balance.surgeFlowKgPerS < 0.75 * balance.correctedFlowKgPerS;

/** How far from one engine speed to the next the shut wastegate's pressure is looked for first [-]. */
const NEAR = 1.12;

/** How closely the edge beyond which the flows do not settle is looked for [-]. */
const EDGE = 2e-3;

/** First guess of how the surplus falls with pressure [W/Pa]: some kilowatts over a tenth of a bar. */
const USUAL_SLOPE = -0.2;

/**
 * Points of one engine speed at targets that rise [absolute Pa], each as the match would solve it (within 0.01 % of
 * pressure). Null where there is no sound balance. `start` is read and written.
 */
export const solveLevels = (
  solver: Solver,
  targetsPa: readonly number[],
  start: LevelStart,
): readonly (MatchPoint | null)[] => {
  const { prepared, balance } = solver;
  const ambientPa = prepared.conditions.ambientPressurePa;
  const floor = LOWEST_SHARE_OF_AMBIENT * ambientPa;
  const reset = () => Object.assign(balance, newBalance());
  const shut = (pa: number) => balanceAt(solver, pa, 'opening', 0).surplusPowerW;
  const sprung = (pa: number) => balanceAt(solver, pa, 'opening', springOpening(solver, pa - ambientPa)).surplusPowerW;
  const finish = (matchCase: MatchCase, targetPa: number): MatchPoint | null => {
    if (isSound(balance)) return finishPoint(solver, { case: matchCase, targetPa }, []);
    reset();
    return null;
  };

  // Where the flows do not settle there is an edge, not a zero.
  const closeAt = (pa: number): number => (balance.converged ? CLOSE_PA : EDGE * pa);

  let shutPoint: MatchPoint | null = null;
  let openPoint: MatchPoint | null = null;
  let shutAlone = false;
  /** Balance of the highest target that was held. */
  let held: Balance | null = null;
  const keepShut = (root: FallingZero, targetPa: number): boolean => {
    start.shut = root;
    shutAlone = isAlone(balance);
    shutPoint = finish('wastegate shut', targetPa);
    return shutPoint !== null;
  };
  /** From what the speed before could carry; good where the shut wastegate can balance at one pressure only. */
  const findShutNear = (before: FallingZero, target: number, targetPa: number): boolean => {
    const high = Math.min(target, NEAR * before.at);
    if (!(shut(high) < 0 && balance.converged)) return false;
    const root = fallingZero(shut, floor, high, before.at, before.slope, closeAt);
    return isSound(balance) && balance.converged && isAlone(balance) && keepShut(root, targetPa);
  };
  /**
   * The shut wastegate's pressure under `target`, which it cannot carry. Near surge there may be more than one: as in
   * the match, the first that is met on the way down from the target.
   */
  const findShut = (target: number, targetPa: number): boolean => {
    const { shut: before } = start;
    let low = shutPoint ? shutPoint.manifoldPressurePa : floor;
    let high = target;
    for (let share = 0.75; share > 0.1; share -= 0.25) {
      const tried = floor + share * (target - floor);
      if (tried <= low) break;
      if (shut(tried) >= 0) {
        low = tried;
        break;
      }
      high = tried;
    }
    const guess = before?.at ?? 0.5 * (low + high);
    const root = fallingZero(shut, low, high, guess, before?.slope ?? USUAL_SLOPE, closeAt);
    if (isSound(balance)) return keepShut(root, targetPa);
    reset();
    return false;
  };
  /**
   * Between a pressure that was held and a target at which the flows do not settle: the highest at which they do and the
   * shut wastegate carries it. Far past choke that is an edge, so it is looked for to 0.2 %.
   */
  const findEdge = (from: Balance, target: number, targetPa: number): boolean => {
    let settled = from;
    let high = target;
    const { edgePa } = start;
    if (edgePa !== null && edgePa > from.manifoldPressurePa && NEAR * edgePa < target) high = NEAR * edgePa;
    while (high - settled.manifoldPressurePa > EDGE * high) {
      Object.assign(balance, settled);
      const middle = 0.5 * (settled.manifoldPressurePa + high);
      if (shut(middle) >= 0 && balance.converged) settled = { ...balance };
      else high = middle;
    }
    Object.assign(balance, settled);
    const surplus = shut(settled.manifoldPressurePa);
    if (!(surplus >= 0 && isSound(balance) && balance.converged)) return false;
    start.edgePa = settled.manifoldPressurePa;
    return keepShut({ at: settled.manifoldPressurePa, slope: USUAL_SLOPE }, targetPa);
  };
  const findOpen = (target: number, targetPa: number): boolean => {
    const { open: before } = start;
    const root = fallingZero(
      sprung,
      target,
      CEILING_PA,
      before?.at ?? target + 5e3,
      before?.slope ?? 5 * USUAL_SLOPE,
      closeAt,
    );
    if (!isSound(balance)) {
      reset();
      return false;
    }
    start.open = root;
    openPoint = finish('wastegate open', targetPa);
    return openPoint !== null;
  };

  return targetsPa.map((targetPa) => {
    const target = Math.min(CEILING_PA, Math.max(targetPa, floor));
    if (openPoint && target <= openPoint.manifoldPressurePa) {
      return { ...openPoint, boostTargetPa: targetPa - ambientPa };
    }
    if (shutPoint && target >= shutPoint.manifoldPressurePa) {
      if (shutAlone || shut(target) < 0) return { ...shutPoint, boostTargetPa: targetPa - ambientPa };
    } else if (start.shut && target > start.shut.at && findShutNear(start.shut, target, targetPa)) {
      // Over what can be carried: balancing the shaft there would only lead astray.
      return shutPoint;
    }
    // Where the flows did not settle at the speed before they will hardly do so here.
    if (held && start.edgePa !== null && target > start.edgePa && findEdge(held, target, targetPa)) return shutPoint;
    balanceAt(solver, target, 'shaft balance', 0);
    if (isSound(balance) && balance.converged) {
      const opening = balance.wastegateOpening;
      if (opening >= 0 && opening <= springOpening(solver, target - ambientPa)) {
        if (start.shut && start.shut.at < target) start.shut = null;
        if (start.edgePa !== null && start.edgePa < target) start.edgePa = null;
        held = { ...balance };
        return finish('boost held', targetPa);
      }
      if (opening < 0 && findShut(target, targetPa)) return shutPoint;
      if (opening > 0 && findOpen(target, targetPa)) return openPoint;
    } else if (held && findEdge(held, target, targetPa)) return shutPoint;
    // What is left is at an edge of one of these: the match's own way tells.
    reset();
    const solved = solveCase(solver, targetPa);
    return finish(solved.case, targetPa);
  });
};
