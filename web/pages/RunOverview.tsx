/** The whole run as one line of engine speed, its pulls as brackets to choose from. */
import { memo, useMemo } from 'react';
import type { TraceView } from '../../src/app/api.ts';
import { linearScale, type Scale } from '../charts/scale.ts';
import { lineThrough, path, px, rect } from '../charts/shape.ts';
import { Shapes } from '../parts/Shapes.tsx';
import { useSize } from '../parts/use-size.ts';
import { useStore } from '../state/store.ts';
import { type RunState, showPull } from './run-state.ts';
import { usePanZoom } from './use-pan-zoom.ts';

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

const MARGIN = 8;
const plotOf = (element: HTMLElement) => {
  const { left, right } = element.getBoundingClientRect();
  return { left: left + MARGIN, right: right - MARGIN };
};

/** Where the window and the hairline stand: all of the strip that moves while one pans. */
const Here = ({ state, x, ground }: { state: RunState; x: Scale; ground: boolean }) => {
  const window = useStore(state.window);
  const time = useStore(state.time);
  const from = x.at(window.startS);
  // A window that is a hair on a long run is still to be seen and gripped.
  const to = Math.max(from + 3, x.at(window.endS));
  return (
    <Shapes
      of={
        ground
          ? [rect('ov-window', from, 0, to - from, HEIGHT)]
          : [
              path('ov-edge', `M${px(from)} 0V${HEIGHT}M${px(to)} 0V${HEIGHT}`),
              path('hair', `M${px(x.at(time))} 24V${HEIGHT}`),
            ]
      }
    />
  );
};

export const RunOverview = ({ state, speed }: { state: RunState; speed: TraceView | undefined }) => {
  const { log, pulls } = state.view;
  const [box, { width }] = useSize<HTMLDivElement>();
  const shown = useStore(state.pull);
  usePanZoom(box, state, { plotOf, spans: 'log', wheelZooms: true });
  const x = linearScale(log.startS, log.endS, MARGIN, Math.max(20, width - MARGIN));
  return (
    <div className="ov" ref={box}>
      {width > 0 && (
        <svg width={width} height={HEIGHT} viewBox={`0 0 ${width} ${HEIGHT}`} aria-hidden="true">
          <Here state={state} x={x} ground />
          {speed && <Line trace={speed} width={width} startS={log.startS} endS={log.endS} />}
          <Shapes
            of={[
              ...pulls.map((pull, index) =>
                path(
                  index === shown ? 'bracket on' : 'bracket',
                  `M${px(x.at(pull.startS))} 30V24H${px(Math.max(x.at(pull.endS), x.at(pull.startS) + 4))}V30`,
                ),
              ),
            ]}
          />
          <Here state={state} x={x} ground={false} />
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
