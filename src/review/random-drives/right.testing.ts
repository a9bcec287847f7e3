/** What a reviewer may and must say of a random drive, from the true state of the car. Between the two lies what is near a threshold. */
import { quantileOf } from '../../logs/index.ts';
import type { FindingId } from '../types.ts';
import type { TrueCar } from './car.testing.ts';
import { type Day, type Driven, KEPT_S, type TruePull } from './drive.testing.ts';
import type { Fault } from './faults.testing.ts';
import { limitRpmOf } from './plant.testing.ts';
import type { Readings } from './sensors.testing.ts';
import type { Written } from './writing.testing.ts';

export interface Right {
  readonly may: ReadonlySet<FindingId>;
  readonly must: ReadonlySet<FindingId>;
}

/** Two sides of one event: telling the second beside the first is right (as score.py of the labelled logs has it). */
const KIN: Partial<Record<FindingId, readonly FindingId[]>> = {
  'airflow-meter-ceiling': ['lean-under-load', 'sensor-offset', 'boost-leak'],
  'boost-leak': ['rich-under-load', 'slow-spool', 'boost-taper', 'sensor-offset'],
  'rail-pressure-droop': ['lean-under-load', 'injector-near-static'],
  'injector-near-static': ['lean-under-load'],
  'injection-flow-lost': ['hot-charge', 'lean-under-load', 'knock'],
  'compressor-choke': ['boost-taper', 'shaft-overspeed', 'hot-charge', 'back-pressure-high', 'slow-spool'],
  'hot-charge': ['heat-soak', 'knock'],
  'back-pressure-high': ['boost-taper', 'slow-spool'],
  'pressure-sensor-ceiling': ['sensor-stuck', 'boost-creep', 'boost-overshoot', 'lean-under-load', 'boost-taper'],
  'sensor-stuck': ['sensor-dropout'],
  'sensor-dropout': ['sensor-spikes', 'sensor-stuck'],
  'sensor-spikes': ['sensor-dropout'],
  'throttle-closing': ['boost-taper'],
  misfire: ['lean-under-load', 'compressor-surge'],
  'boost-overshoot': ['boost-creep'],
  'boost-creep': ['boost-overshoot'],
  'wheel-spin': ['speed-scale-off', 'clutch-slip'],
  'clutch-slip': ['speed-scale-off', 'wheel-spin'],
  'slow-spool': ['boost-taper'],
  'boost-taper': ['slow-spool'],
  'compressor-surge': ['boost-overshoot', 'misfire'],
};

/** Largest distance from a straight line through a third of a second, as a share of the reading there. */
const swings = (values: Float64Array, at: number): number => {
  const reach = 16;
  if (at < reach || at + reach >= values.length) return 0;
  let slope = 0;
  let mean = 0;
  let squares = 0;
  for (let k = -reach; k <= reach; k++) {
    mean += values[at + k]! / (2 * reach + 1);
    slope += k * values[at + k]!;
    squares += k * k;
  }
  let most = 0;
  for (let k = -reach; k <= reach; k++) most = Math.max(most, Math.abs(values[at + k]! - mean - (slope / squares) * k));
  return most / values[at]!;
};

/** Longest time [s] that a condition holds over the kept moments of the parts of pulls. */
const longestIn = (pulls: readonly TruePull[], settleS: number, holds: (at: number) => boolean): number => {
  let most = 0;
  for (const { parts } of pulls) {
    for (const part of parts) {
      let run = 0;
      for (let at = Math.ceil((part.startS + settleS) / KEPT_S); at < part.endS / KEPT_S; at++) {
        run = holds(at) ? run + KEPT_S : 0;
        most = Math.max(most, run);
      }
    }
  }
  return most;
};

export const rightOf = (
  car: TrueCar,
  day: Day,
  driven: Driven,
  twin: Driven | null,
  fromS: number,
  readings: Readings,
  file: Written,
  fault: Fault | null,
  withMap: boolean,
): Right => {
  const may = new Set<FindingId>();
  const must = new Set<FindingId>();
  const { truth, pulls } = driven;
  const seeded = fault?.id ?? null;
  if (seeded) {
    may.add(seeded);
    for (const kin of KIN[seeded] ?? []) may.add(kin);
  }
  const has = new Set(readings.reads.map(({ channel }) => channel));
  const quick = file.rateHz >= 8;
  const allow = (id: FindingId, when: boolean) => {
    if (!when) return;
    may.add(id);
    for (const kin of KIN[id] ?? []) may.add(kin);
  };
  const ask = (id: FindingId, when: boolean) => {
    if (when && seeded === id) must.add(id);
  };
  const inPulls = (settleS: number, holds: (at: number) => boolean) => longestIn(pulls, settleS, holds);
  const { outsidePa } = day;
  const steady = (at: number): boolean => {
    for (let k = Math.max(0, at - 45); k < at; k += 5)
      if (Math.abs(truth.target[k]! - truth.target[at]!) > 12e3) return false;
    return truth.target[at]! - outsidePa > 20e3;
  };
  const errorPa = (at: number): number => (steady(at) ? truth.manifold[at]! - truth.target[at]! : 0);
  allow('boost-creep', inPulls(0, (at) => errorPa(at) > 6.5e3) > 0.5);
  allow('boost-overshoot', inPulls(0, (at) => errorPa(at) > 8.5e3) > 0.05);
  allow('boost-taper', inPulls(0.8, (at) => errorPa(at) < -8e3 && truth.full[at] === 1) > 0.4);
  let crept = 0;
  let tapered = 0;
  let shot = 0;
  for (const { parts } of pulls) {
    parts.forEach((part, place) => {
      const end = Math.floor(part.endS / KEPT_S) - 8;
      let near = -1;
      for (let at = Math.ceil(part.startS / KEPT_S); at < end && near < 0; at++)
        if (errorPa(at) !== 0 && errorPa(at) > -3e3) near = at;
      if (near < 0) return;
      const lengthS = (end - near) * KEPT_S;
      const atEnd = (errorPa(end) + errorPa(end - 20) + errorPa(end - 40)) / 3;
      if (lengthS > 2.2 && atEnd > 0 && errorPa(end - 130) > 12e3) crept = Math.max(crept, atEnd);
      if (lengthS > 1.6) tapered = Math.min(tapered, atEnd);
      if (place > 0 || lengthS < 2.5) return;
      for (let at = near; at < Math.min(end, near + 150); at++)
        if (errorPa(at) > shot && errorPa(end) < 0.4 * errorPa(at)) shot = errorPa(at);
    });
  }
  ask('boost-creep', crept > 16e3);
  ask('boost-taper', tapered < -20e3);
  ask('boost-overshoot', shot > 20e3 && quick);
  const limitRpm = limitRpmOf(car.compressor);
  allow('compressor-choke', inPulls(0, (at) => truth.chokeShare[at]! > 0.9 && truth.efficiency[at]! < 0.63) > 0.2);
  ask(
    'compressor-choke',
    withMap && inPulls(0.8, (at) => truth.chokeShare[at]! > 0.98 && truth.efficiency[at]! < 0.52) > 0.9,
  );
  allow('shaft-overspeed', inPulls(0, (at) => truth.shaft[at]! > 0.985 * limitRpm) > 0.05);
  const reached = (at: number): number => {
    let most = 40e3;
    for (let k = at; k >= 0 && truth.full[k] === 1; k -= 3) most = Math.max(most, truth.manifold[k]! - outsidePa);
    return most;
  };
  const backs = (at: number) =>
    truth.manifold[at]! - outsidePa > 40e3 ? (truth.exhaust[at]! - outsidePa) / reached(at) : 0;
  allow('back-pressure-high', inPulls(0.3, (at) => backs(at) > 1.58) > 0.3);
  ask('back-pressure-high', inPulls(0.6, (at) => backs(at) > 2) > 0.9);
  allow('injector-near-static', inPulls(0, (at) => truth.duty[at]! > 0.885) > 0.1);
  ask('injector-near-static', inPulls(0, (at) => truth.duty[at]! > 0.935) > 0.5);
  allow('lean-under-load', inPulls(0.5, (at) => truth.lambda[at]! - truth.lambdaTarget[at]! > 0.038) > 0.2);
  ask(
    'lean-under-load',
    inPulls(0.9, (at) => truth.lambda[at]! - truth.lambdaTarget[at]! > 0.078 && truth.manifold[at]! > 1.2 * outsidePa) >
      0.8,
  );
  allow('rich-under-load', inPulls(0.5, (at) => truth.lambdaTarget[at]! - truth.lambda[at]! > 0.038) > 0.4);
  ask(
    'rich-under-load',
    inPulls(0.9, (at) => truth.lambdaTarget[at]! - truth.lambda[at]! > 0.078 && truth.manifold[at]! > 1.2 * outsidePa) >
      1.3,
  );
  // The sensor lags by most of a second: what it can show is judged by the true gas over longer.
  const overIdeal = (at: number) => truth.charge[at]! - truth.ideal[at]!;
  allow(
    'hot-charge',
    inPulls(1, (at) => overIdeal(at) > 6.5) > 0.3 || inPulls(0, (at) => truth.charge[at]! > 273.15 + 60) > 0.3,
  );
  ask('hot-charge', withMap && inPulls(2, (at) => overIdeal(at) > 17 && truth.manifold[at]! > outsidePa + 25e3) > 2);
  const ends = pulls.map(({ endS }) => truth.charge[Math.floor(endS / KEPT_S) - 2]!);
  allow(
    'heat-soak',
    ends.some((end, k) => ends.slice(0, k).some((before) => end - before > 5)),
  );
  const slips = (at: number) => (truth.wheel[at]! - truth.speed[at]!) / Math.max(3, truth.speed[at]!);
  allow('wheel-spin', inPulls(0, (at) => slips(at) > 0.11) > 0.1);
  ask(
    'wheel-spin',
    has.has('satellite-speed') || has.has('acceleration')
      ? inPulls(0.4, (at) => slips(at) > 0.22) > 0.7 && quick
      : false,
  );
  const clutchSlip = (at: number) => {
    const ratio = car.gears[truth.gear[at]! - 1];
    return ratio && truth.clutch[at]! > 0.99
      ? truth.rpm[at]! / ((truth.wheel[at]! / car.tyreM) * ratio * car.final * (30 / Math.PI)) - 1
      : 0;
  };
  allow('clutch-slip', inPulls(0.2, (at) => clutchSlip(at) > 0.03) > 0.1);
  ask(
    'clutch-slip',
    inPulls(0.5, (at) => clutchSlip(at) > 0.12) > 0.6 && inPulls(0.3, (at) => clutchSlip(at) < 0.01) > 0.4 && quick,
  );
  allow('knock', inPulls(0, (at) => truth.retard[at]! > 0.5) > 0);
  ask('knock', inPulls(0, (at) => truth.retard[at]! > 2.4) > 0.5);
  ask(
    'boost-leak',
    withMap &&
      inPulls(0.9, (at) => truth.manifold[at]! > 1.2 * outsidePa && truth.full[at] === 1) > 1.5 &&
      (fault?.size ?? 0) > 0.3,
  );
  ask('airflow-meter-ceiling', inPulls(0.3, (at) => truth.flow[at]! > 1.09 * (driven.truth.meter[at] ?? 0)) > 1);
  const ceiling = readings.reads.find(({ channel }) => channel === 'manifold-pressure');
  const topPa = ceiling ? Math.max(...ceiling.values) : Number.POSITIVE_INFINITY;
  allow('pressure-sensor-ceiling', inPulls(0, (at) => truth.manifold[at]! > topPa + 1e3) > 0.1);
  ask('pressure-sensor-ceiling', inPulls(0.3, (at) => truth.manifold[at]! > topPa + 6e3) > 1);
  const across = (at: number) => truth.rail[at]! - (car.railFollows ? truth.manifold[at]! - outsidePa : 0);
  allow('rail-pressure-droop', inPulls(0, (at) => across(at) < 0.95 * car.railPa) > 0.2);
  ask('rail-pressure-droop', inPulls(0.5, (at) => across(at) < 0.85 * car.railPa) > 0.8);
  ask(
    'low-oil-pressure',
    inPulls(0.2, (at) => truth.rpm[at]! > 4600 && truth.oilPressure[at]! < 0.74 * car.oilReliefPa) > 0.8,
  );
  let hot = 0;
  let low = 0;
  let cold = 0;
  for (let at = Math.floor(fromS / KEPT_S); at < truth.rpm.length; at++) {
    if (truth.coolant[at]! > 273.15 + 107.5) hot += KEPT_S;
    if (truth.coolant[at]! > 273.15 + 99) allow('coolant-hot', true);
    if (truth.battery[at]! < 12.85 && truth.rpm[at]! > 1000) low += KEPT_S;
    if (truth.rpm[at]! < 10) cold += KEPT_S;
  }
  ask('coolant-hot', hot > 5);
  ask('charging-low', low > 40);
  const sprays = car.injection;
  ask(
    'injection-flow-lost',
    sprays !== null &&
      inPulls(
        1.2,
        (at) =>
          truth.manifold[at]! - outsidePa > sprays.startPa + 25e3 &&
          truth.injection[at]! <
            0.5 * sprays.flowM3PerS * Math.sqrt(1 - (truth.manifold[at]! - outsidePa) / sprays.pumpPa),
      ) > 1.5,
  );
  const missed = truth.misfires.at(-1)! - truth.misfires[0]!;
  ask('misfire', missed > 25 && file.rateHz >= 25 && inPulls(0.6, (at) => truth.rpm[at]! > 3600) > 2);
  ask('throttle-closing', inPulls(0.4, (at) => truth.throttle[at]! < 0.78) > 0.6);
  const swing = (at: number) => {
    const here = Array.from(truth.manifold.subarray(Math.max(0, at - 15), at + 15));
    return (quantileOf(here, 0.95)! - quantileOf(here, 0.05)!) / truth.manifold[at]!;
  };
  // Boost that truly swings, whatever makes it swing.
  allow('compressor-surge', inPulls(0.4, (at) => swings(truth.manifold, at) > 0.028) > 0.25);
  if (seeded === 'compressor-surge')
    ask(
      'compressor-surge',
      inPulls(0.2, (at) => truth.rpm[at]! < 4100 && truth.manifold[at]! > outsidePa + 20e3 && swing(at) > 0.05) > 1 &&
        file.rateHz >= 25,
    );
  if (seeded === 'slow-spool' && twin) {
    const arrives = (one: Driven, k: number): number => {
      const pull = one.pulls[k];
      if (!pull) return Number.NaN;
      for (let at = Math.ceil(pull.startS / KEPT_S); at < pull.endS / KEPT_S; at++)
        if (one.truth.manifold[at]! - outsidePa > 0.8 * (one.truth.target[at]! - outsidePa))
          return at * KEPT_S - pull.startS;
      return pull.endS - pull.startS;
    };
    ask('slow-spool', withMap && arrives(driven, 0) > 1.7 * arrives(twin, 0) + 0.5);
  }
  const { spoiled } = readings;
  const rate = spoiled ? (readings.reads.find(({ channel }) => channel === spoiled.channel)?.rateHz ?? 0) : 0;
  ask('sensor-dropout', spoiled !== null && rate >= 4);
  ask('sensor-spikes', spoiled !== null && rate >= 8 && (fault?.size ?? 0) > 0.6);
  ask('sensor-stuck', spoiled !== null && spoiled.endS - spoiled.startS > 5 && rate >= 4 && pulls.length > 0);
  if (seeded === 'sensor-offset') {
    let closed = 0;
    for (let at = Math.floor(fromS / KEPT_S); at < truth.rpm.length; at++)
      if (
        Math.abs(truth.lambdaTarget[at]! - 1) < 0.005 &&
        truth.lambda[at]! < 1.1 &&
        truth.rpm[at]! > 700 &&
        truth.coolant[at]! > 335
      )
        closed += KEPT_S;
    ask(
      'sensor-offset',
      (fault?.draw ?? 0) < 0.6
        ? closed > 10 && 0.01 + 0.06 * (fault?.size ?? 0) > 0.042
        : cold > 1.5 && 1e3 + 7e3 * (fault?.size ?? 0) > 5e3 && has.has('barometric-pressure'),
    );
  }
  ask('speed-scale-off', 0.025 + 0.065 * (fault?.size ?? 0) > 0.05);
  ask('clock-fault', true);
  return { may, must };
};
