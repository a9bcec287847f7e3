import fc from 'fast-check';
import { expect, it } from 'vitest';
import { niceClockStep, niceStep } from './scale.ts';

it('cuts times of the day at whole parts of minutes and hours', () => {
  expect(niceClockStep(9, 9)).toBe(1);
  expect(niceClockStep(100, 7)).toBe(15);
  expect(niceClockStep(140, 7)).toBe(30);
  expect(niceClockStep(3600, 7)).toBe(600);
  fc.assert(
    fc.property(fc.double({ min: 0.01, max: 500_000, noNaN: true }), fc.integer({ min: 3, max: 9 }), (span, most) => {
      const step = niceClockStep(span, most);
      expect(span / step).toBeLessThanOrEqual(most * (1 + 1e-6));
      expect(step).toBeGreaterThanOrEqual(niceStep(span, most) * (step <= 10 ? 1 : 0.25));
      if (step >= 15 && step < 86_400) expect(86_400 % step).toBe(0);
    }),
  );
});
