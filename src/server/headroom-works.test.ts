/** Ledgers over many samples through HTTP: begun, followed, called off, refused. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import type { FastifyInstance } from 'fastify';
import { afterAll, beforeAll, expect, test } from 'vitest';
import type { ApiError, HeadroomView } from '../app/api.ts';
import type { HeadroomWorkState } from '../app/headroom-api.ts';
import { type AppCompute, computeHere, type Desk, JOBS, openDesk } from '../app/index.ts';
import { buildServer } from './server.ts';

const SHEET = fileURLToPath(new URL('../../data/demo/builds/wren-as-driven.json', import.meta.url));

let folder = '';
let desk: Desk;
let server: FastifyInstance;
let buildId = '';
/** Jobs that may still be done, so that a test can look at work half done. */
let permits = Number.POSITIVE_INFINITY;

const call = async <T>(method: 'GET' | 'POST' | 'DELETE', url: string, payload?: object) => {
  const answer = await server.inject({
    method,
    url,
    headers: { host: '127.0.0.1:4680' },
    ...(payload ? { payload } : {}),
  });
  return { status: answer.statusCode, body: JSON.parse(answer.body) as T };
};
const start = (samples: number) =>
  call<HeadroomWorkState>('POST', `/api/builds/${buildId}/headroom-works`, { samples });
const until = async (workId: string, wanted: (state: HeadroomWorkState) => boolean): Promise<HeadroomWorkState> => {
  for (let turn = 0; turn < 2000; turn++) {
    const { body } = await call<HeadroomWorkState>('GET', `/api/headroom-works/${workId}`);
    if (wanted(body)) return body;
    await new Promise((done) => setTimeout(done, 5));
  }
  throw new Error('the work never came to that');
};

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'headroom-works-'));
  const here = computeHere(JOBS);
  const compute: AppCompute = {
    ...here,
    run: async (job, request) => {
      while (permits <= 0) await new Promise((done) => setTimeout(done, 2));
      permits -= 1;
      return here.run(job, request);
    },
  };
  desk = openDesk({ garage: folder, compute });
  const car = desk.garage.addCar({ name: 'Wren' });
  const sheet = JSON.parse(readFileSync(SHEET, 'utf8'));
  buildId = desk.addBuild(car.id, { label: 'As driven', planned: false, sheet }).build.id;
  server = await buildServer({ desk, pages: null, onFault: () => {} });
});
afterAll(async () => {
  await server.close();
  await desk.close();
  rmSync(folder, { recursive: true, force: true });
});

test('is followed to its end, and its answer is what the plain call gives for as many samples', async () => {
  const { status, body } = await start(32);
  expect(status).toBe(202);
  expect(body).toMatchObject({ state: 'working', of: 32 });
  const done = await until(body.workId, ({ state }) => state !== 'working');
  if (done.state !== 'done') throw new Error(JSON.stringify(done));
  const plain = await call<HeadroomView>('GET', `/api/builds/${buildId}/headroom?samples=32`);
  expect(done.answer).toEqual(plain.body);
  expect(done.answer.samples).toBe(32);
  // Asked for again: the same work, done already.
  expect((await start(32)).body).toEqual(done);
});

test('says how far it is, and a DELETE ends it', async () => {
  permits = 0;
  const { body } = await start(64);
  const again = await start(64);
  expect(again.body.workId).toBe(body.workId);
  const cancelled = await call<HeadroomWorkState>('DELETE', `/api/headroom-works/${body.workId}`);
  expect(cancelled.body.state).toBe('cancelled');
  // And may be begun anew, as new work.
  const anew = await start(64);
  expect(anew.body.workId).not.toBe(body.workId);
  // What was under way when it was called off takes its turn first; then one share of the new work, and no more.
  permits = 5;
  const half = await until(anew.body.workId, (state) => state.state === 'working' && state.done > 0);
  expect(half).toMatchObject({ state: 'working', done: 16, of: 64 });
  permits = Number.POSITIVE_INFINITY;
  expect((await until(anew.body.workId, ({ state }) => state !== 'working')).state).toBe('done');
  expect((await call<HeadroomWorkState>('GET', `/api/headroom-works/${body.workId}`)).body.state).toBe('cancelled');
});

test('refuses in a sentence: too few samples, an unknown work, a build that is not there', async () => {
  for (const samples of [1, 1.5, 1e6]) {
    const { status, body } = await call<ApiError>('POST', `/api/builds/${buildId}/headroom-works`, { samples });
    expect(status).toBe(400);
    expect(body.says).toMatch(/16 to 4000/);
  }
  expect((await call<ApiError>('GET', `/api/builds/${buildId}/headroom?samples=3`)).status).toBe(400);
  expect((await call<ApiError>('GET', '/api/headroom-works/ledger-99')).status).toBe(404);
  expect((await call<ApiError>('POST', '/api/builds/no-such/headroom-works', { samples: 64 })).status).toBe(404);
});
