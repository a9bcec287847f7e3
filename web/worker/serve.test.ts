import { expect, test } from 'vitest';
import otter from '../../data/demo/builds/otter-as-driven.json' with { type: 'json' };
import { type Build, checkBuild } from '../../src/car/index.ts';
import { modelClient, Stopped, type WorkerLike } from '../answers/model-client.ts';
import { type JobWatch, MODEL_JOBS } from './jobs.ts';
import type { FromWorker, ToWorker } from './messages.ts';
import { serveJobs } from './serve.ts';

/** A worker without a thread: messages go through structured clones and a turn of the loop, as they do in a browser. */
const pretendWorker = (jobs: Parameters<typeof serveJobs>[0]): WorkerLike => {
  const worker: WorkerLike = { postMessage: () => {}, onmessage: null, onerror: null };
  const hear = serveJobs(jobs, (message: FromWorker) => {
    const data = structuredClone(message);
    setTimeout(() => worker.onmessage?.({ data }), 0);
  });
  worker.postMessage = (message: ToWorker) => {
    const data = structuredClone(message);
    setTimeout(() => hear(data), 0);
  };
  return worker;
};

const sheet = (): Build => {
  const read = checkBuild(otter);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.build;
};

test('more boost: power rises in the same cars, and the change is known far better than the power', async () => {
  const client = modelClient(() => pretendWorker(MODEL_JOBS));
  const heard: number[] = [];
  const answer = await client.run(
    'whatIfBand',
    { sheet: sheet(), moved: { boost: 20e3 }, samples: 24 },
    { progress: (done, of) => heard.push(done / of) },
  );
  const width = ({ p10, p90 }: { p10: number; p90: number }) => p90 - p10;
  expect(answer.samples).toBe(24);
  expect(answer.powerChangeW.p10).toBeGreaterThan(0);
  expect(width(answer.powerChangeW)).toBeLessThan(0.6 * width(answer.powerAfterW));
  expect(heard.at(-1)).toBe(1);
  expect([...heard].sort((a, b) => a - b)).toEqual(heard);
});

test('nothing moved: not a watt of change', async () => {
  const client = modelClient(() => pretendWorker(MODEL_JOBS));
  const answer = await client.run('whatIfBand', { sheet: sheet(), moved: { cooler: 1 }, samples: 8 });
  expect(answer.powerChangeW).toEqual({ p10: 0, p50: 0, p90: 0 });
});

test('larger injectors on a sheet: the power asked for stays, the first limit moves up or goes to another part', async () => {
  const client = modelClient(() => pretendWorker(MODEL_JOBS));
  const before = sheet();
  const { injectorFlow } = before.fuelSystem;
  const after = {
    ...before,
    fuelSystem: { ...before.fuelSystem, injectorFlow: { ...injectorFlow, value: 1.4 * injectorFlow.value } },
  };
  const { samples, powerW, powerAtFirstLimitW, first } = await client.run('sheetEffect', { before, after, samples: 8 });
  expect(samples).toBe(8);
  expect(Math.abs(powerW.gain.p50)).toBeLessThan(0.002 * powerW.before.p50);
  expect(powerAtFirstLimitW.gain.p50).toBeGreaterThan(0);
  expect(first.before[0]?.part).toBe('injectors');
  expect(first.after[0]?.part).not.toBe('injectors');
});

/** A job of many turns that counts how many it made. */
const slow = () => {
  const turns = { made: 0 };
  const job = async (_request: never, { goOn, progress }: JobWatch) => {
    for (let i = 0; i < 200; i++) {
      progress(i, 200);
      if (!(await goOn())) return null;
      turns.made += 1;
    }
    return 'done';
  };
  return { turns, job };
};

test('a cancel ends the job at its next turn, and the newest question is answered', async () => {
  const { turns, job } = slow();
  const client = modelClient(() => pretendWorker({ whatIfBand: job }));
  const request = { sheet: sheet(), moved: {}, samples: 1 };
  const stops = [new AbortController(), new AbortController(), new AbortController()];
  const asked = stops.map(({ signal }) => client.run('whatIfBand', request, { signal }));
  const settled = Promise.allSettled(asked);
  await new Promise((done) => setTimeout(done, 20));
  stops[0]?.abort();
  stops[1]?.abort();
  const [first, second, third] = await settled;
  expect(first).toMatchObject({ status: 'rejected', reason: expect.any(Stopped) });
  expect(second).toMatchObject({ status: 'rejected', reason: expect.any(Stopped) });
  expect(third).toMatchObject({ status: 'fulfilled', value: 'done' });
  // The first was stopped under way, the second never began.
  expect(turns.made).toBeLessThan(2 * 200);
});

test('a job that breaks fails with its sentence, a job nobody knows too, and the worker goes on', async () => {
  let works = false;
  const client = modelClient(() =>
    pretendWorker({
      whatIfBand: async () => {
        if (works) return 'fine';
        throw new Error('broken');
      },
    }),
  );
  const request = { sheet: sheet(), moved: {}, samples: 1 };
  await expect(client.run('whatIfBand', request)).rejects.toThrow('broken');
  await expect(client.run('nothing' as 'whatIfBand', request)).rejects.toThrow('no job "nothing"');
  works = true;
  expect(await client.run('whatIfBand', request)).toBe('fine');
});

test('a worker that dies fails what it had, and the next job has another', async () => {
  const workers: WorkerLike[] = [];
  const client = modelClient(() => {
    const worker = workers.length === 0 ? pretendWorker({}) : pretendWorker({ whatIfBand: async () => 'fine' });
    if (workers.length === 0) worker.postMessage = () => {};
    workers.push(worker);
    return worker;
  });
  const request = { sheet: sheet(), moved: {}, samples: 1 };
  const lost = client.run('whatIfBand', request);
  workers[0]?.onerror?.({ message: 'out of memory' });
  await expect(lost).rejects.toThrow('out of memory');
  expect(await client.run('whatIfBand', request)).toBe('fine');
});
