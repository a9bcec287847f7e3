/**
 * Who may call: pages of this server in a browser on this computer, and programs on it.
 *
 * A page of another site must not reach the garage through the reader's browser. Its calls carry its own Origin; and a
 * name of its own that it points at 127.0.0.1 (DNS rebinding) stands in Host. Both are refused.
 */

export interface CallerHeaders {
  readonly host?: string | undefined;
  readonly origin?: string | undefined;
  readonly 'sec-fetch-site'?: string | string[] | undefined;
}

const LOOPBACK = new Set(['127.0.0.1', 'localhost', '[::1]']);

const hostnameOf = (host: string): string => host.replace(/:\d+$/, '').toLowerCase();

/** A sentence why the caller is refused, or null when it may call. */
export const refusedCaller = (headers: CallerHeaders): string | null => {
  const { host, origin } = headers;
  if (host === undefined || !LOOPBACK.has(hostnameOf(host))) {
    return `This Boostwright answers on this computer only: open it as http://127.0.0.1, not as "${host ?? ''}".`;
  }
  if (origin !== undefined && origin !== `http://${host}`) {
    return `Pages of "${origin}" may not use this Boostwright: open it at http://${host}.`;
  }
  if (headers['sec-fetch-site'] === 'cross-site') {
    return `Pages of other sites may not use this Boostwright: open it at http://${host}.`;
  }
  return null;
};
