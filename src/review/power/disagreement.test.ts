/** Every pattern of powers that do not agree, said with its causes and with the finding that speaks for one. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { demoBuild } from '../findings/base-drive.ts';
import type { FindingId } from '../types.ts';
import { BINS } from './bins.testing.ts';
import { combine } from './combine.ts';
import { disagreementOf } from './disagreement.ts';
import type { Cell } from './pull-estimates.ts';
import { METHODS, type Method } from './unknowns.ts';

const { car } = demoBuild();

/** Ways off by these percents, each known to 2 % of its own. */
const waysOff = (percents: Partial<Record<Method, number>>): Cell[] =>
  (Object.entries(percents) as [Method, number][]).flatMap(([method, percent]) =>
    BINS.map((_, bin) => ({
      method,
      bin,
      logPower: Math.log(150e3 * (1 + percent / 100)),
      noiseSd: 0,
      burningNoiseSd: 0,
      moves: Float64Array.from(METHODS.map((other) => (other === method ? 0.02 : 0))),
    })),
  );

const saidOf = (percents: Partial<Record<Method, number>>, ids: readonly FindingId[] = []) => {
  const cells = waysOff(percents);
  const all = combine({ bins: BINS, cells, problems: [] });
  return disagreementOf(
    all,
    car,
    { cells },
    ids.map((id) => ({ id })),
  );
};

describe('one way apart from the rest', () => {
  const agreed = { density: 0, meter: 0, fuel: 0, acceleration: 0 };
  for (const [method, percent, begins, names] of [
    ['meter', -9, 'Air by the airflow meter low by 9 % while', /ceiling/],
    ['meter', 15, 'Air by the airflow meter high by 15 % while', /leak between meter and throttle/],
    ['density', -12, 'Air by speed and density low by 12 % while', /pressure sensor at its ceiling/],
    ['density', 12, 'Air by speed and density high by 12 % while', /pressure sensor that reads high/],
    ['fuel', -12, 'Fuel low by 12 % while', /injectors that flow more/],
    ['fuel', 12, 'Fuel high by 12 % while', /rail pressure below/],
    ['acceleration', -12, 'Acceleration low by 12 % while', /slipping clutch.*uphill/],
    ['acceleration', 12, 'Acceleration high by 12 % while', /downhill.*lighter/],
  ] as const) {
    it(`${method} ${percent < 0 ? 'low' : 'high'}`, () => {
      const said = saidOf({ ...agreed, [method]: percent })!;
      expect(said.says.startsWith(begins)).toBe(true);
      expect(said.says).toMatch(names);
      expect(said.says).toMatch(/ agree: /);
      expect(said.says).toMatch(/ Next: .+\.$/);
      expect(said.findings).toEqual([]);
    });
  }

  it('tells the cause first that a finding of the log speaks for', () => {
    const said = saidOf({ ...agreed, fuel: 12 }, ['misfire', 'hot-charge'])!;
    expect(said.says).toMatch(/agree: a misfire, which makes lambda read lean \(the log shows it: misfire\), /);
    expect(said.says).toMatch(/Next: close the plug gaps/);
    expect(said.findings).toEqual(['misfire']);
  });
});

describe('two camps', () => {
  it('both airs high of fuel and acceleration', () => {
    const { says } = saidOf({ density: 12, meter: 12, fuel: 0, acceleration: 0 })!;
    expect(says).toMatch(
      /^Air by speed and density and air by the airflow meter together 12 % above fuel and acceleration/,
    );
    expect(says).toMatch(/valve overlap/);
  });

  it('both airs low of fuel and acceleration', () => {
    const { says } = saidOf({ density: -12, meter: -12, fuel: 0, acceleration: 0 })!;
    expect(says).toMatch(
      /^Fuel and acceleration together 14 % above air by speed and density and air by the airflow meter/,
    );
    expect(says).toMatch(/meter both near their ends/);
  });

  it('one air with fuel against the other with acceleration', () => {
    for (const high of ['density', 'meter'] as const) {
      const low = high === 'density' ? 'meter' : 'density';
      const { says } = saidOf({ [high]: 12, fuel: 12, [low]: 0, acceleration: 0 })!;
      expect(says).toMatch(
        /together 12 % above .+ together, and nothing says which is right: either the first too high/,
      );
    }
  });

  it('air and fuel low together of acceleration, where only one air was logged', () => {
    const { says } = saidOf({ density: -12, fuel: -12, acceleration: 0 })!;
    expect(says).toMatch(/^Acceleration high by 14 % while air by speed and density and fuel agree/);
    expect(says).toMatch(/makes more of its air/);
  });

  it('two ways only, and the side first that a finding speaks for', () => {
    const plain = saidOf({ density: 15, acceleration: 0 })!;
    expect(plain.says).toMatch(/^Air by speed and density 15 % above acceleration, and nothing says which is right/);
    const clutch = saidOf({ density: 15, acceleration: 0 }, ['clutch-slip'])!;
    expect(clutch.says).toMatch(/either the second too low: a slipping clutch \(the log shows it: clutch slip\)/);
    expect(clutch.findings).toEqual(['clutch-slip']);
  });
});

describe('any pattern', () => {
  it('is silent while the ways agree, says something else, and never says "undefined" (property)', () => {
    const percent = fc.integer({ min: -25, max: 25 });
    fc.assert(
      fc.property(
        fc.record({ density: percent, meter: percent, fuel: percent, acceleration: percent }, { requiredKeys: [] }),
        (percents) => {
          const cells = waysOff(percents);
          const all = combine({ bins: BINS, cells, problems: [] });
          const said = disagreementOf(all, car, { cells });
          expect(said === null).toBe(all.outlier === null && !all.divided);
          if (said) {
            expect(said.says).not.toMatch(/undefined|NaN| {2}|,\s*:/);
            expect(said.says).toMatch(/ Next: [a-z].+\.$/);
          }
        },
      ),
      { numRuns: 200 },
    );
  });
});
