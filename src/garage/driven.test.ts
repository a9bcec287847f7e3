/** The day a run was driven decides its place, not the day it came in. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, test } from 'vitest';
import { parseBuild } from '../car/index.ts';
import { openGarage } from './open.ts';
import type { DrivenDate, PullQuery, PullRecord } from './records.ts';

const folder = mkdtempSync(join(tmpdir(), 'driven-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const PULL: PullRecord = {
  startS: 0,
  endS: 1,
  gears: [3],
  minEngineSpeedRpm: 2000,
  maxEngineSpeedRpm: 6000,
  powerW: null,
  powerEngineSpeedRpm: null,
  findings: [],
  statistics: [],
};
const NEWEST_FIRST: PullQuery = { conditions: [], order: { by: 'newest' }, offset: 0, limit: 10, channels: [] };

test('runs and their pulls are listed by when they were driven; where nothing tells, by when they came in', async () => {
  const sheet = parseBuild(
    readFileSync(new URL('../../data/demo/builds/wren-dozen-numbers.json', import.meta.url), 'utf8'),
  );
  if (!sheet.ok) throw new Error('the demo sheet was refused');
  const garage = openGarage(folder, { now: () => '2031-06-01T12:00:00.000Z' });
  const car = garage.addCar({ name: 'Plover', note: 'invented' });
  const build = garage.addBuild({
    carId: car.id,
    label: 'As bought',
    planned: false,
    parentId: null,
    sheet: sheet.build,
  });
  const drive = (fileName: string, driven: DrivenDate | null) => {
    const run = garage.addRun({
      carId: car.id,
      buildId: build.id,
      fileName,
      bytes: new TextEncoder().encode(fileName),
      assumedRateHz: null,
      durationS: 1,
      headers: ['time'],
      driven,
    });
    garage.pulls.keep(run, { version: '1', pulls: [PULL] });
  };
  drive('may.csv', { at: '2031-05-17T20:05:00', by: 'log' });
  drive('unknown.csv', null);
  drive('april.csv', { at: '2031-04-20T17:15:00', by: 'file' });
  drive('also-may.csv', { at: '2031-05-24T19:30:00', by: 'typed' });
  const order = ['unknown.csv', 'also-may.csv', 'may.csv', 'april.csv'];
  expect(garage.runs(car.id).map(({ fileName }) => fileName)).toEqual(order);
  const { pulls } = garage.pulls.find(car.id, NEWEST_FIRST);
  expect(pulls.map(({ fileName }) => fileName)).toEqual(order);
  expect(pulls.map(({ driven }) => driven?.by ?? null)).toEqual([null, 'typed', 'log', 'file']);

  // What a person says of it stands over the rest, for its pulls too.
  const april = garage.runs(car.id).at(-1)!;
  await garage.confirmRun(april.id, {
    choices: [],
    remember: false,
    series: [],
    review: {},
    reviewVersion: '1',
    pulls: { version: '1', pulls: [{ ...PULL, gears: [2] }] },
    drivenAt: '2031-06-02T09:00:00',
    note: 'damp road',
  });
  const again = garage.runs(car.id)[0]!;
  expect(again).toMatchObject({ fileName: 'april.csv', note: 'damp road', driven: { by: 'typed' } });
  expect(garage.pulls.find(car.id, NEWEST_FIRST).pulls[0]).toMatchObject({ runId: april.id, gears: [2] });
  garage.close();
});
