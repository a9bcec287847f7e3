/** Changes to a build sheet as they are typed: gathered as text, so that nothing is lost, and turned into a sheet when asked. */
import { type Build, checkBuild, type Source } from '../../src/car/index.ts';
import { readNumber } from '../state/typed.ts';
import { CHOICE_PLACES, NUMBER_PLACES, TABLE_PLACES, type TablePlace } from './sheet-fields.ts';

export interface TypedNumber {
  readonly value: string;
  readonly unit: string;
  /** Empty: the usual plus-minus of its source. */
  readonly spread: string;
  /** `%` of the value, or in its unit. */
  readonly spreadIn: '%' | 'unit';
  readonly source: Source;
  readonly note: string;
}

export interface TypedTable {
  readonly rows: readonly (readonly string[])[];
  /** One a column; none for a plain list. */
  readonly units: readonly string[];
  readonly source: Source;
  /** Percent; empty: the usual one. */
  readonly spread: string;
  readonly note: string;
}

export type Change =
  | { readonly kind: 'number'; readonly typed: TypedNumber }
  | { readonly kind: 'table'; readonly typed: TypedTable }
  /** Empty: not said. */
  | { readonly kind: 'choice'; readonly typed: string }
  /** Taken back to the estimate. */
  | { readonly kind: 'estimate' };

/** By path of the sheet, like `fuelSystem.injectorFlow`. */
export type Changes = Readonly<Record<string, Change>>;

export interface FieldProblem {
  /** The place that can be typed into. */
  readonly path: string;
  readonly says: string;
}

type Plain = Record<string, unknown>;
const asObject = (value: unknown): Plain =>
  typeof value === 'object' && value !== null && !Array.isArray(value) ? (value as Plain) : {};

/** What stands at a path of a sheet, which need not be a whole one. */
export const valueAt = (sheet: unknown, path: string): unknown =>
  path.split('.').reduce<unknown>((value, step) => asObject(value)[step], sheet);

/** A sheet with a value at a path; undefined takes it out. */
const withValue = (sheet: unknown, path: string, value: unknown): Plain => {
  const [group = '', name = ''] = path.split('.');
  const whole = asObject(sheet);
  const { [name]: _old, ...rest } = asObject(whole[group]);
  const next = value === undefined ? rest : { ...asObject(whole[group]), [name]: value };
  const { [group]: _group, ...others } = whole;
  // A part of the sheet that nobody says anything about is left out, as it was before.
  return value === undefined && Object.keys(next).length === 0 && _group === undefined
    ? others
    : { ...whole, [group]: next };
};

const NO_VALUE: unique symbol = Symbol('no value');

/** A quantity from what was typed, with what is wrong with it. */
const quantityFrom = (path: string, typed: TypedNumber, problems: FieldProblem[]): unknown => {
  if (typed.value.trim() === '') {
    if (!NUMBER_PLACES.get(path)?.required) return undefined;
    problems.push({ path, says: 'missing: type a number' });
    return NO_VALUE;
  }
  const value = readNumber(typed.value);
  const spread = typed.spread.trim() === '' ? null : readNumber(typed.spread);
  if (!value.ok) problems.push({ path, says: value.says });
  if (spread && !spread.ok) problems.push({ path, says: `plus-minus: ${spread.says}` });
  if (spread?.ok && spread.value < 0) problems.push({ path, says: 'plus-minus: expected nought or more' });
  if (!value.ok || (spread && (!spread.ok || spread.value < 0))) return NO_VALUE;
  return {
    value: value.value,
    unit: typed.unit,
    source: typed.source,
    ...(spread?.ok ? { spread: `${spread.value} ${typed.spreadIn === '%' ? '%' : typed.unit}` } : {}),
    ...(typed.note.trim() === '' ? {} : { note: typed.note.trim() }),
  };
};

/** A curve or a list from what was typed. Rows without a figure are passed over. */
const tableFrom = (place: TablePlace, typed: TypedTable, problems: FieldProblem[]): unknown => {
  const { path, columns } = place;
  const filled = typed.rows
    .map((cells, index) => ({ cells, index }))
    .filter(({ cells }) => cells.some((cell) => cell.trim() !== ''));
  const numbers: number[][] = columns.map(() => []);
  let sound = true;
  for (const { cells, index } of filled) {
    columns.forEach(({ name }, column) => {
      const read = readNumber(cells[column] ?? '');
      if (read.ok) numbers[column]?.push(read.value);
      else {
        sound = false;
        problems.push({ path, says: `row ${index + 1}, ${name.toLowerCase()}: ${read.says}` });
      }
    });
  }
  if (filled.length === 0) {
    problems.push({
      path,
      says: place.required ? 'missing: type at least one row' : 'type a row, or take it back to the estimate',
    });
    sound = false;
  }
  const spread = typed.spread.trim() === '' ? null : readNumber(typed.spread);
  if (spread && (!spread.ok || spread.value < 0)) {
    problems.push({ path, says: 'plus-minus: expected a percentage, like 5' });
    sound = false;
  }
  if (!sound) return NO_VALUE;
  if (place.isList) return numbers[0];
  const [at = [], values = []] = numbers;
  // Rows may be typed in any order.
  const order = at.map((_, i) => i).sort((i, j) => (at[i] ?? 0) - (at[j] ?? 0));
  return {
    at: { unit: typed.units[0], values: order.map((i) => at[i]) },
    values: { unit: typed.units[1], values: order.map((i) => values[i]) },
    source: typed.source,
    ...(spread?.ok ? { spread: `${spread.value} %` } : {}),
    ...(typed.note.trim() === '' ? {} : { note: typed.note.trim() }),
  };
};

const choiceFrom = (path: string, typed: string, problems: FieldProblem[]): unknown => {
  const place = CHOICE_PLACES.find((one) => one.path === path);
  const text = typed.trim();
  if (text === '') {
    if (!place?.required) return undefined;
    problems.push({ path, says: 'missing: choose one' });
    return NO_VALUE;
  }
  if (place?.kind === 'count') return Number(text);
  if (place?.kind === 'yes or no') return text === 'yes';
  return path === 'tyres.size' ? text.toUpperCase().replace(/\s+/g, '') : text;
};

/** The place that can be typed into for a place of the schema: `engine.displacement.value` is `engine.displacement`. */
const typedPlace = (path: string): string =>
  path === 'turbocharger' || path === 'tyres' ? path : path.split(/[.[]/).slice(0, 2).join('.');

export interface Applied {
  /** The sheet as far as what was typed can be read; what cannot be read stays as it was. */
  readonly sheet: unknown;
  /** Null while anything is wrong. */
  readonly build: Build | null;
  /** First what cannot be read, then what the schema refuses. */
  readonly problems: readonly FieldProblem[];
}

/** A sheet with changes, checked by the schema that store, server and files are checked by. */
export const applyChanges = (sheet: unknown, changes: Changes): Applied => {
  const problems: FieldProblem[] = [];
  let next: unknown = sheet;
  for (const [path, change] of Object.entries(changes)) {
    const table = TABLE_PLACES.find((place) => place.path === path);
    const value =
      change.kind === 'estimate'
        ? undefined
        : change.kind === 'number'
          ? quantityFrom(path, change.typed, problems)
          : change.kind === 'choice'
            ? choiceFrom(path, change.typed, problems)
            : table
              ? tableFrom(table, change.typed, problems)
              : NO_VALUE;
    if (value !== NO_VALUE) next = withValue(next, path, value);
  }
  const checked = checkBuild(JSON.parse(JSON.stringify(next)));
  const said = new Set(problems.map(({ path }) => path));
  const refused = checked.ok
    ? []
    : checked.problems
        .map(({ path, says }) => ({ path: typedPlace(path), says: says.replace(/^missing; expected .*$/, 'missing') }))
        .filter(({ path }) => !said.has(path));
  return {
    sheet: next,
    build: checked.ok && problems.length === 0 ? checked.build : null,
    problems: [...problems, ...refused],
  };
};
