/** The command line called in this process, for tests: what it printed on which stream, and its exit code. */
import { main } from './main.ts';

export interface Ended {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

/** Runs one command line with `env` as its whole environment; its `serve` ends at once. */
export const runCommand = async (
  args: readonly string[],
  env: Readonly<Record<string, string | undefined>> = {},
): Promise<Ended> => {
  const out: string[] = [];
  const err: string[] = [];
  const code = await main(args, {
    version: '0',
    serve: async () => {},
    out: (text) => out.push(text),
    err: (text) => err.push(text),
    env,
  });
  return { code, out: out.join('\n'), err: err.join('\n') };
};

/** Runs one command line in an empty environment. */
export const run = (...args: string[]): Promise<Ended> => runCommand(args);
