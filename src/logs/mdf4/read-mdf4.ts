/** An ASAM MDF 4 file to a table: channels as columns, the masters' times as its clock. */
import { orderByClock } from '../clock.ts';
import { splitHeader } from '../header.ts';
import { mergedRasters, usualStepS } from '../rasters.ts';
import type { TableResult } from '../table.ts';
import type { Column, LogProblem, LogTable, RefusedColumn } from '../types.ts';
import { readUnitText } from '../unit-text.ts';
import { guessesByName } from '../vocabulary.ts';
import { ReadingStopped, type ReadWatch, STOPPED, ticker } from '../watch.ts';
import { Mdf4Damage, type Mdf4File, mdf4FileOf } from './blocks.ts';
import { type Conversion, conversionAt, conversionCount } from './conversion.ts';
import type { DataContext } from './data.ts';
import { dataGroupsOf, identificationOf, startTimeOf } from './identification.ts';
import { dealtRecords, type GroupRecords } from './records.ts';
import { CHANNEL_TYPE, type ChannelPlan, channelCount, dataGroupOf, SYNC } from './tree.ts';
import { type ReadValues, valuesOf, whyNoNumbers } from './values.ts';

const refuse = (code: LogProblem['code'], says: string): TableResult => ({ ok: false, problem: { code, says } });

const NEXT = 'write the measurement again, or export it as delimited text (CSV)';

/** Bytes of records that are unpacked at most, so that a small packed file cannot fill the memory. */
const mostRecordBytes = (fileBytes: number): number => Math.max(256e6, 5 * fileBytes);
/** Cells of named columns at most. */
const mostCells = (fileBytes: number): number => Math.max(16e6, 0.3 * fileBytes);
/** Records of all groups together at most: each row takes a hundred bytes and more of clock, order and readings. */
const mostRecords = (fileBytes: number): number => Math.max(4e6, 0.08 * fileBytes);

const tooLarge = (readings: string): TableResult =>
  refuse(
    'too-large',
    `The measurement file has more ${readings} than this reader spends memory on; record fewer channels, or a shorter time.`,
  );

/** Name without the device that some writers put behind a backslash. */
const plainName = (name: string): string => name.split('\\')[0]!.trim() || name;

const isMaster = ({ type, syncType }: ChannelPlan): boolean =>
  (type === CHANNEL_TYPE.master || type === CHANNEL_TYPE.virtualMaster) && syncType === SYNC.time;

const isFloat = ({ dataType }: ChannelPlan): boolean => dataType === 4 || dataType === 5;

/** One readable channel of a group. */
interface Source {
  readonly records: GroupRecords;
  readonly channel: ChannelPlan;
  readonly conversion: Conversion & { readonly ok: true };
  readonly unit: string;
}

interface Found {
  readonly records: GroupRecords;
  readonly master: Source | null;
  readonly sources: Source[];
}

interface Reading {
  readonly found: Found[];
  readonly refused: RefusedColumn[];
  readonly notes: string[];
}

const readGroups = (file: Mdf4File, context: DataContext): Reading => {
  const refused: RefusedColumn[] = [];
  const notes: string[] = [];
  const found: Found[] = [];
  const channels = channelCount();
  const count = conversionCount();
  const conversions = new Map<string, Conversion>();
  const conversionOf = (channel: ChannelPlan): Conversion => {
    const key = `${channel.conversion} ${isFloat(channel)}`;
    const known = conversions.get(key);
    if (known) return known;
    const read = conversionAt(file, channel.conversion, { isFloat: isFloat(channel), count });
    conversions.set(key, read);
    return read;
  };
  const sourceOf = (records: GroupRecords, channel: ChannelPlan): Source | string => {
    const why = whyNoNumbers(channel, records.group.dataBytes);
    if (why) return why;
    const conversion = conversionOf(channel);
    return conversion.ok ? { records, channel, conversion, unit: channel.unit || conversion.unit } : conversion.why;
  };
  for (const block of dataGroupsOf(file)) {
    try {
      const dealt = dealtRecords(file, dataGroupOf(file, block, channels), context);
      notes.push(...dealt.notes);
      for (const records of dealt.groups) {
        const sources: Source[] = [];
        let master: Source | null = null;
        for (const channel of records.group.channels) {
          const source = sourceOf(records, channel);
          if (typeof source === 'string') {
            if (channel.composition !== 'members') refused.push({ column: plainName(channel.name), why: source });
          } else if (isMaster(channel) && !master) master = source;
          else sources.push(source);
        }
        found.push({ records, master, sources });
      }
    } catch (error) {
      if (!(error instanceof Mdf4Damage)) throw error;
      notes.push(`the data group at byte ${block.at} is not read: ${error.message}`);
    }
  }
  return { found, refused, notes };
};

const readSource = ({ records, channel, conversion }: Source): ReadValues =>
  valuesOf(records, channel, conversion.convert);

/** Seconds per unit of a master: seconds by the standard, unless its unit says otherwise. */
const secondsPerUnit = (unit: string): number => {
  const read = readUnitText(unit);
  const factor = { s: 1, ms: 1e-3, min: 60, h: 3600 }[read?.unit as 's'];
  return factor === undefined ? 1 : factor * read!.scale;
};

const sameTimes = (a: Float64Array, b: Float64Array): boolean => {
  if (a.length !== b.length) return false;
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false;
  return true;
};

/** Groups that have a time, by raster: those whose masters agree to the last bit share one. */
const rastersOf = (
  reading: Reading,
  assumedRateHz: number | undefined,
): { readonly rasters: Float64Array[]; readonly of: Map<Found, number>; readonly fromFile: boolean } => {
  const byOffset = new Map(reading.found.map((one) => [one.records.group.at, one]));
  const rasters: Float64Array[] = [];
  const of = new Map<Found, number>();
  let fromFile = true;
  const withRecords = reading.found.filter(({ records, sources }) => records.count > 0 && sources.length > 0);
  for (const one of withRecords) {
    const { group, count } = one.records;
    const master = one.master ?? byOffset.get(group.remoteMaster)?.master ?? null;
    let timeS: Float64Array;
    if (master) {
      timeS = readSource(master).values;
      const factor = secondsPerUnit(master.unit);
      if (factor !== 1) for (let i = 0; i < timeS.length; i++) timeS[i] = timeS[i]! * factor;
      if (timeS.length < count) {
        reading.notes.push(`group "${group.name}" has ${count} records but its time only ${timeS.length}`);
      }
      timeS = timeS.subarray(0, count);
    } else if (assumedRateHz && assumedRateHz > 0 && withRecords.every((other) => !other.master)) {
      timeS = Float64Array.from({ length: count }, (_, i) => i / assumedRateHz);
      fromFile = false;
    } else {
      for (const { channel } of one.sources) {
        reading.refused.push({ column: plainName(channel.name), why: 'its group has no time' });
      }
      continue;
    }
    const known = rasters.findIndex((raster) => sameTimes(raster, timeS));
    of.set(one, known >= 0 ? known : rasters.push(timeS) - 1);
  }
  for (const { records, sources } of reading.found) {
    if (records.count > 0) continue;
    for (const { channel } of sources) {
      reading.refused.push({ column: plainName(channel.name), why: 'its group has no records' });
    }
  }
  return { rasters, of, fromFile };
};

/** True when a column may be one of the house's channels: those are what memory is needed for. */
const isNamed = (header: string, unitText: string): boolean => {
  const { words, unit } = splitHeader(header, unitText);
  const [first] = guessesByName(words);
  return first ? first.channel !== null : unit?.unit === 'rpm';
};

/** Rows of the table by sample of a raster: -1 for one left out, and without those. */
interface PlacedRaster {
  readonly rowOf: Int32Array;
  readonly rows: Int32Array;
}

const placed = (rowOf: Int32Array): PlacedRaster => ({
  rowOf,
  rows: rowOf.includes(-1) ? rowOf.filter((row) => row >= 0) : rowOf,
});

/** A column whose cells are taken out of the records when they are first asked for. */
const columnOf = (index: number, source: Source, rows: number, raster: PlacedRaster | null): Column => {
  const header = plainName(source.channel.name) || `Channel ${index + 1}`;
  let read: { readonly cells: Float64Array; readonly without: number } | null = null;
  const get = (): { readonly cells: Float64Array; readonly without: number } => {
    if (read) return read;
    const { values, without } = readSource(source);
    let cells = values.length > rows ? values.subarray(0, rows) : values;
    if (raster) {
      cells = new Float64Array(rows).fill(Number.NaN);
      const { rowOf } = raster;
      for (let i = 0; i < rowOf.length; i++) if (rowOf[i]! >= 0) cells[rowOf[i]!] = values[i]!;
    }
    read = { cells, without };
    return read;
  };
  return {
    index,
    header,
    unitText: splitHeader(header, source.unit).unitText,
    get cells() {
      return get().cells;
    },
    get unreadableCells() {
      return get().without;
    },
    ...(raster ? { raster: raster.rows } : {}),
  };
};

const tableOf = (file: Mdf4File, reading: Reading, assumedRateHz: number | undefined): TableResult => {
  const { found, refused, notes } = reading;
  const records = found.reduce((sum, one) => sum + (one.sources.length > 0 ? one.records.count : 0), 0);
  if (records > mostRecords(file.size)) return tooLarge('records');
  const { rasters, of, fromFile } = rastersOf(reading, assumedRateHz);
  if (rasters.length === 0) {
    const some = found.some(({ records, sources }) => records.count > 0 && sources.length > 0);
    if (some)
      return refuse('needs-rate', 'The file has no time for its channels; say how many rows it logs each second.');
    return found.some(({ sources }) => sources.length > 0)
      ? refuse('no-rows', `The measurement file names channels but holds no records; ${NEXT}.`)
      : refuse(
          'no-table',
          `The measurement file holds no channel of numbers that can be read${notes[0] ? ` (${notes[0]})` : ''}; ${NEXT}.`,
        );
  }
  const named = [...of.keys()].reduce(
    (sum, { sources }) => sum + sources.filter(({ channel, unit }) => isNamed(plainName(channel.name), unit)).length,
    0,
  );
  const only = rasters.length === 1 && rasters[0]!.every(Number.isFinite) ? rasters[0]! : null;
  const mostRows = mostCells(file.size) / Math.max(1, named);
  const merged = only ? null : mergedRasters(rasters, mostRows);
  if (only ? only.length > mostRows : !merged) {
    return tooLarge(`readings of ${named} channels`);
  }
  const timeS = only ?? merged!.timeS;
  if (timeS.length < 2) return refuse('no-rows', 'Only one record could be read; log again or export the whole run.');
  if (merged && merged.leftOut > 0) {
    notes.push(`${merged.leftOut} samples whose time runs back or is missing are left out`);
  }
  if (merged && merged.movedS > 1e-6) {
    notes.push(
      `times were moved by up to ${(1000 * merged.movedS).toPrecision(2)} ms to bring ${rasters.length} clocks on one`,
    );
  }
  const places = merged?.rows.map(placed);
  const columns: Column[] = [];
  for (const [one, raster] of of) {
    for (const source of one.sources) {
      columns.push(columnOf(columns.length, source, timeS.length, places ? places[raster]! : null));
    }
  }
  const startedAtS = startTimeOf(file);
  const table: LogTable = {
    dialect: {
      format: 'mdf4',
      encoding: 'utf-8',
      separator: '',
      decimal: '.',
      headerLine: 0,
      unitsLine: null,
      timeFormat: fromFile ? 's' : 'none',
    },
    rows: timeS.length,
    rowsRefused: [],
    timeS,
    timeFromFile: fromFile,
    ...(startedAtS === null ? {} : { startedAtS }),
    columns,
    ...(refused.length > 0 ? { columnsRefused: refused } : {}),
    ...(notes.length > 0 ? { notes } : {}),
  };
  const clock = orderByClock(timeS);
  // The rate of a file of several rates is that of its fastest.
  const steps = rasters.map(usualStepS).filter((step) => step > 0);
  return { ok: true, table, clock: only ? clock : { ...clock, medianStepS: Math.min(...steps) } };
};

/**
 * Reads a measurement file of ASAM MDF 4.0 to 4.2, finalised or not, sorted or not, packed or not. Text, arrays, and
 * conversions that give no numbers are listed in `columnsRefused`; what is cut off or damaged is told in `notes`, and
 * what comes before it is kept. Never throws.
 */
export const readMdf4 = (bytes: Uint8Array, assumedRateHz?: number, watch?: ReadWatch): TableResult => {
  const file = mdf4FileOf(bytes);
  try {
    const identification = identificationOf(file);
    const tick = ticker(watch);
    let done = 0;
    const context: DataContext = {
      unfinished: identification.unfinished,
      bytesLeft: mostRecordBytes(file.size),
      onBlock: (size) => {
        tick((0.9 * done) / Math.max(done + size, file.size));
        done += size;
      },
    };
    tick(0);
    const reading = readGroups(file, context);
    if (!identification.finalised) {
      reading.notes.unshift('the measurement file was not finalised by its writer; its records were counted anew');
    }
    const table = tableOf(file, reading, assumedRateHz);
    tick(1);
    return table;
  } catch (error) {
    if (error instanceof ReadingStopped) return { ok: false, problem: STOPPED };
    if (!(error instanceof Mdf4Damage)) throw error;
    return refuse('damaged', `The measurement file (MDF) cannot be read: ${error.message}; ${NEXT}.`);
  }
};
