import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { speedOfSoundMPerS } from './atmosphere.ts';
import { runCheckRows } from './check-rows.testing.ts';
import {
  areaRatioAtMach,
  chokedMassFlowKgPerS,
  circleAreaM2,
  criticalPressureRatio,
  fannoParameter,
  fannoPressureRatio,
  machAtFannoPressureRatio,
  machAtPressureRatio,
  nozzleFlowFunction,
  nozzleMassFlowKgPerS,
  pressureRatioAtMach,
  restrictorFlowM3PerS,
  stagnationPressurePa,
  temperatureRatioAtMach,
} from './nozzle.ts';
import { pipeMachNumber } from './pipe-flow.ts';
import { fromSi } from './units.ts';

const ISENTROPIC = 'isentropic relations, gas tables';

describe('compressible flow, outside values', () => {
  runCheckRows([
    { id: 'CM-01', source: ISENTROPIC, expected: 0.95238, absolute: 1e-5, got: () => temperatureRatioAtMach(0.5) },
    { id: 'CM-02', source: ISENTROPIC, expected: 0.84302, absolute: 1e-5, got: () => pressureRatioAtMach(0.5) },
    { id: 'CM-03', source: ISENTROPIC, expected: 1.33984, absolute: 1e-4, got: () => areaRatioAtMach(0.5) },
    { id: 'CM-04', source: ISENTROPIC, expected: 0.52828, absolute: 1e-5, got: () => criticalPressureRatio() },
    {
      id: 'CM-05',
      source: 'Cengel & Cimbala, Fluid Mechanics (2006) Example 12.4',
      expected: 766.8,
      relative: 5e-4,
      got: () => 1400 * criticalPressureRatio(1.289),
    },
    {
      id: 'CM-06',
      source: 'm = 0.04042 A p0 / sqrt(T0)',
      expected: 0.60628,
      relative: 5e-4,
      got: () => chokedMassFlowKgPerS(1e-3, 300e3, 400, 1.4, 287),
    },
    {
      id: 'CM-07',
      source: 'Cengel & Cimbala, Fluid Mechanics (2006) ch. 12',
      expected: 80773,
      relative: 5e-4,
      got: () => stagnationPressurePa(54050, 255.7, 286.8),
    },
    {
      id: 'CM-08',
      source: 'adiabatic pipe flow tables: 5.2993',
      expected: 5.29925,
      absolute: 1e-4,
      got: () => fannoParameter(0.3),
    },
    {
      id: 'CM-09',
      source: 'continuity',
      expected: 0.1252,
      relative: 0.002,
      got: () => pipeMachNumber(0.3, 0.06, 220e3, 330, 1.4, 287),
    },
    {
      id: 'CM-10',
      source: 'fluid mechanics text, Example 11.6 (0.00673 by table)',
      expected: 0.00673,
      relative: 0.03,
      got: () => {
        const machA = machAtPressureRatio(500 / 510);
        const machB = machAtFannoPressureRatio((fannoPressureRatio(machA) * 280) / 500);
        return ((fannoParameter(machA) - fannoParameter(machB)) * 0.02) / 12 / 4;
      },
    },
    {
      id: 'CM-11',
      source: 'sqrt(k R T)',
      expected: 365.87,
      relative: 5e-4,
      got: () => speedOfSoundMPerS(333.15, 1.4, 287),
    },
    {
      id: 'OR-05',
      source: 'Bernoulli',
      expected: 0.8091,
      relative: 5e-4,
      got: () => fromSi(restrictorFlowM3PerS(0.65, circleAreaM2(1e-3), 300e3, 860), 'L/min'),
    },
  ]);
});

describe('nozzles', () => {
  const heatRatio = fc.double({ min: 1.2, max: 1.4, noNaN: true });
  it('gives Mach numbers back', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.01, max: 1, noNaN: true }), heatRatio, (mach, k) => {
        expect(machAtPressureRatio(pressureRatioAtMach(mach, k), k)).toBeCloseTo(mach, 6);
        expect(machAtFannoPressureRatio(fannoPressureRatio(mach, k), k)).toBeCloseTo(mach, 6);
        expect(fannoParameter(mach, k)).toBeGreaterThanOrEqual(-1e-12);
        expect(areaRatioAtMach(mach, k)).toBeGreaterThanOrEqual(1 - 1e-12);
      }),
    );
  });
  it('flows less the higher the downstream pressure, without a step at choking, and nothing backwards', () => {
    fc.assert(
      fc.property(heatRatio, fc.double({ min: 0.05, max: 1.2, noNaN: true }), (k, pr) => {
        expect(nozzleFlowFunction(pr, k)).toBeGreaterThanOrEqual(nozzleFlowFunction(pr + 0.01, k));
        const edge = criticalPressureRatio(k);
        expect(nozzleFlowFunction(edge * (1 + 1e-9), k)).toBeCloseTo(nozzleFlowFunction(edge, k), 8);
      }),
    );
    expect(nozzleMassFlowKgPerS(1e-3, 100e3, 300, 100e3)).toBe(0);
    expect(nozzleMassFlowKgPerS(1e-3, 100e3, 300, 150e3)).toBe(0);
  });
  it('is continuity at the throat: rho c M A', () => {
    // Unchoked at pr = p/p0 the throat is at machAtPressureRatio; mass flow from static state must agree.
    fc.assert(
      fc.property(fc.double({ min: 0.6, max: 0.999, noNaN: true }), (pr) => {
        const mach = machAtPressureRatio(pr);
        const t = 300 * temperatureRatioAtMach(mach);
        const byState = ((2e5 * pr) / (287.05 * t)) * mach * Math.sqrt(1.4 * 287.05 * t) * 1e-3;
        expect(nozzleMassFlowKgPerS(1e-3, 2e5, 300, 2e5 * pr) / byState).toBeCloseTo(1, 8);
      }),
    );
  });
  it('lets a restrictor flow both ways', () => {
    expect(restrictorFlowM3PerS(0.6, 1e-6, -100, 800)).toBe(-restrictorFlowM3PerS(0.6, 1e-6, 100, 800));
    expect(restrictorFlowM3PerS(0.6, 1e-6, 0, 800)).toBe(0);
  });
});
