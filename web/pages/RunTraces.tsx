/** The stacked traces of a run over its prediction, one hairline through all of them. */
import { memo, useCallback, useEffect, useLayoutEffect, useMemo, useRef, useState, useSyncExternalStore } from 'react';
import type { BuildView, TraceView } from '../../src/app/api.ts';
import type { ChannelName } from '../../src/logs/types.ts';
import type { NearestReading, TraceTiles } from '../answers/trace-tiles.ts';
import { between, readAt } from '../charts/interpolate.ts';
import { pennant } from '../charts/marks.ts';
import { linearScale } from '../charts/scale.ts';
import { circle, path, px, type Shape } from '../charts/shape.ts';
import {
  AXIS_WIDTH,
  createTracePlot,
  inkOf,
  type TraceData,
  type TracePlot,
  valueRange,
} from '../charts/trace-plot.ts';
import { Shapes, SourceMark } from '../parts/Shapes.tsx';
import { useSize } from '../parts/use-size.ts';
import { useStore } from '../state/store.ts';
import { themeStore } from '../state/theme.ts';
import { useUnits } from '../state/units.ts';
import {
  CHANNEL_WORDS,
  channelReading,
  channelUnit,
  predictedData,
  STEPPED,
  traceData,
  writeChannel,
} from './channels.ts';
import { letterOf } from './finding-words.ts';
import type { RunState } from './run-state.ts';
import { TimeEdge } from './TimeEdge.tsx';
import { usePanZoom } from './use-pan-zoom.ts';

type Predicted = TraceView['predicted'];

/** A counter that moves when tiles arrive. */
const useArrivals = (tiles: TraceTiles): void => {
  const version = useRef(0);
  const subscribe = useCallback(
    (listener: () => void) =>
      tiles.subscribe(() => {
        version.current += 1;
        listener();
      }),
    [tiles],
  );
  useSyncExternalStore(subscribe, () => version.current);
};

/** What is predicted at a time, SI. */
const predictedAt = (predicted: Predicted, timeS: number): number | undefined => {
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

const loggedAt = (tiles: TraceTiles, channel: ChannelName, timeS: number, state: RunState): NearestReading | null => {
  const found = tiles.nearest(channel, timeS);
  if (!found) return null;
  const rateHz = state.view.channels.find((one) => one.channel === channel)?.rateHz ?? 1;
  const nearS = Math.max(NEAR_S, NEAR_PERIODS / Math.max(0.01, rateHz));
  // Of a coarse tile the nearest reading may be far off, and another one nearer: it is on its way.
  return found.exact && Math.abs(found.timeS - timeS) > nearS ? null : found;
};

const RowLabel = ({
  channel,
  tiles,
  predicted,
  state,
}: {
  channel: ChannelName;
  tiles: TraceTiles;
  predicted: Predicted;
  state: RunState;
}) => {
  const units = useUnits();
  const time = useStore(state.time);
  useArrivals(tiles);
  const logged = loggedAt(tiles, channel, time, state);
  const expected = predictedAt(predicted, time);
  return (
    <div className="tl">
      <b>{CHANNEL_WORDS[channel].name}</b>
      <span className="note">{channelUnit(channel, units)}</span>
      <span className="tv">
        {logged === null ? '–' : writeChannel(channel, units, logged.value)}
        <SourceMark source="logged" />
      </span>
      <span className="tp">
        {expected !== undefined && (
          <>
            <i className="ho" />
            <span className="vh">predicted </span>
            {writeChannel(channel, units, expected)}
          </>
        )}
      </span>
    </div>
  );
};

/** Findings that rest on a channel, with their letters. */
const findingsOn = (state: RunState, channel: ChannelName) =>
  state.findings.flatMap((finding, index) => {
    // Engine speed is part of almost every finding: its trace shows only those that rest on nothing else.
    const shown =
      finding.channels.length > 1 ? finding.channels.filter((one) => one !== 'engine-speed') : finding.channels;
    return shown.includes(channel) ? [{ finding, index }] : [];
  });

/** The channel a finding rests on most: its first that is not engine speed. */
const leadChannel = (state: RunState, index: number): ChannelName | undefined => {
  const channels = state.findings[index]?.channels ?? [];
  return channels.find((channel) => channel !== 'engine-speed') ?? channels[0];
};

const Overlay = ({
  data,
  channel,
  tiles,
  predicted,
  state,
  width,
  height,
}: {
  data: TraceData;
  channel: ChannelName;
  tiles: TraceTiles;
  predicted: Predicted;
  state: RunState;
  width: number;
  height: number;
}) => {
  const units = useUnits();
  const window = useStore(state.window);
  const time = useStore(state.time);
  const selected = useStore(state.finding);
  const x = linearScale(window.startS, window.endS, AXIS_WIDTH, width);
  const range = useMemo(() => valueRange(data, window.startS, window.endS), [data, window]);
  const y = linearScale(range[0], range[1], height - 4, 4);
  const logged = loggedAt(tiles, channel, time, state);
  const expected = predictedAt(predicted, time);
  const toReading = (value: number) => channelReading(channel, units, value);
  const shapes: Shape[] = [];
  let flag = 0;
  for (const { finding, index } of findingsOn(state, channel).sort((a, b) => a.finding.startS - b.finding.startS)) {
    if (finding.endS < window.startS || finding.startS > window.endS) continue;
    const from = Math.max(AXIS_WIDTH + 2, x.at(finding.startS));
    // Flags that would lie on one another stand side by side.
    flag = Math.max(from, flag + 28);
    shapes.push(
      ...pennant(letterOf(index), from, Math.min(width - 2, x.at(finding.endS)), 2, index === selected, flag),
    );
  }
  const hair = x.at(time);
  if (hair >= AXIS_WIDTH && hair <= width) {
    shapes.push(path('hair', `M${px(hair)} 0V${height}`));
    if (expected !== undefined) shapes.push(circle('dotp', hair, y.at(toReading(expected)), 4));
    const dot = logged === null ? Number.NaN : x.at(logged.timeS);
    // On the reading itself, which may stand a little off the hairline.
    if (logged && dot >= AXIS_WIDTH && dot <= width) {
      shapes.push(circle('dotl', dot, y.at(toReading(logged.value)), 4.6));
    }
  }
  return (
    <svg className="tr-over" width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
      <Shapes of={shapes} />
    </svg>
  );
};

/** Whether an element is in sight or near it: rows out of sight cost nothing while one pans. */
const useInSight = (ref: React.RefObject<Element | null>): boolean => {
  const [inSight, setInSight] = useState(true);
  useEffect(() => {
    const element = ref.current;
    if (!element) return;
    const observer = new IntersectionObserver((entries) => setInSight(entries.at(-1)?.isIntersecting ?? true), {
      rootMargin: '60px 0px',
    });
    observer.observe(element);
    return () => observer.disconnect();
  }, [ref]);
  return inSight;
};

/** The store's value while `follows`, and its last one then when not. */
const useStoreWhile = <T,>(
  store: { get: () => T; subscribe: (listener: () => void) => () => void },
  follows: boolean,
): T => {
  const last = useRef(store.get());
  const read = () => {
    if (follows) last.current = store.get();
    return last.current;
  };
  return useSyncExternalStore(store.subscribe, read);
};

const Row = memo(
  ({
    channel,
    tiles,
    predicted,
    state,
    build,
  }: {
    channel: ChannelName;
    tiles: TraceTiles;
    predicted: Predicted;
    state: RunState;
    build: BuildView | undefined;
  }) => {
    const units = useUnits();
    const host = useRef<HTMLDivElement>(null);
    const plot = useRef<TracePlot | null>(null);
    const row = useRef<HTMLDivElement>(null);
    const [box, { width, height }] = useSize<HTMLDivElement>();
    const inSight = useInSight(row);
    const window = useStoreWhile(state.window, inSight);
    const selected = useStore(state.finding);
    useArrivals(tiles);
    const columns = columnsOf(width);
    const key = tiles.drawnKey(channel, window.startS, window.endS, columns);
    const expected = useMemo(() => predictedData(channel, predicted, units), [channel, predicted, units]);
    // Put together anew only when other tiles make up the window: a pan within them moves the scale alone.
    // biome-ignore lint/correctness/useExhaustiveDependencies: the key stands for the window and the tiles that are here
    const data = useMemo(
      () => traceData(channel, tiles.drawn(channel, window.startS, window.endS, columns), expected, build, units),
      [channel, tiles, key, expected, build, units],
    );
    const stretches = useMemo(
      () =>
        findingsOn(state, channel).map(({ finding, index }) => ({
          startS: finding.startS,
          endS: finding.endS,
          selected: index === selected,
        })),
      [state, channel, selected],
    );
    const leads = selected !== null && leadChannel(state, selected) === channel;
    useEffect(() => {
      // The stretch that was asked for may lie below the traces in view.
      if (leads) row.current?.scrollIntoView({ block: 'nearest' });
    }, [leads]);
    const ready = width > 0 && height > 0;
    const latest = useRef({ data, window, stretches, width, height });
    latest.current = { data, window, stretches, width, height };
    useEffect(() => {
      const element = host.current;
      if (!ready || !element) return;
      const now = latest.current;
      const made = createTracePlot(
        element,
        { width: Math.floor(now.width), height: Math.floor(now.height) },
        inkOf(element),
        { stepped: STEPPED.has(channel) },
      );
      made.setWindow(now.window.startS, now.window.endS);
      made.setStretches(now.stretches);
      made.setData(now.data);
      plot.current = made;
      const repaint = () => made.setInk(inkOf(element));
      const laptop = matchMedia('(prefers-color-scheme: dark)');
      laptop.addEventListener('change', repaint);
      const stop = themeStore.subscribe(repaint);
      return () => {
        laptop.removeEventListener('change', repaint);
        stop();
        made.destroy();
        plot.current = null;
      };
    }, [ready, channel]);
    // Before the frame is painted, so that the plot and what is laid over it never show two windows.
    useLayoutEffect(() => plot.current?.resize(Math.floor(width), Math.floor(height)), [width, height]);
    useLayoutEffect(() => plot.current?.setData(data), [data]);
    useLayoutEffect(() => plot.current?.setWindow(window.startS, window.endS), [window]);
    useLayoutEffect(() => plot.current?.setStretches(stretches), [stretches]);
    return (
      <div className="tr" ref={row}>
        <RowLabel channel={channel} tiles={tiles} predicted={predicted} state={state} />
        <div className="tr-plot" ref={box}>
          <div ref={host} className="tr-host" aria-hidden="true" />
          {ready && inSight && (
            <Overlay
              data={data}
              channel={channel}
              tiles={tiles}
              predicted={predicted}
              state={state}
              width={Math.floor(width)}
              height={Math.floor(height)}
            />
          )}
        </div>
      </div>
    );
  },
);

/** Columns of the screen that a plot of a width has. */
const columnsOf = (width: number): number => Math.max(200, Math.floor((width - AXIS_WIDTH) * devicePixelRatio));

/** After the hairline has stood so long, every reading around it is asked for [ms]. */
const STANDS_MS = 60;

/** Keeps asking for what the window and the hairline need. */
const useNeeds = (tiles: TraceTiles, state: RunState, channels: readonly ChannelName[], width: number): void => {
  useEffect(() => {
    const columns = columnsOf(width);
    const rateHz = Math.max(1, ...state.view.channels.map((one) => one.rateHz));
    let stands = 0;
    const exact = () => {
      clearTimeout(stands);
      stands = setTimeout(() => tiles.wantExact(channels, state.time.get(), rateHz), STANDS_MS) as unknown as number;
    };
    const look = () => {
      const { startS, endS } = state.window.get();
      tiles.want(channels, startS, endS, columns);
      exact();
    };
    look();
    const stops = [state.window.subscribe(look), state.time.subscribe(exact)];
    return () => {
      clearTimeout(stands);
      for (const stop of stops) stop();
    };
  }, [tiles, state, channels, width]);
};

/** Where the traces lie, between their axis and the edge. */
const plotOf = (element: HTMLElement) => {
  const { left = 0, right = 1 } = element.querySelector('.tr-plot')?.getBoundingClientRect() ?? {};
  return { left: left + AXIS_WIDTH, right };
};

export const RunTraces = ({
  channels,
  tiles,
  predicted,
  state,
  build,
}: {
  channels: readonly ChannelName[];
  tiles: TraceTiles;
  predicted: ReadonlyMap<ChannelName, NonNullable<Predicted>>;
  state: RunState;
  build: BuildView | undefined;
}) => {
  const [box, { width }] = useSize<HTMLElement>();
  // The labels stand beside the plots on wide pages only; a few columns more or less change no level.
  useNeeds(tiles, state, channels, width > 760 ? width - 164 : width);
  const place = state.time.set;
  usePanZoom(box, state, { plotOf, spans: 'window', wheelZooms: false, place });
  const speedAt = (timeS: number) => loggedAt(tiles, 'engine-speed', timeS, state)?.value;
  useArrivals(tiles);
  return (
    <div className="trace-block">
      {tiles.failed && (
        <p className="already" role="status">
          Boostwright does not answer; the traces show what is here and are asked for again.
        </p>
      )}
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1) */}
      <section className="trs" tabIndex={0} aria-label="Traces" ref={box}>
        {channels.map((channel) => (
          <Row
            key={channel}
            channel={channel}
            tiles={tiles}
            predicted={predicted.get(channel)}
            state={state}
            build={build}
          />
        ))}
      </section>
      <TimeEdge state={state} speedAt={speedAt} />
    </div>
  );
};
