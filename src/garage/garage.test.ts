import { spawn } from 'node:child_process';
import { createHash } from 'node:crypto';
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, utimesSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { Readable } from 'node:stream';
import { fileURLToPath } from 'node:url';
import Database from 'better-sqlite3';
import { rolldown } from 'rolldown';
import { afterEach, beforeAll, describe, expect, test } from 'vitest';
import { type Build, parseBuild } from '../car/index.ts';
import { asidePath } from './files.ts';
import { type ConfirmedRun, columnSetOf, type Garage } from './garage.ts';
import { MIGRATIONS, migrate, NEWEST } from './migrations.ts';
import { openGarage } from './open.ts';
import { explain, GarageProblem } from './problems.ts';
import type { RunRecord } from './records.ts';

const folders: string[] = [];
const freshFolder = (): string => {
  const folder = mkdtempSync(join(tmpdir(), 'garage-'));
  folders.push(folder);
  return folder;
};
afterEach(() => {
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
});

const demo = (path: string) => fileURLToPath(new URL(`../../data/demo/${path}`, import.meta.url));
const sheet = (): Build => {
  const read = parseBuild(readFileSync(demo('builds/wren-dozen-numbers.json'), 'utf8'));
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.build;
};
const problemOf = (work: () => unknown): GarageProblem => {
  try {
    work();
  } catch (error) {
    if (error instanceof GarageProblem) return error;
    throw error;
  }
  throw new Error('expected a GarageProblem, and nothing was thrown');
};

/** A garage with one car, one build and one run of three columns. */
const filled = (folder = freshFolder()) => {
  const garage = openGarage(folder);
  const car = garage.addCar({ name: 'Grey Estate', note: 'invented' });
  const build = garage.addBuild({ carId: car.id, label: 'As bought', planned: false, parentId: null, sheet: sheet() });
  const bytes = new Uint8Array([0xff, 0xfe, 0x00, 0x0d, 0x0a, ...Array.from({ length: 256 }, (_, i) => i)]);
  const headers = ['Time (s)', 'RPM', 'Boost'];
  const run = garage.addRun({
    carId: car.id,
    buildId: build.id,
    fileName: "it's a run.csv",
    bytes,
    assumedRateHz: null,
    durationS: 12.5,
    headers,
  });
  return { folder, garage, car, build, run, bytes, headers };
};

const series = (channel: string, count: number, value: (index: number) => number) => ({
  channel,
  timesS: Float64Array.from({ length: count }, (_, i) => i * 0.01),
  values: Float64Array.from({ length: count }, (_, i) => value(i)),
});

const confirmedRun = async (garage: Garage, runId: string, of: ConfirmedRun): Promise<RunRecord> => {
  const record = await garage.confirmRun(runId, of);
  if (!record) throw new Error('the confirmation was called off');
  return record;
};

/** A confirmation that remembers. */
const confirmation = (of: readonly ReturnType<typeof series>[]) => ({
  choices: [],
  remember: true,
  series: of,
  review: {},
  reviewVersion: '1',
  pulls: { version: '1', pulls: [] },
});

describe('what is put in comes out', () => {
  test('cars, builds and runs after closing and opening again', () => {
    const { folder, garage, car, build, run, bytes } = filled();
    garage.close();
    const again = openGarage(folder);
    expect(again.cars()).toEqual([{ ...car, builds: 1, runs: 1, currentBuildId: build.id }]);
    expect(again.build(build.id)).toEqual(build);
    expect(again.build(build.id).sheet).toEqual(sheet());
    expect(again.run(run.id)).toEqual(run);
    expect([...again.original(run)]).toEqual([...bytes]);
    expect(again.faults()).toEqual([]);
    again.close();
  });

  test('identifiers can be read and do not clash', () => {
    const garage = openGarage(freshFolder());
    expect(garage.addCar({ name: 'Gràu  Kombi!' }).id).toBe('grau-kombi');
    expect(garage.addCar({ name: 'grau kombi' }).id).toBe('grau-kombi-2');
    expect(garage.addCar({ name: '灰' }).id).toBe('car');
    garage.close();
  });

  test('the current build is the newest that is not planned', () => {
    const { garage, car, build } = filled();
    const planned = garage.addBuild({
      carId: car.id,
      label: 'Next',
      planned: true,
      parentId: build.id,
      sheet: sheet(),
    });
    expect(garage.car(car.id).currentBuildId).toBe(build.id);
    expect(garage.builds(car.id).map(({ id }) => id)).toEqual([planned.id, build.id]);
    garage.close();
  });

  test('samples come back bit for bit, also odd doubles, and any engine can read the file', async () => {
    const { folder, garage, run, headers } = filled();
    const odd = [0, -0, 5e-324, 1.7976931348623157e308, 0.1 + 0.2, -101325.00000000001];
    const input = [
      series('throttle', odd.length, (i) => odd[i] ?? 0),
      series('engine-speed', 5000, (i) => 800 + i / 3),
    ];
    const choices = [
      { column: 'Boost', channel: 'manifold-pressure' as const, unit: 'psi', reference: 'gauge' as const },
    ];
    const confirmed = await confirmedRun(garage, run.id, {
      choices,
      remember: true,
      series: input,
      review: { findings: [] },
      reviewVersion: '1',
      pulls: { version: '1', pulls: [] },
    });
    const back = await garage.samples(confirmed, ['engine-speed', 'throttle', 'lambda'], 0, 100);
    expect(back.map(({ channel, values }) => [channel, values.length])).toEqual([
      ['engine-speed', 5000],
      ['throttle', 6],
      ['lambda', 0],
    ]);
    expect(Object.is(back[1]?.values[1], -0)).toBe(true);
    expect(back[1]?.values).toEqual(input[0]?.values);
    expect(back[0]?.timesS).toEqual(input[1]?.timesS);
    expect(confirmed.review).toEqual({ findings: [] });
    expect(garage.choicesForSet(columnSetOf(headers))).toEqual(choices);
    expect(garage.choicesForSet(columnSetOf([...headers].reverse()))).toBeNull();
    const [file] = readdirSync(join(folder, 'samples'));
    expect(file).toBe(`${confirmed.samples}.parquet`);
    const bytes = readFileSync(join(folder, 'samples', file ?? ''));
    // Apache Parquet file format, "File Layout": the magic number PAR1 opens and closes the file.
    expect([bytes.subarray(0, 4).toString(), bytes.subarray(-4).toString()]).toEqual(['PAR1', 'PAR1']);
    garage.close();
  });

  test('the same samples have the same name', async () => {
    const { garage, run } = filled();
    const confirm = () =>
      confirmedRun(garage, run.id, {
        choices: [],
        remember: false,
        series: [series('lambda', 100, (i) => i)],
        review: null,
        reviewVersion: '1',
        pulls: { version: '1', pulls: [] },
      });
    expect((await confirm()).samples).toBe((await confirm()).samples);
    garage.close();
  });
});

describe('thinning', () => {
  test('keeps the peak of every stretch, in order of time, and leaves short channels whole', async () => {
    const { garage, run } = filled();
    const many = series('manifold-pressure', 100_000, (i) => Math.sin(i / 500) + (i === 77_777 ? 40 : 0));
    const few = series('lambda', 50, (i) => i);
    const confirmed = await confirmedRun(garage, run.id, {
      choices: [],
      remember: false,
      series: [many, few],
      review: null,
      reviewVersion: '1',
      pulls: { version: '1', pulls: [] },
    });
    const [thin, whole] = await garage.thinnedSamples(confirmed, ['manifold-pressure', 'lambda'], 0, 1000, 500);
    expect(thin?.decimated).toBe(true);
    expect(thin?.values.length).toBeLessThanOrEqual(500);
    expect(thin?.values.length).toBeGreaterThan(400);
    expect(Math.max(...(thin?.values ?? []))).toBe(many.values[77_777]);
    // Oracle: every kept reading is a reading of the channel, and times rise.
    thin?.timesS.forEach((timeS, index) => {
      expect(thin.values[index]).toBe(many.values[Math.round(timeS * 100)]);
      expect(timeS).toBeGreaterThan(thin.timesS[index - 1] ?? -1);
    });
    expect(whole?.decimated).toBe(false);
    expect(whole?.values).toEqual(few.values);
    garage.close();
  });
});

describe('append only', () => {
  test('a build can be neither changed nor deleted, by any program', () => {
    const { folder, garage } = filled();
    garage.close();
    const database = new Database(join(folder, 'garage.sqlite'));
    expect(() => database.exec("UPDATE build SET label = 'other'")).toThrow('never changed');
    expect(() => database.exec('DELETE FROM build')).toThrow('never deleted');
    database.close();
  });

  test('the same file on the same car is one run', () => {
    const { garage, car, build, run, bytes } = filled();
    expect(garage.runOfFile(car.id, bytes)?.id).toBe(run.id);
    const again = () =>
      garage.addRun({
        carId: car.id,
        buildId: build.id,
        fileName: 'copy.csv',
        bytes,
        assumedRateHz: null,
        durationS: 1,
        headers: [],
      });
    expect(problemOf(again).code).toBe('already-there');
    garage.close();
  });
});

test('part options stay with their car, the newest list alone', () => {
  const { folder, garage, car } = filled();
  expect(garage.partOptions(car.id)).toBeNull();
  garage.savePartOptions(car.id, { currency: 'EUR', places: [] });
  garage.savePartOptions(car.id, { currency: 'USD', places: [1] });
  garage.close();
  const again = openGarage(folder);
  expect(again.partOptions(car.id)?.options).toEqual({ currency: 'USD', places: [1] });
  expect(problemOf(() => again.savePartOptions('nobody', {}))).toMatchObject({ code: 'not-found' });
  again.close();
});

describe('migrations', () => {
  test('are numbered from one without a gap', () => {
    expect(MIGRATIONS.map(({ number }) => number)).toEqual(MIGRATIONS.map((_, index) => index + 1));
  });

  test('a garage of the first format opens with all it held, after a copy', () => {
    const folder = freshFolder();
    const path = join(folder, 'garage.sqlite');
    const old = new Database(path);
    migrate(old, path, () => '2025-01-01T00:00:00.000Z', 1);
    old.exec(`INSERT INTO car (id, name, created) VALUES ('old', 'Old car', '2025-01-01T00:00:00.000Z')`);
    old
      .prepare(`INSERT INTO build VALUES ('old-build-1', 'old', 1, 'As bought', '2025-01-01', NULL, 0, ?, 'x')`)
      .run(JSON.stringify(sheet()));
    old
      .prepare(
        `INSERT INTO run (id, car, number, build, file_name, sha256, imported_at, duration_s) VALUES ('old-run-1', 'old', 1, 'old-build-1', 'a.csv', ?, '2025-01-02', 3)`,
      )
      .run('a'.repeat(64));
    old.close();
    const garage = openGarage(folder);
    expect(garage.car('old').runs).toBe(1);
    expect(garage.run('old-run-1')).toMatchObject({ choices: null, driven: null });
    garage.close();
    const now = new Database(path);
    expect(now.prepare('SELECT number, applied FROM migration ORDER BY number').all()).toMatchObject([
      { number: 1, applied: '2025-01-01T00:00:00.000Z' },
      { number: 2 },
      { number: 3 },
      { number: 4 },
      { number: 5 },
      { number: 6 },
    ]);
    now.close();
    const copy = new Database(`${path}.before-2`, { readonly: true });
    expect(copy.pragma('user_version', { simple: true })).toBe(1);
    expect(copy.prepare('SELECT count(*) AS n FROM run').get()).toEqual({ n: 1 });
    copy.close();
  });

  test('a step that fails leaves the file as it was', () => {
    const folder = freshFolder();
    const path = join(folder, 'garage.sqlite');
    const old = new Database(path);
    migrate(old, path, () => '2025-01-01', 1);
    // The second step adds a table of this name: it must fail half-way and be undone as a whole.
    old.exec('CREATE TABLE channel_choice (x)');
    old.close();
    expect(() => openGarage(folder)).toThrow('already exists');
    const after = new Database(path);
    expect(after.pragma('user_version', { simple: true })).toBe(1);
    expect(after.prepare("SELECT count(*) AS n FROM pragma_table_info('run') WHERE name = 'column_set'").get()).toEqual(
      {
        n: 0,
      },
    );
    after.close();
  });

  test("a newer garage, a damaged one and another program's database are refused in words", () => {
    const folder = freshFolder();
    const path = join(folder, 'garage.sqlite');
    openGarage(folder).close();
    const newer = new Database(path);
    newer.pragma(`user_version = ${NEWEST + 3}`);
    newer.close();
    expect(problemOf(() => openGarage(folder))).toMatchObject({ code: 'garage-too-new' });
    rmSync(path);
    writeFileSync(path, 'this is not a database, and long enough to have a header'.repeat(30));
    expect(problemOf(() => openGarage(folder))).toMatchObject({ code: 'garage-damaged' });
    rmSync(path);
    const other = new Database(path);
    other.exec('CREATE TABLE recipes (x)');
    other.close();
    expect(problemOf(() => openGarage(folder))).toMatchObject({ code: 'garage-damaged' });
  });
});

describe('trouble', () => {
  test('two windows write at once; a stuck one is named', () => {
    const { folder, garage, car } = filled();
    const second = openGarage(folder, { waitForLockMs: 20 });
    second.addCar({ name: 'Second window' });
    expect(garage.cars().length).toBe(2);
    const stuck = new Database(join(folder, 'garage.sqlite'));
    stuck.exec('BEGIN IMMEDIATE');
    const problem = problemOf(() => second.addCar({ name: 'Third' }));
    expect(problem.code).toBe('garage-locked');
    expect(problem.message).toContain(folder);
    stuck.exec('ROLLBACK');
    stuck.close();
    expect(garage.car(car.id).name).toBe('Grey Estate');
    second.close();
    garage.close();
  });

  test('a full disk is said and changes nothing', () => {
    const { folder, garage } = filled();
    garage.close();
    const full = new Database(join(folder, 'garage.sqlite'));
    const pages = full.pragma('page_count', { simple: true }) as number;
    full.pragma(`max_page_count = ${pages}`);
    let error: unknown;
    try {
      full.exec(`INSERT INTO car (id, name, note, created) VALUES ('x', 'x', '${'n'.repeat(100_000)}', '')`);
    } catch (caught) {
      error = caught;
    }
    full.close();
    expect(explain(error, folder)).toMatchObject({ code: 'disk-full' });
    for (const code of ['ENOSPC', 'EDQUOT']) {
      expect(explain(Object.assign(new Error('write'), { code }), folder)).toMatchObject({ code: 'disk-full' });
    }
    expect(explain(Object.assign(new Error('x'), { code: 'EROFS' }), folder)).toMatchObject({
      code: 'garage-read-only',
    });
    const own = new TypeError('our own fault');
    expect(explain(own, folder)).toBe(own);
  });

  test('a file where the folder should be', () => {
    const path = join(freshFolder(), 'file');
    writeFileSync(path, '');
    expect(problemOf(() => openGarage(path)).code).toBe('garage-not-a-folder');
    expect(problemOf(() => openGarage(join(path, 'inside'))).code).toBe('garage-not-a-folder');
  });

  test('a file changed behind our back is found', () => {
    const { folder, garage, run } = filled();
    writeFileSync(join(folder, 'originals', run.sha256), 'changed');
    expect(garage.faults()).toEqual([`run ${run.id}: the file was changed`]);
    rmSync(join(folder, 'originals', run.sha256));
    expect(problemOf(() => garage.original(run)).code).toBe('garage-damaged');
    garage.close();
  });

  test('what a killed import left aside is cleared after a day', () => {
    const { folder, garage } = filled();
    garage.close();
    const left = join(folder, 'aside', 'left');
    writeFileSync(left, 'half');
    openGarage(folder).close();
    expect(readdirSync(join(folder, 'aside'))).toEqual(['left']);
    utimesSync(left, new Date(0), new Date(0));
    openGarage(folder).close();
    expect(readdirSync(join(folder, 'aside'))).toEqual([]);
  });

  test('what a program left aside that is gone is cleared at once, what a living one has there stays', () => {
    const { folder, garage } = filled();
    // Two names of this computer: that of this process, and one of a process number that cannot be.
    const own = basename(asidePath(folder));
    const gone = own.replace(`-${process.pid}-`, '-4194999-');
    for (const name of [own, gone]) writeFileSync(join(folder, 'aside', name), 'half');
    garage.close();
    openGarage(folder).close();
    expect(readdirSync(join(folder, 'aside'))).toEqual([own]);
  });

  test('originals and samples that no run names are swept at start, the others stay', async () => {
    const { folder, garage, run } = filled();
    await garage.confirmRun(run.id, confirmation([series('lambda', 10, () => 1)]));
    garage.close();
    const orphan = 'a'.repeat(64);
    writeFileSync(join(folder, 'originals', orphan), 'left by a kill');
    writeFileSync(join(folder, 'samples', `${orphan}.parquet`), 'left by a kill');
    const again = openGarage(folder);
    expect(readdirSync(join(folder, 'originals'))).toEqual([run.sha256]);
    expect(readdirSync(join(folder, 'samples'))).toEqual([`${again.run(run.id).samples}.parquet`]);
    expect(again.faults()).toEqual([]);
    again.close();
  });

  test('a sweep waits for a window that is writing, and takes nothing of it', () => {
    const { folder, garage } = filled();
    const writing = new Database(join(folder, 'garage.sqlite'));
    writing.exec('BEGIN IMMEDIATE');
    const orphan = join(folder, 'originals', 'b'.repeat(64));
    writeFileSync(orphan, 'about to be named');
    openGarage(folder, { waitForLockMs: 20 }).close();
    expect(existsSync(orphan)).toBe(true);
    writing.exec('ROLLBACK');
    writing.close();
    garage.close();
  });
});

describe('a file that comes in piece by piece', () => {
  const pieces = (count: number) => Array.from({ length: count }, (_, i) => new Uint8Array(1000).fill(i % 256));

  test('is kept byte for byte under the name of its content, and known again', async () => {
    const { folder, garage, car, build, headers } = filled();
    const whole = Buffer.concat(pieces(300));
    const file = await garage.receive(Readable.from(pieces(300)));
    expect(file).toMatchObject({ size: 300_000, sha256: createHash('sha256').update(whole).digest('hex') });
    expect(garage.runOfFile(car.id, file)).toBeNull();
    const run = garage.addRun({
      carId: car.id,
      buildId: build.id,
      fileName: 'a.csv',
      bytes: file,
      assumedRateHz: null,
      durationS: 1,
      headers,
    });
    expect(Buffer.from(garage.original(run)).equals(whole)).toBe(true);
    expect(garage.runOfFile(car.id, file)?.id).toBe(run.id);
    expect(readdirSync(join(folder, 'aside'))).toEqual([]);
    garage.close();
  });

  test('leaves nothing behind when it breaks off, is ended, or is dropped', async () => {
    const { folder, garage } = filled();
    const breaks = async function* () {
      yield* pieces(3);
      throw new Error('the line broke');
    };
    await expect(garage.receive(Readable.from(breaks()))).rejects.toThrow('the line broke');
    const stop = new AbortController();
    const endless = async function* () {
      for (let i = 0; ; i++) {
        if (i === 5) stop.abort();
        yield new Uint8Array(1000);
      }
    };
    await expect(garage.receive(Readable.from(endless()), stop.signal)).rejects.toThrow(/abort/i);
    garage.drop(await garage.receive(Readable.from(pieces(3))));
    expect(readdirSync(join(folder, 'aside'))).toEqual([]);
    expect(readdirSync(join(folder, 'originals')).length).toBe(1);
    garage.close();
  });

  test('a confirmation that is called off keeps no samples and leaves the run as it was', async () => {
    const { folder, garage, run, headers } = filled();
    const answer = await garage.confirmRun(run.id, {
      ...confirmation([series('lambda', 10, () => 1)]),
      isCalledOff: () => true,
    });
    expect(answer).toBeNull();
    expect(garage.run(run.id)).toEqual(run);
    expect(garage.choicesForSet(columnSetOf(headers))).toBeNull();
    expect(readdirSync(join(folder, 'samples'))).toEqual([]);
    expect(readdirSync(join(folder, 'aside'))).toEqual([]);
    garage.close();
  });
});

/** Runs the importing program until it has acknowledged `after` runs, then kills it without warning a little later. */
const killedImport = (program: string, folder: string, after: number, laterMs: number): Promise<string[]> =>
  new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [program, folder]);
    let text = '';
    let errors = '';
    child.stderr.on('data', (part) => {
      errors += part;
    });
    child.stdout.on('data', (part) => {
      text += part;
      if (text.split('\n').length > after) setTimeout(() => child.kill('SIGKILL'), laterMs);
    });
    child.on('error', reject);
    child.on('exit', (code, signal) => {
      if (signal !== 'SIGKILL') reject(new Error(`the import ended by itself (${code}): ${errors}`));
      else resolve(text.split('\n').slice(0, -1));
    });
  });

describe('killed at any moment', () => {
  const program = fileURLToPath(new URL('../../dist/fixtures/endless-import.mjs', import.meta.url));
  beforeAll(async () => {
    const bundle = await rolldown({
      input: fileURLToPath(new URL('./endless-import.fixture.ts', import.meta.url)),
      platform: 'node',
      external: /^[^./]/,
    });
    await bundle.write({ file: program, format: 'esm', codeSplitting: false });
    await bundle.close();
  });

  test('nothing acknowledged is lost and nothing is half there', { timeout: 120_000 }, async () => {
    for (const [after, laterMs] of [
      [1, 0],
      [2, 3],
      [3, 7],
      [2, 13],
    ] as const) {
      const folder = freshFolder();
      const acknowledged = await killedImport(program, folder, after, laterMs);
      expect(acknowledged.length).toBeGreaterThanOrEqual(after);
      const garage = openGarage(folder);
      expect(garage.faults()).toEqual([]);
      // What the kill left half-done was swept: only what runs name is there.
      const runs = garage.runs('endless');
      expect(readdirSync(join(folder, 'originals')).sort()).toEqual(runs.map(({ sha256 }) => sha256).sort());
      expect(readdirSync(join(folder, 'samples')).length).toBe(runs.filter(({ samples }) => samples !== null).length);
      expect(readdirSync(join(folder, 'aside'))).toEqual([]);
      for (const line of acknowledged) {
        const [what, id, readings] = line.split(' ');
        const run = garage.run(id ?? '');
        if (what === 'added') expect(garage.original(run).length).toBeGreaterThan(0);
        else {
          const [lambda] = await garage.samples(run, ['lambda'], 0, 1e9);
          expect(lambda?.values.length).toBe(Number(readings));
        }
      }
      garage.close();
    }
  });
});
