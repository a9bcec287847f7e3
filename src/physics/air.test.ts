import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  dewPointK,
  humidityRatioFromVapourPressure,
  moistAir,
  moistAirDensityKgPerM3,
  moistAirEnthalpyJPerKgDryAir,
  vapourPressureFromHumidityRatioPa,
  waterSaturationPressurePa,
} from './air.ts';
import { runCheckRows } from './check-rows.testing.ts';
import { expectSolved } from './reason.ts';

const ASHRAE = 'ASHRAE Fundamentals 2017 ch. 1';
const saturation = (celsius: number): number => expectSolved(waterSaturationPressurePa(celsius + 273.15));

describe('humid air, outside values', () => {
  runCheckRows([
    { id: 'HA-01', source: `${ASHRAE} table 3`, expected: 3169.7, relative: 0.0005, got: () => saturation(25) },
    { id: 'HA-02', source: `${ASHRAE} table 3`, expected: 872.6, relative: 0.0005, got: () => saturation(5) },
    { id: 'HA-03', source: `${ASHRAE} table 3`, expected: 103.24, relative: 0.001, got: () => saturation(-20) },
    {
      id: 'HA-04',
      source: `${ASHRAE} table 2`,
      expected: 0.020173,
      relative: 0.006,
      got: () => expectSolved(moistAir(101325, 298.15, 1)).humidityRatio,
    },
    {
      id: 'HA-05',
      source: `${ASHRAE} eq. 20`,
      expected: 0.02136,
      relative: 0.001,
      got: () => expectSolved(humidityRatioFromVapourPressure(3169.7, 95461)),
    },
    {
      id: 'HA-06',
      source: `${ASHRAE} eq. 26, 28`,
      expected: 1.08412,
      relative: 0.0005,
      got: () => moistAirDensityKgPerM3(95461, 303.15, 0.02),
    },
    {
      id: 'HA-07',
      source: `ideal-gas mixture, ${ASHRAE}`,
      expected: 1.0935,
      relative: 0.001,
      got: () => expectSolved(moistAir(98000, 308.15, 0.6)).densityKgPerM3,
    },
    {
      id: 'HA-08',
      source: '40 CFR 1065.645 worked example',
      expected: 0.011868,
      relative: 1e-4,
      // The example's own saturation pressure, through the humidity ratio and back to a mole fraction.
      got: () =>
        vapourPressureFromHumidityRatioPa(
          expectSolved(humidityRatioFromVapourPressure(0.5077 * 2337.1, 99980)),
          99980,
        ) / 99980,
    },
    {
      id: 'HA-09',
      source: '40 CFR 1065.645 worked example',
      expected: 279.001,
      absolute: 0.03,
      got: () => expectSolved(dewPointK(925.717)),
    },
    {
      id: 'HA-10',
      source: 'Dalton',
      expected: 0.9655,
      relative: 0.0005,
      got: () => expectSolved(moistAir(98000, 308.15, 0.6)).dryPressurePa / 98000,
    },
    {
      id: 'HA-11',
      source: `${ASHRAE} table 2`,
      expected: 0.8443,
      relative: 0.001,
      got: () => 1 / moistAirDensityKgPerM3(101325, 298.15),
    },
  ]);
});

describe('humid air', () => {
  it('refuses what has no meaning', () => {
    expect(waterSaturationPressurePa(500)).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
    expect(waterSaturationPressurePa(Number.NaN).ok).toBe(false);
    expect(moistAir(101325, 298.15, 1.2)).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
    // Above the boiling point saturated "air" at one bar would be all vapour.
    expect(moistAir(100000, 400, 1).ok).toBe(false);
    expect(dewPointK(0).ok).toBe(false);
  });
  it('has the enthalpy of ASHRAE 2017 ch. 1 eq. 30: 81 316 J/kg at 30 degC and 0.02 kg/kg (PsychroLib tests)', () => {
    expect(Math.abs(moistAirEnthalpyJPerKgDryAir(303.15, 0.02) - 81316)).toBeLessThan(81316 * 0.0003);
  });
  it('turns humidity there and back, and is lighter the more humid it is', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 60e3, max: 110e3, noNaN: true }),
        fc.double({ min: 250, max: 325, noNaN: true }),
        fc.double({ min: 0.01, max: 0.99, noNaN: true }),
        (pressurePa, temperatureK, humidity) => {
          const air = expectSolved(moistAir(pressurePa, temperatureK, humidity));
          expect(vapourPressureFromHumidityRatioPa(air.humidityRatio, pressurePa)).toBeCloseTo(air.vapourPressurePa, 6);
          expect(expectSolved(dewPointK(air.vapourPressurePa))).toBeLessThanOrEqual(temperatureK + 0.01);
          const dry = expectSolved(moistAir(pressurePa, temperatureK, 0));
          expect(air.densityKgPerM3).toBeLessThan(dry.densityKgPerM3);
          expect(air.dryPressurePa + air.vapourPressurePa).toBeCloseTo(pressurePa, 6);
        },
      ),
    );
  });
});
