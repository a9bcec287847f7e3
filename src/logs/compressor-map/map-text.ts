/** Text of a map file into rows of numbers with their line numbers, and what its other lines say. */
import { decoderFor, textBytesOf } from '../decode.ts';
import { mendText } from '../dialect.ts';
import { cellKind, parseCell, splitRecords, type TextRecord } from '../records.ts';
import { readUnitText, saysNoUnit } from '../unit-text.ts';
import {
  flowUnitOf,
  lengthOf,
  type MapColumn,
  type MapHeader,
  mapHeaderOf,
  pressureOf,
  speedUnitOf,
  temperatureOf,
} from './map-units.ts';

/** A row as written; speed null where the file gives it in a line above a block. */
export interface RawRow {
  /** 1-based line of the file. */
  readonly line: number;
  readonly speed: number | null;
  readonly flow: number;
  readonly pressureRatio: number;
  readonly efficiency: number;
  readonly mark: string;
}

/** What lines beside the rows say. */
export interface MapSayings {
  readonly referenceTemperatureK?: number;
  readonly referencePressurePa?: number;
  readonly pressureRatioIs?: 'total to total' | 'total to static';
  readonly outletDiameterM?: number;
  readonly exducerM?: number;
}

export interface MapText {
  readonly rows: readonly RawRow[];
  readonly headers: ReadonlyMap<MapColumn, MapHeader>;
  readonly sayings: MapSayings;
  /** Rows that could not be read, with why. */
  readonly refused: readonly { readonly line: number; readonly says: string }[];
}

export type MapTextResult =
  | { readonly ok: true; readonly text: MapText }
  | {
      readonly ok: false;
      readonly code: 'empty-file' | 'not-text' | 'no-table' | 'missing-column';
      readonly says: string;
    };

const COMMENT = /^\s*(?:#|\/\/|;|%|!|\*)+\s*/;
const NEEDED: readonly MapColumn[] = ['flow', 'pressure ratio', 'efficiency'];

const numberOf = (cell: string, decimal: '.' | ','): number => parseCell(cell, decimal).value;
const isNumber = (cell: string): boolean => ['integer', 'point', 'comma'].includes(cellKind(cell));

/** What a line of words says of the map; `found` is filled in. */
const listen = (text: string, found: { -readonly [K in keyof MapSayings]: MapSayings[K] }): void => {
  const reference = /\b(?:ref\w*|corr\w*|standard)\b/i.test(text) || /\b[tp][_ ]?ref\b/i.test(text);
  if (reference) {
    const temperature = temperatureOf(text);
    const pressure = pressureOf(text);
    if (temperature !== null) found.referenceTemperatureK = temperature;
    if (pressure !== null) found.referencePressurePa = pressure;
  }
  if (/total.{0,4}to.{0,4}static/i.test(text)) found.pressureRatioIs = 'total to static';
  else if (/total.{0,4}to.{0,4}total/i.test(text)) found.pressureRatioIs = 'total to total';
  const length = lengthOf(text);
  if (length !== null && /outlet/i.test(text)) found.outletDiameterM = length;
  if (length !== null && /exducer|wheel/i.test(text)) found.exducerM = length;
};

/** Speed said in a line of its own above a block of rows. */
const blockSpeed = (text: string): { value: number; unitText: string } | null => {
  const match = /(\d[\d.,' ]*)\s*(k?rpm|x?\s?1000\s?rpm|1\/min|r\/min|min-1|m\/s)/i.exec(text);
  if (match) {
    const plain = match[1]!
      .trim()
      .replace(/[' ]/g, '')
      .replace(/,(?=\d{3}(?:\D|$))/g, '')
      .replace(',', '.');
    return { value: Number(plain), unitText: match[2]! };
  }
  const bare = /(?:speed|rpm|n|drehzahl)\s*[:=]\s*(\d+(?:\.\d+)?)\s*$/i.exec(text.trim());
  return bare ? { value: Number(bare[1]), unitText: '' } : null;
};

const recordsOf = (text: string): { records: readonly TextRecord[]; separator: string } => {
  let best: { records: readonly TextRecord[]; separator: string; score: number } | null = null;
  for (const separator of ['\t', ';', ',', '|', ' ']) {
    const body = separator === ' ' ? text.replace(/[ \t]+/g, ' ').replace(/^ | (?=[\r\n[(])/gm, '') : text;
    const records = splitRecords(body, separator);
    const score = records.filter(({ fields }) => fields.filter(isNumber).length >= 3).length;
    if (!best || score > best.score) best = { records, separator, score };
  }
  return best!;
};

/** Headers of a record, or null when it names no map columns. */
const headersIn = (record: TextRecord, units: TextRecord | undefined): (MapHeader | null)[] | null => {
  const fields = record.fields.map((field, i) => mendText(i === 0 ? field.replace(COMMENT, '') : field));
  const headers = fields.map((field, i) => (field === '' ? null : mapHeaderOf(field, units?.fields[i] ?? '')));
  const named = new Set(headers.map((header) => header?.column));
  return NEEDED.filter((column) => named.has(column)).length >= 2 ? headers : null;
};

const looksLikeUnits = (record: TextRecord): boolean => {
  const filled = record.fields.map((field) => field.trim()).filter((field) => field !== '');
  return (
    filled.length >= 2 &&
    filled.every((field) => {
      const bare = field.replace(/^[[({]|[\])}]$/g, '');
      return saysNoUnit(bare) || readUnitText(bare) !== null || flowUnitOf(bare) !== null || speedUnitOf(bare) !== null;
    })
  );
};

/** Reads the rows of a map file. Refuses what has no table of flow, pressure ratio and efficiency. */
export const readMapText = (bytes: Uint8Array): MapTextResult => {
  const found = textBytesOf(bytes);
  if (!found.ok) {
    const code = found.problem.code === 'empty-file' ? 'empty-file' : 'not-text';
    return { ok: false, code, says: found.problem.says };
  }
  const text = decoderFor(found.encoding).decode(found.bytes.subarray(found.start));
  const { records, separator } = recordsOf(text);
  const table = records.findIndex(
    (record, i) =>
      !record.fields.some(isNumber) &&
      headersIn(record, records[i + 1] && looksLikeUnits(records[i + 1]!) ? records[i + 1] : undefined) !== null,
  );
  if (table < 0) {
    return {
      ok: false,
      code: 'no-table',
      says: 'No line names columns of flow, pressure ratio and efficiency; the first line of the table must, like "speed [rpm], flow [kg/s], pressure ratio [-], efficiency [%]".',
    };
  }
  const unitsRow = records[table + 1] && looksLikeUnits(records[table + 1]!) ? records[table + 1] : undefined;
  const inOrder = headersIn(records[table]!, unitsRow)!;
  const columns = new Map<MapColumn, number>();
  const headers = new Map<MapColumn, MapHeader>();
  inOrder.forEach((header, index) => {
    if (header && !columns.has(header.column)) {
      columns.set(header.column, index);
      headers.set(header.column, header);
    }
  });
  const missing = NEEDED.filter((column) => !columns.has(column));
  if (missing.length > 0) {
    return {
      ok: false,
      code: 'missing-column',
      says: `Line ${records[table]!.line} names no column of ${missing.join(' and ')}; a map needs flow, pressure ratio and efficiency of each point.`,
    };
  }
  const numbers = records.slice(table + 1).flatMap(({ fields }) => fields.map((field) => cellKind(field)));
  const decimal =
    separator !== ',' &&
    numbers.filter((kind) => kind === 'comma').length > numbers.filter((kind) => kind === 'point').length
      ? ','
      : '.';
  const sayings: { -readonly [K in keyof MapSayings]: MapSayings[K] } = {};
  const rows: RawRow[] = [];
  const refused: { line: number; says: string }[] = [];
  let speedNow: number | null = null;
  let speedUnit = '';
  const cell = (record: TextRecord, column: MapColumn): string => {
    const index = columns.get(column);
    return index === undefined ? '' : (record.fields[index] ?? '').trim();
  };
  records.forEach((record, index) => {
    if (index === table || (unitsRow && index === table + 1)) return;
    const counted = record.fields.filter(isNumber).length;
    const words = record.fields.join(' ').replace(COMMENT, '');
    if (index < table || COMMENT.test(record.fields[0] ?? '') || counted < 2) {
      listen(words, sayings);
      const block = columns.has('speed') && index > table ? null : blockSpeed(words);
      if (block && index !== table && !/ref/i.test(words)) {
        speedNow = block.value;
        if (block.unitText !== '') speedUnit = block.unitText;
      } else if (index > table && counted === 1 && !COMMENT.test(record.fields[0] ?? '')) {
        refused.push({
          line: record.line,
          says: 'holds one number only; a point needs flow, pressure ratio and efficiency',
        });
      }
      return;
    }
    const flow = numberOf(cell(record, 'flow'), decimal);
    const pressureRatio = numberOf(cell(record, 'pressure ratio'), decimal);
    const efficiency = numberOf(cell(record, 'efficiency'), decimal);
    const mark = cell(record, 'mark').toLowerCase();
    const speedText = cell(record, 'speed');
    // A speed written once above its points, as spreadsheets do with joined cells.
    const ownSpeed = speedText === '' ? null : numberOf(speedText, decimal);
    if (columns.has('speed') && ownSpeed !== null && Number.isFinite(ownSpeed)) speedNow = ownSpeed;
    if (!Number.isFinite(flow) || !Number.isFinite(pressureRatio)) {
      refused.push({ line: record.line, says: 'has no number for flow or pressure ratio' });
      return;
    }
    if (
      speedNow === null ||
      !Number.isFinite(speedNow) ||
      (speedText !== '' && !Number.isFinite(ownSpeed ?? Number.NaN))
    ) {
      refused.push({ line: record.line, says: 'has no shaft speed, neither in its row nor in a line above' });
      return;
    }
    rows.push({ line: record.line, speed: speedNow, flow, pressureRatio, efficiency, mark });
  });
  if (!columns.has('speed')) headers.set('speed', { column: 'speed', unitText: speedUnit });
  const basis = headers.get('pressure ratio')?.pressureRatioIs;
  return {
    ok: true,
    text: {
      rows,
      headers,
      sayings: { ...sayings, ...(sayings.pressureRatioIs === undefined && basis ? { pressureRatioIs: basis } : {}) },
      refused,
    },
  };
};
