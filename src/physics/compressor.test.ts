import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runCheckRows } from './check-rows.testing.ts';
import {
  compressGas,
  compressorEfficiencyFromTemperatures,
  compressorOutletTemperatureK,
  compressorPowerW,
  compressorPressureRatio,
  correctedMassFlowKgPerS,
  correctedSpeedRpm,
  isentropicFromPolytropicEfficiency,
  MAP_REFERENCES,
  massFlowFromCorrectedKgPerS,
  polytropicFromIsentropicEfficiency,
  speedFromCorrectedRpm,
  tipSpeedMPerS,
} from './compressor.ts';
import { DRY_AIR } from './gas.ts';
import { expectSolved } from './reason.ts';
import { fromSi } from './units.ts';

const SI = MAP_REFERENCES['standard atmosphere (15 degC, 101.325 kPa)'];
const US = MAP_REFERENCES['545 degR, 28.4 inHg'];

describe('compressor, outside values', () => {
  runCheckRows([
    {
      id: 'CT-01',
      source: 'definition of adiabatic efficiency',
      expected: 382.32,
      absolute: 0.1,
      got: () => compressorOutletTemperatureK(293.15, 2, 0.72),
    },
    {
      id: 'CT-02',
      source: 'Cengel & Cimbala, Fluid Mechanics (2006) ch. 12',
      expected: 519.52,
      absolute: 0.1,
      got: () => compressorOutletTemperatureK(286.8, 8, 1),
    },
    {
      id: 'CT-03',
      source: 'energy balance',
      expected: 22404,
      relative: 0.002,
      got: () => compressorPowerW(0.25, 293.15, 2, 0.72),
    },
    {
      id: 'CT-04',
      source: 'Couper et al., Chemical Process Equipment, Example 7.6',
      expected: 0.7095,
      absolute: 1e-4,
      got: () => isentropicFromPolytropicEfficiency(3, 0.75),
    },
    {
      id: 'CT-05',
      source: 'definition p2t/p1t',
      expected: 2.14433,
      absolute: 1e-6,
      got: () => compressorPressureRatio(200e3, 8e3, 100e3, 3e3),
    },
    {
      id: 'CT-08',
      source: 'fluids library documentation',
      expected: 0.78,
      absolute: 1e-4,
      got: () => polytropicFromIsentropicEfficiency(10, 0.7027614),
    },
    {
      id: 'CF-01',
      source: 'definition',
      expected: 0.27574,
      relative: 1e-4,
      got: () => correctedMassFlowKgPerS(0.25, 308.15, 95e3, SI),
    },
    {
      id: 'CF-02',
      source: 'definition; reference state from memory',
      expected: 0.25532,
      relative: 2e-4,
      got: () => correctedMassFlowKgPerS(0.25, 308.15, 95e3, US),
    },
    {
      id: 'CF-03',
      source: 'definition',
      expected: 33.774,
      relative: 2e-4,
      got: () => fromSi(correctedMassFlowKgPerS(0.25, 308.15, 95e3, US), 'lb/min'),
    },
    {
      id: 'CF-04',
      source: 'definition',
      expected: 116040,
      relative: 1e-4,
      got: () => correctedSpeedRpm(120000, 308.15, SI),
    },
  ]);
});

describe('compressor', () => {
  const ratio = fc.double({ min: 1.05, max: 4.5, noNaN: true });
  const efficiency = fc.double({ min: 0.4, max: 0.85, noNaN: true });
  const inlet = fc.double({ min: 250, max: 340, noNaN: true });
  it('gives efficiencies back, both kinds', () => {
    fc.assert(
      fc.property(ratio, efficiency, inlet, (pr, eta, kelvin) => {
        const outlet = compressorOutletTemperatureK(kelvin, pr, eta);
        expect(expectSolved(compressorEfficiencyFromTemperatures(kelvin, outlet, pr))).toBeCloseTo(eta, 9);
        const polytropic = polytropicFromIsentropicEfficiency(pr, eta);
        expect(polytropic).toBeGreaterThan(eta);
        expect(isentropicFromPolytropicEfficiency(pr, polytropic)).toBeCloseTo(eta, 9);
      }),
    );
  });
  it('warms the air within 3 % of what constant specific heat gives, for ratios up to 3', () => {
    fc.assert(
      fc.property(fc.double({ min: 1.05, max: 3, noNaN: true }), efficiency, inlet, (pr, eta, kelvin) => {
        const real = expectSolved(compressGas(DRY_AIR, kelvin, pr, eta));
        const rise = compressorOutletTemperatureK(kelvin, pr, eta) - kelvin;
        expect(Math.abs(real.outletTemperatureK - kelvin - rise)).toBeLessThan(0.03 * rise + 0.5);
      }),
    );
  });
  it('turns corrected flow and speed there and back, and changes nothing in the reference air', () => {
    fc.assert(
      fc.property(inlet, fc.double({ min: 70e3, max: 105e3, noNaN: true }), (kelvin, pa) => {
        expect(massFlowFromCorrectedKgPerS(correctedMassFlowKgPerS(0.3, kelvin, pa, US), kelvin, pa, US)).toBeCloseTo(
          0.3,
          12,
        );
        expect(speedFromCorrectedRpm(correctedSpeedRpm(1e5, kelvin, US), kelvin, US)).toBeCloseTo(1e5, 6);
      }),
    );
    expect(correctedMassFlowKgPerS(0.3, 288.15, 101325, SI)).toBe(0.3);
  });
  it('refuses air that cools, and computes tip speed', () => {
    expect(compressorEfficiencyFromTemperatures(300, 290, 2)).toMatchObject({ ok: false });
    expect(compressGas(DRY_AIR, 300, 2, 0)).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
    // 60 mm at 120 000 /min: pi 0.06 m 2000 1/s = 376.99 m/s (arithmetic).
    expect(tipSpeedMPerS(0.06, 120000)).toBeCloseTo(376.991, 3);
  });
});
