/** The stacked traces of a run over its prediction, one hairline through all of them. */
import { useCallback, useEffect, useMemo, useSyncExternalStore } from 'react';
import type { BuildView } from '../../src/app/api.ts';
import type { ChannelName } from '../../src/logs/types.ts';
import type { TraceTiles } from '../answers/trace-tiles.ts';
import { AXIS_WIDTH } from '../charts/lane.ts';
import { useSize } from '../parts/use-size.ts';
import { onceAFrame } from './LivePicture.tsx';
import { loggedAt, type Predicted } from './lane-readings.ts';
import type { RunState } from './run-state.ts';
import { TimeEdge } from './TimeEdge.tsx';
import { columnsOf, TraceLane } from './TraceLane.tsx';
import { usePanZoom } from './use-pan-zoom.ts';

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

/** True while the server does not answer. */
const useFailed = (tiles: TraceTiles): boolean =>
  useSyncExternalStore(
    useCallback((listener: () => void) => tiles.subscribe(listener), [tiles]),
    () => tiles.failed,
  );

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
  const failed = useFailed(tiles);
  const arrivals = useMemo(() => onceAFrame(tiles), [tiles]);
  return (
    <div className="trace-block">
      {failed && (
        <p className="already" role="status">
          Boostwright does not answer; the traces show what is here and are asked for again.
        </p>
      )}
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1) */}
      <section className="trs" tabIndex={0} aria-label="Traces" ref={box}>
        {channels.map((channel) => (
          <TraceLane
            key={channel}
            channel={channel}
            tiles={tiles}
            arrivals={arrivals}
            predicted={predicted.get(channel)}
            state={state}
            build={build}
          />
        ))}
      </section>
      <TimeEdge
        state={state}
        arrivals={arrivals}
        speedAt={(timeS) => loggedAt(tiles, 'engine-speed', timeS, state)?.value}
      />
    </div>
  );
};
