import { describe, expect, it } from 'vitest';
import { expectSolved, knockIntegral } from '../physics/index.ts';
import { chargeAt, cylinderWith, PETROL_98, SPREAD_POINTS, solvedCycle } from './cases.testing.ts';
import { KNOCK_UNTIL_BURNED } from './integrate.ts';
import { traceCycle } from './trace.ts';

const cylinder = cylinderWith({ compressionRatio: 9.25 });

describe('curves of a cycle', () => {
  it.each(SPREAD_POINTS)(
    'end in the numbers of the fast summary (%s rpm, %s kPa, lambda %s, %s deg)',
    (rpm, kPa, lambda, spark) => {
      const charge = chargeAt(cylinder, rpm, kPa, lambda);
      const trace = expectSolved(traceCycle(cylinder, charge, { sparkAdvanceDeg: spark }, 1));
      const summary = solvedCycle(cylinder, charge, spark);
      expect(trace.summary).toEqual(summary);
      expect(trace.workJ.at(-1)).toBe(summary.closedWorkJ);
      expect(trace.wallHeatJ.at(-1)).toBe(summary.wallHeatJ);
      expect(trace.knockIntegral.at(-1)).toBe(summary.knockIntegral);
      expect(trace.pressurePa.at(-1)).toBe(summary.openingPressurePa);
      expect(trace.heatReleasedJ.at(-1)).toBeCloseTo(summary.heatReleasedJ, 9);
      expect(trace.pressurePa[0]).toBe(summary.closingPressurePa);
      expect(Math.max(...trace.pressurePa)).toBeLessThanOrEqual(summary.peakPressurePa);
      expect(Math.max(...trace.pressurePa)).toBeGreaterThan(0.98 * summary.peakPressurePa);
    },
  );

  it('are equally long, rise in crank angle and burned share, and lack only what is not there', () => {
    const trace = expectSolved(traceCycle(cylinder, chargeAt(cylinder, 3000, 120, 0.9), { sparkAdvanceDeg: 15 }));
    const { summary, ...curves } = trace;
    const n = trace.crankAngleDeg.length;
    for (const curve of Object.values(curves)) expect(curve.length).toBe(n);
    for (let i = 0; i < n; i++) {
      if (i > 0) {
        expect(trace.crankAngleDeg[i]!).toBeGreaterThan(trace.crankAngleDeg[i - 1]!);
        expect(trace.burnedShare[i]!).toBeGreaterThanOrEqual(trace.burnedShare[i - 1]!);
        expect(trace.knockIntegral[i]!).toBeGreaterThanOrEqual(trace.knockIntegral[i - 1]!);
      }
      expect(Number.isNaN(trace.unburnedK[i])).toBe(trace.burnedShare[i]! >= 1);
      expect(Number.isNaN(trace.burnedK[i])).toBe(trace.burnedShare[i]! < 1e-3);
      for (const name of ['pressurePa', 'volumeM3', 'heatReleaseJPerDeg', 'wallHeatJ', 'workJ'] as const) {
        expect(Number.isFinite(curves[name][i])).toBe(true);
      }
    }
    expect(summary.peakBurnedK).toBeGreaterThan(2300);
    expect(summary.peakBurnedK).toBeLessThan(3000);
  });

  it('carry the knock integral of the laws, from pressure and unburned temperature alone, within 0.2 %', () => {
    const charge = chargeAt(cylinder, 4000, 200, 0.83);
    const trace = expectSolved(traceCycle(cylinder, charge, { sparkAdvanceDeg: 9 }, 16));
    const last = trace.burnedShare.findIndex((x) => x > KNOCK_UNTIL_BURNED);
    const seconds = trace.crankAngleDeg.map((angle) => (angle + 180) / (6 * 4000));
    const law = expectSolved(
      knockIntegral(
        PETROL_98.researchOctane,
        seconds.subarray(0, last),
        trace.pressurePa.subarray(0, last),
        trace.unburnedK.subarray(0, last),
      ),
    );
    expect(Math.abs(law / trace.knockIntegral[last - 1]! - 1)).toBeLessThan(2e-3);
  });

  it('heat released is the integral of its rate', () => {
    const trace = expectSolved(traceCycle(cylinder, chargeAt(cylinder, 3000, 100), { sparkAdvanceDeg: 20 }, 16));
    let sum = 0;
    for (let i = 1; i < trace.crankAngleDeg.length; i++) {
      const step = trace.crankAngleDeg[i]! - trace.crankAngleDeg[i - 1]!;
      sum += (step * (trace.heatReleaseJPerDeg[i]! + trace.heatReleaseJPerDeg[i - 1]!)) / 2;
    }
    expect(Math.abs(sum / trace.heatReleasedJ.at(-1)! - 1)).toBeLessThan(1e-3);
  });

  it('passes a refusal on', () => {
    const refused = traceCycle(cylinder, chargeAt(cylinder, 3000, 100), { sparkAdvanceDeg: 200 });
    expect(refused.ok ? '' : refused.reason.code).toBe('spark-outside-cycle');
  });
});
