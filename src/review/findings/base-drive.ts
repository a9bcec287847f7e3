/** One healthy drive for tests: cruise, a full-throttle pull in third gear from 5 s to 11 s, coast. Changed channel by channel. */
import wren from '../../../data/demo/builds/wren-as-driven.json' with { type: 'json' };
import { checkBuild, type ResolvedBuild, resolveBuild } from '../../car/index.ts';
import type { ChannelName, Log } from '../../logs/index.ts';
import type { Finding, FindingId, NotChecked, ReviewedPull } from '../types.ts';
import { findAll } from './index.ts';
import { ripple, type SyntheticChannel, type SyntheticLog, syntheticLog, through } from './synthetic-log.ts';

export const PULL_FROM_S = 5;
export const PULL_TO_S = 11;
export const OUTSIDE_PA = 100e3;
export const ASKED_PA = 200e3;

/** The invented 1.6 L hatchback of the demo garage: front drive, airflow meter, road speed from the driven wheels. */
export const demoBuild = (): ResolvedBuild => {
  const read = checkBuild(wren);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return resolveBuild(read.build);
};

export const GEAR = 3;
/** Engine rpm per road speed in m/s in {@link GEAR}. */
export const rpmPerMPerS = ({ car }: ResolvedBuild): number =>
  (car.facts.gearRatios[GEAR - 1]! * car.driveline.finalDrive * 30) / (Math.PI * car.tyres.rollingRadiusM);

export const engineSpeed = through([0, 2500], [PULL_FROM_S, 2500], [PULL_TO_S, 6300], [11.3, 6300], [16, 3000]);
export const manifold = through(
  [0, 45e3],
  [5, 45e3],
  [5.2, 95e3],
  [6.8, 198e3],
  [7.2, ASKED_PA],
  [11, ASKED_PA],
  [11.2, 30e3],
);
export const inPull = (timeS: number): boolean => timeS >= PULL_FROM_S && timeS <= PULL_TO_S;
const pullOnly = (inside: number, outside: number) => (timeS: number) => (inPull(timeS) ? inside : outside);

type Channels = SyntheticLog['channels'];

/** Charge temperature that the demo build's cooler gives with air at 293 K. */
const charge = through([0, 301], [5, 301], [8, 312], [11, 322], [16, 315]);

/** Air flow that agrees with the build's filling, so that meter and speed-density tell the same. */
export const meteredKgPerS = (resolved: ResolvedBuild) => {
  const { car } = resolved;
  const filling = through(
    ...car.curves.volumetricEfficiency.at.map((at, i) => [at, car.curves.volumetricEfficiency.values[i]!] as const),
  );
  return (timeS: number): number => {
    const rpm = engineSpeed(timeS);
    return (filling(rpm) * car.engine.displacementM3 * rpm * manifold(timeS)) / (120 * 287.05 * charge(timeS));
  };
};

export const healthyChannels = (resolved: ResolvedBuild): Channels => {
  const noise = (at: (timeS: number) => number, amplitude: number, seed: number) => (timeS: number) =>
    at(timeS) + ripple(amplitude, seed)(timeS);
  const air = meteredKgPerS(resolved);
  return {
    'engine-speed': noise(engineSpeed, 4, 1),
    'vehicle-speed': noise((timeS) => engineSpeed(timeS) / rpmPerMPerS(resolved), 0.02, 2),
    throttle: pullOnly(1, 0.15),
    pedal: pullOnly(1, 0.18),
    'manifold-pressure': noise(manifold, 300, 3),
    'manifold-pressure-target': pullOnly(ASKED_PA, OUTSIDE_PA),
    'barometric-pressure': () => OUTSIDE_PA,
    'wastegate-duty': pullOnly(0.45, 0),
    lambda: noise(through([0, 1], [5.1, 1], [5.7, 0.84], [11, 0.82], [11.3, 1]), 0.004, 4),
    'lambda-target': pullOnly(0.83, 1),
    'charge-temperature': charge,
    'intake-temperature': () => 293,
    'coolant-temperature': noise(() => 273.15 + 90, 0.2, 5),
    'oil-temperature': () => 273.15 + 95,
    'oil-pressure': noise((timeS) => Math.min(450e3, 110 * engineSpeed(timeS)), 4e3, 6),
    'fuel-pressure': noise((timeS) => 300e3 + manifold(timeS) - OUTSIDE_PA, 2e3, 7),
    'injector-duty': pullOnly(0.7, 0.06),
    'battery-voltage': noise(() => 14.2, 0.03, 8),
    'knock-retard': () => 0,
    'exhaust-pressure': noise((timeS) => OUTSIDE_PA + Math.max(0, 1.3 * (manifold(timeS) - OUTSIDE_PA)), 500, 10),
    'air-flow': (timeS) => air(timeS) * (1 + ripple(0.006, 9)(timeS)),
    gear: () => GEAR,
  };
};

export interface Drive {
  readonly change?: Channels;
  readonly without?: readonly ChannelName[];
  readonly build?: ResolvedBuild | null;
  readonly pulls?: SyntheticLog['pulls'];
  readonly lengthS?: number;
  readonly clockFaults?: Log['clockFaults'];
}

export const asReviewed = (log: Log): ReviewedPull[] =>
  log.pulls.map((pull) => ({ ...pull, powerW: { agree: true }, curve: [] }));

/** The healthy drive with changes, reviewed. */
export const review = ({
  change = {},
  without = [],
  build,
  pulls,
  lengthS = 16,
  clockFaults,
}: Drive = {}): {
  findings: Finding[];
  notChecked: NotChecked[];
  ids: FindingId[];
} => {
  const resolved = demoBuild();
  const channels: Partial<Record<ChannelName, SyntheticChannel['at'] | SyntheticChannel>> = {
    ...healthyChannels(resolved),
    ...change,
  };
  for (const name of without) delete channels[name];
  const log = syntheticLog({
    lengthS,
    barometricPressurePa: OUTSIDE_PA,
    channels,
    pulls: pulls ?? [[PULL_FROM_S, PULL_TO_S, GEAR]],
    ...(clockFaults ? { clockFaults } : {}),
  });
  const { findings, notChecked } = findAll(log, build === undefined ? resolved : build, asReviewed(log));
  return { findings, notChecked, ids: findings.map((one) => one.id) };
};
