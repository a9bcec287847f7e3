/** A reading that stands still at the top of its range while what it measures must be rising: shared by the two ceiling rules. */
import type { Channel, ChannelName } from '../../logs/index.ts';
import type { ReviewContext } from '../context.ts';
import { equalRuns, extremeIn, type Span } from './spans.ts';

export interface Plateau extends Span {
  readonly value: number;
  /** How many readings at the channel's own rate stood still. */
  readonly readings: number;
}

/** A noisy reading does not repeat itself this often in a row. */
const LEAST_READINGS = 6;
const LEAST_S = 0.4;

/** Cells of a channel as written with their times, without blanks; a held cell counts, so that a standing sensor shows as it is. */
export const writtenCells = (
  context: ReviewContext,
  channel: Channel,
): { readonly timesS: Float64Array; readonly cells: Float64Array } =>
  context.kept(`written ${channel.index}`, () => {
    const { columns, timeS } = context.log.table;
    const all = columns.find((one) => one.index === channel.index)?.cells ?? new Float64Array(0);
    if (all.every(Number.isFinite)) return { timesS: timeS, cells: all };
    const timesS = new Float64Array(all.length);
    const cells = new Float64Array(all.length);
    let size = 0;
    for (let i = 0; i < all.length; i++) {
      if (!Number.isFinite(all[i]!)) continue;
      timesS[size] = timeS[i]!;
      cells[size++] = all[i]!;
    }
    return { timesS: timesS.subarray(0, size), cells: cells.subarray(0, size) };
  });

/**
 * Stretches at the channel's greatest value in which every reading is the same, bridged over single lower digits.
 * Works on the cells as written, so that it does not matter how held cells were told from fresh ones.
 */
export const plateaus = (context: ReviewContext, name: ChannelName): Plateau[] => {
  const channel = context.channel(name);
  if (!channel) return [];
  const { timesS: times, cells: values } = writtenCells(context, channel);
  const top = extremeIn(values, 'largest');
  const topSi = extremeIn(channel.values, 'largest');
  if (!top || !topSi) return [];
  // The step between neighbouring written values near the top tells one digit from a real difference.
  const slack = 0.0008 * Math.abs(top.value);
  const rate = Math.max(channel.rateHz, 0.1);
  return equalRuns(
    times,
    values.map((value) => (value >= top.value - slack ? top.value : value)),
    Math.max(1, 3.5 / rate),
  )
    .filter((run) => run.value === top.value)
    .map((run) => ({ ...run, value: topSi.value, readings: Math.round((run.endS - run.startS) * rate) + 1 }))
    .filter((run) => run.readings >= LEAST_READINGS && run.endS - run.startS >= LEAST_S);
};

/** The part of the grid that a plateau covers. */
export const onGrid = (
  context: ReviewContext,
  span: { startS: number; endS: number },
): { from: number; to: number } => {
  const at = (timeS: number) =>
    Math.min(context.timesS.length, Math.max(0, Math.ceil((timeS - context.timesS[0]!) / context.stepS)));
  return { from: at(span.startS), to: Math.max(at(span.startS), at(span.endS)) };
};
