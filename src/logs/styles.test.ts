/** One known table written in random combinations of the styles that loggers use, read back equal. Seeded: a failing seed names itself. */
import { describe, expect, it } from 'vitest';
import { readLog } from './read-log.ts';
import { readTable } from './table.ts';
import { CLOCK_ROW, type Rendered, randomOf, renderedIn, styleOf, TABLE } from './text-styles.fixture.ts';

const check = (seed: number): void => {
  const style = styleOf(randomOf(seed));
  const rendered: Rendered = renderedIn(style, randomOf(seed + 1));
  const read = readTable(rendered.bytes, style.time === 'none' ? { assumedRateHz: 20 } : {});
  const fail = (why: string): never => {
    throw new Error(`seed ${seed}: ${why}\n${JSON.stringify(style)}\n${rendered.text.slice(0, 600)}`);
  };
  if (!read.ok) throw fail(read.problem.says);
  const { table } = read;
  if (table.rows !== rendered.rows) fail(`${table.rows} rows instead of ${rendered.rows}`);
  const startS = table.timeS[0]! - TABLE.timeS[0]!;
  for (let row = 0; row < table.rows; row++) {
    // Another run is counted on from ten seconds after the first, on a whole second.
    const isAnew = style.clock.startsWith('anew') && row >= CLOCK_ROW;
    const wanted = isAnew
      ? Math.ceil(table.timeS[CLOCK_ROW - 1]! + 10) + rendered.writtenS(row)
      : rendered.writtenS(row) + startS;
    // Clock times with a date lie near 2e9 s, where doubles are 2.4e-7 s apart.
    if (Math.abs(table.timeS[row]! - wanted) > 1e-6) fail(`time ${row} is ${table.timeS[row]} instead of ${wanted}`);
  }
  for (const { name, unit } of TABLE.columns) {
    const column = table.columns.find(({ header }) => header.startsWith(name)) ?? fail(`no column ${name}`);
    if (style.units !== 'none' && column.unitText !== unit) fail(`unit of ${name} is "${column.unitText}"`);
    for (let row = 0; row < table.rows; row++) {
      const seen = column.cells[row]!;
      const wanted = rendered.isBlank(name, row) ? Number.NaN : rendered.valueAt(name, row);
      if (!Object.is(seen, wanted) && !(seen === 0 && wanted === 0))
        fail(`${name}, row ${row}: ${seen} instead of ${wanted}`);
    }
  }
  const faults = read.clock.faults.map(({ kind }) => kind).join();
  const expected = { even: '', gap: 'gap', 'set back': 'step', anew: '', 'anew with header': '' }[style.clock];
  // Without a clock a header in the middle is all that can begin another run.
  const isParted = style.clock !== 'even' || (style.time === 'none' && style.headerAgain);
  const pieces = isParted ? 2 : 1;
  if (faults !== expected || read.clock.pieces.length !== pieces)
    fail(`faults of the clock are "${faults}" in ${read.clock.pieces.length} pieces`);
  if (style.clock.startsWith('anew') !== (table.notes?.some((note) => note.includes('2 runs')) ?? false))
    fail(`the notes are ${JSON.stringify(table.notes)}`);
  const refused = table.rowsRefused.map(({ line }) => line);
  if (refused.join() !== rendered.refusedLines.join()) {
    fail(`lines refused are ${JSON.stringify(table.rowsRefused)} instead of ${rendered.refusedLines.join()}`);
  }
};

describe('styles of text logs', () => {
  it('reads one table from 160 random combinations of styles', () => {
    for (let seed = 1; seed <= 160; seed++) check(seed * 7919);
    expect(TABLE.columns.length).toBeGreaterThan(5);
  });
});

const bytesOf = (text: string): Uint8Array => new TextEncoder().encode(text);
const tableOf = (text: string) => {
  const read = readTable(bytesOf(text));
  if (!read.ok) throw new Error(read.problem.says);
  return { ...read.table, clock: read.clock };
};
const logOf = (text: string) => {
  const read = readLog(bytesOf(text));
  if (!read.ok) throw new Error(read.problem.says);
  return read.log;
};
const lines = (count: number, make: (i: number) => string): string =>
  Array.from({ length: count }, (_, i) => make(i)).join('\n');

describe('several runs in one file', () => {
  const run = (rpm: number) => lines(200, (i) => `${(i / 20).toFixed(2)},${rpm + i},${(50 + i / 10).toFixed(1)}`);
  const HEAD = 'Time (s),RPM,Speed (km/h)';
  it('counts clocks that start anew on, cuts the log there, and tells it', () => {
    const table = tableOf(`${HEAD}\n${run(1000)}\n# second run\n${HEAD}\n${run(2000)}\n${HEAD}\n${run(3000)}\n`);
    expect(table.rows).toBe(600);
    expect(table.clock.pieces.map(({ firstRow, endRow }) => [firstRow, endRow])).toEqual([
      [0, 200],
      [200, 400],
      [400, 600],
    ]);
    expect(table.clock.faults).toEqual([]);
    expect(table.clock.order.length).toBe(600);
    expect(table.notes).toEqual([
      'the file holds 3 runs whose clocks start anew; the later ones are counted on from 20 s, 40 s',
    ]);
    expect(table.rowsRefused.map(({ line }) => line)).toEqual([202, 203, 404]);
  });
  it('sees a run that starts anew without a header', () => {
    const table = tableOf(`${HEAD}\n${run(1000)}\n${run(2000)}\n`);
    expect(table.clock.pieces.length).toBe(2);
    expect(table.timeS[200]).toBe(20);
  });
  it('leaves a clock that jumps back in the middle a fault of the clock', () => {
    const table = tableOf(
      `${HEAD}\n${lines(400, (i) => `${(i / 20 - (i >= 200 ? 4 : 0)).toFixed(2)},${900 + i},50`)}\n`,
    );
    expect(table.clock.faults.map(({ kind }) => kind)).toEqual(['step']);
    expect(table.notes).toBeUndefined();
  });
  it('does not read rows below another header, and counts them', () => {
    const table = tableOf(
      `${HEAD}\n${run(1000)}\nTime (s),Speed (km/h),RPM\n${run(40)}\n${HEAD}\n${lines(30, (i) => `${20 + i / 20},2000,60`)}\n`,
    );
    expect(table.rows).toBe(230);
    expect(table.rowsRefused[0]).toEqual({
      line: 202,
      why: 'another header, whose columns are not those of the first',
    });
    expect(table.rowsRefused.length).toBe(1 + 200 + 1);
    expect(table.rowsRefused[1]).toEqual({ line: 203, why: 'its columns are those of another header, in line 202' });
  });
});

describe('what could not be read', () => {
  it('is told with the first line of each column', () => {
    const table = tableOf(
      `time,rpm,map\n${lines(40, (i) => `${i / 10},${i === 7 ? 'err 3' : 900},${i > 30 ? '?' : 45}`)}\n`,
    );
    expect(table.columns.map(({ unreadableCells, firstUnreadable }) => [unreadableCells, firstUnreadable])).toEqual([
      [1, { line: 9, text: 'err 3' }],
      [9, { line: 33, text: '?' }],
    ]);
  });
  it('keeps a cell with another unit than its column out', () => {
    const table = tableOf(`time,boost\n${lines(40, (i) => `${i / 10},${i === 20 ? '1.2 bar' : `${90 + i} kPa`}`)}\n`);
    expect(table.columns[0]!.unitText).toBe('kPa');
    expect(table.columns[0]!.firstUnreadable).toEqual({ line: 22, text: '1.2 bar' });
    expect(table.columns[0]!.cells[19]).toBe(109);
  });
  it('counts bad lines beyond those it lists', () => {
    const text = `time,rpm\n${lines(30_000, (i) => `${i / 100},900`)}\n${'x,y,z\n'.repeat(25_000)}`;
    const table = tableOf(text);
    expect(table.rowsRefused.length).toBe(20_000);
    expect(table.rowsRefusedCount).toBe(25_000);
  });
});

describe('true rates', () => {
  it('finds a tenth of the row rate where one channel of ten is fresh on each row and the others are repeated', () => {
    const names = [
      'RPM',
      'MAP (kPa)',
      'Speed (km/h)',
      'Coolant (°C)',
      'Throttle (%)',
      'Ignition Advance (deg)',
      'Lambda',
      'Oil Pressure (bar)',
      'Battery (V)',
      'IAT (°C)',
    ];
    const held = names.map(() => 0);
    const text = `Time (s),${names.join(',')}\n${lines(1200, (row) => {
      const fresh = row % 10;
      // Each reading differs from the one before it, so that every refreshment shows.
      held[fresh] = [
        900 + row,
        30 + row / 10,
        20 + row / 40,
        60 + row / 50,
        (row / 7) % 100,
        8 + (row % 90) / 4,
        0.8 + (row % 70) / 300,
        1 + row / 900,
        12 + (row % 31) / 20,
        18 + row / 60,
      ][fresh]!;
      return [(row / 50).toFixed(3), ...held.map((value) => value.toFixed(4))].join(',');
    })}`;
    const log = logOf(text);
    expect(log.medianRateHz).toBeCloseTo(50, 6);
    for (const channel of log.channels)
      expect([channel.column, Math.round(10 * channel.rateHz) / 10]).toEqual([channel.column, 5]);
    expect(log.channels.length).toBe(names.length);
  });
  it('takes a staircase of whole km/h for readings at its own steps, not for a speed at every row', () => {
    // Refreshed five times a second in a log of fifty rows a second, in whole km/h.
    const text = `Time (s),RPM,Speed (km/h)\n${lines(2000, (row) => {
      const speed = Math.round(30 + Math.floor(row / 10) * 0.9);
      return `${(row / 50).toFixed(2)},${1500 + row},${speed}`;
    })}`;
    const channel = logOf(text).channels.find((one) => one.channel === 'vehicle-speed')!;
    expect(channel.rateHz).toBeCloseTo(5, 1);
    expect(channel.resolution).toBeCloseTo(1 / 3.6, 6);
  });
});

describe('rows in the hot loop and rows beside it', () => {
  it('give the same numbers, as Number() does (ECMA-262 StringToNumber)', () => {
    const random = randomOf(4711);
    const texts: string[] = [];
    for (let i = 0; i < 3000; i++) {
      const digits = 1 + Math.floor(random() * 17);
      let text = '';
      for (let k = 0; k < digits; k++) text += Math.floor(random() * 10);
      const mark = Math.floor(random() * (digits + 1));
      text = `${random() < 0.3 ? '-' : ''}${text.slice(0, mark)}${mark < digits || random() < 0.5 ? '.' : ''}${text.slice(mark)}`;
      texts.push(/\d/.test(text) ? text : '0');
    }
    const table = tableOf(`time,rpm\n${texts.map((text, i) => `${i},${text}`).join('\n')}\n`);
    const { cells } = table.columns[0]!;
    for (let i = 0; i < texts.length; i++) {
      if (!Object.is(cells[i], Number(texts[i]))) throw new Error(`${texts[i]} read as ${cells[i]}`);
    }
    expect(cells.length).toBe(texts.length);
  });
});
