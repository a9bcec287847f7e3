import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runCheckRows } from './check-rows.testing.ts';
import {
  apparentResistanceOhm,
  BATTERY_GROUPS,
  BATTERY_TESTS,
  cableVoltageDropV,
  chargeOfReserveCapacityAs,
  copperResistanceOhmPerM,
  copperResistanceRatio,
  gaugeAreaM2,
  gaugeDiameterM,
  peukertRunTimeS,
  STRANDING_FACTOR,
  shortCircuitConstant,
} from './electrical.ts';
import { expectSolved } from './reason.ts';

const B258 = 'ASTM B258';
const J537 = 'SAE J537';
const BCI = 'BCI dimensional chart';
const HOUR = 3600;
const group = (name: string, index: 0 | 1 | 2): number => 1000 * BATTERY_GROUPS[name]![index];

describe('wire and battery, outside values', () => {
  runCheckRows([
    { id: 'WR-01', source: B258, expected: 2.5882e-3, relative: 2e-4, got: () => gaugeDiameterM(10) },
    { id: 'WR-02', source: B258, expected: 0.823e-6, relative: 5e-4, got: () => gaugeAreaM2(18) },
    { id: 'WR-03', source: B258, expected: 9.2658e-3, relative: 2e-4, got: () => gaugeDiameterM(-1) },
    {
      id: 'WR-04',
      source: 'AWG chart, IACS copper',
      expected: 3.277e-3,
      relative: 0.002,
      got: () => copperResistanceOhmPerM(gaugeAreaM2(10)),
    },
    {
      id: 'WR-05',
      source: 'NEC ch. 9 table 8: 0.308 ohm/kft',
      expected: 1.01e-3,
      relative: 0.01,
      got: () => STRANDING_FACTOR * copperResistanceOhmPerM(gaugeAreaM2(4), 273.15 + 75),
    },
    { id: 'WR-06', source: 'Ohm', expected: 0.6207, relative: 0.001, got: () => cableVoltageDropV(15, 6, 2.5e-6) },
    {
      id: 'WR-07',
      source: 'IACS coefficient',
      expected: 1.2358,
      relative: 1e-4,
      got: () => copperResistanceRatio(273.15 + 80),
    },
    {
      id: 'WR-08',
      source: 'IEC 60364-5-54 table value 115 (from memory)',
      expected: 114.8,
      absolute: 1,
      got: () => expectSolved(shortCircuitConstant(273.15 + 70, 273.15 + 160)) / 1e6,
    },
    {
      id: 'WR-09',
      source: B258,
      expected: 1.1229322,
      absolute: 1e-6,
      got: () => gaugeDiameterM(9) / gaugeDiameterM(10),
    },
    {
      id: 'BT-01',
      source: J537,
      expected: -18,
      absolute: 1e-9,
      got: () => BATTERY_TESTS.coldCranking.temperatureK - 273.15,
    },
    {
      id: 'BT-01',
      source: J537,
      expected: 7.2,
      absolute: 1e-9,
      got: () => 6 * BATTERY_TESTS.coldCranking.cellVoltageV,
    },
    { id: 'BT-01', source: J537, expected: 30, absolute: 0, got: () => BATTERY_TESTS.coldCranking.durationS },
    {
      id: 'BT-02',
      source: 'BCI',
      expected: 0,
      absolute: 1e-9,
      got: () => BATTERY_TESTS.cranking.temperatureK - 273.15,
    },
    {
      id: 'BT-03',
      source: J537,
      expected: 10.5,
      absolute: 1e-9,
      got: () => 6 * BATTERY_TESTS.reserveCapacity.cellVoltageV,
    },
    {
      id: 'BT-04',
      source: "Peukert's law",
      expected: 1.5705,
      relative: 5e-4,
      got: () => peukertRunTimeS(60 * HOUR, 20 * HOUR, 25, 1.2) / HOUR,
    },
    {
      id: 'BT-05',
      source: "Peukert's law",
      expected: 20,
      absolute: 1e-9,
      got: () => peukertRunTimeS(60 * HOUR, 20 * HOUR, 3, 1.17) / HOUR,
    },
    {
      id: 'BT-06',
      source: 'definition',
      expected: 41.667,
      relative: 1e-4,
      got: () => chargeOfReserveCapacityAs(100 * 60) / HOUR,
    },
    ...([230, 175, 225] as const).map((expected, i) => ({
      id: 'BT-07',
      source: BCI,
      expected,
      absolute: 3,
      got: () => group('35', i as 0 | 1 | 2),
    })),
    ...([306, 191, 192] as const).map((expected, i) => ({
      id: 'BT-08',
      source: BCI,
      expected,
      absolute: 3,
      got: () => group('65', i as 0 | 1 | 2),
    })),
    {
      id: 'BT-09',
      source: 'Ohm; a rough bound at -18 degC only',
      expected: 9e-3,
      relative: 1e-4,
      got: () => apparentResistanceOhm(12.6, 7.2, 600),
    },
  ]);
});

describe('wire and battery', () => {
  it('drops more over longer, thinner, warmer and busier cables', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 300, noNaN: true }),
        fc.double({ min: 0.5, max: 10, noNaN: true }),
        (amps, metres) => {
          const here = cableVoltageDropV(amps, metres, 10e-6, 300);
          expect(cableVoltageDropV(amps, metres * 1.1, 10e-6, 300)).toBeGreaterThan(here);
          expect(cableVoltageDropV(amps, metres, 9e-6, 300)).toBeGreaterThan(here);
          expect(cableVoltageDropV(amps, metres, 10e-6, 320)).toBeGreaterThan(here);
          expect(cableVoltageDropV(amps * 1.1, metres, 10e-6, 300)).toBeGreaterThan(here);
        },
      ),
    );
  });
  it('runs shorter than the rating says above the rated current, longer below', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.2, max: 50, noNaN: true }),
        fc.double({ min: 1.01, max: 1.3, noNaN: true }),
        (amps, k) => {
          const naive = (60 * HOUR) / amps;
          const time = peukertRunTimeS(60 * HOUR, 20 * HOUR, amps, k);
          if (amps > 3.0001) expect(time).toBeLessThan(naive);
          if (amps < 2.9999) expect(time).toBeGreaterThan(naive);
        },
      ),
    );
    expect(shortCircuitConstant(400, 300)).toMatchObject({ ok: false });
  });
});
