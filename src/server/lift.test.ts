/** The lift calls over HTTP: comparing, keeping part options, searching with progress and cancel, saving a set. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { FastifyInstance } from 'fastify';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { BuildView } from '../app/api.ts';
import { computeHere, type Desk, JOBS, openDesk } from '../app/index.ts';
import type { LiftComparisonView, LiftSearchState, PartOptionsView } from '../app/lift-api.ts';
import { buildServer } from './server.ts';

const DEMO = fileURLToPath(new URL('../../data/demo', import.meta.url));
const json = (path: string) => JSON.parse(readFileSync(join(DEMO, path), 'utf8'));

let folder = '';
let desk: Desk;
let server: FastifyInstance;
const faults: unknown[] = [];

type Answer<T> = { readonly status: number; readonly body: T };
const call = async <T>(method: 'GET' | 'POST' | 'DELETE', url: string, payload?: object): Promise<Answer<T>> => {
  const answer = await server.inject({
    method,
    url,
    headers: { host: '127.0.0.1:4680' },
    ...(payload ? { payload } : {}),
  });
  return { status: answer.statusCode, body: JSON.parse(answer.body) as T };
};

let before = '';
let after = '';
let otherCar = '';
/** Only parts that are quick to search. */
const options = () => {
  const file = json('options/wren-options.json');
  return {
    ...file,
    places: file.places.filter(({ place }: { place: string }) => place === 'injectors' || place === 'clutch'),
  };
};

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'lift-server-'));
  desk = openDesk({ garage: folder, compute: computeHere(JOBS) });
  const [wren, otter] = [desk.garage.addCar({ name: 'Wren' }), desk.garage.addCar({ name: 'Otter' })];
  const add = (carId: string, label: string, sheet: unknown, planned: boolean) =>
    desk.addBuild(carId, { label, planned, sheet }).build.id;
  const sheet = json('builds/wren-as-driven.json');
  before = add(wren.id, 'As driven', sheet, false);
  const clutch = structuredClone(sheet);
  clutch.driveline.clutchTorqueCapacity.value = 450;
  after = add(wren.id, 'Clutch', clutch, true);
  otherCar = add(otter.id, 'As driven', json('builds/otter-as-driven.json'), false);
  server = await buildServer({ desk, pages: null, onFault: (error) => faults.push(error) });
});
afterAll(async () => {
  await server.close();
  await desk.close();
  rmSync(folder, { recursive: true, force: true });
  expect(faults).toEqual([]);
});

const settled = async (first: LiftSearchState): Promise<LiftSearchState> => {
  let state = first;
  for (let i = 0; i < 5000 && state.state === 'working'; i++) {
    await new Promise((done) => setTimeout(done, 50));
    state = (await call<LiftSearchState>('GET', `/api/lift-searches/${state.searchId}`)).body;
  }
  return state;
};

describe('part options of a car', () => {
  test('are none until they are saved, then stay', async () => {
    expect((await call<PartOptionsView>('GET', '/api/cars/wren/part-options')).body).toEqual({
      carId: 'wren',
      options: null,
      savedAt: null,
    });
    const saved = await call<PartOptionsView>('POST', '/api/cars/wren/part-options', { options: options() });
    expect(saved.status).toBe(200);
    const again = await call<PartOptionsView>('GET', '/api/cars/wren/part-options');
    expect(again.body.options).toEqual(options());
    expect(again.body.savedAt).toMatch(/^\d{4}-/);
  });

  test('that are wrong are refused with their places, and those saved before stay', async () => {
    const wrong = options();
    wrong.places[0].options[0].price = -1;
    wrong.places[1].options[0].sets = {};
    const { status, body } = await call<{ code: string; problems: { path: string }[] }>(
      'POST',
      '/api/cars/wren/part-options',
      { options: wrong },
    );
    expect({ status, code: body.code }).toEqual({ status: 400, code: 'bad-options' });
    expect(body.problems.map(({ path }) => path)).toEqual(['places[0].options[0].price', 'places[1].options[0].sets']);
    expect((await call<PartOptionsView>('GET', '/api/cars/wren/part-options')).body.options).toEqual(options());
  });

  test('of an unknown car are not found', async () => {
    expect((await call('GET', '/api/cars/nobody/part-options')).status).toBe(404);
  });
});

describe('two builds compared', () => {
  test('with the price of the change by the saved options', async () => {
    const { status, body } = await call<LiftComparisonView>('GET', `/api/builds/${before}/lift?to=${after}`);
    expect(status).toBe(200);
    expect(body).toMatchObject({ schema: 'boostwright.lift/1', kind: 'comparison' });
    expect(body.cost).toMatchObject({ total: 390, unpriced: [] });
    expect(body.powerW.gain).toEqual({ p10: 0, p50: 0, p90: 0 });
    const clutch = body.parts.find(({ part }) => part === 'clutch');
    // 370 against 450 N m for the same torque.
    expect((clutch?.after?.utilisation.p50 ?? 0) / (clutch?.before?.utilisation.p50 ?? 1)).toBeCloseTo(370 / 450, 1);
    expect(body.cautions.length).toBeGreaterThan(2);
  }, 300_000);

  test('of different cars, or to nowhere, is refused in words', async () => {
    const other = await call<{ says: string }>('GET', `/api/builds/${before}/lift?to=${otherCar}`);
    expect(other.status).toBe(400);
    expect(other.body.says).toContain('different cars');
    expect((await call('GET', `/api/builds/${before}/lift?to=nowhere`)).status).toBe(404);
    expect((await call('GET', `/api/builds/${before}/lift`)).status).toBe(400);
  });
});

describe('a search', () => {
  test('is answered when it is done, and the same one again at once', async () => {
    const asked = { targetPowerW: 150_000, chance: 0.7 };
    const started = await call<LiftSearchState>('POST', `/api/builds/${before}/lift-searches`, asked);
    expect(started.status).toBe(202);
    const done = await settled(started.body);
    if (done.state !== 'done') throw new Error(JSON.stringify(done));
    expect(done.answer).toMatchObject({
      kind: 'search',
      target: { powerW: 150_000, chance: 0.7 },
      counts: { sets: 6 },
    });
    expect(done.answer.outcome.reached).toBe(true);
    const again = await call<LiftSearchState>('POST', `/api/builds/${before}/lift-searches`, asked);
    expect(again.body).toMatchObject({ state: 'done', searchId: done.searchId });
  }, 300_000);

  test('can be called off, and says so', async () => {
    const asked = { targetPowerW: 170_000, chance: 0.9, options: json('options/wren-options.json') };
    const started = await call<LiftSearchState>('POST', `/api/builds/${before}/lift-searches`, asked);
    const stopped = await call<LiftSearchState>('DELETE', `/api/lift-searches/${started.body.searchId}`);
    expect(stopped.body.state).toBe('cancelled');
    expect((await settled(stopped.body)).state).toBe('cancelled');
  }, 300_000);

  test.each<readonly [string, object, RegExp]>([
    ['a target of nought', { targetPowerW: 0, chance: 0.8 }, /between 1 and 3000 kW/],
    ['a chance of two', { targetPowerW: 2e5, chance: 2 }, /at most 1/],
    ['no target', { chance: 0.8 }, /targetPowerW/],
    ['a row that is none', { targetPowerW: 2e5, chance: 0.8, keepInside: ['wings'] }, /no ledger row "wings"/],
    ['options of another kind', { targetPowerW: 2e5, chance: 0.8, options: {} }, /not a usable part options file/],
  ])('for %s is refused in words', async (_name, asked, says) => {
    const { status, body } = await call<{ says: string }>('POST', `/api/builds/${before}/lift-searches`, asked);
    expect(status).toBe(400);
    expect(body.says).toMatch(says);
  });

  test('without any part options says what to do', async () => {
    const { status, body } = await call<{ says: string }>('POST', `/api/builds/${otherCar}/lift-searches`, {
      targetPowerW: 2e5,
      chance: 0.8,
    });
    expect(status).toBe(400);
    expect(body.says).toContain('no part options for this car yet');
    expect((await call('GET', '/api/lift-searches/search-999')).status).toBe(404);
  });
});

test('a set is saved as a planned build of the car', async () => {
  const { status, body } = await call<BuildView>('POST', `/api/builds/${before}/planned-sets`, {
    label: 'Injectors first',
    parts: [{ place: 'injectors', option: '440 cc/min' }],
  });
  expect(status).toBe(201);
  expect(body.build).toMatchObject({ planned: true, label: 'Injectors first', parentId: before });
  expect(body.sheet.fuelSystem.injectorFlow).toMatchObject({ value: 440, unit: 'cm3/min' });
  const odd = await call<{ says: string }>('POST', `/api/builds/${before}/planned-sets`, {
    label: 'x',
    parts: [{ place: 'wings', option: 'large' }],
  });
  expect(odd.status).toBe(400);
  expect(odd.body.says).toContain('no "large" at the place "wings"');
});
