/** What cannot be used: one sentence on standard error, nothing on standard output, exit 2; called in this process. */
import { existsSync, lstatSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { run } from './command-line.testing.ts';

const demo = (path: string): string => join(import.meta.dirname, '../../data/demo', path);
const OTTER = demo('builds/otter-as-driven.json');
const DOZEN = demo('builds/wren-dozen-numbers.json');
const FUEL = demo('builds/otter-fuel.json');
const LOG = demo('logs/wren-third-gear.csv');
const OPTIONS = demo('options/wren-options.json');

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'refusals-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const put = (name: string, content: string | Uint8Array): string => {
  const path = join(folder, name);
  writeFileSync(path, content);
  return path;
};

/** Takes its arguments when it runs: the folder is not there before. */
type Case = readonly [string, () => string[], RegExp];

const refused = async (args: readonly string[], says: RegExp): Promise<string> => {
  const { code, out, err } = await run(...args);
  expect({ code, out }).toEqual({ code: 2, out: '' });
  expect(err).toMatch(says);
  expect(err).not.toMatch(/\bat .*\.(m?js|ts):\d+/);
  return err;
};

/** A sheet of a dozen numbers with something changed in it. */
const sheetWith = (name: string, change: (sheet: Record<string, Record<string, unknown>>) => void): string => {
  const sheet = JSON.parse(readFileSync(DOZEN, 'utf8'));
  change(sheet);
  return put(name, JSON.stringify(sheet));
};

describe('a file that cannot be used', () => {
  const faults: readonly (readonly [string, () => string, RegExp])[] = [
    ['missing', () => join(folder, 'nowhere.json'), /^There is no file .*nowhere\.json; check its name\.$/],
    ['below a file', () => join(DOZEN, 'sheet.json'), /^There is no file /],
    ['a folder', () => folder, /is a folder; give a file in it\.$/],
    [
      'a link to itself',
      () => {
        const path = join(folder, 'loop.json');
        if (!lstatSync(path, { throwIfNoEntry: false })) symlinkSync('loop.json', path);
        return path;
      },
      /cannot be read \(ELOOP\)/,
    ],
    ['empty', () => put('empty.json', ''), /empty\.json is empty; give .* saved as JSON\.$/],
    ['blank', () => put('blank.json', ' \n '), /is empty/],
    ['cut off', () => put('cut.json', '{ "schema": '), /not a JSON file|is not JSON/],
    [
      'binary',
      () =>
        put(
          'binary.json',
          Uint8Array.from({ length: 999 }, (_, i) => (i * 151) & 255),
        ),
      /not text in UTF-8/,
    ],
  ];
  const takers: readonly (readonly [string, (path: string) => string[]])[] = [
    ...['match', 'cylinder', 'spool', 'headroom', 'measure', 'fuel', 'load'].map(
      (command) => [command, (path: string) => [command, path]] as const,
    ),
    ['lift, before', (path) => ['lift', path, OTTER]],
    ['lift, after', (path) => ['lift', OTTER, path]],
    ['lift, options', (path) => ['lift', OTTER, '--power', '300kW', '--options', path]],
    ['review, build', (path) => ['review', LOG, '--build', path]],
    ['review, map', (path) => ['review', LOG, '--map', path]],
    ['compare, build', (path) => ['compare', LOG, LOG, '--build', path]],
  ];

  test.each(takers)(
    '%s: every kind of it gets one line that names it, without a byte that is no text',
    async (_, args) => {
      for (const [, path, says] of faults) {
        const err = await refused(args(path()), says);
        expect(err.split('\n')).toHaveLength(1);
        expect(err).not.toMatch(/[^\P{Cc}\n]|\uFFFD/u);
      }
    },
  );

  test.each<Case>([
    [
      'an entry nobody knows',
      () => [sheetWith('entry.json', ({ engine }) => Object.assign(engine ?? {}, { displacment: 1 }))],
      /engine: unknown entry "displacment"; did you mean "displacement"\?/,
    ],
    [
      'a group nobody knows',
      () => [sheetWith('group.json', (sheet) => Object.assign(sheet, { tyre: {} }))],
      /unknown entry "tyre"; did you mean "tyres"\?/,
    ],
    [
      'a unit of another kind',
      () => [sheetWith('unit.json', ({ body }) => Object.assign(body?.mass ?? {}, { unit: 'kPa' }))],
      /body\.mass\.unit: expected a unit of mass \(kg, g, lb\), got "kPa"/,
    ],
    [
      'a negative number',
      () => [sheetWith('light.json', ({ body }) => Object.assign(body?.mass ?? {}, { value: -1200 }))],
      /body\.mass\.value: expected between .* got -1200/,
    ],
    [
      'a text for a number',
      () => [sheetWith('heavy.json', ({ body }) => Object.assign(body?.mass ?? {}, { value: 'heavy' }))],
      /body\.mass\.value: expected a number/,
    ],
    ['a list', () => [put('list.json', '[1, 2]')], /expected entries in braces \{\}, got a list in brackets \[\]/],
  ])('a build sheet with %s says where and what', async (_, args, says) => {
    expect((await refused(['match', ...args()], says)).split('\n')).toHaveLength(1);
  });

  test('a build with several faults lists each with its place after the first line', async () => {
    const path = sheetWith('bad-build.json', (sheet) => {
      Object.assign(sheet.body?.mass ?? {}, { value: -1200 });
      Object.assign(sheet.engine ?? {}, { cylinders: 0 });
    });
    const [first = '', ...rest] = (await refused(['match', path], /bad-build\.json/)).split('\n');
    expect(first).toContain('2 things in it need mending');
    expect(rest.map((line) => line.trim().split(':')[0]).sort()).toEqual(['body.mass.value', 'engine.cylinders']);
  });
});

describe('a log that cannot be used gets one sentence', () => {
  const PNG = Uint8Array.from([
    ...[0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a],
    ...Array.from({ length: 4000 }, (_, i) => (i * 73) & 255),
  ]);
  const ragged = Array.from({ length: 200 }, (_, i) => `${i / 10},3000,100,50,12,1,2`).join('\n');
  test.each<Case>([
    ['empty', () => [put('empty.csv', '')], /empty/],
    ['a picture named .csv', () => [put('picture.csv', PNG)], /picture\.csv/],
    [
      'bytes',
      () => [
        put(
          'bytes.csv',
          Uint8Array.from({ length: 5000 }, (_, i) => (i * 151 + (i >> 3)) & 255),
        ),
      ],
      /bytes\.csv/,
    ],
    [
      'five columns in the header and seven in the rows',
      () => [put('ragged.csv', `Time (s),RPM,Throttle (%),Boost (kPa),AFR\n${ragged}\n`)],
      /ragged\.csv/,
    ],
    [
      'prose',
      () => [put('prose.txt', 'Dear diary, today the car was slow.\nTomorrow it will be faster.\n')],
      /prose\.txt/,
    ],
    ['not there', () => [join(folder, 'nowhere.csv')], /There is no file/],
    ['a folder', () => [folder], /is a folder/],
    [
      'with a map that is no list',
      () => [LOG, '--map', put('bad-map.json', '{"a":1}')],
      /not a list of column choices/,
    ],
  ])('%s', async (_, args, says) => {
    expect((await refused(['review', ...args()], says)).split('\n')).toHaveLength(1);
  });
});

describe('an option that cannot be used gets one sentence', () => {
  test.each<readonly [string, string[], RegExp]>([
    ['no file at all', ['headroom'], /needs a build sheet/],
    ['two files', ['match', OTTER, DOZEN], /one at a time/],
    ['units nobody knows', ['match', OTTER, '--units', 'imperial'], /metric or us/],
    ['samples that are no number', ['match', OTTER, '--samples', 'many'], /whole number/],
    ['samples below nought', ['match', OTTER, '--samples', '-3'], /whole number from 16/],
    ['air of the moon', ['match', OTTER, '--pressure', '1kPa'], /pressure outside/],
    ['air below nothing', ['match', OTTER, '--pressure', '-3kPa'], /pressure outside/],
    ['a temperature in a unit of pressure', ['match', OTTER, '--temperature', '30kPa'], /30degC, 86degF or 303K/],
    ['a humidity over all', ['match', OTTER, '--humidity', '120%'], /humidity must lie between/],
    ['a mistyped command', ['reveiw', LOG], /did you mean "review"/],
    ['a mistyped option', ['review', LOG, '--biuld', OTTER], /did you mean "--build"\? See/],
    ['an option of another command', ['match', OTTER, '--car', 'wren'], /has no option "--car"\. See/],
    ['an option without its value', ['review', LOG, '--build'], /needs a value/],
    ['a switch with a value', ['match', OTTER, '--all=3'], /"--all" takes no value/],
    ['an engine speed that is none', ['cylinder', OTTER, '--speed', 'fast'], /not a number from 500 to 20000/],
    ['a rate that is none', ['review', LOG, '--rate', 'often'], /"--rate often"/],
    ['a port that is none', ['serve', '--port', '99999', '--garage', DOZEN], /port/i],
  ])('%s', async (_, args, says) => {
    expect((await refused(args, says)).split('\n')).toHaveLength(1);
  });

  test.each<Case>([
    ['no file', () => ['lift'], /needs two build sheets/],
    ['one build and no options', () => ['lift', OTTER], /needs "--options FILE"/],
    ['options without a power', () => ['lift', OTTER, '--options', OPTIONS], /needs "--power"/],
    ['a power without a unit', () => ['lift', OTTER, '--options', OPTIONS, '--power', '300'], /300kW or 400hp/],
    ['a power in a unit of torque', () => ['lift', OTTER, '--options', OPTIONS, '--power', '300Nm'], /300kW or 400hp/],
    [
      'a chance over one',
      () => ['lift', OTTER, '--options', OPTIONS, '--power', '300kW', '--chance', '80'],
      /0\.8 or 80%/,
    ],
    [
      'a row that is none',
      () => ['lift', OTTER, '--options', OPTIONS, '--power', '300kW', '--keep', 'wings'],
      /no ledger row "wings"/,
    ],
    ['a power with two builds', () => ['lift', OTTER, FUEL, '--power', '300kW'], /two builds were given/],
    ['three builds', () => ['lift', OTTER, FUEL, DOZEN], /two build sheets at most/],
    ['options that are a build', () => ['lift', OTTER, FUEL, '--options', OTTER], /not a usable part options file/],
    ['no such options', () => ['lift', OTTER, FUEL, '--options', 'nowhere.json'], /no file nowhere\.json/],
  ])('lift with %s', async (_, args, says) => {
    await refused(args(), says);
  });
});

describe('a garage that cannot be used gets one sentence, and nothing is made', () => {
  test.each<Case>([
    ['empty, importing', () => ['import', LOG, '--car', 'wren', '--garage', join(folder, 'empty-garage')], /is empty/],
    ['a file, importing', () => ['import', LOG, '--car', 'wren', '--garage', put('a-file', 'text')], /a-file/],
    [
      'below a file',
      () => ['import', LOG, '--car', 'wren', '--garage', join(put('b-file', 'text'), 'garage')],
      /b-file/,
    ],
    ['a file, asking for pulls', () => ['pulls', '--car', 'wren', '--garage', put('c-file', 'text')], /c-file/],
    ['no car named', () => ['pulls', '--garage', join(folder, 'no-garage')], /--car/],
  ])('%s', async (_, args, says) => {
    expect((await refused(args(), says)).split('\n')).toHaveLength(1);
    for (const name of ['a-file', 'b-file', 'c-file'])
      if (existsSync(join(folder, name))) expect(readFileSync(join(folder, name), 'utf8')).toBe('text');
  });
});
