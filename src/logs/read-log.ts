/** Bytes to a whole log: table, channels, gears, pulls, segments. */
import { choiceProblem, strangersAmong } from './choices.ts';
import { gearModelOf } from './gears.ts';
import { findPulls } from './pulls.ts';
import { recogniseChannels } from './recognise.ts';
import { channelNamed } from './sampling.ts';
import { findSegments } from './segments.ts';
import { readTable, type TableOptions } from './table.ts';
import type { ChannelChoice, KnownGearing, LogResult } from './types.ts';
import { ReadingStopped, type ReadWatch, STOPPED, ticker } from './watch.ts';

export interface ReadLogOptions extends TableOptions {
  /** What a person said that columns are; goes before recognition. */
  readonly choices?: readonly ChannelChoice[];
  /** What was said before about a file with these headers, or null; goes before `choices`. Where it leaves no engine speed it is set aside. */
  readonly remembered?: (headers: readonly string[]) => readonly ChannelChoice[] | null;
  /** A log in which nobody knows engine speed yet is read too, without segments and pulls, so that a person can choose its column. */
  readonly engineSpeedLater?: boolean;
  /** See {@link RecogniseOptions}. */
  readonly sharedMemory?: boolean;
  /** How the engine lights its fuel: petrol and the like by a spark, diesel by compression. */
  readonly ignition?: 'spark' | 'compression';
  /** Engine rpm per m/s of road speed by gear, from the build. */
  readonly gearing?: KnownGearing;
  /** Barometer [Pa] where the log carries none. */
  readonly barometricPressurePa?: number;
}

/** Share of a reading that lies between bytes and columns; the rest is recognition and cutting up (measured on long text logs). */
const TABLE_SHARE = 0.4;

const readWatched = (bytes: Uint8Array, options: ReadLogOptions): LogResult => {
  const { watch } = options;
  const tick = ticker(watch, TABLE_SHARE);
  const inner: ReadWatch | undefined = watch && {
    ...watch,
    onProgress: (share) => watch.onProgress?.(share * TABLE_SHARE),
  };
  const read = readTable(bytes, inner ? { ...options, watch: inner } : options);
  if (!read.ok) return read;
  const { table, clock } = read;
  tick(0);
  const headers = table.columns.map(({ header }) => header);
  const { choices: given = [] } = options;
  const wrong = choiceProblem(given, headers);
  if (wrong !== null) return { ok: false, problem: { code: 'bad-choice', says: wrong } };
  const before = options.remembered?.(headers) ?? null;
  const isUsable = before !== null && choiceProblem(before, headers) === null;
  let recognised = recogniseChannels(table, clock, isUsable ? { ...options, choices: before } : options);
  let choicesRemembered = isUsable;
  if (isUsable && !channelNamed(recognised, 'engine-speed')) {
    // Choices made for another log leave nothing of this one: it is shown as it is recognised.
    recognised = recogniseChannels(table, clock, options);
    choicesRemembered = false;
  }
  const [lost] = recognised.derivedProblems;
  if (lost !== undefined && !choicesRemembered) return { ok: false, problem: { code: 'bad-choice', says: lost } };
  const notes = [
    ...(table.notes ?? []),
    ...recognised.derivedProblems.map((says) => `the derived channel ${says.replace(/\.$/, '')}`),
    ...strangersAmong(given, headers).map((name) => `a choice for "${name}" was not used: the file has no such column`),
  ];
  const kept = notes.length > 0 ? { ...table, notes } : table;
  const times = clock.pieces;
  const span = {
    ...recognised,
    table: kept,
    ...(options.ignition ? { ignition: options.ignition } : {}),
    ...(choicesRemembered ? { choicesRemembered } : {}),
    startS: Math.min(...times.map(({ startS }) => startS)),
    endS: Math.max(...times.map(({ endS }) => endS)),
    medianRateHz: clock.medianStepS > 0 ? 1 / clock.medianStepS : 0,
    pieces: clock.pieces,
    clockFaults: clock.faults,
  };
  if (!channelNamed(recognised, 'engine-speed')) {
    if (options.engineSpeedLater && table.timeFromFile) {
      return { ok: true, log: { ...span, gearClusters: [], segments: [], pulls: [] } };
    }
    const names = table.columns.slice(0, 6).map(({ header }) => header);
    return {
      ok: false,
      problem: {
        code: 'no-engine-speed',
        says: `No column of engine speed was found among ${names.join(', ')}${table.columns.length > 6 ? ', …' : ''}; choose the column that holds it.`,
      },
    };
  }
  tick(0.6);
  const gears = gearModelOf(recognised, options.gearing);
  tick(0.7);
  const found = findPulls(recognised, gears);
  tick(0.85);
  const segments = findSegments(recognised, gears, found);
  tick(1);
  return {
    ok: true,
    log: { ...span, gearClusters: gears.clusters, segments, pulls: found.pulls },
  };
};

/**
 * Reads a log. Never throws: what cannot be a log comes back as a problem with one sentence for people. Rows that could
 * not be read are in `table.rowsRefused`, columns that hold no numbers in `table.columnsRefused`, columns that could not
 * be named in `unrecognised`. `options.watch` is told of progress and may stop it.
 */
export const readLog = (bytes: Uint8Array, options: ReadLogOptions = {}): LogResult => {
  try {
    return readWatched(bytes, options);
  } catch (error) {
    if (error instanceof ReadingStopped) return { ok: false, problem: STOPPED };
    throw error;
  }
};
