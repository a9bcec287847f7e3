import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runCheckRows } from './check-rows.testing.ts';
import {
  nozzleExpansibility,
  orificeDischargeCoefficient,
  orificeExpansibility,
  orificeMassFlowKgPerS,
  VENTURI_COEFFICIENT,
} from './orifice.ts';
import { reynoldsNumber } from './pipe-flow.ts';
import { expectSolved } from './reason.ts';

const flow = (upstreamPa: number, downstreamPa: number, exponent?: number): number =>
  expectSolved(orificeMassFlowKgPerS(0.07366, 0.05, upstreamPa, downstreamPa, 999.1, 1.1e-3, 'D and D/2', exponent));

describe('orifices, outside values', () => {
  runCheckRows([
    {
      id: 'OR-01',
      source: 'ISO 5167-2:2003, data of Crane TP-410 Example 7-29',
      expected: 7.7023,
      relative: 0.002,
      got: () => flow(200e3, 183e3, 1.33),
    },
    {
      id: 'OR-02',
      source: 'ISO 5167-2:2003, Reader-Harris/Gallagher',
      expected: 0.61513,
      relative: 0.001,
      got: () => orificeDischargeCoefficient(0.07366, 0.05, reynoldsNumber(7.7023, 0.07366, 1.1e-3), 'D and D/2'),
    },
    {
      id: 'OR-03',
      source: 'Crane TP-410 Example 7-29',
      expected: 7.93,
      relative: 0.005,
      got: () => flow(200e3, 183e3),
    },
    {
      id: 'OR-04',
      source: 'ISO 5167-4:2003 sect. 5.6, example of ISO/TR 11583',
      expected: 0.994236,
      absolute: 1e-6,
      got: () => nozzleExpansibility(0.6, 5.95 / 6, 1.3),
    },
    {
      id: 'OR-06',
      source: 'ISO 5167-4:2003 sect. 5.5',
      expected: 0.995,
      absolute: 0,
      got: () => VENTURI_COEFFICIENT.machined,
    },
    {
      id: 'OR-06',
      source: 'ISO 5167-4:2003 sect. 5.5',
      expected: 0.984,
      absolute: 0,
      got: () => VENTURI_COEFFICIENT.asCast,
    },
  ]);
});

describe('orifices', () => {
  it('flow more the larger the pressure difference, less when the gas expands', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.76, max: 0.99, noNaN: true }), (ratio) => {
        expect(flow(200e3, 200e3 * ratio)).toBeGreaterThan(flow(200e3, 200e3 * (ratio + 0.005)));
        expect(flow(200e3, 200e3 * ratio, 1.4)).toBeLessThan(flow(200e3, 200e3 * ratio));
        expect(orificeExpansibility(0.6, ratio, 1.4)).toBeLessThan(1);
      }),
    );
  });
  it('read the small-pipe term below 71.12 mm only, and refuse what the standard does not cover', () => {
    const just = orificeDischargeCoefficient(0.07113, 0.04, 1e5, 'corner');
    const under = orificeDischargeCoefficient(0.0711, 0.04, 1e5, 'corner');
    expect(Math.abs(just - under)).toBeLessThan(1e-4);
    expect(orificeMassFlowKgPerS(0.05, 0.06, 2e5, 1.9e5, 1.2, 1.8e-5, 'corner')).toMatchObject({ ok: false });
    expect(orificeMassFlowKgPerS(0.05, 0.03, 2e5, 1e5, 1.2, 1.8e-5, 'corner')).toMatchObject({ ok: false });
  });
});
