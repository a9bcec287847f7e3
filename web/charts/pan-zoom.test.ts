/** Windows of time: what holds wherever they are moved. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { panned, SHORTEST_WINDOW_S, wheelFactor, zoomed } from './pan-zoom.ts';

const log = { startS: 10, endS: 3610 };
const windows = fc
  .tuple(fc.double({ min: 10, max: 3600, noNaN: true }), fc.double({ min: 0.2, max: 3600, noNaN: true }))
  .map(([startS, length]) => ({ startS, endS: Math.min(log.endS, startS + Math.max(0.2, length)) }))
  .filter(({ startS, endS }) => endS - startS >= 0.2);
const inside = ({ startS, endS }: { startS: number; endS: number }) => startS >= 10 - 1e-9 && endS <= 3610 + 1e-6;

describe('windows of time', () => {
  it('keep their length when panned and stay inside the log', () => {
    fc.assert(
      fc.property(windows, fc.double({ min: -5000, max: 5000, noNaN: true }), (window, byS) => {
        const moved = panned(window, log, byS);
        expect(moved.endS - moved.startS).toBeCloseTo(window.endS - window.startS, 6);
        expect(inside(moved)).toBe(true);
      }),
    );
  });
  it('zoom about a moment that stays where it stands, away from the ends of the log', () => {
    const window = { startS: 1000, endS: 1100 };
    const closer = zoomed(window, log, 0.5, 1025);
    expect(closer).toEqual({ startS: 1012.5, endS: 1062.5 });
    expect(zoomed(closer, log, 2, 1025)).toEqual(window);
    // The pointer may stand beside the window, on the strip of the whole run: it does not jump there.
    expect(zoomed(window, log, 0.5, 3000)).toEqual({ startS: 1050, endS: 1100 });
  });
  it('never get shorter than can be looked at nor longer than the log', () => {
    fc.assert(
      fc.property(
        windows,
        fc.double({ min: 1e-3, max: 1e3, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        (window, factor, share) => {
          const moved = zoomed(window, log, factor, window.startS + share * (window.endS - window.startS));
          expect(moved.endS - moved.startS).toBeGreaterThanOrEqual(SHORTEST_WINDOW_S - 1e-9);
          expect(inside(moved)).toBe(true);
        },
      ),
    );
  });
  it('zoom as far out as in by a notch each way', () => {
    expect(wheelFactor(100, 0) * wheelFactor(-100, 0)).toBeCloseTo(1, 12);
    expect(wheelFactor(3, 1)).toBeCloseTo(wheelFactor(48, 0), 12);
  });
});
