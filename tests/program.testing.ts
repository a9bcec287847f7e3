/** The command line as a process of its own, for tests: what it printed on which stream, and its exit code. */
import { execFile } from 'node:child_process';
import { join } from 'node:path';

export const ROOT = join(import.meta.dirname, '..');
export const PROGRAM = join(ROOT, 'scripts', 'boostwright.mjs');

export interface Ended {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

/** What set-up may say before the command runs, when the source was changed meanwhile. */
const SETTING_UP = /^(Building the (programs|web pages)|Waiting for another Boostwright process.*)\.\n/gm;

export const boostwright = (...args: string[]): Promise<Ended> =>
  new Promise((resolve) => {
    execFile(process.execPath, [PROGRAM, ...args], { cwd: ROOT, maxBuffer: 1 << 28 }, (error, out, err) =>
      resolve({ code: error ? Number(error.code ?? 99) : 0, out, err: err.replace(SETTING_UP, '') }),
    );
  });
