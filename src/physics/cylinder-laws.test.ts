/** Otto cycle, burn function, heat loss, knock, friction and filling against outside values. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runCheckRows } from './check-rows.testing.ts';
import {
  airFlowFromFuelKgPerS,
  airPerCycleKg,
  fuelFlowKgPerS,
  residualFillingFactor,
  residualGasMassKg,
  speedDensityAirFlowKgPerS,
  volumetricEfficiencyAtPressureRatio,
  volumetricEfficiencyFromFlow,
} from './filling.ts';
import {
  barnesMossFrictionPa,
  chenFlynnFrictionPa,
  meanPressureFromTorquePa,
  powerFromMeanPressureW,
  powerFromTorqueW,
  pumpingPressurePa,
  torqueFromMeanPressureNm,
  torqueFromPowerNm,
  USUAL_CHEN_FLYNN,
} from './friction.ts';
import { woschniCoefficientWPerM2K, woschniGasVelocityMPerS } from './heat-loss.ts';
import { inductionTimeS, knockIntegral } from './knock-delay.ts';
import { compressionPressurePa, compressionTemperatureK, ottoCycle, ottoEfficiency } from './otto-cycle.ts';
import { expectSolved } from './reason.ts';
import { fromSi } from './units.ts';
import { wiebeAngleDeg, wiebeBurned, wiebeEfficiencyForBurned, wiebeRatePerDeg } from './wiebe.ts';

const DOUAUD = 'Douaud & Eyzat, SAE 780080 (1978); Heywood (1988) sect. 9.6';
const WIEBE = 'Heywood (1988) sect. 9.2, a = 5, m = 2';
const WOSCHNI = 'Heywood (1988) sect. 12.4.3, after Woschni SAE 670931';
const CENGEL = 'Cengel & Boles, Thermodynamics, Example 9-2 (from memory)';
const BALMER = 'Balmer, Modern Engineering Thermodynamics, Example 13.14';
const ATM = 101325;

const steps = Array.from({ length: 3001 }, (_, i) => i / 3000);
const constant = (value: number): number[] => steps.map(() => value);

describe('cylinder laws, outside values', () => {
  const cengel = () => expectSolved(ottoCycle(8, 100e3, 290, 800e3));
  runCheckRows([
    { id: 'OT-01', source: 'cold-air standard', expected: 0.584756, absolute: 1e-5, got: () => ottoEfficiency(9) },
    { id: 'OT-02', source: BALMER, expected: 0.5647, absolute: 5e-4, got: () => ottoEfficiency(8) },
    {
      id: 'OT-03',
      source: BALMER,
      expected: 1217,
      absolute: 1,
      got: () => 1.8 * compressionTemperatureK(529.67 / 1.8, 8),
    },
    { id: 'OT-04', source: CENGEL, expected: 1576, relative: 0.005, got: () => cengel().peakK },
    { id: 'OT-05', source: CENGEL, expected: 0.5231, absolute: 0.004, got: () => cengel().efficiency },
    { id: 'OT-06', source: CENGEL, expected: 575e3, relative: 0.01, got: () => cengel().meanPressurePa },
    { id: 'WB-01', source: WIEBE, expected: 0.464739, absolute: 1e-5, got: () => wiebeBurned(10, -20, 60) },
    { id: 'WB-02', source: WIEBE, expected: 0.993262, absolute: 1e-5, got: () => wiebeBurned(40, -20, 60) },
    {
      id: 'WB-03',
      source: 'a = -ln(0.001)',
      expected: 0.999,
      absolute: 1e-5,
      got: () => wiebeBurned(40, -20, 60, { efficiency: 6.908, form: 2 }),
    },
    { id: 'WB-04', source: WIEBE, expected: 11.053, absolute: 0.01, got: () => wiebeAngleDeg(0.5, -20, 60) },
    { id: 'WB-05', source: 'derivative', expected: 0.033454, relative: 1e-4, got: () => wiebeRatePerDeg(10, -20, 60) },
    {
      id: 'WO-01',
      source: WOSCHNI,
      expected: 814.2,
      relative: 0.001,
      got: () => woschniCoefficientWPerM2K(0.086, 5e6, 2000, 20),
    },
    {
      id: 'WO-02',
      source: WOSCHNI,
      expected: 39.216,
      relative: 1e-4,
      got: () => woschniGasVelocityMPerS('compression', 17.2, 0.5e-3, 350, 150e3, 0.55e-3, 3e6),
    },
    {
      id: 'WO-03',
      source: WOSCHNI,
      expected: 59.834,
      relative: 5e-4,
      got: () => {
        // The factor is per kPa/kPa, so pascals on both sides give the same number.
        return woschniGasVelocityMPerS('combustion', 17.2, 0.5e-3, 350, 150e3, 0.55e-3, 3e6);
      },
    },
    {
      id: 'KN-01',
      source: DOUAUD,
      expected: 5.2904,
      relative: 0.001,
      got: () => 1e3 * inductionTimeS(95, 30 * ATM, 800),
    },
    {
      id: 'KN-02',
      source: DOUAUD,
      expected: 17.2249,
      relative: 0.001,
      got: () => 1e3 * inductionTimeS(100, 20 * ATM, 750),
    },
    { id: 'KN-03', source: DOUAUD, expected: 5.4101, relative: 0.001, got: () => 1e3 * inductionTimeS(95, 3e6, 800) },
    {
      id: 'KN-04',
      source: DOUAUD,
      expected: 1.28674,
      relative: 1e-4,
      got: () => inductionTimeS(98, 3e6, 800) / inductionTimeS(91, 3e6, 800),
    },
    {
      id: 'KN-05',
      source: 'Livengood & Wu 1955',
      expected: 0.189,
      relative: 0.001,
      got: () =>
        expectSolved(
          knockIntegral(
            95,
            steps.map((s) => s * 1e-3),
            constant(30 * ATM),
            constant(800),
          ),
        ),
    },
    {
      id: 'KN-06',
      source: 'Livengood & Wu 1955',
      expected: 0.6332,
      relative: 0.002,
      got: () =>
        expectSolved(
          knockIntegral(
            95,
            steps.map((s) => s * 1.5e-3),
            steps.map((s) => (20 + 40 * s) * ATM),
            steps.map((s) => 750 + 150 * s),
          ),
        ),
    },
    {
      id: 'FR-01',
      source: 'Chen & Flynn, SAE 650733 (1965), constants from memory',
      expected: 2.967,
      absolute: 1e-6,
      got: () => chenFlynnFrictionPa(USUAL_CHEN_FLYNN, 8e6, 15) / 1e5,
    },
    {
      id: 'FR-02',
      source: 'P = mep Vd N / 2',
      expected: 29.64e3,
      relative: 1e-4,
      got: () => powerFromMeanPressureW(2.967e5, 1.998e-3, 6000),
    },
    {
      id: 'FR-03',
      source: 'Barnes-Moss, Heywood (1988) eq. 13.6 (from memory)',
      expected: 3.67,
      absolute: 1e-6,
      got: () => barnesMossFrictionPa(6000) / 1e5,
    },
    {
      id: 'SD-01',
      source: 'ideal gas',
      expected: 0.20664,
      relative: 5e-4,
      got: () => speedDensityAirFlowKgPerS(0.95, 1.998e-3, 6000, 200e3, 320),
    },
    {
      id: 'SD-02',
      source: 'ideal gas',
      expected: 27.333,
      relative: 5e-4,
      got: () => fromSi(speedDensityAirFlowKgPerS(0.95, 1.998e-3, 6000, 200e3, 320), 'lb/min'),
    },
    {
      id: 'SD-03',
      source: 'ideal gas',
      expected: 0.684,
      relative: 5e-4,
      got: () => volumetricEfficiencyFromFlow(0.15, 2.48e-3, 5500, 180e3, 325),
    },
    {
      id: 'SD-04',
      source: 'definition',
      expected: 17.697e-3,
      relative: 1e-4,
      got: () => fuelFlowKgPerS(0.2067, 0.8, 14.6),
    },
    {
      id: 'SD-05',
      source: 'ideal gas',
      expected: 1033.2e-6,
      relative: 5e-4,
      got: () => airPerCycleKg(0.95, 0.4995e-3, 200e3, 320),
    },
  ]);
});

describe('Otto cycle', () => {
  it('with variable specific heat is never better than the cold-air limit and balances its energy', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 6, max: 14, noNaN: true }),
        fc.double({ min: 1e5, max: 2.5e6, noNaN: true }),
        (r, q) => {
          const cycle = expectSolved(ottoCycle(r, 1e5, 300, q));
          expect(cycle.efficiency).toBeLessThan(ottoEfficiency(r));
          expect(cycle.efficiency).toBeGreaterThan(0.3);
          expect(cycle.peakK).toBeGreaterThan(cycle.compressedK);
          expect(cycle.compressedPa).toBeLessThan(compressionPressurePa(1e5, r) * 1.001);
          expect(cycle.peakPa / cycle.compressedPa).toBeCloseTo(cycle.peakK / cycle.compressedK, 9);
        },
      ),
    );
    expect(ottoCycle(1, 1e5, 300, 1e6)).toMatchObject({ ok: false, reason: { code: 'input-out-of-range' } });
  });
});

describe('burn function', () => {
  it('runs from 0 to its end, its rate is its slope and its angle its inverse', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 3, max: 8, noNaN: true }),
        fc.double({ min: 0.5, max: 4, noNaN: true }),
        fc.double({ min: 0.02, max: 0.98, noNaN: true }),
        (efficiency, form, y) => {
          const shape = { efficiency, form };
          const angle = -20 + 60 * y;
          const slope = (wiebeBurned(angle + 1e-4, -20, 60, shape) - wiebeBurned(angle - 1e-4, -20, 60, shape)) / 2e-4;
          expect(wiebeRatePerDeg(angle, -20, 60, shape)).toBeCloseTo(slope, 6);
          const burned = wiebeBurned(angle, -20, 60, shape);
          fc.pre(burned < 0.999);
          expect(wiebeAngleDeg(burned, -20, 60, shape)).toBeCloseTo(angle, 6);
        },
      ),
    );
    expect([wiebeBurned(-30, -20, 60), wiebeRatePerDeg(-30, -20, 60), wiebeRatePerDeg(90, -20, 60)]).toEqual([0, 0, 0]);
    expect(wiebeBurned(500, -20, 60)).toBe(wiebeBurned(40, -20, 60));
    expect(wiebeEfficiencyForBurned(0.999)).toBeCloseTo(6.9078, 4);
  });
});

describe('knock integral', () => {
  it('refuses histories that do not fit together', () => {
    expect(knockIntegral(95, [0, 1], [1e6], [800, 800])).toMatchObject({ reason: { code: 'table-malformed' } });
    expect(knockIntegral(95, [1, 0], [1e6, 1e6], [800, 800])).toMatchObject({ reason: { code: 'table-malformed' } });
    expect(knockIntegral(95, [0, 1], [1e6, Number.NaN], [800, 800])).toMatchObject({ ok: false });
  });
  it('grows with pressure and heat and shrinks with octane', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 5e5, max: 1e7, noNaN: true }),
        fc.double({ min: 500, max: 1100, noNaN: true }),
        (pa, kelvin) => {
          const here = inductionTimeS(95, pa, kelvin);
          expect(inductionTimeS(95, pa * 1.01, kelvin)).toBeLessThan(here);
          expect(inductionTimeS(95, pa, kelvin + 1)).toBeLessThan(here);
          expect(inductionTimeS(96, pa, kelvin)).toBeGreaterThan(here);
        },
      ),
    );
  });
});

describe('mean pressures', () => {
  it('turn into torque and power and back', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e4, max: 4e6, noNaN: true }),
        fc.double({ min: 500, max: 9000, noNaN: true }),
        (mep, rpm) => {
          const torque = torqueFromMeanPressureNm(mep, 2e-3);
          expect(meanPressureFromTorquePa(torque, 2e-3)).toBeCloseTo(mep, 4);
          expect(powerFromTorqueW(torque, rpm)).toBeCloseTo(powerFromMeanPressureW(mep, 2e-3, rpm), 4);
          expect(torqueFromPowerNm(powerFromTorqueW(torque, rpm), rpm)).toBeCloseTo(torque, 9);
        },
      ),
    );
    expect(pumpingPressurePa(150e3, 180e3)).toBe(-30e3);
  });
});

describe('filling', () => {
  it('inverts flow, fuel and efficiency', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.3, max: 1.3, noNaN: true }),
        fc.double({ min: 30e3, max: 350e3, noNaN: true }),
        (ve, pa) => {
          const flow = speedDensityAirFlowKgPerS(ve, 2e-3, 5000, pa, 310);
          expect(volumetricEfficiencyFromFlow(flow, 2e-3, 5000, pa, 310)).toBeCloseTo(ve, 12);
          expect(airFlowFromFuelKgPerS(fuelFlowKgPerS(flow, 0.8, 14.6), 0.8, 14.6)).toBeCloseTo(flow, 12);
          expect(airPerCycleKg(ve, 0.5e-3, pa, 310) * 4 * (5000 / 120)).toBeCloseTo(flow, 12);
        },
      ),
    );
  });
  it('loses filling to back-pressure: Heywood (1988) eq. 6.3 at r = 9, pe/pi = 1.5, k = 1.3 gives 0.95425 (arithmetic)', () => {
    expect(residualFillingFactor(9, 1.5)).toBeCloseTo((9 - 1.5 ** (1 / 1.3)) / 8, 12);
    expect(residualFillingFactor(9, 1.5)).toBeCloseTo(0.95425, 4);
    expect(residualFillingFactor(9, 1)).toBe(1);
    expect(residualFillingFactor(9, 0.8)).toBeGreaterThan(1);
    expect(residualFillingFactor(9, 1000)).toBe(0);
    expect(volumetricEfficiencyAtPressureRatio(0.95, 1.2, 1.2, 9)).toBeCloseTo(0.95, 12);
    expect(volumetricEfficiencyAtPressureRatio(0.95, 1, 1.5, 9)).toBeCloseTo(0.95 * 0.95425, 4);
  });
  it('keeps residual gas by the ideal-gas law', () => {
    // 120 kPa, 1100 K, 62.5 cm3, R = 287: 23.76 mg (arithmetic).
    expect(residualGasMassKg(120e3, 1100, 62.5e-6) * 1e6).toBeCloseTo(23.76, 2);
  });
});
