import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runCheckRows } from './check-rows.testing.ts';
import {
  coolerOutletTemperatureK,
  effectiveness,
  exchangeHeat,
  FLOW_ARRANGEMENTS,
  logMeanTemperatureDifferenceK,
  transferUnits,
} from './heat-exchanger.ts';
import { expectSolved } from './reason.ts';

describe('heat exchangers, outside values', () => {
  runCheckRows([
    {
      id: 'HX-01',
      source: 'closed form; ht library',
      expected: 0.92067,
      absolute: 1e-5,
      got: () => effectiveness('counterflow', 5, 0.7),
    },
    {
      id: 'HX-02',
      source: 'NTU/(1+NTU); ht library',
      expected: 0.9,
      absolute: 1e-6,
      got: () => effectiveness('counterflow', 9, 1),
    },
    {
      id: 'HX-03',
      source: 'closed form',
      expected: 0.633475,
      absolute: 1e-5,
      got: () => effectiveness('parallel flow', 2, 0.5),
    },
    {
      id: 'HX-04',
      source: 'Kays & London; ht library',
      expected: 0.47622,
      absolute: 1e-4,
      got: () => effectiveness('crossflow, both unmixed', 1, 1),
    },
    {
      id: 'HX-05',
      source: 'Incropera eq. 11.32',
      expected: 0.468536,
      absolute: 1e-5,
      got: () => effectiveness('crossflow, both unmixed, approximation', 1, 1),
    },
    {
      id: 'HX-06',
      source: 'Holman, Heat Transfer 10th ed., Example 10-9',
      expected: 110.59,
      absolute: 0.05,
      got: () =>
        exchangeHeat('crossflow, Cmax mixed', 275 * 10.82, 5.2 * 1860, 130 + 273.15, 0.725 * 1900, 15 + 273.15)
          .coldOutletK - 273.15,
    },
    {
      id: 'HX-07',
      source: 'Incropera Example 11.3: 39.7 m2 by chart (from memory)',
      expected: 39.3,
      relative: 0.03,
      got: () => {
        const water = 4197;
        const gas = (water * 90) / 200;
        const share = 200 / (300 - 35);
        return (expectSolved(transferUnits('crossflow, both unmixed', share, gas / water)) * gas) / 100;
      },
    },
    {
      id: 'HX-08',
      source: 'definition',
      expected: 51.25,
      absolute: 0.01,
      got: () => coolerOutletTemperatureK(0.75, 130 + 273.15, 25 + 273.15) - 273.15,
    },
    {
      id: 'HX-09',
      source: 'definition',
      expected: 63.717,
      relative: 1e-4,
      got: () => expectSolved(logMeanTemperatureDifferenceK(150 - 45, 60 - 25)),
    },
    ...FLOW_ARRANGEMENTS.map((arrangement) => ({
      id: 'HX-10',
      source: `limit, ${arrangement}`,
      expected: 0.632121,
      absolute: 1e-5,
      got: () => effectiveness(arrangement, 1, 0),
    })),
  ]);
});

describe('heat exchangers', () => {
  const arrangement = fc.constantFrom(...FLOW_ARRANGEMENTS);
  const ntu = fc.double({ min: 0.01, max: 12, noNaN: true });
  const cr = fc.double({ min: 0, max: 1, noNaN: true });
  it('lies between 0 and counterflow, and between parallel and counterflow for unmixed crossflow', () => {
    fc.assert(
      fc.property(arrangement, ntu, cr, (kind, n, c) => {
        const share = effectiveness(kind, n, c);
        expect(share).toBeGreaterThan(0);
        // The approximation oversteps counterflow by up to 0.005 where both are near one.
        expect(share).toBeLessThanOrEqual(
          effectiveness('counterflow', n, c) + (kind.includes('approximation') ? 0.005 : 1e-9),
        );
        const cross = effectiveness('crossflow, both unmixed', n, c);
        expect(cross).toBeGreaterThanOrEqual(effectiveness('parallel flow', n, c) - 1e-9);
      }),
    );
  });
  it('gives transfer units back on the rising branch', () => {
    fc.assert(
      fc.property(
        fc.constantFrom('counterflow', 'parallel flow', 'crossflow, both unmixed', 'crossflow, Cmax mixed'),
        fc.double({ min: 0.05, max: 3, noNaN: true }),
        cr,
        (kind, n, c) => {
          expect(expectSolved(transferUnits(kind, effectiveness(kind, n, c), c))).toBeCloseTo(n, 5);
        },
      ),
    );
    expect(transferUnits('parallel flow', 0.6, 1)).toMatchObject({
      ok: false,
      reason: { code: 'effectiveness-unreachable' },
    });
    expect(transferUnits('counterflow', 0, 1)).toEqual({ ok: true, value: 0 });
    expect(transferUnits('counterflow', -1, 1)).toMatchObject({ ok: false });
  });
  it('keeps the approximation within 3.8 % of the exact crossflow (worst near NTU 0.28, Cr 1), and stays finite', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.05, max: 6, noNaN: true }), cr, (n, c) => {
        const exact = effectiveness('crossflow, both unmixed', n, c);
        const near = effectiveness('crossflow, both unmixed, approximation', n, c);
        expect(Math.abs(near / exact - 1)).toBeLessThan(0.038);
      }),
    );
    expect(effectiveness('crossflow, both unmixed', 1000, 0.5)).toBeCloseTo(1, 6);
    expect(effectiveness('crossflow, both unmixed', 0, 0.5)).toBe(0);
  });
  it('conserves heat', () => {
    fc.assert(
      fc.property(arrangement, fc.double({ min: 10, max: 2000, noNaN: true }), (kind, conductance) => {
        const x = exchangeHeat(kind, conductance, 250, 420, 600, 300);
        expect(250 * (420 - x.hotOutletK)).toBeCloseTo(x.heatW, 6);
        expect(600 * (x.coldOutletK - 300)).toBeCloseTo(x.heatW, 6);
        expect(x.hotOutletK).toBeGreaterThanOrEqual(300);
      }),
    );
  });
  it('has a log mean between the two ends', () => {
    expect(expectSolved(logMeanTemperatureDifferenceK(20, 20))).toBe(20);
    expect(logMeanTemperatureDifferenceK(-5, 20)).toMatchObject({ ok: false });
  });
});
