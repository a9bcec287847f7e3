/** Figures as people type and paste them. */
import { fromSi, isUnit } from '../../src/physics/units.ts';

/** An SI value in a unit of the sheet, as a person would type it. */
export const fromSiText = (valueSi: number, unit: string): string =>
  isUnit(unit) ? String(Number(fromSi(valueSi, unit).toPrecision(4))) : String(valueSi);

export type ReadNumber = { readonly ok: true; readonly value: number } | { readonly ok: false; readonly says: string };

const GROUPED = [
  /^-?[1-9]\d{0,2}(,\d{3})+(\.\d+)?$/,
  /^-?[1-9]\d{0,2}(\.\d{3}){2,}$/,
  /^-?[1-9]\d{0,2}(\.\d{3})+,\d+$/,
] as const;
const PLAIN = /^-?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;

/**
 * A number as people type it: decimal point or comma, thousands set apart by space, comma or point. What can be read two
 * ways is refused, never guessed.
 */
export const readNumber = (text: string): ReadNumber => {
  const spaced = text.trim().replace(/^[−–]\s*/, '-');
  if (spaced === '') return { ok: false, says: 'type a number' };
  const bare = /^-?\d{1,3}([ \u00a0\u202f]\d{3})+([.,]\d+)?$/.test(spaced)
    ? spaced.replace(/[ \u00a0\u202f]/g, '')
    : spaced;
  const doubtful = /^-?([1-9]\d{0,2}),(\d{3})$/.exec(bare);
  if (doubtful) {
    const [, whole, rest] = doubtful;
    return { ok: false, says: `write ${whole}${rest} or ${whole}.${rest}: ${bare} can be read as either` };
  }
  const [pointed, dotted, comma] = GROUPED.map((pattern) => pattern.test(bare));
  const plain = pointed
    ? bare.replaceAll(',', '')
    : dotted || comma
      ? bare.replaceAll('.', '').replace(',', '.')
      : bare.replace(',', '.');
  if (!PLAIN.test(plain) || !Number.isFinite(Number(plain)))
    return { ok: false, says: `expected a number, got “${text.trim()}”` };
  return { ok: true, value: Number(plain) };
};

export interface Pasted {
  readonly rows: readonly (readonly string[])[];
  /** The first line held names, not numbers, and was left out. */
  readonly headingLeftOut: boolean;
}

const cellsOf = (line: string): string[] => {
  const separator = line.includes('\t') ? '\t' : line.includes(';') ? ';' : /,\s/.test(line) ? /,\s+/ : /\s+/;
  return line.split(separator).map((cell) => cell.trim());
};

/**
 * Cells copied from a spreadsheet, or lines of text. Two long rows of a table of two columns are turned upright; a line
 * of names above the numbers is left out.
 */
export const readPasted = (text: string, columns: number): Pasted => {
  const lines = text
    .replace(/\r\n?/g, '\n')
    .split('\n')
    .map((line) => line.replace(/\s+$/, ''))
    .filter((line) => line.trim() !== '')
    .map(cellsOf);
  const lying = lines.length === columns && (lines[0]?.length ?? 0) > columns;
  const upright = lying
    ? (lines[0] ?? []).map((_, place) => lines.map((line) => line[place] ?? ''))
    : // One column alone may be pasted as a line of its own.
      columns === 1
      ? lines.flatMap((line) => line.map((cell) => [cell]))
      : lines;
  const isNumber = (cell: string) => cell !== '' && readNumber(cell).ok;
  const [first] = upright;
  const headingLeftOut =
    upright.length > 1 && first !== undefined && first.some((cell) => /[a-z]/i.test(cell)) && !first.some(isNumber);
  return { rows: headingLeftOut ? upright.slice(1) : upright, headingLeftOut };
};

/** A table with pasted cells put in from a place on; it grows as far as they reach. */
export const withPasted = (
  rows: readonly (readonly string[])[],
  pasted: Pasted,
  row: number,
  column: number,
  columns: number,
): string[][] => {
  const most = Math.max(rows.length, row + pasted.rows.length);
  return Array.from({ length: most }, (_, r) =>
    Array.from({ length: columns }, (_, c) => pasted.rows[r - row]?.[c - column] ?? rows[r]?.[c] ?? ''),
  );
};
