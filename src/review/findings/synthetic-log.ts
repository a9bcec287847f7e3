/** Logs made from formulas, for tests: one channel per formula, one pull per span, nothing read from a file. */
import type { Channel, ChannelName, Column, Log, Pull } from '../../logs/index.ts';

export interface SyntheticChannel {
  /** SI value at a time [s]; NaN leaves the cell blank. */
  readonly at: (timeS: number) => number;
  readonly rateHz?: number;
  /** Rounding step, SI. */
  readonly step?: number;
}

export interface SyntheticLog {
  readonly lengthS: number;
  readonly rateHz?: number;
  readonly barometricPressurePa?: number;
  readonly channels: Partial<Record<ChannelName, SyntheticChannel['at'] | SyntheticChannel>>;
  /** Full-pedal stretches: [start, end, gear]; stretches that touch within 0.6 s are one pull. */
  readonly pulls?: readonly (readonly [number, number, number])[];
  readonly clockFaults?: Log['clockFaults'];
}

const channelFrom = (
  name: ChannelName,
  index: number,
  given: SyntheticChannel,
  timesS: Float64Array,
  rateHz: number,
): { channel: Channel; column: Column } => {
  const every = Math.max(1, Math.round(rateHz / (given.rateHz ?? rateHz)));
  const step = given.step ?? 0;
  const cells = timesS.map((timeS, i) => {
    if (i % every !== 0) return Number.NaN;
    const value = given.at(timeS);
    return step > 0 ? Math.round(value / step) * step : value;
  });
  const kept = Array.from(cells.keys()).filter((i) => Number.isFinite(cells[i]!));
  return {
    column: { index, header: name, unitText: '', cells, unreadableCells: 0 },
    channel: {
      index,
      column: name,
      channel: name,
      unit: 'SI',
      confidence: 1,
      rateHz: rateHz / every,
      timesS: Float64Array.from(kept, (i) => timesS[i]!),
      values: Float64Array.from(kept, (i) => cells[i]!),
      resolution: step,
      because: 'made for a test',
    },
  };
};

const pullsFrom = (spans: NonNullable<SyntheticLog['pulls']>): Pull[] => {
  const pulls: Pull[] = [];
  for (const [startS, endS, gear] of spans) {
    const part = { gear, startS, endS };
    const last = pulls.at(-1);
    if (last && startS - last.endS < 0.6) {
      pulls[pulls.length - 1] = {
        ...last,
        endS,
        gears: [...last.gears, gear],
        shiftsS: [...last.shiftsS, last.endS],
        parts: [...last.parts, part],
      };
    } else {
      pulls.push({
        startS,
        endS,
        gears: [gear],
        shiftsS: [],
        parts: [part],
        minEngineSpeedRpm: 2500,
        maxEngineSpeedRpm: 6500,
      });
    }
  }
  return pulls;
};

/** Makes the log. Times start at 0 s. */
export const syntheticLog = ({
  lengthS,
  rateHz = 20,
  barometricPressurePa = 100e3,
  channels,
  pulls = [],
  clockFaults = [],
}: SyntheticLog): Log => {
  const timesS = Float64Array.from({ length: Math.round(lengthS * rateHz) + 1 }, (_, i) => i / rateHz);
  const made = (Object.entries(channels) as [ChannelName, SyntheticChannel['at'] | SyntheticChannel][]).map(
    ([name, given], place) =>
      channelFrom(name, place + 1, typeof given === 'function' ? { at: given } : given, timesS, rateHz),
  );
  const endS = timesS.at(-1) ?? 0;
  return {
    table: {
      dialect: { encoding: 'utf-8', separator: ',', decimal: '.', headerLine: 1, unitsLine: null, timeFormat: 's' },
      rows: timesS.length,
      rowsRefused: [],
      timeS: timesS,
      timeFromFile: true,
      columns: made.map((one) => one.column),
    },
    channels: made.map((one) => one.channel),
    unrecognised: [],
    questions: [],
    startS: 0,
    endS,
    medianRateHz: rateHz,
    barometricPressurePa,
    barometricFrom: 'channel',
    pieces: [{ startS: 0, endS, firstRow: 0, endRow: timesS.length }],
    clockFaults,
    gearClusters: [],
    segments: [],
    pulls: pullsFrom(pulls),
  };
};

/** Straight lines between points [time, value], constant beyond the ends. */
export const through =
  (...points: readonly (readonly [number, number])[]) =>
  (timeS: number): number => {
    for (let i = 1; i < points.length; i++) {
      const [t0, v0] = points[i - 1]!;
      const [t1, v1] = points[i]!;
      if (timeS < t1) return timeS <= t0 ? v0 : v0 + ((v1 - v0) * (timeS - t0)) / (t1 - t0);
    }
    return points.at(-1)![1];
  };

/** Repeatable ripple that looks like sensor noise: amplitude times a sum of incommensurate sines, within +-1.6 amplitude. */
export const ripple =
  (amplitude: number, seed = 0) =>
  (timeS: number): number =>
    amplitude * (Math.sin(37.7 * timeS + seed) + 0.6 * Math.sin(91.3 * timeS + 2 * seed));
