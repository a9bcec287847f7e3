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
  RunRecord,
  StatisticKind,
  StatisticRecord,
} from './records.ts';
import { drivenOf, type Row } from './rows.ts';

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

const HIGHEST_GEAR = 30;
const GEARS: readonly number[] = Array.from({ length: HIGHEST_GEAR + 1 }, (_, gear) => gear);
const bitsOf = (gears: readonly number[]): number =>
  gears.reduce((bits, gear) => (gear >= 0 && gear <= HIGHEST_GEAR ? bits | (1 << gear) : bits), 0);

const HOLDS: Readonly<Record<Comparison, (value: number, with_: number) => boolean>> = {
  '<': (value, with_) => value < with_,
  '<=': (value, with_) => value <= with_,
  '>': (value, with_) => value > with_,
  '>=': (value, with_) => value >= with_,
  '=': (value, with_) => value === with_,
};

/** Sets of pulls by channel or finding lie together in their tables: read through once, they are faster than a look-up a pull. */
const conditionPiece = (carId: string, condition: PullCondition): Piece => {
  switch (condition.kind) {
    case 'statistic':
      return {
        sql: `id IN (SELECT pull FROM pull_statistic WHERE car = ? AND channel = ?
                AND ${COLUMN[condition.statistic]} ${COMPARED[condition.comparison]} ?)`,
        bound: [carId, condition.channel, condition.valueSi],
      };
    case 'duration':
      return { sql: `duration_s ${COMPARED[condition.comparison]} ?`, bound: [condition.valueSi] };
    case 'gear': {
      const fitting = GEARS.filter((gear) => HOLDS[condition.comparison](gear, condition.valueSi));
      return { sql: 'gear_bits & ? <> 0', bound: [bitsOf(fitting)] };
    }
    case 'finding':
      return condition.id === null
        ? { sql: `findings = '[]'`, bound: [] }
        : { sql: 'id IN (SELECT pull FROM pull_finding WHERE car = ? AND finding = ?)', bound: [carId, condition.id] };
    case 'build':
      return { sql: 'build = ?', bound: [condition.id] };
  }
};

/** What to join and how to sort; ties and the rest by newest drive, then by place in it. */
const orderPiece = (carId: string, order: PullOrder): Piece & { readonly join: string } => {
  const newest = 'driven_at DESC, run_number DESC, place';
  const direction = order.by !== 'newest' && order.rising ? 'ASC' : 'DESC';
  switch (order.by) {
    case 'newest':
      return { join: '', sql: newest, bound: [] };
    case 'statistic':
      return {
        join: `LEFT JOIN (SELECT pull, ${COLUMN[order.statistic]} AS value FROM pull_statistic WHERE car = ? AND channel = ?) AS o
                 ON o.pull = pull.id`,
        sql: `o.value ${direction} NULLS LAST, ${newest}`,
        bound: [carId, order.channel],
      };
    default:
      return {
        join: '',
        sql: `${order.by === 'power' ? 'power_w' : 'duration_s'} ${direction} NULLS LAST, ${newest}`,
        bound: [],
      };
  }
};

/** Channel, least, most, mean, at peak power, pull. */
type StatisticRow = readonly [string, number, number, number, number | null, number];
const statisticOf = ([channel, least, most, mean, atPeakPower]: StatisticRow): StatisticRecord => ({
  channel,
  least,
  most,
  mean,
  atPeakPower,
});

const pullOf = (row: Row, statistics: readonly StatisticRecord[]): FoundPull => ({
  runId: row.run as string,
  place: row.place as number,
  runNumber: row.run_number as number,
  fileName: row.file_name as string,
  importedAt: row.imported_at as string,
  driven: drivenOf({ driven_at: row.run_driven_at, driven_by: row.driven_by }),
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
  const pieces = conditions.map((condition) => conditionPiece(carId, condition));
  const sorted = orderPiece(carId, order);
  const where = ['car = ?', ...pieces.map(({ sql }) => sql)].join('\n AND ');
  // All that fit by number alone: how many they are and which of them are on the page come out together.
  const ids = database
    .prepare(`SELECT pull.id FROM pull ${sorted.join} WHERE ${where} ORDER BY ${sorted.sql}`)
    .pluck()
    .all(...sorted.bound, carId, ...pieces.flatMap(({ bound }) => bound)) as number[];
  const count = (sql: string, ...values: Bound[]): number =>
    database
      .prepare(sql)
      .pluck()
      .get(...values) as number;
  const ofCar = conditions.length === 0 ? ids.length : count('SELECT count(*) FROM pull WHERE car = ?', carId);
  const without = conditions.map((condition) => {
    if (condition.kind !== 'statistic') return 0;
    const known = `SELECT count(${COLUMN[condition.statistic]}) FROM pull_statistic WHERE car = ? AND channel = ?`;
    return ofCar - count(known, carId, condition.channel);
  });
  const page = JSON.stringify(ids.slice(offset, offset + limit));
  const ofPage = database
    .prepare(
      `SELECT channel, least, most, mean, at_peak_power, pull FROM pull_statistic
        WHERE car = ? AND channel IN (SELECT value FROM json_each(?)) AND pull IN (SELECT value FROM json_each(?))`,
    )
    .raw();
  const byPull = new Map<number, StatisticRecord[]>();
  for (const row of ofPage.all(carId, JSON.stringify(channels), page) as StatisticRow[]) {
    const statistics = byPull.get(row[5]);
    if (statistics) statistics.push(statisticOf(row));
    else byPull.set(row[5], [statisticOf(row)]);
  }
  const rows = database
    .prepare(
      `SELECT pull.*, run.file_name, run.imported_at, run.driven_at AS run_driven_at, run.driven_by
         FROM json_each(?) wanted JOIN pull ON pull.id = wanted.value JOIN run ON run.id = pull.run
        ORDER BY wanted.key`,
    )
    .all(page) as Row[];
  const place = new Map(channels.map((channel, index) => [channel, index]));
  const pulls = rows.map((row) =>
    pullOf(
      row,
      (byPull.get(row.id as number) ?? []).sort((a, b) => place.get(a.channel)! - place.get(b.channel)!),
    ),
  );
  return { total: ids.length, ofCar, without, pulls };
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
export const writePulls = (database: Database.Database, run: RunRecord, { version, pulls }: KeptPulls): void => {
  database.prepare('DELETE FROM pull WHERE run = ?').run(run.id);
  const addPull = database.prepare(
    `INSERT INTO pull (car, run, run_number, driven_at, place, build, start_s, end_s, gears, gear_bits, from_rpm, to_rpm, power_w,
                       power_p10_w, power_p90_w, power_rpm, findings)
     VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)`,
  );
  const addStatistic = database.prepare('INSERT INTO pull_statistic VALUES (?, ?, ?, ?, ?, ?, ?)');
  const addFinding = database.prepare('INSERT OR IGNORE INTO pull_finding VALUES (?, ?, ?)');
  pulls.forEach((pull, place) => {
    const { lastInsertRowid: id } = addPull.run(
      run.carId,
      run.id,
      run.number,
      run.driven?.at ?? run.importedAt,
      place,
      run.buildId,
      pull.startS,
      pull.endS,
      JSON.stringify(pull.gears),
      bitsOf(pull.gears),
      pull.minEngineSpeedRpm,
      pull.maxEngineSpeedRpm,
      pull.powerW?.p50 ?? null,
      pull.powerW?.p10 ?? null,
      pull.powerW?.p90 ?? null,
      pull.powerEngineSpeedRpm,
      JSON.stringify(pull.findings),
    );
    for (const { channel, least, most, mean, atPeakPower } of pull.statistics) {
      addStatistic.run(run.carId, channel, id, least, most, mean, atPeakPower);
    }
    for (const finding of pull.findings) addFinding.run(run.carId, finding.id, id);
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
  keep(run: RunRecord, kept: KeptPulls): void {
    this.#guard.write(() => writePulls(this.#database, run, kept));
  }
}
