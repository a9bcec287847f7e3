/** The hot loop of text reading: rows in which every cell is a plain number or blank, straight from bytes to numbers. */

const LF = 10;
const CR = 13;
const SPACE = 32;
const QUOTE = 34;
const MINUS = 45;
const PLUS = 43;
const POINT = 46;
const COMMA = 44;
const ZERO = 48;
const COLON = 58;

/** Exact powers of ten: dividing an integer under 2^53 by one of these rounds once, so the result is the nearest double (Clinger, PLDI 1990). */
const TEN = Float64Array.from({ length: 23 }, (_, k) => Number(`1e${k}`));

/** Digits of a mantissa that is surely under 2^53. */
const MOST_DIGITS = 15;

export interface PlainRows {
  readonly bytes: Uint8Array;
  /** Rows must end before this offset: the last line of a file, which may be cut off, is not for this loop. */
  readonly end: number;
  readonly separator: number;
  readonly decimal: number;
  readonly fields: number;
  /** -1 for none; its cells may not be blank. */
  readonly clockColumn: number;
  readonly clockIsText: boolean;
  /** Bytes that stand behind the number in every cell of a column (its unit), null for bare numbers. */
  readonly suffixes: readonly (Uint8Array | null)[] | null;
  /** Room for rows one after another, `fields` numbers each. */
  readonly room: Float64Array;
  /** Where to start; left at the first byte of the first row that was not taken. */
  at: number;
}

/**
 * Reads rows from `state.at` on until the room is full, the end comes, or a row is not plain, and returns how many. A
 * plain row has exactly `fields` cells (a separator may end the line), each blank or a sign, digits and one decimal
 * mark, bare or in quotes, 15 digits at most, with its column's unit behind it where the cells carry one; a clock column in text has hh:mm:ss with or without a fraction.
 */
export const readPlainRows = (state: PlainRows): number => {
  const { bytes, end, separator, decimal, fields, clockColumn, clockIsText, suffixes, room } = state;
  const most = Math.floor(room.length / fields);
  let at = state.at;
  let rows = 0;
  let to = 0;
  reading: while (rows < most && at < end) {
    let scan = at;
    let numbers = 0;
    for (let field = 0; ; ) {
      let byte = bytes[scan]!;
      while (byte === SPACE) byte = bytes[++scan]!;
      if (byte === separator || byte === LF || byte === CR) {
        if (field === clockColumn) break reading;
        room[to + field] = Number.NaN;
      } else if (field === clockColumn && clockIsText) {
        let part = 0;
        let total = 0;
        let digits = 0;
        let colons = 0;
        for (; ; byte = bytes[++scan]!) {
          const digit = byte - ZERO;
          if (digit >= 0 && digit < 10) {
            part = part * 10 + digit;
            digits++;
          } else if (byte === COLON && colons < 2 && digits > 0 && digits < 3) {
            total = (total + part) * 60;
            part = 0;
            digits = 0;
            colons++;
          } else break;
        }
        if (colons !== 2 || digits === 0 || digits > 2 || part > 60) break reading;
        total += part;
        if (byte === POINT || (byte === COMMA && separator !== COMMA)) {
          let fraction = 0;
          let places = 0;
          for (;;) {
            byte = bytes[++scan]!;
            const digit = byte - ZERO;
            if (!(digit >= 0 && digit < 10)) break;
            fraction = fraction * 10 + digit;
            places++;
          }
          if (places > MOST_DIGITS) break reading;
          total += fraction / TEN[places]!;
        }
        room[to + field] = total;
      } else {
        const isQuoted = byte === QUOTE;
        if (isQuoted) byte = bytes[++scan]!;
        const isNegative = byte === MINUS;
        if (isNegative || byte === PLUS) byte = bytes[++scan]!;
        const from = scan;
        let mantissa = 0;
        let digit = byte - ZERO;
        while (digit >= 0 && digit < 10) {
          mantissa = mantissa * 10 + digit;
          digit = bytes[++scan]! - ZERO;
        }
        let digits = scan - from;
        byte = digit + ZERO;
        if (byte === decimal && (byte !== separator || isQuoted)) {
          const mark = scan;
          digit = bytes[++scan]! - ZERO;
          while (digit >= 0 && digit < 10) {
            mantissa = mantissa * 10 + digit;
            digit = bytes[++scan]! - ZERO;
          }
          byte = digit + ZERO;
          const places = scan - mark - 1;
          digits += places;
          if (digits > MOST_DIGITS) break reading;
          mantissa /= TEN[places]!;
        }
        if (digits === 0 || digits > MOST_DIGITS) break reading;
        const suffix = suffixes === null || field >= fields ? null : suffixes[field]!;
        if (suffix !== null) {
          while (byte === SPACE) byte = bytes[++scan]!;
          for (let i = 0; i < suffix.length; i++) if (bytes[scan + i] !== suffix[i]) break reading;
          scan += suffix.length;
          byte = bytes[scan]!;
        }
        if (isQuoted) {
          if (byte !== QUOTE) break reading;
          byte = bytes[++scan]!;
        }
        room[to + field] = isNegative ? -mantissa : mantissa;
        numbers++;
      }
      while (byte === SPACE) byte = bytes[++scan]!;
      field++;
      if (byte === separator) {
        scan++;
        if (field < fields) continue;
        // One separator may end the line.
        byte = bytes[scan]!;
      }
      if (field < fields || (byte !== LF && byte !== CR)) break reading;
      scan += byte === CR && bytes[scan + 1] === LF ? 2 : 1;
      break;
    }
    if (numbers === 0 || scan > end) break;
    at = scan;
    rows++;
    to += fields;
  }
  state.at = at;
  return rows;
};
