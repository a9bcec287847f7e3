/** Shapes of a log as it moves from bytes to channels to segments to pulls. All values SI, all times on the log's own clock [s]. */

/** The quantities a log can carry, by the names that `--json` uses. */
export const CHANNEL_NAMES = [
  'time',
  'engine-speed',
  'vehicle-speed',
  'wheel-speed-driven',
  'wheel-speed-undriven',
  'satellite-speed',
  'throttle',
  'pedal',
  'manifold-pressure',
  'manifold-pressure-target',
  'barometric-pressure',
  'compressor-outlet-pressure',
  'ambient-temperature',
  'intake-temperature',
  'compressor-outlet-temperature',
  'charge-temperature',
  'coolant-temperature',
  'oil-temperature',
  'oil-pressure',
  'fuel-pressure',
  'lambda',
  'lambda-target',
  'fuel-trim',
  'fuel-trim-long',
  'air-flow',
  'air-flow-frequency',
  'injector-pulse',
  'injector-duty',
  'spark-advance',
  'knock-retard',
  'knock-level',
  'knock-count',
  'misfire-count',
  'battery-voltage',
  'exhaust-temperature',
  'exhaust-pressure',
  'shaft-speed',
  'wastegate-duty',
  'injection-flow',
  'injection-pressure',
  'gear',
  'clutch-switch',
  'acceleration',
  'altitude',
  'ethanol-content',
] as const;

export type ChannelName = (typeof CHANNEL_NAMES)[number];

/** How a pressure column was written. Values in {@link Channel.values} are always absolute for pressures that a part feels against vacuum. */
export type PressureReference = 'gauge' | 'absolute';

/** What a file was found to be written like. Of a binary file only `format` and `timeFormat` say anything. */
export interface Dialect {
  /** 'text' where it is left out. */
  readonly format?: 'text' | 'mdf4' | 'parquet';
  readonly encoding: 'utf-8' | 'utf-16le' | 'utf-16be' | 'latin-1';
  readonly separator: string;
  readonly decimal: '.' | ',';
  /** 1-based line of the column names, 0 when the file has none. */
  readonly headerLine: number;
  /** 1-based line of a row of units, or null. */
  readonly unitsLine: number | null;
  readonly timeFormat: 's' | 'ms' | 'min' | 'clock' | 'none';
}

export interface RefusedRow {
  /** 1-based line in the file. */
  readonly line: number;
  readonly why: string;
}

/** One column as read: numbers, with NaN where the cell was blank or not a number (counted in `unreadableCells`). */
export interface Column {
  readonly index: number;
  readonly header: string;
  /** Unit text as written in the header, in brackets, or in the row of units; empty when none was written. */
  readonly unitText: string;
  readonly cells: Float64Array;
  readonly unreadableCells: number;
  /** The first cell that was no number, with its 1-based line. */
  readonly firstUnreadable?: { readonly line: number; readonly text: string };
  /** Rows of the table on which this column was sampled, in order, where it was not on every one (files of several rates). */
  readonly raster?: Int32Array;
}

/** A column that the file has and that is not read. */
export interface RefusedColumn {
  readonly column: string;
  readonly why: string;
}

/** A file read into columns, nothing interpreted but the clock. */
export interface LogTable {
  readonly dialect: Dialect;
  readonly rows: number;
  readonly rowsRefused: readonly RefusedRow[];
  /** All refused rows, where there were more than `rowsRefused` lists. */
  readonly rowsRefusedCount?: number;
  /** Clock of every kept row [s], in file order, as written: it may jump or repeat. */
  readonly timeS: Float64Array;
  /** False when the file had no clock and `timeS` was made from an assumed rate. */
  readonly timeFromFile: boolean;
  /** Start that the file states beside its clock, on the clock of the place [s from 1970-01-01]. */
  readonly startedAtS?: number;
  readonly columns: readonly Column[];
  /** Columns that hold no numbers that could be read, with the reason. */
  readonly columnsRefused?: readonly RefusedColumn[];
  /** What else of the file was not read or was mended, a sentence each. */
  readonly notes?: readonly string[];
}

/**
 * One recognised quantity. `timesS`/`values` hold only the fresh readings (a held or blank cell is no reading), in
 * clock order, finite, SI: pressures absolute (but see {@link Channel.pressureIs}), temperatures K, speeds m/s,
 * angles deg of crank, duty and throttle 0..1, lambda 1 = stoichiometric, trims as a fraction, knock level V.
 */
export interface Channel {
  readonly index: number;
  readonly column: string;
  readonly channel: ChannelName;
  /** Unit as written or inferred, a text for people. */
  readonly unit: string;
  readonly reference?: PressureReference;
  /** Oil and fuel pressure stay gauge inside (their parts are rated so); the rest is absolute. */
  readonly pressureIs?: 'absolute' | 'gauge';
  readonly confidence: number;
  readonly rateHz: number;
  readonly timesS: Float64Array;
  readonly values: Float64Array;
  /** One rounding step of the written value, SI; 0 when unknown. */
  readonly resolution: number;
  /** Why this was chosen, in words, for the person who confirms it. */
  readonly because: string;
  /** Of a derived channel: what it is computed as. */
  readonly expression?: string;
}

export type ClockFaultKind = 'gap' | 'duplicate' | 'backward' | 'step';
export interface ClockFault {
  readonly kind: ClockFaultKind;
  readonly startS: number;
  readonly endS: number;
  readonly rows: number;
}

export type SegmentKind = 'crank' | 'idle' | 'warm-up' | 'cruise' | 'coast' | 'launch' | 'pull' | 'shift';
export interface Segment {
  readonly kind: SegmentKind;
  readonly startS: number;
  readonly endS: number;
  readonly gear?: number;
}

/** One single-gear stretch of a pull, clutch home. */
export interface PullPart {
  readonly gear: number | null;
  readonly startS: number;
  readonly endS: number;
}

/** From pedal full to pedal lift, joined over full-throttle shifts. */
export interface Pull {
  readonly startS: number;
  readonly endS: number;
  readonly gears: readonly number[];
  readonly shiftsS: readonly number[];
  readonly parts: readonly PullPart[];
  readonly minEngineSpeedRpm: number;
  readonly maxEngineSpeedRpm: number;
}

/** One cluster of engine speed over road speed. */
export interface GearCluster {
  readonly gear: number | null;
  readonly rpmPerMPerS: number;
  readonly share: number;
}

/** The piece of the log between two breaks of the clock. */
export interface ClockPiece {
  readonly startS: number;
  readonly endS: number;
  readonly firstRow: number;
  readonly endRow: number;
}

/** A straight line from the numbers of a column to values in its unit: through two points (number, value), or by slope and offset. */
export type Scaling =
  | { readonly points: readonly [readonly [number, number], readonly [number, number]] }
  | { readonly slope: number; readonly offset: number };

/** What a person has said a column is; kept per column set and applied before recognition. */
export interface ChannelChoice {
  /** Name of the column; of a derived channel a name of its own. */
  readonly column: string;
  /** null: leave this column out. */
  readonly channel: ChannelName | null;
  readonly unit?: string;
  readonly reference?: PressureReference;
  /** Air-fuel ratio that this column writes at lambda 1; 14.7 where it is absent. */
  readonly airFuelAtLambdaOne?: number;
  /** From what the column holds (volts, counts) to `unit`. */
  readonly scaling?: Scaling;
  /** Makes this a derived channel: computed from others, see expression.ts. Its result is in `unit`. */
  readonly expression?: string;
}

/** What the file leaves open, or what its readings contradict. Until it is answered the first option is taken. */
export interface LogQuestion {
  readonly kind: 'open' | 'contradiction';
  readonly columns: readonly string[];
  /** One or two sentences: what is asked, and what the readings show. */
  readonly asks: string;
  /** Each with the choices that answer so; a choice holds only what the question settles of its column. */
  readonly options: readonly { readonly says: string; readonly choices: readonly ChannelChoice[] }[];
}

/** Gearing known from the build, for naming clusters: engine rpm per road speed m/s by gear, first gear first. */
export interface KnownGearing {
  readonly rpmPerMPerS: readonly number[];
}

/** A log, read, recognised and cut up. */
export interface Log {
  readonly table: LogTable;
  readonly channels: readonly Channel[];
  /** How the engine lights its fuel, where that was said and no build says it. */
  readonly ignition?: 'spark' | 'compression';
  /** What the file leaves open or contradicts. */
  readonly questions?: readonly LogQuestion[];
  /** Choices made for an earlier log with the same columns were applied. */
  readonly choicesRemembered?: boolean;
  /** Columns nobody could name: index and header. */
  readonly unrecognised: readonly { readonly index: number; readonly column: string; readonly unit: string }[];
  readonly startS: number;
  readonly endS: number;
  readonly medianRateHz: number;
  /** Barometer used for gauge columns [Pa] and where it came from. */
  readonly barometricPressurePa: number;
  readonly barometricFrom:
    | 'channel'
    | 'given'
    | 'manifold at rest'
    | 'charge pipe at light load'
    | 'target at rest'
    | 'assumed';
  readonly pieces: readonly ClockPiece[];
  readonly clockFaults: readonly ClockFault[];
  readonly gearClusters: readonly GearCluster[];
  readonly segments: readonly Segment[];
  readonly pulls: readonly Pull[];
}

/** Why a file cannot be a log: one clear sentence (what, where, what to do). */
export interface LogProblem {
  readonly code:
    | 'empty-file'
    | 'not-text'
    | 'no-table'
    | 'no-rows'
    | 'no-engine-speed'
    | 'needs-rate'
    | 'too-ragged'
    | 'damaged'
    | 'too-large'
    | 'bad-choice'
    | 'stopped';
  readonly says: string;
}

export type LogResult = { readonly ok: true; readonly log: Log } | { readonly ok: false; readonly problem: LogProblem };
