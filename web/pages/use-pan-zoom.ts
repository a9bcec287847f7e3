/** Panning and zooming by wheel, drag, touch and keys; one change a frame, however many events come. */
import { type RefObject, useEffect } from 'react';
import { panned, type TimeWindow, wheelFactor, zoomed } from '../charts/pan-zoom.ts';
import type { RunState } from './run-state.ts';

/** Sets the window; the hairline is taken along at the edge, so that it is never out of sight. */
export const lookAt = (state: RunState, window: TimeWindow): void => {
  const { startS, endS } = window;
  state.window.set(window);
  const time = state.time.get();
  if (time < startS || time > endS) state.time.set(Math.min(endS, Math.max(startS, time)));
};

export const zoomBy = (state: RunState, factor: number, aroundS = state.time.get()): void =>
  lookAt(state, zoomed(state.window.get(), state.view.log, factor, aroundS));

/** By a share of the window. */
export const panBy = (state: RunState, share: number): void => {
  const window = state.window.get();
  lookAt(state, panned(window, state.view.log, share * (window.endS - window.startS)));
};

interface Options {
  /** The part of the element that the window lies under: left and right in pixels of the page. */
  readonly plotOf: (element: HTMLElement) => { readonly left: number; readonly right: number };
  /** What the plot spans: the window, or the whole log. */
  readonly spans: 'window' | 'log';
  /** The wheel zooms without a key held: nothing scrolls here. */
  readonly wheelZooms: boolean;
  /** What a plain drag or a tap does with the moment under it; panning with it when absent. */
  readonly place?: (timeS: number) => void;
}

/** A finger that moved less is a tap [px]. */
const TAP_PX = 8;

export const usePanZoom = (ref: RefObject<HTMLElement | null>, state: RunState, options: Options): void => {
  const { plotOf, spans, wheelZooms, place } = options;
  useEffect(() => {
    const element = ref.current;
    if (!element) return;
    const { log } = state.view;
    let pending: TimeWindow | null = null;
    let pendingTime: number | null = null;
    let frame = 0;
    const soon = () => {
      frame ||= requestAnimationFrame(() => {
        frame = 0;
        if (pending) lookAt(state, pending);
        if (pendingTime !== null) place?.(pendingTime);
        pending = null;
        pendingTime = null;
      });
    };
    const now = () => pending ?? state.window.get();
    const change = (window: TimeWindow) => {
      pending = window;
      soon();
    };
    const spanned = () => (spans === 'log' ? log : now());
    const timeAt = (clientX: number) => {
      const { left, right } = plotOf(element);
      const { startS, endS } = spanned();
      return startS + Math.min(1, Math.max(0, (clientX - left) / Math.max(1, right - left))) * (endS - startS);
    };
    const secondsOf = (pixels: number) => {
      const { left, right } = plotOf(element);
      const { startS, endS } = spanned();
      return (pixels * (endS - startS)) / Math.max(1, right - left);
    };
    const wheel = (event: WheelEvent) => {
      const sideways = event.shiftKey ? event.deltaX || event.deltaY : event.deltaX;
      if (event.ctrlKey || event.metaKey || (wheelZooms && !sideways)) {
        event.preventDefault();
        change(zoomed(now(), log, wheelFactor(event.deltaY, event.deltaMode), timeAt(event.clientX)));
      } else if (sideways && (event.shiftKey || Math.abs(sideways) > Math.abs(event.deltaY))) {
        event.preventDefault();
        change(panned(now(), log, secondsOf(sideways * (event.deltaMode === 1 ? 16 : 1))));
      }
    };
    const fingers = new Map<number, { x: number; readonly fromX: number; readonly touch: boolean }>();
    let mode: 'pan' | 'place' | null = null;
    const down = (event: PointerEvent) => {
      if (event.target instanceof Element && event.target.closest('button, a, input')) return;
      const touch = event.pointerType === 'touch';
      const pans = !place || touch || event.shiftKey || event.button === 1;
      if (!touch && event.button !== 0 && event.button !== 1) return;
      if (event.button === 1) event.preventDefault();
      fingers.set(event.pointerId, { x: event.clientX, fromX: event.clientX, touch });
      mode = pans ? 'pan' : 'place';
      element.setPointerCapture(event.pointerId);
      if (mode === 'place') {
        pendingTime = timeAt(event.clientX);
        soon();
      }
    };
    const move = (event: PointerEvent) => {
      const finger = fingers.get(event.pointerId);
      if (!finger) return;
      if (mode === 'place') {
        pendingTime = timeAt(event.clientX);
        soon();
      } else if (fingers.size === 1) {
        const by = secondsOf(event.clientX - finger.x);
        // On the overview the window follows the hand; on the traces the paper does.
        change(panned(now(), log, spans === 'log' ? by : -by));
      } else {
        const other = [...fingers].find(([id]) => id !== event.pointerId)?.[1];
        if (other) {
          const before = Math.max(16, Math.abs(finger.x - other.x));
          const after = Math.max(16, Math.abs(event.clientX - other.x));
          const middle = (finger.x + other.x) / 2;
          const around = timeAt(middle);
          const turned = zoomed(now(), log, before / after, around);
          change(panned(turned, log, -secondsOf((event.clientX - finger.x) / 2)));
        }
      }
      finger.x = event.clientX;
    };
    const up = (event: PointerEvent) => {
      const finger = fingers.get(event.pointerId);
      if (!finger) return;
      const tapped =
        event.type === 'pointerup' && fingers.size === 1 && Math.abs(event.clientX - finger.fromX) < TAP_PX;
      if (mode === 'pan' && tapped) {
        if (place && finger.touch) place(timeAt(event.clientX));
        else if (!place) {
          // A tap on the overview brings the window there.
          const { startS, endS } = now();
          change(panned(now(), log, timeAt(event.clientX) - (startS + endS) / 2));
        }
      }
      fingers.delete(event.pointerId);
      if (fingers.size === 0) mode = null;
    };
    element.addEventListener('wheel', wheel, { passive: false });
    element.addEventListener('pointerdown', down);
    element.addEventListener('pointermove', move);
    element.addEventListener('pointerup', up);
    element.addEventListener('pointercancel', up);
    return () => {
      cancelAnimationFrame(frame);
      element.removeEventListener('wheel', wheel);
      element.removeEventListener('pointerdown', down);
      element.removeEventListener('pointermove', move);
      element.removeEventListener('pointerup', up);
      element.removeEventListener('pointercancel', up);
    };
  }, [ref, state, plotOf, spans, wheelZooms, place]);
};
