/** What each channel measures, in which units it may be written, and the readings a road car gives it. */
import type { Unit } from '../physics/units.ts';
import type { ChannelName } from './types.ts';

/** Families of units; a column's written unit must be of its channel's family. */
export type Family =
  | 'rotation'
  | 'speed'
  | 'share'
  | 'pressure'
  | 'temperature'
  | 'lambda'
  | 'trim'
  | 'mass flow'
  | 'volume flow'
  | 'frequency'
  | 'time'
  | 'angle'
  | 'voltage'
  | 'acceleration'
  | 'length'
  | 'count';

export interface ChannelKind {
  readonly family: Family;
  /** Readings between which nearly every car stays (5th and 95th percentile of a log), SI; common practice, no source. */
  readonly usual: readonly [number, number];
  /** Kept gauge inside: the part is rated against its surroundings. */
  readonly staysGauge?: boolean;
}

const kind = (family: Family, low: number, high: number, staysGauge = false): ChannelKind => ({
  family,
  usual: [low, high],
  ...(staysGauge ? { staysGauge } : {}),
});

/** Temperatures K, pressures Pa absolute (gauge where kept so), speeds m/s, flows kg/s and m3/s, shares 0..1. */
export const KINDS: Readonly<Record<ChannelName, ChannelKind>> = {
  time: kind('time', 0, 1e12),
  'engine-speed': kind('rotation', 0, 11_000),
  'vehicle-speed': kind('speed', -1, 110),
  'wheel-speed-driven': kind('speed', -1, 110),
  'wheel-speed-undriven': kind('speed', -1, 110),
  'satellite-speed': kind('speed', -1, 110),
  throttle: kind('share', -0.05, 1.1),
  pedal: kind('share', -0.05, 1.1),
  'manifold-pressure': kind('pressure', 2e3, 500e3),
  'manifold-pressure-target': kind('pressure', 10e3, 500e3),
  'barometric-pressure': kind('pressure', 55e3, 110e3),
  'compressor-outlet-pressure': kind('pressure', 60e3, 520e3),
  'ambient-temperature': kind('temperature', 233, 333),
  'intake-temperature': kind('temperature', 233, 425),
  'compressor-outlet-temperature': kind('temperature', 243, 523),
  'charge-temperature': kind('temperature', 233, 423),
  'coolant-temperature': kind('temperature', 233, 413),
  'oil-temperature': kind('temperature', 233, 438),
  'oil-pressure': kind('pressure', -5e3, 1.1e6, true),
  'fuel-pressure': kind('pressure', 0, 45e6, true),
  lambda: kind('lambda', 0.5, 2.5),
  'lambda-target': kind('lambda', 0.5, 2.5),
  'fuel-trim': kind('trim', -0.6, 0.6),
  'fuel-trim-long': kind('trim', -0.6, 0.6),
  'air-flow': kind('mass flow', 0, 1.2),
  'air-flow-frequency': kind('frequency', 0, 20_000),
  'injector-pulse': kind('time', 0, 0.04),
  'injector-duty': kind('share', -0.01, 1.3),
  'spark-advance': kind('angle', -30, 65),
  'knock-retard': kind('angle', -1, 25),
  'knock-level': kind('voltage', -1, 200),
  'knock-count': kind('count', 0, 1e6),
  'misfire-count': kind('count', 0, 1e6),
  'battery-voltage': kind('voltage', 5, 18),
  'exhaust-temperature': kind('temperature', 253, 1423),
  'exhaust-pressure': kind('pressure', 70e3, 800e3),
  'shaft-speed': kind('rotation', 0, 350_000),
  'wastegate-duty': kind('share', -0.01, 1.05),
  'injection-flow': kind('volume flow', 0, 60e-6),
  'injection-pressure': kind('pressure', -5e3, 3e6, true),
  gear: kind('count', -1, 10),
  'clutch-switch': kind('count', 0, 255),
  acceleration: kind('acceleration', -15, 15),
  altitude: kind('length', -500, 6000),
  'ethanol-content': kind('share', -0.01, 1.01),
};

const DIMENSION_FAMILIES: Readonly<Partial<Record<Unit, readonly Family[]>>> = {
  '%': ['share', 'trim', 'lambda'],
  rpm: ['rotation'],
  krpm: ['rotation'],
  'rad/s': ['rotation'],
  lambda: ['lambda', 'trim'],
  'km/h': ['speed'],
  mph: ['speed'],
  'm/s': ['speed'],
  Pa: ['pressure'],
  kPa: ['pressure'],
  MPa: ['pressure'],
  bar: ['pressure'],
  mbar: ['pressure'],
  psi: ['pressure'],
  inHg: ['pressure'],
  degC: ['temperature'],
  degF: ['temperature'],
  K: ['temperature'],
  'kg/s': ['mass flow'],
  'g/s': ['mass flow'],
  'kg/h': ['mass flow'],
  'lb/min': ['mass flow'],
  'lb/h': ['mass flow'],
  'L/h': ['volume flow'],
  'L/min': ['volume flow'],
  'cm3/min': ['volume flow'],
  'US gal/h': ['volume flow'],
  Hz: ['frequency'],
  s: ['time'],
  ms: ['time'],
  deg: ['angle'],
  V: ['voltage'],
  mV: ['voltage'],
  'm/s2': ['acceleration'],
  gn: ['acceleration'],
  m: ['length'],
  ft: ['length'],
};

/** True when a column of `family` may be written in `unit`. */
export const unitFits = (unit: Unit, family: Family): boolean => DIMENSION_FAMILIES[unit]?.includes(family) ?? false;

/** Families whose numbers may stand without a unit: counts, and shares written 0 to 1. */
export const UNITLESS: ReadonlySet<Family> = new Set(['count', 'share', 'trim', 'lambda']);
