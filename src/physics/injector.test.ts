import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runCheckRows } from './check-rows.testing.ts';
import {
  affinityFlow,
  affinityPower,
  affinityPressure,
  hydraulicPowerW,
  pumpCurrentA,
  pumpFlowM3PerS,
} from './fuel-pump.ts';
import {
  cycleTimeS,
  deadTimeCurve,
  fuelPerPulseKg,
  injectorDemand,
  injectorDifferentialPa,
  injectorDuty,
  injectorFlowAtPressureM3PerS,
  injectorFlowForDensityM3PerS,
  injectorPowerCapacityW,
  pulseWidthAtDutyS,
  pulseWidthS,
} from './injector.ts';
import { expectSolved } from './reason.ts';
import { toSi } from './units.ts';

const SQUARE_ROOT = 'square-root law';
const CRANE = 'Crane TP-410 Example 7-33';

describe('injectors and pump, outside values', () => {
  runCheckRows([
    {
      id: 'IN-01',
      source: SQUARE_ROOT,
      expected: 635.1,
      relative: 5e-4,
      got: () => injectorFlowAtPressureM3PerS(550, 300e3, 400e3),
    },
    {
      id: 'IN-02',
      source: SQUARE_ROOT,
      expected: 912.9,
      relative: 5e-4,
      got: () => injectorFlowAtPressureM3PerS(1000, 300e3, injectorDifferentialPa(400e3, 150e3, 'atmosphere')),
    },
    {
      id: 'IN-04',
      source: 'period 120/N',
      expected: 81.67,
      absolute: 0.01,
      got: () => 100 * injectorDuty(0.014, 7000),
    },
    {
      id: 'IN-05',
      source: 'definition',
      expected: 460.5e3,
      relative: 5e-4,
      got: () => injectorPowerCapacityW(4, toSi(1000, 'cm3/min'), 745, 0.85, toSi(330, 'g/kWh')),
    },
    {
      id: 'IN-06',
      source: 'definition',
      expected: 4.202e-3,
      relative: 1e-3,
      got: () => pulseWidthS(41e-6, 745, toSi(1000, 'cm3/min'), 0.9e-3),
    },
    {
      id: 'IN-07',
      source: 'Q ~ sqrt(dp/rho)',
      expected: 958.2,
      relative: 1e-3,
      got: () => injectorFlowForDensityM3PerS(1000, 684, 745),
    },
    {
      id: 'PL-01',
      source: 'Q dp',
      expected: 37.778,
      relative: 1e-4,
      got: () => hydraulicPowerW(toSi(340, 'L/h'), 400e3),
    },
    { id: 'PL-04', source: CRANE, expected: 194.29, relative: 5e-4, got: () => affinityFlow(400, 1700 / 3500) },
    { id: 'PL-05', source: CRANE, expected: 2.0053, relative: 5e-4, got: () => affinityPower(17.5, 1700 / 3500) },
  ]);
});

describe('injectors', () => {
  it('lose nothing to boost with a referenced regulator and all flow when boost reaches the setting', () => {
    expect(injectorDifferentialPa(300e3, 120e3, 'manifold')).toBe(300e3);
    expect(injectorFlowAtPressureM3PerS(1, 300e3, injectorDifferentialPa(300e3, 350e3, 'atmosphere'))).toBe(0);
  });
  it('give mass and duty back', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e-4, max: 0.08, noNaN: true }),
        fc.double({ min: 600, max: 9000, noNaN: true }),
        fc.integer({ min: 1, max: 12 }),
        (fuel, rpm, injectors) => {
          const flow = toSi(800, 'cm3/min');
          const demand = expectSolved(injectorDemand(fuel, injectors, rpm, 745, flow, 0.9e-3));
          const back = (fuelPerPulseKg(demand.pulseWidthS, 745, flow, 0.9e-3) * injectors) / cycleTimeS(rpm);
          expect(back / fuel).toBeCloseTo(1, 9);
          expect(pulseWidthAtDutyS(demand.duty, rpm)).toBeCloseTo(demand.pulseWidthS, 12);
        },
      ),
    );
    expect(fuelPerPulseKg(0.5e-3, 745, 1e-5, 0.9e-3)).toBe(0);
    expect(injectorDemand(0.01, 4, 6000, 745, 0, 1e-3)).toMatchObject({ ok: false });
  });
  it('need longer dead time at low voltage, as the points say', () => {
    const curve = expectSolved(deadTimeCurve([8, 10, 12, 14, 16], [2.6e-3, 1.7e-3, 1.2e-3, 0.9e-3, 0.75e-3]));
    expect(curve.at(12)).toBe(1.2e-3);
    expect(curve.at(11)).toBeGreaterThan(1.2e-3);
    expect(curve.at(4)).toBe(2.6e-3);
    expect(deadTimeCurve([8, 8], [1, 2])).toMatchObject({ ok: false, reason: { code: 'table-malformed' } });
  });
});

describe('fuel pump', () => {
  const curve = {
    voltageV: 13.5,
    pressuresPa: [200e3, 300e3, 400e3, 500e3, 600e3],
    flowsM3PerS: [400, 370, 335, 290, 230].map((flow) => toSi(flow, 'L/h')),
  };
  it('gives its own points back at its own voltage', () => {
    curve.pressuresPa.forEach((pa, i) => {
      expect(expectSolved(pumpFlowM3PerS(curve, pa, 13.5))).toBeCloseTo(curve.flowsM3PerS[i]!, 12);
    });
  });
  it('follows the affinity laws point by point', () => {
    const ratio = 12 / 13.5;
    expect(expectSolved(pumpFlowM3PerS(curve, affinityPressure(400e3, ratio), 12))).toBeCloseTo(
      affinityFlow(toSi(335, 'L/h'), ratio),
      12,
    );
  });
  it('falls with pressure and with voltage, and says when it cannot hold the pressure', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 260e3, max: 450e3, noNaN: true }),
        fc.double({ min: 12, max: 14.5, noNaN: true }),
        (pa, v) => {
          const here = expectSolved(pumpFlowM3PerS(curve, pa, v));
          expect(expectSolved(pumpFlowM3PerS(curve, pa + 1000, v))).toBeLessThan(here);
          expect(expectSolved(pumpFlowM3PerS(curve, pa, v + 0.1))).toBeGreaterThan(here);
        },
      ),
    );
    expect(pumpFlowM3PerS(curve, 700e3, 13.5)).toMatchObject({ reason: { code: 'pump-cannot-hold-pressure' } });
    expect(pumpFlowM3PerS(curve, 590e3, 11)).toMatchObject({ reason: { code: 'pump-cannot-hold-pressure' } });
    expect(pumpFlowM3PerS(curve, -1, 12)).toMatchObject({ reason: { code: 'input-out-of-range' } });
    expect(pumpFlowM3PerS({ ...curve, flowsM3PerS: [] }, 300e3, 12)).toMatchObject({
      reason: { code: 'table-malformed' },
    });
    // 37.78 W at 40 % and 13.5 V: 6.996 A (arithmetic).
    expect(pumpCurrentA(37.78, 0.4, 13.5)).toBeCloseTo(6.996, 3);
  });
});
