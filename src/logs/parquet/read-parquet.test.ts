/** Files written by DuckDB (an independent Parquet writer) while the test runs; the wanted values are DuckDB's own answers. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type DuckDBConnection, DuckDBInstance } from '@duckdb/node-api';
import fc from 'fast-check';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { readLog } from '../read-log.ts';
import { readTable } from '../table.ts';
import type { LogTable } from '../types.ts';

const ROWS = 5000;
/** A drive of a hundred seconds in every type that numbers come in; some have blanks, one is nearly constant, one repeats few values. */
const TABLE = `CREATE TABLE log AS SELECT
  i / 50.0::DOUBLE AS "Time (s)",
  (900 + (i * 7) % 5600)::INTEGER AS "Engine Speed",
  CASE WHEN i % 5 = 0 THEN (20 + (i % 700) / 4.0)::FLOAT END AS "MAP",
  (i % 101)::UTINYINT AS "Throttle (%)",
  (i * 1000003)::BIGINT AS "Counter",
  (i % 300 > 150) AS "Clutch Switch",
  (13.2 + (i % 9) / 100.0)::DECIMAL(8, 2) AS "Battery Voltage",
  ((i - 2500) * 1.001)::DECIMAL(22, 3) AS "Grade",
  TIMESTAMP '2031-01-26 10:00:00' + INTERVAL (20 * i) MILLISECOND AS "Stamp",
  TIME '10:00:00' + INTERVAL (20 * i) MILLISECOND AS "Of Day",
  CASE WHEN i > 4000 THEN NULL ELSE 88 END::SMALLINT AS "Coolant Temp",
  (i % 3)::UINTEGER AS "Gear",
  'run ' || (i % 4) AS "Label",
  [i, i] AS "Pair",
  NULL::DOUBLE AS "Nothing"
  FROM range(${ROWS}) t(i)`;
const NUMERIC = [
  'Time (s)',
  'Engine Speed',
  'MAP',
  'Throttle (%)',
  'Counter',
  'Clutch Switch',
  'Battery Voltage',
  'Grade',
  'Stamp',
  'Of Day',
  'Coolant Temp',
  'Gear',
  'Nothing',
];
const WAYS = [
  ['plain', 'COMPRESSION uncompressed'],
  ['snappy', 'COMPRESSION snappy, ROW_GROUP_SIZE 2048'],
  ['gzip', 'COMPRESSION gzip'],
  ['zstd', 'COMPRESSION zstd, ROW_GROUP_SIZE 2048'],
  ['brotli', 'COMPRESSION brotli'],
  ['lz4', 'COMPRESSION lz4_raw'],
  ['version-2', 'COMPRESSION zstd, PARQUET_VERSION v2, DICTIONARY_SIZE_LIMIT 1'],
] as const;

const folder = mkdtempSync(join(tmpdir(), 'parquet-'));
let connection: DuckDBConnection;
let wanted: Record<string, (number | null)[]>;
const files = new Map<string, Uint8Array>();

const write = async (select: string, name: string, options: string): Promise<Uint8Array> => {
  const path = join(folder, `${name}.parquet`);
  await connection.run(`COPY (${select}) TO '${path}' (FORMAT parquet, ${options})`);
  return new Uint8Array(readFileSync(path));
};
const tableOf = (bytes: Uint8Array, assumedRateHz?: number): LogTable => {
  const read = readTable(bytes, assumedRateHz === undefined ? {} : { assumedRateHz });
  if (!read.ok) throw new Error(read.problem.says);
  return read.table;
};
const cells = (table: LogTable, header: string): (number | null)[] =>
  Array.from(table.columns.find((one) => one.header === header)!.cells, (cell) => (Number.isNaN(cell) ? null : cell));

beforeAll(async () => {
  connection = await (await DuckDBInstance.create(':memory:', { threads: '1' })).connect();
  await connection.run(TABLE);
  const number = (name: string): string =>
    name === 'Stamp' ? `epoch_us("Stamp") / 1e6` : name === 'Of Day' ? `epoch_us("Of Day") / 1e6` : `"${name}"::DOUBLE`;
  const answer = await connection.runAndReadAll(
    `SELECT ${NUMERIC.map((name) => `${number(name)} AS "${name}"`).join(', ')} FROM log`,
  );
  wanted = answer.getColumnsObjectJS() as Record<string, (number | null)[]>;
  for (const [name, options] of WAYS) files.set(name, await write('SELECT * FROM log', name, options));
});
afterAll(() => {
  connection.closeSync();
  rmSync(folder, { recursive: true, force: true });
});

describe('readParquet', () => {
  it.each(WAYS)('reads %s as DuckDB itself does', (name) => {
    const table = tableOf(files.get(name)!);
    expect(table.dialect).toMatchObject({ format: 'parquet', timeFormat: 's' });
    expect([...table.timeS]).toEqual(wanted['Time (s)']);
    for (const header of NUMERIC.slice(1)) {
      const seen = cells(table, header);
      for (let i = 0; i < ROWS; i++) {
        const [a, b] = [seen[i]!, wanted[header]![i]!];
        if (a !== b && (a === null || b === null || Math.abs(a - b) > 1e-12 * Math.abs(b)))
          throw new Error(`${header}, row ${i}: ${a} instead of ${b}`);
      }
    }
    expect(table.columnsRefused).toEqual([
      { column: 'Label', why: 'it holds text' },
      { column: 'Pair', why: 'it is nested' },
    ]);
  });
  it('takes a time stamp for the clock, leaves out rows without one, and counts them', async () => {
    const bytes = await write(
      "SELECT CASE WHEN i % 100 <> 7 THEN TIMESTAMP '2031-01-26 10:00:00' + INTERVAL (20 * i) MILLISECOND END AS ts, 900 + i AS rpm FROM range(500) t(i)",
      'stamps',
      'COMPRESSION snappy',
    );
    const table = tableOf(bytes);
    expect(table.rows).toBe(495);
    expect(table.rowsRefused.slice(0, 2)).toEqual([
      { line: 8, why: 'the time is blank' },
      { line: 108, why: 'the time is blank' },
    ]);
    expect(table.timeS[494]! - table.timeS[0]!).toBeCloseTo(499 * 0.02, 5);
  });
  it('takes units from names and from the file’s own key-value metadata', async () => {
    const bytes = await write(
      'SELECT i / 20.0 AS time, 900 + i AS rpm, 20.0 + i AS coolant, 30.0 + i / 9.0 AS "boost (psi)" FROM range(300) t(i)',
      'units',
      `KV_METADATA {units: '{"coolant": "°F", "rpm": "1/min"}'}`,
    );
    const units = Object.fromEntries(tableOf(bytes).columns.map(({ header, unitText }) => [header, unitText]));
    expect(units).toEqual({ rpm: '1/min', coolant: '°F', 'boost (psi)': 'psi' });
  });
  it('asks for the rate where there is no clock', async () => {
    const bytes = await write('SELECT 900 + i % 7 AS rpm FROM range(50) t(i)', 'rateless', 'COMPRESSION snappy');
    expect(readTable(bytes)).toMatchObject({ ok: false, problem: { code: 'needs-rate' } });
    expect(tableOf(bytes, 25).timeS[25]).toBe(1);
  });
  it('reads the channels of a text log from the same table', async () => {
    const select = `SELECT i / 50.0 AS "Time (s)", (900 + (i * 7) % 5600) AS "Engine Speed (rpm)", 20 + (i % 700) / 4.0 AS "MAP (kPa)" FROM range(3000) t(i)`;
    const path = join(folder, 'same.csv');
    await connection.run(`COPY (${select}) TO '${path}' (FORMAT csv)`);
    const [text, packed] = [
      readLog(new Uint8Array(readFileSync(path))),
      readLog(await write(select, 'same', 'COMPRESSION zstd')),
    ];
    if (!text.ok || !packed.ok) throw new Error('refused');
    expect(packed.log.channels).toEqual(text.log.channels);
  });
  it('says in one sentence that a file is cut off or damaged', () => {
    const bytes = files.get('snappy')!;
    for (const part of [bytes.subarray(0, bytes.length - 40), bytes.subarray(0, 13)]) {
      const read = readTable(part);
      expect(read).toMatchObject({ ok: false, problem: { code: 'damaged' } });
      if (!read.ok) expect(read.problem.says).toMatch(/^The Parquet file cannot be read .*\.$/);
    }
  });
  it('never throws, hangs or fills the memory, whatever is changed in a file (property)', () => {
    const all = [...files.values()];
    fc.assert(
      fc.property(
        fc.nat(all.length - 1),
        fc.array(fc.tuple(fc.double({ min: 0, max: 1, noNaN: true }), fc.nat(255), fc.boolean()), {
          minLength: 1,
          maxLength: 8,
        }),
        (which, changes) => {
          const bytes = all[which]!.slice();
          // Half of the changes go to the end, where the file's own description stands.
          for (const [share, byte, atEnd] of changes) {
            const span = atEnd ? Math.min(3000, bytes.length) : bytes.length;
            bytes[bytes.length - 1 - Math.floor(share * (span - 1))] = byte;
          }
          const read = readTable(bytes, { assumedRateHz: 20 });
          if (!read.ok) expect(read.problem.says).toMatch(/^\S.*[.]$/s);
        },
      ),
      { numRuns: 120 },
    );
  });
});
