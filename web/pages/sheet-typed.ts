/** From a sheet to what can be typed over: numbers, curves and choices as text, in a unit of the reader's, and back in words. */
import type { BuildView, QuantityView } from '../../src/app/api.ts';
import { type Build, type CurveQuantity, type Quantity, type ResolvedBuild, toUncertain } from '../../src/car/index.ts';
import { STANDARD_CONDITIONS } from '../../src/match/index.ts';
import { dimensionOf, fromSi, isUnit, spreadFromSi, spreadToSi, toSi, type Unit } from '../../src/physics/units.ts';
import { readNumber } from '../state/typed.ts';
import type { UnitKind, Units } from '../state/units.ts';
import { writeNumber } from '../state/units.ts';
import { type Change, type Changes, type TypedNumber, type TypedTable, valueAt } from './sheet-draft.ts';
import {
  CHOICE_PLACES,
  NUMBER_PLACES,
  PUMP_OCTANE,
  shortName,
  TABLE_PLACES,
  type TablePlace,
  unitInWords,
} from './sheet-fields.ts';

const rounded = (value: number): string => String(Number(value.toPrecision(6)));

/** Size and unit of a plus-minus as the sheet has it; in the value's own unit where it is in a third one. */
const spreadParts = (spread: string | undefined, unit: string): Pick<TypedNumber, 'spread' | 'spreadIn'> => {
  const [, size, own = ''] = /^\D*?([\d.]+(?:e-?\d+)?)\s*(.*?)\s*$/.exec(spread ?? '') ?? [];
  if (size === undefined) return { spread: '', spreadIn: '%' };
  if (own === '%') return { spread: size, spreadIn: '%' };
  const turned = own !== '' && own !== unit && isUnit(own) && isUnit(unit);
  return {
    spread: turned ? rounded(spreadFromSi(spreadToSi(Number(size), own), unit)) : size,
    spreadIn: 'unit',
  };
};

/** What stands on the sheet, to be typed over; null where an estimate stands. */
export const typedNumberOf = (sheet: unknown, path: string): TypedNumber | null => {
  const quantity = valueAt(sheet, path) as Quantity | undefined;
  if (!quantity) return null;
  const { value, unit, source, spread, note } = quantity;
  return { value: String(value), unit, ...spreadParts(spread, unit), source, note: note ?? '' };
};

const turn = (text: string, from: string, to: string): string | null => {
  const read = readNumber(text);
  if (!read.ok || !isUnit(from) || !isUnit(to) || dimensionOf(from) !== dimensionOf(to)) return null;
  return rounded(fromSi(toSi(read.value, from), to));
};

/**
 * Another unit chosen. A figure that stands as the sheet has it is turned into that unit; one that was typed stays as it
 * was typed, for it was meant in the unit now chosen.
 */
export const withUnit = (typed: TypedNumber, onSheet: TypedNumber | null, unit: string): TypedNumber => {
  if (!onSheet) return { ...typed, unit };
  const asTurned = turn(onSheet.value, onSheet.unit, typed.unit);
  if (typed.value !== onSheet.value && typed.value !== asTurned) return { ...typed, unit };
  const value = unit === onSheet.unit ? onSheet.value : turn(onSheet.value, onSheet.unit, unit);
  const isOwn = typed.spreadIn === 'unit' && typed.spread !== '' && isUnit(typed.unit) && isUnit(unit);
  const size = Number(typed.spread);
  return {
    ...typed,
    unit,
    ...(value === null ? {} : { value }),
    ...(isOwn && Number.isFinite(size)
      ? { spread: rounded(spreadFromSi(spreadToSi(size, typed.unit as Unit), unit as Unit)) }
      : {}),
  };
};

const cellOf = (value: number): string => rounded(value);

/** A curve or list of the sheet, to be typed over; where an estimate stands, the estimate. */
export const typedTableOf = (
  sheet: unknown,
  place: TablePlace,
  resolved: ResolvedBuild | null,
): TypedTable & { readonly estimated: boolean } => {
  const value = valueAt(sheet, place.path);
  const empty = { units: place.columns.map(({ unit }) => unit), source: 'measured' as const, spread: '', note: '' };
  if (place.isList) {
    const list = Array.isArray(value) ? (value as number[]) : [];
    return { ...empty, units: [], rows: list.map((one) => [String(one)]), estimated: false };
  }
  const curve = value as CurveQuantity | undefined;
  if (curve) {
    return {
      rows: curve.at.values.map((at, i) => [String(at), String(curve.values.values[i] ?? '')]),
      units: [curve.at.unit, curve.values.unit],
      source: curve.source,
      spread: /[\d.]+/.exec(curve.spread ?? '')?.[0] ?? '',
      note: curve.note ?? '',
      estimated: false,
    };
  }
  const curves = resolved?.car.curves;
  const estimate =
    place.path === 'engine.volumetricEfficiency'
      ? curves?.volumetricEfficiency
      : place.path === 'chargeCooler.effectiveness'
        ? curves?.effectiveness
        : place.path === 'targets.lambda'
          ? curves?.lambdaTarget
          : undefined;
  const [at = '1', unit = '1'] = empty.units;
  return {
    ...empty,
    rows: (estimate?.at ?? []).map((where, i) => [
      cellOf(fromSi(where, at as Unit)),
      cellOf(fromSi(estimate?.values[i] ?? 0, unit as Unit)),
    ]),
    estimated: true,
  };
};

/** A column turned into another unit: gauge and absolute over standard air, which is then to be said. */
export const withColumnUnit = (
  typed: TypedTable,
  column: number,
  unit: string,
): { readonly typed: TypedTable; readonly overStandardAir: boolean } => {
  const from = typed.units[column];
  const units = typed.units.map((own, i) => (i === column ? unit : own));
  if (from === undefined || !isUnit(from) || !isUnit(unit))
    return { typed: { ...typed, units }, overStandardAir: false };
  const [was, is] = [dimensionOf(from), dimensionOf(unit)];
  const air =
    was === is
      ? 0
      : is === 'gauge pressure'
        ? -STANDARD_CONDITIONS.ambientPressurePa
        : STANDARD_CONDITIONS.ambientPressurePa;
  const rows = typed.rows.map((cells) =>
    cells.map((cell, i) => {
      const read = readNumber(cell);
      return i === column && read.ok ? rounded(fromSi(toSi(read.value, from) + air, unit)) : cell;
    }),
  );
  return { typed: { ...typed, units, rows }, overStandardAir: was !== is };
};

/** What stands on the sheet as text; empty where nothing is said. */
export const typedChoiceOf = (sheet: unknown, path: string): string => {
  const value = valueAt(sheet, path);
  return value === undefined ? '' : value === true ? 'yes' : value === false ? 'no' : String(value);
};

// ---- written for reading

const KIND_OF: Readonly<Record<string, UnitKind>> = {
  'absolute pressure': 'pressure',
  'gauge pressure': 'pressure',
  'pressure difference': 'pressure',
  temperature: 'temperature',
  'mass flow': 'airFlow',
  'volume flow': 'volumeFlow',
  power: 'power',
  torque: 'torque',
};
const SUFFIX: Readonly<Record<string, string>> = { 'absolute pressure': ' abs', 'gauge pressure': ' gauge' };

/** Enough decimals that the plus-minus shows one figure, two where it begins with a one. */
const decimalsFor = (spread: number, value: number): number => {
  const size = spread > 0 ? spread : Math.abs(value) * 0.01;
  if (!(size > 0)) return 0;
  const power = Math.floor(Math.log10(size));
  const begins = Math.floor(size / 10 ** power);
  return Math.min(7, Math.max(0, (begins < 2 ? 1 : 0) - power));
};

export interface WrittenQuantity {
  readonly value: string;
  readonly spread: string;
  readonly unit: string;
}

/** A number of the sheet in the reader's units. */
export const writeQuantity = (
  { unit, valueSi, sdSi }: Pick<QuantityView, 'unit' | 'valueSi' | 'sdSi'>,
  units: Units,
): WrittenQuantity => {
  const dimension = isUnit(unit) ? dimensionOf(unit) : '';
  const kind = unit === 'L/h' ? 'pumpFlow' : KIND_OF[dimension];
  const value = kind ? units.toReading(kind, valueSi) : fromSi(valueSi, unit as Unit);
  const spread = kind ? Math.abs(units.toReading(kind, valueSi + sdSi) - value) : spreadFromSi(sdSi, unit as Unit);
  const decimals = decimalsFor(spread, value);
  return {
    value: writeNumber(value, decimals),
    spread: writeNumber(spread, decimals),
    unit: kind ? `${units.label(kind)}${SUFFIX[dimension] ?? ''}` : unitInWords(unit),
  };
};

const withItsUnit = ({ value, unit }: WrittenQuantity): string => (unit === '' ? value : `${value} ${unit}`);

/** A curve or a list in a few words: "1.94 to 2.02 bar abs, 4 points". */
export const tableInWords = (sheet: unknown, place: TablePlace): string => {
  const value = valueAt(sheet, place.path);
  if (place.isList) {
    const list = Array.isArray(value) ? (value as number[]) : [];
    return list.map((one) => writeNumber(one, 2)).join(', ');
  }
  const curve = value as CurveQuantity | undefined;
  if (!curve) return '';
  const { values, unit } = curve.values;
  const [low, high] = [Math.min(...values), Math.max(...values)];
  const span = low === high ? rounded(low) : `${rounded(low)} to ${rounded(high)}`;
  const words = unitInWords(unit);
  return `${span}${words === '' ? '' : ` ${words}`}, ${values.length === 1 ? 'one point' : `${values.length} points`}`;
};

export interface ChangeLine {
  readonly path: string;
  readonly name: string;
  readonly before: string;
  readonly after: string;
}

const numberInWords = (view: Pick<BuildView, 'quantities'>, sheet: unknown, path: string, units: Units): string => {
  const place = NUMBER_PLACES.get(path);
  const quantity = valueAt(sheet, path) as Quantity | undefined;
  if (quantity && place) return withItsUnit(writeQuantity({ ...toUncertain(quantity), unit: place.unit }, units));
  const shown = view.quantities.find((one) => one.path === path);
  if (path === PUMP_OCTANE.path) return 'not said';
  // Without a nozzle there is no injection: an estimate of it would be of another car.
  if (path === 'injection.nozzleFlow') return 'not fitted';
  return shown ? `${withItsUnit(writeQuantity(shown, units))}, estimate` : 'estimate';
};

/** What a sheet says at a place, in words. */
const placeInWords = (view: Pick<BuildView, 'quantities'>, sheet: unknown, path: string, units: Units): string => {
  const table = TABLE_PLACES.find((place) => place.path === path);
  if (table) return tableInWords(sheet, table) || 'estimate';
  const choice = CHOICE_PLACES.find((place) => place.path === path);
  if (choice) return typedChoiceOf(sheet, path) || choice.usual || 'not said';
  return numberInWords(view, sheet, path, units);
};

/** What the reader sees of a place that both sheets have alike: its plus-minus, source or note. */
const finePrint = (sheet: unknown, path: string): string => {
  const value = valueAt(sheet, path) as { spread?: string; source?: string; note?: string } | undefined;
  return [value?.source?.replace('-', ' '), value?.spread ? `±${value.spread}` : '', value?.note ? 'a note' : '']
    .filter((part) => part !== '' && part !== undefined)
    .join(', ');
};

/** Old and new of every change, in words. `after` is the sheet with the changes; `estimates` are its quantities where it is whole. */
export const changeLines = (
  before: BuildView,
  after: unknown,
  changes: Changes,
  units: Units,
  estimates: BuildView['quantities'] | null,
): ChangeLine[] =>
  Object.keys(changes).flatMap((path) => {
    const [was, is] = [
      placeInWords(before, before.sheet, path, units),
      placeInWords({ quantities: estimates ?? [] }, after, path, units),
    ];
    if (was !== is) return [{ path, name: shortName(path), before: was, after: is }];
    const [fine, finer] = [finePrint(before.sheet, path), finePrint(after, path)];
    if (fine === finer && JSON.stringify(valueAt(before.sheet, path)) === JSON.stringify(valueAt(after, path)))
      return [];
    return [
      {
        path,
        name: shortName(path),
        before: fine === '' ? was : `${was} (${fine})`,
        after: `${is} (${finer || 'estimate'})`,
      },
    ];
  });

/** Whether a change says anything that the sheet does not. */
export const isSameAsSheet = (sheet: Build, path: string, change: Change): boolean => {
  if (change.kind === 'estimate') return valueAt(sheet, path) === undefined;
  if (change.kind === 'choice') return typedChoiceOf(sheet, path) === change.typed.trim();
  if (change.kind === 'number') return JSON.stringify(typedNumberOf(sheet, path)) === JSON.stringify(change.typed);
  const place = TABLE_PLACES.find((one) => one.path === path);
  if (!place || valueAt(sheet, path) === undefined) return false;
  const { estimated: _estimated, ...own } = typedTableOf(sheet, place, null);
  return JSON.stringify(own) === JSON.stringify({ ...change.typed, rows: filledRows(change.typed.rows) });
};

const filledRows = (rows: TypedTable['rows']): TypedTable['rows'] =>
  rows.filter((cells) => cells.some((cell) => cell.trim() !== ''));

/** A name for the build that changes make: the first of them, and how many more. */
export const suggestedLabel = (lines: readonly ChangeLine[]): string => {
  const [first, ...more] = lines;
  if (!first) return '';
  const own = `${first.name} ${first.after.replace(/, estimate$/, '').replace(/ \(.*\)$/, '')}`;
  return (more.length === 0 ? own : `${own} and ${more.length} more`).slice(0, 60);
};

/** What changed, for the note of the build. */
export const changesNote = (lines: readonly ChangeLine[]): string =>
  lines
    .map(({ name, before, after }) => `${name}: ${before} → ${after}`)
    .join('; ')
    .slice(0, 2000);
