/** What the columns of a file say of each other's units. */
import type { Unit } from '../physics/units.ts';
import { type Candidate, weigh } from './candidates.ts';
import { KINDS } from './quantities.ts';

export const settle = (candidate: Candidate, unit: Unit, factor: number, reason: string, scale = 1): void => {
  candidate.unit = { unit, scale };
  candidate.unitText = unit;
  weigh(candidate, factor, reason);
};

export const ofFamily = (candidates: readonly Candidate[], family: string): Candidate[] =>
  candidates.filter(({ channel }) => KINDS[channel].family === family);

/** Columns in United States customary units less those in metric ones, written or inferred. */
export const customaryLead = (candidates: readonly Candidate[]): number => {
  let customary = 0;
  let metric = 0;
  for (const { unit } of candidates) {
    if (!unit) continue;
    if (['psi', 'degF', 'mph', 'lb/min', 'inHg'].includes(unit.unit)) customary++;
    else if (['kPa', 'bar', 'mbar', 'degC', 'km/h', 'kg/h', 'g/s'].includes(unit.unit)) metric++;
  }
  return customary - metric;
};

/** Columns more in one system than in the other that make a file's habit clear. */
export const CLEAR_HABIT = 3;

export const isCustomary = (candidates: readonly Candidate[]): boolean => customaryLead(candidates) > 0;

/** Readings of two columns in the same rows. */
export const together = (
  a: Candidate,
  b: Candidate,
): { readonly a: number[]; readonly b: number[]; readonly rows: number[] } => {
  const out = { a: [] as number[], b: [] as number[], rows: [] as number[] };
  const size = a.column.cells.length;
  let lastB = Number.NaN;
  for (let row = 0; row < size; row++) {
    const ownB = b.column.cells[row]!;
    if (!Number.isNaN(ownB)) lastB = ownB;
    const ownA = a.column.cells[row]!;
    if (Number.isNaN(ownA) || Number.isNaN(lastB)) continue;
    out.a.push(ownA);
    out.b.push(lastB);
    out.rows.push(row);
  }
  return out;
};
