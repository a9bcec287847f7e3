/** CCBLOCK: from the raw value in the record to the physical one. */
import { type Block, blockAt, damaged, linkOf, Mdf4Damage, type Mdf4File, textAt, wantData } from './blocks.ts';
import { formulaOf } from './formula.ts';

/** CCBLOCK, cc_type. */
const NONE = 0;
const LINEAR = 1;
const RATIONAL = 2;
const ALGEBRAIC = 3;
const TABLE_INTERPOLATED = 4;
const TABLE_NEAREST = 5;
const RANGE_TO_VALUE = 6;
const VALUE_TO_TEXT = 7;
const RANGE_TO_TEXT = 8;

const NAMES: Readonly<Record<number, string>> = {
  9: 'from text to numbers',
  10: 'from text to text',
  11: 'from bits to text',
};

export type Conversion =
  | { readonly ok: true; readonly convert: ((raw: number) => number) | null; readonly unit: string }
  | { readonly ok: false; readonly why: string };

type Convert = (raw: number) => number;

/** Channel that is converted: ranges close on both ends for whole numbers, on the left for floating point. */
export interface ConvertedKind {
  readonly isFloat: boolean;
  /** References that may still be followed over the whole file, so that conversions that share blocks cannot multiply. */
  readonly count: { left: number };
}

/** Room for a whole file's conversions. */
export const conversionCount = (): { left: number } => ({ left: 500_000 });

/** Index of the last key that is at most `x`, or -1. */
const lastAtMost = (keys: Float64Array, x: number): number => {
  let low = 0;
  let high = keys.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (keys[middle]! <= x) low = middle + 1;
    else high = middle;
  }
  return low - 1;
};

/** Pairs of key and value in the order of their keys. */
const pairsOf = (values: Float64Array): { readonly keys: Float64Array; readonly out: Float64Array } => {
  const order = Array.from({ length: values.length >> 1 }, (_, i) => i).sort((a, b) => values[2 * a]! - values[2 * b]!);
  return {
    keys: Float64Array.from(order, (i) => values[2 * i]!),
    out: Float64Array.from(order, (i) => values[2 * i + 1]!),
  };
};

const interpolated = (values: Float64Array): Convert => {
  const { keys, out } = pairsOf(values);
  const last = keys.length - 1;
  return (raw) => {
    if (Number.isNaN(raw)) return raw;
    const i = lastAtMost(keys, raw);
    if (i < 0) return out[0]!;
    if (i >= last) return out[last]!;
    const share = (raw - keys[i]!) / (keys[i + 1]! - keys[i]!);
    return out[i]! + share * (out[i + 1]! - out[i]!);
  };
};

/** The nearer key counts; half-way, the lower one. */
const nearest = (values: Float64Array): Convert => {
  const { keys, out } = pairsOf(values);
  const last = keys.length - 1;
  return (raw) => {
    if (Number.isNaN(raw)) return raw;
    const i = lastAtMost(keys, raw);
    if (i < 0) return out[0]!;
    if (i >= last) return out[last]!;
    return raw - keys[i]! > keys[i + 1]! - raw ? out[i + 1]! : out[i]!;
  };
};

const inRange = (raw: number, from: number, to: number, isFloat: boolean): boolean =>
  raw >= from && (isFloat ? raw < to || (from === to && raw === from) : raw <= to);

/** Ranges that overlap are tried one after another, and only so many. */
const MOST_OVERLAPPING = 64;

/** Index of the first range that a value lies in, or -1. */
const rangeFinder = (
  count: number,
  low: (i: number) => number,
  high: (i: number) => number,
  isFloat: boolean,
): Convert => {
  const order = Array.from({ length: count }, (_, i) => i).sort((a, b) => low(a) - low(b) || a - b);
  const lows = Float64Array.from(order, low);
  if (order.some((range, i) => i > 0 && !(high(order[i - 1]!) <= low(range)))) {
    if (count > MOST_OVERLAPPING) damaged(`${count} ranges that overlap`);
    return (raw) => {
      for (let i = 0; i < count; i++) if (inRange(raw, low(i), high(i), isFloat)) return i;
      return -1;
    };
  }
  return (raw) => {
    const place = lastAtMost(lows, raw);
    let found = -1;
    // Whole numbers may lie on the end that two ranges share: then the one written first counts.
    for (let i = Math.max(0, place - 1); i <= place; i++) {
      const range = order[i]!;
      if (inRange(raw, low(range), high(range), isFloat) && (found < 0 || range < found)) found = range;
    }
    return found;
  };
};

/** Triples of lower end, upper end, value; then the value of everything else. */
const ranges = (values: Float64Array, isFloat: boolean): Convert => {
  const count = Math.floor((values.length - 1) / 3);
  const otherwise = values[3 * count] ?? Number.NaN;
  const find = rangeFinder(
    count,
    (i) => values[3 * i]!,
    (i) => values[3 * i + 1]!,
    isFloat,
  );
  return (raw) => {
    const i = Number.isNaN(raw) ? -1 : find(raw);
    return i < 0 ? otherwise : values[3 * i + 2]!;
  };
};

const SWITCHES: Readonly<Record<string, number>> = { on: 1, off: 0, true: 1, false: 0, yes: 1, no: 0 };

/** A number that a text states: "3", "2.5", on and off. Null where it states none. */
const numberIn = (text: string): number | null => {
  const trimmed = text.trim();
  if (/^[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?$/.test(trimmed)) return Number(trimmed);
  return SWITCHES[trimmed.toLowerCase()] ?? null;
};

type Reference =
  | { readonly kind: 'text'; readonly text: string }
  | { readonly kind: 'convert'; readonly convert: Convert }
  | null;

const DEEPEST = 4;

const referenceAt = (file: Mdf4File, at: number, kind: ConvertedKind, depth: number): Reference => {
  if (at === 0) return null;
  if (--kind.count.left < 0) return damaged('the file has too many conversions');
  if (file.bytes[at + 2] !== 0x43) return { kind: 'text', text: textAt(file, at) };
  const inner = conversionAt(file, at, kind, depth + 1);
  if (!inner.ok) return damaged(inner.why);
  return { kind: 'convert', convert: inner.convert ?? ((raw) => raw) };
};

/**
 * Texts in the place of numbers. Where some of the texts state numbers ("1", "2", "R") those count and the others are no
 * reading; where none does, the raw number stands for its text, as in an enumeration. A conversion in the place of a
 * text is carried out.
 */
const texts = (references: readonly Reference[], otherwise: Reference, matches: (raw: number) => number): Convert => {
  const stated = references.map((one) => (one?.kind === 'text' ? numberIn(one.text) : null));
  const any = stated.some((number) => number !== null);
  const other = otherwise?.kind === 'text' ? numberIn(otherwise.text) : null;
  return (raw) => {
    if (Number.isNaN(raw)) return raw;
    const i = matches(raw);
    const reference = i >= 0 ? references[i] : otherwise;
    if (reference?.kind === 'convert') return reference.convert(raw);
    if (!any) return raw;
    return (i >= 0 ? stated[i] : other) ?? Number.NaN;
  };
};

/** CCBLOCK: links name, unit, comment, inverse, then references; type, precision (UINT8 each), flags, counts of references and of values (UINT16 each), range (2 REAL), then the values (REAL each). */
const read = (file: Mdf4File, block: Block, kind: ConvertedKind, depth: number): Convert | null | string => {
  wantData(block, 24);
  const { view } = file;
  const type = view.getUint8(block.data);
  const referenceCount = Math.min(view.getUint16(block.data + 4, true), Math.max(0, block.links - 4));
  const valueCount = view.getUint16(block.data + 6, true);
  wantData(block, 24 + 8 * valueCount);
  const values = new Float64Array(valueCount);
  for (let i = 0; i < valueCount; i++) values[i] = view.getFloat64(block.data + 24 + 8 * i, true);
  const want = (count: number): void => {
    if (valueCount < count) damaged(`a conversion with ${valueCount} of ${count} numbers`);
  };
  const references = (count: number): Reference[] =>
    Array.from({ length: Math.min(count, referenceCount) }, (_, i) =>
      referenceAt(file, linkOf(file, block, 4 + i), kind, depth),
    );
  switch (type) {
    case NONE:
      return null;
    case LINEAR: {
      want(2);
      const [offset, factor] = [values[0]!, values[1]!];
      return offset === 0 && factor === 1 ? null : (raw) => offset + factor * raw;
    }
    case RATIONAL: {
      want(6);
      const [a, b, c, d, e, f] = values as unknown as [number, number, number, number, number, number];
      return (raw) => (a * raw * raw + b * raw + c) / (d * raw * raw + e * raw + f);
    }
    case ALGEBRAIC: {
      const text = textAt(file, linkOf(file, block, 4));
      return formulaOf(text) ?? `its formula "${text.slice(0, 60)}" is not understood`;
    }
    case TABLE_INTERPOLATED:
      want(2);
      return interpolated(values);
    case TABLE_NEAREST:
      want(2);
      return nearest(values);
    case RANGE_TO_VALUE:
      want(1);
      return ranges(values, kind.isFloat);
    case VALUE_TO_TEXT: {
      const all = references(valueCount + 1);
      const places = new Map(Array.from(values, (value, i) => [value, i]));
      return texts(all.slice(0, valueCount), all[valueCount] ?? null, (raw) => places.get(raw) ?? -1);
    }
    case RANGE_TO_TEXT: {
      const count = valueCount >> 1;
      const all = references(count + 1);
      const find = rangeFinder(
        count,
        (i) => values[2 * i]!,
        (i) => values[2 * i + 1]!,
        kind.isFloat,
      );
      return texts(all.slice(0, count), all[count] ?? null, find);
    }
    default:
      return `it is converted ${NAMES[type] ?? `in a way (${type}) that this reader does not know`}`;
  }
};

/** The conversion at a link (0: none), with its unit, or why it cannot be carried out. */
export const conversionAt = (file: Mdf4File, at: number, kind: ConvertedKind, depth = 0): Conversion => {
  if (at === 0) return { ok: true, convert: null, unit: '' };
  if (depth > DEEPEST) return { ok: false, why: 'its conversions are nested too deep' };
  try {
    const block = blockAt(file, at, 'CC');
    const convert = read(file, block, kind, depth);
    if (typeof convert === 'string') return { ok: false, why: convert };
    return { ok: true, convert, unit: textAt(file, linkOf(file, block, 1)) };
  } catch (error) {
    if (error instanceof Mdf4Damage) return { ok: false, why: `its conversion is damaged: ${error.message}` };
    throw error;
  }
};
