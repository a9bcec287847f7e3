/** The byte-level reader: rows of numbers straight from the bytes into columns, without a string per cell. */
import { clockSeconds } from './clock-text.ts';
import { readPlainRows } from './plain-rows.ts';
import { measureOf, parseCell } from './records.ts';
import {
  closingQuote,
  estimateRows,
  grownTo,
  isCutShort,
  isOtherHeader,
  lastLineOf,
  moveRows,
  suffixesOf,
} from './row-parts.ts';
import type { Column, RefusedRow } from './types.ts';

export interface RowsRequest {
  readonly bytes: Uint8Array;
  /** Offset of the first row and its 1-based line. */
  readonly start: number;
  readonly line: number;
  readonly separator: string;
  readonly decimal: '.' | ',';
  readonly fields: number;
  readonly spareFields: number;
  /** Column that holds the clock, -1 when none; its unreadable cells refuse the row. */
  readonly clockColumn: number;
  readonly clockIsText: boolean;
  readonly decoder: TextDecoder;
  /** The unit that the cells of a column carry, null for bare numbers; a cell with another unit is not readable. */
  readonly cellUnits: readonly (string | null)[];
  /** Text of the header and of the row of units, to know them again in the middle of the file. */
  readonly repeats: readonly string[];
  /** Names of the columns, to know another header by. */
  readonly names: readonly string[];
  /** Decimals that every cell of the last column has, or null: a shorter last cell of the file was cut off. */
  readonly lastColumnDecimals: number | null;
  /** Told the share read now and then; may throw to stop. */
  readonly tick?: (share: number) => void;
}

export interface RowsRead {
  readonly rows: number;
  readonly columns: Float64Array[];
  readonly unreadable: Int32Array;
  /** The first unreadable cell of each column. */
  readonly firstUnreadable: (Column['firstUnreadable'] | null)[];
  /** Rows that follow a repeated header. */
  readonly headerRows: readonly number[];
  /** The first of the refused rows, and how many there were. */
  readonly refused: RefusedRow[];
  readonly refusedCount: number;
  /** Rows refused because they hold another number of fields, and the count of fields most of them had. */
  readonly ragged: number;
  readonly raggedFields: number;
}

const LF = 10;
const CR = 13;
const SPACE = 32;
const QUOTE = 34;
const PLUS = 43;
const MINUS = 45;
const POINT = 46;
const COMMA = 44;
const ZERO = 48;
const COLON = 58;

/** Exact powers of ten: dividing an integer under 2^53 by one of these rounds once, so the result is the nearest double (Clinger, PLDI 1990). */
const TEN: readonly number[] = Array.from({ length: 23 }, (_, k) => Number(`1e${k}`));

/** A cell that is no plain number, read. */
interface OddCell {
  readonly value: number;
  /** The unit written in the cell, null for none. */
  readonly unit: string | null;
  readonly isBlank: boolean;
}

/** Switches, gears and missing marks come back row after row: each text is read once. */
const MOST_KNOWN = 2000;

const oddCell = (text: string, decimal: '.' | ',', known: Map<string, OddCell>): OddCell => {
  const found = known.get(text);
  if (found) return found;
  const { value } = parseCell(text, decimal);
  const cell = {
    value: Number.isFinite(value) ? value : Number.NaN,
    unit: measureOf(text)?.unit ?? null,
    isBlank: text.trim() === '',
  };
  if (known.size < MOST_KNOWN) known.set(text, cell);
  return cell;
};

/** Refused rows that are kept one by one; the rest is counted, so that a file of nothing but bad lines fills no memory. */
const MOST_REFUSED_KEPT = 20_000;

/** Numbers that the hot loop reads at a time: they stay in the processor's nearest memory. */
const PLAIN_NUMBERS = 4096;

const COMMENTED = /^\s*(?:#|\/\/|%|;)/;

/**
 * Reads every row from `start` on. A row with another number of fields, without a readable clock or without any number
 * is refused with its line and reason. Cells that are blank are NaN; cells that are no number are NaN and counted.
 */
export const readRows = (request: RowsRequest): RowsRead => {
  const { bytes, fields, spareFields, clockColumn, clockIsText, decoder, decimal } = request;
  const size = bytes.length;
  const separator = request.separator.charCodeAt(0);
  const decimalByte = decimal === ',' ? COMMA : POINT;
  const repeats = new Set(request.repeats);
  const refused: RefusedRow[] = [];
  const unreadable = new Int32Array(fields);
  const badInRow = new Int32Array(fields);
  const badTexts: string[] = [];
  const firstUnreadable: RowsRead['firstUnreadable'] = new Array(fields).fill(null);
  const headerRows: number[] = [];
  // Line of another header than the file's own: rows below it belong to other columns.
  let foreign = 0;
  const raggedSizes = new Map<number, number>();

  // Room for as many rows as the first few hundred lines suggest; grown by half when that was too few.
  let capacity = estimateRows(bytes, request.start, fields);
  let columns = Array.from({ length: fields }, () => new Float64Array(capacity));
  let rows = 0;
  let at = request.start;
  let line = request.line;
  let ragged = 0;

  const known = new Map<string, OddCell>();
  let refusedCount = 0;
  const refuse = (refusedLine: number, why: string): void => {
    refusedCount++;
    if (refused.length < MOST_REFUSED_KEPT) refused.push({ line: refusedLine, why });
  };
  const textOf = (from: number, to: number): string => decoder.decode(bytes.subarray(from, to));
  const wantRoom = (wanted: number): void => {
    if (wanted <= capacity) return;
    capacity = Math.ceil(Math.max(capacity * 1.5, wanted)) + 16;
    columns = columns.map((old) => grownTo(old, capacity));
  };
  const plainRows = Math.max(8, Math.floor(PLAIN_NUMBERS / fields));
  const plain = {
    bytes,
    end: lastLineOf(bytes),
    separator,
    decimal: decimalByte,
    fields,
    clockColumn,
    clockIsText,
    suffixes: suffixesOf(request),
    room: new Float64Array(plainRows * fields),
    at,
  };

  while (at < size) {
    request.tick?.(at / size);
    plain.at = at;
    const taken = foreign > 0 ? 0 : readPlainRows(plain);
    if (taken > 0) {
      wantRoom(rows + taken);
      moveRows(plain.room, taken, columns, rows);
      rows += taken;
      line += taken;
      at = plain.at;
      if (taken === plainRows) continue;
    }
    if (at >= size) break;
    const rowStart = at;
    const rowLine = line;
    wantRoom(rows + 1);
    let field = 0;
    let bad = 0;
    let numbers = 0;
    let extra = false;
    let lastStart = at;
    let lastEnd = at;
    let clockBlank = false;
    for (;;) {
      // One field. Blanks around it do not count.
      while (at < size && bytes[at] === SPACE) at++;
      lastStart = at;
      let value = Number.NaN;
      let done = false;
      let byte = at < size ? bytes[at]! : LF;
      if (byte === separator || byte === LF || byte === CR) {
        done = true;
        if (field === clockColumn) clockBlank = true;
      } else if (field === clockColumn && clockIsText) {
        // Plain hh:mm:ss.fff at speed; anything else by the text reader below.
        let part = 0;
        let total = 0;
        let digits = 0;
        let colons = 0;
        let scan = at;
        for (; scan < size; scan++) {
          byte = bytes[scan]!;
          if (byte >= ZERO && byte < ZERO + 10) {
            part = part * 10 + (byte - ZERO);
            digits++;
          } else if (byte === COLON && colons < 2 && digits > 0 && digits < 3) {
            total = (total + part) * 60;
            part = 0;
            digits = 0;
            colons++;
          } else break;
        }
        if (colons === 2 && digits > 0 && digits < 3 && part < 61) {
          total += part;
          if (scan < size && (bytes[scan] === POINT || (bytes[scan] === COMMA && separator !== COMMA))) {
            let fraction = 0;
            let places = 0;
            for (scan++; scan < size && bytes[scan]! >= ZERO && bytes[scan]! < ZERO + 10; scan++) {
              if (places < 15) {
                fraction = fraction * 10 + (bytes[scan]! - ZERO);
                places++;
              }
            }
            total += fraction / TEN[places]!;
          }
          byte = scan < size ? bytes[scan]! : LF;
          if (byte === separator || byte === LF || byte === CR) {
            value = total;
            at = scan;
            done = true;
          }
        }
      } else {
        let scan = at;
        let negative = false;
        if (byte === MINUS || byte === PLUS) {
          negative = byte === MINUS;
          scan++;
        }
        let mantissa = 0;
        let digits = 0;
        let places = 0;
        for (; scan < size; scan++) {
          byte = bytes[scan]!;
          if (byte < ZERO || byte >= ZERO + 10) break;
          mantissa = mantissa * 10 + (byte - ZERO);
          digits++;
        }
        if (scan < size && byte === decimalByte && (decimalByte !== separator || separator !== COMMA)) {
          for (scan++; scan < size; scan++) {
            byte = bytes[scan]!;
            if (byte < ZERO || byte >= ZERO + 10) break;
            mantissa = mantissa * 10 + (byte - ZERO);
            places++;
          }
        }
        while (scan < size && bytes[scan] === SPACE) scan++;
        byte = scan < size ? bytes[scan]! : LF;
        if (digits + places > 0 && digits + places < 16 && (byte === separator || byte === LF || byte === CR)) {
          value = mantissa / TEN[places]!;
          if (negative) value = -value;
          at = scan;
          done = true;
          numbers++;
        }
      }
      if (!done) {
        // The odd cell: quoted, an exponent, a word, a clock with a date.
        let text = '';
        if (bytes[at] === QUOTE) {
          const close = closingQuote(bytes, at);
          if (close > 0) {
            for (let i = at + 1; i < close; i++) if (bytes[i] === LF) line++;
            text = textOf(at + 1, close).replaceAll('""', '"');
            at = close + 1;
          }
        }
        const from = at;
        while (at < size) {
          byte = bytes[at]!;
          if (byte === separator || byte === LF || byte === CR) break;
          at++;
        }
        if (at > from) text += textOf(from, at);
        if (field === clockColumn && clockIsText) {
          value = clockSeconds(text);
          if (Number.isNaN(value)) bad++;
        } else {
          const cell = oddCell(text, decimal, known);
          value = cell.unit === null || cell.unit === request.cellUnits[field] ? cell.value : Number.NaN;
          if (!Number.isNaN(value)) numbers++;
          else if (!cell.isBlank) {
            if (field < fields) {
              badTexts[bad] = text;
              badInRow[bad++] = field;
            }
          }
        }
        if (field === clockColumn && text.trim() === '') clockBlank = true;
      } else {
        while (at < size && bytes[at] === SPACE) at++;
      }
      lastEnd = at;
      if (field < fields) columns[field]![rows] = value;
      else if (lastEnd > lastStart) extra = true;
      field++;
      if (at < size && bytes[at] === separator) {
        at++;
        continue;
      }
      break;
    }
    const atEndOfFile = at >= size;
    if (at < size && bytes[at] === CR && at + 1 < size && bytes[at + 1] === LF) at++;
    at++;
    line++;

    const blankLine = field === 1 && lastEnd === lastStart;
    if (blankLine) continue;
    const rightSize = field >= fields && field <= fields + spareFields && !extra;
    if (foreign > 0 && numbers > 0) {
      refuse(rowLine, `its columns are those of another header, in line ${foreign}`);
      continue;
    }
    if (rightSize && bad === 0 && numbers > 0) {
      const clockIsBad = clockColumn >= 0 && Number.isNaN(columns[clockColumn]![rows]!);
      const cut =
        atEndOfFile && isCutShort(bytes, lastStart, lastEnd, decimalByte, request.lastColumnDecimals, field === fields);
      if (!clockIsBad && !cut) {
        rows++;
        continue;
      }
      refuse(rowLine, cut ? 'the last line is cut off' : clockBlank ? 'the time is blank' : 'the time is not readable');
      continue;
    }
    const text = textOf(rowStart, Math.min(lastEnd, rowStart + 2000)).trim();
    if (repeats.has(text)) {
      refuse(rowLine, 'the header is repeated here');
      if (foreign > 0 || headerRows.at(-1) !== rows) headerRows.push(rows);
      foreign = 0;
    } else if (numbers === 0 && isOtherHeader(text, request)) {
      refuse(rowLine, 'another header, whose columns are not those of the first');
      foreign = rowLine;
    } else if (!rightSize) {
      const comment = COMMENTED.test(text) && numbers < field / 2;
      if (comment) refuse(rowLine, 'a comment, not a row');
      else if (atEndOfFile && field < fields) {
        refuse(rowLine, `the last line is cut off: ${field} of ${fields} fields`);
      } else {
        ragged++;
        raggedSizes.set(field, (raggedSizes.get(field) ?? 0) + 1);
        refuse(rowLine, `${field} fields where the header has ${fields}`);
      }
    } else if (numbers === 0) {
      refuse(rowLine, COMMENTED.test(text) ? 'a comment, not a row' : 'no numbers in it');
    } else if (clockColumn >= 0 && Number.isNaN(columns[clockColumn]![rows]!)) {
      refuse(rowLine, clockBlank ? 'the time is blank' : 'the time is not readable');
    } else {
      for (let i = 0; i < bad; i++) {
        const column = badInRow[i]!;
        firstUnreadable[column] ??= { line: rowLine, text: badTexts[i]!.trim().slice(0, 60) };
        unreadable[column]!++;
      }
      rows++;
    }
  }
  let raggedFields = 0;
  for (const [count, times] of raggedSizes) if (times > (raggedSizes.get(raggedFields) ?? 0)) raggedFields = count;
  return {
    rows,
    columns: columns.map((column) => column.subarray(0, rows)),
    unreadable,
    firstUnreadable,
    headerRows,
    refused,
    refusedCount,
    ragged,
    raggedFields,
  };
};
