/** IDBLOCK and HDBLOCK: what a file says it is, and whether its writer finished it. */
import { type Block, blockAt, damaged, linkOf, listFrom, type Mdf4File } from './blocks.ts';

/** Flags of an unfinalised file (IDBLOCK, id_unfin_flags): what its writer still had to bring up to date. */
export const UNFINISHED = {
  cycleCounts: 1 << 0,
  reductionCounts: 1 << 1,
  lastDataLength: 1 << 2,
  lastReductionLength: 1 << 3,
  lastDataList: 1 << 4,
  variableLengthBytes: 1 << 5,
  variableLengthOffsets: 1 << 6,
} as const;

export interface Identification {
  /** As written: "4.10". */
  readonly version: string;
  readonly finalised: boolean;
  /** Bits of {@link UNFINISHED}; all set when the file only says that it is unfinalised. */
  readonly unfinished: number;
}

const text = (bytes: Uint8Array, from: number, to: number): string =>
  String.fromCharCode(...bytes.subarray(from, to))
    .replace(/\0.*$/s, '')
    .trim();

/** True when the first bytes are those of an MDF file of any version, finalised ("MDF     ") or not ("UnFinMF "). */
export const isMdf = (bytes: Uint8Array): boolean => {
  const head = String.fromCharCode(...bytes.subarray(0, 8));
  return head.startsWith('MDF ') || head.startsWith('UnFinMF');
};

/** IDBLOCK: 64 bytes at the start; id_file 8, id_vers 8, id_prog 8, 4 reserved, id_ver UINT16 at 28, flags UINT16 at 60. */
export const identificationOf = (file: Mdf4File): Identification => {
  if (file.size < 64 + 24) damaged('the file ends within its head');
  const finalised = !text(file.bytes, 0, 8).startsWith('UnFin');
  const number = file.view.getUint16(28, true);
  const version = text(file.bytes, 8, 16);
  const major = number >= 100 ? Math.floor(number / 100) : Number(version.slice(0, 1));
  if (major !== 4) damaged(`it is of version ${version || major}, and only version 4 is read`);
  const flags = file.view.getUint16(60, true);
  return { version, finalised, unfinished: finalised ? 0 : flags || 0xffff };
};

const MOST_GROUPS = 10_000;

/**
 * HDBLOCK at byte 64: its start time [s from 1970-01-01, on the clock of the place]. hd_start_time_ns UINT64 at 0 of its
 * data, hd_tz_offset_min INT16 at 8, hd_dst_offset_min INT16 at 10, hd_time_flags UINT8 at 12 (bit 0: the time is local
 * already, bit 1: the offsets hold). Null where the block is cut off or was never set.
 */
export const startTimeOf = (file: Mdf4File): number | null => {
  const { data, at, length } = blockAt(file, 64, 'HD');
  if (data + 13 > at + length) return null;
  const written = Number(file.view.getBigUint64(data, true)) / 1e9;
  const flags = file.view.getUint8(data + 12);
  const offsetMin = (flags & 3) === 2 ? file.view.getInt16(data + 8, true) + file.view.getInt16(data + 10, true) : 0;
  return written > 0 ? written + 60 * offsetMin : null;
};

/** HDBLOCK at byte 64: its first link leads to the list of DGBLOCKs. */
export const dataGroupsOf = (file: Mdf4File): readonly Block[] => {
  const head = blockAt(file, 64, 'HD');
  return listFrom(file, linkOf(file, head, 0), 'DG', 0, MOST_GROUPS);
};
