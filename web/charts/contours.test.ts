/** Contours against geometry that is known beforehand: a paraboloid's level lines are circles (elementary geometry). */
import { describe, expect, it } from 'vitest';
import { contour, islandLevels, mapGrid } from './contours.ts';

const paraboloid = Array.from({ length: 9 }, (_, row) => {
  const y = -1 + row / 4;
  const xs = Array.from({ length: 41 }, (_, column) => -1 + column / 20);
  return {
    correctedFlowKgPerS: xs,
    pressureRatio: xs.map(() => y),
    efficiency: xs.map((x) => 1 - x * x - y * y),
  };
});

describe('contour', () => {
  it('closes the level line of a paraboloid into one circle of the right radius', () => {
    const lines = contour(mapGrid(paraboloid, 81, 8), 0.75);
    expect(lines).toHaveLength(1);
    for (const [x, y] of lines[0]!) expect(Math.hypot(x, y)).toBeCloseTo(0.5, 2);
    const [first, last] = [lines[0]![0]!, lines[0]!.at(-1)!];
    expect(Math.hypot(first[0] - last[0], first[1] - last[1])).toBeLessThan(0.05);
  });
  it('finds nothing above the top', () => {
    expect(contour(mapGrid(paraboloid), 1.01)).toEqual([]);
  });
  it('leaves a line that runs off the map open', () => {
    const lines = contour(mapGrid(paraboloid, 81, 8), -0.5);
    expect(lines).toHaveLength(4);
  });
});

describe('islandLevels', () => {
  it('steps down from the best whole per cent and stays above the worst', () => {
    expect(islandLevels(0.776, 0.6)).toEqual([0.77, 0.75, 0.72, 0.68, 0.63]);
  });
});
