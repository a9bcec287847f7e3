/** The edge of a run's page: seconds, with the hairline's cursor. */
import { useRef } from 'react';
import type { TraceTiles } from '../answers/trace-tiles.ts';
import { cursorMiddle, edgeCursor, edgeFigures, edgeGround, edgeTicks } from '../charts/edge.ts';
import { AXIS_WIDTH } from '../charts/lane.ts';
import { paintShapes } from '../charts/paint-shapes.ts';
import { linearScale, niceStep } from '../charts/scale.ts';
import { EdgeSlider } from '../parts/EdgeSlider.tsx';
import { useSize } from '../parts/use-size.ts';
import { useStore } from '../state/store.ts';
import { LivePicture, type Picture, useFollowing } from './LivePicture.tsx';
import type { RunState } from './run-state.ts';

const HEIGHT = 54;
const CURSOR_WIDTH = 104;

const scaleOf = (state: RunState, width: number) => {
  const { startS, endS } = state.window.get();
  return linearScale(startS, endS, AXIS_WIDTH, Math.max(AXIS_WIDTH + 40, width));
};

/** Graduations, figures and cursor, drawn for every frame in which the window or the hairline moves. */
const Graduations = ({ state, width }: { state: RunState; width: number }) => {
  const draw = ({ pen, ink, ratio }: Picture) => {
    const scale = scaleOf(state, width);
    const time = state.time.get();
    const span = scale.to - scale.from;
    const step = niceStep(span, width < 560 ? 5 : 9);
    const bounds = { from: 0, to: width };
    const x = scale.at(time);
    paintShapes(
      pen,
      [
        ...edgeGround(width, 0, HEIGHT),
        edgeTicks(scale, 0, { minor: step / 10, mid: step / 2, major: step }),
        ...edgeFigures(scale, 0, HEIGHT, step, (value) => String(value), {
          at: cursorMiddle(x, bounds, CURSOR_WIDTH),
          halfWidth: 84,
        }),
        ...edgeCursor(x, 0, HEIGHT, `${time.toFixed(span < 4 ? 2 : 1)} s`, undefined, bounds, CURSOR_WIDTH),
      ],
      ink,
      ratio,
    );
  };
  return <LivePicture width={Math.floor(width)} height={HEIGHT} draw={draw} sources={[state.window, state.time]} />;
};

export const TimeEdge = ({
  state,
  tiles,
  speedAt,
}: {
  state: RunState;
  tiles: TraceTiles;
  speedAt: (timeS: number) => number | undefined;
}) => {
  const [box, { width }] = useSize<HTMLDivElement>();
  const window = useStore(state.window);
  const time = useStore(state.time);
  const here = useRef<HTMLSpanElement>(null);
  useFollowing(() => {
    const rpm = speedAt(state.time.get());
    const text = rpm === undefined ? '' : `${rpm.toLocaleString('en-GB', { maximumFractionDigits: 0 })} rpm here`;
    if (here.current && here.current.textContent !== text) here.current.textContent = text;
  }, [state.time, tiles]);
  const rpm = speedAt(time);
  return (
    <div className="tr rul-row">
      <div className="tl">
        <span className="note" ref={here} />
      </div>
      <div className="edge-time" ref={box}>
        {width > 0 && (
          <EdgeSlider
            label="Time"
            value={time}
            lowest={window.startS}
            highest={window.endS}
            graduation={niceStep(window.endS - window.startS, 9) / 10}
            valueText={`${time.toFixed(2)} seconds${rpm === undefined ? '' : `, ${Math.round(rpm)} rpm`}`}
            scale={scaleOf(state, width)}
            move={state.time.set}
            typedUnit="s"
          >
            <Graduations state={state} width={width} />
          </EdgeSlider>
        )}
      </div>
    </div>
  );
};
