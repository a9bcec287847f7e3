/** Records of a data group dealt out to their channel groups: sorted (one group) or unsorted (a record id before each). */
import type { Mdf4File } from './blocks.ts';
import { type DataContext, dataBytesOf, wantBytes } from './data.ts';
import { UNFINISHED } from './identification.ts';
import type { DataGroupPlan, GroupPlan } from './tree.ts';

/** Records of one group at equal distances. */
export interface GroupRecords {
  readonly group: GroupPlan;
  readonly bytes: Uint8Array;
  /** Offset of the first record's data and bytes from record to record. */
  readonly start: number;
  readonly stride: number;
  readonly count: number;
  /** Where invalidation bytes stand: in the record behind the data, or in bytes of their own. */
  readonly invalidation: { readonly bytes: Uint8Array; readonly start: number; readonly stride: number } | null;
}

export interface DealtRecords {
  readonly groups: readonly GroupRecords[];
  /** What could not be read, a sentence each. */
  readonly notes: readonly string[];
}

const plural = (count: number, what: string): string => `${count} ${what}${count === 1 ? '' : 's'}`;

const recordsOf = (
  group: GroupPlan,
  bytes: Uint8Array,
  idBytes: number,
  apart: Uint8Array | null,
  counted: number,
): GroupRecords => {
  const stride = idBytes + group.dataBytes + (apart ? 0 : group.invalidationBytes);
  const { invalidationBytes } = group;
  return {
    group,
    bytes,
    start: idBytes,
    stride,
    count: counted,
    invalidation:
      invalidationBytes === 0
        ? null
        : apart
          ? { bytes: apart, start: 0, stride: invalidationBytes }
          : { bytes, start: idBytes + group.dataBytes, stride },
  };
};

/** Records that the file holds against those its group counts. An unfinished file counts none: all there are count. */
const countOf = (group: GroupPlan, held: number, unfinished: number, notes: string[]): number => {
  const counts = (unfinished & UNFINISHED.cycleCounts) === 0;
  if (!counts) return held;
  if (held < group.cycles) {
    notes.push(
      `${plural(group.cycles - held, 'record')} of ${group.cycles} of group "${group.name}" are missing: the file is cut off`,
    );
  }
  return Math.min(held, group.cycles);
};

/** Groups without bytes of their own (virtual channels only) have as many records as they count, within reason. */
const MOST_VIRTUAL_RECORDS = 1_000_000;

const sorted = (plan: DataGroupPlan, group: GroupPlan, file: Mdf4File, context: DataContext): DealtRecords => {
  const notes: string[] = [];
  const { records, invalidation, cut } = dataBytesOf(file, plan.data, context);
  if (cut) notes.push(`the data of group "${group.name}" end early: ${cut}`);
  const stride = plan.recordIdBytes + group.dataBytes + (invalidation ? 0 : group.invalidationBytes);
  if (stride === 0) wantBytes(context, 8 * Math.min(group.cycles, MOST_VIRTUAL_RECORDS));
  const held = stride > 0 ? Math.floor(records.length / stride) : Math.min(group.cycles, MOST_VIRTUAL_RECORDS);
  const rest = stride > 0 ? records.length % stride : 0;
  const counted = countOf(group, held, context.unfinished, notes);
  if (rest > 0 && counted === held && !cut && context.unfinished !== 0) {
    notes.push(`the last record of group "${group.name}" is cut off`);
  }
  return { groups: [recordsOf(group, records, plan.recordIdBytes, invalidation, counted)], notes };
};

/** Walks unsorted records; `visit` gets the group and the offset behind the record id. Returns the offset where it had to stop and why. */
const walk = (
  view: DataView,
  plan: DataGroupPlan,
  byId: ReadonlyMap<number, GroupPlan>,
  visit: (group: GroupPlan, at: number) => void,
): { readonly at: number; readonly why: string | null } => {
  const size = view.byteLength;
  const { recordIdBytes } = plan;
  let at = 0;
  while (at + recordIdBytes <= size && at < size) {
    const id =
      recordIdBytes === 1
        ? view.getUint8(at)
        : recordIdBytes === 2
          ? view.getUint16(at, true)
          : recordIdBytes === 4
            ? view.getUint32(at, true)
            : view.getUint32(at, true) + view.getUint32(at + 4, true) * 2 ** 32;
    const group = byId.get(id);
    if (!group) return { at, why: `a record of an unknown group (${id})` };
    const from = at + recordIdBytes;
    let length = group.dataBytes + group.invalidationBytes;
    if (group.isVariableLength) {
      if (from + 4 > size) return { at, why: 'the last record is cut off' };
      length = 4 + view.getUint32(from, true);
    }
    if (from + length > size) return { at, why: 'the last record is cut off' };
    visit(group, from);
    at = from + length;
  }
  return { at, why: null };
};

const unsorted = (plan: DataGroupPlan, file: Mdf4File, context: DataContext): DealtRecords => {
  const notes: string[] = [];
  const { records, cut } = dataBytesOf(file, plan.data, context);
  if (cut) notes.push(`the data of a group of ${plan.groups.length} kinds of record end early: ${cut}`);
  const view = new DataView(records.buffer, records.byteOffset, records.byteLength);
  const byId = new Map(plan.groups.map((group) => [group.recordId, group]));
  const counts = new Map<GroupPlan, number>();
  const stop = walk(view, plan, byId, (group) => counts.set(group, (counts.get(group) ?? 0) + 1));
  if (stop.why) {
    notes.push(`${stop.why}; ${plural(records.length - stop.at, 'byte')} of records from there on are not read`);
  }
  const rooms = new Map<GroupPlan, { readonly bytes: Uint8Array; filled: number }>();
  for (const group of plan.groups) {
    if (group.isVariableLength) continue;
    const size = (counts.get(group) ?? 0) * (group.dataBytes + group.invalidationBytes);
    wantBytes(context, size);
    rooms.set(group, { bytes: new Uint8Array(size), filled: 0 });
  }
  walk(view, plan, byId, (group, at) => {
    const room = rooms.get(group);
    if (!room) return;
    const length = group.dataBytes + group.invalidationBytes;
    const { bytes } = room;
    for (let i = 0, to = room.filled; i < length; i++) bytes[to + i] = records[at + i]!;
    room.filled += length;
  });
  const groups = [...rooms].map(([group, { bytes }]) =>
    recordsOf(group, bytes, 0, null, countOf(group, counts.get(group) ?? 0, context.unfinished, notes)),
  );
  return { groups, notes };
};

/** Deals the records of a data group out to its channel groups. */
export const dealtRecords = (file: Mdf4File, plan: DataGroupPlan, context: DataContext): DealtRecords => {
  const [only, ...others] = plan.groups;
  if (!only || (only.isVariableLength && others.length === 0)) return { groups: [], notes: [] };
  if (others.length === 0) return sorted(plan, only, file, context);
  if (plan.recordIdBytes === 0) {
    return {
      groups: [],
      notes: [`a data group has ${plan.groups.length} kinds of record but no record ids; it is not read`],
    };
  }
  return unsorted(plan, file, context);
};
