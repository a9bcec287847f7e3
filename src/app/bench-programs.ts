/** What scripts/bench.mjs times: our own work, and peers doing the part of it that they do. */
import { DuckDBInstance } from '@duckdb/node-api';
import { inferSchema, initParser } from 'udsv';
import { resolveBuild } from '../car/index.ts';
import { readLog } from '../logs/index.ts';
import { matchCar, STANDARD_CONDITIONS, usualEngineSpeedsRpm } from '../match/index.ts';
import { readBuild } from './builds.ts';
import { computeInWorkers } from './compute.ts';
import { headroomOf, type JOBS } from './jobs.ts';
import { reviewedLog } from './review.ts';

/** One car at sixty engine speeds, best estimate. */
export const model = (sheet: string) => {
  const { car } = resolveBuild(readBuild(sheet, 'the sheet').build);
  const engineSpeedsRpm = usualEngineSpeedsRpm(car, 60);
  return { match60: () => matchCar(car, STANDARD_CONDITIONS, { engineSpeedsRpm }) };
};

/** The ledger in two worker threads. */
export const workers = (program: URL) => {
  const compute = computeInWorkers<typeof JOBS>(program, 2);
  return {
    ledger: (sheet: string, samples: number) =>
      headroomOf(compute, { build: readBuild(sheet, 'the sheet').build, conditions: STANDARD_CONDITIONS }, samples),
    close: compute.close,
  };
};

/** A log whose first column is seconds in decimals, made at least `bytes` long by running it again and again. */
export const longer = (log: string, bytes: number): string => {
  const [header = '', ...rows] = log.trimEnd().split('\n');
  const cut = rows.map((row) => [Number(row.slice(0, row.indexOf(','))), row.slice(row.indexOf(','))] as const);
  const lengthS = (cut.at(-1)?.[0] ?? 0) - (cut[0]?.[0] ?? 0) + 1;
  if (!(lengthS > 1)) throw new Error('the first column of this log is not its clock in seconds');
  const parts = [header];
  for (let turn = 0, size = header.length; size < bytes; turn += 1) {
    for (const [timeS, rest] of cut) {
      const row = (timeS + turn * lengthS).toFixed(3) + rest;
      parts.push(row);
      size += row.length + 1;
    }
  }
  return `${parts.join('\n')}\n`;
};

const wanted = <T extends { ok: boolean }>(result: T): T => {
  if (!result.ok) throw new Error('the log of the bench was refused');
  return result;
};

/** Bytes to columns, channels, segments and pulls. */
export const read = (bytes: Uint8Array) => wanted(readLog(bytes));

/** Bytes to findings and powers, with the build. */
export const review = (bytes: Uint8Array, sheet: string) =>
  reviewedLog({
    bytes,
    name: 'long.csv',
    build: readBuild(sheet, 'the sheet').build,
    choices: [],
    assumedRateHz: null,
  });

let instance: Promise<DuckDBInstance> | null = null;

/** Peer: the same columns into memory with DuckDB, on two threads. */
export const duckdb = async (path: string): Promise<void> => {
  instance ??= DuckDBInstance.create(':memory:', { threads: '2' });
  const connection = await (await instance).connect();
  try {
    await connection.run(`CREATE OR REPLACE TABLE bench AS SELECT * FROM read_csv('${path.replaceAll("'", "''")}')`);
  } finally {
    connection.closeSync();
  }
};

/** Peer: the same columns as typed arrays with udsv. */
export const udsv = (text: string) => initParser(inferSchema(text)).typedCols(text);
