import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runCheckRows } from './check-rows.testing.ts';
import {
  boreFromDisplacementM,
  clearanceFromPartsM3,
  clearanceVolumeM3,
  compressionRatioOf,
  cylinderSurfaceM2,
  cylinderVolumeM3,
  cylinderVolumeSlopeM3PerDeg,
  displacementM3,
  meanPistonSpeedMPerS,
  pistonSpeedRatio,
  pistonTravelM,
} from './slider-crank.ts';

const HEYWOOD = 'Heywood (1988) ch. 2, eq. 2.4-2.11';
const PARTS = {
  boreM: 0.086,
  strokeM: 0.086,
  chamberVolumeM3: 46e-6,
  pistonDishVolumeM3: 8e-6,
  gasketBoreM: 0.087,
  gasketThicknessM: 1e-3,
  deckHeightM: 0.2e-3,
};

describe('slider-crank, outside values', () => {
  runCheckRows([
    {
      id: 'SC-01',
      source: HEYWOOD,
      expected: 49.5226,
      absolute: 0.001,
      got: () => 1000 * pistonTravelM(0.043, 0.145, 90),
    },
    {
      id: 'SC-02',
      source: HEYWOOD,
      expected: 1.8929,
      absolute: 0.001,
      got: () => 1000 * pistonTravelM(0.043, 0.145, 15),
    },
    {
      id: 'SC-03',
      source: 'definition',
      expected: 1998.23,
      relative: 1e-4,
      got: () => 1e6 * displacementM3(0.086, 0.086, 4),
    },
    {
      id: 'SC-04',
      source: 'definition',
      expected: 62.445,
      relative: 1e-4,
      got: () => 1e6 * clearanceVolumeM3(499.56e-6, 9),
    },
    {
      id: 'SC-05',
      source: 'definition',
      expected: 9.1752,
      relative: 5e-4,
      got: () => compressionRatioOf(displacementM3(0.086, 0.086), clearanceFromPartsM3(PARTS)),
    },
    {
      id: 'SC-06',
      source: 'definition',
      expected: 20.067,
      relative: 1e-4,
      got: () => meanPistonSpeedMPerS(0.086, 7000),
    },
    { id: 'SC-07', source: HEYWOOD, expected: 1.56092, relative: 1e-4, got: () => pistonSpeedRatio(3.5, 60) },
    {
      id: 'SC-08',
      source: HEYWOOD,
      expected: 1.63401,
      relative: 1e-4,
      // The greatest of a scan in hundredths of a degree.
      got: () => Math.max(...Array.from({ length: 18_001 }, (_, i) => pistonSpeedRatio(3.5, i / 100))),
    },
    {
      id: 'SC-09',
      source: 'Pulkrabek, Engineering Fundamentals of the ICE, Example 2-1 (86.0 mm, from memory)',
      expected: 86.03,
      absolute: 0.02,
      got: () => 1000 * boreFromDisplacementM(3e-3, 6),
    },
    {
      id: 'SC-10',
      source: 'definition',
      expected: 8.6365,
      relative: 5e-4,
      got: () => {
        const clearance = clearanceVolumeM3(499.56e-6, 9);
        const thicker = clearanceFromPartsM3({ ...PARTS, gasketThicknessM: 1.5e-3 }) - clearanceFromPartsM3(PARTS);
        return compressionRatioOf(499.56e-6, clearance + thicker);
      },
    },
  ]);
});

describe('slider-crank', () => {
  const geometry = { boreM: 0.086, strokeM: 0.086, rodLengthM: 0.145, compressionRatio: 9 };
  it('spans clearance to clearance plus swept volume, the same up and down', () => {
    const swept = displacementM3(0.086, 0.086);
    expect(cylinderVolumeM3(geometry, 0) / clearanceVolumeM3(swept, 9)).toBeCloseTo(1, 12);
    expect(cylinderVolumeM3(geometry, 180) / cylinderVolumeM3(geometry, 0)).toBeCloseTo(9, 12);
    fc.assert(
      fc.property(fc.double({ min: -360, max: 360, noNaN: true }), (angle) => {
        expect(cylinderVolumeM3(geometry, angle)).toBeCloseTo(cylinderVolumeM3(geometry, -angle), 12);
        const slope = (cylinderVolumeM3(geometry, angle + 0.01) - cylinderVolumeM3(geometry, angle - 0.01)) / 0.02;
        expect(Math.abs(cylinderVolumeSlopeM3PerDeg(geometry, angle) - slope)).toBeLessThan(1e-12);
      }),
    );
  });
  it('wets head, crown and liner', () => {
    // At bottom: 2.2 bore areas and a liner of stroke plus clearance height (arithmetic).
    const expected = 2.2 * (Math.PI / 4) * 0.086 ** 2 + Math.PI * 0.086 * (0.086 + 0.086 / 8);
    expect(cylinderSurfaceM2(geometry, 180)).toBeCloseTo(expected, 12);
  });
});
