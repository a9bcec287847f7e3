/** What each command but `review` does: files read, a use case called, text or JSON printed. Loaded when a command needs it. */
import { basename } from 'node:path';
import {
  type AppCompute,
  BadInput,
  compareLifts,
  computeHere,
  computeInWorkers,
  conditionsFrom,
  cylinderAt,
  fuelOf,
  headroomOf,
  JOBS,
  loadOf,
  mapFromFile,
  matchBuild,
  measureSpool,
  measureView,
  openDesk,
  readAnswerName,
  readLoadSheet,
  searchLifts,
  spoolOf,
  tried,
  type Watch,
} from '../app/index.ts';
import { airOf, fileDateOf, numberOf, type Options, oneFile, readBytes, readText, unitsOf } from './arguments.ts';
import { compareText } from './compare-text.ts';
import { cylinderText } from './cylinder-text.ts';
import { nozzlesOf, triedFuelOf, triedMixOf, wantedOf } from './fuel-arguments.ts';
import { fuelText } from './fuel-text.ts';
import { headroomText } from './headroom-text.ts';
import type { CommandName } from './help.ts';
import { liftAsked } from './lift-arguments.ts';
import { comparisonText, searchText } from './lift-text.ts';
import { engineSpeedsOf, torquesOf } from './load-arguments.ts';
import { loadText } from './load-text.ts';
import { mapOptionsOf } from './map-arguments.ts';
import { mapText } from './map-text.ts';
import { matchText } from './match-text.ts';
import { measureText } from './measure-text.ts';
import { pullsText } from './pulls-text.ts';
import { reviewText } from './review-text.ts';
import { comparedRuns, foundPulls } from './several-runs.ts';
import { buildFrom, print, reviewRequest, withReading } from './shared-parts.ts';
import { spoolText } from './spool-text.ts';
import type { Surroundings } from './surroundings.ts';

const SAMPLES: readonly [number, number] = [16, 4000];
const SPEEDS: readonly [number, number] = [500, 20_000];
const PORTS: readonly [number, number] = [0, 65_535];
const USUAL_PORT = 4680;

const modelRequest = (command: string, options: Options) => {
  const { build } = buildFrom(oneFile(command, 'a build sheet', options));
  return {
    build,
    conditions: conditionsFrom(airOf(options)),
  };
};

/** Runs work of the model in worker threads, and ends them. */
const withCompute = async <T>(work: (compute: AppCompute) => Promise<T>): Promise<T> => {
  const compute: AppCompute = computeInWorkers<typeof JOBS>(new URL('./compute-worker.mjs', import.meta.url));
  try {
    return await work(compute);
  } finally {
    await compute.close();
  }
};

/** The same for work that says how far it is and can be called off with Ctrl+C. */
const watched = async <T>(
  { progress, interrupted }: Surroundings,
  what: string,
  work: (compute: AppCompute, watch: Watch) => Promise<T>,
): Promise<T> => {
  const stop = new AbortController();
  const unhear = interrupted?.(() => stop.abort());
  try {
    return await withCompute((compute) =>
      work(compute, {
        signal: stop.signal,
        progress: progress && ((done, of) => progress(`${what}: ${done} of ${of} cars solved (Ctrl+C stops)`)),
      }),
    );
  } finally {
    progress?.(null);
    unhear?.();
  }
};

const garageOf = (options: Options, env: Surroundings['env']): string =>
  options.value('garage') ?? env.BOOSTWRIGHT_GARAGE ?? 'garage';

type Run = (options: Options, around: Surroundings) => Promise<void> | void;

export const RUN: Readonly<Record<Exclude<CommandName, 'help' | 'version' | 'review'>, Run>> = {
  match: async (options, around) => {
    const units = unitsOf(options);
    const samples = numberOf(options, 'samples', SAMPLES, true);
    const request = modelRequest('match', options);
    const answer = await watched(around, 'Match', (compute, watch) => matchBuild(compute, request, samples, watch));
    print(options, around, answer, () => matchText(answer, units, options.on('all')));
  },
  cylinder: async (options, around) => {
    const units = unitsOf(options);
    const samples = numberOf(options, 'samples', SAMPLES, true);
    const engineSpeedRpm = numberOf(options, 'speed', SPEEDS);
    const request = modelRequest('cylinder', options);
    const answer = await withCompute((compute) =>
      cylinderAt(compute, {
        ...request,
        ...(engineSpeedRpm === undefined ? {} : { engineSpeedRpm }),
        ...(samples === undefined ? {} : { samples }),
      }),
    );
    print(options, around, answer, () => cylinderText(answer, units));
  },
  spool: async (options, around) => {
    const units = unitsOf(options);
    const samples = numberOf(options, 'samples', SAMPLES, true);
    const asked = {
      gear: numberOf(options, 'gear', [1, 12], true),
      fromRpm: numberOf(options, 'from', SPEEDS),
      liftRpm: numberOf(options, 'lift', SPEEDS),
    };
    const request = { ...modelRequest('spool', options), asked };
    const answer = await withCompute((compute) => spoolOf(compute, request, samples));
    print(options, around, answer, () => spoolText(answer, units));
  },
  headroom: async (options, around) => {
    const units = unitsOf(options);
    const samples = numberOf(options, 'samples', SAMPLES, true);
    const request = modelRequest('headroom', options);
    const answer = await watched(around, 'Ledger', (compute, watch) => headroomOf(compute, request, samples, watch));
    print(options, around, answer, () => headroomText(answer, units));
  },
  measure: async (options, around) => {
    const units = unitsOf(options);
    const samples = numberOf(options, 'samples', SAMPLES, true);
    const named = options.value('answer');
    const wanted = named === undefined ? undefined : readAnswerName(named);
    const request = modelRequest('measure', options);
    const answer =
      wanted === 'spool-time'
        ? await watched(around, 'Spool', (compute, watch) => measureSpool(compute, request, samples, watch))
        : measureView(
            await watched(around, 'Ledger', (compute, watch) => headroomOf(compute, request, samples, watch)),
            wanted,
          );
    print(options, around, answer, () => measureText(answer, units));
  },
  fuel: (options, around) => {
    const units = unitsOf(options);
    const samples = numberOf(options, 'samples', SAMPLES, true);
    const { build, conditions } = modelRequest('fuel', options);
    const answer = fuelOf({
      build: tried(build, triedFuelOf(options), triedMixOf(options)),
      conditions,
      nozzlesM3PerS: nozzlesOf(options),
      wanted: wantedOf(options),
      samples,
    });
    print(options, around, answer, () => fuelText(answer, units));
  },
  lift: async (options, around) => {
    const units = unitsOf(options);
    const asked = liftAsked(options);
    if (asked.kind === 'comparison') {
      const answer = await withCompute((compute) => compareLifts(compute, asked.request, asked.samples));
      print(options, around, answer, () => comparisonText(answer, units));
      return;
    }
    const answer = await withCompute((compute) => searchLifts(compute, asked.request));
    print(options, around, answer, () => searchText(answer, units));
  },
  load: (options, around) => {
    const units = unitsOf(options);
    const samples = numberOf(options, 'samples', SAMPLES, true);
    const path = oneFile('load', 'a build sheet or an engine sheet', options);
    const answer = loadOf({
      build: readLoadSheet(readText(path), path),
      conditions: conditionsFrom(airOf(options)),
      engineSpeedsRpm: engineSpeedsOf(options),
      torquesNm: torquesOf(options),
      samples,
    });
    print(options, around, answer, () => loadText(answer, units));
  },
  map: (options, around) => {
    const units = unitsOf(options);
    const file = oneFile('map', 'a file with a compressor map', options);
    const answer = mapFromFile({ bytes: readBytes(file), name: basename(file), ...mapOptionsOf(options) });
    print(options, around, answer, () => mapText(answer, units));
  },
  compare: async (options, around) => {
    const units = unitsOf(options);
    const answer = await comparedRuns(options, garageOf(options, around.env), reviewRequest(options));
    print(options, around, answer, () => compareText(answer, units));
  },
  pulls: async (options, around) => {
    const units = unitsOf(options);
    const answer = await foundPulls(options, garageOf(options, around.env));
    print(options, around, answer, () => pullsText(answer, units));
  },
  import: async (options, around) => {
    const units = unitsOf(options);
    const file = oneFile('import', 'a log', options);
    const bytes = readBytes(file);
    const { choices, assumedRateHz } = reviewRequest(options);
    const garage = garageOf(options, around.env);
    const desk = openDesk({ garage, compute: computeHere(JOBS) });
    try {
      const known = desk.cars().cars;
      const carId = options.value('car');
      const car = known.find(({ id }) => id === carId);
      if (!car) {
        const names = known.map(({ id }) => id).join(', ');
        throw new BadInput(
          'no-such-car',
          `${carId === undefined ? 'Say which car it is with --car' : `There is no car "${carId}"`} (${names === '' ? `the garage ${garage} is empty: add a car on the web pages` : `the garage has ${names}`}).`,
        );
      }
      const buildId = options.value('build') ?? car.currentBuildId;
      if (buildId === null)
        throw new BadInput('no-build', `The car "${car.id}" has no build yet: add its build sheet first.`);
      const fileName = basename(file);
      const view = await withReading(around, bytes, async (watch) => {
        const fileDate = fileDateOf(file);
        const request = { carId: car.id, buildId, fileName, fileDate, bytes, assumedRateHz, choices };
        const taken = await desk.importRun(request, watch);
        if (taken.already) around.err(`This file is run "${taken.run.id}" already; nothing was added.`);
        return taken.run.state === 'reviewed' && choices.length === 0
          ? taken
          : desk.confirmRun(taken.run.id, { choices, remember: choices.length > 0 }, watch);
      });
      const answer = { schema: 'boostwright.review/1' as const, ...view };
      print(
        options,
        around,
        answer,
        () => `Kept as run "${view.run.id}" in ${garage}.\n\n${reviewText(answer, units)}`,
      );
    } finally {
      await desk.close();
    }
  },
  serve: async (options, around) => {
    if (options.words.length > 0)
      throw new BadInput('too-many-words', `"serve" takes no file. See "boostwright help serve".`);
    const given = around.env.PORT;
    if (given !== undefined && !/^\d{1,5}$/.test(given))
      throw new BadInput('bad-port', `PORT is "${given}", and that is no port number.`);
    const port = numberOf(options, 'port', PORTS, true) ?? (given === undefined ? USUAL_PORT : Number(given));
    await around.serve({ port, garage: garageOf(options, around.env) });
  },
};
