/**
 * Contrast of the tokens. The ratio is WCAG 2.2, "relative luminance" and "contrast ratio" (W3C Recommendation,
 * 5 October 2023): L = 0.2126 R + 0.7152 G + 0.0722 B of linearised sRGB, (L1 + 0.05) / (L2 + 0.05).
 * The expected table is the one of the look's description (house table, computed with the same definition).
 */
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';

const css = readFileSync(new URL('./look/tokens.css', import.meta.url), 'utf8');

const token = (name: string): { light: string; dark: string } => {
  const found = new RegExp(`--${name}:\\s*light-dark\\((#[0-9A-Fa-f]{6}),\\s*(#[0-9A-Fa-f]{6})\\)`).exec(css);
  if (!found?.[1] || !found[2]) throw new Error(`token --${name} is not written as light-dark(#rrggbb, #rrggbb)`);
  return { light: found[1], dark: found[2] };
};

const linear = (byte: number): number => {
  const c = byte / 255;
  return c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4;
};
const luminance = (hex: string): number => {
  const [r, g, b] = [1, 3, 5].map((at) => linear(Number.parseInt(hex.slice(at, at + 2), 16))) as [
    number,
    number,
    number,
  ];
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
const contrast = (one: string, other: string): number => {
  const [high, low] = [luminance(one), luminance(other)].sort((a, b) => b - a) as [number, number];
  return (high + 0.05) / (low + 0.05);
};

describe('contrast ratio', () => {
  it('is 21 for black on white and 1 for a colour on itself (WCAG 2.2, definition)', () => {
    expect(contrast('#000000', '#FFFFFF')).toBeCloseTo(21, 10);
    expect(contrast('#B83200', '#B83200')).toBe(1);
  });
});

describe('tokens on film', () => {
  it.each([
    ['ink', 14.7, 13.9],
    ['ink-2', 8.0, 9.2],
    ['ink-3', 5.6, 6.5],
    ['accent', 5.5, 7.0],
    ['air', 7.4, 7.7],
    ['hot', 10.9, 9.9],
    ['fuel', 6.4, 7.8],
    ['wet', 5.7, 9.2],
    ['edge', 4.3, 5.0],
    ['bar', 3.6, 5.4],
  ])('%s: %f light, %f dark, as the look says', (name, light, dark) => {
    const film = token('film');
    const colour = token(name);
    expect(Math.abs(contrast(colour.light, film.light) - light)).toBeLessThan(0.06);
    expect(Math.abs(contrast(colour.dark, film.dark) - dark)).toBeLessThan(0.06);
  });
});

describe('WCAG 2.2 AA', () => {
  const surfaces = ['film', 'panel', 'desk'] as const;
  const texts = ['ink', 'ink-2', 'ink-3'] as const;
  it.each(surfaces.flatMap((surface) => texts.map((name) => [name, surface] as const)))(
    'text %s on %s reaches 4.5 (success criterion 1.4.3)',
    (name, surface) => {
      for (const theme of ['light', 'dark'] as const) {
        expect(contrast(token(name)[theme], token(surface)[theme])).toBeGreaterThanOrEqual(4.5);
      }
    },
  );
  it.each(['accent', 'air', 'hot', 'fuel', 'wet'])('text %s on film and panel reaches 4.5 (1.4.3)', (name) => {
    for (const theme of ['light', 'dark'] as const) {
      for (const surface of ['film', 'panel']) {
        expect(contrast(token(name)[theme], token(surface)[theme])).toBeGreaterThanOrEqual(4.5);
      }
    }
  });
  it('edges of controls and demand bars reach 3 on film and panel (1.4.11)', () => {
    for (const theme of ['light', 'dark'] as const) {
      for (const surface of ['film', 'panel']) {
        for (const name of ['edge', 'bar']) {
          expect(contrast(token(name)[theme], token(surface)[theme])).toBeGreaterThanOrEqual(3);
        }
      }
    }
  });
  it('text on the accent and on its wash can be read (1.4.3)', () => {
    for (const theme of ['light', 'dark'] as const) {
      expect(contrast(token('accent-ink')[theme], token('accent')[theme])).toBeGreaterThanOrEqual(4.5);
      expect(contrast(token('ink')[theme], token('accent-wash')[theme])).toBeGreaterThanOrEqual(4.5);
    }
  });
});
