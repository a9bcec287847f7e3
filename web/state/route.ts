/** Which sheet is open. The address after `#` says it, so that back, forward and bookmarks work from any server. */
import { createStore } from './store.ts';

export type Route =
  | { readonly sheet: 'air-path' }
  | { readonly sheet: 'headroom'; readonly part?: string }
  | { readonly sheet: 'lift'; readonly view?: 'parts' }
  | { readonly sheet: 'runs' }
  | { readonly sheet: 'run'; readonly runId: string; readonly pull?: number }
  /** Runs as `ID` or `ID:PULL`, pulls counted from 1. */
  | { readonly sheet: 'compare'; readonly first: string; readonly second: string }
  /** `ask`: conditions, order and place, as a query. */
  | { readonly sheet: 'pulls'; readonly ask?: string }
  | { readonly sheet: 'compressor' }
  | { readonly sheet: 'spool' }
  | { readonly sheet: 'fuel' }
  | { readonly sheet: 'cylinder' }
  | { readonly sheet: 'what-if' }
  | { readonly sheet: 'build' }
  | { readonly sheet: 'new-car' }
  /** A log that belongs to no car. */
  | { readonly sheet: 'loose-log' }
  | { readonly sheet: 'unknown'; readonly asked: string };

/** The address of a sheet. */
export const addressOf = (route: Route): string => {
  switch (route.sheet) {
    case 'air-path':
      return '#/';
    case 'run':
      return `#/runs/${encodeURIComponent(route.runId)}${route.pull === undefined ? '' : `/${route.pull}`}`;
    case 'compare':
      return `#/compare/${encodeURIComponent(route.first)}/${encodeURIComponent(route.second)}`;
    case 'pulls':
      return route.ask === undefined ? '#/pulls' : `#/pulls/${encodeURIComponent(route.ask)}`;
    case 'headroom':
      return route.part === undefined ? '#/headroom' : `#/headroom/${encodeURIComponent(route.part)}`;
    case 'lift':
      return route.view === undefined ? '#/lift' : `#/lift/${route.view}`;
    case 'unknown':
      return `#/${route.asked}`;
    default:
      return `#/${route.sheet}`;
  }
};

/** The sheet that an address names. */
export const routeOf = (hash: string): Route => {
  const [first = '', second, third] = hash.replace(/^#?\/?/, '').split('/');
  const named = second === undefined || second === '' ? undefined : decodeText(second);
  const other = third === undefined || third === '' ? undefined : decodeText(third);
  switch (first) {
    case '':
      return { sheet: 'air-path' };
    case 'headroom':
      return named === undefined ? { sheet: 'headroom' } : { sheet: 'headroom', part: named };
    case 'lift':
      return named === 'parts' ? { sheet: 'lift', view: 'parts' } : { sheet: 'lift' };
    case 'runs':
      if (named === undefined) return { sheet: 'runs' };
      return /^[1-9]\d{0,4}$/.test(other ?? '')
        ? { sheet: 'run', runId: named, pull: Number(other) }
        : { sheet: 'run', runId: named };
    case 'compare':
      return named === undefined || other === undefined
        ? { sheet: 'runs' }
        : { sheet: 'compare', first: named, second: other };
    case 'pulls':
      return named === undefined ? { sheet: 'pulls' } : { sheet: 'pulls', ask: named };
    case 'compressor':
      return { sheet: 'compressor' };
    case 'spool':
      return { sheet: 'spool' };
    case 'fuel':
      return { sheet: 'fuel' };
    case 'what-if':
      return { sheet: 'what-if' };
    case 'cylinder':
      return { sheet: 'cylinder' };
    case 'build':
      return { sheet: 'build' };
    case 'new-car':
      return { sheet: 'new-car' };
    case 'loose-log':
      return { sheet: 'loose-log' };
    default:
      return { sheet: 'unknown', asked: first };
  }
};

const decodeText = (text: string): string => {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
};

export const routeStore = createStore<Route>({ sheet: 'air-path' });

/** Follows the address bar. */
export const startRoute = (): void => {
  const follow = () => routeStore.set(routeOf(location.hash));
  follow();
  addEventListener('hashchange', follow);
};

/** Opens a sheet. */
export const go = (route: Route): void => {
  location.hash = addressOf(route);
};
