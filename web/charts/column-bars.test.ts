/** Dense traces by column: every reading lies in its bar, and no bar reaches beyond what the line passes through. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { columnBars } from './column-bars.ts';

const traces = fc
  .array(fc.tuple(fc.double({ min: 0.001, max: 0.4, noNaN: true }), fc.double({ min: -50, max: 50, noNaN: true })), {
    minLength: 2,
    maxLength: 400,
  })
  .map((steps) => {
    let at = 0;
    const timesS = steps.map(([step]) => {
      at += step;
      return at;
    });
    return { timesS, values: steps.map(([, value]) => value) };
  });

describe('bars of a dense trace', () => {
  it('hold every reading of their column and reach no further than the reading before it', () => {
    fc.assert(
      fc.property(traces, fc.integer({ min: 5, max: 60 }), ({ timesS, values }, columns) => {
        const endS = timesS.at(-1)! + 0.01;
        const { least, most } = columnBars(timesS, values, 0, endS, columns);
        const inside = Array.from({ length: columns }, () => [] as number[]);
        timesS.forEach((timeS, i) => {
          const column = Math.floor(timeS * (columns / endS));
          inside[column]!.push(values[i]!);
          if (inside[column]!.length === 1 && i > 0) inside[column]!.push(values[i - 1]!);
        });
        inside.forEach((own, column) => {
          if (own.length === 0) expect(least[column]).toBeNaN();
          else {
            const drawn = timesS.flatMap((timeS, i) =>
              Math.floor(timeS * (columns / endS)) === column ? [values[i]!] : [],
            );
            expect(least[column]).toBeLessThanOrEqual(Math.min(...drawn));
            expect(most[column]).toBeGreaterThanOrEqual(Math.max(...drawn));
            expect(least[column]).toBeGreaterThanOrEqual(Math.min(...own));
            expect(most[column]).toBeLessThanOrEqual(Math.max(...own));
          }
        });
      }),
    );
  });
  it('bridge columns without a reading by a line', () => {
    const { bridges, least } = columnBars([0, 1, 9], [5, 6, 7], 0, 10, 10);
    expect(bridges).toEqual([[1, 6, 9, 7]]);
    expect(least[4]).toBeNaN();
  });
  it('end at a reading that is missing, and begin anew after it', () => {
    const { bridges, least, most } = columnBars([0, 1, 5, 8, 8.5], [5, 6, Number.NaN, 7, 7.5], 0, 10, 10);
    expect(bridges).toEqual([]);
    expect(least[5]).toBeNaN();
    expect([least[8], most[8]]).toEqual([7, 7.5]);
  });
  it('run on from readings before the window', () => {
    const { least, most } = columnBars([-0.05, 0.05, 0.15], [10, 20, 15], 0, 1, 10);
    expect([least[0], most[0]]).toEqual([10, 20]);
    expect([least[1], most[1]]).toEqual([15, 20]);
  });
});
