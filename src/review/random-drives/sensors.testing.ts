/** What the sensors of a random car make of a drive: lag, noise, whole steps, errors of their own, and the readings' faults. */
import type { ChannelName } from '../../logs/index.ts';
import type { TrueCar } from './car.testing.ts';
import type { Chance } from './chance.testing.ts';
import { type Day, type Driven, KEPT_S, type TrueName, type Truth } from './drive.testing.ts';
import type { Fault } from './faults.testing.ts';

/** A sensor: true value in SI (rpm, degrees of crank, shares), what it adds, and how often it is read. */
interface Kind {
  readonly channel: ChannelName;
  readonly from: TrueName | 'outside' | 'ambient' | 'intake' | 'satellite' | 'trim';
  /** How often such a channel is found in logs. */
  readonly common: number;
  readonly lagS: number;
  /** Standard deviations: share of the reading and absolute, drawn once a drive (errors) and at every reading (noise). */
  readonly gain: number;
  readonly offset: number;
  readonly noise: number;
  readonly noiseShare?: number;
  /** Read at this share of the logger's fastest rate. */
  readonly slow?: number;
  /** Never above [SI]. */
  readonly top?: number;
}

const KINDS: readonly Kind[] = [
  { channel: 'engine-speed', from: 'rpm', common: 1, lagS: 0.01, gain: 0, offset: 0, noise: 4 },
  { channel: 'vehicle-speed', from: 'wheel', common: 0.95, lagS: 0.05, gain: 0.008, offset: 0, noise: 0.03 },
  {
    channel: 'satellite-speed',
    from: 'satellite',
    common: 0.15,
    lagS: 0.15,
    gain: 0,
    offset: 0,
    noise: 0.03,
    slow: 0.5,
  },
  { channel: 'throttle', from: 'throttle', common: 0.9, lagS: 0.01, gain: 0, offset: 0, noise: 0.0015 },
  { channel: 'pedal', from: 'pedal', common: 0.7, lagS: 0.01, gain: 0, offset: 0, noise: 0.0008 },
  { channel: 'manifold-pressure', from: 'manifold', common: 0.97, lagS: 0.015, gain: 0.006, offset: 600, noise: 350 },
  { channel: 'manifold-pressure-target', from: 'target', common: 0.7, lagS: 0, gain: 0, offset: 0, noise: 0 },
  { channel: 'barometric-pressure', from: 'outside', common: 0.6, lagS: 0, gain: 0, offset: 400, noise: 0, slow: 0.1 },
  {
    channel: 'compressor-outlet-pressure',
    from: 'pipe',
    common: 0.3,
    lagS: 0.015,
    gain: 0.006,
    offset: 600,
    noise: 400,
  },
  { channel: 'ambient-temperature', from: 'ambient', common: 0.5, lagS: 1, gain: 0, offset: 1, noise: 0, slow: 0.1 },
  { channel: 'intake-temperature', from: 'intake', common: 0.4, lagS: 3, gain: 0, offset: 1, noise: 0.05, slow: 0.2 },
  {
    channel: 'compressor-outlet-temperature',
    from: 'outlet',
    common: 0.25,
    lagS: 1.2,
    gain: 0,
    offset: 1.5,
    noise: 0.15,
    slow: 0.3,
  },
  { channel: 'charge-temperature', from: 'charge', common: 0.9, lagS: 0.9, gain: 0, offset: 1, noise: 0.1, slow: 0.4 },
  { channel: 'coolant-temperature', from: 'coolant', common: 0.9, lagS: 2, gain: 0, offset: 1, noise: 0.1, slow: 0.1 },
  { channel: 'oil-temperature', from: 'oil', common: 0.4, lagS: 3, gain: 0, offset: 1.5, noise: 0.1, slow: 0.1 },
  { channel: 'oil-pressure', from: 'oilPressure', common: 0.45, lagS: 0.05, gain: 0.015, offset: 5e3, noise: 4e3 },
  { channel: 'fuel-pressure', from: 'rail', common: 0.4, lagS: 0.03, gain: 0.01, offset: 3e3, noise: 2.5e3 },
  { channel: 'lambda', from: 'lambda', common: 0.9, lagS: 0.08, gain: 0.007, offset: 0, noise: 0.004, top: 1.35 },
  { channel: 'lambda-target', from: 'lambdaTarget', common: 0.6, lagS: 0, gain: 0, offset: 0, noise: 0 },
  { channel: 'fuel-trim', from: 'trim', common: 0.5, lagS: 0, gain: 0, offset: 0.01, noise: 0.006 },
  { channel: 'air-flow', from: 'meter', common: 0.9, lagS: 0.03, gain: 0.015, offset: 0, noise: 0, noiseShare: 0.006 },
  { channel: 'injector-pulse', from: 'pulse', common: 0.5, lagS: 0, gain: 0, offset: 0, noise: 0 },
  { channel: 'injector-duty', from: 'duty', common: 0.5, lagS: 0, gain: 0, offset: 0, noise: 0 },
  { channel: 'spark-advance', from: 'spark', common: 0.8, lagS: 0, gain: 0, offset: 0, noise: 0.15 },
  { channel: 'knock-retard', from: 'retard', common: 0.7, lagS: 0, gain: 0, offset: 0, noise: 0 },
  {
    channel: 'battery-voltage',
    from: 'battery',
    common: 0.7,
    lagS: 0.02,
    gain: 0.004,
    offset: 0,
    noise: 0.04,
    slow: 0.3,
  },
  {
    channel: 'exhaust-temperature',
    from: 'exhaustK',
    common: 0.25,
    lagS: 1,
    gain: 0.01,
    offset: 4,
    noise: 1,
    slow: 0.4,
  },
  { channel: 'exhaust-pressure', from: 'exhaust', common: 0.25, lagS: 0.04, gain: 0.01, offset: 1e3, noise: 800 },
  { channel: 'shaft-speed', from: 'shaft', common: 0.2, lagS: 0.01, gain: 0, offset: 0, noise: 60 },
  { channel: 'wastegate-duty', from: 'wastegate', common: 0.6, lagS: 0, gain: 0, offset: 0, noise: 0 },
  { channel: 'injection-flow', from: 'injection', common: 0.9, lagS: 0.1, gain: 0.03, offset: 0, noise: 8e-8 },
  { channel: 'gear', from: 'gear', common: 0.3, lagS: 0, gain: 0, offset: 0, noise: 0 },
  { channel: 'acceleration', from: 'acceleration', common: 0.35, lagS: 0.05, gain: 0.01, offset: 0.08, noise: 0.12 },
  { channel: 'misfire-count', from: 'misfires', common: 0.1, lagS: 0, gain: 0, offset: 0, noise: 0 },
];

/** A channel as the logger gets it: readings at its own times, in SI. */
export interface Read {
  readonly channel: ChannelName;
  readonly rateHz: number;
  readonly timesS: Float64Array;
  readonly values: Float64Array;
  /** Its true values at the same times. */
  readonly true: Float64Array;
}

const trueSeries = (kind: Kind, truth: Truth, day: Day, chance: Chance): Float64Array => {
  const length = truth.rpm.length;
  const filled = (value: number) => new Float64Array(length).fill(value);
  if (kind.from === 'outside') return filled(day.outsidePa);
  if (kind.from === 'ambient') return filled(day.outsideK);
  if (kind.from === 'intake') {
    // The bay warms the intake at a stand; moving air cools it.
    let over = day.cold ? 0 : 6;
    return truth.speed.map((speed, i) => {
      const settles = truth.rpm[i]! > 300 ? (speed < 3 ? 14 : 3) : over;
      over += ((settles - over) / 20) * KEPT_S;
      return day.outsideK + over;
    });
  }
  if (kind.from === 'satellite') return truth.speed;
  if (kind.from === 'trim') {
    const bias = chance.bell(0.01);
    return truth.lambda.map((lambda, i) =>
      truth.lambdaTarget[i]! > 0.98 && lambda < 1.2 ? bias + 0.3 * (lambda - 1) : 0,
    );
  }
  return truth[kind.from];
};

/** Which channels a car logs; those a fault must be seen in are always among them. */
const NEEDS: Partial<Record<Fault['id'], readonly ChannelName[]>> = {
  'airflow-meter-ceiling': ['air-flow', 'manifold-pressure', 'charge-temperature'],
  'boost-leak': ['air-flow', 'manifold-pressure', 'charge-temperature', 'lambda'],
  'rail-pressure-droop': ['fuel-pressure'],
  'injector-near-static': ['injector-duty'],
  'lean-under-load': ['lambda'],
  'rich-under-load': ['lambda'],
  knock: ['knock-retard'],
  'hot-charge': ['charge-temperature', 'manifold-pressure'],
  'boost-creep': ['manifold-pressure', 'manifold-pressure-target'],
  'boost-taper': ['manifold-pressure', 'manifold-pressure-target'],
  'boost-overshoot': ['manifold-pressure', 'manifold-pressure-target'],
  'slow-spool': ['manifold-pressure', 'manifold-pressure-target'],
  'compressor-surge': ['manifold-pressure'],
  'compressor-choke': ['manifold-pressure', 'charge-temperature', 'compressor-outlet-temperature'],
  'clutch-slip': ['vehicle-speed'],
  'wheel-spin': ['vehicle-speed', 'acceleration'],
  'low-oil-pressure': ['oil-pressure'],
  'coolant-hot': ['coolant-temperature'],
  'charging-low': ['battery-voltage'],
  'injection-flow-lost': ['injection-flow', 'manifold-pressure'],
  'pressure-sensor-ceiling': ['manifold-pressure'],
  misfire: ['lambda'],
  'throttle-closing': ['throttle', 'pedal'],
  'back-pressure-high': ['exhaust-pressure', 'manifold-pressure'],
  'sensor-offset': ['lambda', 'lambda-target', 'manifold-pressure', 'barometric-pressure'],
  'speed-scale-off': ['vehicle-speed'],
};

const STUCK: readonly ChannelName[] = [
  'manifold-pressure',
  'lambda',
  'air-flow',
  'vehicle-speed',
  'throttle',
  'oil-pressure',
  'fuel-pressure',
];
const LOSES: readonly ChannelName[] = [
  'manifold-pressure',
  'lambda',
  'vehicle-speed',
  'charge-temperature',
  'coolant-temperature',
  'oil-pressure',
  'fuel-pressure',
];
const SPIKES: readonly ChannelName[] = [
  'manifold-pressure',
  'vehicle-speed',
  'charge-temperature',
  'coolant-temperature',
  'oil-pressure',
  'fuel-pressure',
  'engine-speed',
];

/** What a lost signal reads [SI]: the end of its sensor. */
const LOST: Partial<Record<ChannelName, number>> = {
  'manifold-pressure': 0,
  lambda: 0.5,
  'vehicle-speed': 0,
  'charge-temperature': 233.15,
  'coolant-temperature': 233.15,
  'oil-pressure': 0,
  'fuel-pressure': 0,
};

export interface SensorPlan {
  readonly fastestHz: number;
  /** One channel fresh a row, in turn: a poller. */
  readonly isPolled: boolean;
  /** When rows are taken [true seconds]: evenly, or with a logger's jitter, of which the clock tells. */
  readonly rowsS: readonly number[];
}

export interface Readings {
  readonly reads: readonly Read[];
  /** The channel whose reading the fault spoils, and when. */
  readonly spoiled: { readonly channel: ChannelName; readonly startS: number; readonly endS: number } | null;
}

export const readingsOf = (
  car: TrueCar,
  day: Day,
  driven: Driven,
  fromS: number,
  plan: SensorPlan,
  fault: Fault | null,
  chance: Chance,
): Readings => {
  const { truth, lengthS } = driven;
  const diesel = car.fuel.kind === 'diesel';
  const needs = new Set<ChannelName>(fault ? (NEEDS[fault.id] ?? []) : []);
  const has = (kind: Kind): boolean => {
    const { channel } = kind;
    if (channel === 'air-flow') return car.metered && (needs.has(channel) || chance.is(kind.common));
    if (channel === 'injection-flow') return car.injection !== null && (needs.has(channel) || chance.is(kind.common));
    if (
      diesel &&
      [
        'lambda-target',
        'knock-retard',
        'spark-advance',
        'throttle',
        'injector-duty',
        'fuel-trim',
        'injector-pulse',
        'lambda',
        'fuel-pressure',
      ].includes(channel)
    )
      return false;
    if (channel === 'pedal' && diesel) return true;
    return needs.has(channel) || chance.is(kind.common);
  };
  let kinds = KINDS.filter(has);
  // Pulls are found by pedal or throttle.
  if (!kinds.some(({ channel }) => channel === 'throttle' || channel === 'pedal'))
    kinds = [...kinds, KINDS.find(({ channel }) => channel === 'throttle')!];
  if (plan.isPolled) kinds = kinds.filter((kind, i) => i < 3 || needs.has(kind.channel) || chance.is(0.35));
  const named = kinds.map(({ channel }) => channel);
  const among = (from: readonly ChannelName[]) => from.filter((one) => named.includes(one));
  const spoilable =
    fault?.id === 'sensor-stuck'
      ? among(STUCK)
      : fault?.id === 'sensor-dropout'
        ? among(LOSES)
        : fault?.id === 'sensor-spikes'
          ? among(SPIKES)
          : [];
  const target = spoilable.length > 0 ? spoilable[Math.floor(fault!.draw * spoilable.length)]! : null;
  const pull = driven.pulls[0];
  const middleS = pull ? (pull.startS + pull.endS) / 2 : (fromS + lengthS) / 2;
  const spoiled =
    target && fault
      ? fault.id === 'sensor-stuck'
        ? {
            channel: target,
            startS: Math.max(fromS + 1, middleS - 2 - 2 * fault.draw),
            endS: middleS + 2 + 6 * fault.size,
          }
        : { channel: target, startS: fromS + 2, endS: lengthS - 2 }
      : null;
  const reads = kinds.map((kind): Read => {
    const rateHz = plan.isPolled
      ? plan.fastestHz
      : Math.max(0.5, plan.fastestHz * (kind.slow ?? chance.pick([1, 1, 1, 0.5])));
    const series = trueSeries(kind, truth, day, chance);
    const isThrottle = kind.channel === 'throttle' || kind.channel === 'pedal';
    const gain = 1 + chance.bell(kind.gain);
    let offset = chance.bell(kind.offset);
    const fullest = isThrottle ? chance.pick([1, 1, 0.98, 0.92, 0.86]) : 1;
    const rest = isThrottle ? chance.pick([0, 0, 0.01, 0.03]) : 0;
    let scale = gain * (kind.channel === 'pedal' ? 1 : isThrottle ? fullest - rest : 1);
    if (isThrottle && kind.channel === 'throttle') offset += rest;
    if (fault?.id === 'speed-scale-off' && kind.channel === 'vehicle-speed')
      scale *= 1 + (fault.draw < 0.5 ? -1 : 1) * (0.025 + 0.065 * fault.size);
    if (fault?.id === 'sensor-offset') {
      if (kind.channel === 'lambda' && fault.draw < 0.6)
        offset += (fault.draw < 0.3 ? -1 : 1) * (0.01 + 0.06 * fault.size);
      if (kind.channel === 'manifold-pressure' && fault.draw >= 0.6)
        offset += (fault.draw < 0.8 ? -1 : 1) * (1e3 + 7e3 * fault.size);
    }
    const top =
      kind.channel === 'manifold-pressure'
        ? car.manifoldCeilingPa
        : kind.channel === 'air-flow'
          ? car.meterCeiling * gain
          : (kind.top ?? Number.POSITIVE_INFINITY);
    const every = Math.max(1, Math.round(plan.fastestHz / rateHz));
    const count = Math.max(2, Math.floor(plan.rowsS.length / every));
    const timesS = new Float64Array(count);
    const values = new Float64Array(count);
    const exact = new Float64Array(count);
    let held = series[Math.round(fromS / KEPT_S)]!;
    let at = Math.round(fromS / KEPT_S);
    for (let k = 0; k < count; k++) {
      const timeS = plan.rowsS[k * every]!;
      const upTo = Math.min(series.length - 1, Math.round(timeS / KEPT_S));
      for (; at < upTo; at++)
        held = kind.lagS > 0 ? held + (series[at]! - held) * Math.min(1, KEPT_S / kind.lagS) : series[at]!;
      const clean = kind.lagS > 0 ? held : series[upTo]!;
      timesS[k] = timeS;
      exact[k] = series[upTo]!;
      // A sensor's noise is there in the signal; standing things read still.
      const moves =
        kind.channel === 'engine-speed' || kind.channel === 'vehicle-speed' || kind.channel === 'shaft-speed'
          ? clean > 0.5
            ? 1
            : 0
          : 1;
      let value =
        clean * scale +
        offset +
        moves * (chance.bell(kind.noise) + chance.bell((kind.noiseShare ?? 0) * Math.abs(clean)));
      if (isThrottle || kind.channel === 'wastegate-duty' || kind.channel === 'injector-duty')
        value = Math.max(0, Math.min(1, value));
      if (
        kind.channel === 'injection-flow' ||
        kind.channel === 'air-flow' ||
        kind.channel.endsWith('speed') ||
        kind.channel === 'oil-pressure'
      )
        value = Math.max(0, value);
      values[k] = Math.min(top, value);
      if (spoiled?.channel === kind.channel && fault) spoil(values, k, timeS, fault, spoiled, kind.channel, chance);
    }
    return { channel: kind.channel, rateHz: plan.fastestHz / every, timesS, values, true: exact };
  });
  return { reads, spoiled };
};

const spoil = (
  values: Float64Array,
  k: number,
  timeS: number,
  fault: Fault,
  { startS, endS }: { readonly startS: number; readonly endS: number },
  channel: ChannelName,
  chance: Chance,
): void => {
  if (timeS < startS || timeS > endS) return;
  if (fault.id === 'sensor-stuck') {
    if (k > 0) values[k] = values[k - 1]!;
    return;
  }
  if (fault.id === 'sensor-spikes') {
    if (chance.is(0.004 + 0.012 * fault.size))
      values[k] = channel.endsWith('temperature')
        ? 233.15 + 170 * chance.next()
        : values[k]! * chance.pick([0.2, 0.4, 1.9, 2.6]) + 3;
    return;
  }
  // Lost for a third of a second to a second and a half, three to eight times.
  const beat = Math.floor((timeS - startS) / ((endS - startS) / (3 + 5 * fault.size)));
  const inBeat = timeS - startS - beat * ((endS - startS) / (3 + 5 * fault.size));
  if (inBeat < 0.35 + 1.1 * fault.draw) values[k] = LOST[channel] ?? 0;
};
