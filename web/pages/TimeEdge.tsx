/** The edge of a run's page: seconds, or the time of day where the log tells that, with the hairline's cursor. */
import { useRef } from 'react';
import { cursorMiddle, edgeCursor, edgeFigures, edgeGround, edgeTicks } from '../charts/edge.ts';
import { AXIS_WIDTH } from '../charts/lane.ts';
import { paintShapes } from '../charts/paint-shapes.ts';
import { decimalsOf, linearScale, niceClockStep, niceStep } from '../charts/scale.ts';
import { EdgeSlider } from '../parts/EdgeSlider.tsx';
import { useSize } from '../parts/use-size.ts';
import { useStore } from '../state/store.ts';
import { LivePicture, type Picture, useFollowing, type Watched } from './LivePicture.tsx';
import type { RunState } from './run-state.ts';

const HEIGHT = 54;
/** Seconds, and times of the day. */
const CURSOR_WIDTHS = [104, 152] as const;
const FIGURE_HALF_WIDTHS = [32, 40] as const;
const DAY_S = 86_400;

/** Graduations of a window, from `baseS` on: seconds since 1970 are too large to be cut up exactly. */
const scaleOf = (state: RunState, width: number, baseS = 0) => {
  const { startS, endS } = state.window.get();
  return linearScale(startS - baseS, endS - baseS, AXIS_WIDTH, Math.max(AXIS_WIDTH + 40, width));
};

/** Graduations, figures and cursor, drawn for every frame in which the window or the hairline moves. */
const Graduations = ({ state, width }: { state: RunState; width: number }) => {
  const draw = ({ pen, ink, ratio }: Picture) => {
    const { isTimeOfDay, figure, moment } = state.moments;
    const baseS = isTimeOfDay ? Math.floor(state.window.get().startS / DAY_S) * DAY_S : 0;
    const scale = scaleOf(state, width, baseS);
    const time = state.time.get() - baseS;
    const span = scale.to - scale.from;
    const step = (isTimeOfDay ? niceClockStep : niceStep)(
      span,
      width < 560 ? (isTimeOfDay ? 3 : 5) : isTimeOfDay ? 7 : 9,
    );
    const cursorWidth = CURSOR_WIDTHS[isTimeOfDay ? 1 : 0];
    const bounds = { from: 0, to: width };
    const x = scale.at(time);
    paintShapes(
      pen,
      [
        ...edgeGround(width, 0, HEIGHT),
        edgeTicks(scale, 0, { minor: step / 10, mid: step / 2, major: step }),
        ...edgeFigures(
          scale,
          0,
          HEIGHT,
          step,
          (value) => (isTimeOfDay ? figure(value, decimalsOf(step)) : String(value)),
          {
            at: cursorMiddle(x, bounds, cursorWidth),
            halfWidth: cursorWidth / 2 + FIGURE_HALF_WIDTHS[isTimeOfDay ? 1 : 0],
          },
        ),
        ...edgeCursor(x, 0, HEIGHT, moment(time, span < 4 ? 2 : 1), undefined, bounds, cursorWidth),
      ],
      ink,
      ratio,
    );
  };
  return <LivePicture width={Math.floor(width)} height={HEIGHT} draw={draw} sources={[state.window, state.time]} />;
};

export const TimeEdge = ({
  state,
  arrivals,
  speedAt,
}: {
  state: RunState;
  arrivals: Watched;
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
  }, [state.time, arrivals]);
  const rpm = speedAt(time);
  const { isTimeOfDay, figure } = state.moments;
  return (
    <div className="tr rul-row">
      <div className="tl">
        <span className="note">
          <span className="held" ref={here} />
        </span>
      </div>
      <div className="edge-time" ref={box}>
        {width > 0 && (
          <EdgeSlider
            label="Time"
            value={time}
            lowest={window.startS}
            highest={window.endS}
            graduation={niceStep(window.endS - window.startS, 9) / 10}
            valueText={`${isTimeOfDay ? figure(time, 2) : `${time.toFixed(2)} seconds`}${rpm === undefined ? '' : `, ${Math.round(rpm)} rpm`}`}
            scale={scaleOf(state, width)}
            move={state.time.set}
            typedUnit={isTimeOfDay ? 's from the start' : 's'}
            fromTyped={(typed) => (isTimeOfDay ? state.view.log.startS + typed : typed)}
          >
            <Graduations state={state} width={width} />
          </EdgeSlider>
        )}
      </div>
    </div>
  );
};
