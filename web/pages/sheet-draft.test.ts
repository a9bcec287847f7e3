/** A sheet edited as text: what becomes of it, what is refused where, and how changes are told. Conversions by NIST SP 811 as in state/units.test.ts. */
import { expect, test } from 'vitest';
import otter from '../../data/demo/builds/otter-as-driven.json' with { type: 'json' };
import dozen from '../../data/demo/builds/wren-dozen-numbers.json' with { type: 'json' };
import type { BuildView } from '../../src/app/api.ts';
import { type Build, checkBuild, resolveBuild } from '../../src/car/index.ts';
import { METRIC_UNITS, makeUnits, US_UNITS } from '../state/units.ts';
import { applyChanges, type Changes, type TypedNumber, valueAt } from './sheet-draft.ts';
import { CHOICE_PLACES, NUMBER_PLACES, TABLE_PLACES, unitToOffer } from './sheet-fields.ts';
import {
  changeLines,
  changesNote,
  isSameAsSheet,
  suggestedLabel,
  tableInWords,
  typedChoiceOf,
  typedNumberOf,
  typedTableOf,
  withColumnUnit,
  withUnit,
} from './sheet-typed.ts';

const metric = makeUnits(METRIC_UNITS, null);
const sheetOf = (value: unknown): Build => {
  const read = checkBuild(value);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.build;
};
const wren = sheetOf(dozen);
const viewOf = (sheet: Build): BuildView => ({
  build: {
    id: 'b',
    carId: 'c',
    label: 'As it stands',
    createdAt: '2031-04-10T00:00:00Z',
    parentId: null,
    planned: false,
    contentHash: 'x',
  },
  car: { id: 'c', name: 'Wren', note: '', demo: true, builds: 1, runs: 0, currentBuildId: 'b' },
  sheet,
  facts: resolveBuild(sheet).car.facts,
  quantities: Object.entries(resolveBuild(sheet).quantities).map(([path, quantity]) => ({ path, ...quantity })),
});
const number = (value: string, more: Partial<TypedNumber> = {}): Changes[string] => ({
  kind: 'number',
  typed: { value, unit: 'cm3/min', spread: '', spreadIn: '%', source: 'measured', note: '', ...more },
});
const FLOW = 'fuelSystem.injectorFlow';

test('nothing typed: the sheet as it was, byte for byte', () => {
  for (const sheet of [wren, sheetOf(otter)]) {
    const { build, problems } = applyChanges(sheet, {});
    expect(problems).toEqual([]);
    expect(JSON.stringify(build)).toBe(JSON.stringify(sheet));
  }
});

test('typed over as it stands, every place of a full sheet gives the same sheet', () => {
  const sheet = sheetOf(otter);
  const changes: Record<string, Changes[string]> = {};
  for (const path of NUMBER_PLACES.keys()) {
    const typed = typedNumberOf(sheet, path);
    if (typed) changes[path] = { kind: 'number', typed };
  }
  for (const { path } of CHOICE_PLACES) changes[path] = { kind: 'choice', typed: typedChoiceOf(sheet, path) };
  for (const place of TABLE_PLACES) {
    const { estimated, ...typed } = typedTableOf(sheet, place, null);
    if (!estimated) changes[place.path] = { kind: 'table', typed };
  }
  expect(Object.keys(changes).length).toBeGreaterThan(60);
  for (const [path, change] of Object.entries(changes))
    expect([path, isSameAsSheet(sheet, path, change)]).toEqual([path, true]);
  const { build, problems } = applyChanges(sheet, changes);
  expect(problems).toEqual([]);
  expect(resolveBuild(build ?? wren).quantities).toEqual(resolveBuild(sheet).quantities);
  expect(resolveBuild(build ?? wren).car).toEqual(resolveBuild(sheet).car);
});

test('a number changed: value, unit, plus-minus, source and note go on the sheet', () => {
  const { build } = applyChanges(wren, {
    [FLOW]: number('0,44', { unit: 'L/min', spread: '2', note: ' flow bench ' }),
  });
  expect(build?.fuelSystem.injectorFlow).toEqual({
    value: 0.44,
    unit: 'L/min',
    source: 'measured',
    spread: '2 %',
    note: 'flow bench',
  });
  expect(wren.fuelSystem.injectorFlow.value).toBe(330);
});

test('a number where an estimate stood narrows it; taken back, the estimate stands again', () => {
  const path = 'chargeCooler.pressureDrop';
  const before = resolveBuild(wren).quantities[path];
  const { build } = applyChanges(wren, { [path]: number('9', { unit: 'kPa', spread: '0.5', spreadIn: 'unit' }) });
  const typed = resolveBuild(build ?? wren).quantities[path];
  expect(before?.estimated).toBe(true);
  expect(typed).toMatchObject({ valueSi: 9000, sdSi: 500, estimated: false });
  expect(typed?.sdSi).toBeLessThan(before?.sdSi ?? 0);
  const back = applyChanges(build, { [path]: { kind: 'estimate' } }).build;
  expect(resolveBuild(back ?? wren).quantities[path]).toEqual(before);
});

test('a part of the sheet that was not there is begun, and an estimate taken back from it leaves none behind', () => {
  expect(valueAt(wren, 'exhaust')).toBe(undefined);
  const { build } = applyChanges(wren, { 'exhaust.pressureDrop': number('20', { unit: 'kPa' }) });
  expect(build?.exhaust?.pressureDrop?.value).toBe(20);
  expect(applyChanges(wren, { 'exhaust.pressureDrop': { kind: 'estimate' } }).sheet).toEqual(wren);
});

test.each<[string, Changes, string, RegExp]>([
  ['a word for a number', { [FLOW]: number('many') }, FLOW, /expected a number, got “many”/],
  ['a number of two readings', { [FLOW]: number('1,200') }, FLOW, /write 1200 or 1.200/],
  ['a plus-minus that is none', { [FLOW]: number('440', { spread: 'x' }) }, FLOW, /plus-minus: expected a number/],
  ['a negative plus-minus', { [FLOW]: number('440', { spread: '-3' }) }, FLOW, /plus-minus: expected nought or more/],
  [
    'a number out of all reason',
    { [FLOW]: number('440', { unit: 'm3/s' }) },
    FLOW,
    /expected between .* m3\/s, got 440/,
  ],
  ['a required number left empty', { 'body.mass': number('', { unit: 'kg' }) }, 'body.mass', /missing: type a number/],
  ['a required number taken back', { 'body.mass': { kind: 'estimate' } }, 'body.mass', /^missing$/],
  ['a tyre size of no kind', { 'tyres.size': { kind: 'choice', typed: 'wide' } }, 'tyres.size', /like "225\/45R17"/],
  ['no tyre at all', { 'tyres.size': { kind: 'choice', typed: '' } }, 'tyres', /or a rollingRadius/],
  [
    'a gear that is none',
    {
      'driveline.gearRatios': {
        kind: 'table',
        typed: { rows: [['3.3'], ['x']], units: [], source: 'measured', spread: '', note: '' },
      },
    },
    'driveline.gearRatios',
    /row 2, ratio: expected a number/,
  ],
  [
    'engine speeds twice',
    {
      'targets.boost': {
        kind: 'table',
        typed: {
          rows: [
            ['3000', '100'],
            ['3000', '110'],
          ],
          units: ['rpm', 'kPa gauge'],
          source: 'measured',
          spread: '',
          note: '',
        },
      },
    },
    'targets.boost',
    /places that rise/,
  ],
  ['octanes that contradict', { 'fuel.motorOctane': number('99', { unit: '1' }) }, 'fuel.motorOctane', /swapped/],
])('%s is refused at its place, and no sheet comes of it', (_what, changes, path, says) => {
  const { build, problems } = applyChanges(wren, changes);
  expect(build).toBe(null);
  const [problem] = problems.filter((one) => one.path === path);
  expect(problem?.says).toMatch(says);
  expect(problems).toHaveLength(1);
});

test('curves: rows in any order, empty ones passed over; another unit turns the figures', () => {
  const place = TABLE_PLACES.find(({ path }) => path === 'targets.boost');
  if (!place) throw new Error('no place for the boost');
  const { estimated: _estimated, ...typed } = typedTableOf(wren, place, null);
  expect(tableInWords(wren, place)).toBe('182 to 202 kPa abs, 4 points');
  const gauge = withColumnUnit(typed, 1, 'bar gauge');
  expect(gauge.overStandardAir).toBe(true);
  expect(gauge.typed.rows[0]).toEqual(['2000', '0.95675']);
  const psi = withColumnUnit(gauge.typed, 1, 'psi gauge');
  expect(psi.overStandardAir).toBe(false);
  expect(Number(psi.typed.rows[0]?.[1])).toBeCloseTo(13.8765, 3);
  const rows = [
    ['7000', '182'],
    ['', ' '],
    ['2000', '197'],
  ];
  const { build } = applyChanges(wren, { 'targets.boost': { kind: 'table', typed: { ...typed, rows } } });
  expect(build?.targets.boost.at.values).toEqual([2000, 7000]);
  expect(build?.targets.boost.values.values).toEqual([197, 182]);
});

test('a curve that is an estimate begins from the estimate', () => {
  const place = TABLE_PLACES.find(({ path }) => path === 'engine.volumetricEfficiency');
  if (!place) throw new Error('no place for the filling');
  const { estimated, ...typed } = typedTableOf(wren, place, resolveBuild(wren));
  expect(estimated).toBe(true);
  expect(typed.rows.length).toBeGreaterThan(3);
  const { build } = applyChanges(wren, { [place.path]: { kind: 'table', typed } });
  const [before, after] = [wren, build ?? wren].map((sheet) => resolveBuild(sheet).car.curves.volumetricEfficiency);
  for (const [i, value] of (after?.values ?? []).entries()) expect(value).toBeCloseTo(before?.values[i] ?? 0, 5);
});

test('a unit chosen turns a figure of the sheet and its plus-minus, and leaves a typed one', () => {
  const onSheet = typedNumberOf(wren, FLOW);
  if (!onSheet) throw new Error('no injector flow');
  const untouched = withUnit({ ...onSheet, spread: '6', spreadIn: 'unit' }, onSheet, 'L/min');
  expect(untouched).toMatchObject({ value: '0.33', spread: '0.006' });
  expect(withUnit(untouched, onSheet, 'cm3/min').value).toBe('330');
  expect(withUnit({ ...onSheet, value: '440' }, onSheet, 'L/min').value).toBe('440');
  expect(withUnit({ ...onSheet, value: '440' }, null, 'L/min').value).toBe('440');
});

test('the unit offered: last typed in, else the one read in, else the usual one', () => {
  expect(unitToOffer('x', 'gauge pressure', 'kPa gauge', US_UNITS, {})).toBe('psi gauge');
  expect(unitToOffer('x', 'gauge pressure', 'kPa gauge', US_UNITS, { x: 'bar gauge' })).toBe('bar gauge');
  expect(unitToOffer('x', 'gauge pressure', 'kPa gauge', US_UNITS, { x: 'bar abs' })).toBe('psi gauge');
  expect(unitToOffer('x', 'volume flow', 'L/h', US_UNITS, {})).toBe('US gal/h');
  expect(unitToOffer('x', 'volume', 'cm3', US_UNITS, {})).toBe('cm3');
});

test('changes are told old to new, and name the build', () => {
  const changes: Changes = {
    [FLOW]: number('440', { spread: '2' }),
    'fuel.kind': { kind: 'choice', typed: 'ethanol blend' },
    'body.mass': { kind: 'number', typed: { ...(typedNumberOf(wren, 'body.mass') ?? never()), source: 'estimate' } },
  };
  const { sheet, build } = applyChanges(wren, changes);
  const after = viewOf(build ?? wren).quantities;
  const lines = changeLines(viewOf(wren), sheet, changes, metric, after);
  expect(lines.map(({ name, before, after: then }) => `${name}: ${before} > ${then}`)).toEqual([
    'Injector flow: 330 cc/min > 440 cc/min',
    'Fuel: petrol > ethanol blend',
    'Mass of the car: 1,270 kg (measured) > 1,270 kg (estimate)',
  ]);
  expect(suggestedLabel(lines)).toBe('Injector flow 440 cc/min and 2 more');
  expect(changesNote(lines)).toMatch(/^Injector flow: 330 cc\/min → 440 cc\/min; Fuel: petrol → ethanol blend/);
  expect(changeLines(viewOf(wren), wren, { [FLOW]: number('330', { source: 'data-sheet' }) }, metric, null)).toEqual(
    [],
  );
});

const never = (): TypedNumber => {
  throw new Error('not on the sheet');
};
