/** A dozen numbers typed into the form of a new car, and the sheet that comes of them. Unit factors: NIST SP 811 (2008), appendix B. */
import { describe, expect, test } from 'vitest';
import otter from '../../data/demo/builds/otter-as-driven.json' with { type: 'json' };
import dozen from '../../data/demo/builds/wren-dozen-numbers.json' with { type: 'json' };
import { checkBuild, resolveBuild } from '../../src/car/index.ts';
import { METRIC_UNITS, US_UNITS } from '../state/units.ts';
import {
  emptyDraft,
  isAsked,
  type NewCarDraft,
  newCarSheet,
  progressOf,
  reviveNewCar,
  withBase,
} from './new-car-data.ts';
import type { Change } from './sheet-draft.ts';

const DATE = '2031-04-10';
const metric = emptyDraft(METRIC_UNITS, {});

/** Figures by path, typed into a form; a list for a table's rows. */
const filled = (draft: NewCarDraft, figures: Readonly<Record<string, string | readonly string[][]>>): NewCarDraft => ({
  ...draft,
  name: 'Grey',
  fields: Object.fromEntries(
    Object.entries(draft.fields).map(([path, change]): [string, Change] => {
      const figure = figures[path];
      if (figure === undefined) return [path, change];
      if (change.kind === 'number')
        return [path, { kind: 'number', typed: { ...change.typed, value: String(figure) } }];
      if (change.kind === 'table' && Array.isArray(figure))
        return [path, { kind: 'table', typed: { ...change.typed, rows: figure } }];
      return [path, { kind: 'choice', typed: String(figure) }];
    }),
  ),
});

const WREN = {
  'engine.displacement': '1598',
  'engine.cylinders': '4',
  'engine.compressionRatio': '9,5',
  'engine.revLimit': '6900',
  'turbocharger.compressorInducer': '36.5',
  'turbocharger.compressorExducer': '49',
  'targets.boost': [['3000', '0.95']],
  'fuel.kind': 'petrol',
  'fuel.researchOctane': '98',
  'fuelSystem.injectorFlow': '330',
  'fuelSystem.pumpFlow': '105',
  'body.mass': '1270',
  'driveline.driven': 'front',
  'driveline.gearRatios': [['3.31'], ['1.95'], ['1.36'], ['1.03'], ['0.84'], ['0.7']],
  'driveline.finalDrive': '3.65',
  'tyres.size': '205/45 r17',
} as const;
const wren = filled(metric, WREN as unknown as Record<string, string>);

describe('the form of a new car', () => {
  test('empty: every needed thing is named once, in the order of the form', () => {
    const { build, problems } = newCarSheet(metric, DATE);
    expect(build).toBe(null);
    expect(problems.map(({ path }) => path)).toEqual([
      'name',
      ...Object.keys(WREN).filter((path) => path !== 'fuel.researchOctane'),
    ]);
    for (const { says } of problems) expect(says).toMatch(/^missing/);
  });

  test('a dozen numbers make a build that resolves to the same car as the demo sheet of a dozen numbers', () => {
    const { build, problems } = newCarSheet(wren, DATE);
    expect(problems).toEqual([]);
    expect(build).toMatchObject({ name: 'Grey: As it stands', car: 'Grey', date: DATE });
    const read = checkBuild(dozen);
    if (!read.ok || build === null) throw new Error('a sheet is refused');
    const [own, demo] = [resolveBuild(build), resolveBuild(read.build)];
    expect(Object.values(own.quantities).filter(({ estimated }) => !estimated)).toHaveLength(
      Object.values(demo.quantities).filter(({ estimated }) => !estimated).length,
    );
    for (const [path, { valueSi, estimated }] of Object.entries(own.quantities))
      expect([path, estimated, valueSi]).toEqual([
        path,
        demo.quantities[path]?.estimated,
        demo.quantities[path]?.valueSi,
      ]);
    expect(own.car.facts).toEqual({ ...demo.car.facts, name: own.car.facts.name });
    expect(own.car.curves.boostIsGauge).toBe(true);
    expect(own.car.curves.boostTarget.values).toEqual([95e3]);
  });

  test('in US units the same car', () => {
    const us = filled(emptyDraft(US_UNITS, { 'engine.displacement': 'in3', 'body.mass': 'lb' }), {
      ...WREN,
      'engine.displacement': '97.51653',
      'targets.boost': [['3000', '13.77858']],
      'fuelSystem.pumpFlow': '27.7381',
      'body.mass': '2799.87',
    } as unknown as Record<string, string>);
    const { build, problems } = newCarSheet(us, DATE);
    expect(problems).toEqual([]);
    expect(build?.targets.boost.values.unit).toBe('psi gauge');
    const [one, other] = [build, newCarSheet(wren, DATE).build].map(
      (sheet) => resolveBuild(sheet ?? never()).quantities,
    );
    for (const [path, { valueSi }] of Object.entries(one ?? {})) {
      expect(Math.abs(valueSi / (other?.[path]?.valueSi || 1) - (other?.[path]?.valueSi ? 1 : 0))).toBeLessThan(2e-5);
    }
  });

  test('what is not asked of a fuel does not reach the sheet, but stays in the form', () => {
    const diesel = filled(wren, { 'fuel.kind': 'diesel' });
    expect(newCarSheet(diesel, DATE).build?.fuel).toEqual({ kind: 'diesel' });
    expect(diesel.fields['fuel.researchOctane']).toEqual(wren.fields['fuel.researchOctane']);
    expect(isAsked(diesel, { path: 'fuel.researchOctane', name: '', help: '', fuels: ['petrol'] })).toBe(false);
  });

  test('a map stands in for the wheel sizes; without either it says what is missing', () => {
    const read = checkBuild(otter);
    if (!read.ok) throw new Error('the demo sheet is refused');
    const data = read.build.turbocharger.compressorMap ?? never();
    const bare = filled(wren, { 'turbocharger.compressorInducer': '', 'turbocharger.compressorExducer': '' });
    expect(newCarSheet(bare, DATE).problems.map(({ path }) => path)).toEqual([
      'turbocharger.compressorInducer',
      'turbocharger.compressorExducer',
    ]);
    const asked = { ...bare, compressor: 'map' } as const;
    expect(newCarSheet(asked, DATE).problems.map(({ path }) => path)).toEqual(['turbocharger.compressorMap']);
    const mapped = { ...asked, map: { file: 'traced.csv', data } };
    expect(newCarSheet(mapped, DATE).build?.turbocharger.compressorMap?.lines).toHaveLength(data.lines.length);
    expect(progressOf(mapped, newCarSheet(mapped, DATE).problems).every(({ done, of }) => done === of)).toBe(true);
  });

  test('a sheet from a file lies under the form: its figures in the fields, the rest comes along', () => {
    const read = checkBuild(otter);
    if (!read.ok) throw new Error('the demo sheet is refused');
    const draft = withBase(metric, 'otter.json', read.build);
    expect(draft.name).toBe('Otter');
    const { build, problems } = newCarSheet(draft, DATE);
    expect(problems).toEqual([]);
    const [own, base] = [build ?? never(), read.build].map((sheet) => resolveBuild(sheet));
    expect(own?.quantities).toEqual(base?.quantities);
    const lighter = { ...draft, fields: { ...draft.fields, ...filled(draft, { 'body.mass': '1400' }).fields } };
    expect(newCarSheet(lighter, DATE).build?.body.mass.value).toBe(1400);
  });

  test('a kept draft comes back as it was; what is none of ours is refused', () => {
    expect(reviveNewCar(JSON.parse(JSON.stringify(wren)), metric)).toEqual(wren);
    expect(reviveNewCar({ name: 3 }, metric)).toBe(null);
    expect(reviveNewCar({ ...wren, fields: { 'body.mass': 7 } }, metric)?.fields).toEqual(metric.fields);
  });
});

const never = (): never => {
  throw new Error('not there');
};
