// npm run check:logs -- [count] [first seed] [--json FILE]: random cars driven, logged in random styles, read and reviewed; see
// docs/scores.md, 'Random drives'. Prints what was right and wrong and ends with 1 on a crash or a number that is none.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { isMainThread, parentPort, workerData } from 'node:worker_threads';
import { bundled, overThreads } from './seeded-checks.mjs';
import { endWith, ensureDependencies } from './setup.mjs';

const work = async () => {
  const { judge } = await import(workerData.program);
  parentPort.on('message', (seed) => {
    try {
      parentPort.postMessage(judge(seed));
    } catch (error) {
      parentPort.postMessage({ seed, thrown: error instanceof Error ? (error.stack ?? error.message) : String(error) });
    }
  });
};

const middle = (values) => [...values].sort((a, b) => a - b)[Math.floor(values.length / 2)] ?? Number.NaN;
const share = (part, whole) => (whole > 0 ? `${((100 * part) / whole).toFixed(1)} %` : '-');

/** The text of all verdicts. */
const summary = (verdicts) => {
  const lines = [];
  const sum = (of, read) => of.reduce((total, one) => total + read(one), 0);
  const clean = verdicts.filter(({ fault }) => fault === null);
  const alarmed = (of) => of.filter(({ alarms }) => alarms.length > 0).length;
  lines.push(
    `${verdicts.length} drives: ${clean.length} without a fault, ${alarmed(clean)} of them with an alarm; with a fault ${verdicts.length - clean.length}, ${alarmed(verdicts) - alarmed(clean)} with an alarm that it does not explain`,
  );
  const table = {};
  const row = (id) => {
    table[id] ??= { must: 0, found: 0, alarms: 0 };
    return table[id];
  };
  for (const { must, found, alarms } of verdicts) {
    for (const id of must) row(id).must++;
    for (const id of found) row(id).found++;
    for (const id of new Set(alarms.map((one) => one.id))) row(id).alarms++;
  }
  const all = Object.values(table);
  lines.push(`faults found ${sum(all, (one) => one.found)} of ${sum(all, (one) => one.must)}`);
  for (const [id, { must, found, alarms }] of Object.entries(table).sort()) {
    lines.push(
      `  ${id.padEnd(24)} found ${found} of ${must}${alarms > 0 ? `, drives with a false one ${alarms}` : ''}`,
    );
  }
  const edges = verdicts.flatMap(({ pulls }) => pulls.edgesS);
  const pulls = (key) => sum(verdicts, (one) => one.pulls[key]);
  const gears = (key) => sum(verdicts, (one) => one.gears[key]);
  lines.push(
    `pulls found ${pulls('found')} of ${pulls('true')}, extra ${pulls('extra')}; edges ${middle(edges).toFixed(3)} s (median); gears right ${pulls('gearsRight')}`,
    `moments in gear, with a build sheet: right ${gears('right')}, wrong ${gears('wrong')} (${share(gears('wrong'), gears('right') + gears('wrong') + gears('untold'))}), not told ${gears('untold')}`,
  );
  const columns = sum(verdicts, (one) => one.columns.all);
  const misread = sum(verdicts, (one) => one.columns.misread.length);
  const unknown = sum(verdicts, (one) => one.columns.unknown.length);
  lines.push(
    `columns ${columns}: misread ${misread} (${share(misread, columns)}), not recognised ${unknown}; questions ${sum(verdicts, (one) => one.columns.asked)}`,
  );
  const power = verdicts.flatMap((one) => one.power);
  if (power.length > 0) {
    const errors = power.map(({ error }) => error);
    lines.push(
      `power, full sheet and no fault: ${share(power.filter(({ inside }) => inside).length, power.length)} of ${power.length} bins inside p10-p90, median error ${(100 * middle(errors.map(Math.abs))).toFixed(1)} %, bias ${(100 * middle(errors)).toFixed(1)} %`,
    );
  }
  return lines.join('\n');
};

/** What is wrong with one drive, line by line; nothing where all is right. */
const complaints = (one) => {
  if (one.thrown) return [`THROWN ${one.thrown}`];
  const out = one.alarms.map(({ id, confidence, says }) => `alarm ${id} ${confidence.toFixed(2)}: ${says}`);
  for (const id of one.must) if (!one.found.includes(id)) out.push(`missed ${id}`);
  if (one.pulls.found < one.pulls.true) out.push(`pulls ${one.pulls.found} of ${one.pulls.true}`);
  if (one.pulls.extra > 0) out.push(`pulls too many: ${one.pulls.extra}`);
  if (one.pulls.gearsRight < one.pulls.found)
    out.push(`gears right in ${one.pulls.gearsRight} of ${one.pulls.found} pulls`);
  for (const { channel, column, as } of one.columns.misread) out.push(`misread ${channel} "${column}" as ${as}`);
  for (const column of one.columns.unknown) out.push(`unknown ${column}`);
  for (const fault of one.faults) out.push(`FAULT ${fault}`);
  return out;
};

const lead = async () => {
  ensureDependencies();
  const place = process.argv.indexOf('--json');
  const json = place > 0 ? process.argv[place + 1] : null;
  const numbers = process.argv.slice(2, place > 0 ? place : undefined);
  const [count = 200, first = 1] = numbers.map(Number);
  if (!(Number.isInteger(count) && count > 0 && Number.isInteger(first))) {
    process.stderr.write('Give a count of drives and a first seed, like "npm run check:logs -- 200 1".\n');
    process.exit(2);
  }
  const folder = mkdtempSync(join(tmpdir(), 'check-logs-'));
  const program = await bundled('review/random-drives/judge.testing.ts', join(folder, 'random-drives.mjs'));
  const verdicts = [];
  let next = first;
  const start = performance.now();
  process.once('SIGINT', () => {
    next = first + count;
  });
  const heard = (verdict) => {
    verdicts.push(verdict);
    const lines = complaints(verdict);
    if (lines.length === 0) return;
    const { seed, about = '', sheet = '', fault = null } = verdict;
    process.stdout.write(
      `seed ${seed} (${about}, sheet: ${sheet}, ${fault ? `${fault.id} ${fault.size.toFixed(2)}` : 'no fault'})\n${lines.map((line) => `  ${line}\n`).join('')}`,
    );
  };
  try {
    await overThreads(import.meta.url, program, () => (next < first + count ? next++ : undefined), heard);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
  verdicts.sort((a, b) => a.seed - b.seed);
  if (json) writeFileSync(json, JSON.stringify(verdicts));
  const whole = verdicts.filter(({ thrown }) => !thrown);
  process.stdout.write(
    `${summary(whole)}\n${verdicts.length - whole.length} thrown; seeds from ${first}, ${((performance.now() - start) / 1000).toFixed(0)} s\n`,
  );
  process.exitCode = verdicts.some(({ thrown, faults }) => thrown || faults.length > 0) ? 1 : 0;
};

if (isMainThread) await lead().catch(endWith);
else await work();
