// npm run fuzz:logs -- [--minutes 10] [--from 1] [--most-mb 50]: seeded accidents into the log reader, watched from another process
// for crashes, hangs, slowness and memory. A find names its seed; the same seed makes the same input again.
import { fork } from 'node:child_process';
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { bundled } from './seeded-checks.mjs';
import { endWith, ensureDependencies, ROOT } from './setup.mjs';

/** One input may take this long on the clock [ms] before it counts as hung, and this much of the processor [ms], with more by the megabyte. Small inputs are read twice. */
const HUNG_MS = 120_000;
const SLOW_MS = 12_000;
const SLOW_MS_PER_MB = 600;
/** Most memory [bytes] for a file under 50 MB. */
const MOST_MEMORY = 1e9;
const LARGE_SHARE = 0.04;

const optionOf = (name, fallback) => {
  const at = process.argv.indexOf(`--${name}`);
  return at < 0 ? fallback : Number(process.argv[at + 1]);
};

const corpus = () => [
  ...['mdf4', 'parquet'].flatMap((room) => {
    const folder = join(ROOT, 'data', 'fixtures', room);
    return readdirSync(folder)
      .filter((name) => /\.(mf4|parquet)$/.test(name))
      .map((name) => new Uint8Array(readFileSync(join(folder, name))));
  }),
  ...readdirSync(join(ROOT, 'data', 'demo', 'logs')).map(
    (name) => new Uint8Array(readFileSync(join(ROOT, 'data', 'demo', 'logs', name))),
  ),
];

/** The process that reads: says each seed before it begins and what came of it. */
const read = async (program, from, mostBytes) => {
  const { checkReading, fuzzInput } = await import(program);
  const files = corpus();
  const small = Math.min(mostBytes, 400_000);
  for (let seed = from; ; seed += 1) {
    // A few inputs may grow to the full size; the others stay small, so that many are tried.
    const most = (seed * 2654435761) % 1000 < 1000 * LARGE_SHARE ? mostBytes : small;
    const { bytes, what } = fuzzInput(seed, files, most);
    process.send({ seed, what, size: bytes.length });
    const before = process.cpuUsage();
    let answer;
    let fault;
    try {
      answer = checkReading(bytes, seed);
    } catch (error) {
      fault = error instanceof Error ? (error.stack ?? error.message) : String(error);
    }
    const { user, system } = process.cpuUsage(before);
    globalThis.gc?.();
    await new Promise((done) =>
      process.send(
        { seed, answer, fault, cpuMs: (user + system) / 1e3, peak: process.resourceUsage().maxRSS * 1024 },
        done,
      ),
    );
  }
};

const build = async (folder) => {
  mkdirSync(folder, { recursive: true });
  return bundled('logs/fuzz-inputs.testing.ts', join(folder, 'fuzz.mjs'));
};

const watch = async () => {
  const endAt = performance.now() + optionOf('minutes', 10) * 60_000;
  const mostBytes = optionOf('most-mb', 50) * 1e6;
  const folder = mkdtempSync(join(tmpdir(), 'fuzz-'));
  const program = await build(folder);
  const finds = [];
  const counts = { inputs: 0, read: 0, refused: 0, bytes: 0, slowestMs: 0, slowest: '', largest: 0, peak: 0 };
  let seed = optionOf('from', 1);
  while (performance.now() < endAt) {
    // A fresh process after each find, and when its memory has peaked, so that the next peak is another input's own.
    seed = await new Promise((done) => {
      const child = fork(fileURLToPath(import.meta.url), ['--child', program, String(seed), String(mostBytes)], {
        execArgv: ['--expose-gc'],
      });
      let now = null;
      let begun = performance.now();
      let ended = false;
      const find = (kind, detail) => {
        finds.push({ kind, seed: now.seed, what: now.what, size: now.size, detail });
        process.stdout.write(`${kind}: seed ${now.seed} (${now.what}, ${now.size} bytes) ${detail}\n`);
      };
      const finish = (next) => {
        if (ended) return;
        ended = true;
        clearInterval(clock);
        child.kill('SIGKILL');
        done(next);
      };
      const clock = setInterval(() => {
        if (now && performance.now() - begun > HUNG_MS) {
          find('HUNG', `over ${HUNG_MS / 1000} s`);
          finish(now.seed + 1);
        } else if (performance.now() > endAt) finish((now?.seed ?? seed) + 1);
      }, 200);
      child.on('message', (said) => {
        if (ended) return;
        if ('what' in said) {
          now = said;
          begun = performance.now();
          return;
        }
        counts.inputs += 1;
        counts.bytes += now.size;
        counts.largest = Math.max(counts.largest, now.size);
        if (said.cpuMs > counts.slowestMs) {
          counts.slowestMs = said.cpuMs;
          counts.slowest = `seed ${now.seed}, ${(now.size / 1e6).toFixed(1)} MB`;
        }
        counts.peak = Math.max(counts.peak, said.peak);
        if (said.answer) counts[said.answer] += 1;
        if (said.fault) find('FAULT', said.fault);
        if (said.cpuMs > SLOW_MS + (SLOW_MS_PER_MB * now.size) / 1e6)
          find('SLOW', `${said.cpuMs.toFixed(0)} ms of the processor`);
        if (said.peak > MOST_MEMORY) {
          find('MEMORY', `${(said.peak / 1e6).toFixed(0)} MB`);
          finish(now.seed + 1);
        } else if (said.peak > 0.6 * MOST_MEMORY) finish(now.seed + 1);
      });
      child.on('exit', (code, signal) => {
        if (ended) return;
        if (now) find('CRASH', `the process ended (${signal ?? code})`);
        else process.stdout.write(`the reading process did not begin (${signal ?? code})\n`);
        finish((now?.seed ?? seed) + 1);
      });
    });
  }
  rmSync(folder, { recursive: true, force: true });
  process.stdout.write(
    `${counts.inputs} inputs, ${(counts.bytes / 1e6).toFixed(0)} MB in all, largest ${(counts.largest / 1e6).toFixed(1)} MB: ` +
      `${counts.read} read, ${counts.refused} refused with a sentence; slowest ${(counts.slowestMs / 1e3).toFixed(1)} s of the processor (${counts.slowest}), ` +
      `most memory of the process ${(counts.peak / 1e6).toFixed(0)} MB; seeds up to ${seed - 1}; ` +
      `${finds.length} ${finds.length === 1 ? 'find' : 'finds'}\n`,
  );
  process.exitCode = finds.length > 0 ? 1 : 0;
};

const child = process.argv.indexOf('--child');
if (child >= 0) await read(process.argv[child + 1], Number(process.argv[child + 2]), Number(process.argv[child + 3]));
else {
  try {
    ensureDependencies();
  } catch (error) {
    endWith(error);
  }
  await watch();
}
