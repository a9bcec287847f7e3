import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readingsOfAll } from './fresh.ts';

/** Repeatable noise: a linear congruential generator (D. E. Knuth, "The Art of Computer Programming" 2, 1998, section 3.3.4, line 16). */
const noise = (seed: number): (() => number) => {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return state / 2 ** 32;
  };
};
const everyRow = (rows: number): { order: Int32Array; pieces: Int32Array } => ({
  order: Int32Array.from({ length: rows }, (_, i) => i),
  pieces: new Int32Array(rows),
});

const held = (rows: number, beat: number, phase: number, decimals: number, next: () => number): Float64Array => {
  const out = new Float64Array(rows);
  let value = 50;
  for (let i = 0; i < rows; i++) {
    if ((i - phase) % beat === 0) value = Number((50 + 3 * Math.sin(i / 70) + next()).toFixed(decimals));
    out[i] = value;
  }
  return out;
};

describe('readings of held columns', () => {
  it('keeps every row of a column that is fresh on every row, however coarse', () => {
    const { order, pieces } = everyRow(800);
    const timeS = Float64Array.from(order, (i) => i / 50);
    for (const decimals of [0, 1, 3]) {
      const [fresh] = readingsOfAll([held(800, 1, 0, decimals, noise(5))], order, pieces, timeS, 0.02, [false]);
      expect(fresh!.everyRows).toBe(1);
      expect(fresh!.at.length).toBe(800);
    }
  });
  it('finds the beat of slower columns (property over beat and phase) and keeps equal readings in a row', () => {
    fc.assert(
      fc.property(fc.constantFrom(2, 5, 10), fc.nat(9), fc.nat(1000), (beat, shift, seed) => {
        const phase = shift % beat;
        const { order, pieces } = everyRow(1500);
        const timeS = Float64Array.from(order, (i) => i / 50);
        const [fresh] = readingsOfAll([held(1500, beat, phase, 0, noise(seed))], order, pieces, timeS, 0.02, [false]);
        expect(fresh!.everyRows).toBe(beat);
        // One reading a beat, all of them on it, repeats of a value included.
        expect(Math.abs(fresh!.at.length - 1500 / beat)).toBeLessThanOrEqual(1);
        for (const at of fresh!.at) expect((at - phase) % beat).toBe(0);
      }),
      { numRuns: 60 },
    );
  });
  it('takes a burst of changes for no slow beat: a boost that moves for four seconds and rests', () => {
    const { order, pieces } = everyRow(1400);
    const timeS = Float64Array.from(order, (i) => i / 20);
    const boost = Float64Array.from(order, (i) => Math.min(1.05, Math.max(-0.1, -0.1 + (i - 500) * 0.0147)));
    const throttle = Float64Array.from(order, (i) => (i >= 500 && i < 740 ? 100 : i >= 200 ? 15 : 2));
    const found = readingsOfAll([boost, throttle], order, pieces, timeS, 0.05, [false, false]);
    expect(found.map(({ everyRows, at }) => [everyRows, at.length])).toEqual([
      [1, 1400],
      [1, 1400],
    ]);
  });
  it('takes a pedal pressed at regular times for no slow channel where it is said that none is so slow', () => {
    const { order, pieces } = everyRow(12_000);
    const timeS = Float64Array.from(order, (i) => i / 20);
    const pedal = Float64Array.from(order, (i) => (i % 1200 >= 240 && i % 1200 < 480 ? 100 : 0));
    const found = (longestS: number[]) => readingsOfAll([pedal], order, pieces, timeS, 0.05, [false], longestS)[0]!;
    expect(found([4]).everyRows).toBe(1);
    expect(found([20]).everyRows).toBe(240);
  });
  it('gives a poller that refreshes one column a row the common beat in every column, the constant one too', () => {
    const columns = Array.from({ length: 6 }, (_, c) => held(1200, 6, c, 1, noise(c + 1)));
    columns.push(new Float64Array(1200).fill(88));
    const { order, pieces } = everyRow(1200);
    const timeS = Float64Array.from(order, (i) => i * 0.09);
    for (const fresh of readingsOfAll(
      columns,
      order,
      pieces,
      timeS,
      0.09,
      columns.map(() => false),
    ))
      expect(fresh.everyRows).toBe(6);
  });
  it('keeps every filled cell where slower columns leave blanks', () => {
    const { order, pieces } = everyRow(300);
    const cells = Float64Array.from(order, (i) => (i % 5 === 0 ? 90 : Number.NaN));
    const [fresh] = readingsOfAll(
      [cells],
      order,
      pieces,
      Float64Array.from(order, (i) => i / 50),
      0.02,
      [false],
    );
    expect([...fresh!.at]).toEqual(Array.from({ length: 60 }, (_, i) => i * 5));
  });
});
