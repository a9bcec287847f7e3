import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { CompressorMapPoints } from './compressor-line-fit.ts';
import {
  chokeFlowAtSpeed,
  compressorAt,
  efficiencyAt,
  greatestFlowAtPressureRatio,
  MAP_PLACE,
  newCompressorState,
  pressureRatioAt,
  surgeFlowAtPressureRatio,
  surgeFlowAtSpeed,
  UNIT_SCALE,
} from './compressor-map.ts';
import { estimatedCompressorSurface, estimatedMapScale } from './compressor-map-estimate.ts';
import { fitCompressorMap } from './compressor-map-fit.ts';

const K = 0.4 / 1.4;

/**
 * A compressor that knows nothing of ellipses: head is Euler work less incidence loss (with the square of the distance
 * from the best flow) less friction (with the square of flow). Source: loss bookkeeping of Watson & Janota (1982) ch. 3;
 * the figures are invented.
 */
const lossModel = (share: number, x: number) => {
  const work = 0.3 * share ** 2 * (1.12 - 0.42 * x);
  const lost =
    0.3 * share ** 2 * (0.1 + 0.5 * (x - 0.55) ** 2 + 0.13 * x ** 2 + (0.28 * Math.max(0, x - 0.75) ** 1.5) / 0.125);
  return { work, head: work - lost };
};
const CHOKE = (share: number) => 0.24 * share ** 0.7;
const lossMap = (scatter: () => number = () => 0): CompressorMapPoints => ({
  referenceTemperatureK: 298,
  referencePressurePa: 100e3,
  lines: [0.5, 0.6, 0.7, 0.8, 0.9, 1].map((share) => ({
    shaftSpeedRpm: 180e3 * share,
    chokeFlow: CHOKE(share),
    points: Array.from({ length: 11 }, (_, i): [number, number, number] => {
      const x = 0.3 + 0.07 * share + (i / 10) * 0.55;
      const { work, head } = lossModel(share, x);
      return [
        x * CHOKE(share) * (1 + 0.005 * scatter()),
        (1 + head) ** (1 / K) + 0.01 * scatter(),
        head / work + 0.005 * scatter(),
      ];
    }),
  })),
});

/** Deterministic scatter of unit spread. */
const scattered = (seed: number) => {
  let state = seed;
  return () => {
    state = (state * 1103515245 + 12345) % 2147483648;
    return (state / 2147483648 - 0.5) * Math.sqrt(12);
  };
};

describe('a fitted compressor map', () => {
  const surface = fitCompressorMap(lossMap());

  it('runs through clean points of a loss model that is no ellipse (independent of the fit) to 1 % of pressure ratio', () => {
    expect(surface.fit.points).toBe(66);
    expect(surface.fit.rmsPressureRatio).toBeLessThan(0.02);
    expect(surface.fit.rmsEfficiency).toBeLessThan(0.01);
  });

  it('agrees with the loss model between the lines, where it has seen no point', () => {
    for (const share of [0.65, 0.75, 0.85, 0.95]) {
      for (const x of [0.42, 0.55, 0.68]) {
        const { work, head } = lossModel(share, x);
        const flow = x * CHOKE(share);
        expect(pressureRatioAt(surface, 180e3 * share, flow) / (1 + head) ** (1 / K)).toBeCloseTo(1, 1.9);
        expect(efficiencyAt(surface, 180e3 * share, flow)).toBeCloseTo(head / work, 1.7);
      }
    }
  });

  it('is not thrown off by points traced with scatter of 0.5 % of flow and 0.01 of pressure ratio', () => {
    for (const seed of [1, 2, 3]) {
      const traced = fitCompressorMap(lossMap(scattered(seed)));
      expect(traced.fit.rmsPressureRatio).toBeLessThan(0.045);
      for (const share of [0.65, 0.95]) {
        const flow = 0.55 * CHOKE(share);
        expect(
          Math.abs(pressureRatioAt(traced, 180e3 * share, flow) / pressureRatioAt(surface, 180e3 * share, flow) - 1),
        ).toBeLessThan(0.012);
      }
    }
  });

  it('finds the speed that gave a pressure ratio (round trip)', () => {
    const out = newCompressorState();
    fc.assert(
      fc.property(
        fc.double({ min: 0.35, max: 1.1, noNaN: true }),
        fc.double({ min: 0.32, max: 0.8, noNaN: true }),
        (share, x) => {
          const speed = 180e3 * share;
          const flow = x * chokeFlowAtSpeed(surface, speed);
          compressorAt(surface, flow, pressureRatioAt(surface, speed, flow), UNIT_SCALE, out);
          expect(out.shaftSpeedRpm / speed).toBeCloseTo(1, 4);
          expect(out.efficiency).toBeCloseTo(efficiencyAt(surface, speed, flow), 3);
        },
      ),
      { seed: 1, numRuns: 200 },
    );
  });

  it('asks for more speed for more pressure, and gives less pressure for more flow at one speed', () => {
    const out = newCompressorState();
    fc.assert(
      fc.property(
        fc.double({ min: 0.01, max: 0.2, noNaN: true }),
        fc.double({ min: 1.02, max: 3, noNaN: true }),
        fc.double({ min: 0.4, max: 1.1, noNaN: true }),
        (flow, ratio, share) => {
          const slow = compressorAt(surface, flow, ratio, UNIT_SCALE, out).shaftSpeedRpm;
          const fast = compressorAt(surface, flow, 1.05 * ratio, UNIT_SCALE, out).shaftSpeedRpm;
          expect(fast).toBeGreaterThanOrEqual(slow);
          const speed = share * 180e3;
          expect(pressureRatioAt(surface, speed, 1.03 * flow)).toBeLessThanOrEqual(
            pressureRatioAt(surface, speed, flow) + 1e-9,
          );
        },
      ),
      { seed: 2, numRuns: 300 },
    );
  });

  it('has work, pressure ratio and efficiency that belong together: rise = (PR^0.2857 - 1) / efficiency (CT-01, definition)', () => {
    const out = newCompressorState();
    compressorAt(surface, 0.11, 2, UNIT_SCALE, out);
    expect(out.workRatio).toBeCloseTo((2 ** K - 1) / out.efficiency, 10);
    // CT-01 with its own efficiency of 0.72: 293.15 K becomes 382.32 K.
    const scaled = { ...UNIT_SCALE, efficiency: 0.72 / out.efficiency };
    compressorAt(surface, 0.11, 2, scaled, out);
    expect(293.15 * (1 + out.workRatio)).toBeCloseTo(382.32, 0);
  });

  it('goes down to pressure ratio 1 below its lowest line by similarity, and says so', () => {
    const out = newCompressorState();
    const speed = 0.3 * 180e3;
    const flow = 0.5 * chokeFlowAtSpeed(surface, speed);
    const ratio = pressureRatioAt(surface, speed, flow);
    expect(ratio).toBeGreaterThan(1);
    expect(ratio).toBeLessThan(pressureRatioAt(surface, 90e3, 0.5 * chokeFlowAtSpeed(surface, 90e3)));
    expect(compressorAt(surface, flow, ratio, UNIT_SCALE, out).place).toBe(MAP_PLACE.belowLines);
    // Head with speed squared at the same flow share (similarity of slow machines, definition).
    const head = (pr: number) => pr ** K - 1;
    expect(head(ratio) / head(pressureRatioAt(surface, 90e3, 0.5 * chokeFlowAtSpeed(surface, 90e3)))).toBeCloseTo(
      0.36,
      2,
    );
  });

  it('says where a point lies', () => {
    const out = newCompressorState();
    const place = (flow: number, ratio: number) => compressorAt(surface, flow, ratio, UNIT_SCALE, out).place;
    expect(place(0.12, 2)).toBe(MAP_PLACE.inside);
    expect(place(0.02, 2)).toBe(MAP_PLACE.surge);
    expect(place(0.5, 1.5)).toBe(MAP_PLACE.choked);
    expect(out.shortfall).toBeGreaterThan(0);
    const beyond = 1.1 * 180e3;
    const flow = 0.55 * chokeFlowAtSpeed(surface, beyond);
    expect(place(flow, pressureRatioAt(surface, beyond, flow))).toBe(MAP_PLACE.aboveLines);
  });

  it('has a surge line that agrees by speed and by pressure ratio', () => {
    for (const share of [0.6, 0.8, 1]) {
      const flow = surgeFlowAtSpeed(surface, 180e3 * share);
      const ratio = pressureRatioAt(surface, 180e3 * share, flow);
      expect(surgeFlowAtPressureRatio(surface, ratio) / flow).toBeCloseTo(1, 2);
      expect(greatestFlowAtPressureRatio(surface, ratio)).toBeGreaterThanOrEqual(flow);
    }
  });

  it('never gives NaN, whatever is asked', () => {
    const out = newCompressorState();
    fc.assert(
      fc.property(
        fc.double({ min: 1e-6, max: 5, noNaN: true }),
        fc.double({ min: 0.3, max: 12, noNaN: true }),
        (flow, ratio) => {
          compressorAt(surface, flow, ratio, UNIT_SCALE, out);
          for (const value of Object.values(out)) expect(Number.isFinite(value)).toBe(true);
        },
      ),
      { seed: 3, numRuns: 500 },
    );
  });

  it('moves by its scale: flow, speed and efficiency', () => {
    const out = newCompressorState();
    const one = { ...compressorAt(surface, 0.1, 2, UNIT_SCALE, out) };
    const two = compressorAt(surface, 0.2, 2, { flow: 2, speed: 0.7, efficiency: 0.95 }, out);
    expect(two.shaftSpeedRpm).toBeCloseTo(0.7 * one.shaftSpeedRpm, 3);
    expect(two.efficiency).toBeCloseTo(0.95 * one.efficiency, 6);
    expect(two.chokeFlowKgPerS).toBeCloseTo(2 * one.chokeFlowKgPerS, 6);
  });
});

describe('a map estimated from wheel sizes', () => {
  const surface = estimatedCompressorSurface();

  it('is marked as an estimate and peaks between 70 and 80 % (usual of road-car wheels, common practice)', () => {
    expect(surface.estimated).toBe(true);
    const best = Math.max(
      ...[0.5, 0.6, 0.7, 0.8].flatMap((x) =>
        surface.lines.map((line) => efficiencyAt(surface, line.shaftSpeedRpm, x * line.chokeFlowKgPerS)),
      ),
    );
    expect(best).toBeGreaterThan(0.7);
    expect(best).toBeLessThan(0.8);
  });

  it('passes more air with a larger inducer, turns slower with a larger exducer, and scales by similarity', () => {
    const small = estimatedMapScale(0.036, 0.049);
    expect(estimatedMapScale(0.04, 0.049).flow / small.flow).toBeCloseTo((0.04 / 0.036) ** 2, 9);
    expect(estimatedMapScale(0.036, 0.056).speed / small.speed).toBeCloseTo(49 / 56, 9);
    expect(estimatedMapScale(0.06, 0.08).efficiency).toBeGreaterThan(small.efficiency);
  });

  it('reaches a pressure ratio of 2.2 to 3.4 at 450 m/s of tip speed (Euler work 0.6 to 0.75 U^2 at 65 to 78 %)', () => {
    const scale = estimatedMapScale(0.0408, 0.055);
    const speed = (60 * 450) / (Math.PI * 0.055);
    const ratio = pressureRatioAt(surface, speed, 0.6 * chokeFlowAtSpeed(surface, speed, scale), scale);
    const at = (psi: number, efficiency: number) => (1 + (psi * efficiency * 450 ** 2) / (1005 * 298)) ** (1 / K);
    expect(ratio).toBeGreaterThan(at(0.6, 0.65));
    expect(ratio).toBeLessThan(at(0.75, 0.78));
  });
});

describe('maps of the labelled logs', () => {
  const folder = join(import.meta.dirname, '../../../shared/logs/each/maps');
  it('fit to 0.02 of pressure ratio (near choke a line is steep) and half a point of efficiency', () => {
    if (!existsSync(folder)) {
      console.log('not run: fit of the labelled compressor maps (folder ../shared/logs is not there)');
      expect(existsSync(folder)).toBe(false);
      return;
    }
    const files = readdirSync(folder).slice(0, 12);
    expect(files.length).toBeGreaterThan(0);
    for (const file of files) {
      const map = JSON.parse(readFileSync(join(folder, file), 'utf8'));
      const { fit } = fitCompressorMap({
        referenceTemperatureK: map.reference.T_K,
        referencePressurePa: 1000 * map.reference.p_kPa,
        lines: map.lines.map(
          (line: { speed_rpm: number; surge_flow: number; choke_flow: number; flow_pr_eff: [] }) => ({
            shaftSpeedRpm: line.speed_rpm,
            surgeFlow: line.surge_flow,
            chokeFlow: line.choke_flow,
            points: line.flow_pr_eff,
          }),
        ),
      });
      expect(fit.rmsPressureRatio).toBeLessThan(0.02);
      expect(fit.rmsEfficiency).toBeLessThan(0.005);
    }
  });
});
