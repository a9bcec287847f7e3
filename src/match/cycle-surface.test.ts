/** The surface against the cycle that it stands for, and the knock limit read off it. */
import { describe, expect, it } from 'vitest';
import {
  type CycleCharge,
  knockLimitedAdvance,
  knockReference,
  newCycleOut,
  newTimingOut,
  prepareCylinder,
  solveCycle,
  USUAL_CYLINDER,
} from '../cylinder/index.ts';
import { expectSolved, petrol, scrambledSobol } from '../physics/index.ts';
import { advanceAtKnock, type CycleState, cycleAt, cycleSurface, newCycleAnswer } from './cycle-surface.ts';

const fuel = { ...petrol(100, 88), researchOctane: 100 };
const engine = { boreM: 0.086, strokeM: 0.086, compressionRatio: 9.5, fuel };

const points = (count: number, seed: number): number[][] => {
  const sequence = expectSolved(scrambledSobol(6, seed));
  return Array.from({ length: count }, () => [...sequence.next()]);
};

const surfaceOf = () => {
  const surface = cycleSurface(engine);
  if (!surface) throw new Error('no surface for a usual engine');
  return surface;
};

describe('the surface of the cycle', () => {
  const surface = surfaceOf();
  const cylinder = expectSolved(prepareCylinder({ ...USUAL_CYLINDER, ...engine }));
  const out = newCycleOut();
  const answer = newCycleAnswer();

  const chargeOf = (state: CycleState): CycleCharge => ({
    engineSpeedRpm: state.engineSpeedRpm,
    airKg: state.trappedDensityKgPerM3 * cylinder.sweptM3,
    temperatureK: state.closingTemperatureK,
    residualFraction: state.residualFraction,
    lambda: state.lambda,
    fuel,
    waterPerAir: 0.008,
    evaporationJPerKgAir: 0,
    exhaustPressurePa: 112.5e3 * state.trappedDensityKgPerM3,
  });

  /** Misses at places all over the range: work and peak pressure relative, heats and knock absolute. */
  const misses = (places: readonly number[][], density: readonly [number, number]) => {
    const list = {
      work: [] as number[],
      released: [] as number[],
      wall: [] as number[],
      peak: [] as number[],
      knock: [] as number[],
    };
    for (const [a, b, c, d, e, f] of places as [number, number, number, number, number, number][]) {
      const state: CycleState = {
        engineSpeedRpm: 1200 + 6300 * a,
        trappedDensityKgPerM3: density[0] * (density[1] / density[0]) ** b,
        closingTemperatureK: 320 + 80 * c,
        residualFraction: 0.02 + 0.06 * d,
        lambda: 0.72 + 0.3 * e,
      };
      const best = cycleAt(surface, state, 0, answer).bestTorqueAdvanceDeg;
      const spark = best + 4 - 22 * f;
      cycleAt(surface, state, spark, answer);
      const charge = chargeOf(state);
      expect(solveCycle(cylinder, charge, { sparkAdvanceDeg: spark }, out)).toBeNull();
      const heat = (charge.airKg * fuel.lowerHeatingValueJPerKg) / fuel.stoichiometricAirFuelRatio;
      list.work.push(Math.abs((answer.work * heat) / out.grossWorkJ - 1));
      list.released.push(Math.abs(answer.released - out.heatReleasedJ / heat));
      list.wall.push(Math.abs(answer.wall - (out.wallHeatJ + out.exhaustStrokeHeatJ + out.portHeatJ) / heat));
      list.peak.push(Math.abs(answer.peakPressurePa / out.peakPressurePa - 1));
      list.knock.push(Math.abs(answer.logKnock - Math.log(out.knockIntegral)));
    }
    const ninth = (values: number[]) => values.sort((x, y) => x - y)[Math.floor(0.9 * values.length)]!;
    return {
      work: ninth(list.work),
      released: ninth(list.released),
      wall: ninth(list.wall),
      peak: ninth(list.peak),
      knock: ninth(list.knock),
    };
  };

  it('is within 1 % of the work and 0.01 of the heats in nine of ten boosted states', () => {
    const found = misses(points(512, 11), [0.9, 3.6]);
    expect(found.work).toBeLessThan(0.01);
    expect(found.released).toBeLessThan(0.002);
    expect(found.wall).toBeLessThan(0.01);
    expect(found.peak).toBeLessThan(0.05);
    // A tenth in the logarithm is about one degree of timing.
    expect(found.knock).toBeLessThan(0.1);
  });

  it('is within 3 % of the work in nine of ten throttled states', () => {
    expect(misses(points(256, 12), [0.45, 0.9]).work).toBeLessThan(0.03);
  });

  it('gives the most work at its best timing, and less on both sides', () => {
    for (const engineSpeedRpm of [1500, 3000, 4500, 6500]) {
      const state = {
        engineSpeedRpm,
        trappedDensityKgPerM3: 2,
        closingTemperatureK: 355,
        residualFraction: 0.04,
        lambda: 0.85,
      };
      const best = cycleAt(surface, state, 0, answer).bestTorqueAdvanceDeg;
      const most = cycleAt(surface, state, best, answer).work;
      expect(cycleAt(surface, state, best - 10, answer).work).toBeLessThan(most);
      expect(cycleAt(surface, state, best + 8, answer).work).toBeLessThan(most);
    }
  });

  it('finds the timing of a knock level again', () => {
    const state = {
      engineSpeedRpm: 4000,
      trappedDensityKgPerM3: 2,
      closingTemperatureK: 355,
      residualFraction: 0.04,
      lambda: 0.85,
    };
    for (const spark of [2, 8, 14, 22]) {
      const level = cycleAt(surface, state, spark, answer).logKnock;
      expect(advanceAtKnock(level, answer)).toBeCloseTo(spark, 1);
    }
  });

  it('has its knock limit within 1.5 degrees of the cycle searched by itself in nine of ten boosted states', () => {
    const misses: number[] = [];
    const limit = newTimingOut();
    for (const [a, b, c, d, e] of points(128, 13) as [number, number, number, number, number][]) {
      const state: CycleState = {
        engineSpeedRpm: 1500 + 5500 * a,
        trappedDensityKgPerM3: 1.4 * 2 ** b,
        closingTemperatureK: 330 + 60 * c,
        residualFraction: 0.02 + 0.05 * d,
        lambda: 0.75 + 0.2 * e,
      };
      const best = cycleAt(surface, state, 0, answer).bestTorqueAdvanceDeg;
      const bySurface = advanceAtKnock(knockReference(), answer);
      // Timing that nobody runs is not told exactly.
      if (bySurface > best + 10 || bySurface < best - 25) continue;
      expect(knockLimitedAdvance(cylinder, chargeOf(state), knockReference(), bySurface + 5, out, limit)).toBeNull();
      if (limit.edge === 'none') misses.push(Math.abs(bySurface - limit.advanceDeg));
    }
    expect(misses.length).toBeGreaterThan(60);
    expect(misses.sort((x, y) => x - y)[Math.floor(0.9 * misses.length)]).toBeLessThan(1.5);
  });
});
