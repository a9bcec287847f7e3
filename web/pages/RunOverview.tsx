/** The whole run as one line of engine speed, its pulls as brackets to choose from. */
import { memo, useMemo } from 'react';
import type { TraceView } from '../../src/app/api.ts';
import { linearScale } from '../charts/scale.ts';
import { lineThrough, path, px, rect } from '../charts/shape.ts';
import { Shapes } from '../parts/Shapes.tsx';
import { useSize } from '../parts/use-size.ts';
import { useStore } from '../state/store.ts';
import { type RunState, showPull } from './run-state.ts';

const HEIGHT = 62;

const Line = memo(
  ({ trace, width, startS, endS }: { trace: TraceView; width: number; startS: number; endS: number }) => {
    const d = useMemo(() => {
      const x = linearScale(startS, endS, 8, width - 8);
      const top = trace.values.reduce((high, value) => Math.max(high, value), 1);
      const y = linearScale(0, top, HEIGHT - 4, 30);
      return lineThrough(trace.timesS.map(x.at), trace.values.map(y.at));
    }, [trace, width, startS, endS]);
    return <path className="logl thin" d={d} />;
  },
);

export const RunOverview = ({ state, speed }: { state: RunState; speed: TraceView | undefined }) => {
  const { log, pulls } = state.view;
  const [box, { width }] = useSize<HTMLDivElement>();
  const window = useStore(state.window);
  const time = useStore(state.time);
  const shown = useStore(state.pull);
  const x = linearScale(log.startS, log.endS, 8, Math.max(20, width - 8));
  const [from, to] = [x.at(window.startS), x.at(window.endS)];
  return (
    <div className="ov" ref={box}>
      {width > 0 && (
        <svg width={width} height={HEIGHT} viewBox={`0 0 ${width} ${HEIGHT}`} aria-hidden="true">
          <Shapes of={[rect('ov-window', from, 0, to - from, HEIGHT)]} />
          {speed && <Line trace={speed} width={width} startS={log.startS} endS={log.endS} />}
          <Shapes
            of={[
              ...pulls.map((pull, index) =>
                path(
                  index === shown ? 'bracket on' : 'bracket',
                  `M${px(x.at(pull.startS))} 30V24H${px(Math.max(x.at(pull.endS), x.at(pull.startS) + 4))}V30`,
                ),
              ),
              path('ov-edge', `M${px(from)} 0V${HEIGHT}M${px(to)} 0V${HEIGHT}`),
              path('hair', `M${px(x.at(time))} 24V${HEIGHT}`),
            ]}
          />
        </svg>
      )}
      <fieldset className="ov-pulls">
        <legend className="vh">Pulls of this run</legend>
        {pulls.map((pull, index) => (
          <button
            type="button"
            key={pull.startS}
            aria-pressed={index === shown}
            aria-label={`Pull ${index + 1}, ${pull.startS.toFixed(1)} to ${pull.endS.toFixed(1)} seconds`}
            style={{ left: x.at((pull.startS + pull.endS) / 2) }}
            onClick={() => showPull(state, index)}
          >
            {pulls.length > 12 ? index + 1 : `Pull ${index + 1}`}
          </button>
        ))}
      </fieldset>
    </div>
  );
};
