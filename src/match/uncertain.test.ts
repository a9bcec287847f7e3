import { describe, expect, it, vi } from 'vitest';
import { DAY, demoCar } from './fixtures.testing.ts';
import { bandOf, combineMatches, matchCar, matchWithBands, normalSamples, sampledCars } from './index.ts';

const SPEEDS = [2500, 4000, 5500];

describe('a car', () => {
  it('gets the same answer whichever car was matched before it', async () => {
    const { car } = demoCar('wren-dozen-numbers');
    const other = { ...car, fuel: { ...car.fuel, ethanolContent: car.fuel.ethanolContent + 0.002 } };
    const matchAfter = async (before: (typeof car)[]) => {
      vi.resetModules();
      const room = await import('./index.ts');
      for (const one of before) room.matchCar(one, DAY, { engineSpeedsRpm: SPEEDS });
      return room.matchCar(car, DAY, { engineSpeedsRpm: SPEEDS });
    };
    expect(await matchAfter([other])).toEqual(await matchAfter([]));
  });
});

describe('samples', () => {
  it('are standard normal in every input, and the same for the same seed', () => {
    const rows = normalSamples(512, 100, 7);
    expect(normalSamples(512, 100, 7)).toEqual(rows);
    expect(normalSamples(512, 100, 8)).not.toEqual(rows);
    for (const input of [0, 17, 63, 99]) {
      const column = Array.from({ length: 512 }, (_, row) => rows[row * 100 + input]!);
      const mean = column.reduce((sum, z) => sum + z, 0) / 512;
      const variance = column.reduce((sum, z) => sum + z * z, 0) / 512;
      expect(Math.abs(mean)).toBeLessThan(0.03);
      expect(variance).toBeCloseTo(1, 1);
      // Standard normal table: 10 % lie below -1.2816.
      expect(column.filter((z) => z < -1.2816).length / 512).toBeCloseTo(0.1, 1.5);
    }
  });

  it('make cars that differ around the best estimate', () => {
    const resolved = demoCar('wren-as-driven');
    const drawn = sampledCars(resolved, 64, 1);
    const flows = Array.from({ length: 64 }, (_, index) => drawn.car(index).fuelSystem.injectorFlowM3PerS);
    const best = resolved.car.fuelSystem.injectorFlowM3PerS;
    const sd = resolved.quantities['fuelSystem.injectorFlow']!.sdSi;
    const mean = flows.reduce((sum, flow) => sum + flow, 0) / 64;
    expect(Math.abs(mean - best)).toBeLessThan(0.3 * sd);
    expect(Math.max(...flows) - Math.min(...flows)).toBeGreaterThan(3 * sd);
  });
});

describe('bands', () => {
  it('of a known list are its percentiles (definition)', () => {
    const band = bandOf(Array.from({ length: 101 }, (_, index) => index));
    expect(band).toEqual({ p10: 10, p50: 50, p90: 90 });
    expect(bandOf([])).toBeNull();
  });

  it('hold the best estimate, in order, and narrow with what is known', () => {
    const wide = matchWithBands(demoCar('wren-dozen-numbers'), DAY, { engineSpeedsRpm: SPEEDS, samples: 128 });
    const typed = matchWithBands(demoCar('wren-as-driven'), DAY, { engineSpeedsRpm: SPEEDS, samples: 128 });
    const best = matchCar(demoCar('wren-as-driven').car, DAY, { engineSpeedsRpm: SPEEDS });
    typed.points.forEach((point, index) => {
      const { powerW, manifoldPressurePa, lambda } = point;
      for (const band of [powerW, manifoldPressurePa, lambda]) {
        expect(band.p10).toBeLessThanOrEqual(band.p50);
        expect(band.p50).toBeLessThanOrEqual(band.p90);
      }
      // At 2500 rpm boost may or may not be up: only the other speeds are held to the best estimate.
      if (index > 0) {
        expect(powerW.p50 / best.points[index]!.powerW).toBeCloseTo(1, 1.5);
        const loose = wide.points[index]!.powerW;
        expect((loose.p90 - loose.p10) / loose.p50).toBeGreaterThan((powerW.p90 - powerW.p10) / powerW.p50);
      }
    });
  });

  it('are the same for the same seed, and put together from shares', () => {
    const resolved = demoCar('wren-as-driven');
    const options = { engineSpeedsRpm: SPEEDS, samples: 16, seed: 3 };
    const once = matchWithBands(resolved, DAY, options);
    expect(matchWithBands(resolved, DAY, options)).toEqual(once);
    const drawn = sampledCars(resolved, 16, 3);
    const shares = [0, 8].flatMap((from) =>
      Array.from({ length: 8 }, (_, i) => matchCar(drawn.car(from + i), DAY, { engineSpeedsRpm: SPEEDS })),
    );
    expect(combineMatches(matchCar(resolved.car, DAY, { engineSpeedsRpm: SPEEDS }), shares)).toEqual(once);
  });
});
