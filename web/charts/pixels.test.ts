/** Drawing pixel by pixel against plane geometry: what is covered adds up to the area of the shape. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { mixed, Pixels, packed } from './pixels.ts';

const WHITE = packed(255, 255, 255);
const BLACK = packed(0, 0, 0);

/** Ink on white, in pixels: what is black counts one, what is grey its share. */
const inkOn = (pixels: Pixels): number => {
  let sum = 0;
  for (const colour of pixels.colours) sum += 1 - (colour & 0xff) / 255;
  return sum;
};
const sheet = (width = 60, height = 60): Pixels => {
  const pixels = new Pixels(width, height);
  pixels.clear(WHITE);
  return pixels;
};
const place = fc.double({ min: 12, max: 48, noNaN: true });

describe('pixels', () => {
  it('are red, green, blue and opaque in the memory of a canvas', () => {
    const pixels = sheet(1, 1);
    pixels.clear(packed(1, 2, 3));
    expect([...new Uint8Array(pixels.colours.buffer)]).toEqual([1, 2, 3, 255]);
  });
  it('mix each colour by its share, within one of 255', () => {
    const byte = fc.integer({ min: 0, max: 255 });
    fc.assert(
      fc.property(byte, byte, byte, byte, fc.integer({ min: 0, max: 256 }), (red, green, blue, other, share) => {
        const made = mixed(packed(red, green, blue), packed(other, other, other), share);
        const parts = [made & 0xff, (made >> 8) & 0xff, (made >> 16) & 0xff];
        [red, green, blue].forEach((under, i) => {
          expect(Math.abs(parts[i]! - (under + ((other - under) * share) / 256))).toBeLessThanOrEqual(1);
        });
        expect(made >>> 24).toBe(255);
      }),
    );
  });
  it('of a line cover its area: length times width, and the two half discs of its ends', () => {
    fc.assert(
      fc.property(place, place, place, place, fc.double({ min: 1.5, max: 4, noNaN: true }), (x0, y0, x1, y1, wide) => {
        const pixels = sheet();
        pixels.line(x0, y0, x1, y1, wide);
        pixels.ink(BLACK);
        const area = Math.hypot(x1 - x0, y1 - y0) * wide + (Math.PI * wide * wide) / 4;
        expect(Math.abs(inkOn(pixels) - area)).toBeLessThan(0.06 * area + 0.5);
      }),
    );
  });
  it('of a disc cover its area, about its middle', () => {
    fc.assert(
      fc.property(place, place, fc.double({ min: 1.5, max: 8, noNaN: true }), (x, y, radius) => {
        const pixels = sheet();
        pixels.disc(x, y, radius);
        pixels.ink(BLACK);
        expect(Math.abs(inkOn(pixels) - Math.PI * radius * radius)).toBeLessThan(
          0.05 * Math.PI * radius * radius + 0.5,
        );
        let sumX = 0;
        pixels.colours.forEach((colour, at) => {
          sumX += (1 - (colour & 0xff) / 255) * ((at % pixels.width) + 0.5);
        });
        expect(sumX / inkOn(pixels)).toBeCloseTo(x, 1);
      }),
    );
  });
  it('of an upright column cover its height, to a hundredth of a pixel', () => {
    fc.assert(
      fc.property(place, fc.double({ min: 0, max: 11, noNaN: true }), (top, height) => {
        const pixels = sheet();
        pixels.upright(7, top, top + height, BLACK);
        expect(Math.abs(inkOn(pixels) - height)).toBeLessThan(0.01);
      }),
    );
  });
  it('of a line over itself are no darker than of the line alone', () => {
    const once = sheet();
    once.line(10, 10.3, 40, 30.7, 2);
    once.ink(BLACK);
    const twice = sheet();
    twice.line(10, 10.3, 40, 30.7, 2);
    twice.line(40, 30.7, 10, 10.3, 2);
    twice.ink(BLACK);
    expect(Math.abs(inkOn(once) - inkOn(twice))).toBeLessThan(0.1);
  });
  it('repeat what a few columns hold, and nothing else', () => {
    const pixels = sheet(30, 8);
    pixels.clip(4, 8);
    pixels.line(3, 6, 9, 0, 1.2);
    pixels.clip(4, 26);
    pixels.repeat(4, 4, 26);
    pixels.ink(BLACK);
    const at = (column: number, row: number) => pixels.colours[row * 30 + column]!;
    for (let row = 0; row < 8; row++) {
      for (let column = 8; column < 26; column++) expect(at(column, row)).toBe(at(column - 4, row));
      for (const column of [0, 3, 26, 29]) expect(at(column, row)).toBe(WHITE);
    }
    expect(inkOn(pixels)).toBeGreaterThan(10);
  });
  it('outside the clip and the picture stay as they were, and the mask is left empty', () => {
    const pixels = sheet(20, 10);
    pixels.clip(5, 15);
    pixels.line(-50, 5, 70, 5, 3);
    pixels.line(10, -400, 10, 400, 3);
    pixels.uprightLine(5, 4);
    pixels.disc(10, -30, 4);
    pixels.disc(10, 45, 4);
    pixels.box(-4, -4, 40, 2, BLACK);
    pixels.upright(2, 0, 10, BLACK);
    pixels.ink(BLACK);
    pixels.colours.forEach((colour, at) => {
      const column = at % 20;
      if (column < 5 || column >= 15) expect(colour).toBe(WHITE);
    });
    expect(pixels.colours[5 * 20 + 10]).toBe(BLACK);
    pixels.clear(WHITE);
    pixels.ink(BLACK);
    expect(inkOn(pixels)).toBe(0);
  });
});
