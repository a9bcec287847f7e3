import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { CompressorMapPoints } from './compressor-line-fit.ts';
import {
  chokeFlowAtSpeed,
  compressorAt,
  efficiencyAt,
  newCompressorState,
  pressureRatioAt,
  surgeFlowAtSpeed,
  UNIT_SCALE,
} from './compressor-map.ts';
import { fitCompressorMap, fittedCompressorMap } from './compressor-map-fit.ts';
import type { CompressorSurface } from './compressor-surface.ts';

const K = 0.4 / 1.4;
const SHARES = [0.5, 0.6, 0.7, 0.8, 0.9, 1];
const TOP_RPM = 180e3;

/**
 * A known surface that is no ellipse: Euler work less incidence loss (square of the distance from the best flow) less
 * friction (square of flow). Source: loss bookkeeping of Watson & Janota (1982) ch. 3; the figures are invented.
 */
const known = (share: number, flow: number) => {
  const x = flow / (0.24 * share ** 0.7);
  const work = 0.3 * share ** 2 * (1.12 - 0.42 * x);
  const late = Math.max(0, x - 0.75) ** 1.5;
  const head = work - 0.3 * share ** 2 * (0.1 + 0.5 * (x - 0.55) ** 2 + 0.13 * x ** 2 + 2.24 * late);
  return { ratio: (1 + Math.max(head, -0.3)) ** (1 / K), efficiency: head / work };
};
const FLOWS = (share: number) =>
  Array.from({ length: 9 }, (_, i) => 0.24 * share ** 0.7 * (0.3 + 0.07 * share + (i / 8) * 0.55));

/** Seeded normal scatter. */
const normal = (seed: number) => {
  let state = seed >>> 0;
  const uniform = () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return (state + 0.5) / 4294967296;
  };
  return () => Math.sqrt(-2 * Math.log(uniform())) * Math.cos(2 * Math.PI * uniform());
};

/** The known surface as traced by a hand that strays by `sd` of every value. */
const traced = (sd: number, seed: number): CompressorMapPoints => {
  const z = normal(seed);
  return {
    referenceTemperatureK: 298,
    referencePressurePa: 100e3,
    lines: SHARES.map((share) => ({
      shaftSpeedRpm: TOP_RPM * share,
      points: FLOWS(share).map((flow) => {
        const { ratio, efficiency } = known(share, flow);
        return [flow * (1 + sd * z()), ratio * (1 + sd * z()), efficiency * (1 + sd * z())] as const;
      }),
    })),
  };
};

/** Surface less truth at the places of the points: root mean squares, relative and in shares. */
const away = (surface: CompressorSurface) => {
  const ratio: number[] = [];
  const efficiency: number[] = [];
  for (const share of SHARES) {
    for (const flow of FLOWS(share).slice(0, 8)) {
      const truth = known(share, flow);
      ratio.push(pressureRatioAt(surface, TOP_RPM * share, flow) / truth.ratio - 1);
      efficiency.push(efficiencyAt(surface, TOP_RPM * share, flow) - truth.efficiency);
    }
  }
  const rms = (values: number[]) => Math.sqrt(values.reduce((sum, value) => sum + value * value, 0) / values.length);
  return { ratio: rms(ratio), efficiency: rms(efficiency) };
};

/** Whether more speed gives more pressure at every flow of the map. */
const linesCross = (surface: CompressorSurface): boolean => {
  for (let k = 1; k < 30; k++) {
    const flow = (0.9 * k * chokeFlowAtSpeed(surface, TOP_RPM)) / 30;
    let before = 0;
    for (let n = 0.5; n <= 1; n += 0.01) {
      const ratio = pressureRatioAt(surface, TOP_RPM * n, flow);
      if (ratio < before - 1e-9 && ratio > 1) return true;
      before = ratio;
    }
  }
  return false;
};

describe('a map traced by hand', () => {
  it('of 1 % scatter in every value is recovered to 1 % of pressure ratio and 1.5 points of efficiency, of 2 % to twice that', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1e6 }), (seed) => {
        for (const sd of [0.01, 0.02]) {
          const off = away(fitCompressorMap(traced(sd, seed)));
          expect(off.ratio).toBeLessThan(sd);
          expect(off.efficiency).toBeLessThan(1.5 * sd);
        }
      }),
      { seed: 11, numRuns: 20 },
    );
  });

  it('has speed lines that never rise with flow and never cross, choke to the right of surge', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1e6 }), fc.constantFrom(0, 0.01, 0.02), (seed, sd) => {
        const surface = fitCompressorMap(traced(sd, seed));
        for (const share of [0.45, 0.55, 0.7, 0.85, 1, 1.1]) {
          const choke = chokeFlowAtSpeed(surface, TOP_RPM * share);
          expect(surgeFlowAtSpeed(surface, TOP_RPM * share)).toBeLessThan(choke);
          let before = Number.POSITIVE_INFINITY;
          for (let k = 0; k <= 40; k++) {
            const ratio = pressureRatioAt(surface, TOP_RPM * share, (choke * k) / 36);
            expect(ratio).toBeLessThanOrEqual(before + 1e-12);
            before = ratio;
          }
        }
        expect(linesCross(surface)).toBe(false);
      }),
      { seed: 12, numRuns: 20 },
    );
  });

  it('says how large its scatter is, and what it leaves in doubt grows with it', () => {
    const fits = [0, 0.01, 0.02].map((sd) => fitCompressorMap(traced(sd, 5)).fit);
    expect(fits[0]!.speedDoubt).toBeLessThan(0.006);
    expect(fits[0]!.efficiencyDoubt).toBeLessThan(0.01);
    for (const doubt of ['flowDoubt', 'efficiencyDoubt', 'speedDoubt'] as const) {
      expect(fits[1]![doubt]).toBeGreaterThan(fits[0]![doubt]);
      expect(fits[2]![doubt]).toBeGreaterThan(fits[1]![doubt]);
    }
    // Two values off by 2 % each: points lie some 2 % off the line, less what the fit takes up.
    expect(Math.max(...fits[2]!.lines.map(({ rmsPressureRatio }) => rmsPressureRatio))).toBeGreaterThan(0.012);
    expect(fits[2]!.lines.map(({ shaftSpeedRpm }) => shaftSpeedRpm)).toEqual(SHARES.map((share) => TOP_RPM * share));
  });

  it('names the one point of 20 % slip and hardly bends for it', () => {
    for (const seed of [1, 2, 3, 4]) {
      const map = traced(0.005, seed);
      const slipped: CompressorMapPoints = {
        ...map,
        lines: map.lines.map((line, i) =>
          i === 2
            ? {
                ...line,
                points: line.points.map(
                  ([w, p, e], k) => (k === 4 ? [w, 1.2 * p, e] : [w, p, e]) as [number, number, number],
                ),
              }
            : line,
        ),
      };
      const clean = fitCompressorMap(map);
      const bent = fitCompressorMap(slipped);
      expect(bent.fit.strays.map(({ line, point }) => [line, point])).toEqual([[2, 4]]);
      expect(bent.fit.strays[0]!.pressureRatioOff).toBeGreaterThan(0.17);
      expect(clean.fit.strays).toEqual([]);
      const flow = FLOWS(0.7)[4]!;
      const bends = pressureRatioAt(bent, TOP_RPM * 0.7, flow) / pressureRatioAt(clean, TOP_RPM * 0.7, flow) - 1;
      expect(Math.abs(bends)).toBeLessThan(0.006);
    }
  });

  it('is the same whatever the order of its points, and not much the worse for a doubled one', () => {
    const map = traced(0.01, 8);
    const turned = { ...map, lines: map.lines.map((line) => ({ ...line, points: [...line.points].reverse() })) };
    const doubled = {
      ...map,
      lines: map.lines.map((line) => ({ ...line, points: [...line.points, line.points[3]!] })),
    };
    for (const share of [0.55, 0.8, 0.95]) {
      const flow = FLOWS(share)[4]!;
      const at = (one: CompressorMapPoints) => pressureRatioAt(fitCompressorMap(one), TOP_RPM * share, flow);
      expect(at(turned) / at(map)).toBeCloseTo(1, 9);
      // A doubled point counts twice; with 1 % of scatter it may pull its line by about as much.
      expect(Math.abs(at(doubled) / at(map) - 1)).toBeLessThan(0.012);
    }
  });

  it('counts steps that rise where the line falls', () => {
    const map = traced(0, 1);
    const line = map.lines[3]!;
    const points = line.points.map((point, k) =>
      k === 6 ? ([point[0], 1.01 * line.points[5]![1], point[2]] as const) : point,
    );
    const { fit } = fitCompressorMap({
      ...map,
      lines: map.lines.map((one, i) => (i === 3 ? { ...one, points } : one)),
    });
    expect(fit.lines.map(({ rises }) => rises)).toEqual([0, 0, 0, 1, 0, 0]);
  });
});

describe('any map at all', () => {
  it('of the schema’s limits gives finite answers everywhere and lines that do not rise', () => {
    const point = fc.tuple(
      fc.double({ min: 0, max: 2, noNaN: true }),
      fc.double({ min: 0.8, max: 8, noNaN: true }),
      fc.double({ min: 0.05, max: 0.95, noNaN: true }),
    );
    const out = newCompressorState();
    fc.assert(
      fc.property(
        fc.array(fc.array(point, { minLength: 3, maxLength: 8 }), { minLength: 2, maxLength: 6 }),
        fc.double({ min: 5000, max: 60000, noNaN: true }),
        (lines, step) => {
          const usable = lines.filter((points) => Math.max(...points.map(([w]) => w)) > 1e-3);
          if (usable.length < 2) return;
          const surface = fitCompressorMap({
            referenceTemperatureK: 298,
            referencePressurePa: 1e5,
            lines: usable.map((points, i) => ({ shaftSpeedRpm: step * (i + 1), points })),
          });
          for (const table of [surface.head, surface.work, surface.chokeFlow, surface.surgeFlow]) {
            expect(table.every(Number.isFinite)).toBe(true);
          }
          for (const value of [surface.fit.flowDoubt, surface.fit.efficiencyDoubt, surface.fit.speedDoubt]) {
            expect(Number.isFinite(value)).toBe(true);
          }
          for (const flow of [0.001, 0.05, 0.4, 3]) {
            for (const ratio of [0.8, 1.2, 2.5, 6]) {
              compressorAt(surface, flow, ratio, UNIT_SCALE, out);
              expect(Object.values(out).every(Number.isFinite)).toBe(true);
            }
          }
          const speed = step * usable.length;
          expect(pressureRatioAt(surface, speed, 0.2)).toBeGreaterThanOrEqual(
            pressureRatioAt(surface, speed, 0.3) - 1e-12,
          );
        },
      ),
      { seed: 13, numRuns: 120 },
    );
  });

  it('is fitted once for its numbers, and anew when one of them differs', () => {
    const map = traced(0, 3);
    expect(fittedCompressorMap(map)).toBe(fittedCompressorMap(map));
    expect(fittedCompressorMap(structuredClone(map))).toBe(fittedCompressorMap(map));
    expect(fittedCompressorMap({ ...map, referenceTemperatureK: 288.15 })).not.toBe(fittedCompressorMap(map));
    expect(fittedCompressorMap(structuredClone(map)).head).toEqual(fitCompressorMap(map).head);
  });
});
