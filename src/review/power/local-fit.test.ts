import { describe, expect, it } from 'vitest';
import { localFit } from './local-fit.ts';

const grid = (from: number, to: number, step: number) =>
  Float64Array.from({ length: Math.round((to - from) / step) + 1 }, (_, i) => from + i * step);

describe('value and slope by local fit', () => {
  it('is exact on a parabola, at the ends too (definition: the model holds it)', () => {
    const times = grid(0, 3, 0.05);
    const fit = localFit(
      times,
      times.map((t) => 4 + 3 * t - 2 * t * t),
      times,
      0.35,
    );
    times.forEach((t, i) => {
      expect(fit.values[i]).toBeCloseTo(4 + 3 * t - 2 * t * t, 6);
      expect(fit.slopes[i]).toBeCloseTo(3 - 4 * t, 5);
    });
  });

  it('tells the error of its slope: scatter over many noisy lines is what it says', () => {
    // Park-Miller generator, Comm. ACM 31 (1988) 1192; twelve uniforms less six are near normal with deviation 1.
    let state = 20240601;
    const uniform = () => {
      state = (state * 16807) % 2147483647;
      return state / 2147483647;
    };
    const normal = () => Array.from({ length: 12 }, uniform).reduce((sum, u) => sum + u, -6);
    const times = grid(0, 2, 0.04);
    const at = [1];
    const slopes: number[] = [];
    let told = 0;
    const runs = 400;
    for (let run = 0; run < runs; run++) {
      const values = times.map((t) => 3000 + 900 * t + 5 * normal());
      const here = localFit(times, values, at, 0.35);
      slopes.push(here.slopes[0]!);
      told += localFit(times, values, times, 0.35).slopeSd[25]! / runs;
    }
    const mean = slopes.reduce((sum, s) => sum + s, 0) / runs;
    const scatter = Math.sqrt(slopes.reduce((sum, s) => sum + (s - mean) ** 2, 0) / (runs - 1));
    expect(Math.abs(mean - 900)).toBeLessThan(3 * (scatter / Math.sqrt(runs)));
    expect(told / scatter).toBeGreaterThan(0.85);
    expect(told / scatter).toBeLessThan(1.35);
  });

  it('widens its window for slow readings and gives up below four', () => {
    const slow = grid(0, 20, 1);
    const fit = localFit(
      slow,
      slow.map((t) => 7 * t),
      [10],
      0.35,
    );
    expect(fit.slopes[0]).toBeCloseTo(7, 6);
    expect(localFit([0, 1, 2], [0, 1, 2], [1], 0.35).slopes[0]).toBeNaN();
  });
});
