/** A garage opened: its folder made, its file brought up to date, what killed programs left swept. */
import { mkdirSync } from 'node:fs';
import { join, resolve } from 'node:path';
import Database from 'better-sqlite3';
import { clearAside, makeFolders } from './files.ts';
import { Garage } from './garage.ts';
import { migrate } from './migrations.ts';
import { explain, GarageProblem } from './problems.ts';

/** How long a second window waits for the first one to finish writing [ms]. */
const WAIT_FOR_LOCK_MS = 5000;

/** Opens the garage in a folder, making it when there is none and bringing an older one up to date after a copy. */
export const openGarage = (
  folder: string,
  {
    now = () => new Date().toISOString(),
    waitForLockMs = WAIT_FOR_LOCK_MS,
  }: { now?: () => string; waitForLockMs?: number } = {},
): Garage => {
  const place = resolve(folder);
  try {
    mkdirSync(place, { recursive: true });
    makeFolders(place);
    const path = join(place, 'garage.sqlite');
    const database = new Database(path, { timeout: waitForLockMs });
    try {
      database.pragma('journal_mode = WAL');
      // FULL: a commit that was acknowledged outlives a power cut (NORMAL may lose the last ones in WAL mode).
      database.pragma('synchronous = FULL');
      database.pragma('foreign_keys = ON');
      migrate(database, path, now);
      clearAside(place, Date.now());
    } catch (error) {
      database.close();
      throw error;
    }
    const garage = new Garage(place, database, now);
    try {
      garage.sweep();
    } catch (error) {
      // A window that is writing, or a folder that may only be read: the sweep waits for another start.
      if (!(error instanceof GarageProblem)) throw error;
    }
    return garage;
  } catch (error) {
    throw explain(error, place);
  }
};
