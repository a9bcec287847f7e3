// npm run bench: how fast the heavy work is on this machine, as ratios against a peer in the same run where there is one.
// Peers and ours take turns, so that both meet the same weather; the median of the turns counts.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { endWith, ensureBuild, ensureDependencies, ROOT } from './setup.mjs';

const TURNS = 5;
const LOG_BYTES = 20e6;

let core;
try {
  ensureDependencies();
  ({ core } = ensureBuild({ web: false }));
} catch (error) {
  endWith(error);
}
const bench = await import(pathToFileURL(join(core, 'bench.mjs')).href);

const median = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)];

/** Milliseconds of each contender, taking turns. */
const race = async (contenders, turns = TURNS) => {
  const times = Object.fromEntries(Object.keys(contenders).map((name) => [name, []]));
  for (let turn = 0; turn < turns; turn += 1) {
    for (const [name, work] of Object.entries(contenders)) {
      const start = performance.now();
      await work();
      times[name].push(performance.now() - start);
    }
  }
  return Object.fromEntries(Object.entries(times).map(([name, list]) => [name, median(list)]));
};

const ms = (value) =>
  value < 100 ? `${value.toFixed(1)} ms` : value < 10_000 ? `${value.toFixed(0)} ms` : `${(value / 1000).toFixed(1)} s`;
const missed = [];
const line = (what, value, limitMs, note = '') => {
  const ok = value <= limitMs;
  if (!ok) missed.push(what);
  process.stdout.write(
    `${what.padEnd(52)} ${ms(value).padStart(10)}  ${ok ? 'within' : 'OVER  '} ${ms(limitMs).padStart(8)}  ${note}\n`,
  );
};

process.stdout.write(
  `Node ${process.versions.node}, ${cpus().length} x ${cpus()[0]?.model ?? 'unknown processor'}, median of ${TURNS} turns\n\n`,
);

const sheetOf = (name) => readFileSync(join(ROOT, 'data', 'demo', 'builds', name), 'utf8');
const sheet = sheetOf('otter-as-driven.json');
const model = bench.model(sheet);
model.match60();
line('whole match, 60 engine speeds', (await race({ ours: model.match60 }, 15)).ours, 50);

const workers = bench.workers(pathToFileURL(join(core, 'compute-worker.mjs')));
const ledger = await race({ ours: () => workers.ledger(sheet, 500) }, 1);
line('ledger, 500 uncertainty samples, two threads', ledger.ours, 10_000);
await workers.close();

// A log of 20 MB: a demo log repeated with its clock running on.
const folder = mkdtempSync(join(tmpdir(), 'bench-'));
try {
  const base = readFileSync(join(ROOT, 'data', 'demo', 'logs', 'wren-third-gear.csv'), 'utf8');
  const text = bench.longer(base, LOG_BYTES);
  const path = join(folder, 'long.csv');
  writeFileSync(path, text);
  const bytes = readFileSync(path);
  const size = `${(bytes.byteLength / 1e6).toFixed(1)} MB`;
  const readers = await race({
    ours: () => bench.read(bytes),
    duckdb: () => bench.duckdb(path),
    udsv: () => bench.udsv(text),
  });
  process.stdout.write('\n');
  line(
    `log of ${size} read and recognised`,
    readers.ours,
    Number.POSITIVE_INFINITY,
    `${(readers.ours / readers.duckdb).toFixed(2)} x DuckDB read_csv (${ms(readers.duckdb)}), ${(readers.ours / readers.udsv).toFixed(2)} x udsv typed (${ms(readers.udsv)})`,
  );
  const review = await race({ ours: () => bench.review(bytes, sheetOf('wren-as-driven.json')) }, 3);
  line(`log of ${size} reviewed with its build`, review.ours, 3000);
} finally {
  rmSync(folder, { recursive: true, force: true });
}

if (missed.length > 0) {
  process.stdout.write(`\nOver its limit: ${missed.join('; ')}\n`);
  process.exitCode = 1;
}
