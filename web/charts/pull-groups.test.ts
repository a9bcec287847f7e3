/** Every pull keeps a label of its own or shares one, and no two labels touch. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { groupLabels } from './pull-groups.ts';

const widthOf = (first: number, last: number) => (first === last ? 24 : 46);

describe('labels of pulls', () => {
  it('stay single where there is room', () => {
    expect(groupLabels([50, 100, 150], widthOf, { from: 0, to: 200 })).toEqual([
      { first: 0, last: 0, at: 50 },
      { first: 1, last: 1, at: 100 },
      { first: 2, last: 2, at: 150 },
    ]);
  });
  it('hold each pull once, in order, apart from one another and on the strip, as long as one label fits', () => {
    const runs = fc.array(fc.double({ min: 0, max: 374, noNaN: true }), { minLength: 1, maxLength: 120 });
    fc.assert(
      fc.property(runs, (unordered) => {
        const places = [...unordered].sort((a, b) => a - b);
        const groups = groupLabels(places, widthOf, { from: 0, to: 374 });
        expect(groups.flatMap(({ first, last }) => places.slice(first, last + 1))).toEqual(places);
        expect(groups[0]!.first).toBe(0);
        groups.forEach(({ first, last, at }, i) => {
          const half = widthOf(first, last) / 2;
          expect(at - half).toBeGreaterThanOrEqual(-1e-9);
          expect(at + half).toBeLessThanOrEqual(374 + 1e-9);
          const before = groups[i - 1];
          if (!before) return;
          expect(first).toBe(before.last + 1);
          expect(at - half).toBeGreaterThanOrEqual(before.at + widthOf(before.first, before.last) / 2 - 1e-9);
        });
      }),
    );
  });
  it('share one label for seven or so of eighty pulls on a wide page', () => {
    const places = Array.from({ length: 80 }, (_, i) => 50 + 12 * i);
    const groups = groupLabels(places, widthOf, { from: 0, to: 1026 });
    expect(groups.length).toBeGreaterThanOrEqual(10);
    expect(Math.max(...groups.map(({ first, last }) => last - first + 1))).toBeLessThanOrEqual(8);
  });
});
