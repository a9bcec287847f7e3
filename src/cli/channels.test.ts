/** What is said of columns on the command line: questions answered once, scalings, derived channels. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { computeHere, JOBS, openDesk } from '../app/index.ts';
import { run } from './command-line.testing.ts';

const ROOT = join(import.meta.dirname, '../..');
const json = async (...args: string[]) => {
  const { code, out, err } = await run(...args, '--json');
  if (code !== 0) throw new Error(err);
  return JSON.parse(out);
};

let folder = '';
let garage = '';
const log = (name: string, columns: Record<string, (row: number) => string | number>): string => {
  const names = Object.keys(columns);
  const rows = Array.from({ length: 400 }, (_, row) => names.map((column) => columns[column]!(row)).join(','));
  const path = join(folder, name);
  writeFileSync(path, `${names.join(',')}\n${rows.join('\n')}\n`);
  return path;
};
const base = (from: number) => ({
  'Time (s)': (row: number) => (row / 20).toFixed(2),
  'Engine RPM': (row: number) => from + 10 * row,
  'AN 3 (V)': (row: number) => (0.5 + row / 100).toFixed(2),
  'Fuel Pressure (kPa)': (row: number) => 300 + (row % 90),
});

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'channels-'));
  garage = join(folder, 'garage');
  const desk = openDesk({ garage, compute: computeHere(JOBS) });
  const car = desk.garage.addCar({ name: 'Wren' });
  const sheet = JSON.parse(readFileSync(join(ROOT, 'data/demo/builds/wren-as-driven.json'), 'utf8'));
  desk.addBuild(car.id, { label: 'As driven', planned: false, sheet });
  await desk.close();
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const SCALE = 'AN 3 (V) = oil-pressure bar 0.5:0 4.5:10';
const DERIVE = 'filtered = injection-pressure kPa: max(fuel-pressure [kPa] - 100, 0)';

describe('review', () => {
  test('takes scalings and derived channels from the command line, and prints them in the answer', async () => {
    const answer = await json('review', log('a.csv', base(1000)), '--scale', SCALE, '--derive', DERIVE);
    const named = (channel: string) => answer.channels.find((one: { channel: string }) => one.channel === channel);
    expect(named('oil-pressure')).toMatchObject({
      unit: 'bar',
      scaling: {
        points: [
          [0.5, 0],
          [4.5, 10],
        ],
      },
    });
    expect(named('oil-pressure').highest).toBeCloseTo(((0.5 + 3.99 - 0.5) / 4) * 1e6, 0);
    expect(named('injection-pressure')).toMatchObject({
      expression: 'max(fuel-pressure [kPa] - 100, 0)',
      highest: 289e3,
    });
    // The answer's own channels are a map file that gives the same again.
    const map = join(folder, 'map.json');
    writeFileSync(map, JSON.stringify(answer));
    expect(
      (await json('review', log('a.csv', base(1000)), '--map', map)).channels.map((one: object) => ({
        ...one,
        because: '',
        confidence: 1,
      })),
    ).toEqual(answer.channels.map((one: object) => ({ ...one, because: '', confidence: 1 })));
  });
  test('asks what the log leaves open, in the answer and in text with what to write', async () => {
    const path = log('b.csv', base(1000));
    const { questions } = await json('review', path);
    expect(questions).toMatchObject([{ kind: 'open', columns: ['Fuel Pressure (kPa)'] }]);
    const { out } = await run('review', path);
    expect(out).toContain('Questions of this log');
    expect(out).toContain('{"column":"Fuel Pressure (kPa)","channel":"fuel-pressure","reference":"absolute"}');
    const map = join(folder, 'answered.json');
    writeFileSync(map, JSON.stringify(questions[0].options[1].choices));
    const answered = await json('review', path, '--map', map);
    expect(answered.questions).toEqual([]);
    const fuel = answered.channels.find(({ channel }: { channel: string }) => channel === 'fuel-pressure');
    expect(fuel.highest).toBeCloseTo(389e3 - answered.log.barometricPressurePa, 3);
  });
  test('asks what the engine burns, and uses no rule of petrol on a diesel', async () => {
    // A little road, then a pull with the mixture of a diesel at full load.
    const pull = (row: number) => row > 120 && row < 320;
    const path = log('diesel.csv', {
      'Time (s)': (row) => (row / 20).toFixed(2),
      'Engine RPM': (row) => (pull(row) ? 1500 + 12 * (row - 120) : 1500),
      'Pedal (%)': (row) => (pull(row) ? 100 : 5),
      'MAP (kPa abs)': (row) => (pull(row) ? 230 : 100),
      'Wideband lambda': (row) => (pull(row) ? (1.3 + (row % 3) / 100).toFixed(2) : '3.00'),
    });
    const open = await json('review', path);
    expect(open.questions.map(({ asks }: { asks: string }) => asks.slice(0, 26))).toContain(
      'What does the engine burn?',
    );
    expect(open.findings.map(({ id }: { id: string }) => id)).toContain('lean-under-load');
    const diesel = await json('review', path, '--fuel', 'diesel');
    expect(diesel.questions).toEqual([]);
    expect(diesel.findings.map(({ id }: { id: string }) => id)).not.toContain('lean-under-load');
    expect(diesel.pulls.length).toBe(1);
    const both = ['--fuel', 'diesel', '--build', join(ROOT, 'data/demo/builds/wren-as-driven.json')];
    expect((await run('review', path, ...both)).err).toContain('the build sheet says what the engine burns');
    expect((await run('review', path, '--fuel', 'gas')).err).toContain('neither petrol nor diesel');
  });
  test.each([
    [['--scale', 'AN 3'], /is not like --scale "AN 3 = oil-pressure/],
    [
      ['--scale', 'AN 3 (V) = oil-presure bar 0:0 1:1'],
      /there is no channel "oil-presure"; did you mean "oil-pressure"\?/,
    ],
    [['--scale', 'AN 3 (V) = oil-pressure bar 1:0 1:10'], /both points are at 1; give two that differ/],
    [['--derive', 'x = lambda AFR'], /is not like --derive/],
    [['--derive', 'x = lambda AFR: (2 * "AN 3 (V)"'], /A closing bracket is missing/],
    [['--derive', 'x = lambda AFR: 2 * "AN 4"'], /the file has no column "AN 4"/],
  ])('refuses %j in one line', async (words, says) => {
    const { code, err, out } = await run('review', log('c.csv', base(1000)), ...words);
    expect({ code, out, lines: err.trim().split('\n').length }).toEqual({ code: 2, out: '', lines: 1 });
    expect(err).toMatch(says);
  });
});

describe('import', () => {
  const kept = () => {
    const desk = openDesk({ garage, compute: computeHere(JOBS) });
    const { runs } = desk.runs('wren');
    desk.garage.close();
    return runs.length;
  };
  test('keeps nothing of a log whose choices cannot be used', async () => {
    const { code, err } = await run(
      'import',
      log('d.csv', base(1000)),
      '--car',
      'wren',
      '--garage',
      garage,
      '--derive',
      'x = lambda AFR: 2 * "AN 4"',
    );
    expect(code).toBe(2);
    expect(err).toContain('the file has no column "AN 4"');
    expect(kept()).toBe(0);
  });
  test('remembers for the same columns, so that nothing is asked or said twice', async () => {
    const map = join(folder, 'said.json');
    writeFileSync(
      map,
      JSON.stringify([{ column: 'Fuel Pressure (kPa)', channel: 'fuel-pressure', unit: 'kPa', reference: 'gauge' }]),
    );
    const where = ['--car', 'wren', '--garage', garage];
    const first = await json(
      'import',
      log('e.csv', base(1100)),
      ...where,
      '--map',
      map,
      '--scale',
      SCALE,
      '--derive',
      DERIVE,
    );
    expect(first.questions).toEqual([]);
    const second = await json('import', log('f.csv', base(1200)), ...where);
    expect(second.questions).toEqual([]);
    const seen = (view: { channels: { channel: string; column: string; unit: string }[] }) =>
      view.channels.map(({ channel, column, unit }) => [channel, column, unit]);
    expect(seen(second)).toEqual(seen(first));
    expect(second.choices.length).toBe(3);
    // Another set of columns is another device: asked anew.
    const { 'AN 3 (V)': _, ...fewer } = base(1300);
    expect((await json('import', log('g.csv', fewer), ...where)).questions.length).toBe(1);
  });
  test('reads a log whose engine speed only the choices know', async () => {
    const { 'Engine RPM': turns, ...others } = base(1400);
    const strange = log('h.csv', { ...others, Tourenzaehler7: turns });
    expect((await run('review', strange)).err).toContain('No column of engine speed was found');
    const map = join(folder, 'speed.json');
    writeFileSync(map, JSON.stringify([{ column: 'Tourenzaehler7', channel: 'engine-speed', unit: 'rpm' }]));
    const view = await json('import', strange, '--car', 'wren', '--garage', garage, '--map', map);
    expect(view.run.state).toBe('reviewed');
  });
});
