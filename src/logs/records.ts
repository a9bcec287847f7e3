/** Delimited text into records of fields, by RFC 4180 and the liberties that real files take. For heads of files: the body is read by the byte-level reader. */

import { readUnitText } from './unit-text.ts';

export interface TextRecord {
  /** 1-based line on which the record starts. */
  readonly line: number;
  /** Offset of its first character in the text. */
  readonly offset: number;
  readonly fields: readonly string[];
}

/** A quote that is not closed within so many characters is a plain character, so that one stray quote cannot swallow a file. */
export const LONGEST_QUOTED = 4096;

/** Index of the quote that closes the one at `open`, doubled quotes passed over; -1 when there is none near. */
const closingQuote = (text: string, open: number): number => {
  const stop = Math.min(text.length, open + LONGEST_QUOTED);
  for (let i = open + 1; i < stop; i++) {
    if (text[i] !== '"') continue;
    if (text[i + 1] === '"') i++;
    else return i;
  }
  return -1;
};

/**
 * Splits `text` into records. Fields may be quoted, hold separators, line breaks and doubled quotes (RFC 4180 section 2
 * rules 5 to 7); spaces belong to the field (rule 4); lines end with CR LF, LF or CR. Blank lines give no record.
 * At most `limit` records.
 */
export const splitRecords = (text: string, separator: string, limit = Number.POSITIVE_INFINITY): TextRecord[] => {
  const records: TextRecord[] = [];
  let line = 1;
  let at = 0;
  while (at < text.length && records.length < limit) {
    const offset = at;
    const startLine = line;
    const fields: string[] = [];
    let ended = false;
    while (!ended) {
      let field = '';
      let from = at;
      // Blanks before a quote are a liberty that writers of aligned columns take.
      let open = at;
      while (text[open] === ' ') open++;
      if (text[open] === '"') {
        const close = closingQuote(text, open);
        if (close >= 0) {
          const inner = text.slice(open + 1, close);
          for (let i = 0; i < inner.length; i++) if (inner[i] === '\n') line++;
          field = inner.replaceAll('""', '"');
          from = close + 1;
          at = close + 1;
        }
      }
      while (at < text.length && text[at] !== separator && text[at] !== '\n' && text[at] !== '\r') at++;
      fields.push(field + text.slice(from, at));
      if (text[at] === separator && at < text.length) {
        at++;
        continue;
      }
      if (text[at] === '\r' && text[at + 1] === '\n') at++;
      at++;
      line++;
      ended = true;
    }
    if (fields.length > 1 || fields[0]!.trim() !== '') records.push({ line: startLine, offset, fields });
  }
  return records;
};

/** What the text of a cell is. */
export type CellKind = 'blank' | 'integer' | 'point' | 'comma' | 'clock' | 'measure' | 'missing' | 'text';

const INTEGER = /^[+-]?\d+$/;
const POINT = /^[+-]?(?:\d+\.\d*|\.\d+|\d+(?=[eE]))(?:[eE][+-]?\d+)?$/;
const COMMA = /^[+-]?(?:\d+,\d*|,\d+)(?:[eE][+-]?\d+)?$/;
const CLOCK =
  /^(?:\d{1,4}[-./]\d{1,2}[-./]\d{1,4}[ T]+)?\d{1,3}:\d{1,2}(?::\d{1,2})?(?:[.,:]\d+)?(?: ?[AaPp][Mm])?(?:Z|[+-]\d\d:?\d\d)?$/;
const MISSING = /^(?:-+|nan|n\/?a|null|none|[+-]?inf(?:inity)?|\?+|#n\/a|err(?:or)?|\*+)$/i;

/** A number, its thousands perhaps grouped, and the unit behind it. */
const MEASURE =
  /^([+-]?(?:\d{1,3}(?:[.,' ]\d{3})+(?:[.,]\d*)?|\d+(?:[.,]\d*)?|[.,]\d+))(?:\s*(?=[^\s\d.,+/-])|\s+(?=1\/))(\S.*)$/;

/** A number with its unit in one cell ("14.7 psi"), taken apart; null when the rest is no unit that is known. */
export const measureOf = (cell: string): { readonly number: string; readonly unit: string } | null => {
  const first = cell.trimStart().charCodeAt(0);
  // Digits, a sign or a decimal mark begin a number: words are passed over before they cost anything.
  if (!((first >= 48 && first <= 57) || (first >= 43 && first <= 46))) return null;
  const match = MEASURE.exec(cell.trim());
  if (!match || match[2]!.length > 12 || !readUnitText(match[2]!)) return null;
  return { number: match[1]!, unit: match[2]! };
};

/** Sorts a cell by its look; quotes are expected to be off already. */
export const cellKind = (cell: string): CellKind => {
  const text = cell.trim();
  if (text === '') return 'blank';
  if (INTEGER.test(text)) return 'integer';
  if (POINT.test(text)) return 'point';
  if (COMMA.test(text)) return 'comma';
  if (CLOCK.test(text)) return 'clock';
  if (MISSING.test(text)) return 'missing';
  return measureOf(text) ? 'measure' : 'text';
};

/** Numbers whose thousands are grouped by the other mark, an apostrophe or a blank. */
const GROUPED = {
  '.': /^[+-]?\d{1,3}(?:[,' ]\d{3})+(?:[.]\d+)?$/,
  ',': /^[+-]?\d{1,3}(?:[.' ]\d{3})+(?:[,]\d+)?$/,
} as const;

const WORDS: Readonly<Record<string, number>> = { on: 1, off: 0, true: 1, false: 0, yes: 1, no: 0 };

/**
 * A cell that the byte-level reader could not read as a plain number: number with spaces or grouping marks, a switch in
 * words. NaN when blank or unreadable; `readable` is false only for the latter.
 */
export const parseCell = (cell: string, decimal: '.' | ','): { readonly value: number; readonly readable: boolean } => {
  const text = cell.trim();
  if (text === '') return { value: Number.NaN, readable: true };
  const kind = cellKind(text);
  // The mark that is not the file's decimal mark groups thousands where it can: "1.850" beside "32,5" is 1850.
  if (kind === (decimal === ',' ? 'point' : 'comma') && /^[+-]?[1-9]\d{0,2}(?:[.,]\d{3})+$/.test(text)) {
    return { value: Number(text.replaceAll(/[.,]/g, '')), readable: true };
  }
  if (kind === 'integer' || kind === 'point') return { value: Number(text), readable: true };
  if (kind === 'comma') return { value: Number(text.replace(',', '.')), readable: true };
  if (kind === 'measure') return parseCell(measureOf(text)!.number, decimal);
  if (kind === 'text') {
    const word = WORDS[text.toLowerCase()];
    if (word !== undefined) return { value: word, readable: true };
    const group = decimal === '.' ? ',' : '.';
    const grouped = GROUPED[decimal];
    if (grouped.test(text)) {
      const plain = text.replaceAll(group, '').replaceAll("'", '').replaceAll(' ', '').replace(decimal, '.');
      return { value: Number(plain), readable: true };
    }
  }
  return { value: Number.NaN, readable: false };
};
