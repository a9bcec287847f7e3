/** What scripts/bench.mjs times: our own work, and peers doing the part of it that they do. */
import { DuckDBInstance } from '@duckdb/node-api';
import { parse as csvParser } from 'csv-parse';
import Papa from 'papaparse';
import { inferSchema, initParser } from 'udsv';
import { resolveBuild } from '../car/index.ts';
import { readLog, readTable } from '../logs/index.ts';
import { matchCar, STANDARD_CONDITIONS, usualEngineSpeedsRpm } from '../match/index.ts';
import { readBuild } from './builds.ts';
import { computeInWorkers } from './compute.ts';
import { headroomOf, type JOBS } from './jobs.ts';
import { reviewedLog } from './review.ts';
import { beginPowers, type PowersJobs, reviewInTwoThreads } from './review-ahead.ts';

export { hourDrive } from './hour-drive.bench.ts';
export { manyPulls } from './pulls.bench.ts';

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

/**
 * A log whose first column is seconds in decimals, made `bytes` long by running it again and again: `pulls` times whole,
 * in between without what lies from `pullFromS` to `pullToS`.
 */
export const longer = (
  log: string,
  { bytes, pulls, pullFromS, pullToS }: { bytes: number; pulls: number; pullFromS: number; pullToS: number },
): string => {
  const [header = '', ...lines] = log.trimEnd().split('\n');
  const rows = lines.map((row) => {
    const comma = row.indexOf(',');
    return { timeS: Number(row.slice(0, comma)), rest: row.slice(comma) };
  });
  const calm = rows
    .filter(({ timeS }) => timeS < pullFromS || timeS > pullToS)
    .map(({ timeS, rest }) => ({ timeS: timeS > pullToS ? timeS - (pullToS - pullFromS) : timeS, rest }));
  const parts = [header];
  let size = header.length + 1;
  let startS = 0;
  const add = (piece: typeof rows) => {
    const firstS = piece[0]?.timeS ?? 0;
    for (const { timeS, rest } of piece) {
      const row = (startS + timeS - firstS).toFixed(3) + rest;
      parts.push(row);
      size += row.length + 1;
    }
    startS += (piece.at(-1)?.timeS ?? 0) - firstS + 0.02;
  };
  for (let done = 0; size < bytes; ) {
    const due = Math.ceil((pulls * size) / bytes);
    if (done < due) {
      add(rows);
      done += 1;
    } else add(calm);
  }
  return `${parts.join('\n')}\n`;
};

const wanted = <T extends { ok: boolean }>(result: T): T => {
  if (!result.ok) throw new Error('the log of the bench was refused');
  return result;
};

/** Bytes to columns and a clock, nothing more: what the peers do. */
export const columns = (bytes: Uint8Array) => wanted(readTable(bytes));

/** Bytes to columns, channels, segments and pulls. */
export const read = (bytes: Uint8Array) => wanted(readLog(bytes));

const reviewRequest = (bytes: Uint8Array, sheet: string) => ({
  bytes,
  name: 'long.csv',
  build: readBuild(sheet, 'the sheet').build,
  choices: [],
  assumedRateHz: null,
});

/** Bytes to findings and powers, with the build, in one thread. */
export const review = (bytes: Uint8Array, sheet: string) => reviewedLog(reviewRequest(bytes, sheet));

/** The same as the command line does it: a second thread, started for it, solves the match and makes the powers. */
export const reviewAhead = async (bytes: Uint8Array, sheet: string, program: URL) => {
  const compute = computeInWorkers<PowersJobs>(program, 1);
  try {
    const request = reviewRequest(bytes, sheet);
    return await reviewInTwoThreads(beginPowers(compute, request.build), request);
  } finally {
    await compute.close();
  }
};

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

/** Rows of texts or numbers into columns of numbers, as they come. */
const columnsOfRows = () => {
  const columns: number[][] = [];
  let rows = 0;
  return {
    add: (row: readonly unknown[]): void => {
      if (rows++ > 0) for (let i = 0; i < row.length; i++) (columns[i] as number[]).push(Number(row[i]));
      else for (let i = 0; i < row.length; i++) columns.push([]);
    },
    columns,
  };
};

/** Peer: the same columns with Papa Parse and its own option for numbers, a row at a time so that its memory holds. */
export const papaparse = (text: string): number[][] => {
  const { add, columns } = columnsOfRows();
  Papa.parse<unknown[]>(text, { dynamicTyping: true, skipEmptyLines: true, step: ({ data }) => add(data) });
  return columns;
};

/** Peer: the same columns with csv-parse, fed a megabyte at a time. */
export const csvParse = (bytes: Uint8Array): Promise<number[][]> =>
  new Promise((done, failed) => {
    const { add, columns } = columnsOfRows();
    const parser = csvParser({ skip_empty_lines: true });
    parser.on('data', add);
    parser.on('error', failed);
    parser.on('end', () => done(columns));
    let at = 0;
    const feed = (): void => {
      while (at < bytes.length) {
        const part = bytes.subarray(at, at + 1e6);
        at += part.length;
        if (!parser.write(part)) {
          parser.once('drain', feed);
          return;
        }
      }
      parser.end();
    };
    feed();
  });
