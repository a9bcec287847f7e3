/** The edge of a run's page: seconds, with the hairline's cursor. */
import { cursorMiddle, edgeCursor, edgeFigures, edgeGround, edgeTicks } from '../charts/edge.ts';
import { linearScale, niceStep } from '../charts/scale.ts';
import { AXIS_WIDTH } from '../charts/trace-plot.ts';
import { EdgeSlider } from '../parts/EdgeSlider.tsx';
import { Shapes } from '../parts/Shapes.tsx';
import { useSize } from '../parts/use-size.ts';
import { useStore } from '../state/store.ts';
import type { RunState } from './run-state.ts';

export const TimeEdge = ({ state, speedAt }: { state: RunState; speedAt: (timeS: number) => number | undefined }) => {
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
