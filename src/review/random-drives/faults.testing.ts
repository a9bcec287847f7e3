/** One fault seeded into a random drive: what it does to the car while it drives. What it does to readings is in sensors.testing.ts. */
import type { FindingId } from '../types.ts';
import type { TrueCar } from './car.testing.ts';
import type { Chance } from './chance.testing.ts';

export interface Fault {
  readonly id: FindingId;
  /** 0.5 to 1 of the full size. */
  readonly size: number;
  /** A draw of its own, for places and kinds. */
  readonly draw: number;
}

/** Faults of the car itself, with what the car or the log must have for them. */
export const CAR_FAULTS: readonly FindingId[] = [
  'airflow-meter-ceiling',
  'boost-leak',
  'rail-pressure-droop',
  'injector-near-static',
  'lean-under-load',
  'rich-under-load',
  'knock',
  'hot-charge',
  'boost-creep',
  'boost-taper',
  'boost-overshoot',
  'slow-spool',
  'compressor-surge',
  'compressor-choke',
  'clutch-slip',
  'wheel-spin',
  'low-oil-pressure',
  'coolant-hot',
  'charging-low',
  'injection-flow-lost',
  'pressure-sensor-ceiling',
  'misfire',
  'throttle-closing',
  'back-pressure-high',
];
export const READING_FAULTS: readonly FindingId[] = [
  'sensor-stuck',
  'sensor-dropout',
  'sensor-spikes',
  'sensor-offset',
  'speed-scale-off',
  'clock-fault',
];

export const drawFault = (car: TrueCar, chance: Chance): Fault => {
  const diesel = car.fuel.kind === 'diesel';
  const fits = (id: FindingId): boolean => {
    if (id === 'airflow-meter-ceiling' || id === 'boost-leak') return car.metered;
    if (id === 'injection-flow-lost') return car.injection !== null;
    if (diesel)
      return [
        'boost-taper',
        'slow-spool',
        'clutch-slip',
        'low-oil-pressure',
        'coolant-hot',
        'charging-low',
        'pressure-sensor-ceiling',
        'hot-charge',
      ].includes(id);
    return true;
  };
  const all = [...CAR_FAULTS.filter(fits), ...READING_FAULTS];
  return { id: chance.pick(all), size: chance.between(0.5, 1), draw: chance.next() };
};

/** The car with the parts that its fault changes for the whole drive. */
export const bent = (car: TrueCar, fault: Fault | null): TrueCar => {
  if (!fault) return car;
  const { size } = fault;
  const { exhaust, compressor } = car;
  const peakBoost = Math.max(...car.boost.map(([, pa]) => pa));
  switch (fault.id) {
    case 'airflow-meter-ceiling':
      return { ...car, meterCeiling: car.peakFlow * (0.94 - 0.18 * size) };
    case 'injector-near-static':
      return { ...car, injectorM3PerS: car.injectorM3PerS * (0.75 - 0.1 * size) };
    case 'pressure-sensor-ceiling':
      return { ...car, manifoldCeilingPa: 100e3 + peakBoost - Math.min(0.35 * peakBoost, 8e3 + 25e3 * size) };
    case 'slow-spool':
      return {
        ...car,
        exhaust: { ...exhaust, turbineEfficiency: exhaust.turbineEfficiency * (1 - 0.3 * size) },
        shaftInertiaKgM2: car.shaftInertiaKgM2 * (1 + 0.8 * size),
      };
    case 'compressor-choke':
      return { ...car, compressor: { ...compressor, chokeKgPerS: compressor.chokeKgPerS * (0.8 - 0.12 * size) } };
    case 'back-pressure-high':
      return {
        ...car,
        exhaust: {
          ...exhaust,
          turbineAreaM2: exhaust.turbineAreaM2 * (0.75 - 0.25 * size),
          wastegateAreaM2: exhaust.wastegateAreaM2 * 0.55,
        },
      };
    case 'boost-creep':
      return { ...car, exhaust: { ...exhaust, wastegateAreaM2: exhaust.wastegateAreaM2 * (0.4 - 0.25 * size) } };
    default:
      return car;
  }
};

/** What the fault does at a moment; the healthy values where there is none. */
export interface Spoils {
  readonly leakShare: number;
  readonly railLost: number;
  readonly lambdaOff: number;
  readonly knocks: boolean;
  readonly retardDeg: number;
  readonly coolerShare: number;
  readonly openingLeast: number;
  readonly openingMost: number;
  readonly lazy: boolean;
  readonly surge: (timeS: number) => number;
  readonly clutchShare: number;
  readonly gripShare: number;
  readonly oilShare: (rpm: number) => number;
  readonly coolantK: number;
  readonly chargeV: number;
  readonly injectionShare: number;
  readonly misfireShare: number;
  readonly throttleMost: number;
  readonly exhaustBlocked: number;
}

const HEALTHY: Spoils = {
  leakShare: 0,
  railLost: 0,
  lambdaOff: 0,
  knocks: false,
  retardDeg: 0,
  coolerShare: 1,
  openingLeast: 0,
  openingMost: 1,
  lazy: false,
  surge: () => 1,
  clutchShare: 1,
  gripShare: 1,
  oilShare: () => 1,
  coolantK: 0,
  chargeV: 0,
  injectionShare: 1,
  misfireShare: 0,
  throttleMost: 1,
  exhaustBlocked: 1,
};

export const spoilsIn = (fault: Fault | null, rpm: number, full: boolean): Spoils => {
  if (!fault) return HEALTHY;
  const { size, draw } = fault;
  switch (fault.id) {
    case 'boost-leak':
      return { ...HEALTHY, leakShare: full ? 0.1 + 0.16 * size : 0.02 };
    case 'rail-pressure-droop':
      return { ...HEALTHY, railLost: 0.12 + 0.22 * size };
    case 'lean-under-load':
      return { ...HEALTHY, lambdaOff: full && rpm > 3500 + 800 * draw ? 0.04 + 0.15 * size : 0 };
    case 'rich-under-load':
      return { ...HEALTHY, lambdaOff: full && rpm > 2500 + 1000 * draw ? -0.03 - 0.12 * size : 0 };
    case 'knock':
      return { ...HEALTHY, knocks: full && rpm > 3200 + 1200 * draw, retardDeg: 1 + 5 * size };
    case 'hot-charge':
      return { ...HEALTHY, coolerShare: 0.75 - 0.35 * size };
    case 'boost-taper':
      return { ...HEALTHY, openingLeast: Math.max(0, (rpm - 3500) / 3000) * (0.5 + 0.6 * size) };
    case 'boost-overshoot':
      return { ...HEALTHY, lazy: true };
    case 'compressor-surge':
      return {
        ...HEALTHY,
        surge:
          full && rpm < 4200
            ? (t) => 1 + (0.35 + 0.9 * size) * Math.sin(2 * Math.PI * (6 + 7 * draw) * t)
            : HEALTHY.surge,
      };
    case 'clutch-slip':
      return { ...HEALTHY, clutchShare: 0.62 - 0.12 * size };
    case 'wheel-spin':
      return { ...HEALTHY, gripShare: 0.45 - 0.15 * size };
    case 'low-oil-pressure':
      return { ...HEALTHY, oilShare: (at) => 1 - (0.25 + 0.3 * size) * Math.max(0, Math.min(1, (at - 3500) / 1500)) };
    case 'coolant-hot':
      return { ...HEALTHY, coolantK: 273.15 + 104 + 15 * size };
    case 'charging-low':
      return { ...HEALTHY, chargeV: 13.1 - 1.4 * size };
    case 'injection-flow-lost':
      return { ...HEALTHY, injectionShare: 0.6 * (1 - size) * 2 * draw };
    case 'misfire':
      return { ...HEALTHY, misfireShare: full && rpm > 3200 ? 0.06 + 0.14 * size : 0 };
    case 'throttle-closing':
      return { ...HEALTHY, throttleMost: full && rpm > 3800 + 800 * draw ? 0.8 - 0.4 * size : 1 };
    default:
      return HEALTHY;
  }
};
