/** What a run's page is looking at: the window of time, the hairline, the pull, the finding. */

import type { RunView } from '../../src/app/api.ts';
import { type MomentWriter, momentWriter } from '../../src/logs/clock-words.ts';
import type { Finding } from '../../src/review/types.ts';
import { createStore, type Store } from '../state/store.ts';

export interface RunWindow {
  readonly startS: number;
  readonly endS: number;
}

export interface RunState {
  readonly view: RunView;
  readonly window: Store<RunWindow>;
  readonly time: Store<number>;
  readonly pull: Store<number>;
  readonly finding: Store<number | null>;
  /** Said to screen readers. */
  readonly said: Store<string>;
  readonly findings: readonly Finding[];
  /** How moments of this log are written. */
  readonly moments: MomentWriter;
}

const around = (view: RunView, startS: number, endS: number, room: number): RunWindow => ({
  startS: Math.max(view.log.startS, startS - room),
  endS: Math.min(view.log.endS, endS + room),
});

/** The window of a pull: it and a second either side. */
export const pullWindow = (view: RunView, index: number): RunWindow => {
  const pull = view.pulls[index];
  if (!pull) return { startS: view.log.startS, endS: view.log.endS };
  return around(view, pull.startS, pull.endS, 1);
};

/** `asked`: the pull to begin with, from 0; another number: the pull of the gravest finding. */
export const createRunState = (view: RunView, findings: readonly Finding[], asked = -1): RunState => {
  const first = findings[0];
  const gravest = first ? Math.max(0, pullAt(view, first.startS, first.endS)) : 0;
  const pull = view.pulls[asked] ? asked : gravest;
  const window = pullWindow(view, pull);
  const shown = view.pulls[pull];
  return {
    view,
    findings,
    window: createStore(window),
    time: createStore(shown ? (shown.startS + shown.endS) / 2 : window.startS),
    pull: createStore(pull),
    finding: createStore<number | null>(null),
    said: createStore(''),
    moments: momentWriter(view.log),
  };
};

/** The pull that a stretch of time touches, or -1. */
export const pullAt = (view: RunView, startS: number, endS: number): number =>
  view.pulls.findIndex((pull) => pull.startS <= endS && pull.endS >= startS);

export const showPull = (state: RunState, index: number): void => {
  const { view } = state;
  const held = Math.min(view.pulls.length - 1, Math.max(0, index));
  const pull = view.pulls[held];
  if (!pull) return;
  state.pull.set(held);
  state.finding.set(null);
  state.window.set(pullWindow(view, held));
  state.time.set((pull.startS + pull.endS) / 2);
  state.said.set(`Pull ${held + 1}, ${state.moments.span(pull.startS, pull.endS)}.`);
};

/** Zooms to a finding's stretch; the same again shows its pull. */
export const showFinding = (state: RunState, index: number): void => {
  const finding = state.findings[index];
  if (!finding) return;
  const { view } = state;
  const length = Math.max(0.5, finding.endS - finding.startS);
  state.finding.set(index);
  const pull = pullAt(view, finding.startS, finding.endS);
  if (pull >= 0) state.pull.set(pull);
  state.window.set(around(view, finding.startS, finding.endS, Math.max(1, length * 0.4)));
  state.time.set((finding.startS + finding.endS) / 2);
  state.said.set(`Traces show ${state.moments.span(finding.startS, finding.endS)}: ${finding.says}`);
};

export const showWhole = (state: RunState): void => {
  state.window.set({ startS: state.view.log.startS, endS: state.view.log.endS });
  state.said.set('Traces show the whole run.');
};
