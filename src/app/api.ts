/**
 * The shapes that the server speaks, for the web pages and for tests. Types only: nothing here runs.
 *
 * All values SI with the unit in the key, pressures absolute unless the key says boost, temperatures kelvin, times
 * seconds on the log's own clock. A value with a band is {@link Band}. What could not be computed is absent and named
 * in `problems`. Every refusal is an {@link ApiError} with a 4xx status; 5xx is our own fault.
 *
 * | call | body or query | answer |
 * |---|---|---|
 * | GET  /api/cars | | {@link CarsView} |
 * | POST /api/cars | {@link NewCarRequest} | 201 {@link BuildView}: the car with its first build; 409 where the name is taken |
 * | GET  /api/cars/:carId/builds | | {@link BuildsView} |
 * | POST /api/cars/:carId/builds | {@link NewBuildRequest} | 201 {@link BuildView}; 409 where a newer build was saved meanwhile |
 * | POST /api/loose-logs?stage=read or review[&fuel=][&rate=HZ][&reading=ID] | multipart: field `choices` (JSON, optional), then one file in field `log` | LooseRunView (loose-api.ts); nothing is kept |
 * | GET  /api/builds/:buildId | | {@link BuildView} |
 * | GET  /api/builds/:buildId/match | ?{@link ConditionsQuery} | {@link MatchView} |
 * | GET  /api/builds/:buildId/cylinder | ?rpm= and ?{@link ConditionsQuery} | `CylinderView` of cylinder-api.ts |
 * | GET  /api/builds/:buildId/spool | ?gear=, from=, lift= and ?{@link ConditionsQuery} | `SpoolView` of spool-api.ts |
 * | GET  /api/builds/:buildId/spool-logged | ?gear= | `SpoolLoggedView` of spool-api.ts |
 * | GET  /api/builds/:buildId/fuel | ?{@link ConditionsQuery} | `FuelView` of fuel-api.ts |
 * | GET  /api/builds/:buildId/headroom | ?samples=N and {@link ConditionsQuery} | {@link HeadroomView} |
 * | POST /api/builds/:buildId/headroom-works | HeadroomWorkRequest (headroom-api.ts), ?{@link ConditionsQuery} | 202 HeadroomWorkState |
 * | GET, DELETE /api/headroom-works/:workId | | HeadroomWorkState with how far it is; DELETE calls it off |
 * | GET  /api/builds/:buildId/lift | ?to=ID and {@link ConditionsQuery} | LiftComparisonView (lift-api.ts): this build and another of the car |
 * | GET, POST /api/cars/:carId/part-options | { options } | PartOptionsView |
 * | POST /api/builds/:buildId/lift-searches | LiftSearchRequest | 202 LiftSearchState |
 * | GET, DELETE /api/lift-searches/:searchId | | LiftSearchState; DELETE calls it off |
 * | POST /api/builds/:buildId/planned-sets | PlannedSetRequest | 201 {@link BuildView} |
 * | GET  /api/cars/:carId/runs | | {@link RunsView} |
 * | POST /api/cars/:carId/runs?build=ID[&rate=HZ][&date=ISO] | multipart, one file in field `log`; `date`: last change of the file, local time | 201 {@link RunView}, state `to confirm`; 200 with `already: true` when the same file is in the garage |
 * | POST /api/runs/:runId/confirm[?reading=ID] | {@link ConfirmRequest} | {@link RunView}, state `reviewed` |
 * | GET  /api/runs/:runId | | {@link RunView} |
 * | GET  /api/compare | ?run=ID[:PULL] two to six times | CompareView (compare-api.ts): runs of one car laid on the first |
 * | GET  /api/cars/:carId/pulls | ?PullsQuery | PullsView: pulls of all runs of a car that fit |
 * | GET  /api/runs/:runId/traces | ?{@link TracesQuery} | {@link TracesView} |
 * | GET  /api/runs/:runId/tiles | ?channels=&level=&tile= | {@link TilesHead} and numbers, binary |
 * | GET  /api/runs/:runId/predicted | ?{@link TracesQuery} | {@link PredictedView} |
 */
import type { Build, CarFacts, Source } from '../car/index.ts';
import type { DrivenDate } from '../garage/index.ts';
import type {
  ChannelChoice,
  ChannelName,
  Dialect,
  Log,
  LogQuestion,
  RefusedColumn,
  RefusedRow,
  Scaling,
  Segment,
} from '../logs/index.ts';
import type {
  AnswerUncertainty,
  BandedMatchPoint,
  Conditions,
  LedgerPart,
  MatchProblem,
  MeasureNext,
} from '../match/index.ts';
import type { MapFit } from '../physics/index.ts';
import type {
  Band,
  Finding,
  KnockEvidence,
  NotChecked,
  ReviewedPull,
  ReviewProblem,
  RoadLoadSeen,
  Severity,
} from '../review/types.ts';

/** Why a call was refused: one clear sentence, and for a build sheet every problem with its place. */
export interface ApiError {
  readonly code: string;
  readonly says: string;
  readonly problems?: readonly { readonly path: string; readonly says: string }[];
}

/** Outside air. */
export type ConditionsView = Conditions;

/** All optional; absent is ISO 2533 sea level air of 288.15 K, 101325 Pa. Sent as decimal text. */
export interface ConditionsQuery {
  readonly ambientPressurePa?: string;
  readonly ambientTemperatureK?: string;
  readonly relativeHumidity?: string;
}

// ---- cars and builds

export interface CarSummary {
  readonly id: string;
  readonly name: string;
  readonly note: string;
  /** True for the invented cars that come with the project. */
  readonly demo: boolean;
  readonly builds: number;
  readonly runs: number;
  /** The build the car is in now: the newest that is not planned. */
  readonly currentBuildId: string | null;
}
export interface CarsView {
  readonly cars: readonly CarSummary[];
}

export interface BuildSummary {
  readonly id: string;
  readonly carId: string;
  /** Like "As bought" or "Larger injectors". */
  readonly label: string;
  /** ISO 8601, UTC. */
  readonly createdAt: string;
  readonly parentId: string | null;
  /** A build that is thought of, not driven. */
  readonly planned: boolean;
  readonly contentHash: string;
}
export interface BuildsView {
  readonly car: CarSummary;
  /** Newest first. */
  readonly builds: readonly BuildSummary[];
}

/** One number of a build as the model uses it. */
export interface QuantityView {
  /** Like `fuelSystem.injectorFlow`. */
  readonly path: string;
  readonly about: string;
  /** Unit it is usually written in. */
  readonly unit: string;
  readonly valueSi: number;
  /** One standard deviation. */
  readonly sdSi: number;
  readonly source: Source;
  /** True when nobody typed it: an estimate by engine class. */
  readonly estimated: boolean;
}

export interface BuildView {
  readonly build: BuildSummary;
  readonly car: CarSummary;
  /** The sheet as saved. */
  readonly sheet: Build;
  /** What about the car is not a number with a plus-minus; says which parts are there to draw. */
  readonly facts: CarFacts;
  readonly quantities: readonly QuantityView[];
}

/** A car and its first build. */
export interface NewCarRequest {
  readonly name: string;
  readonly note?: string;
  /** Of the build. */
  readonly label: string;
  readonly planned: boolean;
  /** A build sheet; every problem in it is listed when it is refused. */
  readonly sheet: unknown;
}

export interface NewBuildRequest {
  readonly label: string;
  readonly planned: boolean;
  readonly parentId?: string;
  /** The newest build of the car that its maker has seen; another one is a reason to refuse. */
  readonly newestId?: string;
  /** A build sheet; every problem in it is listed when it is refused. */
  readonly sheet: unknown;
}

// ---- match

/** One engine speed of the match: every answer is a band except the engine speed. */
export type MatchPointView = BandedMatchPoint;

/** A polyline on the compressor map: corrected mass flow against total pressure ratio. */
export interface MapLine {
  readonly correctedFlowKgPerS: readonly number[];
  readonly pressureRatio: readonly number[];
}
export interface SpeedLine extends MapLine {
  readonly shaftSpeedRpm: number;
  readonly efficiency: readonly number[];
}
/** The compressor map as fitted, for drawing. */
export interface CompressorMapView {
  /** State that flow and speed are corrected to. */
  readonly referenceTemperatureK: number;
  readonly referencePressurePa: number;
  /** True when estimated from wheel sizes. */
  readonly estimated: boolean;
  readonly source: Source;
  /** Slowest first. */
  readonly speedLines: readonly SpeedLine[];
  readonly surgeLine: MapLine;
  readonly chokeLine: MapLine;
  /** How well the surface runs through the points; of an estimated map it says nothing about the real one. */
  readonly fit: MapFit;
  /** The points as typed or read, when there are any; `stray`: further off its line than the map's scatter explains. */
  readonly points: readonly {
    readonly correctedFlowKgPerS: number;
    readonly pressureRatio: number;
    readonly shaftSpeedRpm: number;
    readonly stray: boolean;
  }[];
}

export interface MatchView {
  readonly schema: 'boostwright.match/1';
  readonly buildId: string;
  readonly conditions: ConditionsView;
  /** Slowest first. */
  readonly points: readonly MatchPointView[];
  readonly problems: readonly MatchProblem[];
  /** Samples behind the bands. */
  readonly samples: number;
  readonly uncertainty: readonly AnswerUncertainty[];
  readonly compressorMap: CompressorMapView;
  readonly cautions: readonly string[];
}

// ---- headroom

/** A row of the ledger, with the load over engine speed for drawing where the part is loaded by engine speed. */
export interface PartHeadroomView extends LedgerPart {
  readonly curve?: {
    readonly engineSpeedRpm: readonly number[];
    /** 1 = at the limit. */
    readonly utilisation: readonly number[];
  };
}
export interface HeadroomView {
  readonly schema: 'boostwright.headroom/1';
  readonly buildId: string;
  readonly conditions: ConditionsView;
  /** In the order in which they give out. */
  readonly parts: readonly PartHeadroomView[];
  readonly measureNext: readonly MeasureNext[];
  readonly uncertainty: readonly AnswerUncertainty[];
  readonly powerNowW: Band;
  readonly boostNowPa: Band;
  readonly problems: readonly MatchProblem[];
  readonly samples: number;
  readonly cautions: readonly string[];
}

// ---- runs

export type RunState = 'to confirm' | 'reviewed';

export interface RunSummary {
  readonly id: string;
  readonly carId: string;
  readonly buildId: string;
  readonly fileName: string;
  readonly sha256: string;
  /** ISO 8601, UTC. */
  readonly importedAt: string;
  /** When it was driven and by what that is known; null where nothing tells. */
  readonly driven: DrivenDate | null;
  readonly note: string;
  readonly state: RunState;
  readonly durationS: number;
  /** Absent until reviewed. */
  readonly pulls?: number;
  readonly findings?: { readonly [S in Severity]: number };
}
export interface RunsView {
  readonly car: CarSummary;
  /** Newest first. */
  readonly runs: readonly RunSummary[];
}

export interface RefusedCells {
  readonly column: string;
  readonly count: number;
  readonly line?: number;
  readonly text?: string;
}

export interface LogView {
  readonly file: string;
  readonly sha256: string;
  readonly rows: number;
  /** The first of the refused rows. */
  readonly rowsRefused: readonly RefusedRow[];
  readonly rowsRefusedTotal: number;
  /** Columns of the file that hold no numbers that could be read. */
  readonly columnsRefused: readonly RefusedColumn[];
  /** Columns with cells that are no numbers: how many, and the first with its line. */
  readonly cellsRefused: readonly RefusedCells[];
  /** What else was left out or mended, a sentence each. */
  readonly notes: readonly string[];
  readonly startS: number;
  readonly endS: number;
  /** Date and time of the start by the logger's own clock, where that carries a date: ISO 8601 without a zone. */
  readonly startedAt?: string;
  /** Where the clock of the log leaps and nothing was logged; absent where it does not, and from logs taken in before. */
  readonly gaps?: readonly { readonly startS: number; readonly endS: number }[];
  readonly medianRateHz: number;
  readonly barometricPressurePa: number;
  readonly barometricFrom: Log['barometricFrom'];
  readonly dialect: Dialect;
}

/** A recognised column, with what a person needs to confirm or mend the choice. */
export interface ChannelView {
  readonly index: number;
  readonly column: string;
  readonly channel: ChannelName;
  readonly unit: string;
  readonly reference?: 'gauge' | 'absolute';
  readonly confidence: number;
  readonly rateHz: number;
  readonly because: string;
  readonly readings: number;
  /** What a person said of it, where it was that. */
  readonly airFuelAtLambdaOne?: number;
  readonly scaling?: Scaling;
  /** Of a derived channel: what it is computed as. */
  readonly expression?: string;
  /** Lowest and highest reading, SI; absent where there is none. */
  readonly lowest?: number;
  readonly highest?: number;
}

export interface RunView {
  readonly run: RunSummary;
  readonly build: BuildSummary;
  readonly log: LogView;
  readonly channels: readonly ChannelView[];
  /** Columns nobody could name. */
  readonly unrecognised: readonly { readonly index: number; readonly column: string; readonly unit: string }[];
  /** What the file leaves open or contradicts; the first option of each is taken. */
  readonly questions: readonly LogQuestion[];
  /** What was said of its columns, and applied. */
  readonly choices: readonly ChannelChoice[];
  /** True when this column set was confirmed before and those choices were applied. */
  readonly choicesRemembered: boolean;
  /** True when this very file was in the garage already: nothing was added. */
  readonly already?: boolean;
  readonly segments: readonly Segment[];
  /** Empty until reviewed. */
  readonly pulls: readonly ReviewedPull[];
  readonly findings: readonly Finding[];
  readonly notChecked: readonly NotChecked[];
  readonly problems: readonly ReviewProblem[];
  /** What the pulls show of knock against the build; absent where it cannot be said. */
  readonly knock?: KnockEvidence;
  /** Road load from coasting; absent where the log has none. */
  readonly roadLoad?: RoadLoadSeen;
  /** The build's match in the air of the day, to lay beside the log; absent until reviewed. */
  readonly prediction?: { readonly conditions: ConditionsView; readonly points: readonly MatchPointView[] };
  readonly cautions: readonly string[];
}

export interface ConfirmRequest {
  /** Choices that differ from what was recognised; an empty list confirms all of it. */
  readonly choices: readonly ChannelChoice[];
  /** Keep the choices for every later log with the same columns. */
  readonly remember: boolean;
  /** When it was driven, local time, ISO 8601; absent: as it stands. */
  readonly drivenAt?: string;
  /** What the driver noticed; absent: as it stands. */
  readonly note?: string;
}

/** Sent as text: channels separated by commas, the rest decimal. Absent start and end: the whole run. */
export interface TracesQuery {
  readonly channels: string;
  readonly start?: string;
  readonly end?: string;
  /** Most points per channel, 100 to 20000; 2000 when absent. */
  readonly points?: string;
}
export interface TraceView {
  readonly channel: ChannelName;
  /** SI unit of the values: Pa, K, kg/s, m/s, rpm, deg, V, s, or 1. */
  readonly unit: string;
  /** True when lowest and highest of each stretch stand for all of its readings. */
  readonly decimated: boolean;
  readonly timesS: readonly number[];
  readonly values: readonly number[];
  /** What the build predicts while the pedal is full, by engine speed; a break between pulls is a new piece. */
  readonly predicted?: readonly {
    readonly timesS: readonly number[];
    readonly p10: readonly number[];
    readonly p50: readonly number[];
    readonly p90: readonly number[];
  }[];
}
/** One channel of a tile: `readings` times [s], then as many values, little-endian doubles. */
export interface TileView {
  readonly channel: ChannelName;
  readonly unit: string;
  readonly readings: number;
  /** False when first, lowest, highest and last of each stretch stand for all readings (logs/tiles.ts). */
  readonly whole: boolean;
}
/** Head of an answer of tiles: its length in four bytes, little-endian, itself as JSON padded with blanks, then the numbers. */
export interface TilesHead {
  readonly level: number;
  readonly tile: number;
  /** Of the log [s]. */
  readonly startS: number;
  readonly endS: number;
  readonly channels: readonly TileView[];
}
/** What the build predicts along a stretch of a run, by channel; a channel without a prediction is left out. */
export interface PredictedView {
  readonly runId: string;
  readonly startS: number;
  readonly endS: number;
  readonly traces: readonly {
    readonly channel: ChannelName;
    readonly predicted: NonNullable<TraceView['predicted']>;
  }[];
}
export interface TracesView {
  readonly runId: string;
  readonly startS: number;
  readonly endS: number;
  readonly traces: readonly TraceView[];
}
