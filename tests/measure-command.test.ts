/** Command measure as a process, and long work called off with Ctrl+C. */
import { spawn } from 'node:child_process';
import { beforeAll, expect, test } from 'vitest';
import type { MeasureView } from '../src/app/index.ts';
import { boostwright, PROGRAM, ROOT } from './program.testing.ts';

const OTTER = 'data/demo/builds/otter-as-driven.json';

beforeAll(async () => {
  await boostwright('version');
}, 240_000);

test('measure --json: bands, shares and measurements in SI, only finite numbers', async () => {
  const { code, out } = await boostwright('measure', OTTER, '--samples', '96', '--json');
  expect(code).toBe(0);
  const view = JSON.parse(out) as MeasureView;
  expect(view.schema).toBe('boostwright.measure/1');
  expect(out).not.toMatch(/null|NaN/);
  expect(view.answers.map(({ answer }) => answer)).toContain('charge-temperature');
  for (const { band, measure } of view.answers) {
    expect(band.p10).toBeLessThanOrEqual(band.p90);
    for (const one of measure) {
      expect(one.bandThen).toBeLessThan(one.bandNow);
      expect(one.sdThenSi).toBeLessThan(one.sdNowSi);
    }
  }
}, 120_000);

test('measure --answer prints one answer with how to measure; an answer nobody knows is refused with the names', async () => {
  const { code, out } = await boostwright(
    'measure',
    OTTER,
    '--samples',
    '96',
    '--answer',
    'charge temperature',
    '--units',
    'us',
  );
  expect(code).toBe(0);
  expect(out).toMatch(/^charge-temperature, hottest charge: \d+ .*°F$/m);
  expect(out).toMatch(/Measure next:\n1\. charge cooler effectiveness: band/);
  expect(out).toMatch(/thermometer|Log the charge temperature/);
  expect(Math.max(...out.split('\n').map((line) => line.length))).toBeLessThanOrEqual(100);
  const refused = await boostwright('measure', OTTER, '--answer', 'luck');
  expect(refused.code).toBe(2);
  expect(refused.err).toMatch(/There is no answer "luck"; use power, boost/);
}, 120_000);

test('Ctrl+C ends long work with 130 and one sentence, and prints nothing else', async () => {
  const child = spawn(process.execPath, [PROGRAM, 'headroom', OTTER, '--samples', '4000'], { cwd: ROOT });
  let out = '';
  let err = '';
  child.stdout.on('data', (text) => {
    out += text;
  });
  child.stderr.on('data', (text) => {
    err += text;
  });
  const ended = new Promise<{ code: number | null; signal: string | null }>((resolve) => {
    child.on('exit', (code, signal) => resolve({ code, signal }));
  });
  // Long enough to be at work, far too short to be done: 4000 samples take many seconds.
  await new Promise((done) => setTimeout(done, 4000));
  child.kill('SIGINT');
  expect(await ended).toEqual({ code: 130, signal: null });
  expect(err).toMatch(/Stopped\. Nothing was changed\.\n$/);
  expect(out).toBe('');
}, 60_000);
