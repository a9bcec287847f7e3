/** Reading between points, gathering by engine speed, scales and the ledger's straight lines: checks by hand arithmetic. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { cursorMiddle, edgeFigures } from './edge.ts';
import { bandAt, between, gatherBySpeed, readAt, settledStretch } from './interpolate.ts';
import { boostKnots, markAtPower, powerEnds, throughKnots } from './ledger.ts';
import { leftInWords, standing } from './marks.ts';
import { decimalsOf, linearScale, multiples, niceStep, niceTicks } from './scale.ts';
import { rulerEnds } from './torque-power.ts';

describe('between', () => {
  it('finds the neighbours and the share', () => {
    expect(between([1000, 2000, 4000], 2500)).toEqual({ lower: 1, upper: 2, share: 0.25 });
    expect(between([1000, 2000], 999)).toBeNull();
    expect(between([], 1)).toBeNull();
  });
  it('reads a straight line exactly, anywhere on it', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 10, noNaN: true }), (x) => {
        const places = [0, 1, 3, 6, 10];
        const at = between(places, x)!;
        expect(
          readAt(
            places.map((place) => 3 * place - 2),
            at,
          ),
        ).toBeCloseTo(3 * x - 2, 9);
      }),
    );
  });
  it('mixes all three figures of a band, and none where a neighbour lacks it', () => {
    const points = [{ band: { p10: 0, p50: 10, p90: 20 } }, { band: { p10: 10, p50: 30, p90: 40 } }, {}];
    const pick = (point: { band?: { p10: number; p50: number; p90: number } }) => point.band;
    expect(bandAt(points, pick, { lower: 0, upper: 1, share: 0.5 })).toEqual({ p10: 5, p50: 20, p90: 30 });
    expect(bandAt(points, pick, { lower: 1, upper: 2, share: 0.5 })).toBeUndefined();
  });
});

describe('gathering by engine speed', () => {
  // Two gears: 2000 to 4000 rpm in the first ten seconds, a drop to 3000, then on to 5000.
  const times = Array.from({ length: 201 }, (_, i) => i / 10);
  const speed = { timesS: times, values: times.map((t) => (t < 10 ? 2000 + 200 * t : 3000 + 200 * (t - 10))) };
  const parts = [
    { startS: 0, endS: 9.9 },
    { startS: 10, endS: 20 },
  ];
  it('averages what lies within the half width and leaves the rest empty', () => {
    const reading = { timesS: times, values: speed.values.map((rpm) => rpm / 10) };
    const [low, middle, high] = gatherBySpeed(speed, reading, parts[0]!, [1500, 3000, 6000], 60);
    expect(low).toBeNaN();
    expect(middle).toBeCloseTo(300, 6);
    expect(high).toBeNaN();
  });
  it('lets the gear speak that had been pulling longest', () => {
    expect([...settledStretch(speed, parts, [2500, 3500, 4500], 60)]).toEqual([0, 0, 1]);
    expect([...settledStretch(speed, parts, [1000], 60)]).toEqual([-1]);
  });
});

describe('scales', () => {
  it('turn round', () => {
    const finite = fc.double({ min: -1e6, max: 1e6, noNaN: true });
    fc.assert(
      fc.property(
        finite,
        fc.double({ min: 1e-3, max: 1e6, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (from, span, share) => {
          const scale = linearScale(from, from + span, 20, 820);
          const value = from + span * share;
          expect(Math.abs(scale.valueAt(scale.at(value)) - value)).toBeLessThan(1e-6 * (Math.abs(from) + span));
        },
      ),
    );
  });
  it('hold a drag beyond the end at the end', () => {
    expect(linearScale(1000, 7000, 50, 650).valueAt(9999)).toBe(7000);
    expect(linearScale(1000, 7000, 50, 650).valueAt(-5)).toBe(1000);
  });
  it('choose round steps, never more pieces than asked', () => {
    fc.assert(
      fc.property(fc.double({ min: 1e-6, max: 1e9, noNaN: true }), fc.integer({ min: 1, max: 20 }), (span, most) => {
        const step = niceStep(span, most);
        expect(span / step).toBeLessThanOrEqual(most * (1 + 1e-6));
        expect([1, 2, 2.5, 5]).toContainEqual(
          Number((step / 10 ** Math.floor(Math.log10(step) + 1e-9)).toPrecision(6)),
        );
      }),
    );
    expect(niceTicks(0, 430, 4)).toEqual([0, 200, 400]);
    expect(multiples(0.05, 0.35, 0.1)).toEqual([0.1, 0.2, 0.3]);
    expect([decimalsOf(200), decimalsOf(2.5), decimalsOf(0.05)]).toEqual([0, 1, 2]);
  });
  it('run the ruler from a round figure below to one past the last point', () => {
    expect(rulerEnds([1750, 6800])).toEqual([1500, 7500]);
  });
});

describe('the edge', () => {
  it('keeps the cursor on the sheet', () => {
    expect(cursorMiddle(3, { from: 0, to: 800 }, 100)).toBe(52);
    expect(cursorMiddle(799, { from: 0, to: 800 }, 100)).toBe(748);
    expect(cursorMiddle(400, { from: 0, to: 800 }, 100)).toBe(400);
  });
  it('writes no figure under the cursor', () => {
    const scale = linearScale(0, 5000, 0, 500);
    const figures = edgeFigures(scale, 0, 54, 1000, String, { at: 300, halfWidth: 60 });
    expect(figures.map(({ children }) => children?.[0])).toEqual(['0', '1000', '2000', '4000', '5000']);
  });
});

describe('headroom marks', () => {
  it('says what is left, and how far past', () => {
    expect(leftInWords({ p10: 0.78, p50: 0.83, p90: 0.86 })).toBe('17 ±4 %');
    expect(leftInWords({ p10: 1, p50: 1.08, p90: 1.18 })).toBe('over 8 ±9 %');
    expect(leftInWords({ p10: 0.5, p50: 0.6, p90: 0.7, logged: 0.75 })).toBe('25 ±10 %');
  });
  it('is tight when the whisker touches the wall', () => {
    expect(standing({ p10: 0.7, p50: 0.8, p90: 0.9 })).toBe('room');
    expect(standing({ p10: 0.8, p50: 0.9, p90: 1.02 })).toBe('tight');
    expect(standing({ p10: 0.9, p50: 1.01, p90: 1.1 })).toBe('over');
  });
});

describe('the line between boost and power', () => {
  it('leaves out pairs that would fall', () => {
    const knots = boostKnots([
      { powerW: 250e3, boostPa: 140e3 },
      { powerW: 200e3, boostPa: 100e3 },
      { powerW: 225e3, boostPa: 99e3 },
    ]);
    expect(knots).toEqual({ powerW: [200e3, 250e3], boostPa: [100e3, 140e3] });
    expect(throughKnots(knots.powerW, knots.boostPa, 225e3)).toBe(120e3);
    expect(throughKnots(knots.boostPa, knots.powerW, 120e3)).toBe(225e3);
    expect(throughKnots([1], [1], 1)).toBeNaN();
  });
  it('brings a part to all of what it carries exactly where it gives out', () => {
    const now = { p10: 0.7, p50: 0.8, p90: 0.9 };
    expect(markAtPower(now, 200e3, 250e3, 250e3).p50).toBeCloseTo(1, 12);
    expect(markAtPower(now, 200e3, 250e3, 200e3)).toEqual(now);
    expect(markAtPower(now, 200e3, undefined, 300e3)).toEqual(now);
    const past = { p10: 1, p50: 1.1, p90: 1.2 };
    expect(markAtPower(past, 200e3, 180e3, 180e3).p50).toBeCloseTo(1, 12);
  });
  it('leaves room for the cursor left of where the build stands', () => {
    const [low, high] = powerEnds([{ p10: 230e3, p50: 250e3, p90: 270e3 }], 226e3);
    expect(low).toBeLessThan(226e3);
    expect(high).toBeGreaterThan(250e3);
  });
});
