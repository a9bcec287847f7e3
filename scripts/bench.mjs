// npm run bench: how fast the heavy work is on this machine, as ratios against a peer in the same run where there is one.
// Peers and ours take turns, so that both meet the same weather; the median of the turns counts.
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { endWith, ensureBuild, ensureDependencies, ROOT } from './setup.mjs';

const TURNS = 5;
const LOG_BYTES = 20e6;
const LARGE_LOG_BYTES = 200e6;
const HOUR = { lengthS: 3600, rateHz: 20, pulls: 40 };
const HOUR_WORDS = 'review, 60 min, 60 columns, 20 Hz, 40 pulls';
/** A log is read in at most this many times the time that DuckDB takes, and the usual parsers take at least that many times ours. */
const MOST_OF_DUCKDB = 2;
const LEAST_OF_PARSERS = 5;

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
/** One line of the answer; with a bar it is held to it. */
const line = (what, value, { barMs, note = '' } = {}) => {
  const ok = barMs === undefined || value <= barMs;
  if (!ok) missed.push(what);
  const bar = barMs === undefined ? '' : `${ok ? 'within' : 'OVER'} ${ms(barMs)}`;
  process.stdout.write(
    `${what.padEnd(54)}${ms(value).padStart(10)}  ${[bar, note].filter((text) => text !== '').join('  ')}\n`,
  );
};

/** One line of the answer with the times of peers as ratios, held to bars of ratios: `most` of a peer's time, or `least` times ours. */
const ratios = (what, times, bars) => {
  const parts = Object.entries(bars).map(([peer, { name, most, least }]) => {
    const ratio = most ? times.ours / times[peer] : times[peer] / times.ours;
    const ok = most ? ratio <= most : least ? ratio >= least : true;
    if (!ok) missed.push(`${what} against ${name}`);
    const held =
      Number.isFinite(most) || least
        ? ` ${ok ? 'within' : 'OVER'} ${most ? `at most ${most}` : `at least ${least}`}`
        : '';
    return most
      ? `${ratio.toFixed(2)} x ${name} (${ms(times[peer])})${held}`
      : `${name} ${ratio.toFixed(1)} x ours (${ms(times[peer])})${held}`;
  });
  process.stdout.write(
    `${what.padEnd(54)}${ms(times.ours).padStart(10)}\n${parts.map((part) => `    ${part}\n`).join('')}`,
  );
};

/** A program of Node run to its end in a process of its own, its answer thrown away. */
const inProcess = (...args) =>
  new Promise((done, failed) => {
    const child = spawn(process.execPath, args, { cwd: ROOT, stdio: ['ignore', 'ignore', 'inherit'] });
    child.on('error', failed);
    child.on('exit', (code) => (code === 0 ? done() : failed(new Error(`${args[0]} ended with ${code}`))));
  });

const reviewInProcess = (log, sheet) =>
  inProcess(join(ROOT, 'scripts', 'boostwright.mjs'), 'review', log, '--build', sheet, '--json');

/** Peer: Node starts, loads DuckDB and lets it read the same columns. */
const duckdbInProcess = (log) =>
  inProcess(
    '--input-type=module',
    '-e',
    `import { DuckDBInstance } from '@duckdb/node-api';
     const connection = await (await DuckDBInstance.create(':memory:', { threads: '2' })).connect();
     await connection.run('CREATE TABLE bench AS SELECT * FROM read_csv(' + ${JSON.stringify(`'${log}'`)} + ')');`,
  );

const sheetOf = (name) => readFileSync(join(ROOT, 'data', 'demo', 'builds', name), 'utf8');
process.stdout.write(
  `Node ${process.versions.node}, ${cpus().length} x ${cpus()[0]?.model ?? 'unknown processor'}, median of ${TURNS} turns\n\n`,
);

const sheet = sheetOf('otter-as-driven.json');
const model = bench.model(sheet);
const match = await race({ ours: model.match60 }, 15);
line('whole match, 60 engine speeds', match.ours, { barMs: 50 });

const workers = bench.workers(pathToFileURL(join(core, 'compute-worker.mjs')));
const ledger = await race({ ours: () => workers.ledger(sheet, 2000) }, 1);
line('ledger, 2000 uncertainty samples, two threads', ledger.ours, { barMs: 10_000 });
await workers.close();

const folder = mkdtempSync(join(tmpdir(), 'bench-'));
try {
  const pulls = bench.manyPulls(join(folder, 'garage'), sheet, 5000);
  const looked = await race({ ours: pulls.look }, 15);
  line('5,000 pulls of a car, three conditions, sorted, a page', looked.ours, { barMs: 50 });
  pulls.close();

  const base = readFileSync(join(ROOT, 'data', 'demo', 'logs', 'wren-third-gear.csv'), 'utf8');
  // The one pull of the demo log lies from 5 s to 35 s.
  const logOf = (pulls) => bench.longer(base, { bytes: LOG_BYTES, pulls, pullFromS: 4.5, pullToS: 35.5 });
  const text = logOf(8);
  const path = join(folder, 'long.csv');
  writeFileSync(path, text);
  const bytes = readFileSync(path);
  const size = `${(bytes.byteLength / 1e6).toFixed(0)} MB`;
  const readers = await race({
    ours: () => bench.read(bytes),
    duckdb: () => bench.duckdb(path),
    udsv: () => bench.udsv(text),
  });
  const against = (peer, name) => `${(readers.ours / readers[peer]).toFixed(2)} x ${name} (${ms(readers[peer])})`;
  line(`log of ${size} read, recognised and cut up`, readers.ours, {
    note: `${against('duckdb', 'DuckDB read_csv')}, ${against('udsv', 'udsv typed columns')}`,
  });
  const driven = sheetOf('wren-as-driven.json');
  const review = await race({ ours: () => bench.review(bytes, driven) }, 3);
  line(`log of ${size} with 8 pulls reviewed with its build`, review.ours, { barMs: 3000 });
  const many = Buffer.from(logOf(80));
  const all = await race({ ours: () => bench.review(many, driven) }, 1);
  line(`log of ${size} with 80 pulls reviewed with its build`, all.ours);

  const hourPath = join(folder, 'hour.csv');
  const sheetPath = join(ROOT, 'data', 'demo', 'builds', 'wren-as-driven.json');
  writeFileSync(hourPath, bench.hourDrive(driven, HOUR));
  const hour = readFileSync(hourPath);
  const worker = pathToFileURL(join(core, 'powers-worker.mjs'));
  // The whole command in a process of its own: what a person waits for.
  const command = await race({
    ours: () => reviewInProcess(hourPath, sheetPath),
    node: () => inProcess('-e', '0'),
    duckdb: () => duckdbInProcess(hourPath),
  });
  line(`${HOUR_WORDS}: the command, with its start`, command.ours, { barMs: 2000 });
  ratios('    the same against peers with their start', command, {
    node: { name: 'Node starting', most: Number.POSITIVE_INFINITY },
    duckdb: { name: 'DuckDB reading the file', most: Number.POSITIVE_INFINITY },
  });
  const ahead = await race({ ours: () => bench.reviewAhead(hour, driven, worker) });
  line(`${HOUR_WORDS}: bytes to answer`, ahead.ours, { barMs: 2000 });
  const alone = await race({ ours: () => bench.review(hour, driven) }, 3);
  line(`${HOUR_WORDS}: in one thread`, alone.ours);

  const largePath = join(folder, 'large.csv');
  writeFileSync(largePath, bench.longer(base, { bytes: LARGE_LOG_BYTES, pulls: 80, pullFromS: 4.5, pullToS: 35.5 }));
  const large = readFileSync(largePath);
  const largeSize = `${(large.byteLength / 1e6).toFixed(0)} MB`;
  const largeText = large.toString('latin1');
  const swift = await race({ ours: () => bench.columns(large), duckdb: () => bench.duckdb(largePath) }, 3);
  const slow = await race({ papaparse: () => bench.papaparse(largeText), csvParse: () => bench.csvParse(large) }, 1);
  ratios(
    `log of ${largeSize} read into columns`,
    { ...swift, ...slow },
    {
      duckdb: { name: 'DuckDB read_csv', most: MOST_OF_DUCKDB },
      papaparse: { name: 'papaparse', least: LEAST_OF_PARSERS },
      csvParse: { name: 'csv-parse', least: LEAST_OF_PARSERS },
    },
  );
  const whole = await race({ ours: () => bench.read(large), duckdb: () => bench.duckdb(largePath) }, 3);
  ratios(`log of ${largeSize} read, recognised and cut up`, whole, {
    duckdb: { name: 'DuckDB read_csv', most: MOST_OF_DUCKDB },
  });
} finally {
  rmSync(folder, { recursive: true, force: true });
}

if (missed.length > 0) {
  process.stdout.write(`\nOver the bar: ${missed.join('; ')}\n`);
  process.exitCode = 1;
}
