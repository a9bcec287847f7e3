import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import type { FastifyInstance } from 'fastify';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import type { BuildsView, CarsView, MatchView, RunView, TracesView } from '../app/api.ts';
import {
  type CompareView,
  computeHere,
  type Desk,
  type FuelView,
  JOBS,
  openDesk,
  type PullsView,
  type SpoolLoggedView,
  type SpoolView,
} from '../app/index.ts';
import { buildServer } from './server.ts';

const DEMO = fileURLToPath(new URL('../../data/demo', import.meta.url));
const LOG = readFileSync(join(DEMO, 'logs', 'wren-third-gear.csv'));

let folder = '';
let pages = '';
let desk: Desk;
let server: FastifyInstance;
const faults: unknown[] = [];
const HEADERS = { host: '127.0.0.1:4680' };

const get = async <T>(url: string): Promise<{ status: number; body: T }> => {
  const { statusCode, body } = await server.inject({ url, headers: HEADERS });
  return { status: statusCode, body: JSON.parse(body) as T };
};
const post = async <T>(url: string, payload: unknown): Promise<{ status: number; body: T }> => {
  const { statusCode, body } = await server.inject({
    method: 'POST',
    url,
    headers: HEADERS,
    payload: payload as object,
  });
  return { status: statusCode, body: JSON.parse(body) as T };
};

const BOUNDARY = 'a-line-that-does-not-occur';
const upload = async (url: string, bytes: Uint8Array, field = 'log', into = server) => {
  const head = `--${BOUNDARY}\r\ncontent-disposition: form-data; name="${field}"; filename="my run.csv"\r\ncontent-type: text/csv\r\n\r\n`;
  const { statusCode, body } = await into.inject({
    method: 'POST',
    url,
    headers: { ...HEADERS, 'content-type': `multipart/form-data; boundary=${BOUNDARY}` },
    payload: Buffer.concat([Buffer.from(head), bytes, Buffer.from(`\r\n--${BOUNDARY}--\r\n`)]),
  });
  return { status: statusCode, body: JSON.parse(body) };
};

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'server-'));
  pages = mkdtempSync(join(tmpdir(), 'pages-'));
  writeFileSync(join(pages, 'index.html'), '<!doctype html><title>pages</title>');
  desk = openDesk({ garage: folder, compute: computeHere(JOBS) });
  await desk.seedDemo(DEMO);
  server = await buildServer({ desk, pages, onFault: (error) => faults.push(error) });
}, 240_000);
afterAll(async () => {
  await server.close();
  await desk.close();
  for (const path of [folder, pages]) rmSync(path, { recursive: true, force: true });
});

describe('cars and builds', () => {
  test('the demo garage is there, and seeding it again changes nothing', async () => {
    const { body } = await get<CarsView>('/api/cars');
    expect(body.cars.map(({ id, demo, builds, runs }) => ({ id, demo, builds, runs }))).toEqual([
      { id: 'otter', demo: true, builds: 4, runs: 3 },
      { id: 'wren', demo: true, builds: 2, runs: 3 },
    ]);
    await desk.seedDemo(DEMO);
    expect((await get<CarsView>('/api/cars')).body).toEqual(body);
    expect(desk.garage.faults()).toEqual([]);
  });

  test('planned builds hang on the driven one', async () => {
    const { body } = await get<BuildsView>('/api/cars/otter/builds');
    const driven = body.builds.find(({ planned }) => !planned);
    expect(body.car.currentBuildId).toBe(driven?.id);
    expect(new Set(body.builds.filter(({ planned }) => planned).map(({ parentId }) => parentId))).toEqual(
      new Set([driven?.id]),
    );
  });

  test('a build comes with its sheet, facts and quantities, estimates marked', async () => {
    const { body } = await get<Record<string, never>>('/api/builds/wren-build-1');
    const quantities = body.quantities as unknown as {
      path: string;
      estimated: boolean;
      valueSi: number;
      sdSi: number;
    }[];
    const mass = quantities.find(({ path }) => path === 'body.mass');
    expect(mass?.estimated).toBe(false);
    expect(quantities.filter(({ estimated }) => estimated).length).toBeGreaterThan(10);
    for (const { valueSi, sdSi } of quantities) {
      expect(Number.isFinite(valueSi)).toBe(true);
      expect(sdSi).toBeGreaterThanOrEqual(0);
    }
  });

  test('a new revision is added; a bad sheet is refused with every place', async () => {
    const { sheet } = (await get<{ sheet: { body: { mass: { value: number } } } }>('/api/builds/wren-build-1')).body;
    const added = await post<{ build: { id: string; parentId: string; planned: boolean } }>('/api/cars/wren/builds', {
      label: 'Lighter',
      planned: true,
      parentId: 'wren-build-1',
      sheet,
    });
    expect(added.status).toBe(201);
    expect(added.body.build).toMatchObject({ id: 'wren-build-3', parentId: 'wren-build-1', planned: true });
    sheet.body.mass.value = -5;
    const refused = await post<{ code: string; says: string; problems: { path: string }[] }>('/api/cars/wren/builds', {
      label: 'Negative',
      planned: true,
      sheet,
    });
    expect(refused.status).toBe(400);
    expect(refused.body.code).toBe('bad-build');
    expect(refused.body.problems.map(({ path }) => path)).toEqual(['body.mass.value']);
    expect((await post('/api/cars/wren/builds', { planned: 'yes' })).status).toBe(400);
  });
});

describe('the model', () => {
  test('match: bands in order, the map to draw, other air on request', async () => {
    const { status, body } = await get<MatchView>('/api/builds/otter-build-1/match');
    expect(status).toBe(200);
    for (const { powerW } of body.points) {
      expect(powerW.p10).toBeLessThanOrEqual(powerW.p50);
      expect(powerW.p50).toBeLessThanOrEqual(powerW.p90);
    }
    const { compressorMap } = body;
    expect(compressorMap.speedLines.length).toBeGreaterThan(2);
    for (const { correctedFlowKgPerS, pressureRatio, efficiency } of compressorMap.speedLines) {
      expect(pressureRatio.length).toBe(correctedFlowKgPerS.length);
      expect(efficiency.length).toBe(correctedFlowKgPerS.length);
      expect(correctedFlowKgPerS).toEqual([...correctedFlowKgPerS].sort((a, b) => a - b));
    }
    // Asking again gives the same.
    expect((await get<MatchView>('/api/builds/otter-build-1/match')).body).toEqual(body);
    expect((await get('/api/builds/otter-build-1/match?ambientPressurePa=1')).status).toBe(400);
    expect((await get('/api/builds/otter-build-1/match?ambientPressurePa=much')).status).toBe(400);
  }, 60_000);
});

describe('spool', () => {
  test('time to boost with bands, lift, curves and cautions; asked for a gear that is not there it says so', {
    timeout: 120_000,
  }, async () => {
    const { status, body } = await get<SpoolView>('/api/builds/wren-build-1/spool?gear=3&from=2300&lift=5000');
    expect(status).toBe(200);
    expect(body).toMatchObject({ schema: 'boostwright.spool/1', gear: 3, fromEngineSpeedRpm: 2300, reason: null });
    const { timeS, engineSpeedRpm, chance } = body.arrived!;
    expect(timeS.p10).toBeLessThan(timeS.p50);
    expect(timeS.p50).toBeLessThan(timeS.p90);
    expect(engineSpeedRpm.p50).toBeGreaterThan(2300);
    expect(chance).toBeGreaterThan(0.5);
    expect(body.curves.boostPa.length).toBe(body.curves.timesS.length);
    expect(body.lift.chanceOfSurge).toBeGreaterThanOrEqual(0);
    expect(body.cautions.length).toBeGreaterThan(0);
    expect((await get('/api/builds/wren-build-1/spool?gear=9')).status).toBe(400);
    expect((await get('/api/builds/wren-build-1/spool?from=200')).status).toBe(400);
    expect((await get('/api/builds/nobody/spool')).status).toBe(404);
  });

  test('the logged pull to lay over it, in a gear and in any', async () => {
    const { body } = await get<SpoolLoggedView>('/api/builds/otter-build-4/spool-logged?gear=2');
    const pull = body.pull!;
    expect(pull.timesS[0]).toBeLessThan(0.2);
    expect(pull.boostPa[0]!).toBeLessThan(0);
    expect(Math.max(...pull.boostPa)).toBeGreaterThan(80e3);
    expect(pull.engineSpeedRpm.length).toBe(pull.timesS.length);
    expect(pull.conditions?.ambientPressurePa).toBeGreaterThan(90e3);
    expect((await get<SpoolLoggedView>('/api/builds/otter-build-4/spool-logged')).body.gear).toBeGreaterThan(0);
    expect((await get<SpoolLoggedView>('/api/builds/otter-build-4/spool-logged?gear=6')).body.pull).toBeNull();
  });
});

describe('fuel', () => {
  test('properties with bands, both ratios of the mix, endurance and cautions', { timeout: 120_000 }, async () => {
    const { status, body } = await get<FuelView>('/api/builds/otter-build-4/fuel');
    expect(status).toBe(200);
    expect(body.schema).toBe('boostwright.fuel/1');
    for (const { value } of body.fuel.properties) {
      expect(value.p10).toBeLessThanOrEqual(value.p50);
      expect(value.p50).toBeLessThanOrEqual(value.p90);
    }
    expect(body.mix.fitted).toBe(true);
    expect(body.mix.methanolVolumeInFinishedMix).toBeGreaterThan(body.mix.methanolMassFraction.p50);
    expect(body.endurance?.pulls.p10).toBeGreaterThan(1);
    expect(body.cautions.join(' ')).toContain('poisonous');
    expect((await get<FuelView>('/api/builds/otter-build-1/fuel')).body.mix.fitted).toBe(false);
    expect((await get('/api/builds/nobody/fuel')).status).toBe(404);
  });
});

describe('runs', () => {
  test('a log is taken in, confirmed and drawn', async () => {
    const bytes = Buffer.concat([LOG, Buffer.from('\n')]);
    const taken = await upload('/api/cars/otter/runs?build=otter-build-1', bytes);
    expect(taken.status).toBe(201);
    const view = taken.body as RunView;
    expect(view.run).toMatchObject({ state: 'to confirm', fileName: 'my run.csv' });
    expect(view.findings).toEqual([]);
    expect(view.channels.map(({ channel }) => channel)).toContain('engine-speed');
    expect([...desk.garage.original(desk.garage.run(view.run.id))]).toEqual([...bytes]);
    expect((await get(`/api/runs/${view.run.id}/traces?channels=engine-speed`)).status).toBe(400);

    const confirmed = await post<RunView>(`/api/runs/${view.run.id}/confirm`, { choices: [], remember: true });
    expect(confirmed.status).toBe(200);
    expect(confirmed.body.run.state).toBe('reviewed');
    expect(confirmed.body.pulls.length).toBeGreaterThan(0);
    expect((confirmed.body.prediction?.points.length ?? 0) > 10).toBe(true);
    const shown = (await get<RunView>(`/api/runs/${view.run.id}`)).body;
    expect(shown).toEqual({ ...confirmed.body, choicesRemembered: shown.choicesRemembered });

    const [pull] = confirmed.body.pulls;
    const { body } = await get<TracesView>(
      `/api/runs/${view.run.id}/traces?channels=engine-speed,manifold-pressure&start=${pull?.startS}&end=${pull?.endS}&points=200`,
    );
    const speed = body.traces.find(({ channel }) => channel === 'engine-speed');
    expect(speed?.unit).toBe('rpm');
    expect(Math.max(...(speed?.values ?? []))).toBeGreaterThan(2000);
    expect(speed?.timesS).toEqual([...(speed?.timesS ?? [])].sort((a, b) => a - b));
    const pressure = body.traces.find(({ channel }) => channel === 'manifold-pressure');
    expect((pressure?.predicted?.[0]?.p50.length ?? 0) > 1).toBe(true);

    const again = await upload('/api/cars/otter/runs?build=otter-build-1', bytes);
    expect(again.status).toBe(200);
    expect(again.body.already).toBe(true);
  }, 120_000);

  test('a choice is obeyed and remembered for logs with the same columns', async () => {
    const [run] = (await get<{ runs: { id: string }[] }>('/api/cars/wren/runs')).body.runs;
    const before = (await get<RunView>(`/api/runs/${run?.id}`)).body;
    const left = before.channels.find(({ channel }) => channel !== 'engine-speed');
    const choices = [{ column: left?.column, channel: null }];
    const { body } = await post<RunView>(`/api/runs/${run?.id}/confirm`, { choices, remember: true });
    expect(body.channels.map(({ column }) => column)).not.toContain(left?.column);
    const original = desk.garage.original(desk.garage.run(run?.id ?? ''));
    const taken = await upload(
      '/api/cars/wren/runs?build=wren-build-2',
      Buffer.concat([original, Buffer.from('\n\n')]),
    );
    expect(taken.body.choicesRemembered).toBe(true);
    expect(taken.body.channels.map(({ column }: { column: string }) => column)).not.toContain(left?.column);
  }, 120_000);

  test.each([
    ['an empty file', new Uint8Array()],
    [
      'a picture',
      Uint8Array.from([
        0x89,
        0x50,
        0x4e,
        0x47,
        0x0d,
        0x0a,
        0x1a,
        0x0a,
        ...Array.from({ length: 3000 }, (_, i) => (i * 7) & 255),
      ]),
    ],
  ])('%s is refused and not kept', async (_name, bytes) => {
    const before = (await get<CarsView>('/api/cars')).body;
    const { status, body } = await upload('/api/cars/otter/runs?build=otter-build-1', bytes);
    expect(status).toBe(400);
    expect(body.says).toMatch(/^my run\.csv: .+/);
    expect((await get<CarsView>('/api/cars')).body).toEqual(before);
  });

  test('a measurement file is kept byte for byte and told apart from text', async () => {
    const bytes = readFileSync(fileURLToPath(new URL('../../data/fixtures/mdf4/packed.mf4', import.meta.url)));
    const { status, body } = await upload('/api/cars/otter/runs?build=otter-build-1&reading=r1', bytes);
    expect(status).toBe(201);
    const view = body as RunView;
    expect(view.log.dialect.format).toBe('mdf4');
    expect(view.log.columnsRefused.map(({ column }) => column)).toEqual(['Label', 'Remark']);
    expect(view.channels.map(({ channel }) => channel)).toContain('oil-temperature');
    expect(Buffer.from(desk.garage.original(desk.garage.run(view.run.id))).equals(bytes)).toBe(true);
    const confirmed = await post<RunView>(`/api/runs/${view.run.id}/confirm`, { choices: [], remember: false });
    expect(confirmed.body.run.state).toBe('reviewed');
    expect((await get('/api/readings/r1')).body).toEqual({ share: null });
  }, 60_000);

  test('too large a log is refused with 413 and the limit', async () => {
    const small = await buildServer({ desk, pages: null, mostLogBytes: 1000 });
    const { status, body } = await upload(
      '/api/cars/otter/runs?build=otter-build-1',
      new Uint8Array(5000).fill(65),
      'log',
      small,
    );
    expect(status).toBe(413);
    expect(body.code).toBe('too-large');
    await small.close();
  });

  test('a wrong field, a wrong type and no build are refused', async () => {
    expect((await upload('/api/cars/otter/runs?build=otter-build-1', LOG, 'file')).body.code).toBe('no-file');
    expect((await post('/api/cars/otter/runs?build=otter-build-1', {})).status).toBe(406);
    expect((await upload('/api/cars/otter/runs', LOG)).status).toBe(400);
    expect(
      (await upload('/api/cars/otter/runs?build=wren-build-1', Buffer.concat([LOG, Buffer.from('\n\n\n')]))).status,
    ).toBe(404);
  });
});

describe('several runs', () => {
  const pulls = (query: string) => get<PullsView>(`/api/cars/otter/pulls?${query}`);
  const asked = (...where: string[]) => where.map((text) => `where=${encodeURIComponent(text)}`).join('&');

  test('all pulls of a car are listed as their runs tell them', async () => {
    const { status, body } = await pulls('');
    expect(status).toBe(200);
    expect(body).toMatchObject({ carId: 'otter', sort: 'newest', runsToRead: 0, problems: [] });
    const { runs } = (await get<{ runs: { id: string; pulls?: number }[] }>('/api/cars/otter/runs')).body;
    expect(body.total).toBe(runs.reduce((sum, run) => sum + (run.pulls ?? 0), 0));
    expect(body.channels).toEqual(expect.arrayContaining(['boost', 'lambda', 'power', 'torque']));
    for (const row of body.pulls) {
      const pull = (await get<RunView>(`/api/runs/${row.runId}`)).body.pulls[row.pull - 1];
      expect(row.powerW).toEqual(pull?.powerW.combined ?? null);
      const boost = row.statistics.find(({ channel }) => channel === 'boost');
      expect(boost?.most).toBe(pull?.peakBoostPa);
      expect(row.findings.length >= 0).toBe(true);
    }
  });

  test('conditions, order and pages are obeyed', async () => {
    const all = (await pulls('sort=boost%20max&direction=rising')).body;
    const boosts = all.pulls.map(({ statistics }) => statistics.find(({ channel }) => channel === 'boost')?.most ?? 0);
    expect(boosts).toEqual([...boosts].sort((a, b) => a - b));
    const middle = ((boosts[0] ?? 0) + (boosts.at(-1) ?? 0)) / 2;
    const { body } = await pulls(
      `${asked(`boost max > ${(middle / 1e3).toFixed(3)} kPa`, 'ethanol-content max > 0.1')}`,
    );
    expect(body.total).toBe(0);
    expect(body.conditions.map(({ pullsWithout }) => pullsWithout)).toEqual([0, body.ofCar]);
    const some = (await pulls(asked(`boost max > ${(middle / 1e3).toFixed(3)} kPa`))).body;
    expect(some.total).toBe(boosts.filter((boost) => boost > middle).length);
    const second = (await pulls('sort=boost%20max&direction=rising&offset=1&limit=1')).body;
    expect(second.pulls).toEqual([all.pulls[1]]);
    const refused = await get<{ code: string; says: string }>(`/api/cars/otter/pulls?${asked('bost max > 3')}`);
    expect({ status: refused.status, code: refused.body.code }).toEqual({ status: 400, code: 'bad-filter' });
    expect((await get('/api/cars/nobody/pulls')).status).toBe(404);
    expect((await pulls('limit=100000')).status).toBe(400);
  });

  test('pulls of runs that were confirmed before there was a place for them are read behind', async () => {
    const before = (await pulls('')).body;
    const database = new Database(join(folder, 'garage.sqlite'));
    database.exec('PRAGMA foreign_keys = ON; DELETE FROM pull; UPDATE run SET pulls_version = NULL;');
    database.close();
    const first = (await pulls('')).body;
    expect(first.runsToRead).toBeGreaterThan(0);
    await expect.poll(async () => (await pulls('')).body.runsToRead, { timeout: 60_000, interval: 200 }).toBe(0);
    expect((await pulls('')).body).toEqual(before);
  }, 90_000);

  test('two runs of a car are laid on each other; a run on itself gives nought', async () => {
    const { body, status } = await get<CompareView>('/api/compare?run=otter-run-2&run=otter-run-3');
    expect(status).toBe(200);
    expect(body.sides.map(({ name, runId }) => [name, runId])).toEqual([
      ['A', 'otter-run-2'],
      ['B', 'otter-run-3'],
    ]);
    const [comparison] = body.comparisons;
    const told = comparison?.speeds.filter(({ asMeasured }) => asMeasured) ?? [];
    expect(told.length).toBeGreaterThan(5);
    for (const { asMeasured, sameAir } of told) {
      expect(asMeasured?.differenceW.p10).toBeLessThan(asMeasured?.differenceW.p90 ?? 0);
      expect(sameAir?.firstW.p50).toBeGreaterThan(0);
    }
    expect(body.cautions.join(' ')).toMatch(/over-corrects/);
    const self = (await get<CompareView>('/api/compare?run=otter-run-2:1&run=otter-run-2:1')).body.comparisons[0];
    for (const { asMeasured } of self?.speeds ?? []) expect(asMeasured?.differenceW.p50 ?? 0).toBe(0);
  }, 60_000);

  test.each([
    ['one run', 'run=otter-run-2', 400],
    ['runs of two cars', 'run=otter-run-2&run=wren-run-1', 400],
    ['a pull that is not there', 'run=otter-run-2:40&run=otter-run-3', 400],
    ['a run that is not there', 'run=otter-run-2&run=otter-run-99', 404],
    ['a run that is no name', 'run=otter-run-2&run=a:b:c', 400],
  ])('%s is refused in words', async (_what, query, wanted) => {
    const { status, body } = await get<{ says: string }>(`/api/compare?${query}`);
    expect(status).toBe(wanted);
    expect(body.says.length).toBeGreaterThan(20);
  });
});

describe('refusals', () => {
  test.each([
    '/api/cars/nobody/builds',
    '/api/builds/none',
    '/api/runs/none',
    '/api/runs/none/traces?channels=lambda',
    '/api/nothing',
  ])('%s is not found', async (url) => {
    const { status, body } = await get<{ code: string; says: string }>(url);
    expect({ status, code: body.code }).toEqual({ status: 404, code: 'not-found' });
    expect(body.says.length).toBeGreaterThan(10);
  });

  test('other sites and other names for this computer are kept out of everything', async () => {
    for (const headers of [{ host: 'rebound.example' }, { ...HEADERS, origin: 'https://other.example' }]) {
      for (const url of ['/api/cars', '/']) {
        expect((await server.inject({ url, headers })).statusCode).toBe(403);
      }
    }
  });

  test('text is not taken for JSON, so that a form of another site cannot post it', async () => {
    const { statusCode } = await server.inject({
      method: 'POST',
      url: '/api/cars/wren/builds',
      headers: { ...HEADERS, 'content-type': 'text/plain' },
      payload: '{}',
    });
    expect(statusCode).toBe(415);
  });

  test('no fault of ours came up in all this', () => {
    expect(faults).toEqual([]);
  });
});

test('pages are served with a policy, and their own addresses lead to them', async () => {
  for (const url of ['/', '/runs/otter-run-1']) {
    const { statusCode, body, headers } = await server.inject({ url, headers: HEADERS });
    expect(statusCode).toBe(200);
    expect(body).toContain('pages');
    expect(headers['content-security-policy']).toContain("default-src 'self'");
  }
  expect((await server.inject({ url: '/missing.js', headers: HEADERS })).statusCode).toBe(404);
  expect((await server.inject({ url: '/../package.json', headers: HEADERS })).statusCode).not.toBe(200);
});
