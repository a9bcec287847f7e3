/** The life of what is drawn on a canvas: made at its true size, followed by theme and fonts, drawn at most once a turn. */
import { useEffect, useLayoutEffect, useRef } from 'react';
import { type Ink, inkOf, type PackedInk, packedInk } from '../charts/ink.ts';
import { themeStore } from '../state/theme.ts';

export interface Watched {
  readonly subscribe: (listener: () => void) => () => void;
}

/** Tells `listener` of the colours under `element` now and whenever the theme changes; returns how to stop. */
export const followInk = (element: Element, listener: (ink: Ink) => void): (() => void) => {
  const look = () => listener(inkOf(element));
  look();
  const laptop = matchMedia('(prefers-color-scheme: dark)');
  laptop.addEventListener('change', look);
  const stop = themeStore.subscribe(look);
  return () => {
    laptop.removeEventListener('change', look);
    stop();
  };
};

/** Does `work` once in the turn in which something changed, after all changes of that turn: still before its frame. */
const oncePerTurn = (work: () => void): (() => void) => {
  let due = false;
  return () => {
    if (due) return;
    due = true;
    queueMicrotask(() => {
      due = false;
      work();
    });
  };
};

/** A source that tells of its changes at most once a frame: for what comes by itself, as tiles do, and not by a hand. */
export const onceAFrame = (source: Watched): Watched => ({
  subscribe: (listener) => {
    let frame = 0;
    const stop = source.subscribe(() => {
      frame ||= requestAnimationFrame(() => {
        frame = 0;
        listener();
      });
    });
    return () => {
      cancelAnimationFrame(frame);
      stop();
    };
  },
});

/** Calls the latest `work` once in each turn in which a source changed, and after each rendering. Nothing is rendered for it. */
export const useFollowing = (work: () => void, sources: readonly Watched[]): void => {
  const latest = useRef(work);
  useLayoutEffect(() => {
    latest.current = work;
    work();
  });
  useEffect(() => {
    let there = true;
    const soon = oncePerTurn(() => there && latest.current());
    const stops = sources.map((source) => source.subscribe(soon));
    return () => {
      there = false;
      for (const stop of stops) stop();
    };
    // biome-ignore lint/correctness/useExhaustiveDependencies: the sources themselves are what it hangs on
  }, sources);
};

/** A canvas ready to be drawn on. */
export interface Picture {
  readonly pen: CanvasRenderingContext2D;
  /** Size in pixels of the screen. */
  readonly width: number;
  readonly height: number;
  /** Pixels of the screen in one of the sheet. */
  readonly ratio: number;
  /** The same object as long as what is drawn already looks right. */
  readonly ink: Ink;
  readonly packed: PackedInk;
}

/**
 * A canvas `width` by `height` of the sheet, drawn when a source changes, when it is rendered, and when theme or fonts change.
 * It stays in ordinary memory: it is written anew for every frame and never transformed.
 */
export const LivePicture = ({
  width,
  height,
  draw,
  sources,
}: {
  width: number;
  height: number;
  draw: (picture: Picture) => void;
  sources: readonly Watched[];
}) => {
  const canvas = useRef<HTMLCanvasElement>(null);
  const inks = useRef<Pick<Picture, 'ink' | 'packed'> | null>(null);
  const paint = () => {
    const pen = canvas.current?.getContext('2d', { alpha: false, willReadFrequently: true });
    if (!canvas.current || !pen || !inks.current || width < 1 || height < 1) return;
    const ratio = devicePixelRatio;
    const [wide, high] = [Math.round(width * ratio), Math.round(height * ratio)];
    if (canvas.current.width !== wide) canvas.current.width = wide;
    if (canvas.current.height !== high) canvas.current.height = high;
    draw({ pen, width: wide, height: high, ratio, ...inks.current });
  };
  const latest = useRef(paint);
  useLayoutEffect(() => {
    latest.current = paint;
  });
  useLayoutEffect(() => {
    const host = canvas.current?.parentElement;
    if (!host) return;
    let there = true;
    const repaint = (ink: Ink) => {
      inks.current = { ink, packed: packedInk(ink) };
      latest.current();
    };
    const stop = followInk(host, repaint);
    document.fonts.ready.then(() => there && repaint(inkOf(host)));
    return () => {
      there = false;
      stop();
    };
  }, []);
  useFollowing(paint, sources);
  return (
    <div className="live-picture" aria-hidden="true">
      <canvas ref={canvas} style={{ width, height }} />
    </div>
  );
};
