/** A garage: one folder with a SQLite file for what people type and decide, and immutable files for what was logged. */
import { existsSync, readFileSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import type Database from 'better-sqlite3';
import { type Build, writeBuild } from '../car/index.ts';
import type { ChannelChoice } from '../logs/index.ts';
import {
  clearOrphans,
  keepOriginal,
  ORIGINALS,
  type ReceivedFile,
  receiveFile,
  sha256Of,
  writeAside,
} from './files.ts';
import { isSameName, slugOf } from './names.ts';
import { explain, GarageProblem } from './problems.ts';
import { PullShelf, writePulls } from './pulls.ts';
import type { BuildRecord, CarRecord, DrivenDate, KeptPulls, RunRecord, SampleSeries } from './records.ts';
import { buildOf, CARS, carOf, json, type Row, runOf } from './rows.ts';
import { keepSamples, readSamples, samplesPath, thinnedSamples, wholeChannel, writeSamples } from './samples.ts';

export interface NewRun {
  readonly carId: string;
  readonly buildId: string;
  readonly fileName: string;
  readonly note?: string;
  /** The file: in memory, or received and lying aside. */
  readonly bytes: Uint8Array | ReceivedFile;
  readonly assumedRateHz: number | null;
  readonly durationS: number;
  readonly driven?: DrivenDate | null;
  /** The headers of its columns, in order. */
  readonly headers: readonly string[];
}

export interface ConfirmedRun {
  readonly choices: readonly ChannelChoice[];
  readonly remember: boolean;
  readonly series: readonly SampleSeries[];
  readonly review: unknown;
  readonly reviewVersion: string;
  readonly pulls: KeptPulls;
  /** What a person says of the run; absent: as it stands. */
  readonly drivenAt?: string;
  readonly note?: string;
  /** Asked before anything is kept: true leaves the run as it was. */
  readonly isCalledOff?: () => boolean;
}

/** What stands for a set of columns: logs of one device with one setting have the same. */
export const columnSetOf = (headers: readonly string[]): string => sha256Of(JSON.stringify(headers));

export class Garage {
  readonly folder: string;
  /** Pulls of all runs, to be looked through. */
  readonly pulls: PullShelf;
  readonly #database: Database.Database;
  readonly #now: () => string;

  constructor(folder: string, database: Database.Database, now: () => string) {
    this.folder = folder;
    this.#database = database;
    this.#now = now;
    this.pulls = new PullShelf(database, {
      read: (work) => this.#do(work),
      write: (work) => this.#write(work),
    });
  }

  close(): void {
    this.#database.close();
  }

  /** Runs a piece of work on the database and turns what can go wrong with a garage into sentences. */
  #do<T>(work: () => T): T {
    try {
      return work();
    } catch (error) {
      throw explain(error, this.folder);
    }
  }

  async #doLater<T>(work: () => Promise<T>): Promise<T> {
    try {
      return await work();
    } catch (error) {
      throw explain(error, this.folder);
    }
  }

  #write<T>(work: () => T): T {
    return this.#do(() => this.#database.transaction(work).immediate());
  }

  #get(sql: string, ...values: unknown[]): Row | undefined {
    return this.#database.prepare(sql).get(...values) as Row | undefined;
  }

  #all(sql: string, ...values: unknown[]): Row[] {
    return this.#database.prepare(sql).all(...values) as Row[];
  }

  #next(table: 'build' | 'run', carId: string): number {
    const row = this.#get(`SELECT coalesce(max(number), 0) + 1 AS next FROM ${table} WHERE car = ?`, carId);
    return row?.next as number;
  }

  cars(): CarRecord[] {
    return this.#do(() => this.#all(`${CARS} ORDER BY car.created, car.id`).map(carOf));
  }

  car(id: string): CarRecord {
    const row = this.#do(() => this.#get(`${CARS} WHERE car.id = ?`, id));
    if (!row) throw new GarageProblem('not-found', `There is no car "${id}" in this garage.`);
    return carOf(row);
  }

  addCar({ name, note = '', demo = false }: { name: string; note?: string; demo?: boolean }): CarRecord {
    const id = this.#write(() => {
      const slug = slugOf(name);
      let free = slug;
      for (let n = 2; this.#get('SELECT 1 FROM car WHERE id = ?', free); n += 1) free = `${slug}-${n}`;
      this.#database
        .prepare('INSERT INTO car (id, name, note, demo, created) VALUES (?, ?, ?, ?, ?)')
        .run(free, name, note, demo ? 1 : 0, this.#now());
      return free;
    });
    return this.car(id);
  }

  /** Adds a car with its first build: both or neither. */
  addCarWithBuild(fresh: { name: string; note?: string; label: string; planned: boolean; sheet: Build }): BuildRecord {
    const { name, note = '', ...build } = fresh;
    return this.#write(() => {
      const known = this.cars().find((car) => isSameName(car.name, name));
      if (known) {
        throw new GarageProblem(
          'name-taken',
          `There is a car called "${known.name}" in this garage already, so nothing was saved; give this one another name.`,
        );
      }
      return this.addBuild({ carId: this.addCar({ name, note }).id, parentId: null, ...build });
    });
  }

  /** Newest first. */
  builds(carId: string): BuildRecord[] {
    this.car(carId);
    return this.#do(() => this.#all('SELECT * FROM build WHERE car = ? ORDER BY number DESC', carId).map(buildOf));
  }

  build(id: string): BuildRecord {
    const row = this.#do(() => this.#get('SELECT * FROM build WHERE id = ?', id));
    if (!row) throw new GarageProblem('not-found', `There is no build "${id}" in this garage.`);
    return buildOf(row);
  }

  /** Adds a revision. The parent must be a build of the same car; `newestId` is what its maker takes for the newest build. */
  addBuild(fresh: {
    carId: string;
    label: string;
    planned: boolean;
    parentId: string | null;
    newestId?: string;
    sheet: Build;
  }): BuildRecord {
    const { carId, label, planned, parentId, newestId, sheet } = fresh;
    this.car(carId);
    if (parentId !== null && this.build(parentId).carId !== carId) {
      throw new GarageProblem('not-found', `The build "${parentId}" is not a build of the car "${carId}".`);
    }
    const text = writeBuild(sheet);
    const id = this.#write(() => {
      const newest = newestId === undefined ? undefined : this.builds(carId)[0];
      if (newest && newest.id !== newestId) {
        throw new GarageProblem(
          'newer-build',
          `"${newest.label}" was saved for this car after this sheet was opened, so nothing was saved now. Look at it first, then save on it or beside it.`,
        );
      }
      const number = this.#next('build', carId);
      const name = `${carId}-build-${number}`;
      this.#database
        .prepare(
          'INSERT INTO build (id, car, number, label, created, parent, planned, sheet, content_hash) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)',
        )
        .run(name, carId, number, label, this.#now(), parentId, planned ? 1 : 0, text, sha256Of(text));
      return name;
    });
    return this.build(id);
  }

  /** What could be bought for a car, as it was saved; null where nothing was. What it means is its reader's business. */
  partOptions(carId: string): { readonly options: unknown; readonly saved: string } | null {
    this.car(carId);
    const row = this.#do(() => this.#get('SELECT options, saved FROM part_options WHERE car = ?', carId));
    return row ? { options: json(row.options), saved: row.saved as string } : null;
  }

  /** Keeps what could be bought for a car; the list before it is gone. */
  savePartOptions(carId: string, options: unknown): void {
    this.car(carId);
    this.#write(() =>
      this.#database
        .prepare('INSERT OR REPLACE INTO part_options (car, options, saved) VALUES (?, ?, ?)')
        .run(carId, JSON.stringify(options), this.#now()),
    );
  }

  /** Newest first. */
  runs(carId: string): RunRecord[] {
    this.car(carId);
    return this.#do(() =>
      this.#all(
        'SELECT * FROM run WHERE car = ? ORDER BY coalesce(driven_at, imported_at) DESC, number DESC',
        carId,
      ).map(runOf),
    );
  }

  run(id: string): RunRecord {
    const row = this.#do(() => this.#get('SELECT * FROM run WHERE id = ?', id));
    if (!row) throw new GarageProblem('not-found', `There is no run "${id}" in this garage.`);
    return runOf(row);
  }

  /** The run of this very file on this car, if it was imported before. */
  runOfFile(carId: string, file: Uint8Array | ReceivedFile): RunRecord | null {
    const sha256 = file instanceof Uint8Array ? sha256Of(file) : file.sha256;
    const row = this.#do(() => this.#get('SELECT * FROM run WHERE car = ? AND sha256 = ?', carId, sha256));
    return row ? runOf(row) : null;
  }

  /** Takes a file in piece by piece; it lies aside until a run is made of it or it is dropped. */
  receive(pieces: NodeJS.ReadableStream, signal?: AbortSignal): Promise<ReceivedFile> {
    return this.#doLater(() => receiveFile(this.folder, pieces, signal));
  }

  /** Drops a received file that no run was made of. */
  drop({ path }: ReceivedFile): void {
    rmSync(path, { force: true });
  }

  /** Keeps a file byte for byte, then notes it as a run to be confirmed. When this returns, it stays. */
  addRun(fresh: NewRun): RunRecord {
    const { carId, buildId, fileName, note = '', bytes, assumedRateHz, durationS, headers, driven = null } = fresh;
    if (this.build(buildId).carId !== carId) {
      throw new GarageProblem('not-found', `The build "${buildId}" is not a build of the car "${carId}".`);
    }
    const received = this.#do(() =>
      bytes instanceof Uint8Array
        ? { path: writeAside(this.folder, bytes), sha256: sha256Of(bytes), size: bytes.byteLength }
        : bytes,
    );
    const { sha256 } = received;
    const rowed = (): string => {
      if (this.#get('SELECT 1 FROM run WHERE car = ? AND sha256 = ?', carId, sha256)) {
        throw new GarageProblem(
          'already-there',
          `The file "${fileName}" is in this garage already; nothing was added.`,
        );
      }
      // Under the lock of the row that names it, so that a sweep never takes it for an orphan.
      keepOriginal(this.folder, received);
      const number = this.#next('run', carId);
      const name = `${carId}-run-${number}`;
      this.#database
        .prepare(
          'INSERT INTO run (id, car, number, build, file_name, sha256, imported_at, note, assumed_rate_hz, duration_s, column_set, driven_at, driven_by) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)',
        )
        .run(
          name,
          carId,
          number,
          buildId,
          fileName,
          sha256,
          this.#now(),
          note,
          assumedRateHz,
          durationS,
          columnSetOf(headers),
          driven?.at ?? null,
          driven?.by ?? null,
        );
      return name;
    };
    try {
      return this.run(this.#write(rowed));
    } finally {
      rmSync(received.path, { force: true });
    }
  }

  /** The file of a run as it came. */
  original(run: RunRecord): Uint8Array {
    const path = this.originalPath(run);
    return this.#do(() => readFileSync(path));
  }

  /** Where the file of a run lies. */
  originalPath(run: RunRecord): string {
    const path = join(this.folder, ORIGINALS, run.sha256);
    if (!existsSync(path)) {
      throw new GarageProblem(
        'garage-damaged',
        `The file of run "${run.id}" is missing from the garage (${path}); put it back from a copy.`,
      );
    }
    return path;
  }

  /** Keeps the samples and the review of a run whose channels a person has confirmed. When this returns, they stay; null where it was called off. */
  async confirmRun(runId: string, confirmed: ConfirmedRun): Promise<RunRecord | null> {
    const run = this.run(runId);
    const samples = await this.#doLater(() => writeSamples(this.folder, confirmed.series));
    const choices = JSON.stringify(confirmed.choices);
    try {
      if (confirmed.isCalledOff?.()) return null;
      this.#write(() => {
        keepSamples(this.folder, samples);
        this.#database
          .prepare('UPDATE run SET samples = ?, choices = ?, review = ?, review_version = ? WHERE id = ?')
          .run(samples.name, choices, JSON.stringify(confirmed.review), confirmed.reviewVersion, runId);
        const { drivenAt, note } = confirmed;
        if (drivenAt !== undefined && drivenAt !== run.driven?.at) {
          const update = "UPDATE run SET driven_at = ?, driven_by = 'typed' WHERE id = ?";
          this.#database.prepare(update).run(drivenAt, runId);
        }
        if (note !== undefined) this.#database.prepare('UPDATE run SET note = ? WHERE id = ?').run(note, runId);
        writePulls(this.#database, this.run(runId), confirmed.pulls);
        if (confirmed.remember) {
          this.#database
            .prepare('INSERT OR REPLACE INTO channel_choice (column_set, choices, saved) VALUES (?, ?, ?)')
            .run(run.columnSet, choices, this.#now());
        }
      });
    } finally {
      rmSync(samples.aside, { force: true });
    }
    return this.run(runId);
  }

  /** What was said before about a set of columns. */
  choicesForSet(columnSet: string): readonly ChannelChoice[] | null {
    const row = this.#do(() => this.#get('SELECT choices FROM channel_choice WHERE column_set = ?', columnSet));
    return row ? (json(row.choices) as readonly ChannelChoice[]) : null;
  }

  /** All that was said about sets of columns, by set. */
  choicesBySet(): Readonly<Record<string, readonly ChannelChoice[]>> {
    return this.#do(() =>
      Object.fromEntries(
        this.#all('SELECT column_set, choices FROM channel_choice').map((row) => [
          row.column_set as string,
          json(row.choices) as readonly ChannelChoice[],
        ]),
      ),
    );
  }

  /** Removes files that no run names, left by an import that was killed. Leaves the garage alone where another window is writing. */
  sweep(): number {
    return this.#write(() => {
      const named = this.#all('SELECT sha256, samples FROM run').flatMap(({ sha256, samples }) => [sha256, samples]);
      return clearOrphans(this.folder, new Set(named.filter((name) => typeof name === 'string')));
    });
  }

  #samplesOf(run: RunRecord): string {
    if (run.samples === null) {
      throw new GarageProblem(
        'not-found',
        `The channels of run "${run.id}" are not confirmed yet, so it has no traces.`,
      );
    }
    if (!existsSync(samplesPath(this.folder, run.samples))) {
      throw new GarageProblem(
        'garage-damaged',
        `The samples of run "${run.id}" are missing from the garage; confirm its channels again to write them anew.`,
      );
    }
    return run.samples;
  }

  /** Every reading of the named channels between two times [s]. */
  samples(run: RunRecord, channels: readonly string[], startS: number, endS: number): Promise<SampleSeries[]> {
    const name = this.#samplesOf(run);
    return this.#doLater(() => readSamples(this.folder, name, channels, startS, endS));
  }

  /** Every reading of one channel. */
  wholeChannel(run: RunRecord, channel: string): Promise<SampleSeries> {
    const name = this.#samplesOf(run);
    return this.#doLater(() => wholeChannel(this.folder, name, channel));
  }

  /** The named channels between two times [s], at most about `maxPoints` readings each with no peak lost. */
  thinnedSamples(
    run: RunRecord,
    channels: readonly string[],
    startS: number,
    endS: number,
    maxPoints: number,
  ): Promise<(SampleSeries & { readonly decimated: boolean })[]> {
    const name = this.#samplesOf(run);
    return this.#doLater(() => thinnedSamples(this.folder, name, channels, startS, endS, maxPoints));
  }

  /** Looks the whole garage over; an empty list means that all is there and whole. */
  faults(): string[] {
    return this.#do(() => {
      const found = this.#all('PRAGMA integrity_check').map((row) => row.integrity_check as string);
      const broken = found.filter((text) => text !== 'ok');
      broken.push(...this.#all('PRAGMA foreign_key_check').map((row) => `broken reference in ${row.table as string}`));
      for (const run of this.#all('SELECT * FROM run').map(runOf)) {
        const path = join(this.folder, ORIGINALS, run.sha256);
        if (!existsSync(path)) broken.push(`run ${run.id}: the file is missing`);
        else if (sha256Of(readFileSync(path)) !== run.sha256) broken.push(`run ${run.id}: the file was changed`);
        if (run.samples === null) continue;
        const samples = samplesPath(this.folder, run.samples);
        if (!existsSync(samples)) broken.push(`run ${run.id}: the samples are missing`);
        else if (sha256Of(readFileSync(samples)) !== run.samples)
          broken.push(`run ${run.id}: the samples were changed`);
      }
      return broken;
    });
  }
}
