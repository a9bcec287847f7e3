/** Segments and the gear of every moment against the labels beside the checkout (an independent simulator's logs). */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { driverDemand } from './demand.ts';
import { gearRuns, gearTrackOf } from './gear-track.ts';
import { gearModelOf } from './gears.ts';
import { readLog } from './read-log.ts';
import { channelNamed, quantileOf } from './sampling.ts';
import { soundEngineSpeed } from './sound.ts';
import type { Log, SegmentKind } from './types.ts';

const FOLDER = join(import.meta.dirname, '../../../shared/logs');
const isPresent = existsSync(join(FOLDER, 'each'));
if (!isPresent) console.log('not run: segments of labelled logs (no ../shared/logs beside the checkout)');

interface Truth {
  readonly log: string;
  readonly t0_log_s?: number;
  readonly time_map: readonly { from_s: number; to_s: number | null; log_minus_true_s: number }[];
  readonly time_faults: { readonly clock_step: unknown };
  readonly events: readonly { kind: string; t0: number; t1: number }[];
  readonly shifts: readonly { t_start: number; t_end: number; from_gear: number; to_gear: number }[];
  readonly pulls: readonly { t_start: number; t_end: number; gear: number }[];
  readonly told_car: { vehicle: { gear_ratios: number[]; final_drive: number; tyre_radius_m: number } };
}

const onLogClock = (truth: Truth, trueS: number): number => {
  const row = truth.time_map.find(({ from_s, to_s }) => trueS >= from_s && (to_s === null || trueS < to_s));
  return trueS + (row?.log_minus_true_s ?? truth.t0_log_s ?? 0);
};

const tally = { events: 0, found: 0, edgesS: [] as number[], extraShifts: 0, samples: 0, right: 0, wrong: 0 };

const compare = (truth: Truth, log: Log, kind: SegmentKind, t0: number, t1: number): void => {
  const [from, to] = [onLogClock(truth, t0), onLogClock(truth, t1)];
  // A gap of the log inside it leaves no edges to find.
  if (log.clockFaults.some((fault) => fault.kind === 'gap' && fault.startS < to && fault.endS > from)) return;
  tally.events++;
  const over = (segment: Log['segments'][number]) => Math.min(to, segment.endS) - Math.max(from, segment.startS);
  const seen = log.segments.filter((segment) => segment.kind === kind && over(segment) > 0);
  const best = seen.sort((a, b) => over(b) - over(a))[0];
  if (!best) return;
  tally.found++;
  tally.edgesS.push(Math.abs(best.startS - from), Math.abs(best.endS - to));
};

/** Stretches whose gear the labels tell: pulls, and some seconds to either side of a shift. */
const gearsTold = ({ shifts, pulls }: Truth): (readonly [number, number, number])[] => [
  ...pulls.map(({ t_start, t_end, gear }) => [t_start + 0.05, t_end - 0.05, gear] as const),
  ...shifts.flatMap((shift, i) => {
    const before = shifts[i - 1]?.t_end ?? Number.NEGATIVE_INFINITY;
    const after = shifts[i + 1]?.t_start ?? Number.POSITIVE_INFINITY;
    return [
      [shift.t_end, Math.min(shift.t_end + 2, after), shift.to_gear] as const,
      [Math.max(shift.t_start - 1.2, before), shift.t_start, shift.from_gear] as const,
    ];
  }),
];

const compareGears = (truth: Truth, log: Log, gearing: { rpmPerMPerS: number[] }): void => {
  const rpm = soundEngineSpeed(channelNamed(log, 'engine-speed')!);
  const track = gearTrackOf(
    rpm,
    gearModelOf(log, gearing),
    800,
    log.pulls.flatMap(({ parts }) => parts),
  );
  if (!track) return;
  const runs = gearRuns(track).map(({ gear, from, to }) => ({
    gear,
    startS: track.timesS[from]! - 0.02,
    endS: track.timesS[to - 1]! + 0.02,
  }));
  for (const [from, to, gear] of gearsTold(truth)) {
    for (let trueS = from; trueS < to; trueS += 0.05) {
      const timeS = onLogClock(truth, trueS);
      if (timeS < log.startS || timeS > log.endS) continue;
      const seen = runs.find(({ startS, endS }) => timeS >= startS && timeS <= endS)?.gear;
      tally.samples++;
      if (seen === gear) tally.right++;
      else if (seen !== undefined) tally.wrong++;
    }
  }
};

describe('segments of labelled logs', () => {
  it.runIf(isPresent)(
    'crank, launch, coast and shift stand where the labels say, and so does the gear',
    () => {
      for (const folder of ['each', 'mixed']) {
        for (const file of readdirSync(join(FOLDER, folder)).filter((name) => name.endsWith('.truth.json'))) {
          const truth = JSON.parse(readFileSync(join(FOLDER, folder, file), 'utf8')) as Truth;
          const { gear_ratios: ratios, final_drive: final, tyre_radius_m: radiusM } = truth.told_car.vehicle;
          const gearing = { rpmPerMPerS: ratios.map((ratio) => ((ratio * final) / radiusM) * (30 / Math.PI)) };
          const read = readLog(readFileSync(join(FOLDER, folder, truth.log)), { gearing });
          if (!read.ok) throw new Error(read.problem.says);
          const { log } = read;
          for (const { kind, t0, t1 } of truth.events)
            if (kind === 'crank' || kind === 'launch' || kind === 'coast') compare(truth, log, kind, t0, t1);
          if (truth.time_faults.clock_step) continue;
          for (const { t_start, t_end } of truth.shifts) compare(truth, log, 'shift', t_start, t_end);
          const shifts = log.segments.filter(({ kind }) => kind === 'shift').length;
          tally.extraShifts += Math.max(0, shifts - truth.shifts.length);
          compareGears(truth, log, gearing);
          // A pull needs a driver who asked for everything.
          expect(log.pulls.length === 0 || driverDemand(log) !== null).toBe(true);
        }
      }
      const { edgesS, ...rest } = tally;
      const ninth = quantileOf(edgesS, 0.9)!;
      console.log('segments of labelled logs:', JSON.stringify({ ...rest, median: quantileOf(edgesS, 0.5), ninth }));
      expect(tally.events).toBeGreaterThan(90);
      expect(tally.found / tally.events).toBeGreaterThanOrEqual(0.98);
      expect(tally.extraShifts).toBeLessThanOrEqual(1);
      expect(edgesS.filter((edge) => edge < 0.2).length / edgesS.length).toBeGreaterThanOrEqual(0.95);
      expect(tally.right / tally.samples).toBeGreaterThanOrEqual(0.99);
      expect(tally.wrong).toBe(0);
    },
    120_000,
  );
});
