import { afterAll, expect, test } from 'vitest';
import { computeHere, computeInWorkers } from './compute.ts';
import { BadInput } from './problems.ts';

/** A worker that speaks the protocol: adds, refuses, faults, or dies. */
const PROGRAM = new URL(
  `data:text/javascript,${encodeURIComponent(`
    import { parentPort } from 'node:worker_threads';
    parentPort.on('message', ({ id, job, request }) => {
      if (job === 'die') process.exit(3);
      if (job === 'refuse') parentPort.postMessage({ id, ok: false, refusal: { code: 'c', says: 'no', problems: [{ path: 'p', says: 's' }] } });
      else if (job === 'fault') parentPort.postMessage({ id, ok: false, fault: 'Error: broken' });
      else setTimeout(() => parentPort.postMessage({ id, ok: true, value: request.a + request.b }), request.waitMs ?? 0);
    });
  `)}`,
);
const jobs = {
  add: (request: { a: number; b: number; waitMs?: number }) => request.a + request.b,
  refuse: (_request: null) => 0,
  fault: (_request: null) => 0,
  die: (_request: null) => 0,
};
const compute = computeInWorkers<typeof jobs>(PROGRAM, 2);
afterAll(() => compute.close());

test('more jobs than threads all come back with their own answers', async () => {
  const asked = Array.from({ length: 9 }, (_, i) => compute.run('add', { a: i, b: 100, waitMs: (9 - i) * 2 }));
  expect(await Promise.all(asked)).toEqual(Array.from({ length: 9 }, (_, i) => i + 100));
});

test('a refusal keeps its code, sentence and places', async () => {
  await expect(compute.run('refuse', null)).rejects.toMatchObject({
    code: 'c',
    message: 'no',
    problems: [{ path: 'p', says: 's' }],
  });
  await expect(compute.run('refuse', null)).rejects.toBeInstanceOf(BadInput);
});

test('a fault stays a fault', async () => {
  await expect(compute.run('fault', null)).rejects.toThrow('broken');
});

test('a thread that dies fails its job, and the next jobs are done by another', async () => {
  await expect(compute.run('die', null)).rejects.toThrow('ended by itself (3)');
  expect(await compute.run('add', { a: 1, b: 2 })).toBe(3);
  const mixed = await Promise.allSettled([
    compute.run('die', null),
    compute.run('die', null),
    compute.run('add', { a: 2, b: 2 }),
  ]);
  expect(mixed.map(({ status }) => status)).toEqual(['rejected', 'rejected', 'fulfilled']);
});

test('in this thread the same jobs give the same answers', async () => {
  expect(await computeHere(jobs).run('add', { a: 1, b: 2 })).toBe(3);
});
