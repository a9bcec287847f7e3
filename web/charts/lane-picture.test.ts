/** Lanes as drawn: the trace stands where its readings do, dense or sparse, and no reading of a dense one is lost. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { placeLane, type TraceData, valueRange } from './lane.ts';
import { drawHairline, drawLane } from './lane-picture.ts';
import { Pixels, packed } from './pixels.ts';

const INK = {
  ink: packed(0, 0, 0),
  ink2: packed(60, 60, 60),
  ink3: packed(90, 90, 90),
  rule: packed(200, 210, 220),
  band: packed(180, 220, 180),
  panel: packed(230, 230, 200),
  film: packed(255, 255, 255),
  accent: packed(255, 0, 0),
  accentInk: packed(255, 255, 255),
  accentWash: packed(255, 220, 220),
};
const SIZE = { width: 246, height: 92, ratio: 1 };
const WINDOW = { startS: 0, endS: 10 };

const drawn = (data: TraceData, stepped = false) => {
  const pixels = new Pixels(SIZE.width, SIZE.height);
  const place = placeLane(SIZE, WINDOW, valueRange(data, WINDOW.startS, WINDOW.endS));
  drawLane(pixels, place, { data, stretches: [], stepped }, INK);
  const at = (x: number, y: number) => pixels.colours[Math.floor(y) * SIZE.width + Math.floor(x)]!;
  const dark = (x: number, y: number) => (at(x, y) & 0xff) < 128;
  return { pixels, place, at, dark };
};

describe('a lane', () => {
  it('has ink at every reading of a dense trace', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -5, max: 5, noNaN: true }), { minLength: 400, maxLength: 900 }),
        (values) => {
          const timesS = values.map((_, i) => (10 * i) / values.length);
          const { place, dark } = drawn({ timesS, values, predicted: [] });
          for (let i = 0; i < values.length; i++) {
            expect(dark(place.x(timesS[i]!), place.y(values[i]!))).toBe(true);
          }
        },
      ),
      { numRuns: 30 },
    );
  });
  it('has ink at every reading of a sparse trace and half way between two, and none far from the line', () => {
    const timesS = [0, 2, 4, 6, 8, 10];
    const values = [1, 3, 2, 5, 5, 0];
    const { place, dark } = drawn({ timesS, values, predicted: [] });
    for (let i = 1; i < values.length; i++) {
      const middle = place.y((values[i]! + values[i - 1]!) / 2);
      expect(dark(place.x(timesS[i]!) - (i === 5 ? 2 : 0), place.y(values[i]!) - (i === 5 ? 2 : 0))).toBe(true);
      expect(dark(place.x((timesS[i]! + timesS[i - 1]!) / 2), middle)).toBe(true);
      expect(dark(place.x((timesS[i]! + timesS[i - 1]!) / 2), middle < 46 ? middle + 20 : middle - 20)).toBe(false);
    }
  });
  it('draws no line over a gap', () => {
    const trace = { timesS: [0, 2, 5, 8, 10], values: [1, 2, Number.NaN, 2, 1], predicted: [] };
    const { place, dark } = drawn(trace);
    expect(dark(place.x(1), place.y(1.5))).toBe(true);
    expect(dark(place.x(5), place.y(2))).toBe(false);
    expect(dark(place.x(9), place.y(1.5))).toBe(true);
  });
  it('draws a state as a staircase: the earlier reading stands until the next', () => {
    const { place, dark } = drawn({ timesS: [0, 5, 10], values: [1, 3, 3], predicted: [] }, true);
    expect(dark(place.x(4), place.y(1))).toBe(true);
    expect(dark(place.x(2.5), place.y(2))).toBe(false);
    expect(dark(place.x(6), place.y(3))).toBe(true);
  });
  it('lays the predicted band under the trace, as high as it is told', () => {
    const predicted = [{ timesS: [2, 8], low: [0, 0], middle: [5, 5], high: [10, 10] }];
    const { place, at } = drawn({ timesS: [0, 10], values: [-10, -10], predicted });
    expect(at(place.x(5), place.y(7.5))).toBe(INK.band);
    expect(at(place.x(5), place.y(1.2))).toBe(INK.band);
    expect(at(place.x(5), place.y(-5))).not.toBe(INK.band);
    expect(at(place.x(1), place.y(7.5))).not.toBe(INK.band);
    expect(at(place.x(5), place.y(5)) & 0xff).toBeLessThan(120);
  });
  it('hatches a wall on its forbidden side only', () => {
    const inkRows = (forbidden: 'above' | 'below') => {
      const { place, pixels } = drawn({
        timesS: [0, 10],
        values: [0, 8],
        predicted: [],
        wall: { at: forbidden === 'above' ? 10 : -2, forbidden },
      });
      const y = Math.round(place.y(forbidden === 'above' ? 10 : -2));
      const darkIn = (row: number) => {
        let count = 0;
        const [from, to] = forbidden === 'above' ? [place.left, place.x(7)] : [place.x(3), place.right];
        for (let x = Math.round(from); x < to; x++) if ((pixels.colours[row * SIZE.width + x]! & 0xff) < 150) count++;
        return count;
      };
      return [darkIn(y - 4), darkIn(y + 4)];
    };
    const [above, belowOfAbove] = inkRows('above');
    expect(above!).toBeGreaterThan(15);
    expect(belowOfAbove!).toBe(0);
    const [aboveOfBelow, below] = inkRows('below');
    expect(aboveOfBelow!).toBe(0);
    expect(below!).toBeGreaterThan(15);
  });
  it('stands the hairline on its moment, and nowhere when that is out of the window', () => {
    const { pixels, place, at } = drawn({ timesS: [0, 10], values: [0, 0], predicted: [] });
    const before = [...pixels.colours];
    drawHairline(pixels, place, { timeS: 11, logged: null, expected: undefined }, INK);
    expect([...pixels.colours]).toEqual(before);
    drawHairline(pixels, place, { timeS: 5, logged: null, expected: undefined }, INK);
    const redder = ([x, y]: [number, number]) => (at(x, y) & 0xff) - ((at(x, y) >> 8) & 0xff);
    expect(redder([place.x(5), 10])).toBeGreaterThan(200);
    expect(redder([place.x(5) - 5, 10])).toBe(0);
  });
  it('takes its axis from the readings of the window, the prediction and a near wall', () => {
    const data = { timesS: [-1, 1, 9, 12], values: [900, 1, 2, -900], predicted: [] };
    const [low, high] = valueRange(data, 0, 10);
    expect(low).toBeLessThan(1);
    expect(low).toBeGreaterThan(0.5);
    expect(high).toBeGreaterThan(2);
    expect(high).toBeLessThan(2.5);
    const withWall = valueRange({ ...data, wall: { at: 2.4, forbidden: 'above' } }, 0, 10);
    expect(withWall[1]).toBeGreaterThan(2.4);
    expect(valueRange({ ...data, wall: { at: 9, forbidden: 'above' } }, 0, 10)).toEqual([low, high]);
    expect(valueRange({ timesS: [], values: [], predicted: [] }, 0, 10)).toEqual([0, 1]);
  });
});
