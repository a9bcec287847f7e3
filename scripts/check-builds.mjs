// npm run check:builds -- [count] [first seed]: random build sheets within the schema, each from text to ledger.
// Prints what came of them (Ctrl+C: of those so far) and ends with 1 when any number is none, anything is thrown, or a refusal has no reason.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { isMainThread, parentPort, workerData } from 'node:worker_threads';
import { bundled, overThreads } from './seeded-checks.mjs';
import { endWith, ensureDependencies } from './setup.mjs';

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
  const folder = mkdtempSync(join(tmpdir(), 'check-builds-'));
  const program = await bundled('match/random-builds.testing.ts', join(folder, 'random-builds.mjs'), {
    treeshake: { moduleSideEffects: false },
  });

  const total = { kinds: {}, reasons: {}, refusals: {}, faults: [] };
  const start = performance.now();
  let next = first;
  let done = 0;
  process.once('SIGINT', () => {
    next = first + count;
  });
  const take = () => {
    if (next >= first + count) return undefined;
    const from = next;
    next = Math.min(first + count, from + BATCH);
    return { from, to: next };
  };
  const heard = ({ faults, ...sums }) => {
    for (const [name, sum] of Object.entries(sums)) {
      for (const [key, by] of Object.entries(sum)) {
        add(total[name], key, by);
        if (name === 'kinds') done += by;
      }
    }
    total.faults.push(...faults);
    for (const { seed, says } of faults) process.stdout.write(`seed ${seed}: ${says}\n`);
    if (process.stderr.isTTY) process.stderr.write(`\r${done} of ${count}`);
  };
  try {
    await overThreads(import.meta.url, program, take, heard);
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
