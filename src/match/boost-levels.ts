/**
 * One engine speed at many boost targets, with as few solutions as they need. Where the wastegate stays shut, or stands
 * as open as its spring allows, the answer does not depend on the target: it is found once and serves every target beyond
 * it. In between one balance of the shaft at the target tells the case and is the answer.
 */
import { balanceAt, newBalance, type Solver } from './balance.ts';
import { finishPoint, isSound, solveCase, springOpening } from './point.ts';
import type { MatchCase, MatchPoint } from './types.ts';

/** What is looked at, as in the match: from a little vacuum to beyond any road car. */
const LOWEST_SHARE_OF_AMBIENT = 0.9;
const CEILING_PA = 800e3;
/** A root counts as found when its next step is smaller than this [Pa]: 2 parts in 100,000 of a charge pressure. */
const CLOSE_PA = 4;
const MOST_STEPS = 40;

/** A pressure at which a case balances, and how steeply the shaft's surplus falls there: where to begin at the next speed. */
interface Root {
  pressurePa: number;
  slopeWPerPa: number;
}

/** Roots found at the speeds before; carried from speed to speed. */
export interface LevelStart {
  shut: Root | null;
  open: Root | null;
}

export const newLevelStart = (): LevelStart => ({ shut: null, open: null });

/**
 * Zero of a falling function between `low` and `high`, from a guess and a slope; secant steps held to what is known of
 * its place. Ends with the function called at the answer, so that the solver holds it. Where there is no zero in the
 * range it ends at the end nearer to one.
 */
const fallingZero = (f: (x: number) => number, low: number, high: number, guess: number, slope: number): Root => {
  let x = Math.min(high, Math.max(low, guess));
  let value = f(x);
  let steep = slope;
  for (let step = 0; step < MOST_STEPS; step++) {
    if (value > 0) low = x;
    else high = x;
    let next = x - value / steep;
    // The first step off a guess may be far wrong; later ones that leave the bracket halve it.
    if (!(next > low && next < high)) {
      if (high - low < CLOSE_PA) break;
      next = step === 0 ? Math.min(high, Math.max(low, next)) : 0.5 * (low + high);
      if (!Number.isFinite(next)) next = 0.5 * (low + high);
    }
    if (Math.abs(next - x) < CLOSE_PA) break;
    const nextValue = f(next);
    const secant = (nextValue - value) / (next - x);
    if (secant < 0) steep = secant;
    x = next;
    value = nextValue;
    if (value === 0 || high - low < CLOSE_PA) break;
  }
  return { pressurePa: x, slopeWPerPa: steep };
};

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

  let shutPoint: MatchPoint | null = null;
  let openPoint: MatchPoint | null = null;
  /**
   * The shut wastegate's pressure under `target`, which it cannot carry. Deep in surge there may be more than one: as in
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
    const root = fallingZero(
      shut,
      low,
      high,
      before?.pressurePa ?? 0.5 * (low + high),
      before?.slopeWPerPa ?? USUAL_SLOPE,
    );
    if (!isSound(balance)) {
      reset();
      return false;
    }
    start.shut = root;
    shutPoint = finish('wastegate shut', targetPa);
    return shutPoint !== null;
  };
  const findOpen = (target: number, targetPa: number): boolean => {
    const { open: before } = start;
    const root = fallingZero(
      sprung,
      target,
      CEILING_PA,
      before?.pressurePa ?? target + 5e3,
      before?.slopeWPerPa ?? 5 * USUAL_SLOPE,
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
    // Far over what can be carried: balancing the shaft there would only lead astray.
    const far = shutPoint ? shutPoint.manifoldPressurePa : start.shut ? 1.05 * start.shut.pressurePa : target;
    if (target > far && shut(target) < 0) {
      if (shutPoint) return { ...shutPoint, boostTargetPa: targetPa - ambientPa };
      if (findShut(target, targetPa)) return shutPoint;
    }
    balanceAt(solver, target, 'shaft balance', 0);
    if (isSound(balance) && balance.converged) {
      const opening = balance.wastegateOpening;
      if (opening >= 0 && opening <= springOpening(solver, target - ambientPa)) return finish('boost held', targetPa);
      if (opening < 0 && findShut(target, targetPa)) return shutPoint;
      if (opening > 0 && findOpen(target, targetPa)) return openPoint;
    }
    // What is left is at an edge of one of these: the match's own way tells.
    reset();
    const solved = solveCase(solver, targetPa);
    return finish(solved.case, targetPa);
  });
};
