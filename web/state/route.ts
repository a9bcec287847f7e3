/** Which sheet is open. The address after `#` says it, so that back, forward and bookmarks work from any server. */
import { createStore } from './store.ts';

export type Route =
  | { readonly sheet: 'air-path' }
  | { readonly sheet: 'headroom'; readonly part?: string }
  | { readonly sheet: 'lift'; readonly view?: 'parts' }
  | { readonly sheet: 'runs' }
  | { readonly sheet: 'run'; readonly runId: string }
  | { readonly sheet: 'compressor' }
  | { readonly sheet: 'fuel' }
  | { readonly sheet: 'build' }
  | { readonly sheet: 'unknown'; readonly asked: string };

/** The address of a sheet. */
export const addressOf = (route: Route): string => {
  switch (route.sheet) {
    case 'air-path':
      return '#/';
    case 'run':
      return `#/runs/${encodeURIComponent(route.runId)}`;
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
  const [first = '', second] = hash.replace(/^#?\/?/, '').split('/');
  const named = second === undefined || second === '' ? undefined : decodeText(second);
  switch (first) {
    case '':
      return { sheet: 'air-path' };
    case 'headroom':
      return named === undefined ? { sheet: 'headroom' } : { sheet: 'headroom', part: named };
    case 'lift':
      return named === 'parts' ? { sheet: 'lift', view: 'parts' } : { sheet: 'lift' };
    case 'runs':
      return named === undefined ? { sheet: 'runs' } : { sheet: 'run', runId: named };
    case 'compressor':
      return { sheet: 'compressor' };
    case 'fuel':
      return { sheet: 'fuel' };
    case 'build':
      return { sheet: 'build' };
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
