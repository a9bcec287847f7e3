import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runCheckRows } from '../physics/check-rows.testing.ts';
import {
  combustionCompleteness,
  cylinderVolumeM3,
  cylinderVolumeSlopeM3PerDeg,
  ETHANOL,
  expectSolved,
  METHANOL,
  ottoEfficiency,
  pistonTravelM,
  wiebeBurned,
} from '../physics/index.ts';
import { chargeAt, cylinderWith, PETROL_98, SPREAD_POINTS, solvedCycle } from './cases.testing.ts';
import { prepareCylinder, USUAL_CYLINDER } from './cylinder.ts';
import { CYLINDER_REASONS } from './reasons.ts';
import { solveCycle } from './solve-cycle.ts';
import { type CycleCharge, type CylinderSpec, newCycleOut } from './types.ts';

const HEYWOOD = 'Heywood (1988)';

describe('energy and mass', () => {
  it('close over the whole valid range: energy to 0.1 % of the fuel heat, mass to rounding, no NaN', () => {
    const spec = fc.record({
      ratio: fc.double({ min: 7, max: 15, noNaN: true }),
      bore: fc.double({ min: 0.06, max: 0.11, noNaN: true }),
      stroke: fc.double({ min: 0.06, max: 0.11, noNaN: true }),
      closing: fc.double({ min: -150, max: -100, noNaN: true }),
      opening: fc.double({ min: 105, max: 150, noNaN: true }),
      wall: fc.double({ min: 0, max: 2, noNaN: true }),
      slow: fc.double({ min: 0, max: 0.3, noNaN: true }),
    });
    const charge = fc.record({
      rpm: fc.double({ min: 700, max: 10_000, noNaN: true }),
      fill: fc.double({ min: 0.2, max: 4, noNaN: true }),
      kelvin: fc.double({ min: 290, max: 420, noNaN: true }),
      residual: fc.double({ min: 0, max: 0.35, noNaN: true }),
      lambda: fc.double({ min: 0.55, max: 1.9, noNaN: true }),
      water: fc.double({ min: 0, max: 0.15, noNaN: true }),
      evaporation: fc.double({ min: 0, max: 40e3, noNaN: true }),
      spark: fc.double({ min: -20, max: 50, noNaN: true }),
      fuel: fc.constantFrom(PETROL_98, ETHANOL, METHANOL),
    });
    const out = newCycleOut();
    fc.assert(
      fc.property(spec, charge, (s, c) => {
        const cylinder = cylinderWith({
          boreM: s.bore,
          strokeM: s.stroke,
          compressionRatio: s.ratio,
          intakeClosingDeg: s.closing,
          exhaustOpeningDeg: s.opening,
          wallHeatFactor: s.wall,
          burn: { ...USUAL_CYLINDER.burn, slowShare: s.slow, slowStretch: 2 },
        });
        const airKg = c.fill * cylinder.sweptM3;
        const refusal = solveCycle(
          cylinder,
          {
            engineSpeedRpm: c.rpm,
            airKg,
            temperatureK: c.kelvin,
            residualFraction: c.residual,
            lambda: c.lambda,
            fuel: c.fuel,
            waterPerAir: c.water,
            evaporationJPerKgAir: c.evaporation,
            exhaustPressurePa: 1e5 * Math.max(1, c.fill),
          },
          { sparkAdvanceDeg: c.spark },
          out,
        );
        expect(refusal).toBe(null);
        expect(Math.abs(out.energyResidual)).toBeLessThan(1e-3);
        const fresh = airKg * (1 + 1 / (c.lambda * c.fuel.stoichiometricAirFuelRatio) + c.water);
        expect(Math.abs((out.massKg * (1 - c.residual)) / fresh - 1)).toBeLessThan(1e-12);
        for (const value of Object.values(out)) expect(Number.isFinite(value)).toBe(true);
        expect(out.heatReleasedJ).toBeGreaterThan(0);
        expect(out.heatReleasedJ).toBeLessThanOrEqual(out.fuelHeatJ);
        expect(out.exhaustTemperatureK).toBeLessThanOrEqual(Math.max(out.valveTemperatureK, 480) + 0.1);
        // No cycle beats the air cycle of its ratio; the evaporated fuel's latent heat is the small allowance.
        expect(out.closedWorkJ).toBeLessThan(ottoEfficiency(s.ratio) * out.fuelHeatJ * 1.06);
      }),
      { numRuns: 400, seed: 3 },
    );
  });

  it('sets free what the laws say a rich mixture can, times the combustion efficiency', () => {
    for (const lambda of [0.7, 0.8, 0.9, 1, 1.2]) {
      const cylinder = cylinderWith({ combustionEfficiency: 0.97 });
      const out = solvedCycle(cylinder, chargeAt(cylinder, 3000, 100, lambda), 20);
      const complete = expectSolved(combustionCompleteness(PETROL_98, PETROL_98.lowerHeatingValueJPerKg, lambda));
      // Half a thousandth for the linear nodes in lambda.
      expect(Math.abs(out.heatReleasedJ / out.fuelHeatJ / (0.97 * complete) - 1)).toBeLessThan(1e-3);
    }
  });

  it('adds up over closed part, blow-down, exhaust stroke and port', () => {
    const cylinder = cylinderWith();
    const out = solvedCycle(cylinder, chargeAt(cylinder, 3000, 100), 25, 8);
    // Heat set free goes to work, walls and the exhaust; what the charge brought in warm makes up the rest.
    const accounted = out.grossWorkJ + out.wallHeatJ + out.exhaustStrokeHeatJ + out.portHeatJ + out.exhaustEnthalpyJ;
    expect(accounted / out.heatReleasedJ).toBeGreaterThan(1);
    expect(accounted / out.heatReleasedJ).toBeLessThan(1.15);
  });
});

describe('step size', () => {
  it('at resolution 1 leaves less than 0.1 % of the work, and errors fall with the fourth order', () => {
    const orders: number[] = [];
    for (const [rpm, kPa, lambda, spark] of SPREAD_POINTS) {
      const cylinder = cylinderWith({ compressionRatio: 9.25 });
      const charge = chargeAt(cylinder, rpm, kPa, lambda);
      const fine = solvedCycle(cylinder, charge, spark, 24);
      const off = (resolution: number) => {
        const out = solvedCycle(cylinder, charge, spark, resolution);
        return {
          work: Math.abs(out.grossWorkJ / fine.grossWorkJ - 1),
          wall: Math.abs(out.wallHeatJ / fine.wallHeatJ - 1),
          peak: Math.abs(out.peakPressurePa / fine.peakPressurePa - 1),
          knock: Math.abs(out.knockIntegral / fine.knockIntegral - 1),
          residual: Math.abs(out.energyResidual),
        };
      };
      const one = off(1);
      const two = off(2);
      expect(one.work).toBeLessThan(1e-3);
      expect(one.peak).toBeLessThan(3e-3);
      expect(one.wall).toBeLessThan(3e-3);
      expect(one.knock).toBeLessThan(1.5e-2);
      expect(two.work).toBeLessThan(1e-4);
      orders.push(Math.log2(one.wall / two.wall));
    }
    orders.sort((a, b) => a - b);
    // Half of the points at three and a half or more; single ones may cross zero.
    expect(orders[Math.floor(orders.length / 2)]).toBeGreaterThan(3.5);
  });
});

describe('parts that were made fast agree with the laws', () => {
  const geometry = { boreM: 0.086, strokeM: 0.086, rodLengthM: 0.145, compressionRatio: 9 };
  const spec: CylinderSpec = { ...USUAL_CYLINDER, ...geometry, rodToCrank: 0.145 / 0.043 };
  it('volume, its slope and the burned share along a cycle', async () => {
    const { traceCycle } = await import('./trace.ts');
    const cylinder = expectSolved(prepareCylinder(spec));
    const trace = expectSolved(traceCycle(cylinder, chargeAt(cylinder, 3000, 100), { sparkAdvanceDeg: 20 }, 1));
    const { summary } = trace;
    const whole = wiebeBurned(1e3, 0, 1, { efficiency: 6.908, form: 2 });
    const at = (share: number) => Math.cbrt(-Math.log1p(-share * whole) / 6.908);
    const length = summary.rapidDeg / (at(0.9) - at(0.1));
    const start = summary.halfBurnedDeg - length * at(0.5);
    trace.crankAngleDeg.forEach((angle, i) => {
      expect(Math.abs(trace.volumeM3[i]! / cylinderVolumeM3(geometry, angle) - 1)).toBeLessThan(1e-9);
      const burned = wiebeBurned(angle, start, length, { efficiency: 6.908, form: 2 }) / whole;
      expect(Math.abs(trace.burnedShare[i]! - burned)).toBeLessThan(1e-6);
    });
  });
  runCheckRows([
    {
      id: 'SC-04',
      source: 'definition',
      expected: 62.445e-6,
      relative: 1e-4,
      got: () => expectSolved(prepareCylinder({ ...spec, compressionRatio: 9 })).clearanceM3,
    },
    {
      id: 'SC-03',
      source: 'definition',
      expected: 1998.23e-6,
      relative: 1e-4,
      got: () => 4 * expectSolved(prepareCylinder(spec)).sweptM3,
    },
  ]);
  it('a slope of volume that is the derivative (SC-07 checks the law itself)', () => {
    const numeric = (cylinderVolumeM3(geometry, 40.001) - cylinderVolumeM3(geometry, 39.999)) / 0.002;
    expect(Math.abs(cylinderVolumeSlopeM3PerDeg(geometry, 40) / numeric - 1)).toBeLessThan(1e-6);
    expect(pistonTravelM(0.043, 0.145, 0)).toBe(0);
  });
});

/** Timing of most gross work, by a scan. */
const bestSpark = (cylinder: ReturnType<typeof cylinderWith>, charge: CycleCharge): number => {
  let best = 0;
  let most = 0;
  for (let spark = 0; spark < 60; spark += 0.5) {
    const { grossWorkJ } = solvedCycle(cylinder, charge, spark);
    if (grossWorkJ > most) {
      most = grossWorkJ;
      best = spark;
    }
  }
  return best;
};

describe(`published orders of magnitude (${HEYWOOD})`, () => {
  it('best timing puts the peak 11 to 18 deg and half of the burn 3 to 12 deg after top dead centre (sect. 9.1.1, 15.3.1)', () => {
    for (const [rpm, kPa, lambda] of [
      [2000, 100, 1],
      [4000, 100, 1],
      [2500, 60, 1],
      [4000, 200, 0.85],
    ] as const) {
      const cylinder = cylinderWith();
      const charge = chargeAt(cylinder, rpm, kPa, lambda);
      const out = solvedCycle(cylinder, charge, bestSpark(cylinder, charge));
      expect(out.peakPressureDeg).toBeGreaterThan(11);
      expect(out.peakPressureDeg).toBeLessThan(18);
      expect(out.halfBurnedDeg).toBeGreaterThan(3);
      expect(out.halfBurnedDeg).toBeLessThan(12);
    }
  });

  it('10 deg off best timing costs 2 to 7 % of the work (fig. 9-3 and 15-3: about 4 %)', () => {
    const cylinder = cylinderWith();
    const charge = chargeAt(cylinder, 3000, 100);
    const best = bestSpark(cylinder, charge);
    const most = solvedCycle(cylinder, charge, best).grossWorkJ;
    const late = 1 - solvedCycle(cylinder, charge, best - 10).grossWorkJ / most;
    expect(late).toBeGreaterThan(0.02);
    expect(late).toBeLessThan(0.07);
  });

  it('efficiency rises with compression as 1 - r^-0.3 does, ratio 9 to 13, within a quarter of the rise (sect. 5.5.3, fig. 15-13)', () => {
    const efficiency = (ratio: number) => {
      const cylinder = cylinderWith({ compressionRatio: ratio });
      const charge = chargeAt(cylinder, 2500, 80);
      const out = solvedCycle(cylinder, charge, bestSpark(cylinder, charge));
      return out.grossWorkJ / out.fuelHeatJ;
    };
    const got = efficiency(13) / efficiency(9);
    const trend = (1 - 13 ** -0.3) / (1 - 9 ** -0.3);
    expect(Math.abs((got - 1) / (trend - 1) - 1)).toBeLessThan(0.3);
  });

  it('gross indicated efficiency at part load and best timing is 0.35 to 0.40 for ratio 10 to 12 (common practice, no source)', () => {
    for (const ratio of [10, 11, 12]) {
      for (const kPa of [40, 70, 95]) {
        const cylinder = cylinderWith({ compressionRatio: ratio });
        const charge = chargeAt(cylinder, 2000, kPa);
        const out = solvedCycle(cylinder, charge, bestSpark(cylinder, charge));
        expect(out.grossWorkJ / out.fuelHeatJ).toBeGreaterThan(0.35);
        expect(out.grossWorkJ / out.fuelHeatJ).toBeLessThan(0.4);
      }
    }
  });

  it('walls and port take 13 to 36 % of the fuel heat, less when faster and denser (table 12.1, fig. 12-4: 17 to 26 % to the coolant at full load)', () => {
    const share = (rpm: number, kPa: number, lambda: number, spark: number) => {
      const cylinder = cylinderWith({ compressionRatio: 9.5 });
      const out = solvedCycle(cylinder, chargeAt(cylinder, rpm, kPa, lambda), spark);
      return (out.wallHeatJ + out.exhaustStrokeHeatJ + out.portHeatJ) / out.fuelHeatJ;
    };
    const slow = share(1500, 40, 1, 24);
    const full = share(5500, 95, 0.9, 30);
    const boosted = share(5500, 200, 0.85, 16);
    expect(slow).toBeLessThan(0.4);
    expect(full).toBeGreaterThan(0.15);
    expect(full).toBeLessThan(0.26);
    expect(boosted).toBeGreaterThan(0.11);
    expect(slow).toBeGreaterThan(full);
    expect(full).toBeGreaterThan(boosted);
  });

  it('exhaust is 600 to 800 degC at part load and 800 to 1000 at full load (sect. 6.5: 400 to 600 usual, 900 at most, by a slow probe)', () => {
    const celsius = (rpm: number, kPa: number, lambda: number, spark: number) => {
      const cylinder = cylinderWith({ compressionRatio: 9.5 });
      return solvedCycle(cylinder, chargeAt(cylinder, rpm, kPa, lambda), spark).exhaustTemperatureK - 273.15;
    };
    const part = celsius(2000, 40, 1, 28);
    const full = celsius(5000, 95, 0.88, 27);
    const boosted = celsius(4000, 200, 0.83, 9);
    expect(part).toBeGreaterThan(600);
    expect(part).toBeLessThan(800);
    for (const hot of [full, boosted]) {
      expect(hot).toBeGreaterThan(780);
      expect(hot).toBeLessThan(1000);
    }
    // Late sparks and lean mixtures heat the exhaust, rich ones cool it (fig. 15-9).
    expect(celsius(4000, 200, 0.83, 0)).toBeGreaterThan(boosted + 30);
    expect(celsius(4000, 200, 0.75, 9)).toBeLessThan(boosted);
  });
});

describe('what cannot be', () => {
  const cylinder = cylinderWith();
  const good = chargeAt(cylinder, 3000, 100);
  const out = newCycleOut();
  const ask = (changes: Partial<CycleCharge>, sparkAdvanceDeg = 20) =>
    solveCycle(cylinder, { ...good, ...changes }, { sparkAdvanceDeg }, out);
  it.each([
    [{ engineSpeedRpm: 0 }, CYLINDER_REASONS.charge],
    [{ engineSpeedRpm: Number.NaN }, CYLINDER_REASONS.charge],
    [{ airKg: 0 }, CYLINDER_REASONS.charge],
    [{ temperatureK: 1500 }, CYLINDER_REASONS.charge],
    [{ residualFraction: 0.8 }, CYLINDER_REASONS.charge],
    [{ waterPerAir: -0.1 }, CYLINDER_REASONS.charge],
    [{ exhaustPressurePa: -1 }, CYLINDER_REASONS.charge],
    [{ lambda: 0.3 }, CYLINDER_REASONS.lambda],
    [{ lambda: Number.NaN }, CYLINDER_REASONS.lambda],
    [{ fuel: { ...PETROL_98, hydrogenToCarbon: 4.5 } }, CYLINDER_REASONS.fuel],
    [{ fuel: { ...PETROL_98, latentHeatJPerKg: Number.NaN } }, CYLINDER_REASONS.finite],
  ])('%o is refused by its reason', (changes, reason) => {
    expect(ask(changes)).toBe(reason);
  });
  it('a spark outside the closed cycle is refused', () => {
    expect(ask({}, 130)).toBe(CYLINDER_REASONS.spark);
    expect(ask({}, -110)).toBe(CYLINDER_REASONS.spark);
    expect(ask({}, Number.NaN)).toBe(CYLINDER_REASONS.spark);
  });
  it('after a refusal the cylinder answers as before', () => {
    const before = solvedCycle(cylinder, good, 20);
    ask({ lambda: 0.3 });
    ask({ fuel: { ...PETROL_98, latentHeatJPerKg: Number.NaN } });
    expect(solvedCycle(cylinder, good, 20)).toEqual(before);
  });
  it.each([
    { boreM: 0 },
    { compressionRatio: 1 },
    { rodToCrank: 1 },
    { intakeClosingDeg: 130 },
    { combustionEfficiency: 2 },
  ])('a cylinder with %o is refused', (changes) => {
    const refused = prepareCylinder({
      ...USUAL_CYLINDER,
      boreM: 0.086,
      strokeM: 0.086,
      compressionRatio: 10,
      ...changes,
    });
    expect(refused.ok ? '' : refused.reason.code).toBe('cylinder-impossible');
  });
});

describe('a slow tail', () => {
  it('moves the end of burning, not its first part, and costs work at the same timing', () => {
    const plain = cylinderWith();
    const tailed = cylinderWith({ burn: { ...USUAL_CYLINDER.burn, slowShare: 0.15, slowStretch: 2 } });
    const charge = chargeAt(plain, 3000, 100);
    const one = solvedCycle(plain, charge, 24);
    const two = solvedCycle(tailed, charge, 24);
    expect(two.burnEndDeg).toBeGreaterThan(one.burnEndDeg + 20);
    expect(two.halfBurnedDeg).toBeGreaterThan(one.halfBurnedDeg);
    expect(two.halfBurnedDeg).toBeLessThan(one.halfBurnedDeg + 6);
    expect(two.grossWorkJ).toBeLessThan(one.grossWorkJ);
    expect(two.grossWorkJ).toBeGreaterThan(0.95 * one.grossWorkJ);
    // The half-burned angle is that of the sum of both curves.
    expect(Math.abs(two.energyResidual)).toBeLessThan(1e-3);
  });
});

describe('burning that the exhaust valve cuts short', () => {
  it('sets less heat free and says how much is burned', () => {
    const cylinder = cylinderWith({ burn: { ...USUAL_CYLINDER.burn, rapidDeg: 60 } });
    const charge = chargeAt(cylinder, 3000, 60);
    const out = solvedCycle(cylinder, charge, -5);
    expect(out.burnedAtOpening).toBeLessThan(1);
    expect(out.burnedAtOpening).toBeGreaterThan(0.1);
    expect(out.heatReleasedJ).toBeLessThan(solvedCycle(cylinder, charge, 60).heatReleasedJ);
    expect(Math.abs(out.energyResidual)).toBeLessThan(1e-3);
  });
});
