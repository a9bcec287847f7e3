/** Small parts of the byte-level reader: room for rows, marks of a line, what a cut-off file ends with. */
import { LONGEST_QUOTED, splitRecords } from './records.ts';

const LF = 10;
const CR = 13;
const SPACE = 32;
const QUOTE = 34;

/** A line of texts of which two and half or more are names of this file's columns, but not its header: other columns follow. */
export const isOtherHeader = (
  text: string,
  { names, separator }: { readonly names: readonly string[]; readonly separator: string },
): boolean => {
  const fields = splitRecords(text, separator, 1)[0]?.fields ?? [];
  const filled = fields.map((field) => field.trim()).filter((field) => field !== '');
  const known = filled.filter((field) => names.includes(field)).length;
  return known >= 2 && 2 * known >= filled.length;
};

/** Units in cells as the bytes that they are in this text. */
export const suffixesOf = ({
  cellUnits,
  decoder,
}: {
  readonly cellUnits: readonly (string | null)[];
  readonly decoder: TextDecoder;
}): (Uint8Array | null)[] | null => {
  if (cellUnits.every((unit) => unit === null)) return null;
  const isLatin = decoder.encoding === 'windows-1252';
  return cellUnits.map((unit) =>
    unit === null
      ? null
      : isLatin
        ? Uint8Array.from(unit, (character) => character.charCodeAt(0))
        : new TextEncoder().encode(unit),
  );
};

/** Offset behind the last line break: what follows is a last line that may be cut off. */
export const lastLineOf = (bytes: Uint8Array): number => {
  let at = bytes.length;
  while (at > 0 && bytes[at - 1] !== LF && bytes[at - 1] !== CR) at--;
  return at;
};

export const grownTo = (old: Float64Array, capacity: number): Float64Array<ArrayBuffer> => {
  const grown = new Float64Array(capacity);
  grown.set(old);
  return grown;
};

/** Rows one after another into columns from row `start` on. */
export const moveRows = (room: Float64Array, rows: number, columns: readonly Float64Array[], start: number): void => {
  const fields = columns.length;
  for (let field = 0; field < fields; field++) {
    const column = columns[field]!;
    for (let i = field, to = start; to < start + rows; i += fields) column[to++] = room[i]!;
  }
};

/** Rows that the file may hold: as many as its first lines suggest, but each takes a byte a field at least. */
export const estimateRows = (bytes: Uint8Array, start: number, fields: number): number => {
  const end = Math.min(bytes.length, start + 65536);
  let lines = 1;
  for (let i = start; i < end; i++) if (bytes[i] === LF || (bytes[i] === CR && bytes[i + 1] !== LF)) lines++;
  const left = bytes.length - start;
  return Math.ceil(Math.min((lines / Math.max(1, end - start)) * left * 1.02, left / fields)) + 16;
};

export const closingQuote = (bytes: Uint8Array, open: number): number => {
  const stop = Math.min(bytes.length, open + LONGEST_QUOTED);
  for (let i = open + 1; i < stop; i++) {
    if (bytes[i] !== QUOTE) continue;
    if (bytes[i + 1] === QUOTE) i++;
    else return i;
  }
  return -1;
};

/** The file ends inside a cell that every other row writes with more decimals. */
export const isCutShort = (
  bytes: Uint8Array,
  from: number,
  to: number,
  decimalByte: number,
  decimals: number | null,
  isLastColumn: boolean,
): boolean => {
  if (decimals === null || !isLastColumn || to <= from) return false;
  let mark = -1;
  for (let i = from; i < to; i++) if (bytes[i] === decimalByte) mark = i;
  let end = to;
  while (end > from && bytes[end - 1] === SPACE) end--;
  return (mark < 0 ? 0 : end - mark - 1) < decimals;
};
