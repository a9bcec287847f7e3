import fc from 'fast-check';
import { expect, it } from 'vitest';
import { clockSeconds, dateText } from './clock-text.ts';

// The language's own calendar (ECMA-262, Date) as the general reference.
it('writes any second of the years 1 to 9999 as the reference calendar does', () => {
  const within = { min: Date.UTC(2000, 0, 1) / 1000 - 1998 * 31_556_952, max: 253_402_300_799 };
  fc.assert(
    fc.property(fc.integer(within), (second) => {
      expect(dateText(second)).toBe(new Date(second * 1000).toISOString().slice(0, 19));
    }),
  );
});
it('reads back what it writes', () => {
  fc.assert(
    fc.property(fc.integer({ min: 0, max: 253_402_300_799 }), (second) => {
      expect(clockSeconds(dateText(second))).toBe(second);
    }),
  );
});
