/** Sensors against what they will see. */
import type { Part } from './part.ts';
import { share } from './part.ts';

export const INSTRUMENTS: readonly Part[] = [
  {
    part: 'airflow meter',
    limit: 'highest flow it can report',
    unit: 'kg/s',
    dependsOnBoost: true,
    counts: true,
    applies: (car) => car.facts.airMetering === 'airflow meter',
    load: (point, car) => share(point.airFlowKgPerS, car.sensors.airflowMeterCeilingKgPerS),
    lift: [
      'Fit a meter of wider range or a larger housing, and enter its new curve',
      'Go over to speed-density metering, which has no such ceiling',
    ],
  },
  {
    part: 'manifold pressure sensor',
    limit: 'highest pressure it can report',
    unit: 'Pa',
    dependsOnBoost: true,
    counts: false,
    applies: () => true,
    load: (point, car) => share(point.manifoldPressurePa, car.sensors.manifoldPressureCeilingPa),
    lift: ['Fit a sensor of wider range and enter its scale: past its ceiling the engine computer is blind to boost'],
  },
  {
    part: 'boost gauge',
    limit: 'end of its scale',
    unit: 'Pa',
    dependsOnBoost: true,
    counts: false,
    applies: (_car, typed) => typed.has('sensors.gaugeCeiling'),
    load: (point, car) => share(Math.max(0, point.boostPa), car.sensors.gaugeCeilingGaugePa),
    lift: ['Fit a gauge of wider scale'],
  },
  {
    part: 'wideband range',
    limit: 'richest mixture it can report',
    unit: '1',
    dependsOnBoost: false,
    counts: false,
    applies: (_car, typed) => typed.has('sensors.widebandLowest'),
    load: (point, car) => share(car.sensors.widebandLowest, point.lambda),
    lift: ['Ask for a leaner mixture within what is safe, or fit a wideband that reads richer'],
  },
];
