import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runCheckRows } from './check-rows.testing.ts';
import {
  absoluteToGaugePa,
  airFuelRatioToLambda,
  convert,
  dimensionOf,
  fromSi,
  gaugeToAbsolutePa,
  isUnit,
  lambdaToAirFuelRatio,
  spreadFromSi,
  spreadToSi,
  toSi,
  UNITS,
  type Unit,
  UnitMismatch,
  unitsOf,
  volumeFlowToMassFlow,
} from './units.ts';

const EXACT = 'exact by definition (international yard and pound, standard gravity)';

describe('units, outside values', () => {
  runCheckRows([
    { id: 'UC-01', source: EXACT, expected: 6.894757, relative: 1e-6, got: () => convert(1, 'psi', 'kPa') },
    { id: 'UC-02', source: EXACT, expected: 7.559873, relative: 1e-6, got: () => convert(1, 'lb/min', 'g/s') },
    { id: 'UC-03', source: EXACT, expected: 745.6999, relative: 1e-6, got: () => convert(1, 'hp', 'W') },
    {
      id: 'UC-04',
      source: 'NIST SP 811 App. B',
      expected: 3.38639,
      relative: 1e-5,
      got: () => convert(1, 'inHg', 'kPa'),
    },
    {
      id: 'UC-05',
      source: 'exact (IT Btu)',
      expected: 2.326,
      relative: 1e-6,
      got: () => convert(1, 'Btu/lb', 'kJ/kg'),
    },
    { id: 'UC-06', source: 'exact', expected: -40, absolute: 1e-9, got: () => convert(-40, 'degF', 'degC') },
    {
      id: 'IN-03',
      source: 'definition',
      expected: 95.24,
      relative: 5e-4,
      got: () => fromSi(volumeFlowToMassFlow(toSi(1000, 'cm3/min'), 720), 'lb/h'),
    },
  ]);
});

describe('units', () => {
  const all = Object.keys(UNITS) as Unit[];
  it('go there and back in every unit', () => {
    fc.assert(
      fc.property(fc.constantFrom(...all), fc.double({ min: -1e4, max: 1e4, noNaN: true }), (unit, value) => {
        expect(Math.abs(fromSi(toSi(value, unit), unit) - value)).toBeLessThan(1e-7);
        expect(Math.abs(spreadFromSi(spreadToSi(value, unit), unit) - value)).toBeLessThan(1e-7);
        expect(unitsOf(dimensionOf(unit))).toContain(unit);
      }),
    );
  });
  it('never mix dimensions, gauge and absolute included', () => {
    fc.assert(
      fc.property(fc.constantFrom(...all), fc.constantFrom(...all), (from, to) => {
        if (UNITS[from].dimension === UNITS[to].dimension) {
          expect(convert(convert(3, from, to), to, from)).toBeCloseTo(3, 9);
        } else {
          expect(() => convert(3, from, to)).toThrow(UnitMismatch);
        }
      }),
    );
    expect(() => convert(10, 'psi gauge', 'psi abs')).toThrow(
      'psi gauge measures gauge pressure but psi abs measures absolute pressure',
    );
    expect(absoluteToGaugePa(gaugeToAbsolutePa(50e3, 98e3), 98e3)).toBe(50e3);
  });
  it('know their own names and nothing else', () => {
    expect(isUnit('kPa abs')).toBe(true);
    expect(isUnit('toString')).toBe(false);
    expect(airFuelRatioToLambda(lambdaToAirFuelRatio(0.8, 14.6), 14.6)).toBeCloseTo(0.8, 12);
    // A spread of 9 degF is 5 K (exact): no offset.
    expect(spreadToSi(9, 'degF')).toBeCloseTo(5, 12);
  });
});
