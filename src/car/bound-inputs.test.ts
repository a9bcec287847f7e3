import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { expectSolved, transferUnits } from '../physics/index.ts';
import { checkBuild, type ResolvedBuild, resolveBuild, withSample } from './index.ts';

const resolvedWith = (change: (sheet: { engine: Record<string, unknown>; chargeCooler?: object }) => void) => {
  const sheet = JSON.parse(
    readFileSync(join(import.meta.dirname, '../../data/demo/builds/wren-dozen-numbers.json'), 'utf8'),
  );
  change(sheet);
  const checked = checkBuild(sheet);
  if (!checked.ok) throw new Error(JSON.stringify(checked.problems));
  return resolveBuild(checked.build);
};
const paths = (resolved: ResolvedBuild) => resolved.inputs.map(({ path }) => path);
const anySample = (resolved: ResolvedBuild) =>
  fc.array(fc.double({ min: -3, max: 3, noNaN: true }), {
    minLength: resolved.inputs.length,
    maxLength: resolved.inputs.length,
  });
const mm = (value: number) => ({ value, unit: 'mm', source: 'data-sheet' });

describe('bore and stroke are bound by the displacement', () => {
  // Swept volume = cylinders x pi/4 x bore2 x stroke (Heywood (1988) eq. 2.3).
  test.each([
    ['neither typed', {}, 'engine.stroke', 'engine.bore'],
    ['bore typed', { bore: mm(79) }, 'engine.stroke', 'engine.bore'],
    ['stroke typed', { stroke: mm(81.4) }, 'engine.bore', 'engine.stroke'],
  ])('%s: every sample sweeps its own displacement, and what follows is no input', (_, typed, follower, other) => {
    const resolved = resolvedWith((sheet) => Object.assign(sheet.engine, typed));
    expect(paths(resolved)).not.toContain(follower);
    expect(paths(resolved)).toContain(other);
    fc.assert(
      fc.property(anySample(resolved), (z) => {
        const { engine, facts } = withSample(resolved, z);
        const swept = facts.cylinders * 0.25 * Math.PI * engine.boreM ** 2 * engine.strokeM;
        expect(swept / engine.displacementM3).toBeCloseTo(1, 9);
      }),
      { numRuns: 50 },
    );
  });

  test('both typed stay as they are typed', () => {
    const resolved = resolvedWith((sheet) => Object.assign(sheet.engine, { bore: mm(79), stroke: mm(81.4) }));
    const { engine } = withSample(resolved, new Array(resolved.inputs.length).fill(0));
    expect(engine.boreM).toBeCloseTo(0.079, 12);
    expect(engine.strokeM).toBeCloseTo(0.0814, 12);
    expect(paths(resolved)).toEqual(expect.arrayContaining(['engine.bore', 'engine.stroke']));
  });
});

describe('the charge cooler is as unsure as its conductance', () => {
  const values = [0.9, 0.75, 0.5];
  const cooler = (spread?: string) =>
    resolvedWith((sheet) => {
      sheet.chargeCooler = {
        effectiveness: {
          at: { unit: 'kg/s', values: [0.05, 0.15, 0.3] },
          values: { unit: '1', values },
          source: 'data-sheet',
          ...(spread ? { spread } : {}),
        },
      };
    });
  const moved = (resolved: ResolvedBuild, step: number) => {
    const z = resolved.inputs.map(({ path }) => (path === 'chargeCooler.effectiveness' ? step : 0));
    return withSample(resolved, z).curves.effectiveness.values;
  };
  // Transfer units at a capacity ratio of nought, e = 1 - exp(-NTU): Incropera et al., table 11.4; HX-10.
  const units = (effectiveness: number) => expectSolved(transferUnits('counterflow', effectiveness, 0));

  test('one plus-minus of a data sheet is 7 % of the conductance at every flow', () => {
    const up = moved(cooler(), 1);
    up.forEach((value, i) => {
      expect(units(value) / units(values[i]!)).toBeCloseTo(Math.exp(0.07), 6);
    });
    // The surer the nearer to 1.
    expect(up[0]! / 0.9 - 1).toBeLessThan(0.5 * (up[2]! / 0.5 - 1));
  });

  test('a spread that is typed is of the effectiveness itself, at the middle of the curve', () => {
    const resolved = cooler('4 %');
    const input = resolved.inputs.find(({ path }) => path === 'chargeCooler.effectiveness');
    expect(input?.sdSi).toBeCloseTo(0.04, 12);
    const [, middle] = moved(resolved, 1);
    expect(middle! / 0.75 - 1).toBeGreaterThan(0.03);
    expect(middle! / 0.75 - 1).toBeLessThan(0.045);
  });
});
