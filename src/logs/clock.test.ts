import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { orderByClock } from './clock.ts';

const steady = (rows: number, stepS = 0.04): Float64Array => Float64Array.from({ length: rows }, (_, i) => i * stepS);

describe('orderByClock', () => {
  it('finds nothing in a steady clock with a logger’s ordinary jitter', () => {
    const timeS = steady(400).map((time, i) => time + (i % 7) * 0.001);
    expect(orderByClock(timeS)).toMatchObject({ faults: [], pieces: [{ firstRow: 0, endRow: 400 }] });
  });
  it('finds a gap and splits there', () => {
    const timeS = steady(400).map((time, i) => (i >= 200 ? time + 0.6 : time));
    const { faults, pieces } = orderByClock(timeS);
    expect(faults.map(({ kind }) => kind)).toEqual(['gap']);
    expect(faults[0]!.endS - faults[0]!.startS).toBeCloseTo(0.64, 9);
    expect(pieces.length).toBe(2);
  });
  it('leaves out repeated times and short falls back, and says so', () => {
    const timeS = steady(100);
    timeS[30] = timeS[29]!;
    timeS[60] = timeS[55]!;
    const { faults, order } = orderByClock(timeS);
    expect(faults.map(({ kind, rows }) => [kind, rows])).toEqual([
      ['duplicate', 1],
      ['backward', 1],
    ]);
    expect(order.length).toBe(98);
  });
  it('keeps both sides of a clock that steps back, in order of time', () => {
    const timeS = steady(500).map((time, i) => (i >= 130 ? time - 41.743 : time));
    const { faults, pieces, order } = orderByClock(timeS);
    expect(faults.map(({ kind }) => kind)).toEqual(['step']);
    expect(pieces.map(({ firstRow }) => firstRow)).toEqual([130, 0]);
    expect(order.length).toBe(500);
  });
  it('lets the longer piece keep times that a stepped clock reads twice', () => {
    const timeS = steady(500).map((time, i) => (i >= 130 ? time - 2 : time));
    const { faults, order } = orderByClock(timeS);
    expect(faults[0]).toMatchObject({ kind: 'step', rows: 50 });
    expect(order.length).toBe(450);
  });
  it('gives strictly rising times from any clock (property)', () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -1e4, max: 1e4, noNaN: true }), { minLength: 1, maxLength: 200 }),
        (times) => {
          const timeS = Float64Array.from(times);
          const { order, pieceOf } = orderByClock(timeS);
          expect(order.length).toBeGreaterThan(0);
          expect(pieceOf.length).toBe(order.length);
          for (let i = 1; i < order.length; i++) expect(timeS[order[i]!]!).toBeGreaterThan(timeS[order[i - 1]!]!);
        },
      ),
    );
  });
});
