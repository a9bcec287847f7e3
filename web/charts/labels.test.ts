import fc from 'fast-check';
import { expect, test } from 'vitest';
import { type Box, labelBox, labelField, placesRound } from './labels.ts';

const INSIDE: Box = { left: 0, top: 0, right: 600, bottom: 400 };
const apart = (a: Box, b: Box) => a.right <= b.left || b.right <= a.left || a.bottom <= b.top || b.bottom <= a.top;

test('names that were placed never touch, and lie inside the drawing', () => {
  fc.assert(
    fc.property(
      fc.array(fc.record({ x: fc.integer({ min: 0, max: 600 }), y: fc.integer({ min: 0, max: 400 }) }), {
        maxLength: 60,
      }),
      (dots) => {
        const field = labelField(INSIDE);
        const boxes: Box[] = [];
        for (const { x, y } of dots) {
          const at = field.place('5,000', 13, placesRound(x, y));
          if (at) boxes.push(labelBox('5,000', 13, at));
        }
        boxes.forEach((box, i) => {
          expect(box.left >= 0 && box.right <= 600 && box.top >= 0 && box.bottom <= 400).toBe(true);
          expect(boxes.slice(i + 1).every((other) => apart(box, other))).toBe(true);
        });
        if (dots.some(({ x, y }) => x > 60 && x < 540 && y > 40 && y < 360)) expect(boxes.length).toBeGreaterThan(0);
      },
    ),
    { seed: 2, numRuns: 100 },
  );
});

test('a name keeps off what was taken before', () => {
  const field = labelField(INSIDE);
  field.take({ left: 100, top: 90, right: 200, bottom: 130 });
  expect(field.place('4,000', 13, [{ x: 110, y: 110, anchor: 'start' }])).toBe(null);
  expect(
    field.place('4,000', 13, [
      { x: 110, y: 110, anchor: 'start' },
      { x: 210, y: 110, anchor: 'start' },
    ]),
  ).toMatchObject({ x: 210 });
});
