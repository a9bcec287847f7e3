/**
 * Files of data/fixtures/mdf4, made by make_mdf4.py with Python's struct and zlib from the block layouts of ASAM MDF
 * 4.1.1 and 4.2.0. The expected values beside them are worked out in Python from the invented signals, not read back.
 */
import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readLog } from '../read-log.ts';
import { readTable } from '../table.ts';
import type { LogTable } from '../types.ts';

interface Expected {
  readonly step: number;
  readonly main: Record<string, (number | null)[]>;
  readonly slow: Record<string, number[]>;
  readonly virtual: Record<string, number[]>;
}

const fixture = (name: string): Uint8Array<ArrayBuffer> =>
  new Uint8Array(readFileSync(fileURLToPath(new URL(`../../../data/fixtures/mdf4/${name}`, import.meta.url))));
const expected = JSON.parse(new TextDecoder().decode(fixture('expected.json'))) as Expected;
const FILES = ['sorted.mf4', 'packed.mf4', 'unsorted.mf4', 'unfinished.mf4', 'columns.mf4'];

const tableOf = (bytes: Uint8Array, assumedRateHz?: number): LogTable => {
  const read = readTable(bytes, assumedRateHz === undefined ? {} : { assumedRateHz });
  if (!read.ok) throw new Error(read.problem.says);
  return read.table;
};

/** Readings of a column with their times. */
const readings = (table: LogTable, header: string): { times: number[]; values: (number | null)[] } => {
  const column = table.columns.find((one) => one.header === header);
  if (!column) throw new Error(`no column ${header} among ${table.columns.map((one) => one.header).join(', ')}`);
  const rows = column.raster ?? Int32Array.from({ length: table.rows }, (_, row) => row);
  return {
    times: Array.from(rows, (row) => table.timeS[row]!),
    values: Array.from(rows, (row) => {
      const value = column.cells[row]!;
      return Number.isNaN(value) ? null : value;
    }),
  };
};

const near = (seen: readonly (number | null)[], wanted: readonly (number | null)[]): void => {
  expect(seen.length).toBe(wanted.length);
  for (let i = 0; i < wanted.length; i++) {
    const [a, b] = [seen[i]!, wanted[i]!];
    // One rounding in the last place: conversions multiply and add in another order than the fixture's program.
    if ((a === null) !== (b === null) || (a !== null && Math.abs(a - b) > 1e-12 * Math.max(1, Math.abs(b)))) {
      throw new Error(`value ${i} is ${a} instead of ${b}`);
    }
  }
};

const checkMain = (table: LogTable, only?: readonly string[]): void => {
  for (const [header, wanted] of Object.entries(expected.main)) {
    if (only && !only.includes(header)) continue;
    const { times, values } = readings(table, header);
    near(values, wanted);
    near(
      times,
      wanted.map((_, i) => i * expected.step),
    );
  }
};
const checkSlow = (table: LogTable): void => {
  for (const header of ['Oil Temp', 'Boost Level Switch']) {
    const { times, values } = readings(table, header);
    near(values, expected.slow[header]!);
    near(times, expected.slow.time!);
  }
};

describe('readMdf4', () => {
  it('reads a sorted file: widths, byte orders, packed bits, conversions, invalidation bits, units', () => {
    const table = tableOf(fixture('sorted.mf4'));
    expect(table.dialect).toMatchObject({ format: 'mdf4', timeFormat: 's' });
    expect(table.rows).toBe(300);
    checkMain(table);
    const units = Object.fromEntries(table.columns.map(({ header, unitText }) => [header, unitText]));
    expect(units).toMatchObject({
      'Engine Speed': '1/min',
      'Manifold Pressure': 'kPa',
      'Intake Temp': '°C',
      Lambda: '',
    });
    expect(table.columns.find(({ header }) => header === 'Knock Retard')!.unreadableCells).toBe(43);
    expect(table.columnsRefused).toEqual([
      { column: 'Label', why: 'it holds text' },
      { column: 'Remark', why: 'its values are of varying length (text or bytes)' },
    ]);
    expect(table.notes ?? []).toEqual([]);
  });
  it('reads lists of packed and transposed blocks that records straddle, several clocks, a virtual time', () => {
    const table = tableOf(fixture('packed.mf4'));
    checkMain(table);
    checkSlow(table);
    const { times, values } = readings(table, 'Vehicle Speed');
    near(times, expected.virtual.time!);
    near(values, expected.virtual['Vehicle Speed']!);
    for (let row = 1; row < table.rows; row++) expect(table.timeS[row]!).toBeGreaterThan(table.timeS[row - 1]!);
  });
  it('reads unsorted records of three kinds', () => {
    const table = tableOf(fixture('unsorted.mf4'));
    checkMain(table);
    checkSlow(table);
    expect(table.notes ?? []).toEqual([]);
  });
  it('reads an unfinalised file: records counted anew, the last one cut off and told', () => {
    const table = tableOf(fixture('unfinished.mf4'));
    checkMain(table);
    checkSlow(table);
    expect(table.notes).toEqual([
      'the measurement file was not finalised by its writer; its records were counted anew',
      'the last record is cut off; 21 bytes of records from there on are not read',
    ]);
  });
  it('reads column-wise storage of 4.2 with the time in a group of its own', () => {
    const table = tableOf(fixture('columns.mf4'));
    checkMain(
      table,
      ['Engine Speed', 'Knock Retard'].filter((name) => table.columns.some((c) => c.header === name)),
    );
    expect(table.columns.map(({ header }) => header)).toEqual(['Engine Speed', 'Knock Retard']);
  });
  it('gives the same channels to the rest of the room, at the rate of each group', () => {
    const log = (name: string) => {
      const read = readLog(fixture(name));
      if (!read.ok) throw new Error(read.problem.says);
      return read.log;
    };
    const sorted = log('sorted.mf4');
    const packed = log('packed.mf4');
    const rate = (channel: string) => packed.channels.find((one) => one.channel === channel)!.rateHz;
    expect(rate('engine-speed')).toBeCloseTo(50, 6);
    expect(rate('oil-temperature')).toBeCloseTo(10, 4);
    expect(packed.medianRateHz).toBeCloseTo(50, 6);
    for (const channel of sorted.channels) {
      const other = packed.channels.find((one) => one.column === channel.column)!;
      expect([other.channel, other.unit, other.values]).toEqual([channel.channel, channel.unit, channel.values]);
    }
    expect(sorted.channels.find((one) => one.channel === 'manifold-pressure')!.values[0]).toBeCloseTo(90e3, 6);
  });
  it('keeps what comes before a cut and tells what is missing', () => {
    const whole = fixture('sorted.mf4');
    // The records lie near the end of the file, 58 bytes each; the group that counts them comes after and must be there, so the data block's own length is cut instead.
    const at = new TextDecoder('latin1').decode(whole).indexOf('##DT');
    const view = new DataView(whole.buffer);
    view.setUint32(at + 8, 24 + 58 * 120 + 7, true);
    const table = tableOf(whole);
    expect(table.rows).toBe(120);
    expect(table.notes).toEqual(['180 records of 300 of group "main" are missing: the file is cut off']);
  });
  it('refuses a packed block that does not match its check sum (RFC 1950), and says so', () => {
    const bytes = fixture('packed.mf4');
    const at = new TextDecoder('latin1').decode(bytes).indexOf('##DZ');
    bytes[at + 24 + 24 + 300]! ^= 0x10;
    const read = readTable(bytes);
    const notes = read.ok ? (read.table.notes ?? []) : [read.problem.says];
    expect(notes.join()).toMatch(/packed block (does not match its check sum|cannot be unpacked)/);
  });
  it('says what a file is that it cannot read', () => {
    const third = fixture('sorted.mf4');
    new DataView(third.buffer).setUint16(28, 330, true);
    expect(readTable(third)).toMatchObject({ ok: false, problem: { code: 'damaged' } });
    expect(readTable(fixture('sorted.mf4').subarray(0, 70))).toMatchObject({ ok: false, problem: { code: 'damaged' } });
  });
  it('never throws and never hangs, whatever is changed in a file (property)', () => {
    const files = FILES.map(fixture);
    fc.assert(
      fc.property(
        fc.nat(files.length - 1),
        fc.array(fc.tuple(fc.nat(30_000), fc.nat(255)), { minLength: 1, maxLength: 12 }),
        fc.option(fc.nat(30_000), { nil: undefined }),
        (which, changes, length) => {
          const bytes = files[which]!.slice(0, length === undefined ? undefined : Math.max(8, length));
          for (const [at, byte] of changes) bytes[at % bytes.length] = byte;
          const read = readLog(bytes, { assumedRateHz: 20 });
          if (!read.ok) expect(read.problem.says).toMatch(/^\S.*[.]$/s);
        },
      ),
      { numRuns: 120 },
    );
  });
  it('never throws on links and numbers set to extremes (property)', () => {
    const files = FILES.map(fixture);
    const extremes = [0, 1, 24, 64, 65535, 2 ** 31, 2 ** 32 - 1];
    fc.assert(
      fc.property(
        fc.nat(files.length - 1),
        fc.array(fc.tuple(fc.nat(3600), fc.constantFrom(...extremes)), { minLength: 1, maxLength: 6 }),
        (which, changes) => {
          const bytes = files[which]!.slice();
          const view = new DataView(bytes.buffer);
          for (const [word, value] of changes) {
            const at = 64 + 8 * word;
            if (at + 8 <= bytes.length) view.setUint32(at, value, true);
          }
          const read = readLog(bytes, { assumedRateHz: 20 });
          if (!read.ok) expect(read.problem.says).toMatch(/^\S.*[.]$/s);
        },
      ),
      { numRuns: 120 },
    );
  });
  it('tells its progress and stops when asked', () => {
    const shares: number[] = [];
    readTable(fixture('packed.mf4'), { watch: { onProgress: (share) => shares.push(share) } });
    expect(shares.at(-1)).toBe(1);
    expect(shares).toEqual([...shares].sort((a, b) => a - b));
    let asked = 0;
    const stopped = readTable(fixture('packed.mf4'), { watch: { isStopped: () => ++asked > 2 } });
    expect(stopped).toMatchObject({ ok: false, problem: { code: 'stopped' } });
  });
});
