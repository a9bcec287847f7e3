/** Pages of one column chunk into numbers: the library decodes, this lays down which pages it may see and where their values go. */
import { gunzipSync } from 'fflate';
import { decompress as unzstd } from 'fzstd';
import { parquetHeader } from 'hyparquet/src/column.js';
import { convert } from 'hyparquet/src/convert.js';
import { decompressPage, readDataPage, readDataPageV2 } from 'hyparquet/src/datapage.js';
import { readPlain } from 'hyparquet/src/plain.js';
import type { ColumnDecoder, Compressors, DecodedArray, PageHeader } from 'hyparquet/src/types.js';
import { decompressBrotli } from 'hyparquet-compressors/src/brotli.js';
import { decompressLz4, decompressLz4Raw } from 'hyparquet-compressors/src/lz4.js';
import { checkDelta, checkRuns, ParquetDamage, statedRuns } from './guard.ts';

/** Every unpacker writes into a buffer of the size that the page states, so none can outgrow it. Snappy is the library's own. */
export const COMPRESSORS: Compressors = {
  GZIP: (input, size) => gunzipSync(input, { out: new Uint8Array(size) }),
  ZSTD: (input, size) => unzstd(input, new Uint8Array(size)),
  BROTLI: decompressBrotli,
  LZ4: decompressLz4,
  LZ4_RAW: decompressLz4Raw,
};

/** Encodings of data pages that numbers come in. */
const DICTIONARY = new Set<string>(['PLAIN_DICTIONARY', 'RLE_DICTIONARY']);
const ENCODINGS = new Set<string>(['PLAIN', 'RLE', 'DELTA_BINARY_PACKED', 'BYTE_STREAM_SPLIT', ...DICTIONARY]);

const MOST_PAGE_BYTES = 256e6;

const damaged = (says: string): never => {
  throw new ParquetDamage(says);
};

export interface ChunkRequest {
  /** The bytes of the column chunk. */
  readonly bytes: Uint8Array;
  readonly decoder: ColumnDecoder;
  /** Rows of its row group. */
  readonly rows: number;
  readonly isOptional: boolean;
  /** Where the values go. */
  readonly out: Float64Array;
  readonly start: number;
  readonly toNumber: (value: unknown) => number;
}

/** Checks the values of a page behind its levels, which start at `from`. */
const checkValues = (page: Uint8Array, from: number, encoding: string, type: string, count: number): void => {
  if (!ENCODINGS.has(encoding))
    damaged(`its numbers are written in a way (${encoding}) that this reader does not know`);
  if (DICTIONARY.has(encoding) && count > 0) {
    if (from >= page.length) damaged('a page ends before its values');
    const width = page[from]!;
    if (width > 0) checkRuns(page, from + 1, page.length, width, count);
  } else if (encoding === 'RLE' && type !== 'BOOLEAN') damaged('runs of values that are no switches');
  else if (encoding === 'DELTA_BINARY_PACKED' && count > 0) checkDelta(page, from);
};

/** Whole numbers of eight bytes as doubles, two halves at a time: a bigint for each would take many times as long. */
const fromBigInts = (values: BigInt64Array, out: Float64Array, start: number): void => {
  const halves = new Int32Array(values.buffer, values.byteOffset, 2 * values.length);
  for (let i = 0; i < values.length; i++) out[start + i] = halves[2 * i + 1]! * 2 ** 32 + (halves[2 * i]! >>> 0);
};

/** Decoded values as numbers. */
const numbersOf = (values: DecodedArray, toNumber: ChunkRequest['toNumber']): Float64Array => {
  if (values instanceof Float64Array) return values;
  if (values instanceof BigInt64Array && IS_LITTLE_ENDIAN) {
    const out = new Float64Array(values.length);
    fromBigInts(values, out, 0);
    return out;
  }
  return Float64Array.from(values as ArrayLike<unknown>, toNumber);
};

const IS_LITTLE_ENDIAN = new Uint8Array(new Uint32Array([1]).buffer)[0] === 1;

/** Values of one page into their rows: a definition level of 0 is a blank. */
const place = (
  request: ChunkRequest,
  row: number,
  page: DecodedArray,
  encoding: string,
  dictionary: Float64Array | undefined,
  levels: ArrayLike<number> | undefined,
  rows: number,
): void => {
  const { out, start, toNumber, decoder } = request;
  const from = start + row;
  let values: Float64Array;
  if (DICTIONARY.has(encoding)) {
    if (!dictionary) damaged('its values stand in a dictionary that is missing');
    values = new Float64Array(page.length);
    for (let i = 0; i < values.length; i++) values[i] = dictionary![page[i] as number] ?? Number.NaN;
  } else values = numbersOf(convert(page, decoder), toNumber);
  if (!levels || levels.length === 0) {
    out.set(values.subarray(0, rows), from);
    return;
  }
  let next = 0;
  for (let i = 0; i < rows; i++) if (levels[i] === 1) out[from + i] = values[next++] ?? Number.NaN;
};

const dataPage = (
  request: ChunkRequest,
  header: PageHeader,
  packed: Uint8Array,
  dictionary: Float64Array | undefined,
  row: number,
): number => {
  const { decoder, isOptional } = request;
  const head = header.data_page_header!;
  const rows = head.num_values;
  if (!(rows >= 0) || row + rows > request.rows) damaged('its pages hold more values than it has rows');
  const page = decompressPage(packed, header.uncompressed_page_size, decoder.codec, decoder.compressors);
  const from = isOptional ? statedRuns(page, 0, 1, rows) : 0;
  if (head.encoding === 'RLE') statedRuns(page, from, 1, rows);
  checkValues(page, from, head.encoding, decoder.type, rows);
  const read = readDataPage(page, head, decoder);
  place(request, row, read.dataPage, head.encoding, dictionary, read.definitionLevels, rows);
  return rows;
};

const dataPageV2 = (
  request: ChunkRequest,
  header: PageHeader,
  packed: Uint8Array,
  dictionary: Float64Array | undefined,
  row: number,
): number => {
  const { decoder, isOptional } = request;
  const head = header.data_page_header_v2!;
  const rows = head.num_values;
  const levels = head.repetition_levels_byte_length + head.definition_levels_byte_length;
  if (!(rows >= 0) || row + rows > request.rows) damaged('its pages hold more values than it has rows');
  if (head.repetition_levels_byte_length !== 0 || !(levels >= 0) || levels > packed.length)
    damaged('levels outside their page');
  if (!(head.num_nulls >= 0) || head.num_nulls > rows) damaged('more blanks than rows');
  const size = header.uncompressed_page_size - levels;
  const isPacked = head.is_compressed !== false && size > 0;
  const plain = isPacked
    ? decompressPage(packed.subarray(levels), size, decoder.codec, decoder.compressors)
    : packed.subarray(levels);
  const page = new Uint8Array(levels + plain.length);
  page.set(packed.subarray(0, levels));
  page.set(plain, levels);
  if (isOptional) checkRuns(page, 0, levels, 1, rows);
  if (head.encoding === 'RLE') statedRuns(page, levels, 1, rows);
  checkValues(page, levels, head.encoding, decoder.type, rows);
  const opened = { ...header, data_page_header_v2: { ...head, is_compressed: false } };
  const read = readDataPageV2(page, opened, decoder);
  // Without blanks the levels say nothing that the values do not.
  const blanks = head.num_nulls > 0 ? read.definitionLevels : undefined;
  place(request, row, read.dataPage, head.encoding, dictionary, blanks, rows);
  return rows;
};

/** Reads a column chunk into its rows. Values that were never written stay as they are in `out`. */
export const readChunk = (request: ChunkRequest): void => {
  const { bytes, decoder } = request;
  const reader = { view: new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength), offset: 0 };
  let dictionary: Float64Array | undefined;
  for (let row = 0; row < request.rows; ) {
    if (reader.offset >= bytes.length) damaged('its pages end early');
    const header = parquetHeader(reader);
    const end = reader.offset + header.compressed_page_size;
    if (!(header.compressed_page_size >= 0) || end > bytes.length) damaged('a page lies outside its chunk');
    if (!(header.uncompressed_page_size >= 0) || header.uncompressed_page_size > MOST_PAGE_BYTES)
      damaged('a page of an impossible size');
    const packed = bytes.subarray(reader.offset, end);
    reader.offset = end;
    if (header.type === 'DICTIONARY_PAGE' && header.dictionary_page_header) {
      const page = decompressPage(packed, header.uncompressed_page_size, decoder.codec, decoder.compressors);
      const count = header.dictionary_page_header.num_values;
      // A switch takes a bit, every other number four bytes and more.
      if (!(count >= 0) || count > 8 * page.length) damaged('a dictionary that outgrows its page');
      const view = new DataView(page.buffer, page.byteOffset, page.byteLength);
      const plain = readPlain({ view, offset: 0 }, decoder.type, count, decoder.element.type_length);
      dictionary = numbersOf(convert(plain, decoder), request.toNumber);
    } else if (header.type === 'DATA_PAGE' && header.data_page_header) {
      row += dataPage(request, header, packed, dictionary, row);
    } else if (header.type === 'DATA_PAGE_V2' && header.data_page_header_v2) {
      row += dataPageV2(request, header, packed, dictionary, row);
    } else if (header.type !== 'INDEX_PAGE') damaged('a page of an unknown kind');
  }
};
