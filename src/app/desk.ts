/** The desk of a garage: everything a person asks of it, answered in the shapes of api.ts. */

import type { Garage, ReceivedFile } from '../garage/index.ts';
import type { Conditions } from '../match/index.ts';
import type {
  BuildsView,
  BuildView,
  CarsView,
  ConfirmRequest,
  HeadroomView,
  MatchView,
  NewBuildRequest,
  NewCarRequest,
  PredictedView,
  RunsView,
  RunView,
  TracesView,
} from './api.ts';
import { readBuildValue } from './builds.ts';
import { CompareDesk } from './compare-desk.ts';
import { computeInWorkers, type JobWatch } from './compute.ts';
import { conditionsFrom } from './conditions.ts';
import type { CylinderView } from './cylinder-api.ts';
import type { FuelView } from './fuel-api.ts';
import { openGarage, seedDemo } from './garage.ts';
import { checkSamples, HeadroomDesk } from './headroom-desk.ts';
import { type AppCompute, cylinderAt, headroomOf, type JOBS, matchBuild, spoolOf } from './jobs.ts';
import { KeptAnswers } from './kept-answers.ts';
import { LiftDesk } from './lift-desk.ts';
import { type LooseRequest, looseRun } from './loose.ts';
import type { LooseRunView } from './loose-api.ts';
import type { ModelRequest } from './model-request.ts';
import {
  confirmRun,
  type ImportRequest,
  importRun,
  predictedAlong,
  runSummary,
  runView,
  type TracesRequest,
  traces,
} from './runs.ts';
import type { SpoolAskedFor } from './spool.ts';
import type { SpoolLoggedView, SpoolView } from './spool-api.ts';
import { spoolLogged } from './spool-logged.ts';
import { buildSummary, carSummary } from './summaries.ts';
import { ChannelShelf, type TilesRequest, tilesOfRun } from './tiles.ts';
import { Cancelled } from './watch.ts';

export type { ImportRequest } from './runs.ts';

/** Answers of the model kept in memory: a page that is opened again shows at once. */
const MOST_KEPT = 60;

export class Desk {
  readonly garage: Garage;
  /** Ledgers over many samples, with progress and cancel. */
  readonly ledgers: HeadroomDesk;
  /** Changes of parts: comparisons, part options, searches. */
  readonly lift: LiftDesk;
  /** Several runs: compared, and all their pulls looked through. */
  readonly several: CompareDesk;
  readonly #compute: AppCompute;
  readonly #kept = new KeptAnswers<unknown>(MOST_KEPT);
  readonly #shelf = new ChannelShelf();

  constructor(garage: Garage, compute: AppCompute) {
    this.garage = garage;
    this.#compute = compute;
    this.ledgers = new HeadroomDesk(garage, compute);
    this.lift = new LiftDesk(garage, compute);
    this.several = new CompareDesk(garage, compute);
  }

  async close(): Promise<void> {
    this.ledgers.close();
    this.lift.close();
    this.several.close();
    await this.#compute.close();
    this.garage.close();
  }

  cars(): CarsView {
    return { cars: this.garage.cars().map(carSummary) };
  }

  builds(carId: string): BuildsView {
    return { car: carSummary(this.garage.car(carId)), builds: this.garage.builds(carId).map(buildSummary) };
  }

  build(buildId: string): BuildView {
    const record = this.garage.build(buildId);
    const { resolved } = readBuildValue(record.sheet, `The sheet of build "${buildId}"`);
    return {
      build: buildSummary(record),
      car: carSummary(this.garage.car(record.carId)),
      sheet: record.sheet,
      facts: resolved.car.facts,
      quantities: Object.entries(resolved.quantities).map(
        ([path, { about, unit, valueSi, sdSi, source, estimated }]) => ({
          path,
          about,
          unit,
          valueSi,
          sdSi,
          source,
          estimated,
        }),
      ),
    };
  }

  /** A car with its first build. */
  addCar({ sheet, ...fresh }: NewCarRequest): BuildView {
    const { build } = readBuildValue(sheet, 'The build sheet');
    return this.build(this.garage.addCarWithBuild({ ...fresh, sheet: build }).id);
  }

  addBuild(carId: string, { parentId, sheet, ...fresh }: NewBuildRequest): BuildView {
    const { build } = readBuildValue(sheet, 'The build sheet');
    return this.build(this.garage.addBuild({ ...fresh, carId, parentId: parentId ?? null, sheet: build }).id);
  }

  /** Computes once per sheet and air; a failure is not kept. */
  #once<T>(
    what: string,
    buildId: string,
    given: Partial<Conditions>,
    compute: (request: ModelRequest) => Promise<T>,
  ): Promise<T> {
    const { sheet, contentHash } = this.garage.build(buildId);
    const conditions = conditionsFrom(given);
    const key = JSON.stringify([what, contentHash, conditions]);
    return this.#kept.once(key, () => compute({ build: sheet, conditions })) as Promise<T>;
  }

  async match(buildId: string, given: Partial<Conditions> = {}): Promise<MatchView> {
    const { build: _name, ...answer } = await this.#once('match', buildId, given, (request) =>
      matchBuild(this.#compute, request),
    );
    return { ...answer, buildId };
  }

  async cylinder(
    buildId: string,
    { engineSpeedRpm, ...air }: Partial<Conditions> & { readonly engineSpeedRpm?: number | undefined } = {},
  ): Promise<CylinderView> {
    const { build: _name, ...answer } = await this.#once(`cylinder ${engineSpeedRpm ?? ''}`, buildId, air, (request) =>
      cylinderAt(this.#compute, { ...request, ...(engineSpeedRpm === undefined ? {} : { engineSpeedRpm }) }),
    );
    return { ...answer, buildId };
  }

  async spool(buildId: string, given: Partial<Conditions> & SpoolAskedFor = {}): Promise<SpoolView> {
    const { gear, fromRpm, liftRpm, ...air } = given;
    const asked = { gear, fromRpm, liftRpm };
    const { build: _name, ...answer } = await this.#once(`spool ${JSON.stringify(asked)}`, buildId, air, (request) =>
      spoolOf(this.#compute, { ...request, asked }),
    );
    return { ...answer, buildId };
  }

  /** The logged pull that lies over a predicted one. */
  spoolLogged(buildId: string, gear: number | null): Promise<SpoolLoggedView> {
    return spoolLogged(this.garage, buildId, gear);
  }

  /** Fuel and injected mix of a build. */
  fuel(buildId: string, given: Partial<Conditions> = {}): Promise<FuelView> {
    return this.#once('fuel', buildId, given, (request) => this.#compute.run('fuel', request));
  }

  async headroom(buildId: string, given: Partial<Conditions> = {}, samples?: number): Promise<HeadroomView> {
    if (samples !== undefined) checkSamples(samples);
    const { build: _name, ...answer } = await this.#once(`headroom ${samples ?? ''}`, buildId, given, (request) =>
      headroomOf(this.#compute, request, samples),
    );
    return { ...answer, buildId };
  }

  runs(carId: string): RunsView {
    return { car: carSummary(this.garage.car(carId)), runs: this.garage.runs(carId).map(runSummary) };
  }

  run(runId: string): Promise<RunView> {
    return runView(this.garage, this.#compute, this.garage.run(runId));
  }

  importRun(request: ImportRequest, watch?: JobWatch): Promise<RunView> {
    return importRun(this.garage, this.#compute, request, watch);
  }

  /** A log read or reviewed without a car; nothing of it is kept. */
  looseRun(request: LooseRequest, watch?: JobWatch): Promise<LooseRunView> {
    return looseRun(this.garage, this.#compute, request, watch);
  }

  /** Takes a file in piece by piece, for {@link importRun}. */
  async receive(pieces: NodeJS.ReadableStream, signal?: AbortSignal): Promise<ReceivedFile> {
    try {
      return await this.garage.receive(pieces, signal);
    } catch (error) {
      throw signal?.aborted ? new Cancelled('the log was called off') : error;
    }
  }

  confirmRun(runId: string, request: ConfirmRequest, watch?: JobWatch): Promise<RunView> {
    return confirmRun(this.garage, this.#compute, runId, request, watch);
  }

  traces(request: TracesRequest): Promise<TracesView> {
    return traces(this.garage, request);
  }

  /** Tiles of traces for a screen that pans and zooms, packed. */
  tiles(request: TilesRequest): Promise<Uint8Array> {
    return tilesOfRun(this.garage, this.#shelf, request);
  }

  predicted(request: TracesRequest): Promise<PredictedView> {
    return predictedAlong(this.garage, request);
  }

  /** Puts the demo cars with their logs into a garage that holds no car of its owner's. */
  async seedDemo(folder: string): Promise<void> {
    for (const { note, ...request } of seedDemo(this.garage, folder)) {
      const view = await this.importRun({ ...request, note, assumedRateHz: null });
      await this.confirmRun(view.run.id, { choices: [], remember: false });
    }
  }
}

/** Opens the garage in a folder; the model runs in worker threads of `worker`, or in `compute` where that is given. */
export const openDesk = (
  options: { readonly garage: string } & ({ readonly worker: URL } | { readonly compute: AppCompute }),
): Desk =>
  new Desk(
    openGarage(options.garage),
    'compute' in options ? options.compute : computeInWorkers<typeof JOBS>(options.worker),
  );
