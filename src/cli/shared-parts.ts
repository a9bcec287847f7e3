/** What several commands do alike: reading a sheet or a log, printing an answer. */
import { readBuild } from '../app/index.ts';
import { numberOf, type Options, readText } from './arguments.ts';
import { choicesOf } from './channel-arguments.ts';
import type { Surroundings } from './surroundings.ts';

const RATES: readonly [number, number] = [0.01, 100_000];

export const buildFrom = (path: string) => readBuild(readText(path), path);

export const print = (options: Options, { out }: Surroundings, answer: unknown, text: () => string): void =>
  out(options.on('json') ? JSON.stringify(answer) : text());

export const reviewRequest = (options: Options) => ({
  choices: choicesOf(options),
  assumedRateHz: numberOf(options, 'rate', RATES) ?? null,
});

/** Logs over this size say how far their reading is. */
const LARGE_LOG_BYTES = 5e6;

/** Reads a log in this thread; a large one says how far it is. Ctrl+C ends the program, which has kept nothing yet. */
export const withReading = async <T>(
  { progress }: Surroundings,
  bytes: Uint8Array,
  work: (watch: { readonly onProgress: (share: number) => void } | undefined) => Promise<T>,
): Promise<T> => {
  if (!progress || bytes.length <= LARGE_LOG_BYTES) return work(undefined);
  const size = Math.round(bytes.length / 1e6);
  try {
    return await work({
      onProgress: (share) =>
        progress(
          share < 1 ? `Reading ${size} MB: ${Math.floor(100 * share)} % (Ctrl+C stops)` : 'Reviewing what was read',
        ),
    });
  } finally {
    progress(null);
  }
};
