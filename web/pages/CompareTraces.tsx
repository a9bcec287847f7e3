/** Both pulls over engine speed: power, its difference, then the readings; one hairline through all of them. */
import { useEffect, useRef, useState } from 'react';
import { cursorMiddle, edgeCursor, edgeFigures, edgeGround, edgeTicks } from '../charts/edge.ts';
import { inkOf } from '../charts/ink.ts';
import { AXIS_WIDTH } from '../charts/lane.ts';
import { createOverlayPlot, type OverlayData, type OverlayPlot, overlaySteps } from '../charts/overlay-plot.ts';
import { linearScale } from '../charts/scale.ts';
import { path, px } from '../charts/shape.ts';
import { EdgeSlider } from '../parts/EdgeSlider.tsx';
import { Shapes } from '../parts/Shapes.tsx';
import { useSize } from '../parts/use-size.ts';
import { engineSpeedStore, moveToEngineSpeed } from '../state/position.ts';
import { useStore } from '../state/store.ts';
import { writeNumber } from '../state/units.ts';
import { followInk } from './LivePicture.tsx';

export interface OverlayWindow {
  readonly fromRpm: number;
  readonly toRpm: number;
}

export interface OverlayReading {
  readonly first?: string;
  readonly second?: string;
  readonly difference?: string;
}

/** The hairline stays on the ruler of this sheet; the engine speed itself is shared by all sheets. */
const useHairline = ({ fromRpm, toRpm }: OverlayWindow): number =>
  Math.min(toRpm, Math.max(fromRpm, useStore(engineSpeedStore)));

/** Mark and letter of a pull: A a square, B a disc. */
export const SideMark = ({ side }: { side: 'A' | 'B' }) => (
  <span className="cmp-mark">
    <svg viewBox="0 0 12 12" width="12" height="12" aria-hidden="true">
      {side === 'A' ? <rect x="2" y="2" width="8" height="8" /> : <circle cx="6" cy="6" r="4.6" />}
    </svg>
    {side}
  </span>
);

export const OverlayRow = ({
  name,
  unit,
  data,
  window,
  reading,
}: {
  name: string;
  unit: string;
  data: OverlayData;
  window: OverlayWindow;
  reading: OverlayReading;
}) => {
  const host = useRef<HTMLDivElement>(null);
  const plot = useRef<OverlayPlot | null>(null);
  const [box, { width, height }] = useSize<HTMLDivElement>();
  const ready = width > 0 && height > 0;
  const rpm = useHairline(window);
  const latest = useRef({ data, window, width, height });
  latest.current = { data, window, width, height };
  useEffect(() => {
    const element = host.current;
    if (!ready || !element) return;
    const now = latest.current;
    const made = createOverlayPlot(
      element,
      { width: Math.floor(now.width), height: Math.floor(now.height) },
      inkOf(element),
    );
    made.setWindow(now.window.fromRpm, now.window.toRpm);
    made.setData(now.data);
    plot.current = made;
    const stop = followInk(element, made.setInk);
    return () => {
      stop();
      made.destroy();
      plot.current = null;
    };
  }, [ready]);
  useEffect(() => plot.current?.resize(Math.floor(width), Math.floor(height)), [width, height]);
  useEffect(() => plot.current?.setData(data), [data]);
  useEffect(() => plot.current?.setWindow(window.fromRpm, window.toRpm), [window]);
  const empty = data.first.engineSpeedRpm.length === 0 && data.second.engineSpeedRpm.length === 0;
  const hair = linearScale(window.fromRpm, window.toRpm, AXIS_WIDTH, Math.floor(width)).at(rpm);
  return (
    <div className="tr cmp-row">
      <div className="tl">
        <b>{name}</b>
        <span className="note">{unit}</span>
        <span className="cmp-read">
          {reading.first !== undefined && (
            <span>
              <SideMark side="A" /> {reading.first}
            </span>
          )}
          {reading.second !== undefined && (
            <span>
              <SideMark side="B" /> {reading.second}
            </span>
          )}
        </span>
        <span className="cmp-diff">{reading.difference ?? ''}</span>
      </div>
      <div className="tr-plot" ref={box}>
        <div ref={host} className={empty ? 'tr-host cmp-empty' : 'tr-host'} aria-hidden="true" />
        {empty && <p className="note cmp-reading">Reading the traces</p>}
        {ready && (
          <svg
            className="tr-over"
            width={Math.floor(width)}
            height={Math.floor(height)}
            viewBox={`0 0 ${Math.floor(width)} ${Math.floor(height)}`}
            aria-hidden="true"
          >
            <Shapes of={[path('hair', `M${px(hair)} 0V${Math.floor(height)}`)]} />
          </svg>
        )}
      </div>
    </div>
  );
};

export const SpeedEdge = ({ window, spoken }: { window: OverlayWindow; spoken: string }) => {
  const [box, { width }] = useSize<HTMLDivElement>();
  const rpm = useHairline(window);
  const { fromRpm, toRpm } = window;
  const scale = linearScale(fromRpm, toRpm, AXIS_WIDTH, Math.max(AXIS_WIDTH + 40, width));
  const x = scale.at(rpm);
  const inner = { ...scale, to: scale.valueAt(width - 24) };
  const every = width < 560 && toRpm - fromRpm > 3000 ? 1000 : overlaySteps(fromRpm, toRpm).major;
  const steps = overlaySteps(fromRpm, toRpm);
  return (
    <div className="tr rul-row">
      <div className="tl">
        <span className="note">Engine speed, rpm</span>
      </div>
      <div className="edge-time" ref={box}>
        {width > 0 && (
          <EdgeSlider
            label="Engine speed"
            value={rpm}
            lowest={fromRpm}
            highest={toRpm}
            graduation={50}
            valueText={`${writeNumber(rpm, 0)} rpm${spoken === '' ? '' : `: ${spoken}`}`}
            scale={scale}
            move={(to) => moveToEngineSpeed(to, fromRpm, toRpm)}
            typedUnit="rpm"
          >
            <svg width={width} height={54} viewBox={`0 0 ${width} 54`} aria-hidden="true">
              <Shapes
                of={[
                  ...edgeGround(width, 0, 54),
                  edgeTicks(scale, 0, steps),
                  // A figure at the very end would be cut off.
                  ...edgeFigures(inner, 0, 54, every, (value) => writeNumber(value, 0), {
                    at: cursorMiddle(x, { from: 0, to: width }, 104),
                    halfWidth: 84,
                  }),
                  ...edgeCursor(x, 0, 54, writeNumber(rpm, 0), undefined, { from: 0, to: width }, 104),
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
export const useSpeedDrag = ({ fromRpm, toRpm }: OverlayWindow) => {
  const [dragging, setDragging] = useState(false);
  const move = (event: React.PointerEvent<HTMLElement>) => {
    const plot = event.currentTarget.querySelector('.tr-plot');
    if (!plot) return;
    const { left, right } = plot.getBoundingClientRect();
    const rpm = linearScale(fromRpm, toRpm, left + AXIS_WIDTH, right).valueAt(event.clientX);
    moveToEngineSpeed(rpm, fromRpm, toRpm);
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
