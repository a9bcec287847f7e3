/** How the garage file came to be what it is: numbered steps, each applied and recorded in one transaction. */
import { existsSync, rmSync } from 'node:fs';
import type Database from 'better-sqlite3';
import { settle } from './files.ts';
import { GarageProblem } from './problems.ts';

interface Migration {
  readonly number: number;
  readonly name: string;
  readonly sql: string;
}

/** Marks a SQLite file as a garage ("BSTW"), so that another program's file is never taken for one. */
export const APPLICATION_ID = 0x42535457;

/** Never edit a step that has shipped: add one. */
export const MIGRATIONS: readonly Migration[] = [
  {
    number: 1,
    name: 'cars, builds and runs',
    sql: `
      CREATE TABLE car (
        id TEXT PRIMARY KEY,
        name TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
        note TEXT NOT NULL DEFAULT '',
        demo INTEGER NOT NULL DEFAULT 0 CHECK (demo IN (0, 1)),
        created TEXT NOT NULL
      ) STRICT;
      CREATE TABLE build (
        id TEXT PRIMARY KEY,
        car TEXT NOT NULL REFERENCES car (id),
        number INTEGER NOT NULL CHECK (number > 0),
        label TEXT NOT NULL,
        created TEXT NOT NULL,
        parent TEXT REFERENCES build (id),
        planned INTEGER NOT NULL CHECK (planned IN (0, 1)),
        sheet TEXT NOT NULL CHECK (json_valid(sheet)),
        content_hash TEXT NOT NULL,
        UNIQUE (car, number)
      ) STRICT;
      CREATE TRIGGER build_is_kept BEFORE DELETE ON build
        BEGIN SELECT RAISE(ABORT, 'a build is never deleted'); END;
      CREATE TRIGGER build_is_fixed BEFORE UPDATE ON build
        BEGIN SELECT RAISE(ABORT, 'a build is never changed: add a revision'); END;
      CREATE TABLE run (
        id TEXT PRIMARY KEY,
        car TEXT NOT NULL REFERENCES car (id),
        number INTEGER NOT NULL CHECK (number > 0),
        build TEXT NOT NULL REFERENCES build (id),
        file_name TEXT NOT NULL,
        sha256 TEXT NOT NULL CHECK (length(sha256) = 64),
        imported_at TEXT NOT NULL,
        note TEXT NOT NULL DEFAULT '',
        assumed_rate_hz REAL,
        duration_s REAL NOT NULL,
        samples TEXT CHECK (samples IS NULL OR length(samples) = 64),
        review TEXT CHECK (review IS NULL OR json_valid(review)),
        review_version TEXT,
        UNIQUE (car, number),
        UNIQUE (car, sha256)
      ) STRICT;
      CREATE INDEX build_by_car ON build (car, number);
      CREATE INDEX run_by_car ON run (car, number);
    `,
  },
  {
    number: 2,
    name: 'channel choices, remembered by column set',
    sql: `
      CREATE TABLE channel_choice (
        column_set TEXT PRIMARY KEY CHECK (length(column_set) = 64),
        choices TEXT NOT NULL CHECK (json_valid(choices)),
        saved TEXT NOT NULL
      ) STRICT;
      ALTER TABLE run ADD COLUMN column_set TEXT;
      ALTER TABLE run ADD COLUMN choices TEXT CHECK (choices IS NULL OR json_valid(choices));
    `,
  },
  {
    number: 3,
    name: 'part options, one list a car',
    sql: `
      CREATE TABLE part_options (
        car TEXT PRIMARY KEY REFERENCES car (id),
        options TEXT NOT NULL CHECK (json_valid(options)),
        saved TEXT NOT NULL
      ) STRICT;
    `,
  },
  {
    number: 4,
    name: 'pulls and what each channel did in them',
    sql: `
      ALTER TABLE run ADD COLUMN pulls_version TEXT;
      CREATE TABLE pull (
        id INTEGER PRIMARY KEY,
        car TEXT NOT NULL REFERENCES car (id),
        run TEXT NOT NULL REFERENCES run (id),
        run_number INTEGER NOT NULL,
        place INTEGER NOT NULL CHECK (place >= 0),
        build TEXT NOT NULL REFERENCES build (id),
        start_s REAL NOT NULL,
        end_s REAL NOT NULL,
        duration_s REAL NOT NULL GENERATED ALWAYS AS (end_s - start_s) STORED,
        gears TEXT NOT NULL CHECK (json_valid(gears)),
        gear_bits INTEGER NOT NULL,
        from_rpm REAL NOT NULL,
        to_rpm REAL NOT NULL,
        power_w REAL,
        power_p10_w REAL,
        power_p90_w REAL,
        power_rpm REAL,
        findings TEXT NOT NULL CHECK (json_valid(findings)),
        UNIQUE (run, place)
      ) STRICT;
      CREATE INDEX pull_by_newest ON pull (car, run_number DESC, place);
      CREATE TABLE pull_statistic (
        car TEXT NOT NULL,
        channel TEXT NOT NULL,
        pull INTEGER NOT NULL REFERENCES pull (id) ON DELETE CASCADE,
        least REAL NOT NULL,
        most REAL NOT NULL,
        mean REAL NOT NULL,
        at_peak_power REAL,
        PRIMARY KEY (car, channel, pull)
      ) STRICT, WITHOUT ROWID;
      CREATE INDEX pull_statistic_of_pull ON pull_statistic (pull);
      CREATE TABLE pull_finding (
        car TEXT NOT NULL,
        finding TEXT NOT NULL,
        pull INTEGER NOT NULL REFERENCES pull (id) ON DELETE CASCADE,
        PRIMARY KEY (car, finding, pull)
      ) STRICT, WITHOUT ROWID;
      CREATE INDEX pull_finding_of_pull ON pull_finding (pull);
    `,
  },
  {
    number: 5,
    name: 'runs whose pulls are to be read, found without reading their reviews',
    sql: `
      CREATE INDEX run_by_pulls ON run (car, number, pulls_version, id) WHERE samples IS NOT NULL;
    `,
  },
  {
    number: 6,
    name: 'when a run was driven, and by what that is known',
    sql: `
      ALTER TABLE run ADD COLUMN driven_at TEXT;
      ALTER TABLE run ADD COLUMN driven_by TEXT CHECK (driven_by IN ('log', 'file', 'typed'));
      ALTER TABLE pull ADD COLUMN driven_at TEXT NOT NULL DEFAULT '';
      UPDATE pull SET driven_at = (SELECT imported_at FROM run WHERE run.id = pull.run);
      DROP INDEX pull_by_newest;
      CREATE INDEX pull_by_newest ON pull (car, driven_at DESC, run_number DESC, place);
    `,
  },
];

export const NEWEST = MIGRATIONS.length;

/** Number of the last applied step; 0 for a new file. */
export const migrationOf = (database: Database.Database): number =>
  database.pragma('user_version', { simple: true }) as number;

const isOurs = (database: Database.Database): boolean => {
  const id = database.pragma('application_id', { simple: true }) as number;
  if (id === APPLICATION_ID) return true;
  const tables = database.prepare("SELECT count(*) AS n FROM sqlite_schema WHERE type = 'table'").get() as {
    n: number;
  };
  return id === 0 && tables.n === 0;
};

/** A copy of the whole file as it is now, under a name that says before which step it was made; kept if it is there already. */
const copyBefore = (database: Database.Database, path: string, number: number): string => {
  const copy = `${path}.before-${number}`;
  if (existsSync(copy)) return copy;
  const aside = `${copy}.${process.pid}`;
  rmSync(aside, { force: true });
  database.prepare('VACUUM INTO ?').run(aside);
  settle(aside, copy);
  return copy;
};

/**
 * Brings an open garage file to the newest step. A file with content is copied first. Two programs that open an old
 * garage at once do not both migrate: the second finds the work done when it gets the write lock.
 * @throws GarageProblem `garage-too-new` for a file of a later Boostwright, `garage-damaged` for somebody else's file.
 */
export const migrate = (
  database: Database.Database,
  path: string,
  now: () => string,
  upTo: number = NEWEST,
): { readonly from: number; readonly copy: string | null } => {
  if (!isOurs(database)) {
    throw new GarageProblem(
      'garage-damaged',
      `${path} is a database of another program; choose another garage folder.`,
    );
  }
  const from = migrationOf(database);
  if (from > NEWEST) {
    throw new GarageProblem(
      'garage-too-new',
      `The garage ${path} was written by a newer Boostwright (format ${from}, this one reads up to ${NEWEST}); update Boostwright.`,
    );
  }
  if (from >= upTo) return { from, copy: null };
  const copy = from === 0 ? null : copyBefore(database, path, from + 1);
  const apply = database.transaction(() => {
    for (const { number, name, sql } of MIGRATIONS) {
      if (number <= migrationOf(database) || number > upTo) continue;
      if (number === 1) {
        database.pragma(`application_id = ${APPLICATION_ID}`);
        database.exec(
          'CREATE TABLE migration (number INTEGER PRIMARY KEY, name TEXT NOT NULL, applied TEXT NOT NULL) STRICT',
        );
      }
      database.exec(sql);
      database.prepare('INSERT INTO migration (number, name, applied) VALUES (?, ?, ?)').run(number, name, now());
      database.pragma(`user_version = ${number}`);
    }
  });
  apply.immediate();
  return { from, copy };
};
