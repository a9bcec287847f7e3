/** What findings share: channels on one common grid, full-load stretches, what was asked for, the air of the day. */
import type { Car, ResolvedBuild } from '../car/index.ts';
import {
  type Channel,
  type ChannelName,
  channelNamed,
  firstIndexAtOrAfter,
  type Log,
  medianOf,
  type Pull,
  resample,
} from '../logs/index.ts';
import { linearCurve } from '../physics/index.ts';
import { withoutWrongReadings } from './findings/readings.ts';
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
  /** The build behind `car`, for what needs its plus-minus. */
  readonly resolved: ResolvedBuild | null;
  readonly pulls: readonly Pull[];
  readonly timesS: Float64Array;
  readonly stepS: number;
  readonly barometricPressurePa: number;
  readonly ambient: Ambient | null;
  /** Single-gear stretches of all pulls in order of time. */
  readonly loads: readonly LoadStretch[];
  /** Most trusted channel of a name as it was read. */
  channel(name: ChannelName): Channel | null;
  /** The same without lone readings and bursts of a lost signal. */
  cleaned(name: ChannelName): Channel | null;
  /** The cleaned channel on the grid, less any offset that was found; null when it was not logged or is not to be trusted. */
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
  /** Takes an offset [SI] that was found out of every later reading of the channel on the grid. */
  correct(name: ChannelName, offset: number): void;
  /**
   * Multiplies each rule's main threshold, counted from the healthy value: 1 in use. Scanned to see how far a log lies from
   * a finding, on either side.
   */
  readonly strictness: number;
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
export const reviewContext = (
  log: Log,
  resolved: ResolvedBuild | null,
  pulls: readonly Pull[],
  strictness = 1,
): ReviewContext => {
  const car = resolved?.car ?? null;
  const { timesS, stepS } = gridOf(log);
  const store = new Map<string, unknown>();
  const doubted = new Set<ChannelName>();
  const offsets = new Map<ChannelName, number>();
  const kept = <T>(key: string, compute: () => T): T => {
    if (!store.has(key)) store.set(key, compute());
    return store.get(key) as T;
  };
  const channel = (name: ChannelName) => channelNamed(log, name);
  const cleaned = (name: ChannelName): Channel | null =>
    kept(`cleaned ${name}`, () => {
      const found = channel(name);
      return found && withoutWrongReadings(found);
    });
  const on = (name: ChannelName): Float64Array | null => {
    if (doubted.has(name)) return null;
    return kept(`on ${name}`, () => {
      const found = cleaned(name);
      if (!found || found.timesS.length === 0) return null;
      if (SET_VALUES.has(name)) return lastSet(found, timesS);
      const offset = offsets.get(name) ?? 0;
      const values = resample(found, timesS);
      return offset === 0 ? values : values.map((value) => value - offset);
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
      spansWhere(timesS, (i) => timesS[i]! <= part.endS, {
        minimumS: 0.4,
        from: firstIndexAtOrAfter(timesS, part.startS),
        to: firstIndexAtOrAfter(timesS, part.endS + stepS),
      }).map((span) => ({
        ...span,
        pull: index,
        gear: part.gear,
        first: place === 0,
      })),
    ),
  );
  const context: ReviewContext = {
    log,
    car,
    resolved,
    pulls,
    timesS,
    stepS,
    barometricPressurePa: log.barometricPressurePa,
    ambient: ambientOf(log),
    loads,
    channel,
    cleaned,
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
    correct: (name, offset) => {
      offsets.set(name, offset);
      store.delete(`on ${name}`);
    },
    strictness,
    found: [],
    doubt: (name) => {
      doubted.add(name);
      store.delete('speed-density');
    },
    kept,
  };
  return context;
};
