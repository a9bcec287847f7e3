/** DTBLOCK, DVBLOCK, DIBLOCK, DLBLOCK, HLBLOCK, LDBLOCK: the bytes of a data group's records, put together. */
import { type Block, blockAt, damaged, linkOf, Mdf4Damage, type Mdf4File, wantData } from './blocks.ts';
import { UNFINISHED } from './identification.ts';
import { unzipped, type ZipHead, zipHeadOf } from './inflate.ts';

export interface DataContext {
  /** Bits of {@link UNFINISHED}. */
  readonly unfinished: number;
  /** Bytes that may still be unpacked or put together over the whole file. */
  bytesLeft: number;
  /** Called before each block with the bytes it brings; throws to stop. */
  readonly onBlock: (bytes: number) => void;
}

export interface DataBytes {
  /** Records one after another; of a column-wise group without their invalidation bytes. */
  readonly records: Uint8Array;
  /** Invalidation bytes apart from the records (DIBLOCKs of an LDBLOCK), or null. */
  readonly invalidation: Uint8Array | null;
  /** Why the data ends early, or null. */
  readonly cut: string | null;
}

interface Piece {
  readonly size: number;
  readonly read: () => Uint8Array;
}

const DATA_IDS = ['DT', 'DV', 'DI', 'RD', 'SD', 'DZ'] as const;
const MOST_LISTS = 1_000_000;
/** LDBLOCK, ld_flags: invalidation blocks follow the data links. */
const INVALIDATION_PRESENT = 0x8000_0000;

const plainPiece = (file: Mdf4File, block: Block, context: DataContext, isLast: boolean): Piece => {
  let end = block.at + block.length;
  const flag = (context.unfinished & UNFINISHED.lastDataLength) !== 0;
  if (flag && isLast && end + 2 <= file.size && !(file.bytes[end] === 0x23 && file.bytes[end + 1] === 0x23)) {
    // An unfinished file's last data block runs on to the end: its length was to be written at the close.
    end = file.size;
  }
  const start = block.at + 24;
  return { size: Math.max(0, end - start), read: () => file.bytes.subarray(start, Math.max(start, end)) };
};

const pieceAt = (file: Mdf4File, at: number, context: DataContext, isLast: boolean): Piece => {
  const block = blockAt(file, at, ...DATA_IDS);
  if (block.id !== 'DZ') return plainPiece(file, block, context, isLast);
  const head: ZipHead = zipHeadOf(file, block);
  return { size: head.plainBytes, read: () => unzipped(file, block, head) };
};

interface Pieces {
  readonly records: Piece[];
  readonly invalidation: Piece[] | null;
  readonly cut: string | null;
}

/** DLBLOCK: links next, then one a data block; flags (UINT8), 3 reserved, count (UINT32). LDBLOCK (4.2): the same with flags and count as UINT32 and, when flagged, a second run of links to invalidation blocks. */
const piecesOfList = (file: Mdf4File, first: number, context: DataContext): Pieces => {
  const records: Piece[] = [];
  let invalidation: Piece[] | null = null;
  const seen = new Set<number>();
  let links = 0;
  let at = first;
  try {
    while (at !== 0) {
      if (seen.has(at)) damaged('the list of data blocks runs in a circle');
      seen.add(at);
      const list = blockAt(file, at, 'DL', 'LD');
      wantData(list, 8);
      const next = linkOf(file, list, 0);
      const isColumns = list.id === 'LD';
      const flags = isColumns ? file.view.getUint32(list.data, true) : 0;
      const withInvalidation = isColumns && (flags & INVALIDATION_PRESENT) !== 0;
      const most = Math.floor((list.links - 1) / (withInvalidation ? 2 : 1));
      const written = file.view.getUint32(list.data + 4, true);
      const open = next === 0 && (context.unfinished & UNFINISHED.lastDataList) !== 0;
      const count = open ? most : Math.min(written, most);
      let last = count;
      while (last > 0 && linkOf(file, list, last) === 0) last--;
      for (let i = 1; i <= last; i++) {
        if (++links > MOST_LISTS) damaged('the list of data blocks is too long');
        const link = linkOf(file, list, i);
        if (link !== 0) records.push(pieceAt(file, link, context, next === 0 && i === last));
      }
      if (withInvalidation) {
        invalidation ??= [];
        for (let i = 1; i <= last; i++) {
          const link = linkOf(file, list, written + i);
          if (link !== 0) invalidation.push(pieceAt(file, link, context, false));
        }
      }
      at = next;
    }
  } catch (error) {
    if (!(error instanceof Mdf4Damage)) throw error;
    // What came before the broken link is good: it is kept, and the cut is told.
    return { records, invalidation, cut: error.message };
  }
  return { records, invalidation, cut: null };
};

const piecesFrom = (file: Mdf4File, at: number, context: DataContext): Pieces => {
  const block = blockAt(file, at, ...DATA_IDS, 'DL', 'HL', 'LD');
  // HLBLOCK: one link to the first DLBLOCK.
  if (block.id === 'HL') return piecesOfList(file, linkOf(file, block, 0), context);
  if (block.id === 'DL' || block.id === 'LD') return piecesOfList(file, at, context);
  return { records: [pieceAt(file, at, context, true)], invalidation: null, cut: null };
};

/** Takes bytes from what may still be spent on the file. */
export const wantBytes = (context: DataContext, size: number): void => {
  if (size > context.bytesLeft) damaged('its records take more memory than this reader spends on a file of this size');
  context.bytesLeft -= size;
};

const together = (pieces: readonly Piece[], context: DataContext): { bytes: Uint8Array; cut: string | null } => {
  const size = pieces.reduce((sum, piece) => sum + piece.size, 0);
  wantBytes(context, size);
  const only = pieces.length === 1 ? pieces[0] : undefined;
  const out = only ? null : new Uint8Array(size);
  let filled = 0;
  try {
    for (const piece of pieces) {
      context.onBlock(piece.size);
      const bytes = piece.read();
      if (!out) return { bytes, cut: null };
      out.set(bytes, filled);
      filled += bytes.length;
    }
  } catch (error) {
    if (!(error instanceof Mdf4Damage)) throw error;
    return { bytes: out ? out.subarray(0, filled) : new Uint8Array(0), cut: error.message };
  }
  return { bytes: (out ?? new Uint8Array(0)).subarray(0, filled), cut: null };
};

/** All record bytes behind a data group's link. What follows a damaged block is left out, since records may straddle blocks; the cut is told. */
export const dataBytesOf = (file: Mdf4File, at: number, context: DataContext): DataBytes => {
  if (at === 0) return { records: new Uint8Array(0), invalidation: null, cut: null };
  const pieces = piecesFrom(file, at, context);
  const records = together(pieces.records, context);
  const invalidation = pieces.invalidation ? together(pieces.invalidation, context) : null;
  return {
    records: records.bytes,
    invalidation: invalidation?.bytes ?? null,
    cut: records.cut ?? invalidation?.cut ?? pieces.cut,
  };
};
