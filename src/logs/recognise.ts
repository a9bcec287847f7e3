/** Columns to channels: name, unit and behaviour, each with a confidence and the reason in words. */
import { spreadToSi } from '../physics/units.ts';
import { type Candidate, candidateOf, weigh, writtenToSi } from './candidates.ts';
import type { ClockOrder } from './clock.ts';
import { settleContradictions } from './contradictions.ts';
import { derivedChannel } from './derived.ts';
import { type FreshCells, readingsOfAll } from './fresh.ts';
import { guessPressureUnits, settleReferences } from './pressure.ts';
import { KINDS } from './quantities.ts';
import { usualStepS } from './rasters.ts';
import { medianOf, quantileOf } from './sampling.ts';
import { lineOf, scaledColumn } from './scaling.ts';
import type { Channel, ChannelChoice, ChannelName, Column, KnownGearing, Log, LogQuestion, LogTable } from './types.ts';
import { guessOtherUnits, isCount } from './units.ts';

export interface RecogniseOptions {
  readonly choices?: readonly ChannelChoice[];
  readonly gearing?: KnownGearing;
  /** Barometer where the log has none [Pa]. */
  readonly barometricPressurePa?: number;
  /** Readings lie in memory that threads share, so that another one sees them without a copy. */
  readonly sharedMemory?: boolean;
}

export interface Recognised extends Pick<Log, 'channels' | 'unrecognised' | 'barometricPressurePa' | 'barometricFrom'> {
  readonly questions: readonly LogQuestion[];
  /** Derived channels that could not be computed, a sentence each. */
  readonly derivedProblems: readonly string[];
}

/** Standard atmosphere at sea level [Pa], ISO 2533:1975. */
const STANDARD_PRESSURE_PA = 101_325;

const find = (candidates: readonly Candidate[], channel: Candidate['channel']): Candidate | undefined =>
  candidates.filter((candidate) => candidate.channel === channel).sort((a, b) => b.confidence - a.confidence)[0];

const believable = (pa: number | null): pa is number => pa !== null && pa > 55e3 && pa < 110e3;

/** Absolute manifold readings [Pa] while the engine stands still are the barometer. */
const manifoldAtRestPa = (candidates: readonly Candidate[]): number | null => {
  const manifold = find(candidates, 'manifold-pressure');
  const engine = find(candidates, 'engine-speed');
  if (manifold?.reference !== 'absolute' || !engine) return null;
  const seen: number[] = [];
  let rpm = Number.NaN;
  let still = 0;
  for (let row = 0; row < engine.column.cells.length; row++) {
    const now = engine.column.cells[row]!;
    if (!Number.isNaN(now)) rpm = now;
    still = rpm === 0 ? still + 1 : 0;
    const cell = manifold.column.cells[row]!;
    // The first rows after a stop may still hold the running engine's reading.
    if (still > 25 && !Number.isNaN(cell)) seen.push(writtenToSi(manifold, cell));
  }
  return seen.length >= 10 ? medianOf(seen) : null;
};

/** An absolute charge pipe's lowest readings [Pa] lie within a kilopascal or two of the barometer: the filter's loss at light load is small (common practice, no source). */
const pipeAtLightLoadPa = (candidates: readonly Candidate[]): number | null => {
  const pipe = find(candidates, 'compressor-outlet-pressure');
  if (pipe?.reference !== 'absolute') return null;
  return writtenToSi(pipe, pipe.marks.q05);
};

/** An absolute boost target that rests at one reading for a fifth of the log asks for the barometer there. */
const targetAtRestPa = (candidates: readonly Candidate[]): number | null => {
  const target = find(candidates, 'manifold-pressure-target');
  if (target?.reference !== 'absolute') return null;
  const { low, q05, marks } = { ...target.marks, marks: target.marks };
  const fifth = quantileOf(target.column.cells, 0.2);
  if (fifth === null || marks.high - low < 20 * marks.step) return null;
  const rest = [low, q05, fifth].map((written) => writtenToSi(target, written));
  return rest[2]! - rest[0]! < 600 ? medianOf(rest) : null;
};

const barometerOf = (
  candidates: readonly Candidate[],
  givenPa: number | undefined,
): Pick<Log, 'barometricPressurePa' | 'barometricFrom'> => {
  const column = find(candidates, 'barometric-pressure');
  const fromColumn = column ? writtenToSi(column, column.marks.median) : null;
  if (believable(fromColumn)) return { barometricPressurePa: fromColumn, barometricFrom: 'channel' };
  if (believable(givenPa ?? null)) return { barometricPressurePa: givenPa!, barometricFrom: 'given' };
  const atRest = manifoldAtRestPa(candidates);
  if (believable(atRest)) return { barometricPressurePa: atRest, barometricFrom: 'manifold at rest' };
  const pipe = pipeAtLightLoadPa(candidates);
  if (believable(pipe)) return { barometricPressurePa: pipe, barometricFrom: 'charge pipe at light load' };
  const target = targetAtRestPa(candidates);
  if (believable(target)) return { barometricPressurePa: target, barometricFrom: 'target at rest' };
  return { barometricPressurePa: STANDARD_PRESSURE_PA, barometricFrom: 'assumed' };
};

/**
 * 'Intake air temperature' names two places. It is the charge after the cooler unless the file has a surer column for
 * that, or unless it stays near the ambient column through half a minute and more of boost without water injection.
 */
const settleIntakeTemperature = (candidates: readonly Candidate[], barometerPa: number, timeS: Float64Array): void => {
  const charges = candidates.filter(({ channel, chosen }) => channel === 'charge-temperature' && !chosen);
  const sure = charges.find(({ confidence }) => confidence > 0.85);
  const before = find(candidates, 'intake-temperature') ?? find(candidates, 'ambient-temperature');
  for (const charge of charges) {
    if (charge.confidence > 0.8) continue;
    if (sure && sure !== charge) {
      charge.channel = 'intake-temperature';
      weigh(charge, 0.95, 'another column is the charge temperature');
    } else if (
      before &&
      staysCool(charge, before, find(candidates, 'manifold-pressure'), barometerPa, timeS) &&
      !find(candidates, 'injection-flow')
    ) {
      charge.channel = 'intake-temperature';
      weigh(charge, 0.9, 'it stays near the outside air under long boost');
    } else if (before) weigh(charge, 1.2, 'the air before the compressor has a column of its own');
    else weigh(charge, 1.05, 'taken for the charge after the cooler');
  }
};

const staysCool = (
  charge: Candidate,
  before: Candidate,
  manifold: Candidate | undefined,
  barometerPa: number,
  timeS: Float64Array,
): boolean => {
  if (!manifold?.unit || !charge.unit || !before.unit) return false;
  const above: number[] = [];
  let boostedS = 0;
  let [chargeK, beforeK, pressurePa] = [Number.NaN, Number.NaN, Number.NaN];
  for (let row = 0; row < timeS.length; row++) {
    const [a, b, p] = [charge.column.cells[row]!, before.column.cells[row]!, manifold.column.cells[row]!];
    if (!Number.isNaN(a)) chargeK = writtenToSi(charge, a);
    if (!Number.isNaN(b)) beforeK = writtenToSi(before, b);
    if (!Number.isNaN(p)) pressurePa = writtenToSi(manifold, p) + (manifold.reference === 'gauge' ? barometerPa : 0);
    if (pressurePa < 1.5 * barometerPa || Number.isNaN(pressurePa)) continue;
    const stepS = row > 0 ? timeS[row]! - timeS[row - 1]! : 0;
    if (stepS > 0 && stepS < 2) boostedS += stepS;
    if (!Number.isNaN(chargeK - beforeK)) above.push(chargeK - beforeK);
  }
  return boostedS > 30 && (quantileOf(above, 0.5) ?? 99) < 12;
};

/** A channel whose ordinary readings leave what cars do is doubted, not dropped. */
const doubtRange = (candidate: Candidate, barometerPa: number): void => {
  if (candidate.chosen) return;
  const { usual, family, staysGauge } = KINDS[candidate.channel];
  const lift = family === 'pressure' && !staysGauge && candidate.reference === 'gauge' ? barometerPa : 0;
  const ends = [writtenToSi(candidate, candidate.marks.q05) + lift, writtenToSi(candidate, candidate.marks.q95) + lift];
  const [low, high] = [Math.min(...ends), Math.max(...ends)];
  if (low < usual[0] || high > usual[1]) weigh(candidate, 0.6, 'its readings leave the usual range');
};

/** Times of readings [s]. Columns that are read on the same rows share them, so that memory holds a clock once and not once a channel. */
type TimesOf = (fresh: FreshCells, order: Int32Array) => Float64Array;

/** Room for so many readings. */
type RoomFor = (size: number) => Float64Array;
const ownRoom: RoomFor = (size) => new Float64Array(size);
const sharedRoom: RoomFor = (size) => new Float64Array(new SharedArrayBuffer(size * Float64Array.BYTES_PER_ELEMENT));

const sharedTimes = (timeS: Float64Array, roomFor: RoomFor): TimesOf => {
  const known = new Map<Int32Array, Float64Array>();
  return ({ at }, order) => {
    const found = known.get(at);
    if (found) return found;
    const timesS = roomFor(at.length);
    for (let i = 0; i < timesS.length; i++) timesS[i] = timeS[order[at[i]!]!]!;
    known.set(at, timesS);
    return timesS;
  };
};

const toChannel = (
  candidate: Candidate,
  { fresh, order, inRows }: Readings,
  timesOf: TimesOf,
  roomFor: RoomFor,
  barometerPa: number,
): Channel | null => {
  const { column, unit, marks } = candidate;
  const { family, staysGauge } = KINDS[candidate.channel];
  const size = fresh.at.length;
  if (size === 0) return null;
  const isPressure = family === 'pressure';
  const shift = !isPressure
    ? 0
    : staysGauge
      ? candidate.reference === 'absolute'
        ? -barometerPa
        : 0
      : candidate.reference === 'gauge'
        ? barometerPa
        : 0;
  const timesS = timesOf(fresh, order);
  const values = roomFor(size);
  // The line of writtenToSi, taken out of the loop.
  const slope = (unit ? spreadToSi(unit.scale, unit.unit) : 1) * (candidate.negate ? -1 : 1);
  const offset = writtenToSi(candidate, 0) + shift;
  const { cells } = column;
  const { at } = fresh;
  // Mostly every row is a reading and rows lie in the order of their times.
  if (inRows && size === order.length) for (let i = 0; i < size; i++) values[i] = cells[i]! * slope + offset;
  else for (let i = 0; i < size; i++) values[i] = cells[order[at[i]!]!]! * slope + offset;
  const steps: number[] = [];
  for (let i = 1; i < size; i += Math.max(1, Math.floor(size / 5000))) steps.push(timesS[i]! - timesS[i - 1]!);
  const stepS = medianOf(steps);
  return {
    index: column.index,
    column: column.header,
    channel: candidate.channel,
    unit: candidate.unitText,
    ...(isPressure
      ? { reference: candidate.reference ?? 'absolute', pressureIs: staysGauge ? 'gauge' : 'absolute' }
      : {}),
    confidence: Number(candidate.confidence.toFixed(3)),
    rateHz: stepS ? 1 / stepS : 0,
    timesS,
    values,
    resolution: Math.abs(unit ? spreadToSi(marks.step * unit.scale, unit.unit) : marks.step),
    because: candidate.reasons.join('; '),
  };
};

/** What a driver or the road moves: nobody logs it more seldom than this [s]; temperatures and the like they do (common practice, no source). */
const QUICK: ReadonlySet<ChannelName> = new Set([
  'engine-speed',
  'pedal',
  'throttle',
  'manifold-pressure',
  'manifold-pressure-target',
  'vehicle-speed',
  'wheel-speed-driven',
  'wheel-speed-undriven',
  'air-flow',
  'lambda',
  'lambda-target',
  'injector-pulse',
  'injector-duty',
  'spark-advance',
  'acceleration',
]);
const SLOWEST_QUICK_S = 4;
const SLOWEST_S = 20;

interface Readings {
  readonly fresh: FreshCells;
  /** The order that `fresh` counts in. */
  readonly order: Int32Array;
  /** It is that of the rows. */
  readonly inRows: boolean;
}

/** Which cells are readings, judged among the rows that each column was sampled on: a file of several rates has rows that are none of a column's. */
const readingsByRaster = (candidates: readonly Candidate[], table: LogTable, clock: ClockOrder): Readings[] => {
  const readings: Readings[] = new Array(candidates.length);
  for (const raster of new Set(candidates.map(({ column }) => column.raster))) {
    const at = candidates.flatMap(({ column }, i) => (column.raster === raster ? [i] : []));
    let { order, pieceOf, medianStepS } = clock;
    if (raster) {
      const sampled = new Uint8Array(table.rows);
      for (const row of raster) sampled[row] = 1;
      pieceOf = pieceOf.filter((_, i) => sampled[order[i]!] === 1);
      order = order.filter((row) => sampled[row] === 1);
      medianStepS = usualStepS(Float64Array.from(order, (row) => table.timeS[row]!));
    }
    const inRows = order.every((row, i) => row === i);
    const fresh = readingsOfAll(
      at.map((i) => candidates[i]!.column.cells),
      order,
      pieceOf,
      table.timeS,
      medianStepS,
      at.map((i) => isCount(candidates[i]!.channel)),
      at.map((i) => (QUICK.has(candidates[i]!.channel) ? SLOWEST_QUICK_S : SLOWEST_S)),
    );
    at.forEach((i, place) => {
      readings[i] = { fresh: fresh[place]!, order, inRows };
    });
  }
  return readings;
};

/** A column along the line that the person gave for it. */
const alongLine = (column: Column, choice: ChannelChoice | undefined): Column => {
  const line = choice?.scaling ? lineOf(choice.scaling) : null;
  return line === null || typeof line === 'string' ? column : scaledColumn(column, line);
};

/** The readings of a column as they are written, on the log's clock, or null where there is none of this name. */
const columnReadings = (table: LogTable, clock: ClockOrder, name: string): Channel | null => {
  const column = table.columns.find(({ header }) => header === name);
  if (!column) return null;
  const { order, pieceOf, medianStepS } = clock;
  const [fresh] = readingsOfAll([column.cells], order, pieceOf, table.timeS, medianStepS, [false]);
  const rows = Int32Array.from(fresh!.at, (at) => order[at]!);
  const timesS = Float64Array.from(rows, (row) => table.timeS[row]!);
  const stepS = usualStepS(timesS);
  return {
    index: column.index,
    column: name,
    channel: 'lambda',
    unit: '',
    confidence: 1,
    rateHz: stepS > 0 ? 1 / stepS : 0,
    timesS,
    values: Float64Array.from(rows, (row) => column.cells[row]!),
    resolution: 0,
    because: '',
  };
};

/** Recognises the columns of a table. Columns with no numbers or no known name are listed as unrecognised, never dropped silently. */
export const recogniseChannels = (table: LogTable, clock: ClockOrder, options: RecogniseOptions = {}): Recognised => {
  const choices = new Map((options.choices ?? []).map((choice) => [choice.column, choice]));
  const candidates: Candidate[] = [];
  for (const column of table.columns) {
    const choice = choices.get(column.header);
    const candidate = candidateOf(alongLine(column, choice), choice);
    if (candidate && candidate.channel !== 'time') candidates.push(candidate);
  }
  settleContradictions(candidates, table.timeS);
  guessPressureUnits(candidates);
  settleReferences(candidates, options.barometricPressurePa);
  const barometer = barometerOf(candidates, options.barometricPressurePa);
  guessOtherUnits(candidates, table.timeS, barometer.barometricPressurePa, options.gearing);
  settleIntakeTemperature(candidates, barometer.barometricPressurePa, table.timeS);
  for (const candidate of candidates) doubtRange(candidate, barometer.barometricPressurePa);
  const readings = readingsByRaster(candidates, table, clock);
  const roomFor = options.sharedMemory ? sharedRoom : ownRoom;
  const timesOf = sharedTimes(table.timeS, roomFor);
  const seen = new Map<string, number>();
  const channels: Channel[] = [];
  candidates.forEach((candidate, i) => {
    // Of several columns of one name the first is preferred.
    const before = seen.get(candidate.channel) ?? 0;
    seen.set(candidate.channel, before + 1);
    if (!candidate.chosen) candidate.confidence *= 0.98 ** before;
    const channel = toChannel(candidate, readings[i]!, timesOf, roomFor, barometer.barometricPressurePa);
    if (channel) channels.push(channel);
  });
  const taken = new Set(channels.map(({ index }) => index));
  const derivedProblems: string[] = [];
  for (const choice of choices.values()) {
    const { expression, channel } = choice;
    if (expression === undefined || channel === null) continue;
    const made = derivedChannel(
      { ...choice, channel, expression },
      {
        channels,
        columnReadings: (name) => columnReadings(table, clock, name),
        barometricPressurePa: barometer.barometricPressurePa,
        index: Math.max(-1, ...table.columns.map(({ index }) => index)) + 1 + channels.length,
      },
    );
    if (made.ok) channels.push(made.channel);
    else derivedProblems.push(`"${choice.column}" is left out. ${made.says}`);
  }
  return {
    channels,
    unrecognised: table.columns
      .filter(({ index }) => !taken.has(index))
      .map(({ index, header, unitText }) => ({ index, column: header, unit: unitText })),
    questions: candidates.flatMap(({ questions }) => questions),
    derivedProblems,
    ...barometer,
  };
};
