/** Pistons, rods and head. */
import type { Part } from './part.ts';
import { always, share } from './part.ts';

export const ENGINE_BLOCK: readonly Part[] = [
  {
    part: 'piston speed',
    limit: 'mean piston speed at the rev limit',
    unit: 'm/s',
    dependsOnBoost: false,
    counts: false,
    applies: always,
    load: (_point, car) =>
      share((2 * car.engine.strokeM * car.engine.revLimitRpm) / 60, car.engine.pistonSpeedLimitMPerS),
    lift: ['Lower the rev limit', 'Fit lighter pistons and stronger rods and bolts'],
  },
  {
    part: 'peak cylinder pressure',
    limit: 'pressure that pistons, rods and gasket carry',
    unit: 'Pa',
    dependsOnBoost: true,
    counts: 'when typed',
    ratingPath: 'engine.peakCylinderPressureLimit',
    applies: always,
    load: (point, car) => share(point.peakCylinderPressurePa, car.engine.peakCylinderPressureLimitPa),
    lift: [
      'Take out timing where cylinder pressure is highest, at the price of hotter exhaust',
      'Fit forged pistons and rods, head studs and a stronger gasket',
    ],
  },
];
