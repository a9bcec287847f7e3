import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runCheckRows } from './check-rows.testing.ts';
import { circleAreaM2 } from './nozzle.ts';
import {
  BEND_LOSS_OVER_FRICTION,
  bendLoss,
  colebrookFrictionFactor,
  dynamicPressurePa,
  frictionFactor,
  fullyRoughFrictionFactor,
  haalandFrictionFactor,
  laminarFrictionFactor,
  lossFromFlowCoefficient,
  PIPE_END_LOSS,
  pipeMachNumber,
  pipePressureLossPa,
  pipeVelocityMPerS,
  resistanceFromPoint,
  resistancePressureLossPa,
  reynoldsNumber,
  runPressureLossPa,
  suddenExpansionLoss,
  VALVE_LOSS_OVER_FRICTION,
} from './pipe-flow.ts';
import { expectSolved } from './reason.ts';
import { fromSi, toSi } from './units.ts';

const FUEL_LINE = { diameterM: 0.008, lengthM: 4, roughnessM: 1.5e-6, fittingLoss: 0 };
const FUEL_KG_PER_S = toSi(4, 'L/min') * 745;

describe('pipe flow, outside values', () => {
  runCheckRows([
    { id: 'PF-01', source: '64/Re', expected: 0.042667, absolute: 1e-5, got: () => laminarFrictionFactor(1500) },
    {
      id: 'PF-02',
      source: 'Colebrook 1939; fluids library',
      expected: 0.018514,
      relative: 0.001,
      got: () => colebrookFrictionFactor(1e5, 1e-4),
    },
    {
      id: 'PF-03',
      source: 'Haaland 1983; fluids library',
      expected: 0.018265,
      relative: 5e-4,
      got: () => haalandFrictionFactor(1e5, 1e-4),
    },
    {
      id: 'PF-04',
      source: 'Colebrook 1939',
      expected: 0.01799,
      relative: 0.001,
      got: () => colebrookFrictionFactor(1e5, 0),
    },
    {
      id: 'PF-05',
      source: 'Cengel & Cimbala, Fluid Mechanics, Example 8-3: 11.8 psi (from memory)',
      expected: 11.81,
      relative: 0.01,
      got: () => {
        const density = 62.36 * (0.45359237 / 0.3048 ** 3);
        const viscosity = 7.536e-4 * (0.45359237 / 0.3048);
        const run = { diameterM: 2 * 0.0254, lengthM: 200 * 0.3048, roughnessM: 7e-6 * 0.3048, fittingLoss: 0 };
        return fromSi(runPressureLossPa(run, 0.2 * 0.3048 ** 3 * density, density, viscosity), 'psi');
      },
    },
    {
      id: 'PF-06',
      source: 'Crane TP-410 Example 7-13',
      expected: 9.65,
      relative: 0.005,
      got: () => {
        const density = 0.815 * 999.1;
        const velocity = (2 * toSi(1, 'US gal')) / circleAreaM2(0.05248);
        return fromSi(pipePressureLossPa(0.023, toSi(100, 'ft'), 0.05248, density, velocity), 'psi');
      },
    },
    { id: 'PF-07', source: 'Borda-Carnot', expected: 0.5625, absolute: 1e-6, got: () => suddenExpansionLoss(0.5) },
    { id: 'PF-09', source: 'Crane TP-410 p. A-30', expected: 1, absolute: 0, got: () => PIPE_END_LOSS.exit },
    {
      id: 'PF-09',
      source: 'Crane TP-410 p. A-30 (entrance from memory)',
      expected: 0.5,
      absolute: 0,
      got: () => PIPE_END_LOSS.sharpEntrance,
    },
    {
      id: 'PF-10',
      source: 'K = 1.6e9 D4 / Kv2',
      expected: 0.4096,
      relative: 0.002,
      got: () => lossFromFlowCoefficient(16, 0.016),
    },
    {
      id: 'PL-02',
      source: 'definition',
      expected: 15809,
      relative: 0.001,
      got: () => reynoldsNumber(FUEL_KG_PER_S, 0.008, 0.5e-3),
    },
    {
      id: 'PL-03',
      source: 'Darcy-Weisbach, Colebrook',
      expected: 9108,
      relative: 0.01,
      got: () => runPressureLossPa(FUEL_LINE, FUEL_KG_PER_S, 745, 0.5e-3),
    },
  ]);
  it('PF-08 (Crane TP-410 (2009) p. A-30): bends', () => {
    expect(BEND_LOSS_OVER_FRICTION).toEqual([
      [1, 20],
      [1.5, 14],
      [2, 12],
      [3, 12],
      [4, 14],
      [6, 17],
    ]);
    const rough = fullyRoughFrictionFactor(0.001);
    expect(expectSolved(bendLoss(1, 0.001)) / rough).toBeCloseTo(20, 9);
    expect(expectSolved(bendLoss(1.25, 0.001)) / rough).toBeCloseTo(17, 9);
    expect(bendLoss(0.5, 0.001)).toMatchObject({ ok: false });
    expect(bendLoss(9, 0.001)).toMatchObject({ ok: false });
  });
  it('PF-11 (Crane TP-410 p. A-27): valves', () => {
    expect(VALVE_LOSS_OVER_FRICTION).toEqual({ gateOpen: 8, angle: 150, globe: 340 });
  });
});

describe('pipe flow', () => {
  it('solves the equation of Colebrook to rounding', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 4000, max: 1e8, noNaN: true }),
        fc.double({ min: 0, max: 0.05, noNaN: true }),
        (re, rough) => {
          const x = 1 / Math.sqrt(colebrookFrictionFactor(re, rough));
          expect(x + 2 * Math.log10(rough / 3.7 + (2.51 * x) / re)).toBeCloseTo(0, 9);
        },
      ),
    );
  });
  it('has no step between laminar and turbulent, and loss rises with flow', () => {
    for (const edge of [2000, 4000]) {
      expect(frictionFactor(edge * 1.000001, 1e-4)).toBeCloseTo(frictionFactor(edge, 1e-4), 6);
    }
    let before = 0;
    for (let flow = 0.0005; flow < 0.1; flow *= 1.1) {
      const now = runPressureLossPa(FUEL_LINE, flow, 745, 0.5e-3);
      expect(now).toBeGreaterThan(before);
      before = now;
    }
    expect(runPressureLossPa(FUEL_LINE, 0, 745, 0.5e-3)).toBe(0);
  });
  it('reaches the fully rough value at high Reynolds number', () => {
    expect(colebrookFrictionFactor(1e12, 0.001)).toBeCloseTo(fullyRoughFrictionFactor(0.001), 6);
  });
  it('gives the measured point back, and scales with flow squared over density', () => {
    const k = resistanceFromPoint(3000, 0.2, 1.18);
    expect(resistancePressureLossPa(k, 0.2, 1.18)).toBeCloseTo(3000, 9);
    expect(resistancePressureLossPa(k, 0.4, 1.18)).toBeCloseTo(12000, 9);
    expect(resistancePressureLossPa(k, -0.2, 1.18)).toBeCloseTo(-3000, 9);
  });
  it('has a Mach number that is velocity over speed of sound', () => {
    fc.assert(
      fc.property(fc.double({ min: 0.01, max: 0.5, noNaN: true }), (flow) => {
        const mach = pipeMachNumber(flow, 0.06, 200e3, 330);
        const kelvin = 330 / (1 + 0.2 * mach * mach);
        const density = 200e3 / (287.05 * kelvin);
        const velocity = pipeVelocityMPerS(flow, density, 0.06);
        expect(velocity / Math.sqrt(1.4 * 287.05 * kelvin)).toBeCloseTo(mach, 9);
        expect(dynamicPressurePa(density, velocity)).toBeCloseTo(0.7 * 200e3 * mach * mach, 4);
      }),
    );
  });
});
