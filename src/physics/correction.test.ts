import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { moistAir } from './air.ts';
import { runCheckRows } from './check-rows.testing.ts';
import { BOOST_CONTROL_CAUTION, CORRECTION_STANDARDS, type CorrectionStandard, powerCorrection } from './correction.ts';
import { expectSolved } from './reason.ts';

const J1349 = 'SAE J1349 JUN90, formula as quoted in public';
const MEMORY = 'formula from memory, value recomputed';
const factor = (standard: CorrectionStandard, totalPa: number, vapourPa: number, kelvin: number): number =>
  expectSolved(powerCorrection(standard, totalPa, vapourPa, kelvin)).factor;

describe('power correction, outside values', () => {
  runCheckRows([
    { id: 'PC-01', source: J1349, expected: 1, absolute: 1e-6, got: () => factor('SAE J1349', 99000, 0, 298.15) },
    { id: 'PC-02', source: J1349, expected: 1.0701, absolute: 5e-4, got: () => factor('SAE J1349', 95000, 0, 308.15) },
    {
      id: 'PC-03',
      source: J1349,
      expected: 1.0526,
      absolute: 0.001,
      got: () => factor('SAE J1349', 98500, expectSolved(moistAir(98500, 305.15, 0.55)).vapourPressurePa, 305.15),
    },
    {
      id: 'PC-04',
      source: `ISO 1585:1992, ${MEMORY}`,
      expected: 1.0718,
      absolute: 5e-4,
      got: () => factor('ISO 1585', 95000, 0, 308.15),
    },
    {
      id: 'PC-05',
      source: `ISO 1585:1992, ${MEMORY}`,
      expected: 1,
      absolute: 1e-6,
      got: () => factor('ISO 1585', 99000, 0, 298.15),
    },
    {
      id: 'PC-06',
      source: `DIN 70020, ${MEMORY}`,
      expected: 1.0458,
      absolute: 5e-4,
      // Humidity must not matter: this standard takes the total pressure.
      got: () => factor('DIN 70020', 98500, 2000, 303.15),
    },
    {
      id: 'PC-07',
      source: `SAE J607, ${MEMORY}`,
      expected: 1.0562,
      absolute: 5e-4,
      got: () => factor('SAE J607', 29 * 3386.389, 0, (85 + 459.67) / 1.8),
    },
    {
      id: 'PC-08',
      source: J1349,
      expected: 267.5,
      relative: 1e-3,
      got: () => 250 * factor('SAE J1349', 95000, 0, 308.15),
    },
    {
      id: 'PC-09',
      source: 'both formulas',
      expected: 1.0353,
      absolute: 0.002,
      got: () => factor('SAE J607', 96500, 0, 298.15) / factor('SAE J1349', 96500, 0, 298.15),
    },
  ]);
});

describe('power correction', () => {
  it('says where it lies outside its range, and always carries the caution about boost control', () => {
    const mountain = expectSolved(powerCorrection('SAE J1349', 78000, 1000, 298.15));
    expect(mountain.outsideRange).toHaveLength(2);
    expect(mountain.outsideRange.join()).toContain('dry pressure [Pa] 77000 lies outside 90000 to 105000');
    expect(mountain.caution).toBe(BOOST_CONTROL_CAUTION);
    expect(expectSolved(powerCorrection('SAE J1349', 99000, 0, 298.15)).outsideRange).toEqual([]);
    expect(powerCorrection('ISO 1585', 1000, 2000, 300)).toMatchObject({ ok: false });
  });
  it('rises with heat and falls with pressure, under every standard', () => {
    fc.assert(
      fc.property(
        fc.constantFrom(...(Object.keys(CORRECTION_STANDARDS) as CorrectionStandard[])),
        fc.double({ min: 80e3, max: 108e3, noNaN: true }),
        fc.double({ min: 270, max: 315, noNaN: true }),
        (standard, pressurePa, kelvin) => {
          const here = factor(standard, pressurePa, 800, kelvin);
          expect(factor(standard, pressurePa, 800, kelvin + 1)).toBeGreaterThan(here);
          expect(factor(standard, pressurePa + 100, 800, kelvin)).toBeLessThan(here);
        },
      ),
    );
  });
});
