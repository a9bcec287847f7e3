import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Build, checkBuild, compareBuilds, parseBuild, resolveBuild, withSample, writeBuild } from './index.ts';

const DEMO = join(import.meta.dirname, '../../data/demo/builds');
const demoText = (name: string) => readFileSync(join(DEMO, name), 'utf8');
const demo = (name: string): Build => {
  const result = parseBuild(demoText(name));
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return result.build;
};
const problemsOf = (change: (sheet: Record<string, object>) => void) => {
  const sheet = JSON.parse(demoText('wren-as-driven.json'));
  change(sheet);
  const result = checkBuild(sheet);
  return result.ok ? [] : result.problems;
};

describe('a build sheet', () => {
  test('of a dozen numbers is enough; the rest is estimated and marked', () => {
    const { car, quantities } = resolveBuild(demo('wren-dozen-numbers.json'));
    expect(quantities['engine.displacement']).toMatchObject({ estimated: false, source: 'data-sheet' });
    expect(quantities['turbocharger.turbineEffectiveArea']).toMatchObject({ estimated: true, source: 'estimate' });
    expect(car.engine.displacementM3).toBeCloseTo(1598e-6, 9);
    for (const { valueSi, sdSi } of Object.values(quantities)) {
      expect(Number.isFinite(valueSi)).toBe(true);
      expect(sdSi).toBeGreaterThanOrEqual(0);
    }
  });

  test('estimates of the small hatchback agree with what its owner later measured, inside three plus-minus', () => {
    const guessed = resolveBuild(demo('wren-dozen-numbers.json')).quantities;
    const typed = resolveBuild(demo('wren-as-driven.json')).quantities;
    for (const [path, owner] of Object.entries(typed)) {
      const guess = guessed[path];
      // A reference flow is the place at which another value holds, not a thing to be right or wrong about.
      if (owner.estimated || !guess?.estimated || guess.sdSi === 0 || path.endsWith('referenceFlow')) continue;
      expect(Math.abs(guess.valueSi - owner.valueSi), path).toBeLessThan(3 * Math.hypot(guess.sdSi, owner.sdSi));
    }
  });

  test.each(readdirSync(DEMO))('%s is readable, resolves, and survives writing and reading', (name) => {
    const build = demo(name);
    const again = parseBuild(writeBuild(build));
    expect(again).toEqual({ ok: true, build });
    expect(resolveBuild(build).inputs.length).toBeGreaterThan(60);
  });

  test('a bad file gets every problem with its path and what was expected', () => {
    const problems = problemsOf((sheet) => {
      Object.assign(sheet.body ?? {}, { mass: { value: -1270, unit: 'kg', source: 'measured' } });
      Object.assign(sheet.engine ?? {}, {
        cylinders: 4.5,
        displacement: { value: 1598, unit: 'psi gauge', source: 'measured' },
      });
      Object.assign(sheet.fuelSystem ?? {}, { injectorFlow: { value: 330, unit: 'cm3/min', source: 'hearsay' } });
      delete sheet.tyres;
    });
    expect(problems.map(({ path }) => path).sort()).toEqual([
      'body.mass.value',
      'engine.cylinders',
      'engine.displacement.unit',
      'fuelSystem.injectorFlow.source',
      'tyres',
    ]);
    expect(problems.find(({ path }) => path === 'body.mass.value')?.says).toBe(
      'expected between 300 and 6000 kg, got -1270',
    );
    expect(problems.find(({ path }) => path === 'engine.displacement.unit')?.says).toMatch(/expected a unit of volume/);
  });

  test('gauge pressure is refused where absolute is meant', () => {
    const [problem] = problemsOf((sheet) => {
      Object.assign(sheet.sensors ?? {}, {
        manifoldPressureCeiling: { value: 150, unit: 'kPa gauge', source: 'data-sheet' },
      });
    });
    expect(problem).toMatchObject({ path: 'sensors.manifoldPressureCeiling.unit' });
    expect(problem?.says).toContain('absolute pressure');
  });

  test('a misspelt entry is named, not dropped', () => {
    const [problem] = problemsOf((sheet) => Object.assign(sheet.engine ?? {}, { displacment: 1 }));
    expect(problem).toEqual({ path: 'engine', says: 'unknown entry "displacment"; did you mean "displacement"?' });
  });

  test('a spread in a unit of another kind is refused', () => {
    const [problem] = problemsOf((sheet) =>
      Object.assign(sheet.body ?? {}, { mass: { value: 1270, unit: 'kg', source: 'measured', spread: '3 kPa' } }),
    );
    expect(problem?.path).toBe('body.mass.spread');
    expect(problem?.says).toContain('kPa');
  });

  test.each([
    ['nonsense', 'not a JSON file'],
    ['[]', 'expected entries in braces {}, got a list in brackets []'],
    ['\u0000\u0001{}', 'not a JSON file (it is not text in UTF-8)'],
  ])('text %s is refused with a reason', (text, says) => {
    const result = parseBuild(text);
    expect(result.ok).toBe(false);
    if (!result.ok) expect(result.problems[0]?.says).toContain(says);
  });
});

describe('samples', () => {
  const resolved = resolveBuild(demo('otter-as-driven.json'));

  test('no step gives the car itself', () => {
    expect(withSample(resolved, new Float64Array(resolved.inputs.length))).toEqual(resolved.car);
  });

  test('every sample stays finite and positive where the value must be', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: -6, max: 6, noNaN: true }), { minLength: 110, maxLength: 110 }), (z) => {
        const car = withSample(resolved, z);
        expect(car.body.massKg).toBeGreaterThan(0);
        expect(car.turbocharger.turbineEffectiveAreaM2).toBeGreaterThan(0);
        for (const group of ['engine', 'turbocharger', 'fuel', 'fuelSystem', 'body'] as const) {
          for (const value of Object.values(car[group])) expect(Number.isFinite(value)).toBe(true);
        }
      }),
      { seed: 11, numRuns: 200 },
    );
  });

  test('one step moves one input by one plus-minus and nothing else', () => {
    const place = resolved.inputs.findIndex(({ path }) => path === 'body.mass');
    const z = new Float64Array(resolved.inputs.length);
    z[place] = 1;
    const car = withSample(resolved, z);
    expect(car.body.massKg / resolved.car.body.massKg).toBeCloseTo(Math.exp(0.02), 6);
    expect({ ...car, body: resolved.car.body }).toEqual(resolved.car);
  });
});

test('comparing two builds lists what changed and only that', () => {
  const changes = compareBuilds(resolveBuild(demo('otter-as-driven.json')), resolveBuild(demo('otter-fuel.json')));
  expect(changes.map(({ path }) => path).sort()).toEqual([
    'fuelSystem.injectorDeadTime',
    'fuelSystem.injectorDeadTimePerVolt',
    'fuelSystem.injectorFlow',
    'fuelSystem.pumpFlow',
  ]);
});
