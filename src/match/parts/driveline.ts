/** Clutch, gearbox and tyres. */
import type { Car } from '../../car/index.ts';
import { STANDARD_GRAVITY_M_PER_S2 } from '../../physics/index.ts';
import type { Part } from './part.ts';
import { always, share } from './part.ts';

const DRIVELINE_PARTS: readonly Part[] = [
  {
    part: 'clutch',
    limit: 'torque it holds',
    unit: 'N m',
    dependsOnBoost: true,
    counts: true,
    applies: always,
    load: (point, car) => share(Math.max(0, point.torqueNm), car.driveline.clutchTorqueCapacityNm),
    lift: ['Lower the boost target at the torque peak', 'Fit a clutch of more clamp load or better lining'],
  },
  {
    part: 'gearbox',
    limit: 'torque it is rated for',
    unit: 'N m',
    dependsOnBoost: true,
    counts: true,
    applies: (_car, typed) => typed.has('driveline.gearboxTorqueRating'),
    load: (point, car) => share(Math.max(0, point.torqueNm), car.driveline.gearboxTorqueRatingNm),
    lift: ['Lower the boost target in the low gears and at the torque peak', 'Fit a stronger gearbox'],
  },
];

/**
 * Force at the driven tyres and what they hold, with the load that accelerating moves to the rear [N].
 * Source: equilibrium of a rigid car, Gillespie, Fundamentals of Vehicle Dynamics (1992) ch. 2; drag and lift left out.
 */
export const tyreForces = (car: Car, torqueNm: number, gearRatio: number): { forceN: number; gripN: number } => {
  const { driveline, tyres, body, facts } = car;
  const forceN = (torqueNm * gearRatio * driveline.finalDrive * driveline.efficiency) / tyres.rollingRadiusM;
  const weightN = body.massKg * STANDARD_GRAVITY_M_PER_S2;
  const movedN = Math.min(forceN, tyres.grip * weightN) * body.centreOfGravityHeight;
  const loadN =
    facts.driven === 'all' ? weightN : body.drivenAxleLoad * weightN + (facts.driven === 'rear' ? movedN : -movedN);
  return { forceN, gripN: tyres.grip * Math.max(0.05 * weightN, Math.min(weightN, loadN)) };
};

/** Gear from which a full-throttle pull is usual: below it a driver feeds the throttle in. */
const PULL_GEAR = 3;

const tyreParts = (gears: number): Part[] =>
  Array.from({ length: gears }, (_, index) => ({
    part: `tyres, gear ${index + 1}` as const,
    limit: 'grip of the driven tyres',
    unit: 'N',
    dependsOnBoost: true,
    counts: index + 1 >= Math.min(PULL_GEAR, gears),
    applies: always,
    load: (point, car) => {
      const { forceN, gripN } = tyreForces(car, Math.max(0, point.torqueNm), car.facts.gearRatios[index] ?? 1);
      return share(forceN, gripN);
    },
    lift: [
      'Lower the boost target in this gear, or bring it in with engine speed',
      'Fit tyres of more grip, and set their pressure by how they wear',
    ],
  }));

/** Rows of clutch, gearbox and axle, and a row of tyres for each gear. */
export const drivelineParts = (car: Car): readonly Part[] => [
  ...DRIVELINE_PARTS,
  ...tyreParts(car.facts.gearRatios.length),
];
