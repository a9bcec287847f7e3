/** The stacked traces of a run over its prediction, one hairline through all of them. */
import { useEffect, useMemo, useRef, useState } from 'react';
import type { BuildView, TracesView, TraceView } from '../../src/app/api.ts';
import type { ChannelName } from '../../src/logs/types.ts';
import { cursorMiddle, edgeCursor, edgeFigures, edgeGround, edgeTicks } from '../charts/edge.ts';
import { between, readAt } from '../charts/interpolate.ts';
import { pennant } from '../charts/marks.ts';
import { linearScale, niceStep } from '../charts/scale.ts';
import { circle, path, px, type Shape } from '../charts/shape.ts';
import {
  AXIS_WIDTH,
  createTracePlot,
  inkOf,
  type TraceData,
  type TracePlot,
  valueRange,
} from '../charts/trace-plot.ts';
import { EdgeSlider } from '../parts/EdgeSlider.tsx';
import { Shapes, SourceMark } from '../parts/Shapes.tsx';
import { useSize } from '../parts/use-size.ts';
import { useStore } from '../state/store.ts';
import { themeStore } from '../state/theme.ts';
import { useUnits } from '../state/units.ts';
import { CHANNEL_WORDS, channelUnit, traceData, writeChannel } from './channels.ts';
import { letterOf } from './finding-words.ts';
import type { RunState } from './run-state.ts';

/** A trace's own reading and its prediction at a time, SI. */
const readTrace = (trace: TraceView, timeS: number): { logged: number | undefined; predicted: number | undefined } => {
  const place = between(trace.timesS, timeS);
  const piece = trace.predicted?.find(
    ({ timesS }) => timesS.length > 1 && timesS[0]! <= timeS && timesS[timesS.length - 1]! >= timeS,
  );
  const inPiece = piece ? between(piece.timesS, timeS) : null;
  const logged = place ? readAt(trace.values, place) : Number.NaN;
  const predicted = piece && inPiece ? readAt(piece.p50, inPiece) : Number.NaN;
  return {
    logged: Number.isFinite(logged) ? logged : undefined,
    predicted: Number.isFinite(predicted) ? predicted : undefined,
  };
};

const RowLabel = ({ trace, state }: { trace: TraceView; state: RunState }) => {
  const units = useUnits();
  const time = useStore(state.time);
  const { logged, predicted } = readTrace(trace, time);
  return (
    <div className="tl">
      <b>{CHANNEL_WORDS[trace.channel].name}</b>
      <span className="note">{channelUnit(trace.channel, units)}</span>
      <span className="tv">
        {logged === undefined ? '–' : writeChannel(trace.channel, units, logged)}
        <SourceMark source="logged" />
      </span>
      <span className="tp">
        {predicted !== undefined && (
          <>
            <i className="ho" />
            <span className="vh">predicted </span>
            {writeChannel(trace.channel, units, predicted)}
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
  trace,
  state,
  width,
  height,
}: {
  data: TraceData;
  trace: TraceView;
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
  const { logged, predicted } = readTrace(trace, time);
  const toReading = (value: number) => {
    const { kind, plain } = CHANNEL_WORDS[trace.channel];
    return kind === undefined ? value * (plain?.factor ?? 1) : units.toReading(kind, value);
  };
  const shapes: Shape[] = [];
  let flag = 0;
  for (const { finding, index } of findingsOn(state, trace.channel).sort(
    (a, b) => a.finding.startS - b.finding.startS,
  )) {
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
    if (predicted !== undefined) shapes.push(circle('dotp', hair, y.at(toReading(predicted)), 4));
    if (logged !== undefined) shapes.push(circle('dotl', hair, y.at(toReading(logged)), 4.6));
  }
  return (
    <svg className="tr-over" width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
      <Shapes of={shapes} />
    </svg>
  );
};

const Row = ({ trace, state, build }: { trace: TraceView; state: RunState; build: BuildView | undefined }) => {
  const units = useUnits();
  const host = useRef<HTMLDivElement>(null);
  const plot = useRef<TracePlot | null>(null);
  const [box, { width, height }] = useSize<HTMLDivElement>();
  const window = useStore(state.window);
  const selected = useStore(state.finding);
  const data = useMemo(() => traceData(trace, build, units), [trace, build, units]);
  const stretches = useMemo(
    () =>
      findingsOn(state, trace.channel).map(({ finding, index }) => ({
        startS: finding.startS,
        endS: finding.endS,
        selected: index === selected,
      })),
    [state, trace.channel, selected],
  );
  const row = useRef<HTMLDivElement>(null);
  const leads = selected !== null && leadChannel(state, selected) === trace.channel;
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
  }, [ready]);
  useEffect(() => plot.current?.resize(Math.floor(width), Math.floor(height)), [width, height]);
  useEffect(() => plot.current?.setData(data), [data]);
  useEffect(() => plot.current?.setWindow(window.startS, window.endS), [window]);
  useEffect(() => plot.current?.setStretches(stretches), [stretches]);
  return (
    <div className="tr" ref={row}>
      <RowLabel trace={trace} state={state} />
      <div className="tr-plot" ref={box}>
        <div ref={host} className="tr-host" aria-hidden="true" />
        {ready && (
          <Overlay data={data} trace={trace} state={state} width={Math.floor(width)} height={Math.floor(height)} />
        )}
      </div>
    </div>
  );
};

const TimeEdge = ({ state, speedAt }: { state: RunState; speedAt: (timeS: number) => number | undefined }) => {
  const [box, { width }] = useSize<HTMLDivElement>();
  const window = useStore(state.window);
  const time = useStore(state.time);
  const scale = linearScale(window.startS, window.endS, AXIS_WIDTH, Math.max(AXIS_WIDTH + 40, width));
  const span = window.endS - window.startS;
  const step = niceStep(span, 9);
  const rpm = speedAt(time);
  const x = scale.at(time);
  return (
    <div className="tr rul-row">
      <div className="tl">
        <span className="note">
          {rpm === undefined ? '' : `${rpm.toLocaleString('en-GB', { maximumFractionDigits: 0 })} rpm here`}
        </span>
      </div>
      <div className="edge-time" ref={box}>
        {width > 0 && (
          <EdgeSlider
            label="Time"
            value={time}
            lowest={window.startS}
            highest={window.endS}
            graduation={step / 10}
            valueText={`${time.toFixed(2)} seconds${rpm === undefined ? '' : `, ${Math.round(rpm)} rpm`}`}
            scale={scale}
            move={state.time.set}
            typedUnit="s"
          >
            <svg width={width} height={54} viewBox={`0 0 ${width} 54`} aria-hidden="true">
              <Shapes
                of={[
                  ...edgeGround(width, 0, 54),
                  edgeTicks(scale, 0, { minor: step / 10, mid: step / 2, major: step }),
                  ...edgeFigures(scale, 0, 54, step, (value) => String(value), {
                    at: cursorMiddle(x, { from: 0, to: width }, 104),
                    halfWidth: 84,
                  }),
                  ...edgeCursor(
                    x,
                    0,
                    54,
                    `${time.toFixed(span < 4 ? 2 : 1)} s`,
                    undefined,
                    { from: 0, to: width },
                    104,
                  ),
                ]}
              />
            </svg>
          </EdgeSlider>
        )}
      </div>
    </div>
  );
};

/** Pressing on the traces moves the hairline too: the edge below is the same slider by keyboard. */
const useDrag = (state: RunState) => {
  const [dragging, setDragging] = useState(false);
  const move = (event: React.PointerEvent<HTMLElement>) => {
    const plot = event.currentTarget.querySelector('.tr-plot');
    if (!plot) return;
    const { left, right } = plot.getBoundingClientRect();
    const { startS, endS } = state.window.get();
    state.time.set(linearScale(startS, endS, left + AXIS_WIDTH, right).valueAt(event.clientX));
  };
  return {
    onPointerDown: (event: React.PointerEvent<HTMLElement>) => {
      if (event.button !== 0 || event.pointerType === 'touch') return;
      setDragging(true);
      event.currentTarget.setPointerCapture(event.pointerId);
      move(event);
    },
    onPointerMove: (event: React.PointerEvent<HTMLElement>) => {
      if (dragging) move(event);
    },
    onPointerUp: () => setDragging(false),
    onPointerCancel: () => setDragging(false),
  };
};

export const RunTraces = ({
  traces,
  state,
  build,
  speed,
}: {
  traces: TracesView;
  state: RunState;
  build: BuildView | undefined;
  speed: TraceView | undefined;
}) => {
  const drag = useDrag(state);
  const fine = traces.traces.find(({ channel }) => channel === 'engine-speed') ?? speed;
  const speedAt = (timeS: number) => (fine ? readTrace(fine, timeS).logged : undefined);
  return (
    <div className="trace-block">
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1) */}
      <section className="trs" tabIndex={0} aria-label="Traces" {...drag}>
        {traces.traces.map((trace) => (
          <Row key={trace.channel} trace={trace} state={state} build={build} />
        ))}
      </section>
      <TimeEdge state={state} speedAt={speedAt} />
    </div>
  );
};
