/** DZBLOCK: data that was transposed, deflated, or both. */
import { unzlibSync } from 'fflate';
import { type Block, damaged, type Mdf4File, uint64, wantData } from './blocks.ts';

/** Adler-32 over the plain bytes, which a zlib stream ends with (RFC 1950 section 9). */
const adler32 = (bytes: Uint8Array): number => {
  let low = 1;
  let high = 0;
  for (let at = 0; at < bytes.length; ) {
    // 3800 sums of bytes stay under 2^31 (RFC 1950's own bound is 5552 for unsigned 32 bits).
    const end = Math.min(at + 3800, bytes.length);
    for (; at < end; at++) {
      low += bytes[at]!;
      high += low;
    }
    low %= 65521;
    high %= 65521;
  }
  return high * 65536 + low;
};

/** Turns a transposed block back: byte `c` of every record lies together, `columns` bytes a record; a rest too short for a record stays where it is. */
export const untransposed = (bytes: Uint8Array, columns: number): Uint8Array => {
  const rows = columns > 0 ? Math.floor(bytes.length / columns) : 0;
  if (rows < 2 || columns < 2) return bytes;
  const out = new Uint8Array(bytes.length);
  for (let column = 0; column < columns; column++) {
    const from = column * rows;
    for (let row = 0; row < rows; row++) out[row * columns + column] = bytes[from + row]!;
  }
  out.set(bytes.subarray(rows * columns), rows * columns);
  return out;
};

export interface ZipHead {
  /** Two letters of the block that was packed: DT, DV, DI, SD, RD. */
  readonly holds: string;
  readonly zipType: number;
  readonly columns: number;
  readonly plainBytes: number;
  readonly packedBytes: number;
}

/** DZBLOCK: original block type (2 bytes), zip type, reserved (UINT8 each), parameter (UINT32), original and packed length (UINT64 each), then the packed bytes. */
export const zipHeadOf = (file: Mdf4File, block: Block): ZipHead => {
  wantData(block, 24);
  const { data } = block;
  return {
    holds: String.fromCharCode(file.bytes[data]!, file.bytes[data + 1]!),
    zipType: file.bytes[data + 2]!,
    columns: file.view.getUint32(data + 4, true),
    plainBytes: uint64(file, data + 8),
    packedBytes: uint64(file, data + 16),
  };
};

/** The plain bytes of a DZBLOCK. Never more than `head.plainBytes`, whatever the packed bytes say; what does not match its check sum is damage. */
export const unzipped = (file: Mdf4File, block: Block, head: ZipHead): Uint8Array => {
  if (head.zipType > 1) damaged(`a block is packed in a way (${head.zipType}) that this reader does not know`);
  const from = block.data + 24;
  const to = from + head.packedBytes;
  if (to > block.at + block.length) damaged('a packed block is cut off');
  if (head.plainBytes === 0) return new Uint8Array(0);
  const out = new Uint8Array(head.plainBytes);
  let plain: Uint8Array;
  try {
    plain = unzlibSync(file.bytes.subarray(from, to), { out });
  } catch {
    return damaged('a packed block cannot be unpacked');
  }
  if (plain.length !== head.plainBytes || adler32(plain) !== file.view.getUint32(to - 4, false)) {
    return damaged('a packed block does not match its check sum');
  }
  return head.zipType === 1 ? untransposed(plain, head.columns) : plain;
};
