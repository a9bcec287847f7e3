/** Raw values of a channel out of its records: integers of any width and place, floating point, both byte orders, invalidation bits. */
import type { GroupRecords } from './records.ts';
import { CHANNEL_TYPE, type ChannelPlan } from './tree.ts';

/** CNBLOCK, cn_data_type: even ones little-endian ("Intel"), odd ones big-endian ("Motorola"). */
const UNSIGNED = 0;
const SIGNED = 2;
const REAL = 4;

const KINDS: Readonly<Record<number, string>> = {
  6: 'text',
  7: 'text',
  8: 'text',
  9: 'text',
  10: 'bytes',
  11: 'media',
  12: 'media',
  13: 'a calendar date',
  14: 'a calendar time',
  15: 'complex numbers',
  16: 'complex numbers',
};

const isVirtual = (channel: ChannelPlan): boolean =>
  channel.type === CHANNEL_TYPE.virtual || channel.type === CHANNEL_TYPE.virtualMaster;

/** Why a channel's raw values are no numbers that can be read, or null when they are. */
export const whyNoNumbers = (channel: ChannelPlan, dataBytes: number): string | null => {
  const { type, dataType, bitCount, bitOffset, byteOffset } = channel;
  if (channel.composition === 'array') return 'it is an array';
  if (channel.composition === 'members') return 'it is a structure; its members are read one by one';
  if (type === CHANNEL_TYPE.variableLength) return 'its values are of varying length (text or bytes)';
  if (type === CHANNEL_TYPE.maximumLength) return 'its values are of varying length (text or bytes)';
  if (type === CHANNEL_TYPE.sync) return 'it points into another file';
  if (type > CHANNEL_TYPE.virtual) return `it is of a kind (${type}) that this reader does not know`;
  if (channel.allInvalid) return 'the file marks all its values as invalid';
  if (isVirtual(channel)) return null;
  const kind = KINDS[dataType];
  if (kind) return `it holds ${kind}`;
  if (dataType > 5) return `its data type (${dataType}) is not known`;
  if (dataType >= REAL) {
    if (bitOffset !== 0 || ![16, 32, 64].includes(bitCount))
      return `floating point of ${bitCount} bits at bit ${bitOffset}`;
  } else if (bitCount < 1 || bitCount > 64 || bitOffset > 7)
    return `whole numbers of ${bitCount} bits at bit ${bitOffset}`;
  if (byteOffset + Math.ceil((bitOffset + bitCount) / 8) > dataBytes) return 'it lies outside its record';
  return null;
};

/** IEEE 754 binary16. */
export const halfOf = (bits: number): number => {
  const sign = bits & 0x8000 ? -1 : 1;
  const exponent = (bits >> 10) & 0x1f;
  const fraction = bits & 0x3ff;
  if (exponent === 0) return sign * fraction * 2 ** -24;
  if (exponent === 31) return fraction ? Number.NaN : sign * Number.POSITIVE_INFINITY;
  return sign * (1 + fraction / 1024) * 2 ** (exponent - 15);
};

type Getter = (at: number) => number;

/** Whole bytes at a place as one number, the way every aligned width is read. */
const aligned = (view: DataView, bitCount: number, signed: boolean, little: boolean): Getter | null => {
  if (bitCount === 8) return signed ? (at) => view.getInt8(at) : (at) => view.getUint8(at);
  if (bitCount === 16) return signed ? (at) => view.getInt16(at, little) : (at) => view.getUint16(at, little);
  if (bitCount === 32) return signed ? (at) => view.getInt32(at, little) : (at) => view.getUint32(at, little);
  return null;
};

/**
 * Bits anywhere: the bytes that hold them are read as one number in the channel's byte order, shifted right by the bit
 * offset, cut to the bit count (CNBLOCK, "bit offset and bit count").
 */
const packed = (view: DataView, bitOffset: number, bitCount: number, signed: boolean, little: boolean): Getter => {
  const bytes = Math.ceil((bitOffset + bitCount) / 8);
  const shift = 2 ** bitOffset;
  const range = 2 ** bitCount;
  const half = range / 2;
  if (bytes <= 6) {
    return (at) => {
      let number = 0;
      if (little) for (let i = bytes - 1; i >= 0; i--) number = number * 256 + view.getUint8(at + i);
      else for (let i = 0; i < bytes; i++) number = number * 256 + view.getUint8(at + i);
      const value = Math.floor(number / shift) % range;
      return signed && value >= half ? value - range : value;
    };
  }
  return (at) => {
    let number = 0n;
    if (little) for (let i = bytes - 1; i >= 0; i--) number = (number << 8n) | BigInt(view.getUint8(at + i));
    else for (let i = 0; i < bytes; i++) number = (number << 8n) | BigInt(view.getUint8(at + i));
    const value = number >> BigInt(bitOffset);
    return Number(signed ? BigInt.asIntN(bitCount, value) : BigInt.asUintN(bitCount, value));
  };
};

const getterOf = (view: DataView, { dataType, bitOffset, bitCount }: ChannelPlan): Getter => {
  const little = dataType % 2 === 0;
  const kind = dataType - (dataType % 2);
  if (kind === REAL) {
    if (bitCount === 64) return (at) => view.getFloat64(at, little);
    if (bitCount === 32) return (at) => view.getFloat32(at, little);
    return (at) => halfOf(view.getUint16(at, little));
  }
  const signed = kind === SIGNED;
  return (
    (bitOffset === 0 && (kind === UNSIGNED || signed) ? aligned(view, bitCount, signed, little) : null) ??
    packed(view, bitOffset, bitCount, signed, little)
  );
};

export interface ReadValues {
  readonly values: Float64Array;
  /** Values that the file marks as invalid, or that its conversion gives no number for. */
  readonly without: number;
}

/** All values of a channel, converted; NaN where the file has none. The channel must have passed {@link whyNoNumbers}. */
export const valuesOf = (
  records: GroupRecords,
  channel: ChannelPlan,
  convert: ((raw: number) => number) | null,
): ReadValues => {
  const { bytes, start, stride, count, invalidation } = records;
  const values = new Float64Array(count);
  if (isVirtual(channel)) for (let i = 0; i < count; i++) values[i] = i;
  else {
    const get = getterOf(new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength), channel);
    let at = start + channel.byteOffset;
    for (let i = 0; i < count; i++, at += stride) values[i] = get(at);
  }
  if (convert) for (let i = 0; i < count; i++) values[i] = convert(values[i]!);
  const bit = channel.invalidationBit;
  if (bit !== null && invalidation && bit < 8 * invalidation.stride) {
    const mask = 1 << (bit & 7);
    let at = invalidation.start + (bit >> 3);
    for (let i = 0; i < count; i++, at += invalidation.stride) {
      if (((invalidation.bytes[at] ?? 0) & mask) !== 0) values[i] = Number.NaN;
    }
  }
  let without = 0;
  for (let i = 0; i < count; i++) {
    if (Number.isFinite(values[i]!)) continue;
    values[i] = Number.NaN;
    without++;
  }
  return { values, without };
};
