/** The whole run as one line of engine speed, its pulls as brackets to choose from. */
import { useRef } from 'react';
import type { TraceView } from '../../src/app/api.ts';
import { paintShapes } from '../charts/paint-shapes.ts';
import { groupLabels } from '../charts/pull-groups.ts';
import { linearScale, type Scale } from '../charts/scale.ts';
import { lineThrough, path, px, rect, type Shape } from '../charts/shape.ts';
import { useSize } from '../parts/use-size.ts';
import { useStore } from '../state/store.ts';
import { brokenAt } from './channels.ts';
import { LivePicture, type Picture } from './LivePicture.tsx';
import { type RunState, showPull } from './run-state.ts';
import { usePanZoom } from './use-pan-zoom.ts';

/** The strip's height is this and the line it stands on. */
const HEIGHT = 61;

const MARGIN = 8;
/** As many pulls are called pulls; more of them have room for their numbers only. */
const FEW = 12;
/** Labels: the smallest thing to be pressed, room around the writing, and a letter or figure of it [px]. */
const LEAST_LABEL = 24;
const LABEL_ROOM = 10;
const LETTER = 7.6;
const plotOf = (element: HTMLElement) => {
  const { left, right } = element.getBoundingClientRect();
  return { left: left + MARGIN, right: right - MARGIN };
};

/** The line of the run and the brackets of its pulls: what stands still while one pans. */
const standing = (state: RunState, shown: number, speed: TraceView | undefined, x: Scale): Shape[] => {
  const line = speed && brokenAt(speed, state.view.log.gaps ?? []);
  const top = speed?.values.reduce((high, value) => Math.max(high, value), 1) ?? 1;
  const y = linearScale(0, top, HEIGHT - 4, 30);
  return [
    ...(line ? [path('logl thin', lineThrough(line.timesS.map(x.at), line.values.map(y.at)))] : []),
    ...state.view.pulls.map((pull, index) =>
      path(
        index === shown ? 'bracket on' : 'bracket',
        `M${px(x.at(pull.startS))} 30V24H${px(Math.max(x.at(pull.endS), x.at(pull.startS) + 4))}V30`,
      ),
    ),
  ];
};

/** The strip: the window under what stands still, its edges and the hairline over it. */
const Strip = ({
  width,
  x,
  state,
  shown,
  speed,
}: {
  width: number;
  x: Scale;
  state: RunState;
  shown: number;
  speed: TraceView | undefined;
}) => {
  const still = useRef<{ readonly key: readonly unknown[]; readonly picture: HTMLCanvasElement } | null>(null);
  const stillPicture = ({ ink, ratio, width: wide, height: high }: Picture) => {
    const key = [ink, ratio, wide, high, state, shown, speed];
    if (!still.current?.key.every((one, i) => Object.is(one, key[i]))) {
      const picture = document.createElement('canvas');
      picture.width = wide;
      picture.height = high;
      const pen = picture.getContext('2d', { willReadFrequently: true });
      if (pen) paintShapes(pen, standing(state, shown, speed, x), ink, ratio);
      still.current = { key, picture };
    }
    return still.current.picture;
  };
  const draw = (picture: Picture) => {
    const { pen, ink, ratio } = picture;
    const { startS, endS } = state.window.get();
    const from = x.at(startS);
    // A window that is a hair on a long run is still to be seen and gripped.
    const to = Math.max(from + 3, x.at(endS));
    pen.fillStyle = ink.film;
    pen.fillRect(0, 0, picture.width, picture.height);
    paintShapes(pen, [rect('ov-window', from, 0, to - from, HEIGHT)], ink, ratio);
    pen.drawImage(stillPicture(picture), 0, 0);
    const here = [
      path('ov-edge', `M${px(from)} 0V${HEIGHT}M${px(to)} 0V${HEIGHT}`),
      path('hair', `M${px(x.at(state.time.get()))} 24V${HEIGHT}`),
    ];
    paintShapes(pen, here, ink, ratio);
  };
  return <LivePicture width={width} height={HEIGHT} draw={draw} sources={[state.window, state.time]} />;
};

export const RunOverview = ({ state, speed }: { state: RunState; speed: TraceView | undefined }) => {
  const { log, pulls } = state.view;
  const [box, { width }] = useSize<HTMLDivElement>();
  const shown = useStore(state.pull);
  usePanZoom(box, state, { plotOf, spans: 'log', wheelZooms: true });
  const wide = Math.floor(width);
  const x = linearScale(log.startS, log.endS, MARGIN, Math.max(20, wide - MARGIN));
  const words = pulls.length <= FEW;
  const wordsOf = (first: number, last: number) =>
    first === last ? `${words ? 'Pull ' : ''}${first + 1}` : `${first + 1}–${last + 1}`;
  const labels = groupLabels(
    pulls.map(({ startS, endS }) => x.at((startS + endS) / 2)),
    (first, last) => Math.max(LEAST_LABEL, LETTER * wordsOf(first, last).length + LABEL_ROOM),
    { from: 0, to: wide },
  );
  return (
    <div className="ov" ref={box}>
      <Strip width={wide} x={x} state={state} shown={shown} speed={speed} />
      <fieldset className="ov-pulls">
        <legend className="vh">Pulls of this run</legend>
        {labels.map(({ first, last, at }) => {
          const here = shown >= first && shown <= last;
          const pull = pulls[first]!;
          return (
            <button
              type="button"
              key={pull.startS}
              aria-pressed={here}
              aria-label={
                first === last
                  ? `Pull ${first + 1}, ${pull.startS.toFixed(1)} to ${pull.endS.toFixed(1)} seconds`
                  : `Pulls ${first + 1} to ${last + 1}, one after another${here ? `: pull ${shown + 1} is shown` : ''}`
              }
              style={{ left: at }}
              onClick={() => showPull(state, here && shown < last ? shown + 1 : first)}
            >
              {wordsOf(first, last)}
            </button>
          );
        })}
      </fieldset>
    </div>
  );
};
