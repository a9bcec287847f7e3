/** What the Cylinder sheet says, from the model's own answer at one engine speed. */
import { describe, expect, it } from 'vitest';
import otter from '../../data/demo/builds/otter-as-driven.json' with { type: 'json' };
import type { CylinderView } from '../../src/app/cylinder-api.ts';
import { checkBuild, resolveBuild } from '../../src/car/index.ts';
import { cylinderAtSpeed, STANDARD_CONDITIONS } from '../../src/match/index.ts';
import type { LaidOnPull } from '../state/laid-on.ts';
import { METRIC_UNITS, makeUnits } from '../state/units.ts';
import { crankAngle, curvesOf, cylinderSentence, degrees, loggedAt, readingsAt, speedEnds } from './cylinder-data.ts';

const units = makeUnits(METRIC_UNITS, null);
const checked = checkBuild(otter);
if (!checked.ok) throw new Error(checked.problems[0]?.says);
const solved = cylinderAtSpeed(resolveBuild(checked.build), STANDARD_CONDITIONS, 4500, { samples: 16 });
if (!solved.ok) throw new Error(solved.reason.says);
const view: CylinderView = {
  ...solved.value,
  schema: 'boostwright.cylinder/1',
  buildId: 'b',
  conditions: STANDARD_CONDITIONS,
  cautions: [],
};
const withMargin = (p10: number, p50: number, p90: number): CylinderView => ({
  ...view,
  timing: { ...view.timing, knockMarginDeg: { p10, p50, p90 } },
});

describe('the sentence', () => {
  it('says left, past, or near, by where the band stands', () => {
    expect(cylinderSentence(withMargin(1, 4, 7), units)).toMatch(
      /^At 4,500 rpm and 1\.\d\d bar boost .* about 4 degrees left/,
    );
    expect(cylinderSentence(withMargin(-7, -1, -0.5), units)).toMatch(/about 1 degree past/);
    expect(cylinderSentence(withMargin(-3, 1, 5), units)).toMatch(/near where knock is expected: 1 degree left.*4\.$/);
  });
});

describe('the readings under the hairline', () => {
  const valueAt = (deg: number, name: string) => readingsAt(view, deg, units).find((row) => row.name === name)?.value;

  it('burn from nothing to all, and end when the trace ends', () => {
    expect(valueAt(-90, 'Burned')).toBe('0 %');
    expect(valueAt(-90, 'Unburned gas')).toMatch(/°C$/);
    expect(Number(valueAt(90, 'Burned')?.replace(' %', ''))).toBeGreaterThan(90);
    expect(readingsAt(view, 400, units)).toEqual([]);
  });

  it('peak where the answer has the peak', () => {
    const pressureAt = (deg: number) => Number(valueAt(deg, 'Pressure')?.split(' ')[0]);
    expect(pressureAt(view.peakPressureDeg)).toBeGreaterThan(pressureAt(view.peakPressureDeg - 15));
    expect(pressureAt(view.peakPressureDeg)).toBeGreaterThan(pressureAt(view.peakPressureDeg + 15));
  });

  it('name the angle from top dead centre', () => {
    expect(crankAngle(0.2)).toBe('at top dead centre');
    expect(crankAngle(-12)).toBe('12° before top dead centre');
    expect(crankAngle(12)).toBe('12° after top dead centre');
    expect(degrees({ p10: 10, p50: 12.34, p90: 14 })).toBe('12.3 ±2.0°');
  });
});

describe('the curves', () => {
  it('are the trace in the reading unit, with the pull that lies over it', () => {
    const curves = curvesOf(view, units, 11);
    expect(curves.pressureUnit).toBe('bar');
    expect(Math.max(...curves.pressure)).toBeCloseTo(Math.max(...view.trace.pressurePa) / 1e5, 6);
    expect(curves.loggedAdvanceDeg).toBe(11);
  });

  it('read the laid-on pull between its speeds, and not at all outside or where it logged nothing', () => {
    const laid = {
      engineSpeedRpm: [4000, 4050, 4100],
      channels: new Map([['spark-advance', Float64Array.of(10, 12, Number.NaN)]]),
    } as unknown as LaidOnPull;
    expect(loggedAt(laid, 'spark-advance', 4025)).toBeCloseTo(11, 9);
    expect(loggedAt(laid, 'spark-advance', 4090)).toBe(undefined);
    expect(loggedAt(laid, 'spark-advance', 5000)).toBe(undefined);
    expect(loggedAt(laid, 'lambda', 4025)).toBe(undefined);
    expect(loggedAt(null, 'lambda', 4025)).toBe(undefined);
  });

  it('run over the engine speeds of the match, in hundreds', () => {
    expect(speedEnds(6850)).toEqual([1800, 6800]);
    expect(speedEnds(3500)).toEqual([1000, 3500]);
  });
});
