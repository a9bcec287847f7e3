/** How a file is written: separator, decimal mark, header, units, where the numbers start, which column is the clock. Judged from its head. */
import { type CellKind, cellKind, measureOf, splitRecords, type TextRecord } from './records.ts';
import type { LogProblem } from './types.ts';
import { readUnitText, saysNoUnit } from './unit-text.ts';

export interface Layout {
  readonly separator: string;
  readonly decimal: '.' | ',';
  /** 1-based, 0 when there is no header. */
  readonly headerLine: number;
  readonly unitsLine: number | null;
  /** As written, trimmed; 'Column 3' where the file names none. */
  readonly headers: readonly string[];
  /** From the row of units or, where cells carry their unit, from those; empty texts when there is none. */
  readonly units: readonly string[];
  /** The unit that is written in every cell of a column, as written; null for a column of bare numbers. */
  readonly cellUnits: readonly (string | null)[];
  /** Character offset in the head and 1-based line of the first row of numbers. */
  readonly dataOffset: number;
  readonly dataLine: number;
  /** Fields that every row holds. */
  readonly fields: number;
  /** Blank fields that rows may have beyond that (a separator at the end of each line). */
  readonly spareFields: number;
  /** Rows of numbers seen in the head, as text, for judging columns. */
  readonly sample: readonly TextRecord[];
}

export type LayoutResult =
  | { readonly ok: true; readonly layout: Layout }
  | { readonly ok: false; readonly problem: LogProblem };

const SEPARATORS = ['\t', ';', ',', '|'] as const;
const RECORDS_LOOKED_AT = 400;
const COMMENT = /^\s*(?:#|\/\/|;|%|'|!|\*)+\s*/;

/** Takes off the second half of a degree sign that was written in UTF-8 and read as Latin-1, turns a lost one back, and puts lines together. */
export const mendText = (text: string): string =>
  text
    .replace(/Â(?=[°²³µ·])/g, '')
    .replaceAll('�', '°')
    .replace(/\s*[\r\n]+\s*/g, ' ')
    .trim();

const isNumber = (kind: CellKind): boolean =>
  kind === 'integer' || kind === 'point' || kind === 'comma' || kind === 'clock' || kind === 'measure';

interface Look {
  readonly record: TextRecord;
  readonly kinds: readonly CellKind[];
  /** Numbers as a share of the cells that are not blank. */
  readonly numberShare: number;
  readonly filled: number;
}

const lookAt = (record: TextRecord): Look => {
  const kinds = record.fields.map(cellKind);
  let filled = 0;
  let numbers = 0;
  for (const kind of kinds) {
    if (kind === 'blank') continue;
    filled++;
    if (isNumber(kind) || kind === 'missing') numbers += kind === 'missing' ? 0.5 : 1;
  }
  return { record, kinds, filled, numberShare: filled > 0 ? numbers / filled : 0 };
};

const isRow = (look: Look): boolean => look.record.fields.length >= 2 && look.filled >= 1 && look.numberShare >= 0.5;

interface Split {
  readonly separator: string;
  readonly looks: readonly Look[];
  /** The commonest number of fields among rows of numbers, and the weight of each number seen. */
  readonly fields: number;
  readonly weights: ReadonlyMap<number, number>;
  readonly score: number;
}

const trySeparator = (text: string, separator: string): Split => {
  const looks = splitRecords(text, separator, RECORDS_LOOKED_AT).map(lookAt);
  const weights = new Map<number, number>();
  for (const look of looks) {
    if (!isRow(look)) continue;
    const size = look.record.fields.length;
    weights.set(size, (weights.get(size) ?? 0) + look.numberShare ** 4);
  }
  let fields = 0;
  let score = 0;
  for (const [size, weight] of weights) {
    if (weight > score || (weight === score && size > fields)) [fields, score] = [size, weight];
  }
  return { separator, looks, fields, weights, score };
};

const unitShare = (fields: readonly string[]): number => {
  let filled = 0;
  let units = 0;
  for (const field of fields) {
    if (field.trim() === '') continue;
    filled++;
    if (readUnitText(field) || saysNoUnit(field) || /^h{1,2}:mm/i.test(field.trim())) units++;
  }
  return filled > 0 ? units / filled : 0;
};

/** Fields of a text line with the mark of a comment taken off, when the line is a commented header. */
const uncommented = (record: TextRecord, separator: string): string[] => {
  const fields = [...record.fields];
  const first = fields[0] ?? '';
  if (separator === ';' && first.trim() === '' && record.fields.length > 1) return fields;
  if (COMMENT.test(first)) fields[0] = first.replace(COMMENT, '');
  return fields;
};

const withoutTrailingBlanks = (fields: readonly string[]): string[] => {
  let size = fields.length;
  while (size > 0 && fields[size - 1]!.trim() === '') size--;
  return fields.slice(0, size);
};

const decimalOf = (looks: readonly Look[], separator: string): '.' | ',' => {
  let points = 0;
  let commas = 0;
  for (const { kinds, record } of looks) {
    kinds.forEach((written, i) => {
      const kind = written === 'measure' ? cellKind(measureOf(record.fields[i]!)!.number) : written;
      if (kind === 'point') points++;
      else if (kind === 'comma') commas++;
    });
  }
  if (points === 0 && commas === 0) return separator === ';' ? ',' : '.';
  return commas > points ? ',' : '.';
};

const refuse = (code: LogProblem['code'], says: string): LayoutResult => ({ ok: false, problem: { code, says } });

/** Text lines right above the first row of numbers, nearest first, that have about as many fields as it. */
const headerRecords = (split: Split, firstRow: number): Look[] => {
  const above: Look[] = [];
  for (let i = firstRow - 1; i >= 0 && above.length < 6; i--) {
    const look = split.looks[i]!;
    const size = look.record.fields.length;
    if (size < 2 || size < split.fields / 2 || look.numberShare >= 0.5) break;
    above.push(look);
  }
  return above;
};

/**
 * Finds out how the file is written from its head (decoded text, whole lines). Problems: 'no-table' when no separator
 * splits it into rows of numbers, 'too-ragged' when the header names another number of columns than the rows hold.
 */
export const layoutOf = (head: string): LayoutResult => {
  let split = trySeparator(head, SEPARATORS[0]);
  for (const separator of SEPARATORS.slice(1)) {
    const other = trySeparator(head, separator);
    if (other.score > split.score || (other.score === split.score && other.fields > split.fields)) split = other;
  }
  if (split.score === 0) {
    const columns = SEPARATORS.map((separator) => splitRecords(head, separator, 1)[0]?.fields.length ?? 0);
    return Math.max(...columns) >= 3
      ? refuse('no-rows', 'The file has a header but no rows of numbers below it; log again or export the whole run.')
      : refuse(
          'no-table',
          'No rows of numbers split by comma, semicolon, tab or bar were found; export the log as delimited text (CSV).',
        );
  }
  const { separator, looks } = split;
  // Where rows disagree, those that agree with the line of names are believed, unless they are few.
  const namesAbove =
    looks.slice(0, looks.findIndex(isRow)).findLast(({ numberShare }) => numberShare < 0.5)?.record.fields.length ?? 0;
  if (namesAbove !== split.fields && (split.weights.get(namesAbove) ?? 0) >= 0.2 * split.score)
    split = { ...split, fields: namesAbove };
  const firstRow = looks.findIndex((look) => isRow(look) && look.record.fields.length === split.fields);
  const rows = looks.slice(firstRow).filter((look) => isRow(look) && look.record.fields.length === split.fields);
  const above = headerRecords(split, firstRow);
  // Nearest first: a row of units, if any, then the names; where the order is swapped, the names are the line below.
  let names: Look | undefined = above[0];
  let units: Look | undefined;
  if (above.length > 1 && unitShare(uncommented(above[0]!.record, separator)) >= 0.5)
    [units, names] = [above[0], above[1]];
  else if (above.length > 1 && unitShare(above[1]!.record.fields) >= 0.6) units = above[1];
  let headerFields = names ? uncommented(names.record, separator) : [];
  const upper = above.find(
    (look) => look !== units && names !== undefined && above.indexOf(look) > above.indexOf(names),
  );
  if (upper) headerFields = joinedNames(uncommented(upper.record, separator), headerFields);
  let unitFields: readonly string[] = units ? uncommented(units.record, separator) : [];
  const fill = (size: number): boolean => withoutTrailingBlanks(headerFields).length > size;
  if (separator === ';' && headerFields[0]?.trim() === '' && fill(split.fields)) {
    // "; t;rpm": the mark of the comment is the separator itself.
    headerFields = headerFields.slice(1);
    unitFields = unitFields[0]?.trim() === '' ? unitFields.slice(1) : unitFields;
  }
  const named = withoutTrailingBlanks(headerFields);
  const lastIsBlank = rows.every(({ kinds }) => kinds[split.fields - 1] === 'blank');
  let fields = split.fields;
  if (names) {
    if (named.length < fields && (headerFields.length >= fields || lastIsBlank))
      fields = Math.max(named.length, lastFilled(rows));
    if (named.length > fields || (named.length < fields && headerFields.length < fields)) {
      return refuse(
        'too-ragged',
        `Line ${names.record.line} names ${named.length} columns but the rows have ${split.fields} fields; check the separator and the decimal mark of the export.`,
      );
    }
  }
  const headers = Array.from({ length: fields }, (_, i) => mendText(headerFields[i] ?? '') || `Column ${i + 1}`);
  const first = looks[firstRow]!.record;
  const cellUnits = headers.map((_, i) => cellUnitOf(rows, i));
  return {
    ok: true,
    layout: {
      separator,
      decimal: decimalOf(rows, separator),
      headerLine: names?.record.line ?? 0,
      unitsLine: units?.record.line ?? null,
      headers,
      units: headers.map((_, i) => mendText(cellUnits[i] ?? unitFields[i] ?? '')),
      cellUnits,
      dataOffset: first.offset,
      dataLine: first.line,
      fields,
      spareFields: Math.max(split.fields, headerFields.length) - fields + 1,
      sample: rows.map(({ record }) => record),
    },
  };
};

/** Names over two lines ("Engine" over "Speed") put together, where the lower ones alone are not told apart and each has its upper half. */
const joinedNames = (upper: readonly string[], lower: readonly string[]): string[] => {
  const filled = withoutTrailingBlanks(lower);
  const kinds = (names: readonly string[]): number => new Set(names.map((name) => name.trim().toLowerCase())).size;
  const joined = filled.map((name, i) => {
    const above = (upper[i] ?? '').trim();
    return above === '' || above === name.trim() ? name : `${above} ${name.trim()}`;
  });
  const isWhole = filled.every((name, i) => name.trim() === '' || (upper[i] ?? '').trim() !== '');
  return isWhole && kinds(filled) < filled.length && kinds(joined) > kinds(filled) ? joined : [...lower];
};

/** The unit that nine in ten filled cells of a column carry, or null. */
const cellUnitOf = (rows: readonly Look[], column: number): string | null => {
  const counts = new Map<string, number>();
  let filled = 0;
  for (const { kinds, record } of rows) {
    const kind = kinds[column] ?? 'blank';
    if (kind === 'blank' || kind === 'missing') continue;
    filled++;
    if (kind !== 'measure') continue;
    const { unit } = measureOf(record.fields[column]!)!;
    counts.set(unit, (counts.get(unit) ?? 0) + 1);
  }
  for (const [unit, count] of counts) if (count >= 0.9 * filled) return unit;
  return null;
};

/** One past the last column that holds anything in the rows looked at. */
const lastFilled = (rows: readonly Look[]): number => {
  let last = 0;
  for (const { kinds } of rows) {
    for (let i = kinds.length - 1; i >= last; i--) if (kinds[i] !== 'blank') last = i + 1;
  }
  return last;
};
