import { request } from 'node:http';
import type { AddressInfo } from 'node:net';
import { expect, test } from 'vitest';
import { Cancelled, type Desk, type JobWatch } from '../app/index.ts';
import { buildServer } from './server.ts';

const BODY =
  '--x\r\ncontent-disposition: form-data; name="log"; filename="a.csv"\r\ncontent-type: text/csv\r\n\r\nt,rpm\r\n--x--\r\n';

/** A desk whose reading lasts until it is called off, or half a minute. */
const slowDesk = () => {
  const watches: JobWatch[] = [];
  const importRun = (_request: unknown, watch: JobWatch) =>
    new Promise((_, failed) => {
      watches.push(watch);
      watch.onProgress?.(0.25);
      watch.signal?.addEventListener('abort', () => failed(new Cancelled('called off')), { once: true });
    });
  return { desk: { importRun } as unknown as Desk, watches };
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
  const until = async (holds: () => Promise<boolean> | boolean) => {
    for (let i = 0; i < 400 && !(await holds()); i++) await new Promise((done) => setTimeout(done, 10));
    expect(await holds()).toBe(true);
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
