import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { moistAir } from './air.ts';
import {
  ATMOSPHERE_RANGE_M,
  airConductivityWPerMK,
  airViscosityPaS,
  densityAltitudeM,
  geopotentialAltitudeM,
  pressureAltitudeM,
  speedOfSoundMPerS,
  standardAtmosphere,
} from './atmosphere.ts';
import { runCheckRows } from './check-rows.testing.ts';
import { expectSolved } from './reason.ts';

const ISO = 'ISO 2533:1975';
const at = (altitudeM: number) => expectSolved(standardAtmosphere(altitudeM));
const atGeometric = (altitudeM: number) => at(geopotentialAltitudeM(altitudeM));
const humidDensity = (pressurePa: number, celsius: number, humidity: number): number =>
  expectSolved(moistAir(pressurePa, celsius + 273.15, humidity)).densityKgPerM3;

describe('standard atmosphere, outside values', () => {
  runCheckRows([
    { id: 'SA-01', source: ISO, expected: 89874.6, relative: 1e-4, got: () => at(1000).pressurePa },
    { id: 'SA-02', source: ISO, expected: 1.11164, relative: 1e-4, got: () => at(1000).densityKgPerM3 },
    { id: 'SA-03', source: ISO, expected: 22632, relative: 1e-4, got: () => at(11000).pressurePa },
    { id: 'SA-04', source: ISO, expected: 79501, relative: 1e-4, got: () => atGeometric(2000).pressurePa },
    { id: 'SA-05', source: ISO, expected: 1.0066, relative: 1e-4, got: () => atGeometric(2000).densityKgPerM3 },
    {
      id: 'SA-06',
      source: ISO,
      expected: 332.53,
      relative: 1e-4,
      got: () => speedOfSoundMPerS(atGeometric(2000).temperatureK),
    },
    { id: 'SA-07', source: ISO, expected: 17.894e-6, relative: 1e-3, got: () => airViscosityPaS(288.15) },
    { id: 'SA-08', source: ISO, expected: 1457.3, absolute: 1, got: () => expectSolved(pressureAltitudeM(85000)) },
    {
      id: 'SA-09',
      source: `definition with ${ISO}`,
      expected: 525,
      absolute: 5,
      got: () => expectSolved(densityAltitudeM(humidDensity(101325, 30, 0))),
    },
    {
      id: 'SA-10',
      source: `definition with ${ISO}`,
      expected: 1167,
      absolute: 15,
      got: () => expectSolved(densityAltitudeM(humidDensity(98000, 35, 0.6))),
    },
    { id: 'SA-11', source: ISO, expected: 14.216e-6, relative: 1e-3, got: () => airViscosityPaS(216.65) },
  ]);
});

describe('standard atmosphere', () => {
  it('conducts heat as ISO 2533 table 3 says at sea level: 0.025343 W/(m K) (from memory)', () => {
    expect(Math.abs(airConductivityWPerMK(288.15) / 0.025343 - 1)).toBeLessThan(0.002);
  });
  it('gives altitudes back from their pressure and density, over both layers', () => {
    fc.assert(
      fc.property(fc.double({ min: ATMOSPHERE_RANGE_M.from + 1, max: ATMOSPHERE_RANGE_M.to - 1, noNaN: true }), (m) => {
        const level = at(m);
        expect(expectSolved(pressureAltitudeM(level.pressurePa))).toBeCloseTo(m, 5);
        expect(expectSolved(densityAltitudeM(level.densityKgPerM3))).toBeCloseTo(m, 5);
      }),
    );
  });
  it('refuses levels outside its layers', () => {
    for (const answer of [standardAtmosphere(30000), pressureAltitudeM(100), densityAltitudeM(3)]) {
      expect(answer).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
    }
    expect(pressureAltitudeM(Number.NaN).ok).toBe(false);
  });
});
