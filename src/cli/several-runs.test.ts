/** The commands `compare` and `pulls`: logs and runs in, text or JSON out, sentences for what cannot be used. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { computeHere, JOBS, openDesk } from '../app/index.ts';
import { runCommand } from './command-line.testing.ts';
import { WIDTH } from './print.ts';

const ROOT = join(import.meta.dirname, '../..');
const demo = (path: string) => join(ROOT, 'data/demo', path);
const WREN = demo('builds/wren-as-driven.json');
const BEFORE = demo('logs/wren-damp-road.csv');
const AFTER = demo('logs/wren-after-hose.csv');

let garage = '';
const run = (...args: string[]) => runCommand(args, { BOOSTWRIGHT_GARAGE: garage });

beforeAll(async () => {
  garage = mkdtempSync(join(tmpdir(), 'several-'));
  const desk = openDesk({ garage, compute: computeHere(JOBS) });
  const car = desk.garage.addCar({ name: 'Wren', note: 'invented' });
  const sheet = JSON.parse(readFileSync(WREN, 'utf8'));
  const build = desk.addBuild(car.id, { label: 'As driven', planned: false, sheet }).build;
  for (const path of [BEFORE, AFTER]) {
    const { run: taken } = await desk.importRun({
      carId: car.id,
      buildId: build.id,
      fileName: path.split('/').at(-1) ?? path,
      bytes: readFileSync(path),
      assumedRateHz: null,
    });
    await desk.confirmRun(taken.id, { choices: [], remember: false });
  }
  await desk.close();
}, 120_000);
afterAll(() => rmSync(garage, { recursive: true, force: true }));

describe('compare', () => {
  test('log files with a build: a sentence first, then tables that fit', async () => {
    const asked = await run('compare', BEFORE, AFTER, '--build', WREN);
    expect(asked).toMatchObject({ code: 0, err: '' });
    expect(asked.out).toMatch(/Run B makes \d+ ±\d+ kW less than Run A at \d,\d{3} rpm in gear 3/);
    expect(asked.out).toContain('No change in the build.');
    expect(asked.out).toContain('over-corrects');
    expect(asked.out).toMatch(/\n +3 +4500 +\d+ +\d+ +-\d+ ±\d+ /);
    for (const line of asked.out.split('\n')) expect(line.length).toBeLessThanOrEqual(WIDTH);
  }, 60_000);

  test('runs of a garage give the same answer, in SI as JSON', async () => {
    const [files, runs] = [
      await run('compare', BEFORE, AFTER, '--build', WREN, '--json'),
      await run('compare', 'wren-run-1', 'wren-run-2:1', '--json'),
    ];
    expect(runs).toMatchObject({ code: 0, err: '' });
    const [one, two] = [JSON.parse(files.out), JSON.parse(runs.out)];
    expect(two).toMatchObject({ schema: 'boostwright.compare/1', carId: 'wren' });
    expect(two.comparisons[0].speeds).toEqual(one.comparisons[0].speeds);
    expect(two.sides[1]).toMatchObject({ name: 'B', runId: 'wren-run-2', pull: 1, buildLabel: 'As driven' });
  }, 60_000);

  test('a log with itself says that there is no difference', async () => {
    const asked = await run('compare', BEFORE, BEFORE, '--build', WREN);
    expect(asked.out).toContain('Pull A and Pull B are the same pull: no difference.');
  }, 60_000);

  test('two builds: what changed is told', async () => {
    const asked = await run(
      'compare',
      BEFORE,
      AFTER,
      '--build',
      demo('builds/wren-dozen-numbers.json'),
      '--build',
      WREN,
    );
    expect(asked.code).toBe(0);
    expect(asked.out).toContain('What changed in the build:');
  }, 60_000);

  test.each([
    [['compare', 'wren-run-1'], 'needs two to 6 runs'],
    [['compare', 'wren-run-1', 'wren-run-9'], 'There is no run "wren-run-9"'],
    [['compare', 'wren-run-1:7', 'wren-run-2'], 'there is no pull 7'],
    [['compare', 'wren-run-1', 'wren-run-2', '--rate', '20'], '"--rate" is for log files'],
    [['compare', BEFORE, AFTER, AFTER, '--build', WREN, '--build', WREN], 'came 2 times for 3 logs'],
    [['compare', BEFORE, 'no-such.csv', '--build', WREN], 'There is no file no-such.csv'],
  ])('%j is refused in words', async (args, says) => {
    const { code, out, err } = await run(...args);
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toContain(says);
    expect(err.split('\n').length).toBe(1);
  });
});

describe('pulls', () => {
  test('lists the pulls that fit, and says which cannot be told', async () => {
    const all = await run('pulls', '--car', 'wren');
    expect(all).toMatchObject({ code: 0, err: '' });
    expect(all.out).toContain('2 pulls of the car "wren".');
    expect(all.out).toMatch(/\nwren-run-2:1 .*\nwren-run-1:1 /);
    for (const line of all.out.split('\n')) expect(line.length).toBeLessThanOrEqual(WIDTH);
    const some = await run(
      ...['pulls', '--car', 'wren', '--where', 'lambda min < 0.75', '--where', 'gear = 3'],
      ...['--where', 'finding is boost-leak', '--units', 'us'],
    );
    expect(some.out).toContain('1 of 2 pulls of the car "wren" fit');
    expect(some.out).toMatch(/\nwren-run-2:1 /);
    const none = await run('pulls', '--car', 'wren', '--where', 'shaft speed max > 100 krpm');
    expect(none.out).toContain('2 of them cannot be told');
  });

  test('prints JSON in SI, sorted as asked', async () => {
    const { out } = await run('pulls', '--car', 'wren', '--sort', 'power', '--rising', '--limit', '1', '--json');
    const answer = JSON.parse(out);
    expect(answer).toMatchObject({ schema: 'boostwright.pulls/1', total: 2, limit: 1, sort: 'power', runsToRead: 0 });
    expect(answer.pulls).toMatchObject([{ runId: 'wren-run-2', pull: 1 }]);
    expect(answer.pulls[0].powerW.p50).toBeGreaterThan(50e3);
  });

  test.each([
    [['pulls'], 'Say which car it is with --car (the garage has wren)'],
    [['pulls', '--car', 'wrne'], 'did you mean "wren"'],
    [['pulls', '--car', 'wren', '--where', 'bost max > 3'], 'there is no channel "bost"'],
    [['pulls', '--car', 'wren', 'boost max > 3 kPa'], 'conditions come after "--where"'],
    [['pulls', '--car', 'wren', '--limit', '0'], 'is not a whole number from 1 to 500'],
  ])('%j is refused in words', async (args, says) => {
    const { code, err } = await run(...args);
    expect(code).toBe(2);
    expect(err).toContain(says);
  });

  test('its help teaches the conditions with examples that are read', async () => {
    const { out } = await run('help', 'pulls');
    const conditions = [...out.matchAll(/--where '([^']+)'/g)].map(([, text = '']) => text);
    expect(conditions.length).toBeGreaterThan(3);
    for (const text of conditions)
      expect(await run('pulls', '--car', 'wren', '--where', text)).toMatchObject({ err: '' });
  });
});
