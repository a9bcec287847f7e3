import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runCheckRows } from './check-rows.testing.ts';
import { circleAreaM2, criticalPressureRatio } from './nozzle.ts';
import { expectSolved } from './reason.ts';
import {
  bladeSpeedRatio,
  expansionRatioForPower,
  shaftAccelerationRpmPerS,
  TURBINE_FLOW_EXPONENT,
  turbineAreaFromFlowM2,
  turbineAreaFromHousingM2,
  turbineAreaFromPointM2,
  turbineEfficiency,
  turbineNozzleMassFlowKgPerS,
  turbineOutletTemperatureK,
  turbinePowerW,
  turbineSmoothMassFlowKgPerS,
  wastegateMassFlowKgPerS,
  wastegateOpenAreaM2,
} from './turbine.ts';

describe('turbine, outside values', () => {
  runCheckRows([
    {
      id: 'CT-06',
      source: 'definition of adiabatic efficiency',
      expected: 1047,
      absolute: 0.2,
      got: () => turbineOutletTemperatureK(1173, 2, 0.68, 1.33),
    },
    {
      id: 'CT-07',
      source: 'energy balance',
      expected: 1.4976,
      relative: 0.003,
      got: () => expectSolved(expansionRatioForPower(22404, 0.268, 1173, 0.65, 1.33, 1150)),
    },
  ]);
});

describe('turbine', () => {
  it('balances the shaft for any power it can give, and refuses the rest', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1.01, max: 4, noNaN: true }),
        fc.double({ min: 0.05, max: 0.6, noNaN: true }),
        (pr, flow) => {
          const power = turbinePowerW(flow, 1150, pr, 0.6);
          expect(expectSolved(expansionRatioForPower(power, flow, 1150, 0.6))).toBeCloseTo(pr, 9);
          // Power is the enthalpy drop: m cp (T3 - T4).
          expect(flow * 1150 * (1150 - turbineOutletTemperatureK(1150, pr, 0.6))).toBeCloseTo(power, 6);
        },
      ),
    );
    expect(expansionRatioForPower(500e3, 0.1, 1100, 0.6)).toMatchObject({
      ok: false,
      reason: { code: 'work-exceeds-enthalpy', says: 'The exhaust flow cannot give 500.0 kW at any expansion ratio.' },
    });
    expect(expansionRatioForPower(Number.NaN, 0.1, 1100, 0.6).ok).toBe(false);
  });
  it('recovers an area from one flow, and the two flow laws agree when choked', () => {
    const flow = turbineNozzleMassFlowKgPerS(9e-4, 250e3, 1173, 120e3);
    expect(expectSolved(turbineAreaFromFlowM2(flow, 250e3, 1173, 120e3))).toBeCloseTo(9e-4, 12);
    expect(turbineAreaFromFlowM2(0.2, 100e3, 1100, 100e3)).toMatchObject({ ok: false });
    const far = 100e3 * criticalPressureRatio(1.33) * 0.05;
    expect(
      turbineSmoothMassFlowKgPerS(9e-4, 100e3, 1173, far) / turbineNozzleMassFlowKgPerS(9e-4, 100e3, 1173, far),
    ).toBeCloseTo(1, 2);
    expect(turbineSmoothMassFlowKgPerS(9e-4, 100e3, 1173, 120e3)).toBe(0);
  });
  it('lets flow rise with inlet pressure under both laws', () => {
    fc.assert(
      fc.property(fc.double({ min: 101e3, max: 400e3, noNaN: true }), (pa) => {
        for (const law of [turbineNozzleMassFlowKgPerS, turbineSmoothMassFlowKgPerS]) {
          expect(law(9e-4, pa * 1.01, 1100, 100e3)).toBeGreaterThan(law(9e-4, pa, 1100, 100e3));
        }
      }),
    );
  });
  it('is best at the best blade-speed ratio and never negative', () => {
    expect(turbineEfficiency(0.68, 0.7)).toBeCloseTo(0.7, 12);
    expect(turbineEfficiency(0.5, 0.7)).toBeLessThan(0.7);
    expect([turbineEfficiency(-1, 0.7), turbineEfficiency(5, 0.7)]).toEqual([0, 0]);
    // U/C for U = 300 m/s, T3 = 1100 K, ratio 2, k = 1.33, cp = 1150: C = sqrt(2 cp T3 0.15805) = 632.4 m/s (arithmetic).
    expect(expectSolved(bladeSpeedRatio(300, 1100, 2))).toBeCloseTo(300 / 632.4, 3);
    expect(bladeSpeedRatio(300, 1100, 1)).toMatchObject({ ok: false });
  });
  it('gives its area back from one point of its flow, hot or corrected to cold air (round trip)', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e-4, max: 3e-3, noNaN: true }),
        fc.double({ min: 1.2, max: 4, noNaN: true }),
        fc.constantFrom([1100, 1.33, 287] as const, [288.15, 1.4, 287.05] as const),
        (area, ratio, [kelvin, k, gas]) => {
          const flow = turbineSmoothMassFlowKgPerS(area, 101325, kelvin, 101325 / ratio, k, gas, TURBINE_FLOW_EXPONENT);
          expect(expectSolved(turbineAreaFromPointM2(flow, ratio, 101325, kelvin)) / area).toBeCloseTo(1, 9);
        },
      ),
    );
    expect(turbineAreaFromPointM2(0.2, 1, 101325, 288)).toMatchObject({ ok: false });
  });
  it('passes 15 to 45 % more with a housing of twice the area over radius, and scales with size squared (common practice, no source)', () => {
    const small = turbineAreaFromHousingM2(0.0176, 0.055);
    expect(turbineAreaFromHousingM2(0.0352, 0.055) / small).toBeGreaterThan(1.15);
    expect(turbineAreaFromHousingM2(0.0352, 0.055) / small).toBeLessThan(1.45);
    expect(turbineAreaFromHousingM2(0.0352, 0.11) / small).toBeCloseTo(4, 9);
    // Never more than either throttle alone.
    expect(small).toBeLessThan(0.0176 * 0.055);
  });
  it('opens a wastegate up to its port and no further', () => {
    expect(wastegateOpenAreaM2(0.03, 0)).toBe(0);
    expect(wastegateOpenAreaM2(0.03, 0.001)).toBeCloseTo(Math.PI * 0.03 * 0.001, 12);
    expect(wastegateOpenAreaM2(0.03, 0.05)).toBe(circleAreaM2(0.03));
    expect(wastegateMassFlowKgPerS(1e-4, 0.7, 200e3, 1100, 120e3)).toBeCloseTo(
      turbineNozzleMassFlowKgPerS(0.7e-4, 200e3, 1100, 120e3),
      12,
    );
  });
  it('spins up by J omega d(omega)/dt = P', () => {
    // 5 kW on 3e-5 kg m2 at 100 000 /min: omega = 10471.98, d(omega)/dt = 15915.5 rad/s2, dn/dt = 151 982 rpm/s (arithmetic).
    expect(shaftAccelerationRpmPerS(5000, 3e-5, 100000)).toBeCloseTo(151982, -1);
  });
});
