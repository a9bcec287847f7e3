/**
 * Blocks of an ASAM MDF 4 file: their heads, their links, their texts. Source of every layout in this folder: ASAM MDF,
 * "Measurement Data Format", version 4.1.1 and 4.2.0, programmers' guide, the chapter of the block named beside each
 * reader (all numbers little-endian, links are byte offsets from the start of the file, 0 is none).
 */

/** Something in the file is not as the standard lays it down. Never leaves this folder: readers turn it into a problem or a counted reason. */
export class Mdf4Damage extends Error {}

export const damaged = (says: string): never => {
  throw new Mdf4Damage(says);
};

export interface Mdf4File {
  readonly bytes: Uint8Array;
  readonly view: DataView;
  readonly size: number;
}

export const mdf4FileOf = (bytes: Uint8Array): Mdf4File => ({
  bytes,
  view: new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength),
  size: bytes.length,
});

/** UINT64 at a place, as a number; refused over 2^53, which no real file reaches. */
export const uint64 = (file: Mdf4File, at: number): number => {
  if (at < 0 || at + 8 > file.size) return damaged(`the file ends before byte ${at + 8}`);
  const value = file.view.getUint32(at + 4, true) * 2 ** 32 + file.view.getUint32(at, true);
  return value <= Number.MAX_SAFE_INTEGER ? value : damaged(`an impossible number at byte ${at}`);
};

/** Head of a block: "##" and two letters, 4 reserved bytes, length, count of links; then the links, then the data (standard's "block header section"). */
export interface Block {
  readonly id: string;
  readonly at: number;
  /** Bytes of the block that the file holds: at most its own length. */
  readonly length: number;
  /** Length as written, head included. */
  readonly writtenLength: number;
  readonly links: number;
  /** Offset of the data section. */
  readonly data: number;
}

const HEAD_BYTES = 24;

/** Reads the head of the block at `at`. `wanted` are the ids (two letters) it may have. */
export const blockAt = (file: Mdf4File, at: number, ...wanted: readonly string[]): Block => {
  if (!Number.isInteger(at) || at < 64 || at + HEAD_BYTES > file.size) damaged(`a link leads outside the file (${at})`);
  const { bytes } = file;
  if (bytes[at] !== 0x23 || bytes[at + 1] !== 0x23) damaged(`no block at byte ${at}`);
  const id = String.fromCharCode(bytes[at + 2]!, bytes[at + 3]!);
  if (!wanted.includes(id)) damaged(`a block ${id} at byte ${at} where ${wanted.join(' or ')} belongs`);
  const writtenLength = uint64(file, at + 8);
  const links = uint64(file, at + 16);
  const data = at + HEAD_BYTES + 8 * links;
  const length = Math.min(Math.max(writtenLength, HEAD_BYTES), file.size - at);
  if (links > 0 && data > at + length) damaged(`block ${id} at byte ${at} is cut off`);
  return { id, at, length, writtenLength, links, data };
};

/** Link number `index` of a block; 0 where it has fewer. */
export const linkOf = (file: Mdf4File, block: Block, index: number): number =>
  index < block.links ? uint64(file, block.at + HEAD_BYTES + 8 * index) : 0;

/** Refuses a block whose data section holds fewer than `size` bytes. */
export const wantData = (block: Block, size: number): void => {
  if (block.data + size > block.at + block.length) damaged(`block ${block.id} at byte ${block.at} is cut off`);
};

const MOST_TEXT = 20_000;
const utf8 = new TextDecoder('utf-8');

const ENTITIES: Readonly<Record<string, string>> = { lt: '<', gt: '>', amp: '&', quot: '"', apos: "'" };

/** What stands in the first TX element of a MDBLOCK's XML, plain. */
const textOfXml = (xml: string): string => {
  const found = /<TX(?:\s[^>]*)?>([\s\S]*?)<\/TX>/.exec(xml);
  return (found?.[1] ?? '').replace(/&(lt|gt|amp|quot|apos);/g, (_, name: string) => ENTITIES[name]!);
};

/** Text of a TXBLOCK or of the TX element of a MDBLOCK (UTF-8, ended by a zero); empty when the link is none or leads nowhere. */
export const textAt = (file: Mdf4File, at: number): string => {
  if (at === 0) return '';
  let block: Block;
  try {
    block = blockAt(file, at, 'TX', 'MD');
  } catch (error) {
    if (error instanceof Mdf4Damage) return '';
    throw error;
  }
  const end = Math.min(block.at + block.length, block.data + MOST_TEXT);
  let stop = block.data;
  while (stop < end && file.bytes[stop] !== 0) stop++;
  const text = utf8.decode(file.bytes.subarray(block.data, stop));
  return (block.id === 'MD' ? textOfXml(text) : text).trim();
};

/** Blocks of a linked list from its first link on; a list that bites its own tail or is too long is damage. */
export const listFrom = (file: Mdf4File, first: number, id: string, next: number, most: number): readonly Block[] => {
  const blocks: Block[] = [];
  const seen = new Set<number>();
  for (let at = first; at !== 0; ) {
    if (seen.has(at)) damaged(`the list of ${id} blocks runs in a circle`);
    if (blocks.length >= most) damaged(`more than ${most} ${id} blocks`);
    seen.add(at);
    const block = blockAt(file, at, id);
    blocks.push(block);
    at = linkOf(file, block, next);
  }
  return blocks;
};
