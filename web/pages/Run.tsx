/** A run's page: the whole run, its traces over the prediction, what was found, and the power. */
import { useEffect, useMemo, useState } from 'react';
import type { RunView, TraceView } from '../../src/app/api.ts';
import type { ChannelName } from '../../src/logs/types.ts';
import { fetchPredicted, fetchRun, fetchTraces } from '../answers/client.ts';
import { TraceTiles, tilesFromServer } from '../answers/trace-tiles.ts';
import { answered, useAnswer } from '../answers/use-answer.ts';
import { between, readAt } from '../charts/interpolate.ts';
import { runDayAndSource } from '../parts/run-day.ts';
import { Sheet, tableStore } from '../parts/Sheet.tsx';
import { Await } from '../parts/States.tsx';
import { chooseBuild, laidOnStore } from '../state/chosen.ts';
import { useBuild, useFuelOf } from '../state/garage.ts';
import { useKeys } from '../state/keys.ts';
import { engineSpeedStore } from '../state/position.ts';
import { addressOf, go } from '../state/route.ts';
import { useStore } from '../state/store.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { ConfirmChannels } from './ConfirmChannels.tsx';
import { CHANNEL_ORDER } from './channels.ts';
import { FindingsPanel } from './FindingsPanel.tsx';
import { inOrder } from './finding-words.ts';
import { ReadingRemarks } from './NotRead.tsx';
import { RunOverview } from './RunOverview.tsx';
import { RunTable } from './RunTable.tsx';
import { RunTraces } from './RunTraces.tsx';
import { createRunState, type RunState, showPull, showWhole } from './run-state.ts';
import { panBy, zoomBy } from './use-pan-zoom.ts';

const USUAL = 7;
/** Of a press of a button or key: the window so many times as long, or so much of itself on. */
const ZOOM_STEP = 1.6;
const PAN_STEP = 0.25;

/** Traces shown at first: the first of the order that were logged, and every channel a finding rests on. */
const usualChannels = (run: RunView): ChannelName[] => {
  const logged = new Set(run.channels.map(({ channel }) => channel));
  const first = CHANNEL_ORDER.filter((channel) => logged.has(channel) && channel !== 'time').slice(0, USUAL);
  const wanted = new Set([...first, ...run.findings.flatMap(({ channels }) => channels)]);
  return CHANNEL_ORDER.filter((channel) => wanted.has(channel) && logged.has(channel) && channel !== 'time');
};

/** Predictions of windows kept: going back and forth asks nothing twice, a long pan keeps no more than this. */
const KEPT_PREDICTIONS = 6;
const PREDICTED_POINTS = 3000;
/** A window that has stood so long is asked about [ms]. */
const STANDS_MS = 120;

/** What the build predicts around the window; asked for in whole steps, so that a small move asks nothing new. */
const usePredicted = (state: RunState, channels: readonly ChannelName[]) => {
  const [shown, setShown] = useState<ReadonlyMap<ChannelName, NonNullable<TraceView['predicted']>>>(new Map());
  useEffect(() => {
    const { log, run, pulls, prediction } = state.view;
    if (!prediction) return;
    const kept = new Map<string, typeof shown>();
    let last = '';
    let timer = 0;
    let gone = false;
    const look = () => {
      const { startS, endS } = state.window.get();
      const step = 2 ** Math.ceil(Math.log2(Math.max(0.5, endS - startS) / 4));
      const stretch = {
        startS: Math.max(log.startS, Math.floor(startS / step) * step),
        endS: Math.min(log.endS, Math.ceil(endS / step) * step),
      };
      const key = `${stretch.startS} ${stretch.endS}`;
      if (key === last || !pulls.some((pull) => pull.startS < stretch.endS && pull.endS > stretch.startS)) return;
      last = key;
      const known = kept.get(key);
      if (known) setShown(known);
      else {
        fetchPredicted(run.id, channels, stretch, PREDICTED_POINTS).then(
          ({ traces }) => {
            const answer = new Map(traces.map(({ channel, predicted }) => [channel, predicted]));
            kept.set(key, answer);
            for (const old of kept.keys()) if (kept.size > KEPT_PREDICTIONS) kept.delete(old);
            if (!gone && last === key) setShown(answer);
          },
          () => {
            // Traces say when the server is away; the next move asks again.
            last = '';
          },
        );
      }
    };
    const soon = () => {
      clearTimeout(timer);
      timer = setTimeout(look, STANDS_MS) as unknown as number;
    };
    look();
    const stop = state.window.subscribe(soon);
    return () => {
      gone = true;
      clearTimeout(timer);
      stop();
    };
  }, [state, channels]);
  return shown;
};

/** The hairline's engine speed inside a pull is the engine speed of every other sheet. */
const useSharedSpeed = (state: RunState, speed: ReturnType<typeof useOverviewSpeed>) => {
  useEffect(() => {
    if (!speed) return;
    const follow = () => {
      const time = state.time.get();
      if (!state.view.pulls.some((pull) => pull.startS <= time && pull.endS >= time)) return;
      const place = between(speed.timesS, time);
      if (place) engineSpeedStore.set(Math.round(readAt(speed.values, place) / 10) * 10);
    };
    // Arriving from another sheet, the hairline stands where the pull passed its engine speed.
    const wanted = engineSpeedStore.get();
    const pull = state.view.pulls[state.pull.get()];
    if (pull) {
      const at = speed.timesS.findIndex(
        (time, i) => time >= pull.startS && time <= pull.endS && speed.values[i]! >= wanted,
      );
      if (at >= 0) state.time.set(speed.timesS[at]!);
    }
    return state.time.subscribe(follow);
  }, [state, speed]);
};

const useOverviewSpeed = (run: RunView) => {
  const traces = answered(
    useAnswer(`traces ${run.run.id} overview`, () => fetchTraces(run.run.id, ['engine-speed'], undefined, 4000)),
  );
  return traces?.traces.find(({ channel }) => channel === 'engine-speed');
};

/** The pull that is shown, and the ones before and after it. */
const PullButtons = ({ state }: { state: RunState }) => {
  const shown = useStore(state.pull);
  const last = state.view.pulls.length - 1;
  const step = (name: string, sign: string, by: number) => (
    <button
      type="button"
      className="bar-btn"
      aria-label={name}
      disabled={shown + by < 0 || shown + by > last}
      onClick={() => showPull(state, shown + by)}
    >
      {sign}
    </button>
  );
  return (
    <>
      {last > 0 && step('The pull before', '‹', -1)}
      <button type="button" className="bar-btn" disabled={last < 0} onClick={() => showPull(state, shown)}>
        {last > 0 ? `Pull ${shown + 1} of ${last + 1}` : 'This pull'}
      </button>
      {last > 0 && step('The pull after', '›', 1)}
    </>
  );
};

const Reviewed = ({ run, pull, again }: { run: RunView; pull: number; again: () => void }) => {
  const state = useMemo(() => createRunState(run, inOrder(run.findings), pull), [run, pull]);
  const [all, setAll] = useState(false);
  const table = useStore(tableStore);
  const channels = useMemo(
    () =>
      all
        ? CHANNEL_ORDER.filter((channel) => channel !== 'time' && run.channels.some((one) => one.channel === channel))
        : usualChannels(run),
    [run, all],
  );
  const build = answered(useBuild(run.run.buildId));
  useFuelOf(build);
  const speed = useOverviewSpeed(run);
  const tiles = useMemo(() => new TraceTiles(run.log, tilesFromServer(run.run.id)), [run]);
  const predicted = usePredicted(state, channels);
  useSharedSpeed(state, speed);
  useKeys((event) => {
    if (event.altKey) return false;
    const act = {
      '[': () => showPull(state, state.pull.get() - 1),
      ']': () => showPull(state, state.pull.get() + 1),
      '+': () => zoomBy(state, 1 / ZOOM_STEP),
      '=': () => zoomBy(state, 1 / ZOOM_STEP),
      '-': () => zoomBy(state, ZOOM_STEP),
      ',': () => panBy(state, -PAN_STEP),
      '.': () => panBy(state, PAN_STEP),
    }[event.key];
    act?.();
    return act !== undefined;
  });
  const layOver = () => {
    laidOnStore.set({ runId: run.run.id, pull: state.pull.get() });
    go({ sheet: 'air-path' });
  };
  return (
    <div className="rg">
      <div className="lt">
        <div className="bar1">
          <p className="pick">
            <b>{run.run.fileName}</b>
            <span className="note">
              {writeNumber(run.run.durationS, 0)} s, {run.pulls.length} {run.pulls.length === 1 ? 'pull' : 'pulls'},{' '}
              {run.channels.length} channels
            </span>
          </p>
          <div className="bar-acts">
            <button type="button" className="bar-btn" onClick={() => showWhole(state)}>
              Whole run
            </button>
            <PullButtons state={state} />
            <button type="button" className="bar-btn" aria-label="Zoom in" onClick={() => zoomBy(state, 1 / ZOOM_STEP)}>
              +
            </button>
            <button type="button" className="bar-btn" aria-label="Zoom out" onClick={() => zoomBy(state, ZOOM_STEP)}>
              −
            </button>
            <button type="button" className="bar-btn" aria-pressed={all} onClick={() => setAll(!all)}>
              All traces
            </button>
            <button type="button" className="bar-btn" onClick={again}>
              Columns
            </button>
            <button type="button" className="bar-btn" disabled={run.pulls.length === 0} onClick={layOver}>
              Lay over the air path
            </button>
          </div>
        </div>
        {run.already && (
          <p className="already" role="status">
            This very file is in the garage already; nothing was added.
          </p>
        )}
        <ReadingRemarks log={run.log} />
        <RunOverview state={state} speed={speed} />
        {table ? (
          <RunTable run={run} />
        ) : (
          <RunTraces channels={channels} tiles={tiles} predicted={predicted} state={state} build={build} />
        )}
      </div>
      <FindingsPanel state={state} />
    </div>
  );
};

const RunContext = ({ run }: { run: RunView }) => {
  const units = useUnits();
  const air = run.prediction?.conditions;
  return (
    <>
      {runDayAndSource(run.run)}
      <br />
      <b>
        {air
          ? `${units.write('temperature', air.ambientTemperatureK)} ${units.label('temperature')}, ${units.write('pressure', run.log.barometricPressurePa, 1)} ${units.label('pressure')}`
          : run.build.label}
      </b>
    </>
  );
};

const Shown = ({ run, pull }: { run: RunView; pull: number }) => {
  const [columns, setColumns] = useState(false);
  const chosen = { carId: run.run.carId, buildId: run.run.buildId };
  useEffect(() => {
    chooseBuild(run.run.carId, run.run.buildId);
  }, [run.run.carId, run.run.buildId]);
  const confirming = columns || run.run.state === 'to confirm';
  return (
    <Sheet
      title={confirming ? 'Columns of a run' : 'Run'}
      chosen={chosen}
      fit={!confirming}
      hasTable={!confirming}
      context={<RunContext run={run} />}
    >
      {confirming ? (
        <ConfirmChannels run={run} done={() => setColumns(false)} />
      ) : (
        <Reviewed run={run} pull={pull} again={() => setColumns(true)} />
      )}
    </Sheet>
  );
};

/** `pull`: the one to begin with, from 0; -1 leaves it to the page. */
export const Run = ({
  runId,
  pull,
  chosen,
}: {
  runId: string;
  pull: number;
  chosen: { carId: string; buildId: string };
}) => {
  const run = useAnswer(`run ${runId}`, () => fetchRun(runId));
  if (run.state === 'here') return <Shown run={run.value} pull={pull} />;
  return (
    <Sheet title="Run" chosen={chosen}>
      <Await answer={run} what="Reading the run">
        {() => null}
      </Await>
      {run.state === 'refused' && (
        <p className="pad">
          <a href={addressOf({ sheet: 'runs' })}>All runs</a>
        </p>
      )}
    </Sheet>
  );
};
