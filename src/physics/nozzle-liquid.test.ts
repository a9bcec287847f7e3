/** Mist nozzles. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  mistNozzleFlowM3PerS,
  mistNozzleSizeM3PerS,
  sauterMeanDiameterM,
  sheetVelocityMPerS,
} from './nozzle-liquid.ts';
import { expectSolved } from './reason.ts';
import { waterMethanolSurfaceTensionNPerM, waterMethanolViscosityPaS } from './water-methanol-liquid.ts';

describe('mist nozzles', () => {
  it('pass by the square root of the pressure left over: 1000 kPa pump, 150 kPa boost, 300 cm3/min rated give 276.6', () => {
    // sqrt(0.85) = 0.92195: definition.
    expect(mistNozzleFlowM3PerS(5e-6, 1e6, 0.85e6) * 6e7).toBeCloseTo(276.59, 2);
    expect(mistNozzleFlowM3PerS(5e-6, 1e6, -1)).toBe(0);
    expect(mistNozzleSizeM3PerS(5e-6, 1e6, 0)).toBe(0);
  });
  it('size and flow are inverse', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1e-6, max: 2e-5, noNaN: true }),
        fc.double({ min: 3e5, max: 2e6, noNaN: true }),
        fc.double({ min: 1e5, max: 2e6, noNaN: true }),
        fc.double({ min: 0.9, max: 1.2, noNaN: true }),
        (flow, rated, drop, ratio) => {
          const size = mistNozzleSizeM3PerS(flow, rated, drop, ratio);
          expect(mistNozzleFlowM3PerS(size, rated, drop, ratio) / flow).toBeCloseTo(1, 9);
        },
      ),
    );
  });
  it('sheet at 1 MPa of water leaves at 0.8 of 44.7 m/s (Bernoulli)', () => {
    expect(sheetVelocityMPerS(1e6, 998.2)).toBeCloseTo(0.8 * 44.76, 1);
    expect(sheetVelocityMPerS(0, 998.2)).toBe(0);
  });
  it('droplets: kerosene of Lefebvre, 0.0275 N/m, 1.3 mPa s, 5 g/s at 0.69 MPa into 1 atm: about 55 um (hand calculation of the correlation)', () => {
    const d = sauterMeanDiameterM({
      surfaceTensionNPerM: 0.0275,
      liquidViscosityPaS: 1.3e-3,
      massFlowKgPerS: 0.005,
      differentialPa: 0.69e6,
      airDensityKgPerM3: 1.2,
    });
    expect(d * 1e6).toBeCloseTo(53.2, 0);
    expect(
      sauterMeanDiameterM({
        surfaceTensionNPerM: 0.03,
        liquidViscosityPaS: 1e-3,
        massFlowKgPerS: 1e-3,
        differentialPa: 0,
        airDensityKgPerM3: 1.2,
      }),
    ).toBe(0);
  });
  it('mixes: water 72.7 mN/m and 0.890 mPa s, methanol 22.6 and 0.543 (CRC Handbook); thickest near 40 %', () => {
    expect(expectSolved(waterMethanolSurfaceTensionNPerM(0))).toBeCloseTo(0.0727, 4);
    expect(expectSolved(waterMethanolSurfaceTensionNPerM(1))).toBeCloseTo(0.0226, 4);
    expect(expectSolved(waterMethanolViscosityPaS(1))).toBeCloseTo(0.543e-3, 6);
    const thick = expectSolved(waterMethanolViscosityPaS(0.42));
    expect(thick).toBeGreaterThan(expectSolved(waterMethanolViscosityPaS(0.2)));
    expect(thick).toBeGreaterThan(expectSolved(waterMethanolViscosityPaS(0.7)));
    expect(waterMethanolViscosityPaS(-0.1)).toMatchObject({ ok: false });
    expect(waterMethanolSurfaceTensionNPerM(Number.NaN)).toMatchObject({ ok: false });
  });
});
