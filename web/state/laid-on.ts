/** The logged pull that lies over the prediction: its readings gathered by engine speed. */
import { useMemo } from 'react';
import type { RunSummary, RunView } from '../../src/app/api.ts';
import type { ChannelName } from '../../src/logs/types.ts';
import type { ReviewedPull } from '../../src/review/types.ts';
import { fetchRun, fetchTraces } from '../answers/client.ts';
import { answered, useAnswer } from '../answers/use-answer.ts';
import { gatherBySpeed, settledStretch } from '../charts/interpolate.ts';
import { laidOnStore } from './chosen.ts';
import { useRuns } from './garage.ts';
import { useStore } from './store.ts';

/** Channels that say something the model also says. */
const GATHERED = [
  'manifold-pressure',
  'compressor-outlet-pressure',
  'intake-temperature',
  'compressor-outlet-temperature',
  'charge-temperature',
  'air-flow',
  'fuel-pressure',
  'lambda',
  'spark-advance',
  'injector-duty',
  'exhaust-pressure',
  'exhaust-temperature',
  'shaft-speed',
] as const satisfies readonly ChannelName[];
export type GatheredChannel = (typeof GATHERED)[number];

const STEP_RPM = 50;
const HALF_WIDTH_RPM = 60;

export interface LaidOnPull {
  readonly run: RunView;
  readonly pull: ReviewedPull;
  readonly pullIndex: number;
  /** Engine speeds of the gathered readings, 50 rpm apart. */
  readonly engineSpeedRpm: readonly number[];
  readonly channels: ReadonlyMap<GatheredChannel, Float64Array>;
  /** Gear whose readings stand at each engine speed; null where it is not known or nothing was logged. */
  readonly gears: readonly (number | null)[];
  readonly barometricPressurePa: number;
}

export interface LaidOnState {
  readonly laid: LaidOnPull | null;
  /** Reviewed runs of this build that could be laid on. */
  readonly candidates: readonly RunSummary[];
  readonly waiting: boolean;
}

/** Settles which pull lies over the build's prediction and gathers its readings. */
export const useLaidOn = (carId: string, buildId: string): LaidOnState => {
  const wanted = useStore(laidOnStore);
  const runs = answered(useRuns(carId));
  const candidates = useMemo(
    () =>
      (runs?.runs ?? []).filter((run) => run.buildId === buildId && run.state === 'reviewed' && (run.pulls ?? 0) > 0),
    [runs, buildId],
  );
  const chosen =
    wanted === 'none'
      ? undefined
      : wanted === 'auto'
        ? candidates[0]
        : candidates.find((run) => run.id === wanted.runId);
  const run = answered(useAnswer(chosen ? `run ${chosen.id}` : null, () => fetchRun(chosen!.id)));
  const pullIndex = run === undefined ? 0 : pullOf(run, typeof wanted === 'object' ? wanted.pull : null);
  const pull = run?.pulls[pullIndex];
  const asked = useMemo(
    () => GATHERED.filter((channel) => run?.channels.some((logged) => logged.channel === channel)),
    [run],
  );
  const traces = answered(
    useAnswer(run && pull ? `traces ${run.run.id} gathered ${pullIndex}` : null, () =>
      fetchTraces(run!.run.id, ['engine-speed', ...asked], pull!, 4000),
    ),
  );
  const laid = useMemo((): LaidOnPull | null => {
    const speed = traces?.traces.find(({ channel }) => channel === 'engine-speed');
    if (run === undefined || pull === undefined || speed === undefined) return null;
    const first = Math.ceil(pull.minEngineSpeedRpm / STEP_RPM) * STEP_RPM;
    const places = Array.from(
      { length: Math.max(0, Math.floor((pull.maxEngineSpeedRpm - first) / STEP_RPM) + 1) },
      (_, i) => first + i * STEP_RPM,
    );
    const parts = pull.parts.length > 0 ? pull.parts : [{ gear: null, startS: pull.startS, endS: pull.endS }];
    const settled = settledStretch(speed, parts, places, HALF_WIDTH_RPM);
    const channels = new Map(
      asked.flatMap((channel): [GatheredChannel, Float64Array][] => {
        const trace = traces?.traces.find((one) => one.channel === channel);
        if (!trace) return [];
        const byPart = parts.map((part) => gatherBySpeed(speed, trace, part, places, HALF_WIDTH_RPM));
        return [[channel, Float64Array.from(settled, (part, place) => byPart[part]?.[place] ?? Number.NaN)]];
      }),
    );
    return {
      run,
      pull,
      pullIndex,
      engineSpeedRpm: places,
      channels,
      gears: Array.from(settled, (part) => parts[part]?.gear ?? null),
      barometricPressurePa: run.log.barometricPressurePa,
    };
  }, [traces, run, pull, pullIndex, asked]);
  return { laid, candidates, waiting: chosen !== undefined && laid === null };
};

/** The pull asked for, else the one with the widest range of engine speed. */
const pullOf = (run: RunView, asked: number | null): number => {
  if (asked !== null && run.pulls[asked] !== undefined) return asked;
  let best = 0;
  run.pulls.forEach((pull, index) => {
    const range = ({ minEngineSpeedRpm, maxEngineSpeedRpm }: ReviewedPull) => maxEngineSpeedRpm - minEngineSpeedRpm;
    if (range(pull) > range(run.pulls[best]!)) best = index;
  });
  return best;
};
