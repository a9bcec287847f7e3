/** Injectors and pump. */
import type { Car } from '../../car/index.ts';
import { injectorFlowKgPerS } from '../fuel-delivery.ts';
import type { Part } from './part.ts';
import { always, share } from './part.ts';

/** Pumping loss of a throttled engine at idle [Pa]; usual manifold pressure 35 to 40 kPa (common practice, no source). */
const IDLE_PUMPING_PA = 62e3;
/** Indicated efficiency at idle with little advance and much residual gas (common practice, no source). */
const IDLE_EFFICIENCY = 0.25;

/** Open time of an injector at warm idle [s]: fuel that just turns the engine against friction and throttle. */
export const idleOpenTimeS = (car: Car): number => {
  const { engine, fuel, facts } = car;
  const k = engine.idleSpeedRpm / 1000;
  const friction = engine.frictionPressurePa + engine.frictionPerSpeedPa * k + engine.frictionPerSpeedSquaredPa * k * k;
  const workJ = ((friction + IDLE_PUMPING_PA) * engine.displacementM3) / Math.max(1, facts.injectorCount);
  const fuelKg = workJ / (IDLE_EFFICIENCY * fuel.lowerHeatingValueJPerKg);
  return fuelKg / Math.max(1e-9, injectorFlowKgPerS(car, car.fuelSystem.railPressurePa));
};

export const FUEL_SIDE: readonly Part[] = [
  {
    part: 'injectors',
    limit: 'flow near static',
    unit: '1',
    dependsOnBoost: true,
    counts: true,
    applies: always,
    load: (point, car) => share(Math.min(10, point.injectorDuty), car.fuelSystem.injectorDutyLimit),
    lift: [
      'Raise the rail pressure a little, if pump and injectors are rated for it (fuel under pressure: relieve it first)',
      'Fit larger injectors and enter their flow and dead time in the engine computer before starting',
    ],
  },
  {
    part: 'injectors at idle',
    limit: 'shortest even pulse',
    unit: 's',
    dependsOnBoost: false,
    counts: false,
    applies: always,
    load: (_point, car) => {
      const open = idleOpenTimeS(car);
      return {
        demand: car.fuelSystem.smallestPulseS,
        rating: open,
        utilisation: Math.min(10, car.fuelSystem.smallestPulseS / Math.max(1e-6, open)),
      };
    },
    lift: [
      'Enter measured low-pulse corrections for the injectors, so that short pulses meter evenly',
      'Fit smaller injectors, or two per cylinder staged by load',
    ],
  },
  {
    part: 'fuel pump',
    limit: 'flow at rail pressure',
    unit: '1',
    dependsOnBoost: true,
    counts: true,
    applies: always,
    load: (point) => share(Math.min(10, point.pumpFlowShare), 1),
    lift: [
      'Measure the voltage at the pump under load and renew its cable and earth, so that it turns as fast as it can',
      'Fit a larger pump, and check lines and filter against its flow',
    ],
  },
];
