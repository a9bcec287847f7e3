/** Friction by part against its printed terms, an independent law of the whole, and what must rise with what. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { barnesMossFrictionPa } from './friction.ts';
import { type FrictionEngine, frictionByPart, valvePumpingPa } from './friction-parts.ts';

const TWO_LITRE: FrictionEngine = {
  cylinders: 4,
  boreM: 0.086,
  strokeM: 0.086,
  compressionRatio: 9,
  mainBearings: 5,
  mainBearingDiameterM: 0.056,
  mainBearingLengthM: 0.021,
  rodBearingDiameterM: 0.048,
  rodBearingLengthM: 0.042,
  camBearings: 5,
  valves: 8,
  valveLiftM: 0.0095,
  valveTrain: 'overhead, one cam',
  oilViscosityRatio: 1,
  ringTension: 1,
};

describe('friction by part', () => {
  // Terms worked by hand from the printed equations (Sandoval 2002, eq. 7 to 11) for this engine at 3000 rpm, pi = pa.
  it('gives the terms of the printed equations', () => {
    const f = frictionByPart(TWO_LITRE, 3000, 1);
    // 1.22e5*56/(86^3*4) = 2.685; 3.03e-4*3000*56^3*21*5/(86^3*4) = 6.589; 1.35e-10*56^2*9e6*5/4 = 4.763
    expect(f.crankPa / 1e3).toBeCloseTo(14.037, 2);
    // 294*8.6/86 = 29.4; 4.06e4*(7/6)/7396 = 6.404; 3.03e-4*3000*48^3*42*4/(86^3*4) = 6.639
    expect(f.pistonsPa / 1e3).toBeCloseTo(42.443, 2);
    // 6.89*(0.088*9 + 0.182*9^(1.33-0.0238*8.6))
    expect(f.gasLoadPa / 1e3).toBeCloseTo(6.89 * (0.792 + 0.182 * 9 ** 1.12532), 6);
    // 8.32 + 5.58 + 6.705
    expect(f.auxiliariesPa / 1e3).toBeCloseTo(20.605, 6);
    const sum = f.crankPa + f.pistonsPa + f.gasLoadPa + f.valveTrainPa + f.auxiliariesPa;
    expect(f.totalPa).toBeCloseTo(sum, 6);
  });

  // Barnes-Moss (Heywood 1988 eq. 13.6) counts engines of 1975 and the pumping of an open throttle, 0.1 to 0.4 bar
  // (Heywood fig. 13-7): the law of the parts must lie below it, but not below half of it.
  it.each([1500, 2500, 3500, 4500])('stands below the law of the whole engine with pumping, at %d rpm', (rpm) => {
    const whole = barnesMossFrictionPa(rpm);
    const parts = frictionByPart(TWO_LITRE, rpm, 1).totalPa;
    expect(parts).toBeLessThan(whole);
    expect(parts).toBeGreaterThan(0.5 * whole);
  });

  it('rises with speed, pressure, oil viscosity and ring tension, and is finite', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 600, max: 8000, noNaN: true }),
        fc.double({ min: 0.2, max: 3, noNaN: true }),
        fc.double({ min: 0.3, max: 2, noNaN: true }),
        (rpm, pressure, oil) => {
          const engine = { ...TWO_LITRE, oilViscosityRatio: oil };
          const at = frictionByPart(engine, rpm, pressure).totalPa;
          expect(Number.isFinite(at)).toBe(true);
          expect(frictionByPart(engine, rpm, 1.1 * pressure).totalPa).toBeGreaterThan(at);
          expect(frictionByPart({ ...engine, oilViscosityRatio: 1.1 * oil }, rpm, pressure).totalPa).toBeGreaterThan(
            at,
          );
          expect(frictionByPart({ ...engine, ringTension: 1.1 }, rpm, pressure).totalPa).toBeGreaterThan(at);
        },
      ),
    );
    expect(frictionByPart(TWO_LITRE, 5000, 1).totalPa).toBeGreaterThan(frictionByPart(TWO_LITRE, 2000, 1).totalPa);
  });
});

describe('valve pumping', () => {
  // Worked from the printed term: 4.12e-3*(8*1)^2*(1/0.27^2 + 1/0.2^2) = 10.21 kPa.
  it('gives the printed term and goes with speed squared', () => {
    expect(valvePumpingPa(8, 1, 0.27, 0.2)).toBeCloseTo(10209, 0);
    expect(valvePumpingPa(16, 1, 0.27, 0.2) / valvePumpingPa(8, 1, 0.27, 0.2)).toBeCloseTo(4, 9);
  });
});
