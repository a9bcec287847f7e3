/** Pulls of a car kept row by row, and looked through. Every value from outside is bound; words of SQL come from here only. */
import type Database from 'better-sqlite3';
import type {
  Comparison,
  FoundPull,
  FoundPulls,
  KeptPulls,
  PullCondition,
  PullOrder,
  PullQuery,
  StatisticKind,
  StatisticRecord,
} from './records.ts';

type Row = Record<string, unknown>;
type Bound = string | number;

const COLUMN: Readonly<Record<StatisticKind, string>> = {
  least: 'least',
  most: 'most',
  mean: 'mean',
  atPeakPower: 'at_peak_power',
};
const COMPARED: Readonly<Record<Comparison, string>> = { '<': '<', '<=': '<=', '>': '>', '>=': '>=', '=': '=' };

/** Words of SQL with the values they are bound to, in order. */
interface Piece {
  readonly sql: string;
  readonly bound: readonly Bound[];
}

const conditionPiece = (condition: PullCondition): Piece => {
  switch (condition.kind) {
    case 'statistic':
      return {
        sql: `EXISTS (SELECT 1 FROM pull_statistic s WHERE s.car = pull.car AND s.channel = ? AND s.run = pull.run
                AND s.place = pull.place AND s.${COLUMN[condition.statistic]} ${COMPARED[condition.comparison]} ?)`,
        bound: [condition.channel, condition.valueSi],
      };
    case 'duration':
      return {
        sql: `pull.end_s - pull.start_s ${COMPARED[condition.comparison]} ?`,
        bound: [condition.valueSi],
      };
    case 'gear':
      return {
        sql: `EXISTS (SELECT 1 FROM json_each(pull.gears) g WHERE g.value ${COMPARED[condition.comparison]} ?)`,
        bound: [condition.valueSi],
      };
    case 'finding':
      return condition.id === null
        ? { sql: `pull.findings = '[]'`, bound: [] }
        : {
            sql: `EXISTS (SELECT 1 FROM json_each(pull.findings) f WHERE f.value ->> 'id' = ?)`,
            bound: [condition.id],
          };
    case 'build':
      return { sql: 'run.build = ?', bound: [condition.id] };
  }
};

/** What to join and how to sort; ties and the rest by newest run, then by place in it. */
const orderPiece = (order: PullOrder): Piece & { readonly join: string } => {
  const newest = 'run.number DESC, pull.place';
  switch (order.by) {
    case 'newest':
      return { join: '', sql: newest, bound: [] };
    case 'statistic':
      return {
        join: `LEFT JOIN pull_statistic o ON o.car = pull.car AND o.channel = ? AND o.run = pull.run AND o.place = pull.place`,
        sql: `o.${COLUMN[order.statistic]} ${order.rising ? 'ASC' : 'DESC'} NULLS LAST, ${newest}`,
        bound: [order.channel],
      };
    default: {
      const by = order.by === 'power' ? 'pull.power_w' : 'pull.end_s - pull.start_s';
      return { join: '', sql: `${by} ${order.rising ? 'ASC' : 'DESC'} NULLS LAST, ${newest}`, bound: [] };
    }
  }
};

const statisticOf = (row: Row): StatisticRecord => ({
  channel: row.channel as string,
  least: row.least as number,
  most: row.most as number,
  mean: row.mean as number,
  atPeakPower: row.at_peak_power as number | null,
});

const pullOf = (row: Row, statistics: readonly StatisticRecord[]): FoundPull => ({
  runId: row.run as string,
  place: row.place as number,
  runNumber: row.number as number,
  fileName: row.file_name as string,
  importedAt: row.imported_at as string,
  buildId: row.build as string,
  startS: row.start_s as number,
  endS: row.end_s as number,
  gears: JSON.parse(row.gears as string) as number[],
  minEngineSpeedRpm: row.from_rpm as number,
  maxEngineSpeedRpm: row.to_rpm as number,
  powerW:
    row.power_w === null
      ? null
      : { p10: row.power_p10_w as number, p50: row.power_w as number, p90: row.power_p90_w as number },
  powerEngineSpeedRpm: row.power_rpm as number | null,
  findings: JSON.parse(row.findings as string) as FoundPull['findings'],
  statistics,
});

/** Looks through all pulls of a car. */
const findPulls = (database: Database.Database, carId: string, query: PullQuery): FoundPulls => {
  const { conditions, order, offset, limit, channels } = query;
  const pieces = conditions.map(conditionPiece);
  const where = ['pull.car = ?', ...pieces.map(({ sql }) => sql)].join('\n AND ');
  const bound: Bound[] = [carId, ...pieces.flatMap((piece) => piece.bound)];
  const sorted = orderPiece(order);
  const rows = database
    .prepare(
      `SELECT pull.*, run.number, run.file_name, run.imported_at, run.build
         FROM pull JOIN run ON run.id = pull.run ${sorted.join}
        WHERE ${where}
        ORDER BY ${sorted.sql} LIMIT ? OFFSET ?`,
    )
    .all(...sorted.bound, ...bound, limit, offset) as Row[];
  const count = (sql: string, ...values: Bound[]): number => (database.prepare(sql).get(...values) as { n: number }).n;
  const ofCar = count('SELECT count(*) AS n FROM pull WHERE car = ?', carId);
  const total =
    conditions.length === 0
      ? ofCar
      : count(`SELECT count(*) AS n FROM pull JOIN run ON run.id = pull.run WHERE ${where}`, ...bound);
  const without = conditions.map((condition) => {
    if (condition.kind !== 'statistic') return 0;
    const column = COLUMN[condition.statistic];
    return (
      ofCar -
      count(`SELECT count(${column}) AS n FROM pull_statistic WHERE car = ? AND channel = ?`, carId, condition.channel)
    );
  });
  const one = database.prepare('SELECT * FROM pull_statistic WHERE car = ? AND channel = ? AND run = ? AND place = ?');
  const pulls = rows.map((row) => {
    const statistics = channels.flatMap((channel) => {
      const found = one.get(carId, channel, row.run, row.place) as Row | undefined;
      return found ? [statisticOf(found)] : [];
    });
    return pullOf(row, statistics);
  });
  return { total, ofCar, without, pulls };
};

/** Channels that any pull of a car has statistics of, in order of name. */
const pullChannels = (database: Database.Database, carId: string): string[] => {
  // A step from each name to the next one: the index is not read through.
  const rows = database
    .prepare(
      `WITH RECURSIVE names (name) AS (
         SELECT min(channel) FROM pull_statistic WHERE car = ?
         UNION ALL
         SELECT (SELECT min(channel) FROM pull_statistic WHERE car = ? AND channel > name) FROM names WHERE name IS NOT NULL
       ) SELECT name FROM names WHERE name IS NOT NULL`,
    )
    .all(carId, carId) as { name: string }[];
  return rows.map(({ name }) => name);
};

/** Puts the pulls of a run in place of those it had. Call it inside a transaction. */
export const writePulls = (
  database: Database.Database,
  run: { readonly id: string; readonly carId: string },
  { version, pulls }: KeptPulls,
): void => {
  database.prepare('DELETE FROM pull WHERE car = ? AND run = ?').run(run.carId, run.id);
  const addPull = database.prepare('INSERT INTO pull VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)');
  const addStatistic = database.prepare('INSERT INTO pull_statistic VALUES (?, ?, ?, ?, ?, ?, ?, ?)');
  pulls.forEach((pull, place) => {
    addPull.run(
      run.carId,
      run.id,
      place,
      pull.startS,
      pull.endS,
      JSON.stringify(pull.gears),
      pull.minEngineSpeedRpm,
      pull.maxEngineSpeedRpm,
      pull.powerW?.p50 ?? null,
      pull.powerW?.p10 ?? null,
      pull.powerW?.p90 ?? null,
      pull.powerEngineSpeedRpm,
      JSON.stringify(pull.findings),
    );
    for (const { channel, least, most, mean, atPeakPower } of pull.statistics) {
      addStatistic.run(run.carId, channel, run.id, place, least, most, mean, atPeakPower);
    }
  });
  database.prepare('UPDATE run SET pulls_version = ? WHERE id = ?').run(version, run.id);
};

/** Confirmed runs of a car whose pulls are missing or were made by another version, oldest first. */
const runsToRead = (database: Database.Database, carId: string, version: string): string[] =>
  (
    database
      .prepare(
        `SELECT id FROM run WHERE car = ? AND samples IS NOT NULL AND (pulls_version IS NULL OR pulls_version <> ?)
          ORDER BY number`,
      )
      .all(carId, version) as { id: string }[]
  ).map(({ id }) => id);

/** How the garage runs a piece of work on its database, with what can go wrong turned into sentences. */
export interface Guard {
  readonly read: <T>(work: () => T) => T;
  readonly write: <T>(work: () => T) => T;
}

/** The pulls of all confirmed runs, as a garage keeps them. */
export class PullShelf {
  readonly #database: Database.Database;
  readonly #guard: Guard;

  constructor(database: Database.Database, guard: Guard) {
    this.#database = database;
    this.#guard = guard;
  }

  /** Pulls of a car that fit a query. */
  find(carId: string, query: PullQuery): FoundPulls {
    return this.#guard.read(() => findPulls(this.#database, carId, query));
  }

  /** Channels that any pull of a car has. */
  channels(carId: string): string[] {
    return this.#guard.read(() => pullChannels(this.#database, carId));
  }

  /** Confirmed runs whose pulls are not kept by this version yet, oldest first. */
  runsToRead(carId: string, version: string): string[] {
    return this.#guard.read(() => runsToRead(this.#database, carId, version));
  }

  /** Keeps the pulls of a run that was confirmed before there was a place for them. */
  keep(run: { readonly id: string; readonly carId: string }, kept: KeptPulls): void {
    this.#guard.write(() => writePulls(this.#database, run, kept));
  }
}
