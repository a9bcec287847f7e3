/** Making a car, editing a build and reading a log without a car, over HTTP: what is kept, and what is refused in words. */
import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { FastifyInstance } from 'fastify';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { ApiError, BuildsView, BuildView, CarsView } from '../app/api.ts';
import { computeHere, type Desk, JOBS, type LooseRunView, openDesk } from '../app/index.ts';
import { buildServer } from './server.ts';

const DEMO = fileURLToPath(new URL('../../data/demo', import.meta.url));
const LOG = readFileSync(join(DEMO, 'logs', 'wren-third-gear.csv'));
const HEADERS = { host: '127.0.0.1:4680' };
const sheet = () => JSON.parse(readFileSync(join(DEMO, 'builds', 'wren-dozen-numbers.json'), 'utf8'));

let folder = '';
let desk: Desk;
let server: FastifyInstance;
const faults: unknown[] = [];

const get = async <T>(url: string): Promise<T> =>
  JSON.parse((await server.inject({ url, headers: HEADERS })).body) as T;
const post = async <T = ApiError>(url: string, payload: object): Promise<{ status: number; body: T }> => {
  const { statusCode, body } = await server.inject({ method: 'POST', url, headers: HEADERS, payload });
  return { status: statusCode, body: JSON.parse(body) as T };
};

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'new-cars-'));
  desk = openDesk({ garage: folder, compute: computeHere(JOBS) });
  server = await buildServer({ desk, pages: null, onFault: (error) => faults.push(error) });
});
afterAll(async () => {
  await server.close();
  await desk.close();
  rmSync(folder, { recursive: true, force: true });
});

describe('a new car', () => {
  test('comes with its first build, and is in it', async () => {
    const { status, body } = await post<BuildView>('/api/cars', {
      name: 'Grey Estate',
      label: 'As it stands',
      planned: false,
      sheet: sheet(),
    });
    expect(status).toBe(201);
    expect(body.car).toMatchObject({ id: 'grey-estate', name: 'Grey Estate', demo: false, builds: 1 });
    expect((await get<CarsView>('/api/cars')).cars[0]?.currentBuildId).toBe(body.build.id);
  });

  test.each<[string, object, number, string, RegExp]>([
    ['the name of another car', { name: 'grey estate' }, 409, 'name-taken', /"Grey Estate" in this garage already/],
    ['no name', { name: '  ' }, 400, 'bad-request', /name: type a name for the car/],
    ['a name without end', { name: 'x'.repeat(200) }, 400, 'bad-request', /name: at most 120 letters/],
    ['no sheet', { sheet: undefined }, 400, 'bad-request', /sheet: missing; send a build sheet/],
    ['a sheet of another kind', { sheet: { schema: 'x' } }, 400, 'bad-build', /things in it need mending/],
  ])('%s is refused in words, and nothing is kept', async (_what, change, status, code, says) => {
    const asked = { name: 'Other', label: 'As it stands', planned: false, sheet: sheet(), ...change };
    const answer = await post('/api/cars', asked);
    expect({ status: answer.status, code: answer.body.code }).toEqual({ status, code });
    expect(answer.body.says).toMatch(says);
    expect((await get<CarsView>('/api/cars')).cars).toHaveLength(1);
  });

  test('every number that cannot be is named with its place', async () => {
    const bad = sheet();
    bad.engine.displacement.unit = 'kg';
    bad.body.mass.value = 12;
    bad.driveline.gearRatios = [];
    const { body } = await post('/api/cars', { name: 'Other', label: 'x', planned: false, sheet: bad });
    expect(body.problems?.map(({ path }) => path).sort()).toEqual([
      'body.mass.value',
      'driveline.gearRatios',
      'engine.displacement.unit',
    ]);
  });
});

describe('an edited build', () => {
  const revision = (label: string, newestId?: string) => ({
    label,
    planned: false,
    parentId: 'grey-estate-build-1',
    ...(newestId === undefined ? {} : { newestId }),
    sheet: sheet(),
  });
  const save = (label: string, newestId?: string) => post('/api/cars/grey-estate/builds', revision(label, newestId));

  test('a second window that rests on the old build is told so with 409; nothing of it is kept', async () => {
    expect((await save('Injectors', 'grey-estate-build-1')).status).toBe(201);
    const stale = await save('Pump', 'grey-estate-build-1');
    expect({ status: stale.status, code: stale.body.code }).toEqual({ status: 409, code: 'newer-build' });
    expect(stale.body.says).toMatch(/"Injectors" was saved for this car after this sheet was opened/);
    expect(stale.body.says).toMatch(/Look at it first, then save on it or beside it/);
    const { builds } = await get<BuildsView>('/api/cars/grey-estate/builds');
    expect(builds.map(({ label }) => label)).toEqual(['Injectors', 'As it stands']);
  });

  test('once the newer one was seen, it is saved beside it', async () => {
    const answer = await post<BuildView>('/api/cars/grey-estate/builds', revision('Pump', 'grey-estate-build-2'));
    expect(answer.status).toBe(201);
    expect(answer.body.build.parentId).toBe('grey-estate-build-1');
  });

  test('callers that say nothing of what they saw are served as before', async () => {
    expect((await save('From a file')).status).toBe(201);
  });

  test('a parent of nowhere and a nameless build are refused', async () => {
    const stranger = await post('/api/cars/grey-estate/builds', { ...revision('x'), parentId: 'none' });
    expect({ status: stranger.status, code: stranger.body.code }).toEqual({ status: 404, code: 'not-found' });
    const nameless = await save('   ');
    expect(nameless.status).toBe(400);
    expect(nameless.body.says).toMatch(/label: type a name for the build/);
  });
});

describe('a log without a car', () => {
  const BOUNDARY = 'a-line-that-does-not-occur';
  const part = (head: string, bytes: Uint8Array | string) =>
    Buffer.concat([
      Buffer.from(`--${BOUNDARY}\r\ncontent-disposition: form-data; ${head}\r\n\r\n`),
      Buffer.from(bytes),
      Buffer.from('\r\n'),
    ]);
  const look = async <T = LooseRunView>(query: string, bytes: Uint8Array, choices?: string) => {
    const { statusCode, body } = await server.inject({
      method: 'POST',
      url: `/api/loose-logs?${query}`,
      headers: { ...HEADERS, 'content-type': `multipart/form-data; boundary=${BOUNDARY}` },
      payload: Buffer.concat([
        ...(choices === undefined ? [] : [part('name="choices"', choices)]),
        part('name="log"; filename="tonight.csv"', bytes),
        Buffer.from(`--${BOUNDARY}--\r\n`),
      ]),
    });
    return { status: statusCode, body: JSON.parse(body) as T };
  };
  const kept = () =>
    readdirSync(folder, { recursive: true })
      .map(String)
      .filter((name) => !/sqlite/.test(name))
      .sort();

  test('is read, then reviewed, and nothing of it stays in the garage', async () => {
    const before = kept();
    const read = await look('stage=read&fuel=petrol', LOG);
    expect({ status: read.status, stage: read.body.stage }).toEqual({ status: 200, stage: 'read' });
    expect(read.body.channels.length).toBeGreaterThan(8);
    expect(read.body.findings).toEqual([]);
    const { body } = await look('stage=review&fuel=petrol', LOG, '[]');
    expect(body.stage).toBe('reviewed');
    expect(body.pulls.length).toBeGreaterThan(0);
    expect(body.notChecked.length).toBeGreaterThan(0);
    expect(body.buildAdds.map(({ needs }) => needs).join('; ')).toMatch(
      /displacement.*injector flow.*mass, gear ratios/,
    );
    expect(kept()).toEqual(before);
    expect((await get<CarsView>('/api/cars')).cars.every(({ runs }) => runs === 0)).toBe(true);
  });

  test('what is said of its columns is heard', async () => {
    const plain = (await look('stage=read&fuel=petrol', LOG)).body;
    const lambda = plain.channels.find(({ channel }) => channel === 'lambda');
    expect(lambda?.column.length ?? 0).toBeGreaterThan(0);
    const choices = JSON.stringify([{ column: lambda?.column, channel: null }]);
    const said = (await look('stage=review&fuel=petrol', LOG, choices)).body;
    expect(said.channels.some(({ channel }) => channel === 'lambda')).toBe(false);
    expect(said.notChecked.some(({ id }) => id === 'lean-under-load')).toBe(true);
  });

  test.each<[string, string, Uint8Array, string | undefined, RegExp]>([
    ['a file that is no log', 'stage=review', Uint8Array.from([1, 2, 3, 0, 0, 9]), undefined, /tonight\.csv/],
    ['no stage', 'fuel=petrol', LOG, undefined, /query cannot be used: stage/],
    ['choices that are no list', 'stage=review', LOG, '{"x":', /choices" is not JSON/],
  ])('%s is refused in words, and nothing stays', async (_what, query, bytes, choices, says) => {
    const before = kept();
    const { status, body } = await look<ApiError>(query, bytes, choices);
    expect(status).toBe(400);
    expect(body.says).toMatch(says);
    expect(kept()).toEqual(before);
  });
});

test('no fault of ours came up in all this', () => {
  expect(faults).toEqual([]);
});
