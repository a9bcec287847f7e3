import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compressorAtSpeed, cubicPressureRatio, newCompressorAtSpeed, shutOffHead } from './compressor-any-flow.ts';
import { efficiencyAt, pressureRatioAt, surgeFlowAtSpeed, UNIT_SCALE } from './compressor-map.ts';
import { fitCompressorMap } from './compressor-map-fit.ts';

/** An invented map: three lines of falling pressure ratio. */
const surface = fitCompressorMap({
  referenceTemperatureK: 298.15,
  referencePressurePa: 100e3,
  lines: [80e3, 110e3, 140e3].map((shaftSpeedRpm) => {
    const share = shaftSpeedRpm / 140e3;
    const top = 1 + 1.6 * share * share;
    return {
      shaftSpeedRpm,
      points: [0.28, 0.45, 0.6, 0.75, 0.88].map((x): [number, number, number] => [
        0.2 * share * x * 1.25,
        top - (top - 1) * 0.9 * Math.max(0, x - 0.28) ** 2,
        0.6 + 0.15 * (1 - (2 * x - 1.2) ** 2),
      ]),
    };
  }),
});
const out = newCompressorAtSpeed();
const at = (rpm: number, flow: number) => {
  compressorAtSpeed(surface, rpm, flow, UNIT_SCALE, shutOffHead(rpm, 0.045, 0.06, 298.15, 1006), out);
  return { ...out };
};

describe('left of the surge line', () => {
  // Moore & Greitzer, ASME J. Eng. Gas Turbines Power 108 (1986) 68, eq. 43: valley at no flow, H more at half the surge
  // flow, 2 H more at the surge flow, flat at both ends.
  it('the cubic has its valley, middle and peak where Moore & Greitzer have them', () => {
    expect(cubicPressureRatio(0, 0.08, 1.4, 2)).toBeCloseTo(1.4, 12);
    expect(cubicPressureRatio(0.04, 0.08, 1.4, 2)).toBeCloseTo(1.7, 12);
    expect(cubicPressureRatio(0.08, 0.08, 1.4, 2)).toBeCloseTo(2, 12);
    const slope = (flow: number) =>
      (cubicPressureRatio(flow + 1e-6, 0.08, 1.4, 2) - cubicPressureRatio(flow - 1e-6, 0.08, 1.4, 2)) / 2e-6;
    expect(Math.abs(slope(0))).toBeLessThan(1e-4);
    expect(Math.abs(slope(0.08))).toBeLessThan(1e-4);
    // Reversed flow is resisted more and more.
    expect(cubicPressureRatio(-0.04, 0.08, 1.4, 2)).toBeCloseTo(2, 12);
  });

  // Radial equilibrium by hand: wheel 60 mm, inducer 40 mm, 100,000 rpm (10,472 rad/s) in air of 298.15 K:
  // (10472^2 (0.03^2 - 0.02^2)) / (2 x 1006 x 298.15) = 0.09140.
  it('a turning wheel holds the head of its own spin against no flow', () => {
    expect(shutOffHead(100e3, 0.04, 0.06, 298.15, 1006)).toBeCloseTo(0.0914, 4);
    expect(shutOffHead(100e3, 0.06, 0.06, 298.15, 1006)).toBe(0);
  });

  it('joins the map at the surge line and rises towards it', () => {
    for (const rpm of [60e3, 90e3, 130e3]) {
      const surge = surgeFlowAtSpeed(surface, rpm);
      expect(at(rpm, surge * 0.9999).pressureRatio).toBeCloseTo(at(rpm, surge * 1.0001).pressureRatio, 2);
      expect(at(rpm, 0.5 * surge).slopePerKgPerS).toBeGreaterThan(0);
      expect(at(rpm, 0.5 * surge).pressureRatio).toBeLessThan(at(rpm, surge).pressureRatio);
    }
  });
});

describe('right of the surge line', () => {
  it('is the map', () => {
    for (const rpm of [85e3, 120e3]) {
      for (const share of [1.2, 1.8, 2.4]) {
        const flow = share * surgeFlowAtSpeed(surface, rpm);
        const point = at(rpm, flow);
        expect(point.pressureRatio).toBeCloseTo(pressureRatioAt(surface, rpm, flow), 9);
        const head = point.pressureRatio ** (0.4 / 1.4) - 1;
        expect(head / point.workRatio).toBeCloseTo(efficiencyAt(surface, rpm, flow), 6);
      }
    }
  });

  it('has the slope of its own values', () => {
    for (const [rpm, share] of [
      [100e3, 0.4],
      [100e3, 2.2],
      [20e3, 30],
    ] as const) {
      const flow = share * surgeFlowAtSpeed(surface, rpm);
      const step = 0.004 * flow;
      const slope = (at(rpm, flow + step).pressureRatio - at(rpm, flow - step).pressureRatio) / (2 * step);
      expect(at(rpm, flow).slopePerKgPerS / slope).toBeGreaterThan(0.8);
      expect(at(rpm, flow).slopePerKgPerS / slope).toBeLessThan(1.25);
    }
  });

  it('a slow wheel that is blown through costs a little pressure, not all of it', () => {
    const { pressureRatio } = at(8e3, 0.04);
    expect(pressureRatio).toBeLessThan(1);
    expect(pressureRatio).toBeGreaterThan(0.9);
  });
});

it('gives finite numbers for any speed and flow', () => {
  fc.assert(
    fc.property(
      fc.double({ min: 0, max: 400e3, noNaN: true }),
      fc.double({ min: -2, max: 2, noNaN: true }),
      (rpm, flow) => {
        const point = at(rpm, flow);
        for (const value of Object.values(point)) expect(Number.isFinite(value)).toBe(true);
        expect(point.workRatio).toBeGreaterThanOrEqual(0);
      },
    ),
  );
});
