/**
 * Checks of a page's own numbers before the library decodes it: its decoders trust run lengths and block sizes, and a
 * damaged file could make them fill the memory. Source of the layouts: Apache Parquet format, Encodings.md.
 */
export class ParquetDamage extends Error {}

const damaged = (says: string): never => {
  throw new ParquetDamage(says);
};

/** Unsigned LEB128 at a place; `at` moves on. */
const varint = (bytes: Uint8Array, place: { at: number }, end: number): number => {
  let value = 0;
  for (let scale = 1; scale <= 2 ** 35; scale *= 128) {
    if (place.at >= end) damaged('a page ends within a number');
    const byte = bytes[place.at++]!;
    value += (byte & 0x7f) * scale;
    if ((byte & 0x80) === 0) return value;
  }
  return damaged('a number in a page is too long');
};

/**
 * Run-length and bit-packed hybrid: runs may not give more than `count` values (and the filling of the last eight), nor
 * lie outside the page. They may give fewer: a page with blanks holds fewer values than rows.
 */
export const checkRuns = (bytes: Uint8Array, from: number, end: number, width: number, count: number): void => {
  if (width > 32) damaged(`runs of ${width} bits`);
  if (end > bytes.length || from > end) damaged('runs lie outside their page');
  const place = { at: from };
  for (let seen = 0; seen < count && place.at < end; ) {
    const head = varint(bytes, place, end);
    const groups = Math.floor(head / 2);
    if (head % 2 === 1) {
      seen += groups * 8;
      place.at += groups * width;
      if (groups === 0 || groups * 8 > count + 504) damaged('a run is longer than its page');
      // The last group may be cut short of the bytes that only fill it up.
      if (place.at > end + width) damaged('a run lies outside its page');
    } else {
      seen += groups;
      place.at += Math.ceil(width / 8);
      if (groups === 0 || seen > count) damaged('a run is longer than its page');
      if (place.at > end) damaged('a run lies outside its page');
    }
  }
};

/** Delta encoding: block size a multiple of 128, miniblocks of a multiple of 32 values. */
export const checkDelta = (bytes: Uint8Array, from: number): void => {
  const place = { at: from };
  const blockSize = varint(bytes, place, bytes.length);
  const miniblocks = varint(bytes, place, bytes.length);
  if (blockSize < 1 || blockSize > 1 << 20 || miniblocks < 1 || miniblocks > 4096 || blockSize % miniblocks !== 0) {
    damaged('differences in blocks of an impossible size');
  }
};

/** Size in bytes of runs that state it in four bytes before them; what they span is checked. */
export const statedRuns = (bytes: Uint8Array, from: number, width: number, count: number): number => {
  if (from + 4 > bytes.length) damaged('a page ends within its levels');
  const size = bytes[from]! + bytes[from + 1]! * 2 ** 8 + bytes[from + 2]! * 2 ** 16 + bytes[from + 3]! * 2 ** 24;
  checkRuns(bytes, from + 4, from + 4 + size, width, count);
  return 4 + size;
};
