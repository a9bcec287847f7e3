/** Fuel and injection on the build sheet. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { expectSolved, massFractionFromFinalVolume, stoichiometricAirFuelRatioOf } from '../physics/index.ts';
import { octaneFromTyped } from './fuel-estimates.ts';
import {
  checkBuild,
  fuelAtomsOf,
  fuelCompositionOf,
  mistExposureOf,
  mistTimeS,
  mistWayOf,
  pouredParts,
  resolveBuild,
  volumesOfMix,
  withSample,
} from './index.ts';

const SHEET = readFileSync(join(import.meta.dirname, '../../data/demo/builds/wren-dozen-numbers.json'), 'utf8');
const q = (value: number, unit: string, source = 'data-sheet', spread?: string) => ({
  value,
  unit,
  source,
  ...(spread ? { spread } : {}),
});
const check = (fuel: object, injection?: object) =>
  checkBuild({ ...JSON.parse(SHEET), fuel, ...(injection ? { injection } : {}) });
const resolved = (fuel: object, injection?: object) => {
  const result = check(fuel, injection);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return resolveBuild(result.build);
};
const refused = (fuel: object, injection?: object) => {
  const result = check(fuel, injection);
  return result.ok ? [] : result.problems.map(({ path, says }) => `${path}: ${says}`);
};

describe('octane numbers', () => {
  test('AKI 93 alone: RON and MON with the plus-minus of the sensitivity; their mean is the AKI (ASTM D4814)', () => {
    const { car, quantities } = resolved({ kind: 'petrol', antiKnockIndex: q(93, '1') });
    expect((car.fuel.researchOctane + car.fuel.motorOctane) / 2).toBeCloseTo(93, 9);
    expect(car.fuel.researchOctane).toBeGreaterThan(96.5);
    expect(car.fuel.researchOctane).toBeLessThan(99);
    const sd = quantities['fuel.researchOctane']?.sdSi ?? 0;
    expect(sd).toBeGreaterThan(0.6);
    expect(sd).toBeLessThan(1);
    expect(quantities['fuel.researchOctane']?.note).toContain('AKI 93');
  });
  test('AKI with one of the two gives the other exactly; RON alone keeps MON wide', () => {
    const { car } = resolved({ kind: 'petrol', antiKnockIndex: q(91, '1'), researchOctane: q(95.5, '1') });
    expect(car.fuel.motorOctane).toBeCloseTo(86.5, 9);
    const other = resolved({ kind: 'petrol', antiKnockIndex: q(91, '1'), motorOctane: q(86, '1') });
    expect(other.car.fuel.researchOctane).toBeCloseTo(96, 9);
    const alone = resolved({ kind: 'petrol', researchOctane: q(98, '1') });
    expect(alone.quantities['fuel.motorOctane']?.sdSi).toBeGreaterThan(1);
  });
  test('contradictions are refused with what was expected', () => {
    expect(
      refused({ kind: 'petrol', researchOctane: q(98, '1'), motorOctane: q(88, '1'), antiKnockIndex: q(98, '1') })[0],
    ).toContain('fuel.antiKnockIndex: expected (RON + MON) / 2 = 93, got 98');
    expect(refused({ kind: 'petrol', researchOctane: q(85, '1'), motorOctane: q(95, '1') })[0]).toContain('swapped');
    expect(refused({ kind: 'petrol', researchOctane: q(91, '1'), antiKnockIndex: q(95, '1') })[0]).toContain(
      'between MON and RON',
    );
    expect(refused({ kind: 'petrol', antiKnockIndex: q(20, '1') })[0]).toContain('fuel.antiKnockIndex');
  });
  test('nothing typed stays as usual says', () => {
    const usual = {
      researchOctane: 95,
      motorOctane: 85,
      researchSd: 1,
      motorSd: 1,
      source: 'estimate' as const,
      why: 'usual',
    };
    expect(octaneFromTyped({}, { usual: 10, spread: 1 }, usual)).toEqual(usual);
  });
});

describe('blends', () => {
  test('E85: FC-04 and FC-07 within the heating value that the sheet takes for petrol', () => {
    const { car } = resolved({ kind: 'ethanol blend', ethanolContent: q(85, '%') });
    // FC-04, mass-weighted sum: 9.804 kg/kg. FC-07 with 43.4 MJ/kg petrol: 29.19 MJ/kg; here 42.9.
    expect(Math.abs(car.fuel.stoichiometricAirFuelRatio / 9.804 - 1)).toBeLessThan(0.003);
    expect(Math.abs(car.fuel.lowerHeatingValueJPerKg / 29.19e6 - 1)).toBeLessThan(0.005);
    expect(car.fuel.latentHeatJPerKg / 1e3).toBeGreaterThan(800);
    expect(fuelCompositionOf(car).name).toBe('E85 on petrol RON 95');
  });
  test('any mix burns the air of its own atoms and stays between its parts', () => {
    fc.assert(
      fc.property(fc.nat(40), fc.nat(30), fc.nat(30), (ethanol, methanol, toluene) => {
        fc.pre(ethanol + methanol + toluene > 0);
        const { car } = resolved({
          kind: 'blend',
          ethanolContent: q(ethanol, '%'),
          methanolContent: q(methanol, '%'),
          tolueneContent: q(toluene, '%'),
        });
        const composition = fuelCompositionOf(car);
        expect(car.fuel.stoichiometricAirFuelRatio).toBeCloseTo(stoichiometricAirFuelRatioOf(composition), 6);
        expect(car.fuel.lowerHeatingValueJPerKg).toBeGreaterThan(19.9e6);
        expect(car.fuel.lowerHeatingValueJPerKg).toBeLessThan(42.95e6);
        const atoms = fuelAtomsOf(car);
        expect(atoms.hydrogenToCarbon).toBeCloseTo(composition.hydrogenToCarbon, 9);
      }),
      { numRuns: 25 },
    );
  });
  test('pump petrol that holds ethanol itself: less is poured, the rest is weighed with its own octane', () => {
    const shares = { ethanol: 0.3, methanol: 0, toluene: 0 };
    const poured = pouredParts(shares, { ethanolContent: 0.1 });
    expect(poured.petrolAsSold).toBeCloseTo(0.7 / 0.9, 12);
    expect(poured.ethanol + 0.1 * poured.petrolAsSold).toBeCloseTo(0.3, 12);
    const plain = resolved({
      kind: 'ethanol blend',
      ethanolContent: q(30, '%'),
      petrol: { antiKnockIndex: q(91, '1') },
    });
    const pump = resolved({
      kind: 'ethanol blend',
      ethanolContent: q(30, '%'),
      petrol: { antiKnockIndex: q(91, '1'), ethanolContent: q(10, '%') },
    });
    expect(pump.car.fuel.stoichiometricAirFuelRatio).toBeCloseTo(plain.car.fuel.stoichiometricAirFuelRatio, 6);
    expect(pump.car.fuel.researchOctane).toBeLessThan(plain.car.fuel.researchOctane);
  });
  test('kinds and shares that do not go together are refused', () => {
    expect(refused({ kind: 'blend' })[0]).toContain('the rest is petrol');
    expect(refused({ kind: 'ethanol blend' })[0]).toContain('needs its ethanol content');
    expect(refused({ kind: 'petrol', tolueneContent: q(10, '%') })[0]).toContain('kind "blend"');
    expect(refused({ kind: 'methanol', ethanolContent: q(10, '%') })[0]).toContain('"blend"');
    expect(refused({ kind: 'methanol', methanolContent: q(85, '%') })[0]).toContain('100 %');
    expect(refused({ kind: 'blend', ethanolContent: q(70, '%'), methanolContent: q(40, '%') })[0]).toContain('110 %');
    expect(refused({ kind: 'petrol', petrol: { antiKnockIndex: q(91, '1') } })[0]).toContain('fuel.researchOctane');
    expect(
      refused({
        kind: 'blend',
        ethanolContent: q(2, '%'),
        tolueneContent: q(10, '%'),
        petrol: { ethanolContent: q(10, '%') },
      })[0],
    ).toContain('brings along');
  });
  test('a sampled share carries air-fuel ratio, heat, density and octane along; what is typed stays', () => {
    const blend = resolved({ kind: 'ethanol blend', ethanolContent: q(85, '%', 'measured', '5 %') });
    const z = blend.inputs.map((input) => (input.path === 'fuel.ethanolContent' ? -2 : 0));
    const lean = withSample(blend, z);
    expect(lean.fuel.ethanolContent).toBeLessThan(0.78);
    const { fuel } = blend.car;
    expect(lean.fuel.stoichiometricAirFuelRatio).toBeGreaterThan(fuel.stoichiometricAirFuelRatio + 0.3);
    expect(lean.fuel.researchOctane).toBeLessThan(fuel.researchOctane);
    // Heat per air hardly moves: the two go together, so power is not made wide by an unsure share.
    const perAir = (f: typeof fuel) => f.lowerHeatingValueJPerKg / f.stoichiometricAirFuelRatio;
    expect(Math.abs(perAir(lean.fuel) / perAir(fuel) - 1)).toBeLessThan(0.003);
    const typed = resolved({
      kind: 'ethanol blend',
      ethanolContent: q(85, '%', 'measured', '5 %'),
      stoichiometricAirFuelRatio: q(9.85, 'kg/kg'),
    });
    const moved = withSample(
      typed,
      typed.inputs.map((input) => (input.path === 'fuel.ethanolContent' ? -2 : 0)),
    );
    expect(moved.fuel.stoichiometricAirFuelRatio).toBe(9.85);
  });
  test('petrol and diesel as before', () => {
    expect(resolved({ kind: 'petrol' }).car.fuel).toMatchObject({
      lowerHeatingValueJPerKg: 42.9e6,
      densityKgPerM3: 745,
      latentHeatJPerKg: 350e3,
    });
    expect(resolved({ kind: 'petrol' }).car.fuel.researchOctane).toBeCloseTo(95, 9);
    expect(resolved({ kind: 'petrol' }).car.fuel.stoichiometricAirFuelRatio).toBeCloseTo(14.6, 1);
    expect(resolved({ kind: 'diesel' }).car.fuel.lowerHeatingValueJPerKg).toBe(42.8e6);
    expect(resolved({ kind: 'methanol' }).car.fuel.stoichiometricAirFuelRatio).toBeCloseTo(6.474, 2);
  });
});

describe('injection', () => {
  const nozzle = { nozzleFlow: q(300, 'cm3/min') };
  test('by volume, in both meanings, with both shown (WM-01: 44.22 % by mass for half and half; WM-02: 33.6 % for 40 % in the mix)', () => {
    const poured = resolved({ kind: 'petrol' }, { ...nozzle, methanolVolumeFraction: q(50, '%') });
    expect(Math.abs(100 * poured.car.injection.methanolMassFraction - 44.22)).toBeLessThan(0.1);
    const mixed = resolved(
      { kind: 'petrol' },
      { ...nozzle, methanolVolumeFraction: q(40, '%'), methanolVolumeBasis: 'in the finished mix' },
    );
    expect(Math.abs(100 * mixed.car.injection.methanolMassFraction - 33.6)).toBeLessThan(0.3);
    const both = volumesOfMix(0.4422);
    expect(both.beforeMixing).toBeCloseTo(0.5, 3);
    expect(expectSolved(massFractionFromFinalVolume(both.inFinishedMix))).toBeCloseTo(0.4422, 6);
    expect(both.inFinishedMix).toBeGreaterThan(both.beforeMixing);
  });
  test('mass and volume together, or a basis alone, are refused', () => {
    expect(
      refused(
        { kind: 'petrol' },
        { ...nozzle, methanolVolumeFraction: q(50, '%'), methanolMassFraction: q(0.44, '1') },
      )[0],
    ).toContain('the two differ');
    expect(refused({ kind: 'petrol' }, { ...nozzle, methanolVolumeBasis: 'before mixing' })[0]).toContain(
      'methanolVolumeFraction',
    );
  });
  test('droplets and evaporated share are worked out when nobody types them, and taken when somebody does', () => {
    const { car, quantities } = resolved({ kind: 'petrol' }, nozzle);
    expect(car.injection.dropletDiameterM * 1e6).toBeGreaterThan(30);
    expect(car.injection.dropletDiameterM * 1e6).toBeLessThan(80);
    expect(car.facts.workedOutEvaporatedShare).toBe(car.injection.evaporatedShare);
    expect(car.injection.evaporatedShare).toBeGreaterThan(0.03);
    expect(car.injection.evaporatedShare).toBeLessThan(0.5);
    expect(quantities['injection.evaporatedShare']?.note).toContain('droplets');
    const typed = resolved({ kind: 'petrol' }, { ...nozzle, evaporatedShare: q(0.3, '1') });
    expect(typed.car.facts.workedOutEvaporatedShare).toBe(null);
    expect(typed.car.injection.evaporatedShare).toBe(0.3);
  });
  test('without a nozzle nothing of it is uncertain', () => {
    expect(resolved({ kind: 'petrol' }).inputs.filter(({ path }) => path.startsWith('injection.'))).toEqual([]);
  });
  test('time under way is volume over flow: 2.5 L at 200 kPa, 320 K and 0.2 kg/s takes 27 ms (hand calculation)', () => {
    const { car } = resolved({ kind: 'petrol' }, nozzle);
    const carrier = { airFlowKgPerS: 0.2, pressurePa: 200e3, temperatureK: 320, boostPa: 100e3 };
    const way = { ...mistWayOf(car), nozzleDistanceM: 0, plenumVolumeM3: 2.5e-3 };
    expect(mistTimeS(way, carrier)).toBeCloseTo(0.0272, 4);
    const fine = mistExposureOf({ ...way, dropletDiameterM: 25e-6 }, carrier);
    expect(fine).toBeGreaterThan(3 * mistExposureOf({ ...way, dropletDiameterM: 50e-6 }, carrier));
  });
});
