// npm run check:builds -- [count] [first seed]: random build sheets within the schema, each from text to ledger.
// Prints what came of them (Ctrl+C: of those so far) and ends with 1 when any number is none, anything is thrown, or a refusal has no reason.
import { mkdtempSync, rmSync } from 'node:fs';
import { availableParallelism, tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { isMainThread, parentPort, Worker, workerData } from 'node:worker_threads';
import { endWith, ensureDependencies, ROOT } from './setup.mjs';

const BATCH = 50;

const add = (into, key, by = 1) => {
  into[key] = (into[key] ?? 0) + by;
};

const work = async () => {
  const { tryBuild } = await import(workerData.program);
  parentPort.on('message', ({ from, to }) => {
    const sum = { kinds: {}, reasons: {}, refusals: {}, faults: [] };
    for (let seed = from; seed < to; seed += 1) {
      const verdict = tryBuild(seed);
      add(sum.kinds, verdict.kind);
      if (verdict.kind === 'solved') for (const reason of new Set(verdict.reasons)) add(sum.reasons, reason);
      if (verdict.kind === 'refused') {
        for (const { path } of verdict.problems) add(sum.refusals, path.replace(/\[\d+\]/g, '[]'));
      }
      if (verdict.kind === 'fault') sum.faults.push({ seed, says: verdict.says });
    }
    parentPort.postMessage(sum);
  });
};

const lead = async () => {
  ensureDependencies();
  const [count = 100_000, first = 0] = process.argv.slice(2).map(Number);
  if (!(Number.isInteger(count) && count > 0 && Number.isInteger(first))) {
    process.stderr.write('Give a count of builds and a first seed, like "npm run check:builds -- 2000 0".\n');
    process.exit(2);
  }
  const { rolldown } = await import('rolldown');
  const folder = mkdtempSync(join(tmpdir(), 'check-builds-'));
  const file = join(folder, 'random-builds.mjs');
  const bundle = await rolldown({
    input: join(ROOT, 'src', 'match', 'random-builds.testing.ts'),
    platform: 'node',
    treeshake: { moduleSideEffects: false },
  });
  await bundle.write({ file, format: 'esm' });
  await bundle.close();

  const total = { kinds: {}, reasons: {}, refusals: {}, faults: [] };
  const start = performance.now();
  let next = first;
  let done = 0;
  process.once('SIGINT', () => {
    next = first + count;
  });
  const hand = () =>
    new Promise((resolve, reject) => {
      const worker = new Worker(fileURLToPath(import.meta.url), {
        workerData: { program: pathToFileURL(file).href },
      });
      const more = () => {
        if (next >= first + count) {
          resolve(worker.terminate());
          return;
        }
        const from = next;
        next = Math.min(first + count, from + BATCH);
        worker.postMessage({ from, to: next });
      };
      worker.on('error', reject);
      worker.on('message', ({ faults, ...sums }) => {
        for (const [name, sum] of Object.entries(sums)) {
          for (const [key, by] of Object.entries(sum)) {
            add(total[name], key, by);
            if (name === 'kinds') done += by;
          }
        }
        total.faults.push(...faults);
        for (const { seed, says } of faults) process.stdout.write(`seed ${seed}: ${says}\n`);
        if (process.stderr.isTTY) process.stderr.write(`\r${done} of ${count}`);
        more();
      });
      more();
    });
  try {
    await Promise.all(Array.from({ length: Math.min(2, availableParallelism()) }, hand));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  const lines = (what, counts) =>
    Object.entries(counts)
      .sort((a, b) => b[1] - a[1])
      .slice(0, 20)
      .map(([key, value]) => `  ${String(value).padStart(7)}  ${key}`)
      .join('\n')
      .replace(/^(?=.)/, `${what}\n`);
  process.stdout.write(
    `${process.stderr.isTTY ? '\n' : ''}${[
      lines(`${done} builds from seed ${first}, ${((performance.now() - start) / 1000).toFixed(0)} s`, total.kinds),
      lines('Builds with a typed reason somewhere', total.reasons),
      lines('Places of refusals', total.refusals),
    ]
      .filter((text) => text !== '')
      .join('\n')}\n`,
  );
  process.exitCode = total.faults.length > 0 ? 1 : 0;
};

if (isMainThread) await lead().catch(endWith);
else await work();
