/** Pistons, rods and head, and the timing they bear. */
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
  {
    part: 'knock',
    limit: 'timing at the estimated borderline of knock',
    unit: 'deg',
    dependsOnBoost: true,
    // Relative to what common practice takes as borderline, until logs have shown where it lies.
    counts: 'when typed',
    ratingPath: 'learned.knockLimit',
    // Timing that nobody typed is estimated from the borderline itself: it can never be past it.
    applies: (car) => car.curves.sparkAdvance !== null && car.facts.ignition === 'spark',
    load: (point) => ({
      demand: point.sparkAdvanceDeg,
      rating: point.sparkAdvanceDeg + (point.knockMarginDeg ?? 0),
      utilisation: Math.min(10, point.knockShare ?? 0),
    }),
    lift: [
      'Take out timing where the margin is least, at the price of hotter exhaust',
      'Fill up with fuel of a higher octane number, and enter it on the sheet',
      'Cool the charge: seal and duct the charge cooler, or add water-methanol injection (keep to the safety notes for methanol)',
    ],
  },
];
