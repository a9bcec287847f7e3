/** Tiles of a trace: nothing is lost that a drawing could show. Properties against the readings themselves. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { FINEST_LEVEL, levelFor, TILE_READINGS, TILE_STRETCHES, tileOf, tileSpanS, tilesOver } from './tiles.ts';

/** A log of uneven times with values that jump about. */
const logs = fc
  .record({
    size: fc.integer({ min: 1, max: 9000 }),
    seed: fc.integer({ min: 1, max: 1e6 }),
    level: fc.integer({ min: 0, max: 4 }),
  })
  .map(({ size, seed, level }) => {
    const timesS = new Float64Array(size);
    const values = new Float64Array(size);
    let at = 10;
    let state = seed;
    const next = () => {
      state = (state * 48271) % 2147483647;
      return state / 2147483647;
    };
    for (let i = 0; i < size; i++) {
      // Now and then a hole.
      at += next() < 0.002 ? 5 : 0.02 + 0.01 * next();
      timesS[i] = at;
      values[i] = next() < 0.001 ? 1e6 * (next() - 0.5) : Math.sin(at) + next();
    }
    return { timesS, values, level, log: { startS: timesS[0]!, endS: timesS[size - 1]! } };
  });

const tilesOf = ({ timesS, values, level, log }: (typeof logs extends fc.Arbitrary<infer T> ? T : never) & object) =>
  Array.from({ length: 2 ** level }, (_, tile) => ({
    startS: log.startS + tile * tileSpanS(log, level),
    ...tileOf(timesS, values, log, level, tile),
  }));

describe('tiles of a trace', () => {
  it('lose no lowest and no highest reading of any stretch', () => {
    fc.assert(
      fc.property(logs, (made) => {
        const { timesS, values, level, log } = made;
        const spanS = tileSpanS(log, level);
        for (const [number, tile] of tilesOf(made).entries()) {
          const stretchS = spanS / TILE_STRETCHES;
          const bounds = new Map<number, [number, number]>();
          const take = (times: Float64Array, read: Float64Array) => {
            const seen = new Map<number, [number, number]>();
            times.forEach((timeS, i) => {
              const last = number === 2 ** level - 1;
              if (timeS < tile.startS || (!last && timeS >= tile.startS + spanS)) return;
              // By the same arithmetic as a pixel column: half a stretch of room at its edges is none of a peak's business.
              const place = Math.min(TILE_STRETCHES - 1, Math.floor((timeS - tile.startS) / stretchS));
              const own = seen.get(place) ?? [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
              seen.set(place, [Math.min(own[0], read[i]!), Math.max(own[1], read[i]!)]);
            });
            return seen;
          };
          for (const [place, range] of take(timesS, values)) bounds.set(place, range);
          const drawn = take(tile.timesS, tile.values);
          // Rounding may put a reading on an edge into the neighbour: compared over pairs of stretches.
          for (let place = 0; place + 1 < TILE_STRETCHES; place += 2) {
            const join = (of: Map<number, [number, number]>) => {
              const [a, b] = [of.get(place), of.get(place + 1)];
              return [
                Math.min(a?.[0] ?? Number.POSITIVE_INFINITY, b?.[0] ?? Number.POSITIVE_INFINITY),
                Math.max(a?.[1] ?? Number.NEGATIVE_INFINITY, b?.[1] ?? Number.NEGATIVE_INFINITY),
              ];
            };
            expect(join(drawn)).toEqual(join(bounds));
          }
        }
      }),
      { numRuns: 60 },
    );
  });

  it('hold readings of the log only, in order of time, few enough to draw', () => {
    fc.assert(
      fc.property(logs, (made) => {
        const at = new Map(Array.from(made.timesS, (timeS, i) => [timeS, made.values[i]!]));
        for (const { timesS, values } of tilesOf(made)) {
          expect(timesS.length).toBeLessThanOrEqual(4 * TILE_STRETCHES + 2);
          const odd = timesS.findIndex(
            (timeS, i) => at.get(timeS) !== values[i] || (i > 0 && !(timeS > timesS[i - 1]!)),
          );
          expect(odd).toBe(-1);
        }
      }),
      { numRuns: 60 },
    );
  });

  it('hold every reading where they are few, and reach over to their neighbours', () => {
    fc.assert(
      fc.property(logs, (made) => {
        const { timesS, values, log } = made;
        const level = 6;
        const spanS = tileSpanS(log, level);
        for (let tile = 0; tile < 2 ** level; tile++) {
          const got = tileOf(timesS, values, log, level, tile);
          if (!got.whole) continue;
          const startS = log.startS + tile * spanS;
          const inside = timesS.filter((timeS) => timeS >= startS && timeS < startS + spanS);
          expect(inside.length).toBeLessThanOrEqual(TILE_READINGS);
          expect(inside.every((timeS) => got.timesS.includes(timeS))).toBe(true);
          expect(got.timesS.length).toBeLessThanOrEqual(inside.length + 2);
        }
      }),
      { numRuns: 20 },
    );
  });

  it('give a stretch or more to every column of a window, and no more than two', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 1, max: 50_000, noNaN: true }),
        fc.double({ min: 1e-3, max: 1, noNaN: true }),
        fc.integer({ min: 200, max: 4000 }),
        (lengthS, share, columns) => {
          const log = { startS: 5, endS: 5 + lengthS };
          const windowS = lengthS * share;
          const level = levelFor(log, windowS, columns);
          if (level === FINEST_LEVEL) return;
          const perColumn = windowS / columns / (tileSpanS(log, level) / TILE_STRETCHES);
          expect(perColumn).toBeGreaterThanOrEqual(1 - 1e-9);
          if (level > 0) expect(perColumn).toBeLessThanOrEqual(2 + 1e-9);
          const [first, last] = tilesOver(log, level, log.startS, log.startS + windowS);
          expect(first).toBe(0);
          expect(last).toBeLessThan(2 ** level);
        },
      ),
    );
  });
});
