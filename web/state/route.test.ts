/** Addresses: every sheet has one, and it leads back to the sheet. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { addressOf, type Route, routeOf } from './route.ts';

describe('addresses', () => {
  it('lead back to their sheet, whatever a run or a part is called', () => {
    const name = fc.string({ minLength: 1, maxLength: 40, unit: 'grapheme' });
    const routes: fc.Arbitrary<Route> = fc.oneof(
      fc.constantFrom<Route>(
        { sheet: 'air-path' },
        { sheet: 'headroom' },
        { sheet: 'lift' },
        { sheet: 'lift', view: 'parts' },
        { sheet: 'runs' },
        { sheet: 'pulls' },
        { sheet: 'compressor' },
        { sheet: 'cylinder' },
        { sheet: 'what-if' },
        { sheet: 'spool' },
        { sheet: 'fuel' },
        { sheet: 'build' },
      ),
      name.map((runId): Route => ({ sheet: 'run', runId })),
      fc.tuple(name, fc.integer({ min: 1, max: 9999 })).map(([runId, pull]): Route => ({ sheet: 'run', runId, pull })),
      fc.tuple(name, name).map(([first, second]): Route => ({ sheet: 'compare', first, second })),
      name.map((ask): Route => ({ sheet: 'pulls', ask })),
      name.map((part): Route => ({ sheet: 'headroom', part })),
    );
    fc.assert(
      fc.property(routes, (route) => {
        expect(routeOf(addressOf(route))).toEqual(route);
      }),
    );
  });
  it('name what they do not know, and take broken escapes as they are', () => {
    expect(routeOf('#/strip')).toEqual({ sheet: 'unknown', asked: 'strip' });
    expect(routeOf('#/runs/%E0%A4')).toEqual({ sheet: 'run', runId: '%E0%A4' });
    expect(routeOf('')).toEqual({ sheet: 'air-path' });
  });
});
