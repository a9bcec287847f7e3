/** A log read and recognised: how the file is written, its channels, its stretches; nothing judged yet. */
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { z } from 'zod';
import { type Build, type Car, problemsIn, type ResolvedBuild, readJson, resolveBuild } from '../car/index.ts';
import { columnSetOf } from '../garage/index.ts';
import {
  CHANNEL_NAMES,
  type Channel,
  type ChannelChoice,
  type ChannelName,
  type Column,
  type Log,
  type LogQuestion,
  type ReadWatch,
  readLog,
  startedAtOf,
} from '../logs/index.ts';
import { nearestName } from '../physics/index.ts';
import type { ChannelView, LogView, RefusedCells } from './api.ts';
import { reviewCautions } from './cautions.ts';
import { BadInput } from './problems.ts';

/** Refused rows, columns and cells that are listed one by one; the rest is counted. */
const MOST_REFUSED_ROWS_LISTED = 200;
const MOST_REFUSED_COLUMNS_LISTED = 400;

const choiceSchema = z.object({
  column: z.string().min(1),
  channel: z.enum(CHANNEL_NAMES).nullable(),
  unit: z.string().optional(),
  reference: z.enum(['gauge', 'absolute']).optional(),
  airFuelAtLambdaOne: z.number().optional(),
  scaling: z
    .union([
      z.object({ points: z.tuple([z.tuple([z.number(), z.number()]), z.tuple([z.number(), z.number()])]) }),
      z.object({ slope: z.number(), offset: z.number() }),
    ])
    .optional(),
  expression: z.string().max(1000).optional(),
});
export const choicesSchema = z.array(choiceSchema).max(2000);

/** Choices from the text of a `--map` file: a list, or an earlier answer with its `channels`. */
export const readChoices = (text: string, name: string): ChannelChoice[] => {
  if (text.trim() === '') throw new BadInput('bad-map', `${name} is empty; give column choices saved as JSON.`);
  const read = readJson(text);
  if (!read.ok) throw new BadInput('bad-map', `${name} is not JSON (${read.why}); save the column choices as JSON.`);
  const list = z.object({ channels: z.unknown() }).safeParse(read.value);
  return readChoicesValue(list.success ? list.data.channels : read.value, name);
};

/** Choices from plain data. `name` says where it stands. */
export const readChoicesValue = (value: unknown, name: string): ChannelChoice[] => {
  const read = choicesSchema.safeParse(value);
  if (read.success) return read.data;
  // A mistyped channel is the likeliest fault, and has a nearest name.
  const typed = z.array(z.object({ channel: z.string() })).safeParse(value);
  const stranger = typed.success
    ? typed.data.find(({ channel }) => !(CHANNEL_NAMES as readonly string[]).includes(channel))?.channel
    : undefined;
  if (stranger !== undefined) {
    const meant = nearestName(stranger, CHANNEL_NAMES);
    throw new BadInput(
      'bad-map',
      `${name}: there is no channel "${stranger}"${meant ? `; did you mean "${meant}"?` : '.'}`,
    );
  }
  throw new BadInput(
    'bad-map',
    `${name} is not a list of column choices like [{ "column": "MAP", "channel": "manifold-pressure", "unit": "kPa" }].`,
    problemsIn(read.error, choicesSchema),
  );
};

export interface ReadRequest {
  /** The file, or where it lies: then it is read where the work is done, not carried there. */
  readonly bytes: Uint8Array | { readonly path: string };
  /** What to call the file in sentences. */
  readonly name: string;
  readonly build: Build | null;
  readonly choices: readonly ChannelChoice[];
  /** What was said before, by set of columns: taken where the file has such a set, with `choices` over it. */
  readonly remembered?: Readonly<Record<string, readonly ChannelChoice[]>>;
  readonly assumedRateHz: number | null;
  /** What the engine burns, where no build says it. */
  readonly fuel?: 'petrol' | 'diesel';
  /** See ReadLogOptions. */
  readonly engineSpeedLater?: boolean;
  readonly sharedMemory?: boolean;
}

/** Puts what a person said over what was said before; one choice a column. */
export const joinChoices = (before: readonly ChannelChoice[], now: readonly ChannelChoice[]): ChannelChoice[] => {
  const byColumn = new Map(before.map((choice) => [choice.column, choice]));
  for (const choice of now) byColumn.set(choice.column, choice);
  // A derived channel that is left out is gone: there is no column to leave out.
  return [...byColumn.values()].filter(({ channel, expression }) => channel !== null || expression === undefined);
};

export interface ReadAnswer {
  readonly log: LogView;
  readonly channels: readonly ChannelView[];
  readonly unrecognised: Log['unrecognised'];
  /** What the file leaves open or contradicts. */
  readonly questions: readonly LogQuestion[];
  /** What was said of its columns, and applied. */
  readonly choices: readonly ChannelChoice[];
  /** Choices made for an earlier log with the same columns were applied. */
  readonly choicesRemembered: boolean;
  readonly segments: Log['segments'];
  readonly cautions: readonly string[];
}

const extremesOf = (values: Float64Array): { lowest: number; highest: number } => {
  let lowest = Number.POSITIVE_INFINITY;
  let highest = Number.NEGATIVE_INFINITY;
  for (let i = 0; i < values.length; i++) {
    const value = values[i]!;
    if (value < lowest) lowest = value;
    if (value > highest) highest = value;
  }
  return { lowest, highest };
};

const channelView = (channel: Channel, choice: ChannelChoice | undefined): ChannelView => ({
  index: channel.index,
  column: channel.column,
  channel: channel.channel,
  unit: channel.unit,
  ...(channel.reference ? { reference: channel.reference } : {}),
  confidence: channel.confidence,
  rateHz: channel.rateHz,
  because: channel.because,
  readings: channel.values.length,
  ...(choice?.airFuelAtLambdaOne === undefined ? {} : { airFuelAtLambdaOne: choice.airFuelAtLambdaOne }),
  ...(choice?.scaling ? { scaling: choice.scaling } : {}),
  ...(channel.expression === undefined ? {} : { expression: channel.expression }),
  ...(channel.values.length > 0 ? extremesOf(channel.values) : {}),
});

const refusedCells = ({ header, unreadableCells, firstUnreadable }: Column): RefusedCells => ({
  column: header,
  count: unreadableCells,
  ...firstUnreadable,
});

/** Columns with unreadable cells. Of a binary file only channels are looked at: the others need not be unpacked for it. */
const cellsRefused = ({ table, channels }: Log): RefusedCells[] => {
  const isText = (table.dialect.format ?? 'text') === 'text';
  const looked = isText
    ? table.columns
    : table.columns.filter(({ index }) => channels.some((channel) => channel.index === index));
  return looked
    .filter(({ unreadableCells }) => unreadableCells > 0)
    .slice(0, MOST_REFUSED_COLUMNS_LISTED)
    .map(refusedCells);
};

/** More gaps than this are a clock that is none. */
const MOST_GAPS_LISTED = 1000;

const startedAt = ({ table }: Log): Pick<LogView, 'startedAt'> => {
  const at = startedAtOf(table);
  return at === null ? {} : { startedAt: at };
};

/** Holes of the clock, where nothing was logged. */
const gapsOf = ({ clockFaults }: Log): Pick<LogView, 'gaps'> => {
  const gaps = clockFaults.flatMap(({ kind, startS, endS }) => (kind === 'gap' ? [{ startS, endS }] : []));
  return gaps.length === 0 ? {} : { gaps: gaps.slice(0, MOST_GAPS_LISTED) };
};

const logView = (log: Log, sha256: string, name: string): LogView => ({
  file: name,
  sha256,
  rows: log.table.rows,
  rowsRefused: log.table.rowsRefused.slice(0, MOST_REFUSED_ROWS_LISTED),
  rowsRefusedTotal: log.table.rowsRefusedCount ?? log.table.rowsRefused.length,
  columnsRefused: (log.table.columnsRefused ?? []).slice(0, MOST_REFUSED_COLUMNS_LISTED),
  cellsRefused: cellsRefused(log),
  notes: log.table.notes ?? [],
  startS: log.startS,
  endS: log.endS,
  ...startedAt(log),
  ...gapsOf(log),
  medianRateHz: log.medianRateHz,
  barometricPressurePa: log.barometricPressurePa,
  barometricFrom: log.barometricFrom,
  dialect: log.table.dialect,
});

/** Engine speed per road speed by gear [rpm/(m/s)], for telling gears apart. */
const gearingOf = ({ facts, driveline, tyres }: Car) => ({
  rpmPerMPerS: facts.gearRatios.map(
    (ratio) => (ratio * driveline.finalDrive * 60) / (2 * Math.PI * tyres.rollingRadiusM),
  ),
});

/** Channels whose rules are those of petrol. */
const OF_PETROL: readonly ChannelName[] = [
  'lambda',
  'knock-retard',
  'knock-level',
  'knock-count',
  'throttle',
  'air-flow',
];

/** Without a build nobody knows what the engine burns, and rules of petrol would be wrong on a diesel. */
const fuelQuestion = (log: Log): LogQuestion[] => {
  const judged = log.channels.filter(({ channel }) => OF_PETROL.includes(channel));
  if (judged.length === 0) return [];
  return [
    {
      kind: 'open',
      columns: judged.map(({ column }) => column),
      asks: 'What does the engine burn? Without a build sheet it is taken for petrol, whose rules of mixture and knock do not hold for a diesel.',
      options: [
        { says: 'petrol, ethanol or methanol (--fuel petrol)', choices: [] },
        { says: 'diesel (--fuel diesel)', choices: [] },
      ],
    },
  ];
};

/** A log read, with what is known of its car. */
export interface OpenedLog {
  readonly log: Log;
  readonly resolved: ResolvedBuild | null;
  /** What was read, for people: takes another look at every byte and reading. */
  readonly answer: () => ReadAnswer;
}

/**
 * Reads a log with what is known of its car. `watch` hears of the progress and may stop it.
 * @throws BadInput where the file is no log, with one sentence, or with the code 'stopped'.
 */
export const openLog = (
  { bytes: file, name, build, choices, remembered, assumedRateHz, engineSpeedLater, sharedMemory, fuel }: ReadRequest,
  watch?: ReadWatch,
): OpenedLog => {
  const resolved = build ? resolveBuild(build) : null;
  const car = resolved?.car ?? null;
  const bytes = file instanceof Uint8Array ? file : readFileSync(file.path);
  const rememberedFor = (headers: readonly string[]) => {
    const before = remembered?.[columnSetOf(headers)];
    return before ? joinChoices(before, choices) : null;
  };
  const read = readLog(bytes, {
    choices,
    ...(remembered ? { remembered: rememberedFor } : {}),
    ...(engineSpeedLater ? { engineSpeedLater } : {}),
    ...(sharedMemory ? { sharedMemory } : {}),
    ...(fuel ? { ignition: fuel === 'diesel' ? ('compression' as const) : ('spark' as const) } : {}),
    ...(assumedRateHz === null ? {} : { assumedRateHz }),
    ...(car ? { gearing: gearingOf(car) } : {}),
    ...(watch ? { watch } : {}),
  });
  if (!read.ok) throw new BadInput(read.problem.code, `${name}: ${read.problem.says}`);
  const { log } = read;
  const headers = log.table.columns.map(({ header }) => header);
  const applied = log.choicesRemembered ? (rememberedFor(headers) ?? []) : choices;
  const choiceOf = new Map(applied.map((choice) => [choice.column, choice]));
  const answer = (): ReadAnswer => ({
    log: logView(log, createHash('sha256').update(bytes).digest('hex'), name),
    channels: log.channels.map((channel) => channelView(channel, choiceOf.get(channel.column))),
    unrecognised: log.unrecognised,
    questions: [...(log.questions ?? []), ...(build || fuel ? [] : fuelQuestion(log))],
    choices: applied,
    choicesRemembered: log.choicesRemembered === true,
    segments: log.segments,
    cautions: reviewCautions(car),
  });
  return { log, resolved, answer };
};

/** The read alone, as plain data, also of a log whose engine speed is still to be chosen; with the headers that name its set of columns. */
export const readRun = (
  request: ReadRequest,
  watch?: ReadWatch,
): { readonly answer: ReadAnswer; readonly headers: readonly string[] } => {
  const { log, answer } = openLog({ ...request, engineSpeedLater: true }, watch);
  return { answer: answer(), headers: log.table.columns.map(({ header }) => header) };
};
