/**
 * The main job in a browser, on a server started as its owner starts it: see what the build will do, see what gives out
 * first, drop a log in, confirm its channels, open a finding. Every sheet is scanned by axe (WCAG 2.2 A and AA).
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { type Browser, type BrowserContext, chromium, type Page } from 'playwright-core';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const CHROMIUM = [process.env.CHROMIUM_PATH, '/usr/bin/chromium', '/usr/bin/chromium-browser'].find(
  (path) => path !== undefined && existsSync(path),
);
const REQUIRED = process.env.BROWSER_REQUIRED === '1';
const PATIENCE_MS = 120_000;

test('a browser is there, or it is said that there is none', () => {
  if (CHROMIUM === undefined) {
    console.log(`not run: browser tests: ${process.env.NO_CHROMIUM ?? 'no Chromium was found; set CHROMIUM_PATH'}`);
  }
  expect(REQUIRED && CHROMIUM === undefined).toBe(false);
});

/** Starts the server as "npm start" does and waits for its address. */
const startServer = (garage: string): Promise<{ child: ChildProcess; address: string }> =>
  new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [join(ROOT, 'scripts', 'start.mjs')], {
      cwd: ROOT,
      env: { ...process.env, PORT: '0', BOOSTWRIGHT_GARAGE: garage },
    });
    let out = '';
    let err = '';
    child.stderr.on('data', (part) => {
      err += part;
    });
    child.stdout.on('data', (part) => {
      out += part;
      const [address] = /http:\/\/127\.0\.0\.1:\d+\//.exec(out) ?? [];
      if (address) resolve({ child, address });
    });
    child.on('exit', (code) => reject(new Error(`the server ended (${code}): ${err}`)));
  });

const axe = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'];

/** Rules of axe that a theme decides: the others look at the page's structure, which is the same in light and dark. */
const OF_COLOUR = ['color-contrast', 'link-in-text-block'];

/** What axe finds on the page as it stands, one line each; with `rules`, what those alone find. */
const accessFaults = async (page: Page, rules?: readonly string[]): Promise<string[]> => {
  // Evaluated, not added as a script: the page's own policy would rightly refuse that.
  await page.evaluate(axe);
  const runOnly = rules ? { type: 'rule', values: [...rules] } : { type: 'tag', values: TAGS };
  return page.evaluate(async (runOnly) => {
    const { axe } = globalThis as unknown as {
      axe: {
        run: (
          where: Document,
          options: object,
        ) => Promise<{ violations: { id: string; help: string; nodes: { html: string }[] }[] }>;
      };
    };
    const { violations } = await axe.run(document, { runOnly });
    return violations.map(
      ({ id, help, nodes }) => `${id}: ${help}: ${nodes.map(({ html }) => html.slice(0, 120)).join(' | ')}`,
    );
  }, runOnly);
};

describe.runIf(CHROMIUM !== undefined)('the main job', () => {
  let folder = '';
  let child: ChildProcess;
  let address = '';
  let browser: Browser;
  let context: BrowserContext;
  let page: Page;
  let troubles: string[] = [];

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'browser-'));
    ({ child, address } = await startServer(join(folder, 'garage')));
    browser = await chromium.launch({
      executablePath: CHROMIUM ?? '',
      args: [
        '--no-sandbox',
        '--disable-gpu',
        '--disable-quic',
        '--no-first-run',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
      ],
    });
  }, 400_000);
  afterAll(async () => {
    await browser?.close();
    child?.kill('SIGTERM');
    rmSync(folder, { recursive: true, force: true });
  });

  const open = async (options: Parameters<Browser['newContext']>[0], where = '') => {
    context = await browser.newContext(options);
    page = await context.newPage();
    page.setDefaultTimeout(PATIENCE_MS);
    page.on('console', (message) => {
      if (message.type() === 'error') troubles.push(`console: ${message.text()}`);
    });
    page.on('pageerror', (error) => troubles.push(`page: ${error.message}`));
    page.on('request', (request) => {
      const url = request.url();
      if (!url.startsWith(address) && !url.startsWith('data:') && !url.startsWith('blob:'))
        troubles.push(`outside: ${url}`);
    });
    await page.goto(address + where);
  };
  beforeEach(() => {
    troubles = [];
  });
  afterEach(async () => {
    await context?.close();
    expect(troubles).toEqual([]);
  });

  /** On a phone some sheets have a shorter name; a number may stand before either. */
  const SHORT: Readonly<Record<string, string>> = { Compressor: 'Map', 'Build sheet': 'Build' };
  const sheet = (name: string) =>
    page
      .getByRole('navigation', { name: 'Sheets' })
      .getByRole('link', { name: new RegExp(`^([0-9] )?(${name}|${SHORT[name] ?? name})$`) });
  const speed = () => page.getByRole('slider', { name: 'Engine speed' }).first();

  /** A log of the demo garage, made a file of its own by one more line break at its end. */
  const freshLog = (name: string, as: string): string => {
    const path = join(folder, as);
    writeFileSync(path, Buffer.concat([readFileSync(join(ROOT, 'data', 'demo', 'logs', name)), Buffer.from('\r\n')]));
    return path;
  };

  test('from the numbers of the build to a finding in a log', { timeout: 600_000 }, async () => {
    await open({ viewport: { width: 1440, height: 900 } });

    // What the build will do: the hairline moves and the readings follow.
    await speed().waitFor();
    const before = await speed().getAttribute('aria-valuetext');
    await speed().focus();
    await page.keyboard.press('Home');
    for (let i = 0; i < 3; i += 1) await page.keyboard.press('PageUp');
    await expect.poll(() => speed().getAttribute('aria-valuetext')).not.toBe(before);
    const text = await page.locator('main').textContent();
    expect(text).toMatch(/kW|hp/);
    expect(await accessFaults(page)).toEqual([]);

    // Which part gives out first.
    await sheet('Headroom').click();
    await page
      .getByRole('region', { name: 'Ledger of parts' })
      .or(page.getByLabel('Ledger of parts'))
      .first()
      .waitFor();
    expect(await page.locator('main').textContent()).toMatch(/injectors|turbine temperature|tyres/i);
    expect(await accessFaults(page)).toEqual([]);

    await sheet('Compressor').click();
    await page.getByLabel('Readings and what the map says').waitFor();
    expect(await accessFaults(page)).toEqual([]);

    // A log dropped in, its channels confirmed.
    await sheet('Runs').click();
    await page.getByLabel('Runs', { exact: true }).first().waitFor();
    expect(await accessFaults(page)).toEqual([]);
    await page.getByLabel('Log file').setInputFiles(freshLog('otter-second-third.csv', 'tonight.csv'));
    await page.getByRole('button', { name: 'Review this run' }).waitFor();
    expect(await page.getByLabel(/^Channel of column/).count()).toBeGreaterThan(8);
    expect(await accessFaults(page)).toEqual([]);
    await page.getByRole('button', { name: 'Review this run' }).click();

    // A finding opened: its stretch of the traces is shown.
    const findings = page.getByRole('complementary', { name: 'Findings and power' });
    await findings.waitFor();
    const first = findings.getByRole('listitem').getByRole('button').first();
    await first.click();
    expect(await first.getAttribute('aria-pressed')).toBe('true');
    expect(await findings.textContent()).toMatch(/Source:/);
    await page.getByLabel('Traces').first().waitFor();
    const time = page.getByRole('slider', { name: /^Time/ }).first();
    const shown = Number(await time.getAttribute('aria-valuenow'));
    expect(Number.isFinite(shown)).toBe(true);
    expect(await accessFaults(page)).toEqual([]);

    // It is in the list, and it stays after a reload.
    await sheet('Runs').click();
    await page.getByRole('link', { name: /tonight\.csv/ }).waitFor();
    await page.reload();
    await page.getByRole('link', { name: /tonight\.csv/ }).waitFor();
  });

  test('a change of parts: two builds compared, parts found for a power and saved as a plan', {
    timeout: 600_000,
  }, async () => {
    await open({ viewport: { width: 1440, height: 900 } }, '#/lift');
    // The small car: few parts to try.
    await page.getByRole('button', { name: /Car and build/ }).click();
    await page.getByRole('button', { name: /1\.6 hatchback, as driven/ }).click();
    await page.getByLabel('Parts before and after').waitFor();
    expect(await page.locator('main').textContent()).toMatch(/before the first part gives out|nothing is gained/);
    expect(await accessFaults(page)).toEqual([]);

    await page.getByRole('link', { name: 'Parts for a power' }).click();
    await page.getByLabel('Parts that could be bought').waitFor();
    expect(await accessFaults(page)).toEqual([]);
    await page.getByLabel(/^Power to reach/).fill('166');
    await page.getByRole('button', { name: 'Find parts' }).click();
    const set = page.getByLabel('Chosen set of parts');
    await set.waitFor();
    expect(await set.textContent()).toMatch(/cc\/min|front core/);
    expect(await accessFaults(page)).toEqual([]);

    // The hairline asks for more power: the set follows, without another search.
    const power = page.getByRole('slider', { name: 'Power to reach' });
    const before = await power.getAttribute('aria-valuetext');
    await power.focus();
    await page.keyboard.press('PageUp');
    await expect.poll(() => power.getAttribute('aria-valuetext')).not.toBe(before);

    // Another price, kept with the car.
    await page.getByLabel(/^Price of 440 cc\/min/).fill('199');
    await page.getByRole('button', { name: 'Keep these parts and prices' }).click();
    await expect.poll(() => page.getByLabel(/^Price of 440 cc\/min/).inputValue()).toBe('199');

    await page.getByRole('button', { name: 'Save as a planned build and compare' }).click();
    await page.getByLabel('Parts before and after').waitFor();
    expect(await page.getByRole('combobox', { name: 'After' }).locator('option:checked').textContent()).toMatch(
      /^Plan: .*\(planned\)$/,
    );
    await page.keyboard.press('v');
    await page.getByLabel('The comparison as a table').waitFor();
    expect(await accessFaults(page)).toEqual([]);
  });

  test('spool: a logged pull over the predicted one, the hairline moved by keys, another gear, the table', {
    timeout: 300_000,
  }, async () => {
    await open({ viewport: { width: 1440, height: 900 } }, '#/spool');
    const time = page.getByRole('slider', { name: 'Time from the pedal' });
    await time.waitFor();
    expect(await page.locator('main .lead').textContent()).toMatch(/gear from .* boost is there after .* s, at/);
    const before = await time.getAttribute('aria-valuetext');
    expect(before).toMatch(/boost .* predicted, .* logged/);
    await time.focus();
    await page.keyboard.press('ArrowRight');
    await expect.poll(() => time.getAttribute('aria-valuetext')).not.toBe(before);
    expect(await accessFaults(page)).toEqual([]);
    await page.getByRole('combobox', { name: 'Gear' }).selectOption('4');
    await page.getByText(/^In fourth gear/).waitFor();
    await page.keyboard.press('v');
    await page.getByLabel('The pull over time').waitFor();
    expect(await accessFaults(page)).toEqual([]);
  });

  test('a compressor map from a file: asked for its reference air, drawn with its fit, saved as a new build', {
    timeout: 300_000,
  }, async () => {
    await open({ viewport: { width: 1440, height: 900 } }, '#/compressor');
    await page.getByRole('button', { name: 'Map from a file' }).click();
    const dialog = page.getByRole('dialog', { name: 'A compressor map from a file' });
    const traced = readFileSync(join(ROOT, 'data', 'demo', 'maps', 'otter-traced.csv'), 'utf8');
    const path = join(folder, 'traced.csv');
    writeFileSync(path, traced.replace(/^# reference.*\n/gm, ''));
    await dialog.getByLabel('Compressor map file').setInputFiles(path);
    const reference = dialog.getByLabel(/^Air to which flow and speed are corrected/);
    await reference.waitFor();
    expect(await accessFaults(page)).toEqual([]);
    expect(await dialog.getByRole('button', { name: 'Save as a new build' }).count()).toBe(0);
    await reference.selectOption('25 degC, 100 kPa');
    await dialog.getByRole('img', { name: /^The map as read: 7 speed lines through 63 points/ }).waitFor();
    expect(await dialog.textContent()).toMatch(/Line \d+ \(look at it\): lies \d\.\d % of pressure ratio above/);
    expect(await accessFaults(page)).toEqual([]);
    await dialog.getByLabel('Name of the new build').fill('Traced map');
    await dialog.getByRole('button', { name: 'Save as a new build' }).click();
    await dialog.waitFor({ state: 'hidden' });
    await expect
      .poll(() => page.getByRole('button', { name: /Car and build/ }).textContent(), { timeout: PATIENCE_MS })
      .toMatch(/Traced map/);
    await expect
      .poll(() => page.getByLabel('Readings and what the map says').textContent(), { timeout: PATIENCE_MS })
      .toMatch(/63 points on 7 speed lines/);
    expect(await accessFaults(page)).toEqual([]);
  });

  test('two runs ticked and compared; pulls of all runs found by a condition, by keyboard', {
    timeout: 300_000,
  }, async () => {
    await open({ viewport: { width: 1440, height: 900 } }, '#/runs');
    await page.getByLabel('Compare otter-second-third.csv').check();
    await page.getByLabel('Compare otter-warm-evening.csv').check();
    await page.getByRole('button', { name: 'Compare two runs' }).click();
    await page.getByText(/^Run B makes \d+ ±\d+ kW less than Run A at \d,\d{3} rpm/).waitFor();
    const side = page.getByLabel('The two pulls');
    expect(await side.textContent()).toMatch(/What accounts for it at/);
    expect(await accessFaults(page)).toEqual([]);
    // The hairline moves by keyboard and says the difference.
    await speed().focus();
    await page.keyboard.press('End');
    const atEnd = await speed().getAttribute('aria-valuetext');
    for (let i = 0; i < 2; i += 1) await page.keyboard.press('PageDown');
    await expect.poll(() => speed().getAttribute('aria-valuetext')).not.toBe(atEnd);
    expect(await speed().getAttribute('aria-valuetext')).toMatch(/rpm: B less A [−+]?\d+ ±\d+ kW/);
    // The table says what the drawing shows, in either air.
    const table = page.getByLabel('By engine speed');
    const row = () => table.getByRole('row', { name: /^5,000/ }).textContent();
    const asMeasured = await row();
    await page.getByLabel('corrected to the same air (SAE J1349)').check();
    await expect.poll(row).not.toBe(asMeasured);
    await page.getByRole('combobox', { name: 'Gear', exact: true }).selectOption('3');
    await expect.poll(() => table.textContent()).toMatch(/in gear 3/);
    expect(await accessFaults(page)).toEqual([]);

    await sheet('Runs').click();
    await page.getByRole('link', { name: 'All pulls of this car' }).click();
    await page.getByText(/^\d+ pulls of this car\.$/).waitFor();
    expect(await accessFaults(page)).toEqual([]);
    await page.getByRole('button', { name: 'Add a condition' }).click();
    await page.getByLabel('Condition 1: what').selectOption('Knock retard');
    expect(await page.getByRole('button', { name: 'Find pulls' }).isDisabled()).toBe(true);
    await page.getByLabel(/^Condition 1, °/).fill('5');
    await page.keyboard.press('Enter');
    await page.getByText(/^1 of \d+ pulls fits\.$/).waitFor();
    // What was asked for stays in the address: it is there again after a reload.
    await page.reload();
    await page.getByText(/^1 of \d+ pulls fits\.$/).waitFor();
    expect(await page.getByLabel(/^Condition 1, °/).inputValue()).toBe('5');
    await page.getByRole('button', { name: /^Power, kW/ }).click();
    await expect
      .poll(() => page.getByRole('columnheader', { name: /^Power, kW/ }).getAttribute('aria-sort'))
      .toBe('descending');
    expect(await accessFaults(page)).toEqual([]);
    // A row leads to its run at the pull.
    await page.getByRole('link', { name: 'otter-warm-evening.csv, pull 1' }).click();
    await page.getByRole('complementary', { name: 'Findings and power' }).waitFor();
    expect(page.url()).toMatch(/#\/runs\/otter-run-\d+\/1$/);
    expect(await page.getByRole('button', { name: /^Pull 1,/ }).getAttribute('aria-pressed')).toBe('true');
  });

  test('the cylinder at an engine speed, and numbers moved with the answer at once', { timeout: 300_000 }, async () => {
    await open({ viewport: { width: 1440, height: 900 } }, '#/cylinder');
    const angle = page.getByRole('slider', { name: 'Crank angle' });
    await angle.waitFor();
    expect(await page.locator('main').textContent()).toMatch(/before knock|knock is expected/);
    const early = await angle.getAttribute('aria-valuetext');
    await angle.focus();
    await page.keyboard.press('Home');
    await expect.poll(() => angle.getAttribute('aria-valuetext')).not.toBe(early);
    expect(await angle.getAttribute('aria-valuetext')).toMatch(/before top dead centre: .*burned 0 %/);
    // Another engine speed is asked for, and the sentence follows.
    const said = await page.locator('.lead').textContent();
    await page.getByRole('button', { name: '100 rpm more' }).click();
    await expect.poll(() => page.locator('.lead').textContent()).not.toBe(said);
    expect(await accessFaults(page)).toEqual([]);
    await page.keyboard.press('v');
    await page.getByText('Over crank angle, after top dead centre').waitFor();
    expect(await accessFaults(page)).toEqual([]);
    await page.keyboard.press('v');

    await sheet('What if').click();
    const boost = page.getByRole('slider', { name: 'Boost target, moved by' });
    await boost.waitFor();
    expect(await page.locator('.lead').textContent()).toMatch(/^As on the sheet/);
    await boost.focus();
    for (let i = 0; i < 5; i += 1) await page.keyboard.press('ArrowRight');
    expect(await page.locator('.lead').textContent()).toMatch(/more than now/);
    expect(await accessFaults(page)).toEqual([]);
    await page.getByRole('button', { name: 'Boost target, moved by: as on the sheet' }).click();
    await expect.poll(() => page.locator('.lead').textContent()).toMatch(/^As on the sheet/);
    // Kept: the planned build is in the garage and is the one shown.
    await boost.focus();
    await page.keyboard.press('ArrowRight');
    await page.getByLabel('Name of the planned build').fill('a little more');
    await page.getByRole('button', { name: 'Keep as a planned build' }).click();
    await expect.poll(() => page.evaluate(() => location.hash)).toBe('#/headroom');
    await page.getByText('a little more').first().waitFor();
  });

  test('a car made from a dozen numbers by keyboard, its injectors changed into a new build, the old one stays', {
    timeout: 600_000,
  }, async () => {
    await open({ viewport: { width: 1440, height: 900 } }, '#/build');
    const { keyboard } = page;
    /** Steps on with the Tab key until the field of that name has the focus. */
    const tabTo = async (name: string) => {
      for (let i = 0; i < 60; i += 1) {
        const own = await page.evaluate(() => {
          const at = document.activeElement;
          const labels =
            at instanceof HTMLInputElement || at instanceof HTMLSelectElement ? [...(at.labels ?? [])] : [];
          const label =
            at?.getAttribute('aria-label') ?? labels.map(({ textContent }) => textContent?.trim()).join(' ');
          return label === '' ? (at?.textContent?.trim() ?? '') : label;
        });
        if (own === name) return;
        await keyboard.press('Tab');
      }
      throw new Error(`no field called "${name}" was reached`);
    };
    const type = async (name: string, text: string) => {
      await tabTo(name);
      await keyboard.type(text);
    };

    await page.getByRole('link', { name: 'Add another car' }).focus();
    await keyboard.press('Enter');
    await page.getByText('A dozen numbers make a car').waitFor();
    expect(await accessFaults(page)).toEqual([]);

    // Saved too early: everything missing is listed, and what was typed stays.
    await page.getByLabel('Name of the car').focus();
    await keyboard.type('Grey Estate');
    await keyboard.press('Enter');
    const missing = page.getByRole('alert');
    await missing.waitFor();
    expect(await missing.textContent()).toMatch(/15 things are missing/);
    expect(await accessFaults(page)).toEqual([]);
    await tabTo('Displacement');
    await keyboard.press('Enter');
    await type('Displacement', '1598');
    await type('Cylinders', '4');
    await type('Compression ratio', '9,5');
    await type('Rev limit', '6900');
    // Kept over a reload.
    await page.reload();
    await page.getByLabel('Displacement', { exact: true }).waitFor();
    expect(await page.getByLabel('Displacement', { exact: true }).inputValue()).toBe('1598');
    expect(await page.getByLabel('Cylinders').inputValue()).toBe('4');
    await page.getByLabel('Rev limit', { exact: true }).focus();
    await type('Compressor wheel, where the air enters', '36.5');
    await type('Compressor wheel, largest diameter', '49');
    await type('Boost target', '0.95');
    await type('Fuel', 'petrol');
    await type('Octane, RON', '98');
    await type('Flow of one injector', '330');
    await type('Flow of the fuel pump', '105');
    await type('Mass of the car', '1270');
    await type('Driven wheels', 'front');
    await tabTo('Ratio, row 1');
    // Gears as they are copied from a spreadsheet.
    await page.evaluate(() => {
      const transfer = new DataTransfer();
      transfer.setData('text/plain', 'gear\n3.31\n1.95\n1.36\n1.03\n0.84\n0.7');
      document.activeElement?.dispatchEvent(new ClipboardEvent('paste', { clipboardData: transfer, bubbles: true }));
    });
    await expect.poll(() => page.getByLabel(/^Ratio, row/).count()).toBe(6);
    await type('Final drive ratio', '3.65');
    await type('Size of the driven tyres', '205/45R17');
    await page.getByText(/numbers by engine class, until you measure them/).waitFor();
    expect(await accessFaults(page)).toEqual([]);
    await tabTo('Save the car');
    await keyboard.press('Enter');
    await speed().waitFor();
    expect(await page.evaluate(() => location.hash)).toBe('#/');
    const shown = () => page.getByRole('button', { name: /Car and build/ }).textContent();
    expect(await shown()).toMatch(/Grey Estate.*As it stands/);

    // Larger injectors, on the same car.
    await sheet('Build sheet').click();
    const injectors = page.getByRole('button', { name: 'Change: One injector held open, at the reference pressure' });
    await injectors.focus();
    await keyboard.press('Enter');
    const dialog = page.getByRole('dialog', { name: 'Change: injector flow' });
    await dialog.waitFor();
    expect(await accessFaults(page)).toEqual([]);
    await keyboard.press('ControlOrMeta+a');
    await keyboard.type('440');
    await keyboard.press('Enter');
    await dialog.waitFor({ state: 'hidden' });
    const changes = page.getByRole('region', { name: 'Changes' });
    expect(await changes.textContent()).toMatch(/330 cc\/min → 440 cc\/min/);
    await changes.getByText(/^First to give out/).waitFor();
    expect(await changes.textContent()).toMatch(/Peak power: \d+ → \d+ kW/);
    expect(await accessFaults(page)).toEqual([]);

    // Meanwhile another window saves its own change: this one is told so, keeps what was typed, and saves on top of it.
    const other = await page.evaluate(async () => {
      const sheet = (await (await fetch('/api/builds/grey-estate-build-1')).json()).sheet;
      sheet.body.mass.value = 1240;
      const answer = await fetch('/api/cars/grey-estate/builds', {
        method: 'POST',
        headers: { 'content-type': 'application/json' },
        body: JSON.stringify({ label: 'Lighter', planned: false, parentId: 'grey-estate-build-1', sheet }),
      });
      return answer.status;
    });
    expect(other).toBe(201);
    await changes.getByRole('button', { name: 'Save as a new build' }).click();
    const stale = changes.getByRole('alert');
    await stale.waitFor();
    expect(await stale.textContent()).toMatch(/"Lighter" was saved for this car after this sheet was opened/);
    expect(await accessFaults(page)).toEqual([]);
    troubles = troubles.filter((text) => !/status of 409/.test(text));
    await stale.getByRole('button', { name: 'Put my changes on “Lighter”' }).click();
    await expect.poll(shown).toMatch(/Lighter/);
    expect(await changes.textContent()).toMatch(/330 cc\/min → 440 cc\/min/);
    await changes.getByRole('button', { name: 'Save as a new build' }).click();
    await page.getByText('Saved as “Injector flow 440 cc/min”. “Lighter” stays as it was.').waitFor();
    const builds = page.getByRole('region', { name: 'Builds of this car' });
    expect(await builds.getByRole('listitem').allTextContents()).toEqual([
      expect.stringMatching(/^Injector flow 440 cc\/min/),
      expect.stringMatching(/^Lighter/),
      expect.stringMatching(/^As it stands/),
    ]);
    await builds.getByRole('button', { name: /^As it stands/ }).click();
    await expect.poll(shown).toMatch(/As it stands/);
    await expect
      .poll(() => injectors.locator('xpath=ancestor::tr').textContent(), { timeout: PATIENCE_MS })
      .toMatch(/330\s*cc\/min/);
  });

  test('a log without a car: reviewed, with what a build sheet would add; nothing is kept', {
    timeout: 300_000,
  }, async () => {
    await open({ viewport: { width: 1440, height: 900 } }, '#/runs');
    await page.getByRole('link', { name: 'read it without a car' }).click();
    await page.getByText('Drop a log here').waitFor();
    expect(await accessFaults(page)).toEqual([]);
    await page.getByLabel('Log file').setInputFiles(join(ROOT, 'data', 'demo', 'logs', 'otter-second-third.csv'));
    await page.getByRole('button', { name: 'Review this run' }).click();
    const adds = page.getByRole('region', { name: 'What a build sheet would add' });
    await adds.waitFor();
    expect(await adds.textContent()).toMatch(/prediction beside every pull.*needs displacement/);
    expect(await page.getByRole('complementary', { name: 'Findings and power' }).textContent()).toMatch(/Next/);
    expect(await accessFaults(page)).toEqual([]);
    await adds.getByRole('link', { name: 'Add the car' }).click();
    await page.getByText('A dozen numbers make a car').waitFor();
    // It waits, and can be brought in for a car that is there.
    await sheet('Runs').click();
    await page.getByRole('button', { name: /^Bring in otter-second-third\.csv/ }).waitFor();
  });

  test('a dropped picture is refused in words, and nothing is kept', { timeout: 300_000 }, async () => {
    await open({ viewport: { width: 1440, height: 900 } }, '#/runs');
    await page.getByText('Drop a log here').waitFor();
    const data = await page.evaluateHandle(() => {
      const transfer = new DataTransfer();
      const bytes = Uint8Array.from([
        0x89,
        0x50,
        0x4e,
        0x47,
        0x0d,
        0x0a,
        0x1a,
        0x0a,
        ...Array.from({ length: 3000 }, (_, i) => (i * 7) & 255),
      ]);
      transfer.items.add(new File([bytes], 'picture.csv', { type: 'text/csv' }));
      return transfer;
    });
    await page.getByText('Drop a log here').dispatchEvent('drop', { dataTransfer: data });
    const alert = page.getByRole('alert');
    await alert.waitFor();
    expect(await alert.textContent()).toMatch(/picture\.csv/);
    expect(await page.getByRole('link', { name: /picture\.csv/ }).count()).toBe(0);
    // The browser itself notes every refused call on its console.
    troubles = troubles.filter((text) => !/status of 400/.test(text));
  });

  test.each([
    ['light', 390, 844],
    ['dark', 390, 844],
    ['dark', 1440, 900],
  ] as const)(
    'every sheet stands in %s at %d px, without a fault of access or a sideways scroll',
    { timeout: 600_000 },
    async (colorScheme, width, height) => {
      await open({ viewport: { width, height }, colorScheme, hasTouch: width < 700 });
      // All rules at either width once; the phone in the dark has nothing new but its colours.
      const rules = colorScheme === 'dark' && width < 700 ? OF_COLOUR : undefined;
      for (const name of ['Air path', 'Headroom', 'Lift', 'Runs', 'Compressor', 'Fuel', 'Build sheet']) {
        await sheet(name).click();
        await page.getByRole('main').waitFor();
        await page.waitForLoadState('networkidle');
        expect({ name, faults: await accessFaults(page, rules) }).toEqual({ name, faults: [] });
        const over = await page.evaluate(
          () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
        );
        expect({ name, over }).toEqual({ name, over: 0 });
      }
      for (const where of ['#/pulls', '#/compare/otter-run-2/otter-run-3', '#/new-car', '#/loose-log']) {
        await page.goto(address + where);
        await page
          .getByText(/pulls of this car|than Run A|A dozen numbers make|Drop a log here/)
          .first()
          .waitFor();
        await page.waitForLoadState('networkidle');
        expect({ where, faults: await accessFaults(page, rules) }).toEqual({ where, faults: [] });
        const over = await page.evaluate(
          () => document.documentElement.scrollWidth - document.documentElement.clientWidth,
        );
        expect({ where, over }).toEqual({ where, over: 0 });
      }
      await sheet('Runs').click();
      await page
        .getByRole('link', { name: /otter-second-third\.csv/ })
        .first()
        .click();
      await page.getByRole('complementary', { name: 'Findings and power' }).waitFor();
      await page.waitForLoadState('networkidle');
      expect(await accessFaults(page, rules)).toEqual([]);
    },
  );
});
