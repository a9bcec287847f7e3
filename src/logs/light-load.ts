/** What a column reads while the driver asks for nothing: there a manifold is under the barometer and a charge pipe near it. */
import type { Candidate } from './candidates.ts';
import { quantileOf } from './sampling.ts';

/** Fewer rows than these at light load say nothing. */
const FEWEST = 10;
/** More than these say no more. */
const ENOUGH = 1500;

/** Engine speed of a row, whatever it is written in. */
const toRpm = ({ marks, unit }: Candidate): number => (unit?.unit === 'krpm' || marks.high < 12 ? 1000 : 1);

/**
 * Median of the column's written numbers in rows with a running engine and a closed pedal (or throttle), or near idle;
 * null where the log has no such rows.
 */
export const atLightLoad = (candidate: Candidate, candidates: readonly Candidate[]): number | null => {
  const engine = candidates.find(({ channel }) => channel === 'engine-speed');
  if (!engine) return null;
  const demand =
    candidates.find(({ channel }) => channel === 'pedal') ?? candidates.find(({ channel }) => channel === 'throttle');
  const scale = toRpm(engine);
  // A pedal that moved little was never let go, or never pressed.
  const isMoving = demand && demand.marks.high - demand.marks.low > 0.3 * Math.max(Math.abs(demand.marks.high), 1e-9);
  const closed = isMoving ? demand.marks.low + 0.08 * (demand.marks.high - demand.marks.low) : Number.NaN;
  const seen: number[] = [];
  let [rpm, asked] = [Number.NaN, Number.NaN];
  for (let row = 0; row < candidate.column.cells.length && seen.length < ENOUGH; row++) {
    const [speed, pedal] = [engine.column.cells[row]!, isMoving ? demand.column.cells[row]! : Number.NaN];
    if (!Number.isNaN(speed)) rpm = speed * scale;
    if (!Number.isNaN(pedal)) asked = pedal;
    const cell = candidate.column.cells[row]!;
    if (Number.isNaN(cell) || !(rpm > 450)) continue;
    if (rpm < 1100 || asked <= closed) seen.push(cell);
  }
  return seen.length >= FEWEST ? quantileOf(seen, 0.5) : null;
};
