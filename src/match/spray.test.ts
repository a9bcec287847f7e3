/** The grid of drying mists against the law it stands for. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Build, checkBuild, INJECTED_LIQUID_K, resolveBuild } from '../car/index.ts';
import { dryMist, settledMist } from '../physics/index.ts';
import { DAY, demoSheet } from './fixtures.testing.ts';
import { prepare } from './prepare.ts';
import { coolingShareOfMist, evaporatedShare } from './spray.ts';

const state = fc.record({
  temperatureK: fc.double({ min: 285, max: 400, noNaN: true }),
  pressurePa: fc.double({ min: 100e3, max: 330e3, noNaN: true }),
  liquidPerAir: fc.double({ min: 0.003, max: 0.1, noNaN: true }),
  methanolMassFraction: fc.double({ min: 0, max: 1, noNaN: true }),
  humidityRatio: fc.double({ min: 0, max: 0.03, noNaN: true }),
});
type State = typeof state extends fc.Arbitrary<infer T> ? T : never;

const law = (at: State, exposure: number | null): number => {
  const mist = { ...at, liquidTemperatureK: INJECTED_LIQUID_K };
  const { coolingShare } = exposure === null ? settledMist(mist) : dryMist(mist, exposure);
  return Math.min(1, Math.max(0, coolingShare));
};
const onGrid = (at: State, exposure: number | null): number =>
  coolingShareOfMist(
    at.temperatureK,
    at.pressurePa,
    at.liquidPerAir,
    at.methanolMassFraction,
    at.humidityRatio,
    exposure,
  );

const sheetWith = (injection: object): Build => {
  const result = checkBuild({ ...demoSheet('wren-as-driven'), injection });
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return result.build;
};
const NOZZLE = { nozzleFlow: { value: 300, unit: 'cm3/min', source: 'data-sheet' } };

describe('share of the mist that dries', () => {
  it('lies within 0.03 of the law anywhere, within 0.01 in the mean', () => {
    let sum = 0;
    let count = 0;
    fc.assert(
      fc.property(state, fc.double({ min: Math.log(5e5), max: Math.log(5e8), noNaN: true }), (at, logExposure) => {
        const exposure = Math.exp(logExposure);
        const off = Math.abs(onGrid(at, exposure) - law(at, exposure));
        expect(off).toBeLessThan(0.03);
        sum += off;
        count += 1;
      }),
      { numRuns: 60, seed: 7 },
    );
    expect(sum / count).toBeLessThan(0.01);
  });
  it('with all the time in the world: within 0.06 of saturation', () => {
    fc.assert(
      fc.property(state, (at) => {
        expect(Math.abs(onGrid(at, null) - law(at, null))).toBeLessThan(0.06);
      }),
      { numRuns: 40, seed: 7 },
    );
  });
  it('does not depend on who came before', () => {
    const at = {
      temperatureK: 331.7,
      pressurePa: 187e3,
      liquidPerAir: 0.0213,
      methanolMassFraction: 0.44,
      humidityRatio: 0.0063,
    };
    const first = onGrid(at, 2.34e7);
    onGrid({ ...at, temperatureK: 350 }, 9e7);
    expect(onGrid(at, 2.34e7)).toBe(first);
  });
  it('in a car: finer droplets, a longer way and a warmer charge dry more; a typed share is taken', () => {
    const share = (injection: object, beforeK = 330) => {
      const { car } = resolveBuild(sheetWith({ ...NOZZLE, ...injection }));
      return evaporatedShare(prepare(car, DAY), beforeK, 180e3, 0.03);
    };
    const usual = share({});
    expect(usual).toBeGreaterThan(0.03);
    expect(usual).toBeLessThan(0.5);
    expect(share({ dropletDiameter: { value: 20, unit: 'um', source: 'data-sheet' } })).toBeGreaterThan(1.5 * usual);
    expect(share({ nozzleDistance: { value: 2000, unit: 'mm', source: 'measured' } })).toBeGreaterThan(1.2 * usual);
    expect(share({}, 360)).toBeGreaterThan(usual);
    expect(share({ evaporatedShare: { value: 0.2, unit: '1', source: 'measured' } })).toBeCloseTo(0.2, 6);
    // A cold charge that is nearly full takes no more than saturation lets it.
    expect(share({ evaporatedShare: { value: 0.9, unit: '1', source: 'measured' } }, 290)).toBeLessThan(0.5);
    const { car } = resolveBuild(sheetWith(NOZZLE));
    expect(evaporatedShare(prepare(car, DAY), 330, 180e3, 0)).toBe(0);
  });
});
