import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { request } from 'node:http';
import type { AddressInfo } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, beforeEach, describe, expect, test } from 'vitest';
import { type AppCompute, Cancelled, computeHere, type Desk, JOBS, type JobWatch, openDesk } from '../app/index.ts';
import { buildServer } from './server.ts';

const BODY =
  '--x\r\ncontent-disposition: form-data; name="log"; filename="a.csv"\r\ncontent-type: text/csv\r\n\r\nt,rpm\r\n--x--\r\n';

const until = async (holds: () => Promise<boolean> | boolean) => {
  for (let i = 0; i < 1000 && !(await holds()); i++) await new Promise((done) => setTimeout(done, 10));
  expect(await holds()).toBe(true);
};

/** A desk whose reading lasts until it is called off, or half a minute. */
const slowDesk = () => {
  const watches: JobWatch[] = [];
  const importRun = (_request: unknown, watch: JobWatch) =>
    new Promise((_, failed) => {
      watches.push(watch);
      watch.onProgress?.(0.25);
      watch.signal?.addEventListener('abort', () => failed(new Cancelled('called off')), { once: true });
    });
  const receive = async () => ({ path: '', sha256: '', size: 0 });
  return { desk: { importRun, receive } as unknown as Desk, watches };
};

test('a reading tells its share while it lasts, and is called off when its sender goes', async () => {
  const { desk, watches } = slowDesk();
  const faults: unknown[] = [];
  const server = await buildServer({ desk, pages: null, onFault: (fault) => faults.push(fault) });
  await server.listen({ port: 0, host: '127.0.0.1' });
  const { port } = server.server.address() as AddressInfo;
  const share = async () => {
    const { body } = await server.inject({ url: '/api/readings/one', headers: { host: `127.0.0.1:${port}` } });
    return JSON.parse(body).share as number | null;
  };
  const sent = request({
    port,
    host: '127.0.0.1',
    method: 'POST',
    path: '/api/cars/c/runs?build=b&reading=one',
    headers: { 'content-type': 'multipart/form-data; boundary=x', 'content-length': Buffer.byteLength(BODY) },
  });
  sent.on('error', () => {});
  sent.end(BODY);
  expect(await share()).toBeNull();
  await until(async () => (await share()) === 0.25);
  watches[0]?.onProgress?.(0.5);
  expect(await share()).toBe(0.5);
  sent.destroy();
  await until(() => watches[0]?.signal?.aborted === true);
  await until(async () => (await share()) === null);
  expect(faults).toEqual([]);
  await server.close();
});

describe('called off', () => {
  const SHEET = fileURLToPath(new URL('../../data/demo/builds/wren-as-driven.json', import.meta.url));
  const ROWS = Buffer.from(
    `Time (s),RPM\n${Array.from({ length: 300_000 }, (_, i) => `${i / 100},${1000 + (i % 5000)}`).join('\n')}\n`,
  );
  const HEAD = Buffer.from(
    '--x\r\ncontent-disposition: form-data; name="log"; filename="a.csv"\r\ncontent-type: text/csv\r\n\r\n',
  );
  const TAIL = Buffer.from('\r\n--x--\r\n');
  let folder = '';
  let desk: Desk;
  let server: Awaited<ReturnType<typeof buildServer>>;
  let port = 0;
  let buildId = '';
  const faults: unknown[] = [];
  /** Jobs that wait here until whoever asked has gone, and then are done all the same. */
  let waiting: string[] = [];

  beforeEach(async () => {
    folder = mkdtempSync(join(tmpdir(), 'called-off-'));
    const here = computeHere(JOBS);
    const compute: AppCompute = {
      ...here,
      run: async (job, asked, watch) => {
        if (watch?.signal) {
          waiting.push(job);
          const { signal } = watch;
          if (!signal.aborted) await new Promise((gone) => signal.addEventListener('abort', gone, { once: true }));
        }
        return here.run(job, asked);
      },
    };
    waiting = [];
    desk = openDesk({ garage: folder, compute });
    const car = desk.garage.addCar({ name: 'Wren' });
    const sheet = JSON.parse(readFileSync(SHEET, 'utf8'));
    buildId = desk.addBuild(car.id, { label: 'As driven', planned: false, sheet }).build.id;
    server = await buildServer({ desk, pages: null, onFault: (fault) => faults.push(fault) });
    await server.listen({ port: 0, host: '127.0.0.1' });
    ({ port } = server.server.address() as AddressInfo);
  });
  afterEach(async () => {
    await server.close();
    await desk.close();
    rmSync(folder, { recursive: true, force: true });
    expect(faults).toEqual([]);
  });

  const filesIn = (name: string) => readdirSync(join(folder, name)).length;
  const send = (path: string, type: string, size: number) => {
    const sent = request({
      port,
      host: '127.0.0.1',
      method: 'POST',
      path,
      headers: { 'content-type': type, 'content-length': size },
    });
    sent.on('error', () => {});
    return sent;
  };
  const upload = () =>
    send(
      `/api/cars/wren/runs?build=${buildId}`,
      'multipart/form-data; boundary=x',
      HEAD.length + ROWS.length + TAIL.length,
    );

  test('half sent, a log leaves nothing', async () => {
    const sent = upload();
    sent.write(Buffer.concat([HEAD, ROWS.subarray(0, 1_500_000)]));
    await until(() => filesIn('aside') === 1);
    sent.destroy();
    await until(() => filesIn('aside') === 0);
    expect([filesIn('originals'), desk.runs('wren').runs, waiting]).toEqual([0, [], []]);
  });

  test('while it is read, a log leaves nothing, even where the reading comes to its end', async () => {
    const sent = upload();
    sent.end(Buffer.concat([HEAD, ROWS, TAIL]));
    await until(() => waiting.length === 1);
    expect(filesIn('aside')).toBe(1);
    sent.destroy();
    await until(() => filesIn('aside') === 0);
    expect([filesIn('originals'), desk.runs('wren').runs, waiting]).toEqual([0, [], ['read']]);
  });

  test('while it is reviewed, a run stays as it was', async () => {
    const car = desk.garage.car('wren');
    const taken = await desk.importRun({ carId: car.id, buildId, fileName: 'a.csv', bytes: ROWS, assumedRateHz: null });
    const body = JSON.stringify({ choices: [], remember: true });
    const sent = send(`/api/runs/${taken.run.id}/confirm`, 'application/json', body.length);
    sent.end(body);
    await until(() => waiting.length === 1);
    sent.destroy();
    // The review goes on to its end and is then thrown away.
    await until(async () => (await desk.run(taken.run.id)).run.state === 'to confirm' && filesIn('aside') === 0);
    expect([filesIn('samples'), desk.garage.choicesBySet()]).toEqual([0, {}]);
  });
});
