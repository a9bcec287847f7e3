import { afterAll, expect, test } from 'vitest';
import { computeHere, computeInWorkers } from './compute.ts';
import { BadInput } from './problems.ts';
import { Cancelled } from './watch.ts';

/** A worker that speaks the protocol: adds, refuses, faults, or dies. */
const PROGRAM = new URL(
  `data:text/javascript,${encodeURIComponent(`
    import { parentPort } from 'node:worker_threads';
    parentPort.on('message', ({ id, job, request, stop }) => {
      if (job === 'long') {
        const begin = Date.now();
        for (let share = 0; share < 1 && Atomics.load(stop, 0) === 0; share = (Date.now() - begin) / request.forMs) {
          parentPort.postMessage({ id, share });
          Atomics.wait(stop, 0, 0, 5);
        }
        parentPort.postMessage(Atomics.load(stop, 0) ? { id, ok: false, refusal: { code: 'stopped', says: 'Stopped.', problems: [] } } : { id, ok: true, value: 'done' });
        return;
      }
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
  long: (_request: { forMs: number }) => '',
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

test('a job tells how far it is', async () => {
  const heard: number[] = [];
  expect(await compute.run('long', { forMs: 40 }, { onProgress: (share) => heard.push(share) })).toBe('done');
  expect(heard[0]).toBe(0);
  expect(heard).toEqual([...heard].sort((a, b) => a - b));
});

test('a job is called off while it works, while it waits, and before it begins', async () => {
  const stop = new AbortController();
  const { signal } = stop;
  // Two threads: the third waits.
  const works = [1, 2, 3].map(() => compute.run('long', { forMs: 60_000 }, { signal }));
  setTimeout(() => stop.abort(), 30);
  const ends = await Promise.allSettled(works);
  for (const end of ends) expect(end).toMatchObject({ status: 'rejected', reason: expect.any(Cancelled) });
  await expect(compute.run('long', { forMs: 10 }, { signal })).rejects.toBeInstanceOf(Cancelled);
  expect(await compute.run('add', { a: 3, b: 4 })).toBe(7);
});
