// npm run bench:traces: a run of a million rows, panned and zoomed in Chromium without a graphics processor. Prints the gaps
// between frames, and what the main thread itself worked for each (which other programs on the machine disturb less).
import { spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { endWith, ensureBrowser, ensureBuild, ensureDependencies, ROOT } from './setup.mjs';

const FRAMES = 240;
const FRAME_MS = 1000 / 60;
const BUILD = 'wren-build-2';
/** A million rows of a clock and 55 channels: four of the drive's sixty columns less, so that the log stays under the 250 MB that one may have. */
const DRIVE = {
  lengthS: 10_000,
  rateHz: 100,
  pulls: 80,
  only: [...'ABCDEFGHIJKLMNPQRSTUVWXYZ', 'Oil', ...['1', '3', '4', '6', '7'].map((number) => `Own Channel ${number}`)],
};

const startServer = (garage) =>
  new Promise((ready, failed) => {
    const child = spawn(
      process.execPath,
      [join(ROOT, 'scripts', 'boostwright.mjs'), 'serve', '--port', '0', '--garage', garage],
      {
        stdio: ['ignore', 'pipe', 'inherit'],
      },
    );
    let said = '';
    child.stdout.on('data', (part) => {
      said += part;
      const address = /ready at (\S+)/.exec(said)?.[1];
      if (address) ready({ child, address: address.replace(/\/$/, '') });
    });
    child.on('exit', (code) => failed(new Error(`the server ended with ${code}`)));
  });

const seconds = (ms) => `${(ms / 1000).toFixed(1)} s`;
const say = (what, text) => process.stdout.write(`${what.padEnd(46)}${text}\n`);

const answerOf = async (response) => {
  const body = await response.json();
  if (!response.ok) throw new Error(body.says ?? `the server answered ${response.status}`);
  return body;
};

/** What happens in each frame, run in the page with `i`, the traces and a point on them. */
const wheel = (dx, dy, held) =>
  `traces.dispatchEvent(new WheelEvent('wheel', { deltaX: ${dx}, deltaY: ${dy}, ctrlKey: ${held}, clientX: x, clientY: y, bubbles: true, cancelable: true }));`;
const drag = (shift, step) =>
  `const send = (type) => traces.dispatchEvent(new PointerEvent(type, { pointerId: 1, pointerType: 'mouse', button: 0, shiftKey: ${shift}, clientX: x + ${step} * (i < ${FRAMES / 2} ? i : ${FRAMES} - i), clientY: y, bubbles: true }));
   traces.setPointerCapture = () => {};
   if (i === 0) send('pointerdown');
   send('pointermove');
   if (i === ${FRAMES - 1}) send('pointerup');`;

const framesOf = (page, act) =>
  page.evaluate(
    async ({ act, frames }) => {
      const step = new Function('i', 'traces', 'x', 'y', act);
      const traces = document.querySelector('.trs');
      const { left, top, width } = traces.querySelector('.tr-plot').getBoundingClientRect();
      const gaps = [];
      await new Promise((done) => {
        let last = 0;
        let i = 0;
        const frame = (now) => {
          if (last > 0) gaps.push(now - last);
          last = now;
          if (i >= frames) return done();
          step(i++, traces, left + 0.5 * width, top + 40);
          requestAnimationFrame(frame);
        };
        requestAnimationFrame(frame);
      });
      return gaps;
    },
    { act, frames: FRAMES },
  );

const measured = async (page, session, what, act) => {
  const taskS = async () =>
    (await session.send('Performance.getMetrics')).metrics.find(({ name }) => name === 'TaskDuration').value;
  const before = await taskS();
  const gaps = (await framesOf(page, act)).sort((a, b) => a - b);
  const workMs = ((await taskS()) - before) * (1000 / FRAMES);
  const at = (share) => gaps[Math.floor(share * (gaps.length - 1))].toFixed(1);
  const onTime = gaps.filter((gap) => gap < 1.1 * FRAME_MS).length / gaps.length;
  say(
    what,
    `gaps: half ${at(0.5)}, 95 % ${at(0.95)}, longest ${at(1)} ms; on time ${(100 * onTime).toFixed(0)} %; main thread ${workMs.toFixed(1)} ms a frame`,
  );
};

let core;
let chromium;
try {
  ensureDependencies();
  ({ core } = ensureBuild());
  const found = ensureBrowser();
  if (!found.path) throw new Error(found.problem);
  chromium = found.path;
} catch (error) {
  endWith(error);
}
const folder = mkdtempSync(join(tmpdir(), 'bench-traces-'));
let server;
let browser;
try {
  const bench = await import(pathToFileURL(join(core, 'bench.mjs')).href);
  const log = join(folder, 'million.csv');
  writeFileSync(
    log,
    bench.hourDrive(readFileSync(join(ROOT, 'data', 'demo', 'builds', 'wren-as-driven.json'), 'utf8'), DRIVE),
  );
  server = await startServer(join(folder, 'garage'));
  const form = new FormData();
  form.set('log', new Blob([readFileSync(log)]), 'million.csv');
  let from = performance.now();
  const { run } = await answerOf(
    await fetch(`${server.address}/api/cars/wren/runs?build=${BUILD}`, { method: 'POST', body: form }),
  );
  say('1,000,000 rows of 56 columns taken in', seconds(performance.now() - from));
  from = performance.now();
  await answerOf(
    await fetch(`${server.address}/api/runs/${run.id}/confirm`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ choices: [], remember: false }),
    }),
  );
  say('reviewed and kept', seconds(performance.now() - from));

  const { chromium: driver } = await import('playwright-core');
  browser = await driver.launch({
    executablePath: chromium,
    args: ['--no-sandbox', '--disable-gpu', '--no-first-run', '--disable-background-networking'],
  });
  const page = await browser.newPage({ viewport: { width: 1440, height: 900 } });
  page.setDefaultTimeout(120_000);
  // A run of the car's opened first, so that its list of runs is shown.
  await page.goto(`${server.address}/#/runs/wren-run-1`);
  await page.waitForSelector('.tr canvas');
  await page.goto(`${server.address}/#/runs`);
  const link = page.locator(`a[href$="${run.id}"]`).first();
  await link.waitFor();
  from = performance.now();
  await link.click();
  await page.waitForFunction(
    () => [...document.querySelectorAll('.tr .tv')].filter((one) => !one.textContent.startsWith('–')).length >= 5,
  );
  say('from the click on the run to its first readings', seconds(performance.now() - from));

  const session = await page.context().newCDPSession(page);
  // The thread's own clock: what other programs take from it does not count.
  await session.send('Performance.enable', { timeDomain: 'threadTicks' });
  const settle = () => page.waitForTimeout(1500);
  await settle();
  const there = FRAMES / 2;
  await measured(page, session, 'pull panned by wheel', wheel(`(i < ${there} ? 30 : -30)`, 0, false));
  await measured(page, session, 'pull zoomed out and in', wheel(0, `(i < ${there} ? 16 : -16)`, true));
  await page.getByRole('button', { name: 'Whole run' }).click();
  await settle();
  await measured(page, session, 'whole run zoomed in and out', wheel(0, `(i < ${there} ? -16 : 16)`, true));
  await page.getByRole('button', { name: 'Zoom in' }).click();
  await settle();
  await measured(page, session, 'most of the run panned by dragging', drag(true, 2));
  await measured(page, session, 'hairline dragged', drag(false, 2));
  await page.getByRole('button', { name: 'All traces' }).click();
  await settle();
  await measured(page, session, 'the same with all traces: panned by dragging', drag(true, 2));
} finally {
  await browser?.close();
  server?.child.removeAllListeners('exit').kill();
  rmSync(folder, { recursive: true, force: true });
}
