/** Fuel page: what is tried, how nozzles are read, where the lines stand. */
import { describe, expect, test } from 'vitest';
import sheet from '../../data/demo/builds/otter-larger-compressor.json' with { type: 'json' };
import { type Build, checkBuild } from '../../src/car/index.ts';
import {
  type NozzleCurve,
  nozzleHair,
  nozzleScales,
  nozzleShapes,
  shareAt,
  spreadApart,
} from '../charts/fuel-nozzles.ts';
import { flatten } from '../charts/shape.ts';
import { METRIC_UNITS, makeUnits, US_UNITS } from '../state/units.ts';
import {
  asTyped,
  fuelSentence,
  mixIn,
  nozzleRows,
  nozzlesOf,
  rulerOf,
  sheetsOf,
  triedBuild,
  writeProperty,
} from './fuel-data.ts';

const checked = checkBuild(sheet);
if (!checked.ok) throw new Error(JSON.stringify(checked.problems));
const build: Build = checked.build;
const units = makeUnits(METRIC_UNITS, null);
const DAY = { ambientPressurePa: 100e3, ambientTemperatureK: 293.15, relativeHumidity: 0.5 };

describe('a tried fuel', () => {
  const typed = asTyped(build);
  test('is the sheet itself until something moves', () => {
    expect(typed).toMatchObject({ ethanol: 0, methanol: 0, toluene: 0, mixBy: 'volume before mixing' });
    const same = triedBuild(build, typed, typed);
    expect(same.ok && same.build).toBe(build);
  });
  test('drops what was typed for the old fuel and keeps the pump petrol under it (FC-04: E85 9.804 kg/kg)', () => {
    const tried = triedBuild(build, typed, { ...typed, ethanol: 85 });
    if (!tried.ok) throw new Error(tried.says);
    const { fuel, mix } = sheetsOf(tried.build);
    const afr = fuel.properties.find(({ key }) => key === 'stoichiometricAirFuelRatio');
    expect(Math.abs((afr?.value.p50 ?? 0) / 9.804 - 1)).toBeLessThan(0.005);
    expect(fuel.name).toBe('E85 on petrol RON 98');
    expect(fuelSentence(fuel, { ...mix, fitted: true }, units)).toContain('more volume through the injectors');
    expect(writeProperty(fuel.properties[0]!).value).toMatch(/^10\d\.\d$/);
  });
  test('with more than the whole is refused in a sentence', () => {
    const tried = triedBuild(build, typed, { ...typed, ethanol: 80, methanol: 40 });
    expect(tried).toMatchObject({ ok: false });
    expect(tried.ok ? '' : tried.says).toContain('120 %');
  });
  test('a mix said another way is the same mix (WM-01: 50 % poured together is 44.22 % by mass)', () => {
    const tried = triedBuild(build, typed, { ...typed, mix: 50 });
    if (!tried.ok) throw new Error(tried.says);
    const { mix } = sheetsOf(tried.build);
    expect(Math.abs(mixIn(mix, 'mass') - 44.22)).toBeLessThan(0.1);
    expect(mixIn(mix, 'volume before mixing')).toBe(50);
    expect(mixIn(mix, 'volume in the finished mix')).toBeGreaterThan(50);
  });
});

describe('nozzles', () => {
  test('are read in the shown unit; nonsense is none', () => {
    expect(nozzlesOf('150, 300', units)?.map((flow) => Math.round(flow * 6e7))).toEqual([150, 300]);
    expect(nozzlesOf('0.3', makeUnits({ ...US_UNITS, volumeFlow: 'L/min' }, null))?.[0]).toBeCloseTo(5e-6, 9);
    for (const text of ['', 'x', '0', '99999', '1 2 3 4 5 6 7']) expect(nozzlesOf(text, units)).toBe(null);
  });
  test('matched in the page: a larger one takes a larger share', () => {
    const rows = nozzleRows(build, DAY, [2.5e-6, 5e-6]);
    const at = (i: number) => rows[i]!.effects[rows[i]!.effects.length - 1]!.state.shareOfFuelByMass;
    expect(at(1)).toBeGreaterThan(1.7 * at(0));
    expect(rulerOf(build).highestRpm % 500).toBe(0);
  });
});

describe('the drawing', () => {
  const curve: NozzleCurve = {
    name: '300 cc/min',
    engineSpeedRpm: [3000, 4000, 6000],
    share: [40, 30, 20],
    fitted: true,
  };
  const data = { curves: [curve], band: null, wanted: 20, lowestRpm: 2000, highestRpm: 7000 };
  const place = { width: 900, height: 400, bottom: 338 };
  test('reads a curve by straight lines and nothing outside it', () => {
    expect(shareAt(curve, 3500)).toBe(35);
    expect(shareAt(curve, 2500)).toBe(null);
    expect(shareAt({ ...curve, engineSpeedRpm: [], share: [] }, 3000)).toBe(null);
  });
  test('stands on the edge: hairline at the speed, dot on the curve, every figure finite', () => {
    const { speed, share } = nozzleScales(data, place);
    const shapes = flatten([...nozzleShapes(data, place), ...nozzleHair(data, place, 4000, '4,000')]);
    const dot = shapes.find(({ props }) => props.className === 'dotp');
    expect(dot?.props.cx).toBeCloseTo(speed.at(4000), 1);
    expect(dot?.props.cy).toBeCloseTo(share.at(30), 1);
    expect(JSON.stringify(shapes)).not.toContain('NaN');
  });
  test('names are kept apart and inside', () => {
    const placed = spreadApart([100, 101, 102, 330], 17, 20, 332);
    expect(placed[1]! - placed[0]!).toBeGreaterThanOrEqual(17);
    expect(placed[2]! - placed[1]!).toBeGreaterThanOrEqual(17);
    expect(Math.max(...placed)).toBeLessThanOrEqual(332);
  });
});
