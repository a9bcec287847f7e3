/** DGBLOCK, CGBLOCK and CNBLOCK: which groups of records a file has and which channels lie in each record. */
import { type Block, damaged, linkOf, listFrom, type Mdf4File, textAt, uint64, wantData } from './blocks.ts';

/** CNBLOCK, cn_type. */
export const CHANNEL_TYPE = {
  fixed: 0,
  variableLength: 1,
  master: 2,
  virtualMaster: 3,
  sync: 4,
  maximumLength: 5,
  virtual: 6,
} as const;

/** CNBLOCK, cn_sync_type: what a master counts. */
export const SYNC = { none: 0, time: 1, angle: 2, distance: 3, index: 4 } as const;

/** CNBLOCK, cn_flags. */
const ALL_INVALID = 1 << 0;
const INVALIDATION_USED = 1 << 1;
/** CGBLOCK, cg_flags. */
const VARIABLE_LENGTH_GROUP = 1 << 0;
const REMOTE_MASTER = 1 << 3;

export interface ChannelPlan {
  readonly name: string;
  readonly unit: string;
  readonly type: number;
  readonly syncType: number;
  readonly dataType: number;
  readonly bitOffset: number;
  readonly byteOffset: number;
  readonly bitCount: number;
  /** Every value is said to be invalid. */
  readonly allInvalid: boolean;
  /** Number of the bit that marks a record's value as invalid, or null. */
  readonly invalidationBit: number | null;
  /** Offset of the CCBLOCK, 0 for none. */
  readonly conversion: number;
  /** 'members' for a structure (its members follow as channels of their own), 'array' for a channel array. */
  readonly composition: 'none' | 'members' | 'array';
}

export interface GroupPlan {
  readonly at: number;
  readonly name: string;
  readonly recordId: number;
  readonly cycles: number;
  readonly dataBytes: number;
  readonly invalidationBytes: number;
  /** Records of one channel of varying length: 4 bytes of length, then so many bytes. */
  readonly isVariableLength: boolean;
  /** Offset of the CGBLOCK that holds this group's master, 0 when it has its own. */
  readonly remoteMaster: number;
  readonly channels: readonly ChannelPlan[];
}

export interface DataGroupPlan {
  /** 0 when all records are of one group, else the bytes of the record id before each. */
  readonly recordIdBytes: number;
  /** Offset of the first data block, 0 for none. */
  readonly data: number;
  readonly groups: readonly GroupPlan[];
}

const MOST_CHANNELS = 20_000;
const DEEPEST = 8;

/** Room for channels over the whole file, so that lists that share blocks cannot multiply. */
export interface ChannelCount {
  left: number;
}

/** CNBLOCK: links next, composition, name, source, conversion, data, unit, comment; then type, sync type, data type, bit offset (UINT8 each), byte offset, bit count, flags, invalidation bit (UINT32 each). */
const channelOf = (file: Mdf4File, block: Block): ChannelPlan => {
  wantData(block, 20);
  const { view } = file;
  const { data } = block;
  const flags = view.getUint32(data + 12, true);
  const composition = linkOf(file, block, 1);
  const isArray = composition !== 0 && file.bytes[composition + 2] === 0x43 && file.bytes[composition + 3] === 0x41;
  const conversion = linkOf(file, block, 4);
  const unit = textAt(file, linkOf(file, block, 6));
  return {
    name: textAt(file, linkOf(file, block, 2)),
    unit,
    type: view.getUint8(data),
    syncType: view.getUint8(data + 1),
    dataType: view.getUint8(data + 2),
    bitOffset: view.getUint8(data + 3),
    byteOffset: view.getUint32(data + 4, true),
    bitCount: view.getUint32(data + 8, true),
    allInvalid: (flags & ALL_INVALID) !== 0,
    invalidationBit: (flags & INVALIDATION_USED) !== 0 ? view.getUint32(data + 16, true) : null,
    conversion,
    composition: composition === 0 ? 'none' : isArray ? 'array' : 'members',
  };
};

/** Channels of a list with the members of structures after their parent; the members' byte offsets count from the start of the record. */
const channelsFrom = (file: Mdf4File, first: number, count: ChannelCount, depth: number): ChannelPlan[] => {
  if (depth > DEEPEST) return damaged('structures are nested too deep');
  return listFrom(file, first, 'CN', 0, MOST_CHANNELS).flatMap((block) => {
    if (--count.left < 0) damaged(`it has more than ${MOST_CHANNELS} channels`);
    const channel = channelOf(file, block);
    const members =
      channel.composition === 'members' ? channelsFrom(file, linkOf(file, block, 1), count, depth + 1) : [];
    return [channel, ...members];
  });
};

/** CGBLOCK: links next, first channel, name, source, reduction, comment, (master group); then record id, cycle count (UINT64 each), flags, separator (UINT16 each), 4 reserved, data bytes, invalidation bytes (UINT32 each). */
const groupOf = (file: Mdf4File, block: Block, count: ChannelCount): GroupPlan => {
  wantData(block, 32);
  const { view } = file;
  const { data } = block;
  const flags = view.getUint16(data + 16, true);
  const isVariableLength = (flags & VARIABLE_LENGTH_GROUP) !== 0;
  return {
    at: block.at,
    name: textAt(file, linkOf(file, block, 2)),
    recordId: uint64(file, data),
    cycles: uint64(file, data + 8),
    isVariableLength,
    remoteMaster: (flags & REMOTE_MASTER) !== 0 ? linkOf(file, block, 6) : 0,
    dataBytes: view.getUint32(data + 24, true),
    invalidationBytes: view.getUint32(data + 28, true),
    channels: isVariableLength ? [] : channelsFrom(file, linkOf(file, block, 1), count, 0),
  };
};

/** DGBLOCK: links next, first group, data, comment; then the bytes of the record id (UINT8). */
export const dataGroupOf = (file: Mdf4File, block: Block, count: ChannelCount): DataGroupPlan => {
  wantData(block, 1);
  const recordIdBytes = file.view.getUint8(block.data);
  if (![0, 1, 2, 4, 8].includes(recordIdBytes)) damaged(`record ids of ${recordIdBytes} bytes`);
  const groups = listFrom(file, linkOf(file, block, 1), 'CG', 0, MOST_CHANNELS).map((group) => {
    if (--count.left < 0) damaged(`it has more than ${MOST_CHANNELS} groups and channels`);
    return groupOf(file, group, count);
  });
  return { recordIdBytes, data: linkOf(file, block, 2), groups };
};

export const channelCount = (): ChannelCount => ({ left: MOST_CHANNELS });
