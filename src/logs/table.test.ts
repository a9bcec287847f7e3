import { describe, expect, it } from 'vitest';
import { readTable } from './table.ts';
import type { LogProblem, LogTable } from './types.ts';

const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text);
const utf16 = (text: string, littleEndian: boolean, mark: boolean): Uint8Array => {
  const units = [...(mark ? '\ufeff' : ''), ...text].map((character) => character.charCodeAt(0));
  const bytes = new Uint8Array(units.length * 2);
  units.forEach((unit, i) => {
    bytes[2 * i + (littleEndian ? 0 : 1)] = unit & 0xff;
    bytes[2 * i + (littleEndian ? 1 : 0)] = unit >> 8;
  });
  return bytes;
};
const latin1 = (text: string): Uint8Array => Uint8Array.from(text, (character) => character.charCodeAt(0));

const tableOf = (bytes: Uint8Array | string, assumedRateHz?: number): LogTable => {
  const read = readTable(typeof bytes === 'string' ? utf8(bytes) : bytes, { assumedRateHz });
  if (!read.ok) throw new Error(read.problem.says);
  return read.table;
};
const problemOf = (bytes: Uint8Array | string): LogProblem => {
  const read = readTable(typeof bytes === 'string' ? utf8(bytes) : bytes);
  if (read.ok) throw new Error('read although it should not');
  return read.problem;
};
const cells = (table: LogTable, header: string): number[] => [
  ...table.columns.find((column) => column.header === header)!.cells,
];
/** A row a tenth of a second, engine speed rising. */
const rows = (count: number, make: (i: number) => string): string =>
  Array.from({ length: count }, (_, i) => make(i)).join('\n');

describe('dialects', () => {
  it('CV-08: a UTF-8 byte-order mark is no part of the first header (common practice, no source)', () => {
    const table = tableOf(Uint8Array.from([0xef, 0xbb, 0xbf, ...utf8('rpm,t\n850,0.1\n860,0.2\n')]));
    expect(table.columns.map(({ header }) => header)).toEqual(['rpm']);
    expect([...table.timeS]).toEqual([0.1, 0.2]);
  });
  it('CV-09: semicolon with decimal comma (common practice, no source)', () => {
    const table = tableOf('t;rpm\n0,10;850\n0,20;860');
    expect([...table.timeS]).toEqual([0.1, 0.2]);
    expect(cells(table, 'rpm')).toEqual([850, 860]);
    expect(table.dialect).toMatchObject({ separator: ';', decimal: ',' });
  });
  it.each([
    ['comma', ','],
    ['semicolon', ';'],
    ['tab', '\t'],
    ['bar', '|'],
  ])('splits by %s', (_, separator) => {
    const table = tableOf(
      `time${separator}rpm${separator}map\n${rows(9, (i) => [i / 10, 900 + i, 31.5].join(separator))}`,
    );
    expect(table.dialect.separator).toBe(separator);
    expect(cells(table, 'map')).toEqual(Array(9).fill(31.5));
  });
  it('reads UTF-16 of both byte orders with and without a mark, and Latin-1', () => {
    const text = `time;coolant [°C]\n${rows(40, (i) => `${i},0;8${i % 10},5`)}\n`;
    for (const [bytes, encoding] of [
      [utf16(text, true, true), 'utf-16le'],
      [utf16(text, false, true), 'utf-16be'],
      [utf16(text, true, false), 'utf-16le'],
      [utf16(text, false, false), 'utf-16be'],
      [latin1(text), 'latin-1'],
      [utf8(text), 'utf-8'],
    ] as const) {
      const table = tableOf(bytes);
      expect(table.dialect.encoding).toBe(encoding);
      expect(table.columns[0]).toMatchObject({ header: 'coolant [°C]', unitText: '°C' });
      expect(cells(table, 'coolant [°C]').slice(0, 3)).toEqual([80.5, 81.5, 82.5]);
    }
  });
  it('mends a degree sign that was encoded twice', () => {
    expect(tableOf(`Time,Coolant [Â°C]\n${rows(5, (i) => `${i},90`)}`).columns[0]).toMatchObject({
      header: 'Coolant [°C]',
      unitText: '°C',
    });
  });
  it('finds header and units behind comment lines of any prefix', () => {
    for (const prefix of ['# ', '// ', '; ', '% ', '']) {
      const table = tableOf(
        `${prefix}Log started\n${prefix}Note run 3\nTime,RPM\ns,1/min\n${rows(5, (i) => `${i / 10},${900 + i}`)}`,
      );
      expect(table.dialect).toMatchObject({ headerLine: 3, unitsLine: 4 });
      expect(table.columns[0]).toMatchObject({ header: 'RPM', unitText: '1/min' });
    }
  });
  it('takes a header that is itself commented', () => {
    expect(tableOf(`# time,rpm\n${rows(5, (i) => `${i / 10},${900 + i}`)}`).columns[0]!.header).toBe('rpm');
    expect(tableOf(`; time;rpm\n${rows(5, (i) => `${i / 10};${900 + i}`)}`).columns[0]!.header).toBe('rpm');
  });
  it('reads quoted files, numbers with exponents and trailing separators', () => {
    const table = tableOf('"time","rpm (1/min)"\n"0.0","8.5e2"\n"0.1","860"\n');
    expect(cells(table, 'rpm (1/min)')).toEqual([850, 860]);
    const trailing = tableOf(`time;rpm;\n${rows(5, (i) => `${i / 10};${900 + i};`)}\n`);
    expect(trailing.columns.map(({ header }) => header)).toEqual(['rpm']);
    expect(trailing.rowsRefused).toEqual([]);
  });
  it('reads header cells with line breaks inside quotes', () => {
    const table = tableOf(`"Time \n(s)","Speed \n(RPM)"\n${rows(4, (i) => `${i},${i * 100}`)}`);
    expect(table.columns[0]!.unitText).toBe('RPM');
    expect(table.dialect.headerLine).toBe(1);
    expect(table.rows).toBe(4);
  });
  it('agrees with Number() on decimal texts (ECMA-262 StringToNumber)', () => {
    const texts = ['0.1', '-12.345', '1234567.891', '0.000001', '98765432109876.5', '3.14159265358979', '1e-7', '+7'];
    const table = tableOf(`time,rpm\n${texts.map((text, i) => `${i},${text}`).join('\n')}`);
    expect(cells(table, 'rpm')).toEqual(texts.map(Number));
  });
});

describe('names over two lines', () => {
  const numbers = rows(30, (i) => `${i / 10};${800 + i};${60 + i};98`);
  it('are put together where the lower ones alone are not told apart, with units below', () => {
    const table = tableOf(`Log;Engine;Vehicle;Manifold\nTime;Speed;Speed;Pressure\ns;rpm;km/h;kPa\n${numbers}`);
    expect(table.columns.map(({ header, unitText }) => `${header} ${unitText}`)).toEqual([
      'Engine Speed rpm',
      'Vehicle Speed km/h',
      'Manifold Pressure kPa',
    ]);
  });
  it('stay apart where the lower ones name each column, or the upper line only heads groups', () => {
    const names = (text: string) => tableOf(text).columns.map(({ header }) => header);
    expect(names(`A;B;C;D\nTime;RPM;Speed;MAP\n${numbers}`)).toEqual(['RPM', 'Speed', 'MAP']);
    expect(names(`;Engine;;Air\nTime;Speed;Speed;MAP\n${numbers}`)).toEqual(['Speed', 'Speed', 'MAP']);
  });
});

describe('time', () => {
  it('is one that counts from a start only where there is no other', () => {
    const counted = rows(30, (i) => `${100 + i / 10},${800 + i},${i / 10}`);
    expect(tableOf(`Time since start (s),RPM,Level\n${counted}`).timeS[0]).toBe(100);
    expect(tableOf(`Time since start (s),RPM,Time (s)\n${counted}`).timeS[0]).toBe(0);
  });
  it('counts in nanoseconds', () => {
    const table = tableOf(`Time [ns],RPM\n${rows(30, (i) => `${i * 1e8},${800 + i}`)}`);
    expect(table.timeS[29]).toBeCloseTo(2.9, 9);
  });
  it.each([
    ['Time (s)', (i: number) => String(i / 25), 's', 0.04],
    ['time_ms', (i: number) => String(i * 40), 'ms', 0.04],
    ['t', (i: number) => String(i * 40 + (i % 2)), 'ms', 0.04],
    ['Time [min]', (i: number) => String(i / 1500), 'min', 0.04],
    ['Zeit [s]', (i: number) => String(i / 25), 's', 0.04],
    ['clock', (i: number) => `10:59:${String(58 + i / 25).padStart(2, '0')}`, 'clock', 0.04],
  ] as const)('%s', (header, cell, format, step) => {
    const table = tableOf(`${header},rpm\n${rows(40, (i) => `${cell(i)},${900 + i}`)}`);
    expect(table.dialect.timeFormat).toBe(format);
    expect((table.timeS[39]! - table.timeS[1]!) / 38).toBeCloseTo(step, 3);
  });
  it('passes midnight', () => {
    const table = tableOf('Time,rpm\n23:59:59.900,800\n23:59:59.950,810\n00:00:00.000,820\n00:00:00.050,830\n');
    expect(table.timeS[3]! - table.timeS[0]!).toBeCloseTo(0.15, 9);
  });
  it('does not take a row counter or an injector time for the clock; asks for the rate instead', () => {
    const text = `Row,Injection Time,rpm\n${rows(9, (i) => `${i},${2 + i / 100},${900 + i}`)}`;
    expect(problemOf(text).code).toBe('needs-rate');
    const table = tableOf(text, 20);
    expect(table.timeFromFile).toBe(false);
    expect(table.timeS[8]).toBeCloseTo(0.4, 12);
  });
  it('spreads rows over the ticks of a clock that ticks slower than the log', () => {
    const table = tableOf(`Time,rpm\n${rows(50, (i) => `10:00:0${Math.floor(i / 10)},${900 + i}`)}`);
    for (let i = 1; i < 50; i++) expect(table.timeS[i]! - table.timeS[i - 1]!).toBeCloseTo(0.1, 6);
  });
});

describe('rows that cannot be kept', () => {
  it('names line and reason', () => {
    const table = tableOf(
      `time,rpm\n0.0,800\n0.1,810,7\n0.2,820\n# pit stop\ntime,rpm\n0.3,830\nx,840\n,850\n0.6,oops\n0.7,870\n0.8`,
    );
    expect(table.rowsRefused).toEqual([
      { line: 3, why: '3 fields where the header has 2' },
      { line: 5, why: 'a comment, not a row' },
      { line: 6, why: 'the header is repeated here' },
      { line: 8, why: 'the time is not readable' },
      { line: 9, why: 'the time is blank' },
      { line: 12, why: 'the last line is cut off: 1 of 2 fields' },
    ]);
    // A row with a readable time keeps its place; its unreadable cell is counted.
    expect(table.columns[0]!.unreadableCells).toBe(1);
    expect([...table.timeS]).toEqual([0, 0.2, 0.3, 0.6, 0.7]);
  });
  it('refuses a last cell that was cut short of the decimals all others have', () => {
    const table = tableOf(`time,map\n${rows(20, (i) => `${i / 10},${(100 + i / 8).toFixed(3)}`)}\n2.0,10`);
    expect(table.rowsRefused).toEqual([{ line: 22, why: 'the last line is cut off' }]);
  });
  it('says which problem a file has, in one sentence', () => {
    expect(problemOf('').code).toBe('empty-file');
    expect(problemOf('\n \n').code).toBe('empty-file');
    expect(problemOf(Uint8Array.from([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10])).says).toContain('PNG');
    expect(problemOf(Uint8Array.from({ length: 500 }, (_, i) => (i * 37) % 256)).code).toBe('not-text');
    expect(problemOf('dear diary\nnothing logged today\n').code).toBe('no-table');
    expect(problemOf('time,rpm,map\n').code).toBe('no-rows');
    expect(problemOf(`a,b,c,d,e\n${rows(9, (i) => `${i},1,2,3,4,5,6`)}`).code).toBe('too-ragged');
    expect(problemOf(`time,b,c\n${rows(60, (i) => (i % 3 ? `${i},1` : `${i},1,2`))}`).code).toBe('too-ragged');
    for (const text of ['', 'dear diary\n', 'time,rpm,map\n']) expect(problemOf(text).says).toMatch(/^[A-Z][^.]*\.$/);
  });
});
