/** Bytes to a table: nothing interpreted but the clock. */
import { readRows } from './cells.ts';
import { type ClockOrder, clockInSeconds, findClock, orderByClock } from './clock.ts';
import { countRunsOn, runsNote } from './clock-runs.ts';
import { decoderFor, textBytesOf } from './decode.ts';
import { type Layout, layoutOf } from './dialect.ts';
import { splitHeader } from './header.ts';
import { isMdf } from './mdf4/identification.ts';
import { readMdf4 } from './mdf4/read-mdf4.ts';
import { isParquet, readParquet } from './parquet/read-parquet.ts';
import type { Column, LogProblem, LogTable } from './types.ts';
import { ReadingStopped, type ReadWatch, STOPPED, ticker } from './watch.ts';

export interface TableOptions {
  /** Rows per second [Hz] of a file without a clock. */
  readonly assumedRateHz?: number;
  /** Told of progress, asked whether to stop. */
  readonly watch?: ReadWatch;
}

export type TableResult =
  | { readonly ok: true; readonly table: LogTable; readonly clock: ClockOrder }
  | { readonly ok: false; readonly problem: LogProblem };

const HEAD_BYTES = 1 << 18;
const MOST_COLUMNS = 2000;

const refuse = (code: LogProblem['code'], says: string): TableResult => ({ ok: false, problem: { code, says } });

/** End of the last whole line within the head. */
const headEnd = (bytes: Uint8Array, start: number): number => {
  const limit = Math.min(bytes.length, start + HEAD_BYTES);
  if (limit === bytes.length) return limit;
  for (let i = limit - 1; i > start; i--) if (bytes[i] === 10 || bytes[i] === 13) return i + 1;
  return limit;
};

/** Byte offset of a 1-based line; quoted line breaks count as lines. */
const offsetOfLine = (bytes: Uint8Array, start: number, line: number): number => {
  let at = start;
  for (let now = 1; now < line && at < bytes.length; at++) {
    if (bytes[at] === 10 || (bytes[at] === 13 && bytes[at + 1] !== 10)) now++;
  }
  return at;
};

/** Decimals that all seen cells of the last column share, or null when they differ, have none, or are too few to tell. */
const lastColumnDecimals = (layout: Layout): number | null => {
  let shared: number | null = null;
  let seen = 0;
  // The last row of the head may itself be the one that is cut off.
  for (const { fields } of layout.sample.slice(0, -1)) {
    const cell = fields[layout.fields - 1]?.trim() ?? '';
    if (cell === '' || fields.length !== layout.fields) continue;
    const mark = cell.lastIndexOf(layout.decimal);
    const decimals = mark < 0 ? 0 : cell.length - mark - 1;
    if (shared !== null && shared !== decimals) return null;
    shared = decimals;
    seen++;
  }
  return seen >= 5 && shared !== null && shared > 0 ? shared : null;
};

const readText = (bytes: Uint8Array, options: TableOptions, tick: (share: number) => void): TableResult => {
  const text = textBytesOf(bytes);
  if (!text.ok) return text;
  const decoder = decoderFor(text.encoding);
  const headText = decoder.decode(text.bytes.subarray(text.start, headEnd(text.bytes, text.start)));
  const found = layoutOf(headText);
  if (!found.ok) return found;
  const { layout } = found;
  if (layout.fields > MOST_COLUMNS) {
    return refuse(
      'no-table',
      `The file seems to have ${layout.fields} columns; at most ${MOST_COLUMNS} can be read. Check the separator of the export.`,
    );
  }
  const clockColumn = findClock(layout);
  if (!clockColumn && !(options.assumedRateHz && options.assumedRateHz > 0)) {
    return refuse('needs-rate', 'The file has no column of time; say how many rows it logs each second.');
  }
  const headLines = headText.split(/\r\n|\n|\r/);
  const read = readRows({
    bytes: text.bytes,
    start: offsetOfLine(text.bytes, text.start, layout.dataLine),
    line: layout.dataLine,
    separator: layout.separator,
    decimal: layout.decimal,
    fields: layout.fields,
    spareFields: layout.spareFields,
    clockColumn: clockColumn?.index ?? -1,
    clockIsText: clockColumn?.isText ?? false,
    decoder,
    cellUnits: layout.cellUnits,
    names: layout.headers,
    tick,
    repeats: [layout.headerLine, layout.unitsLine ?? 0]
      .filter((line) => line > 0)
      .map((line) => headLines[line - 1]!.trim()),
    lastColumnDecimals: lastColumnDecimals(layout),
  });
  const { rows } = read;
  if (read.ragged > rows) {
    return refuse(
      'too-ragged',
      `${read.ragged} of ${rows + read.refusedCount} rows have ${read.raggedFields} fields where ${layout.fields} columns were expected; check the separator and the decimal mark of the export.`,
    );
  }
  if (rows < 2)
    return refuse(
      'no-rows',
      `Only ${rows === 0 ? 'no' : 'one'} row of numbers could be read; log again or export the whole run.`.replace(
        'Only no row',
        'No row',
      ),
    );
  let timeS: Float64Array;
  let timeFormat: LogTable['dialect']['timeFormat'] = 'none';
  if (clockColumn) {
    const clock = clockInSeconds(read.columns[clockColumn.index]!, clockColumn);
    timeS = clock.timeS;
    timeFormat = clock.format;
  } else {
    const rateHz = options.assumedRateHz!;
    timeS = Float64Array.from({ length: rows }, (_, i) => i / rateHz);
  }
  const runs = clockColumn ? countRunsOn(timeS, read.headerRows) : { starts: read.headerRows, countedFromS: [] };
  const note = clockColumn ? runsNote(runs) : null;
  const columns: Column[] = layout.headers.flatMap((header, index) =>
    index === clockColumn?.index
      ? []
      : [
          {
            index,
            header,
            unitText: splitHeader(header, layout.units[index]).unitText,
            cells: read.columns[index]!,
            unreadableCells: read.unreadable[index]!,
            ...(read.firstUnreadable[index] ? { firstUnreadable: read.firstUnreadable[index] } : {}),
          },
        ],
  );
  const table: LogTable = {
    dialect: {
      encoding: text.encoding,
      separator: layout.separator,
      decimal: layout.decimal,
      headerLine: layout.headerLine,
      unitsLine: layout.unitsLine,
      timeFormat,
    },
    rows,
    rowsRefused: read.refused,
    ...(read.refusedCount > read.refused.length ? { rowsRefusedCount: read.refusedCount } : {}),
    timeS,
    timeFromFile: clockColumn !== null,
    columns,
    ...(note ? { notes: [note] } : {}),
  };
  return { ok: true, table, clock: orderByClock(timeS, runs.starts) };
};

/**
 * Reads a file into columns and a clock: delimited text, a measurement file of ASAM MDF 4, or Parquet. Problems:
 * 'empty-file', 'not-text', 'no-table', 'no-rows', 'needs-rate' (no clock and no assumed rate), 'too-ragged' (header and
 * rows disagree on the number of columns, or most rows do among themselves), 'damaged' and 'too-large' (binary files),
 * 'stopped' (by `options.watch`). Memory stays in proportion to the file.
 */
export const readTable = (bytes: Uint8Array, options: TableOptions = {}): TableResult => {
  if (isMdf(bytes)) return readMdf4(bytes, options.assumedRateHz, options.watch);
  if (isParquet(bytes)) return readParquet(bytes, options.assumedRateHz, options.watch);
  const tick = ticker(options.watch);
  try {
    tick(0);
    const read = readText(bytes, options, (share) => tick(0.95 * share));
    tick(1);
    return read;
  } catch (error) {
    if (error instanceof ReadingStopped) return { ok: false, problem: STOPPED };
    throw error;
  }
};
