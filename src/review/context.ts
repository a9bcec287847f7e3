/** What findings share: channels on one common grid, full-load stretches, what was asked for, the air of the day. */
import type { Car } from '../car/index.ts';
import {
  type Channel,
  type ChannelName,
  channelNamed,
  type Log,
  medianOf,
  type Pull,
  resample,
} from '../logs/index.ts';
import { linearCurve } from '../physics/index.ts';
import { extremeIn, type Span, spansWhere } from './findings/spans.ts';
import type { Finding } from './types.ts';

/** Grid rates below hide shifts, rates above only cost time (no engine quantity here moves faster than a few hertz). */
const SLOWEST_GRID_HZ = 10;
const FASTEST_GRID_HZ = 50;
const MOST_GRID_POINTS = 500_000;

/** Gas constant of dry air [J/(kg K)]; humid air lies within 1 %. Source: ISO 2533. */
const AIR_GAS_CONSTANT_J_PER_KG_K = 287.05;

/** One single-gear stretch at full pedal, on the grid. */
export interface LoadStretch extends Span {
  readonly pull: number;
  readonly gear: number | null;
  /** False when it follows a full-throttle shift: boost and mixture then settle from another state. */
  readonly first: boolean;
}

/** A quantity that was asked for, on the grid, and who asked. */
export interface Wanted {
  readonly values: Float64Array;
  readonly from: 'channel' | 'build';
}

/** Air before the filter [K] and how it is known. */
export interface Ambient {
  readonly temperatureK: number;
  readonly from: ChannelName;
}

/** Everything a rule may look at. Arrays on the grid hold NaN where there is no reading near. */
export interface ReviewContext {
  readonly log: Log;
  readonly car: Car | null;
  readonly pulls: readonly Pull[];
  readonly timesS: Float64Array;
  readonly stepS: number;
  readonly barometricPressurePa: number;
  readonly ambient: Ambient | null;
  /** Single-gear stretches of all pulls in order of time. */
  readonly loads: readonly LoadStretch[];
  /** Most trusted channel of a name as it was read. */
  channel(name: ChannelName): Channel | null;
  /** The channel on the grid, single-reading spikes taken out; null when it was not logged or is not to be trusted. */
  on(name: ChannelName): Float64Array | null;
  /** Asked manifold pressure, absolute [Pa]: the channel, else the build's target. */
  wantedManifoldPressurePa(): Wanted | null;
  wantedLambda(): Wanted | null;
  /** Air flow that the engine takes by speed, manifold pressure and charge temperature [kg/s]; needs the build. */
  speedDensityKgPerS(): Float64Array | null;
  /** Samples of the grid in this many seconds, at least one. */
  samples(seconds: number): number;
  /** Channels found untrustworthy so far; rules on engine and car do not rest on them. */
  readonly doubted: ReadonlySet<ChannelName>;
  doubt(name: ChannelName): void;
  /** Findings made so far, filled in as the rules run. */
  readonly found: Finding[];
  /** Answers kept between rules, by name. */
  kept<T>(key: string, compute: () => T): T;
}

/** Straight-line reading of a build's curve; constant beyond its ends. */
export const curveReader = (curve: { at: readonly number[]; values: readonly number[] }): ((at: number) => number) => {
  const made = linearCurve(curve.at, curve.values);
  return made.ok ? made.value.at : () => Number.NaN;
};

/** How much a reading must differ from both neighbours, in robust standard deviations of such differences, to be a spike. */
const SPIKE_SIGMAS = 12;

/** Indexes of readings that stand alone: far from both neighbours while these agree. None for quantities without a {@link SPIKE_SCALE}. */
export const lonelyReadings = (channel: Channel): number[] => {
  const { values, timesS } = channel;
  const scale = SPIKE_SCALE[channel.channel];
  const size = values.length;
  if (!scale || size < 12 || channel.rateHz < scale.slowestHz) return [];
  const off = new Float64Array(size - 2);
  for (let i = 1; i < size - 1; i++) off[i - 1] = Math.abs(values[i]! - (values[i - 1]! + values[i + 1]!) / 2);
  const sigma = 1.4826 * (medianOf(off) ?? 0);
  const limit = Math.max(scale.leastJump, SPIKE_SIGMAS * sigma);
  const hole = 4 / Math.max(channel.rateHz, 1e-6);
  const found: number[] = [];
  for (let i = 2; i < size - 2; i++) {
    if (off[i - 1]! < limit) continue;
    // Neighbours on each side must agree among themselves and across: a step or a swing is no spike.
    const calm = Math.max(
      Math.abs(values[i - 1]! - values[i + 1]!),
      Math.abs(values[i - 2]! - values[i - 1]!),
      Math.abs(values[i + 2]! - values[i + 1]!),
    );
    if (calm < 0.35 * off[i - 1]! && timesS[i + 1]! - timesS[i - 1]! < hole) found.push(i);
  }
  return found;
};

interface SpikeScale {
  /** Least jump that counts, SI: well over what the quantity does between two readings. */
  readonly leastJump: number;
  /** Slowest logging [Hz] at which a lone reading is no real event: a blip of the throttle lasts a fifth of a second, a car does not change speed in one. */
  readonly slowestHz: number;
}

/** Quantities in which lone readings are looked for. */
export const SPIKE_SCALE: Partial<Record<ChannelName, SpikeScale>> = {
  'engine-speed': { leastJump: 400, slowestHz: 9 },
  'vehicle-speed': { leastJump: 2.5, slowestHz: 2 },
  'wheel-speed-driven': { leastJump: 2.5, slowestHz: 4 },
  'wheel-speed-undriven': { leastJump: 2.5, slowestHz: 4 },
  'satellite-speed': { leastJump: 2.5, slowestHz: 2 },
  'manifold-pressure': { leastJump: 15e3, slowestHz: 9 },
  'compressor-outlet-pressure': { leastJump: 15e3, slowestHz: 9 },
  'exhaust-pressure': { leastJump: 25e3, slowestHz: 9 },
  'charge-temperature': { leastJump: 6, slowestHz: 0.5 },
  'intake-temperature': { leastJump: 6, slowestHz: 0.5 },
  'coolant-temperature': { leastJump: 6, slowestHz: 0.2 },
  'oil-temperature': { leastJump: 6, slowestHz: 0.2 },
  'compressor-outlet-temperature': { leastJump: 12, slowestHz: 2 },
  'exhaust-temperature': { leastJump: 40, slowestHz: 2 },
  'oil-pressure': { leastJump: 80e3, slowestHz: 9 },
  'fuel-pressure': { leastJump: 60e3, slowestHz: 9 },
  lambda: { leastJump: 0.1, slowestHz: 9 },
  'air-flow': { leastJump: 0.02, slowestHz: 9 },
  'battery-voltage': { leastJump: 1.2, slowestHz: 2 },
  'shaft-speed': { leastJump: 15000, slowestHz: 9 },
  throttle: { leastJump: 0.25, slowestHz: 18 },
  pedal: { leastJump: 0.25, slowestHz: 18 },
};

const withoutSpikes = (channel: Channel): Channel => {
  const lonely = lonelyReadings(channel);
  if (lonely.length === 0) return channel;
  const drop = new Set(lonely);
  return {
    ...channel,
    timesS: channel.timesS.filter((_, i) => !drop.has(i)),
    values: channel.values.filter((_, i) => !drop.has(i)),
  };
};

/** What a control sets rather than a sensor reads: it stands until it is set anew, however long no fresh value was written. */
const SET_VALUES: ReadonlySet<ChannelName> = new Set([
  'manifold-pressure-target',
  'lambda-target',
  'wastegate-duty',
  'knock-retard',
  'knock-count',
  'misfire-count',
  'gear',
]);

/** The latest value at each time; before the first one, that one. */
const lastSet = (channel: Channel, timesS: Float64Array): Float64Array => {
  let at = 0;
  return timesS.map((timeS) => {
    while (at + 1 < channel.timesS.length && channel.timesS[at + 1]! <= timeS) at++;
    return channel.values[at]!;
  });
};

const gridOf = (log: Log): { timesS: Float64Array; stepS: number } => {
  const lengthS = Math.max(0, log.endS - log.startS);
  const wantedHz = Math.min(FASTEST_GRID_HZ, Math.max(SLOWEST_GRID_HZ, log.medianRateHz || SLOWEST_GRID_HZ));
  const stepS = Math.max(1 / wantedHz, lengthS / MOST_GRID_POINTS);
  const size = Math.floor(lengthS / stepS + 1e-9) + 1;
  return { timesS: Float64Array.from({ length: size }, (_, i) => log.startS + i * stepS), stepS };
};

/** Outside air: its own sensor, else the air before the compressor at its coolest (that sensor soaks heat at standstill). */
const ambientOf = (log: Log): Ambient | null => {
  const outside = channelNamed(log, 'ambient-temperature');
  const outsideK = outside && medianOf(outside.values);
  if (outside && outsideK !== null) return { temperatureK: outsideK, from: 'ambient-temperature' };
  const intake = channelNamed(log, 'intake-temperature');
  const coolest = intake && extremeIn(intake.values, 'smallest');
  return coolest ? { temperatureK: coolest.value, from: 'intake-temperature' } : null;
};

/** Gathers what the rules need. Nothing is resampled before a rule asks for it. */
export const reviewContext = (log: Log, car: Car | null, pulls: readonly Pull[]): ReviewContext => {
  const { timesS, stepS } = gridOf(log);
  const store = new Map<string, unknown>();
  const doubted = new Set<ChannelName>();
  const kept = <T>(key: string, compute: () => T): T => {
    if (!store.has(key)) store.set(key, compute());
    return store.get(key) as T;
  };
  const channel = (name: ChannelName) => channelNamed(log, name);
  const on = (name: ChannelName): Float64Array | null => {
    if (doubted.has(name)) return null;
    return kept(`on ${name}`, () => {
      const found = channel(name);
      if (!found || found.timesS.length === 0) return null;
      return SET_VALUES.has(name) ? lastSet(found, timesS) : resample(withoutSpikes(found), timesS);
    });
  };
  const bySpeed = (key: string, curve: { at: readonly number[]; values: readonly number[] }, plus: number) =>
    kept(key, () => {
      const speed = on('engine-speed');
      const read = curveReader(curve);
      return (
        speed && {
          values: speed.map((rpm) => (Number.isFinite(rpm) ? read(rpm) + plus : Number.NaN)),
          from: 'build' as const,
        }
      );
    });
  const loads = pulls.flatMap((pull, index) =>
    pull.parts.flatMap((part, place): LoadStretch[] =>
      spansWhere(timesS, (i) => timesS[i]! >= part.startS && timesS[i]! <= part.endS, { minimumS: 0.4 }).map(
        (span) => ({
          ...span,
          pull: index,
          gear: part.gear,
          first: place === 0,
        }),
      ),
    ),
  );
  const context: ReviewContext = {
    log,
    car,
    pulls,
    timesS,
    stepS,
    barometricPressurePa: log.barometricPressurePa,
    ambient: ambientOf(log),
    loads,
    channel,
    on,
    wantedManifoldPressurePa: () => {
      const asked = on('manifold-pressure-target');
      if (asked) return { values: asked, from: 'channel' };
      if (!car) return null;
      return bySpeed('asked boost', car.curves.boostTarget, car.curves.boostIsGauge ? log.barometricPressurePa : 0);
    },
    wantedLambda: () => {
      const asked = on('lambda-target');
      if (asked) return { values: asked, from: 'channel' };
      return car && bySpeed('asked lambda', car.curves.lambdaTarget, 0);
    },
    speedDensityKgPerS: () =>
      kept('speed-density', () => {
        const speed = on('engine-speed');
        const pressure = on('manifold-pressure');
        const temperature = on('charge-temperature');
        if (!car || !speed || !pressure || !temperature) return null;
        const filling = curveReader(car.curves.volumetricEfficiency);
        return speed.map((rpm, i) => {
          const volumeM3PerS = (car.engine.displacementM3 * rpm) / 120;
          return (filling(rpm) * volumeM3PerS * pressure[i]!) / (AIR_GAS_CONSTANT_J_PER_KG_K * temperature[i]!);
        });
      }),
    samples: (seconds) => Math.max(1, Math.round(seconds / stepS)),
    doubted,
    found: [],
    doubt: (name) => {
      doubted.add(name);
      store.delete('speed-density');
    },
    kept,
  };
  return context;
};
