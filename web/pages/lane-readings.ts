/** What a lane of a run shows: its readings put together from tiles, and what stands on the hairline. */
import type { BuildView, RunView, TraceView } from '../../src/app/api.ts';
import type { ChannelName } from '../../src/logs/types.ts';
import type { NearestReading, TraceTiles } from '../answers/trace-tiles.ts';
import { between, readAt } from '../charts/interpolate.ts';
import type { Stretch, TraceData } from '../charts/lane.ts';
import type { Units } from '../state/units.ts';
import { predictedData, traceData } from './channels.ts';
import { letterOf } from './finding-words.ts';
import type { RunState, RunWindow } from './run-state.ts';

export type Predicted = TraceView['predicted'];

/** What is predicted at a time, SI. */
export const predictedAt = (predicted: Predicted, timeS: number): number | undefined => {
  const piece = predicted?.find(
    ({ timesS }) => timesS.length > 1 && timesS[0]! <= timeS && timesS[timesS.length - 1]! >= timeS,
  );
  const place = piece ? between(piece.timesS, timeS) : null;
  const value = piece && place ? readAt(piece.p50, place) : Number.NaN;
  return Number.isFinite(value) ? value : undefined;
};

/** A reading counts at the hairline where it is no further off than this many of its channel's periods. */
const NEAR_PERIODS = 3;
/** Slowest channel that the hairline reads off between its readings [s]. */
const NEAR_S = 2;

export const loggedAt = (
  tiles: TraceTiles,
  channel: ChannelName,
  timeS: number,
  state: RunState,
): NearestReading | null => {
  const found = tiles.nearest(channel, timeS);
  if (!found) return null;
  const rateHz = state.view.channels.find((one) => one.channel === channel)?.rateHz ?? 1;
  const nearS = Math.max(NEAR_S, NEAR_PERIODS / Math.max(0.01, rateHz));
  // Of a coarse tile the nearest reading may be far off, and another one nearer: it is on its way.
  return found.exact && Math.abs(found.timeS - timeS) > nearS ? null : found;
};

/** Stretches of the findings that rest on a channel, in order of time. */
export const stretchesOn = (state: RunState, channel: ChannelName, selected: number | null): Stretch[] =>
  state.findings
    .flatMap((finding, index) => {
      // Engine speed is part of almost every finding: its trace shows only those that rest on nothing else.
      const shown =
        finding.channels.length > 1 ? finding.channels.filter((one) => one !== 'engine-speed') : finding.channels;
      const { startS, endS } = finding;
      return shown.includes(channel) ? [{ startS, endS, selected: index === selected, letter: letterOf(index) }] : [];
    })
    .sort((a, b) => a.startS - b.startS);

/** The channel a finding rests on most: its first that is not engine speed. */
export const leadChannel = (state: RunState, index: number): ChannelName | undefined => {
  const channels = state.findings[index]?.channels ?? [];
  return channels.find((channel) => channel !== 'engine-speed') ?? channels[0];
};

/** A lane's readings in a window; put together anew only when other tiles make it up, since a pan within them moves the scale alone. */
export const createLaneData = (
  channel: ChannelName,
  tiles: TraceTiles,
  predicted: Predicted,
  build: BuildView | undefined,
  units: Units,
  gaps: RunView['log']['gaps'],
): ((window: RunWindow, columns: number) => TraceData) => {
  const expected = predictedData(channel, predicted, units);
  let key: string | null = null;
  let data: TraceData = { timesS: [], values: [], predicted: [] };
  return ({ startS, endS }, columns) => {
    const now = tiles.drawnKey(channel, startS, endS, columns);
    if (now !== key) {
      key = now;
      data = traceData(channel, tiles.drawn(channel, startS, endS, columns), expected, build, units, gaps);
    }
    return data;
  };
};
