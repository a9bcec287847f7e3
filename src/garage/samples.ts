/**
 * Samples of logs as Parquet, one immutable file per run, named by its content.
 *
 * Long form, three columns: channel (text, dictionary-coded), time_s and value (both SI doubles), sorted by channel and
 * then by time. Why long: see docs/decisions/0002-store.md.
 */
import { createHash } from 'node:crypto';
import { createReadStream, rmSync } from 'node:fs';
import { join } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import type { DuckDBConnection, DuckDBInstance } from '@duckdb/node-api';
import { asidePath, SAMPLES, settle } from './files.ts';
import type { SampleSeries } from './records.ts';

/** Rows of one chunk: DuckDB's vector size. */
const CHUNK_ROWS = 2048;
/** Chunks appended before other work comes in. */
const CHUNKS_AT_ONCE = 4;
/** Rows of one row group: small enough that a few seconds of one channel read little. */
const ROW_GROUP_ROWS = 61_440;

let instance: Promise<DuckDBInstance> | null = null;

/** Loading DuckDB takes a quarter of a second: commands that touch no samples do not pay for it. */
const duckdb = () => import('@duckdb/node-api');

/** One DuckDB in memory for the whole process. */
const connect = async (): Promise<DuckDBConnection> => {
  instance ??= duckdb().then(({ DuckDBInstance }) => DuckDBInstance.create(':memory:', { threads: '2' }));
  return (await instance).connect();
};

const withConnection = async <T>(work: (connection: DuckDBConnection) => Promise<T>): Promise<T> => {
  const connection = await connect();
  try {
    return await work(connection);
  } finally {
    connection.closeSync();
  }
};

const quoted = (text: string): string => `'${text.replaceAll("'", "''")}'`;

const sha256OfFile = async (path: string): Promise<string> => {
  const hash = createHash('sha256');
  for await (const part of createReadStream(path)) hash.update(part as Buffer);
  return hash.digest('hex');
};

/** Channels by their place in the list: one byte a row while the rows wait, whatever the name. */
const appendSeries = async (
  connection: DuckDBConnection,
  table: string,
  series: readonly SampleSeries[],
): Promise<void> => {
  const { DOUBLE, DuckDBDataChunk, USMALLINT } = await duckdb();
  const appender = await connection.createAppender(table);
  let chunks = 0;
  for (const [place, { timesS, values }] of series.entries()) {
    for (let first = 0; first < timesS.length; first += CHUNK_ROWS) {
      // Millions of readings take seconds: a server that keeps them answers others meanwhile.
      if (++chunks % CHUNKS_AT_ONCE === 0) await setImmediate();
      const end = Math.min(first + CHUNK_ROWS, timesS.length);
      const chunk = DuckDBDataChunk.create([USMALLINT, DOUBLE, DOUBLE], end - first);
      chunk.setColumnValues(0, new Array<number>(end - first).fill(place));
      chunk.setColumnValues(1, Array.from(timesS.subarray(first, end)));
      chunk.setColumnValues(2, Array.from(values.subarray(first, end)));
      appender.appendDataChunk(chunk);
    }
  }
  appender.closeSync();
};

let tables = 0;

/** Samples written aside, with the name of their content; the caller settles or removes them. */
export interface WrittenSamples {
  readonly aside: string;
  readonly name: string;
}

/** Writes the series of a run aside. */
export const writeSamples = async (garage: string, series: readonly SampleSeries[]): Promise<WrittenSamples> => {
  const aside = asidePath(garage);
  const sorted = [...series].sort((a, b) => (a.channel < b.channel ? -1 : a.channel > b.channel ? 1 : 0));
  const names = sorted.map(({ channel }) => quoted(channel)).join(', ');
  try {
    await withConnection(async (connection) => {
      const table = `samples_${++tables}`;
      await connection.run(`CREATE TEMP TABLE ${table} (place USMALLINT, time_s DOUBLE, value DOUBLE)`);
      try {
        await appendSeries(connection, table, sorted);
        await connection.run(
          `COPY (SELECT ([${names}]::VARCHAR[])[place + 1] AS channel, time_s, value FROM ${table})
             TO ${quoted(aside)} (FORMAT parquet, COMPRESSION zstd, ROW_GROUP_SIZE ${ROW_GROUP_ROWS})`,
        );
      } finally {
        await connection.run(`DROP TABLE ${table}`);
      }
    });
    return { aside, name: await sha256OfFile(aside) };
  } catch (error) {
    rmSync(aside, { force: true });
    throw error;
  }
};

/** Gives samples that lie aside their final name; after this returns, a power cut does not lose them. */
export const keepSamples = (garage: string, { aside, name }: WrittenSamples): void =>
  settle(aside, samplesPath(garage, name));

/** Where the samples of that name lie. */
export const samplesPath = (garage: string, name: string): string => join(garage, SAMPLES, `${name}.parquet`);

/** All readings of the named channels between two times, whole. */
export const readSamples = async (
  garage: string,
  name: string,
  channels: readonly string[],
  startS: number,
  endS: number,
): Promise<SampleSeries[]> => {
  const rows = await query(
    garage,
    name,
    `SELECT channel, time_s, value FROM picked ORDER BY channel, time_s`,
    channels,
    startS,
    endS,
  );
  return gather(rows.channel, [[rows.time_s, rows.value]], channels);
};

/** Numbers of a column of doubles, as they lie in memory. */
const doublesOf = (vector: object): Float64Array => {
  const { items } = vector as { readonly items?: unknown };
  if (!(items instanceof Float64Array)) throw new Error('a column of the samples is not of doubles');
  return items;
};

/** All readings of one channel in order of time: straight from the columns, for long runs. Empty where it was not logged. */
export const wholeChannel = (garage: string, name: string, channel: string): Promise<SampleSeries> =>
  withConnection(async (connection) => {
    const file = quoted(samplesPath(garage, name));
    // The file is sorted by channel and time, and rows come in the order of the file.
    const rows = await connection.stream(`SELECT time_s, value FROM read_parquet(${file}) WHERE channel = $channel`, {
      channel,
    });
    const pieces: { readonly timesS: Float64Array; readonly values: Float64Array }[] = [];
    let size = 0;
    for (;;) {
      const chunk = await rows.fetchChunk();
      if (!chunk || chunk.rowCount === 0) break;
      const taken = (column: number) => doublesOf(chunk.getColumnVector(column)).slice(0, chunk.rowCount);
      pieces.push({ timesS: taken(0), values: taken(1) });
      size += chunk.rowCount;
    }
    const timesS = new Float64Array(size);
    const values = new Float64Array(size);
    let at = 0;
    for (const piece of pieces) {
      timesS.set(piece.timesS, at);
      values.set(piece.values, at);
      at += piece.timesS.length;
    }
    return { channel, timesS, values };
  });

/**
 * Readings of the named channels between two times, at most about `maxPoints` each: where there are more, each of
 * `maxPoints / 2` equal stretches of time gives its lowest and its highest reading, in the order in which they came, so
 * that no peak is lost.
 */
export const thinnedSamples = async (
  garage: string,
  name: string,
  channels: readonly string[],
  startS: number,
  endS: number,
  maxPoints: number,
): Promise<(SampleSeries & { readonly decimated: boolean })[]> => {
  const stretches = Math.max(1, Math.floor(maxPoints / 2));
  const widthS = Math.max((endS - startS) / stretches, 1e-9);
  const rows = await query(
    garage,
    name,
    `SELECT channel, arg_min(time_s, value) AS low_s, min(value) AS low, arg_max(time_s, value) AS high_s,
            max(value) AS high, count(*)::DOUBLE AS readings
       FROM picked
      GROUP BY channel, least(floor((time_s - ${startS}::DOUBLE) / ${widthS}::DOUBLE), ${stretches - 1})
      ORDER BY channel, least(low_s, high_s)`,
    channels,
    startS,
    endS,
  );
  const counts = new Map<string, number>();
  (rows.channel as string[]).forEach((channel, index) => {
    counts.set(channel, (counts.get(channel) ?? 0) + Number(rows.readings?.[index] ?? 0));
  });
  const whole = channels.filter((channel) => (counts.get(channel) ?? 0) <= maxPoints);
  const thinned = channels.filter((channel) => !whole.includes(channel));
  const thin = gather(
    rows.channel,
    [
      [rows.low_s, rows.low],
      [rows.high_s, rows.high],
    ],
    thinned,
  );
  const full = whole.length > 0 ? await readSamples(garage, name, whole, startS, endS) : [];
  const marked = [
    ...thin.map((series) => ({ ...series, decimated: true })),
    ...full.map((series) => ({ ...series, decimated: false })),
  ];
  return channels.flatMap((channel) => marked.find((series) => series.channel === channel) ?? []);
};

type Columns = Record<string, unknown[]>;

const query = (
  garage: string,
  name: string,
  select: string,
  channels: readonly string[],
  startS: number,
  endS: number,
): Promise<Columns> =>
  withConnection(async (connection) => {
    const list = channels.map(quoted).join(', ');
    const reader = await connection.runAndReadAll(
      `WITH picked AS (SELECT channel, time_s, value FROM read_parquet(${quoted(samplesPath(garage, name))})
         WHERE channel IN (${list || "''"}) AND time_s BETWEEN $start AND $end)
       ${select}`,
      { start: startS, end: endS },
    );
    return reader.getColumnsObject();
  });

/** Puts the rows of each channel, sorted by channel, into its own pair of arrays; a reading that comes twice in a row comes once. */
const gather = (
  names: unknown[] | undefined,
  pairs: readonly (readonly [unknown[] | undefined, unknown[] | undefined])[],
  wanted: readonly string[],
): SampleSeries[] => {
  const byName = new Map<string, { timesS: number[]; values: number[] }>(
    wanted.map((channel) => [channel, { timesS: [], values: [] }]),
  );
  (names ?? []).forEach((channel, row) => {
    const into = byName.get(channel as string);
    if (!into) return;
    const readings = pairs
      .map(([times, values]) => [times?.[row] as number, values?.[row] as number] as const)
      .sort((a, b) => a[0] - b[0]);
    readings.forEach(([timeS, value], index) => {
      const before = readings[index - 1];
      if (before && before[0] === timeS && before[1] === value) return;
      into.timesS.push(timeS);
      into.values.push(value);
    });
  });
  return [...byName].map(([channel, { timesS, values }]) => ({
    channel,
    timesS: Float64Array.from(timesS),
    values: Float64Array.from(values),
  }));
};
