/** A Parquet file to a table: its flat columns of numbers, times and switches; one of them is the clock. */
import { DEFAULT_PARSERS } from 'hyparquet/src/convert.js';
import { parquetMetadata, parquetSchema } from 'hyparquet/src/metadata.js';
import type { ColumnMetaData, FileMetaData, ParquetParsers, SchemaElement, SchemaTree } from 'hyparquet/src/types.js';
import { clockInSeconds, findClock, orderByClock } from '../clock.ts';
import type { Layout } from '../dialect.ts';
import { splitHeader } from '../header.ts';
import type { TableResult } from '../table.ts';
import type { Column, LogProblem, LogTable, RefusedColumn, RefusedRow } from '../types.ts';
import { guessesByName } from '../vocabulary.ts';
import { ReadingStopped, type ReadWatch, STOPPED, ticker } from '../watch.ts';
import { ParquetDamage } from './guard.ts';
import { COMPRESSORS, readChunk } from './pages.ts';

const refuse = (code: LogProblem['code'], says: string): TableResult => ({ ok: false, problem: { code, says } });

const NEXT = 'write the file again, or export the log as delimited text (CSV)';

/** True when the file begins and ends as Parquet files do (Apache Parquet format, "File format"). */
export const isParquet = (bytes: Uint8Array): boolean => {
  const is = (at: number): boolean =>
    bytes[at] === 0x50 && bytes[at + 1] === 0x41 && bytes[at + 2] === 0x52 && bytes[at + 3] === 0x31;
  return bytes.length >= 12 && is(0);
};

/** Times are read as seconds since 1970. */
const PARSERS: ParquetParsers = {
  ...DEFAULT_PARSERS,
  timestampFromMilliseconds: (value) => Number(value) / 1e3,
  timestampFromMicroseconds: (value) => Number(value) / 1e6,
  timestampFromNanoseconds: (value) => Number(value) / 1e9,
  dateFromDays: (days) => days * 86_400,
};

const MOST_COLUMNS = 2000;
/** Rows and cells at most, so that a small packed file cannot fill the memory: a row takes a hundred bytes and more of clock, order and readings beside its cells. */
const mostRows = (fileBytes: number): number => Math.max(4e6, 0.08 * fileBytes);
const mostCells = (fileBytes: number): number => Math.max(20e6, 0.4 * fileBytes);

const NUMBERS = new Set<string>(['INT32', 'INT64', 'INT96', 'FLOAT', 'DOUBLE', 'BOOLEAN']);

/** Why a column holds no numbers, or null when it does. */
const whyNoNumbers = ({ element, children }: SchemaTree): string | null => {
  const { type, converted_type: converted, logical_type: logical, repetition_type: repetition } = element;
  if (children.length > 0) return 'it is nested';
  if (repetition === 'REPEATED') return 'it is a list';
  if (type && NUMBERS.has(type)) return converted === 'DATE' ? 'it holds calendar days' : null;
  if (converted === 'DECIMAL' || logical?.type === 'FLOAT16') return null;
  return type === 'BYTE_ARRAY' && (converted === 'UTF8' || logical?.type === 'STRING' || !converted)
    ? 'it holds text'
    : 'it holds bytes';
};

/** Seconds per count of a time-of-day column; the library leaves those as counts. */
const timeOfDayUnitS = ({ converted_type: converted, logical_type: logical }: SchemaElement): number | null => {
  if (logical?.type === 'TIME') return { MILLIS: 1e-3, MICROS: 1e-6, NANOS: 1e-9 }[logical.unit] ?? null;
  return converted === 'TIME_MILLIS' ? 1e-3 : converted === 'TIME_MICROS' ? 1e-6 : null;
};

const isTimestamp = ({ type, converted_type: converted, logical_type: logical }: SchemaElement): boolean =>
  logical?.type === 'TIMESTAMP' ||
  converted === 'TIMESTAMP_MILLIS' ||
  converted === 'TIMESTAMP_MICROS' ||
  type === 'INT96';

/** Units that writers put beside the data: a JSON object under "units", or "NAME.unit" / "unit.NAME" for one column each. */
const statedUnits = ({ key_value_metadata: pairs }: FileMetaData): ReadonlyMap<string, string> => {
  const units = new Map<string, string>();
  for (const { key, value } of pairs ?? []) {
    if (value === undefined) continue;
    if (key === 'units' || key === 'unit') {
      try {
        const stated: unknown = JSON.parse(value);
        if (typeof stated !== 'object' || stated === null) continue;
        for (const [name, unit] of Object.entries(stated)) if (typeof unit === 'string') units.set(name, unit);
      } catch {
        // A text that is no JSON states no units that this reader knows; the names' own units count.
      }
      continue;
    }
    const one = /^units?[.:](.+)$/.exec(key)?.[1] ?? /^(.+)[.:]units?$/.exec(key)?.[1];
    if (one) units.set(one, value);
  }
  return units;
};

interface Wanted {
  readonly name: string;
  readonly unit: string;
  readonly tree: SchemaTree;
  readonly cells: Float64Array;
}

/** A whole number as bytes, most significant first, in two's complement: how decimals of many digits are kept. */
const wholeOf = (bytes: Uint8Array): number => {
  let value = bytes.length > 0 && bytes[0]! >= 128 ? -1 : 0;
  for (let i = 0; i < bytes.length; i++) value = value * 256 + bytes[i]!;
  return value;
};

const toNumber = (value: unknown): number =>
  typeof value === 'number' || typeof value === 'bigint' || typeof value === 'boolean'
    ? Number(value)
    : value instanceof Uint8Array
      ? wholeOf(value)
      : Number.NaN;

/** Decimals are whole numbers underneath: they are read as those, and scaled here. */
const plainInteger = (element: SchemaElement): { readonly scale: number; readonly element: SchemaElement } => {
  const isPlain = element.converted_type === 'DECIMAL' && element.type !== 'BYTE_ARRAY';
  if (!isPlain) return { scale: 0, element };
  const { converted_type: _converted, logical_type: _logical, ...rest } = element;
  return { scale: element.scale ?? 0, element: rest };
};

const readColumnOf = (bytes: Uint8Array, metadata: FileMetaData, wanted: Wanted, root: SchemaTree): void => {
  const { scale, element } = plainInteger(wanted.tree.element);
  let start = 0;
  for (const group of metadata.row_groups) {
    const rows = Number(group.num_rows);
    const chunk: ColumnMetaData | undefined = group.columns.find(
      ({ meta_data: meta }) => meta?.path_in_schema.length === 1 && meta.path_in_schema[0] === element.name,
    )?.meta_data;
    if (!chunk) throw new ParquetDamage('a row group does not have it');
    const first = Math.min(
      Number(chunk.data_page_offset),
      Number(chunk.dictionary_page_offset || chunk.data_page_offset),
    );
    const end = first + Number(chunk.total_compressed_size);
    if (!(first >= 4) || !(end <= bytes.length) || end <= first)
      throw new ParquetDamage('its data lie outside the file');
    readChunk({
      bytes: bytes.subarray(first, end),
      decoder: {
        pathInSchema: chunk.path_in_schema,
        type: chunk.type,
        element,
        schemaPath: [root, wanted.tree],
        codec: chunk.codec,
        parsers: PARSERS,
        compressors: COMPRESSORS,
      },
      rows,
      isOptional: element.repetition_type === 'OPTIONAL',
      out: wanted.cells,
      start,
      toNumber,
    });
    start += rows;
  }
  const factor = timeOfDayUnitS(element);
  const { cells } = wanted;
  for (let i = 0; i < cells.length; i++) {
    if (!Number.isFinite(cells[i]!)) cells[i] = Number.NaN;
    else if (factor !== null) cells[i] = cells[i]! * factor;
    // Divided, not multiplied: an integer over a power of ten rounds once.
    else if (scale > 0) cells[i] = cells[i]! / 10 ** scale;
  }
};

/** A text layout that says of these columns what a text file's head would, so that the clock is found by the same rules. */
const layoutOf = (wanted: readonly Wanted[], rows: number): Layout => {
  const most = Math.min(rows, 400);
  return {
    separator: '',
    decimal: '.',
    headerLine: 0,
    unitsLine: null,
    headers: wanted.map(({ name }) => name),
    units: wanted.map(({ unit }) => unit),
    cellUnits: wanted.map(() => null),
    dataOffset: 0,
    dataLine: 1,
    fields: wanted.length,
    spareFields: 0,
    sample: Array.from({ length: most }, (_, row) => ({
      line: row + 1,
      offset: 0,
      fields: wanted.map(({ cells }) => (Number.isNaN(cells[row]!) ? '' : String(cells[row]!))),
    })),
  };
};

const without = (cells: Float64Array, keep: Uint8Array): Float64Array => cells.filter((_, i) => keep[i] === 1);

const tableOf = (
  wanted: readonly Wanted[],
  rows: number,
  refused: RefusedColumn[],
  assumedRateHz: number | undefined,
): TableResult => {
  if (wanted.length === 0) return refuse('no-table', `The Parquet file holds no column of numbers; ${NEXT}.`);
  const found = findClock(layoutOf(wanted, rows));
  if (!found && !(assumedRateHz && assumedRateHz > 0)) {
    return refuse('needs-rate', 'The file has no column of time; say how many rows it logs each second.');
  }
  const rowsRefused: RefusedRow[] = [];
  let columns: readonly Wanted[] = wanted;
  if (found) {
    const times = wanted[found.index]!.cells;
    const keep = new Uint8Array(rows).fill(1);
    for (let row = 0; row < rows; row++) {
      if (!Number.isNaN(times[row]!)) continue;
      keep[row] = 0;
      rowsRefused.push({ line: row + 1, why: 'the time is blank' });
    }
    if (rowsRefused.length > 0) columns = wanted.map((one) => ({ ...one, cells: without(one.cells, keep) }));
  }
  const kept = rows - rowsRefused.length;
  if (kept < 2)
    return refuse('no-rows', 'Fewer than two rows with a time could be read; log again or export the whole run.');
  let timeS: Float64Array;
  let timeFormat: LogTable['dialect']['timeFormat'] = 'none';
  if (found) {
    const clock = clockInSeconds(columns[found.index]!.cells, found);
    timeS = clock.timeS;
    timeFormat = clock.format;
  } else timeS = Float64Array.from({ length: kept }, (_, i) => i / assumedRateHz!);
  const table: LogTable = {
    dialect: {
      format: 'parquet',
      encoding: 'utf-8',
      separator: '',
      decimal: '.',
      headerLine: 0,
      unitsLine: null,
      timeFormat,
    },
    rows: kept,
    rowsRefused,
    timeS,
    timeFromFile: found !== null,
    columns: columns.flatMap(({ name, unit, cells }, index): Column[] =>
      index === found?.index
        ? []
        : [{ index, header: name, unitText: splitHeader(name, unit).unitText, cells, unreadableCells: 0 }],
    ),
    ...(refused.length > 0 ? { columnsRefused: refused } : {}),
  };
  return { ok: true, table, clock: orderByClock(timeS) };
};

const isNamed = (name: string): boolean =>
  guessesByName(splitHeader(name).words).some(({ channel }) => channel !== null);

const readWith = (bytes: Uint8Array, assumedRateHz: number | undefined, watch: ReadWatch | undefined): TableResult => {
  const tick = ticker(watch);
  tick(0);
  const metadata = parquetMetadata(bytes, { parsers: PARSERS, geoparquet: false });
  const rows = metadata.row_groups.reduce((sum, { num_rows: count }) => sum + Number(count), 0);
  if (rows === 0) return refuse('no-rows', 'The Parquet file holds no rows; log again or export the whole run.');
  const root = parquetSchema(metadata);
  if (root.children.length > MOST_COLUMNS) {
    return refuse('no-table', `The file has ${root.children.length} columns; at most ${MOST_COLUMNS} can be read.`);
  }
  if (!(rows > 0) || rows > mostRows(bytes.length) || metadata.row_groups.some(({ num_rows: count }) => count < 0n)) {
    return refuse(
      'too-large',
      `The Parquet file says that it has ${rows} rows; at most ${Math.floor(mostRows(bytes.length))} can be read.`,
    );
  }
  const refused: RefusedColumn[] = [];
  let trees = root.children.filter((tree) => {
    const why = whyNoNumbers(tree);
    if (why) refused.push({ column: tree.element.name, why });
    return !why;
  });
  if (trees.length * rows > mostCells(bytes.length)) {
    // Columns that no channel goes by are given up first.
    const isKept = ({ element }: SchemaTree): boolean =>
      isTimestamp(element) ||
      timeOfDayUnitS(element) !== null ||
      isNamed(element.name) ||
      /time|clock/i.test(element.name);
    for (const { element } of trees.filter((tree) => !isKept(tree))) {
      refused.push({ column: element.name, why: 'the file is too large to read columns that nothing is known of' });
    }
    trees = trees.filter(isKept);
    if (trees.length * rows > mostCells(bytes.length)) {
      return refuse(
        'too-large',
        `The Parquet file has ${trees.length} columns of ${rows} rows, more than this reader spends memory on; write fewer columns, or a shorter run.`,
      );
    }
  }
  const units = statedUnits(metadata);
  const wanted: Wanted[] = [];
  trees.forEach((tree, i) => {
    const { element } = tree;
    const isTime = isTimestamp(element) || timeOfDayUnitS(element) !== null;
    const one: Wanted = {
      name: element.name,
      unit: isTime ? 's' : (units.get(element.name) ?? ''),
      tree,
      cells: new Float64Array(rows).fill(Number.NaN),
    };
    try {
      readColumnOf(bytes, metadata, one, root);
      wanted.push(one);
    } catch (error) {
      refused.push({
        column: element.name,
        why: `it is damaged (${error instanceof Error ? error.message : 'unknown'})`,
      });
    }
    tick((i + 1) / (trees.length + 1));
  });
  const table = tableOf(wanted, rows, refused, assumedRateHz);
  tick(1);
  return table;
};

/**
 * Reads a Parquet file: flat columns of whole and floating numbers, decimals, switches and times, in any encoding and
 * packing in common use. Other columns are listed in `columnsRefused`. Never throws.
 */
export const readParquet = (bytes: Uint8Array, assumedRateHz?: number, watch?: ReadWatch): TableResult => {
  try {
    return readWith(bytes, assumedRateHz, watch);
  } catch (error) {
    if (error instanceof ReadingStopped) return { ok: false, problem: STOPPED };
    const says = error instanceof Error ? error.message.replace(/[.\s]+$/, '') : 'unknown damage';
    return refuse('damaged', `The Parquet file cannot be read (${says}); ${NEXT}.`);
  }
};
