/** The lift's drawings and what is read off them. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { LiftSet } from '../../src/lift/types.ts';
import { cheapestAt } from '../pages/lift-data.ts';
import { LEDGER_BAR } from './ledger.ts';
import { frontDrawing, frontEnds, frontPlace, PRICE_ROOM, pairBar, pairLimit } from './lift.ts';
import { linearScale } from './scale.ts';
import { flatten } from './shape.ts';

const band = (p50: number, half = 0.05 * p50) => ({ p10: p50 - half, p50, p90: p50 + half });

/** A front as a search gives it: price and sure power rise together. */
const front = fc
  .array(fc.record({ price: fc.integer({ min: 1, max: 900 }), power: fc.integer({ min: 1, max: 40 }) }), {
    minLength: 1,
    maxLength: 20,
  })
  .map((steps) => {
    let price = 0;
    let sure = 150;
    return steps.map((step) => {
      price += step.price;
      sure += step.power;
      return { price, sure, power: band(sure + 10) };
    });
  });

const classes = (shapes: ReturnType<typeof pairBar>) =>
  flatten(shapes).map(({ props }) => String(props.className ?? ''));

describe('a part before and after', () => {
  it('has its wall at all that it carries, and a heavy bar that grows with use', () => {
    const wide = (use: number) => {
      const bar = pairBar(band(0.5), band(use), 56).find(({ props }) => /\bnow\b/.test(String(props.className)));
      return Number(bar?.props.width);
    };
    expect(wide(1)).toBeCloseTo(LEDGER_BAR.full, 1);
    expect(wide(0.5)).toBeCloseTo(LEDGER_BAR.full / 2, 1);
    const wall = pairBar(null, band(0.5), 56).find(({ props }) => props.className === 'wall');
    expect(String(wall?.props.d)).toContain(`M${LEDGER_BAR.full} `);
  });

  it('draws only the side that is there, and says past, tight and room by its hatching', () => {
    expect(classes(pairBar(band(0.5), null, 56)).filter((name) => /\b(now|wh)\b/.test(name))).toEqual([]);
    expect(classes(pairBar(null, band(0.5), 56)).some((name) => /\bwas\b/.test(name))).toBe(false);
    const look = (use: number) => classes(pairBar(null, band(use), 56)).find((name) => /\bbaro\b/.test(name));
    expect([look(0.5), look(0.98), look(1.2)].map((name) => name?.split(' ')[0])).toEqual([
      'bar-none',
      'bar-tight',
      'bar-over',
    ]);
  });

  it('on the power axis stays on the sheet, whatever the limits', () => {
    const scale = linearScale(150, 300, 10, 410);
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 900, noNaN: true }),
        fc.double({ min: 1, max: 900, noNaN: true }),
        (one, two) => {
          for (const { tag, props } of flatten(pairLimit(band(one), band(two), scale, 56, 100, [200, 250]))) {
            if (tag !== 'circle') continue;
            expect(Number(props.cx)).toBeGreaterThanOrEqual(10);
            expect(Number(props.cx)).toBeLessThanOrEqual(410);
          }
        },
      ),
    );
  });
});

describe('the front of price against power', () => {
  it('is a staircase that only goes up and to the right, with a ring and a band for each set', () => {
    fc.assert(
      fc.property(front, fc.double({ min: 100, max: 700, noNaN: true }), (points, hair) => {
        const [from, to] = frontEnds(points, hair);
        const scale = linearScale(from, to, PRICE_ROOM, 800);
        const place = frontPlace(points, scale, 814, 400);
        const drawn = flatten(frontDrawing(points, place, hair, 0, 'EUR'));
        expect(drawn.filter(({ tag }) => tag === 'circle')).toHaveLength(points.length);
        const steps = String(drawn.find(({ props }) => props.className === 'steps')?.props.d);
        const across = [...steps.matchAll(/H(-?[\d.]+)/g)].map(([, x]) => Number(x));
        const up = [...steps.matchAll(/V(-?[\d.]+)/g)].map(([, y]) => Number(y));
        expect(across).toEqual([...across].sort((a, b) => a - b));
        expect(up).toEqual([...up].sort((a, b) => b - a));
        for (const { power, sure } of points) {
          expect(scale.at(Math.min(power.p10, sure))).toBeGreaterThanOrEqual(PRICE_ROOM - 1e-9);
          expect(scale.at(power.p90)).toBeLessThanOrEqual(800 + 1e-9);
        }
      }),
    );
  });

  it('answers the hairline with the cheapest set that is sure of its power', () => {
    fc.assert(
      fc.property(front, fc.double({ min: 100, max: 1200, noNaN: true }), (points, hair) => {
        const sets = points.map(({ price, sure }) => ({ price, surePowerW: sure }) as LiftSet);
        const index = cheapestAt(sets, hair);
        const reach = sets.filter(({ surePowerW }) => surePowerW >= hair).map(({ price }) => price);
        expect(index < 0 ? null : sets[index]?.price).toBe(reach.length === 0 ? null : Math.min(...reach));
      }),
    );
  });
});
