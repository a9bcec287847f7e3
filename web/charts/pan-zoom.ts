/** Windows of time moved and stretched, held inside a log. */

export interface TimeWindow {
  readonly startS: number;
  readonly endS: number;
}

/** Shorter windows show nothing more [s]. */
export const SHORTEST_WINDOW_S = 0.2;

/** A window of a wanted length around what it was, inside the log. */
const held = (log: TimeWindow, startS: number, lengthS: number): TimeWindow => {
  const length = Math.min(log.endS - log.startS, lengthS);
  const start = Math.min(log.endS - length, Math.max(log.startS, startS));
  return { startS: start, endS: start + length };
};

/** The window later by `byS` (earlier where negative), stopped at the ends of the log. */
export const panned = (window: TimeWindow, log: TimeWindow, byS: number): TimeWindow =>
  held(log, window.startS + byS, window.endS - window.startS);

/** The window `factor` times as long, with the moment `aroundS` (or the end of the window nearest to it) staying where it stands. */
export const zoomed = (window: TimeWindow, log: TimeWindow, factor: number, aroundS: number): TimeWindow => {
  const length = window.endS - window.startS;
  const most = log.endS - log.startS;
  const wanted = Math.min(most, Math.max(Math.min(SHORTEST_WINDOW_S, most), length * factor));
  const around = Math.min(window.endS, Math.max(window.startS, aroundS));
  const share = (around - window.startS) / length;
  return held(log, around - share * wanted, wanted);
};

/** Zoom of a turn of the wheel: pixels of a notch are near 100; lines and pages count as sixteen and four hundred. */
export const wheelFactor = (delta: number, mode: number): number =>
  Math.exp(Math.max(-250, Math.min(250, delta * (mode === 1 ? 16 : mode === 2 ? 400 : 1))) * 0.0022);
