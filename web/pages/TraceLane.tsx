/** One trace with its name and its reading at the hairline: drawn and written straight from the stores, once a frame. */
import { memo, type RefObject, useEffect, useMemo, useRef, useState } from 'react';
import type { BuildView } from '../../src/app/api.ts';
import type { ChannelName } from '../../src/logs/types.ts';
import type { TraceTiles } from '../answers/trace-tiles.ts';
import { AXIS_WIDTH, type LanePlace, placeLane, valueRange } from '../charts/lane.ts';
import { drawHairline, drawLane, type Lane, writeLane } from '../charts/lane-picture.ts';
import { Pixels } from '../charts/pixels.ts';
import { SourceMark } from '../parts/Shapes.tsx';
import { useSize } from '../parts/use-size.ts';
import { useStore } from '../state/store.ts';
import { useUnits } from '../state/units.ts';
import { CHANNEL_WORDS, channelReading, channelUnit, STEPPED, writeChannel } from './channels.ts';
import { LivePicture, type Picture, useFollowing, type Watched } from './LivePicture.tsx';
import { createLaneData, leadChannel, loggedAt, type Predicted, predictedAt, stretchesOn } from './lane-readings.ts';
import type { RunState } from './run-state.ts';

interface LaneProps {
  readonly channel: ChannelName;
  readonly tiles: TraceTiles;
  /** Tells when tiles have come. */
  readonly arrivals: Watched;
  readonly predicted: Predicted;
  readonly state: RunState;
  readonly build: BuildView | undefined;
}

/** Columns of the screen that a plot of a width has. */
export const columnsOf = (width: number): number => Math.max(200, Math.floor((width - AXIS_WIDTH) * devicePixelRatio));

const write = (ref: RefObject<HTMLElement | null>, text: string): void => {
  if (ref.current && ref.current.textContent !== text) ref.current.textContent = text;
};

/** Names of more characters take two lines, and their unit stands behind them. */
const LONG_NAME = 19;

/** Readings out of sight follow once the hairline has stood so long: whoever has the page read out finds them right [ms]. */
const UNSEEN_AFTER_MS = 150;

const LaneLabel = ({
  channel,
  tiles,
  arrivals,
  predicted,
  state,
  inSight,
}: Omit<LaneProps, 'build'> & { readonly inSight: boolean }) => {
  const units = useUnits();
  const logged = useRef<HTMLSpanElement>(null);
  const expected = useRef<HTMLSpanElement>(null);
  const whole = useRef<HTMLSpanElement>(null);
  const unseen = useRef(0);
  const read = () => {
    const time = state.time.get();
    const found = loggedAt(tiles, channel, time, state);
    write(logged, found === null ? '–' : writeChannel(channel, units, found.value));
    const value = predictedAt(predicted, time);
    if (value !== undefined) write(expected, writeChannel(channel, units, value));
    if (whole.current) whole.current.style.visibility = value === undefined ? 'hidden' : 'visible';
  };
  useFollowing(() => {
    clearTimeout(unseen.current);
    if (inSight) read();
    else unseen.current = setTimeout(read, UNSEEN_AFTER_MS) as unknown as number;
  }, [state.time, arrivals]);
  const { name } = CHANNEL_WORDS[channel];
  return (
    <div className="tl named">
      <span className={name.length > LONG_NAME ? 'tn long' : 'tn'}>
        <b>{name}</b> <span className="note">{channelUnit(channel, units)}</span>
      </span>
      <span className="tv">
        <span className="held">
          <span ref={logged} />
          <SourceMark source="logged" />
        </span>
      </span>
      <span className="tp" ref={whole}>
        <span className="held">
          <i className="ho" />
          <span className="vh">predicted </span>
          <span ref={expected} />
        </span>
      </span>
    </div>
  );
};

/** Whether an element is in sight or near it: lanes out of sight cost nothing while one pans. */
const useInSight = (ref: RefObject<Element | null>): boolean => {
  const [inSight, setInSight] = useState(true);
  useEffect(() => {
    const element = ref.current;
    if (!element) return;
    const observer = new IntersectionObserver((entries) => setInSight(entries.at(-1)?.isIntersecting ?? true), {
      rootMargin: '120px 0px',
    });
    observer.observe(element);
    return () => observer.disconnect();
  }, [ref]);
  return inSight;
};

/** Pictures to draw into, one for each size: every lane copies its own out of it at once. */
const boards = new Map<string, { readonly pixels: Pixels; readonly image: ImageData }>();
const MOST_BOARDS = 4;
const boardOf = (width: number, height: number) => {
  const key = `${width} ${height}`;
  let board = boards.get(key);
  if (!board) {
    if (boards.size >= MOST_BOARDS) boards.clear();
    const pixels = new Pixels(width, height);
    board = { pixels, image: new ImageData(new Uint8ClampedArray(pixels.colours.buffer), pixels.width, pixels.height) };
    boards.set(key, board);
  }
  return board;
};

interface Ground {
  readonly madeOf: readonly unknown[];
  readonly colours: Uint32Array;
  readonly lane: Lane;
  readonly place: LanePlace;
}

export const TraceLane = memo(({ channel, tiles, arrivals, predicted, state, build }: LaneProps) => {
  const units = useUnits();
  const row = useRef<HTMLDivElement>(null);
  const [box, { width, height }] = useSize<HTMLDivElement>();
  const inSight = useInSight(row);
  const selected = useStore(state.finding);
  const dataOf = useMemo(
    () => createLaneData(channel, tiles, predicted, build, units, state.view.log.gaps),
    [channel, tiles, predicted, build, units, state],
  );
  const stretches = useMemo(() => stretchesOn(state, channel, selected), [state, channel, selected]);
  const leads = selected !== null && leadChannel(state, selected) === channel;
  useEffect(() => {
    // The stretch that was asked for may lie below the traces in view.
    if (leads) row.current?.scrollIntoView({ block: 'nearest' });
  }, [leads]);
  const size = { width: Math.floor(width), height: Math.floor(height) };
  const ground = useRef<Ground | null>(null);
  const last = useRef<readonly unknown[] | null>(null);
  /** The lane without its hairline: kept, so that the hairline alone is drawn while it alone moves. */
  const groundOf = ({ width: wide, height: high, ratio, packed }: Picture, pixels: Pixels): Ground => {
    const window = state.window.get();
    const data = dataOf(window, columnsOf(size.width));
    const madeOf = [window, data, stretches, packed, wide, high, ratio];
    const kept = ground.current;
    if (kept?.madeOf.every((one, i) => one === madeOf[i])) return kept;
    const place = placeLane({ width: wide, height: high, ratio }, window, valueRange(data, window.startS, window.endS));
    const lane = { data, stretches, stepped: STEPPED.has(channel) };
    drawLane(pixels, place, lane, packed);
    const colours = kept?.colours.length === pixels.colours.length ? kept.colours : new Uint32Array(wide * high);
    colours.set(pixels.colours);
    ground.current = { madeOf, colours, lane, place };
    return ground.current;
  };
  const draw = (picture: Picture) => {
    if (!inSight) return;
    const { pixels, image } = boardOf(picture.width, picture.height);
    const { lane, place, colours } = groundOf(picture, pixels);
    const timeS = state.time.get();
    const logged = loggedAt(tiles, channel, timeS, state);
    const expected = predictedAt(predicted, timeS);
    const reading = (value: number) => channelReading(channel, units, value);
    const on = {
      timeS,
      logged: logged && { timeS: logged.timeS, value: reading(logged.value) },
      expected: expected === undefined ? undefined : reading(expected),
    };
    // Tiles that came for others, or for later, change nothing here.
    const shown = [lane, timeS, logged?.timeS, logged?.value, expected];
    if (last.current?.every((one, i) => Object.is(one, shown[i]))) return;
    last.current = shown;
    pixels.colours.set(colours);
    drawHairline(pixels, place, on, picture.packed);
    picture.pen.putImageData(image, 0, 0);
    writeLane(picture.pen, place, lane, picture.ink);
  };
  return (
    <div className="tr" ref={row}>
      <LaneLabel
        channel={channel}
        tiles={tiles}
        arrivals={arrivals}
        predicted={predicted}
        state={state}
        inSight={inSight}
      />
      <div className="tr-plot" ref={box}>
        <LivePicture {...size} draw={draw} sources={[state.window, state.time, arrivals]} />
      </div>
    </div>
  );
});
