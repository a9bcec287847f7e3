import { type Channel, firstIndexAtOrAfter, medianOf, quantileOf } from '../../logs/index.ts';
import type { ReviewContext } from '../context.ts';
import { flatBursts } from './readings.ts';
import { atMoment, finding, inSeconds, lacking, type Rule } from './rule.ts';

/** Readings missing for this many periods, and for this long, are no jitter of the logger. */
const MISSING_PERIODS = 2.6;
const MISSING_S = 0.12;
/** Longer absences are a sensor or message switched off, told by other means. */
const LONGEST_S = 8;
/** Blank cells in other channels at the same time mean the logger, not this sensor. */
const OTHERS_ALSO_SHARE = 0.5;

interface Burst {
  readonly startS: number;
  readonly endS: number;
  readonly kind: 'missing' | 'flat';
}

/** Holes in the channel's own readings that the rows of the file do not have. */
const missingIn = (context: ReviewContext, channel: Channel): Burst[] => {
  const { timesS } = channel;
  const size = Math.max(0, timesS.length - 1);
  let longestS = 0;
  for (let i = 0; i < size; i++) longestS = Math.max(longestS, timesS[i + 1]! - timesS[i]!);
  // No hole can be shorter than the least that counts: most channels have none.
  if (longestS <= MISSING_S * context.strictness) return [];
  const steps = new Float64Array(size);
  for (let i = 0; i < size; i++) steps[i] = timesS[i + 1]! - timesS[i]!;
  const period = medianOf(steps);
  const usual = quantileOf(steps, 0.97);
  if (period === null || usual === null || steps.length < 20) return [];
  const limit = Math.max(MISSING_S, MISSING_PERIODS * period, 1.8 * usual) * context.strictness;
  const column = context.log.table.columns.find((one) => one.index === channel.index);
  if (!column) return [];
  const rises = context.kept('rows in order of time', () =>
    context.log.table.timeS.every((timeS, row, all) => row === 0 || timeS >= all[row - 1]!),
  );
  const rowS = context.log.medianRateHz > 0 ? 1 / context.log.medianRateHz : 0;
  const holes: number[] = [];
  for (let i = 0; i < steps.length; i++) if (steps[i]! > limit && steps[i]! <= LONGEST_S) holes.push(i);
  return holes.flatMap((i): Burst[] => {
    const step = steps[i]!;
    const startS = timesS[i]!;
    const endS = timesS[i + 1]!;
    let rows = 0;
    let blank = 0;
    // What the logger itself left out is no hole of this channel.
    let leftOutS = 0;
    let beforeS = startS;
    const { timeS } = context.log.table;
    for (let row = rises ? firstIndexAtOrAfter(timeS, startS) : 0; row < timeS.length; row++) {
      if (rises && timeS[row]! >= endS) break;
      if (timeS[row]! <= startS || timeS[row]! >= endS) continue;
      rows++;
      if (!Number.isFinite(column.cells[row]!)) blank++;
      if (timeS[row]! - beforeS > MISSING_PERIODS * rowS) leftOutS += timeS[row]! - beforeS;
      beforeS = timeS[row]!;
    }
    if (endS - beforeS > MISSING_PERIODS * rowS) leftOutS += endS - beforeS;
    if (rises && step - leftOutS <= limit) return [];
    // Rows must be there, with this cell empty in all of them: a held value is not a hole, a clock gap is not ours.
    if (rows === 0 || blank < rows || (rows + 1) / step < 0.5 / period) return [];
    return [{ startS, endS, kind: 'missing' }];
  });
};

export const sensorDropout: Rule = {
  id: 'sensor-dropout',
  look(context) {
    if (context.log.channels.length === 0) return lacking('engine-speed');
    const seen = context.log.channels.flatMap((channel) => {
      const bursts = [
        ...missingIn(context, channel),
        ...flatBursts(channel).map(({ startS, endS }): Burst => ({ startS, endS, kind: 'flat' })),
      ];
      return bursts.length > 0 ? [{ channel, bursts }] : [];
    });
    const missing = seen.filter(({ bursts }) => bursts.some((burst) => burst.kind === 'missing')).length;
    const loggersFault = missing > Math.max(2, OTHERS_ALSO_SHARE * context.log.channels.length);
    return seen.flatMap(({ channel, bursts: all }) => {
      const bursts = (loggersFault ? all.filter((burst) => burst.kind === 'flat') : all).sort(
        (a, b) => a.startS - b.startS,
      );
      const first = bursts[0];
      if (!first) return [];
      const together = bursts.reduce((sum, burst) => sum + burst.endS - burst.startS, 0);
      return [
        finding('sensor-dropout', {
          severity:
            bursts.length === 1 && together < Math.max(0.3, 3.5 / Math.max(channel.rateHz, 0.1)) ? 'note' : 'watch',
          confidence: Math.min(0.96, 0.7 + 0.08 * bursts.length),
          startS: first.startS,
          endS: bursts.at(-1)!.endS,
          channels: [channel.channel],
          numbers: {
            dropouts: bursts.length,
            togetherS: together,
            longestS: Math.max(...bursts.map((burst) => burst.endS - burst.startS)),
          },
          says: `The ${channel.channel.replaceAll('-', ' ')} signal was lost ${bursts.length === 1 ? 'once' : `${bursts.length} times`}, ${inSeconds(together)} in all, first at ${atMoment(first.startS)}.`,
          couldAlsoBe: ['a loose plug or chafed wire', 'a logger that drops messages'],
          next: 'Wiggle plug and harness with the engine idling and watch the reading; do not tune on this channel until it holds.',
          source: 'common practice',
        }),
      ];
    });
  },
};
