/** What the garage keeps, as its callers see it. */
import type { Build } from '../car/index.ts';
import type { ChannelChoice } from '../logs/index.ts';

export interface CarRecord {
  readonly id: string;
  readonly name: string;
  readonly note: string;
  readonly demo: boolean;
  /** ISO 8601, UTC. */
  readonly created: string;
  readonly builds: number;
  readonly runs: number;
  /** Newest build that is not planned. */
  readonly currentBuildId: string | null;
}

/** One dated state of a car. Never changed: a change is a new one with this as its parent. */
export interface BuildRecord {
  readonly id: string;
  readonly carId: string;
  readonly number: number;
  readonly label: string;
  readonly created: string;
  readonly parentId: string | null;
  readonly planned: boolean;
  readonly sheet: Build;
  /** SHA-256 of the sheet's text. */
  readonly contentHash: string;
}

/** When a run was driven: ISO 8601 to the second on the clock of the place, without a zone; by the log's own clock, the file's date, or a person. */
export interface DrivenDate {
  readonly at: string;
  readonly by: 'log' | 'file' | 'typed';
}

export interface RunRecord {
  readonly id: string;
  readonly carId: string;
  readonly number: number;
  readonly buildId: string;
  readonly fileName: string;
  /** SHA-256 of the file as it came, which is also its name among the originals. */
  readonly sha256: string;
  readonly importedAt: string;
  /** When it was driven; null where nothing tells, and the day it came in stands for it in every order. */
  readonly driven: DrivenDate | null;
  readonly note: string;
  /** Rate that was assumed for a file without a clock [Hz]. */
  readonly assumedRateHz: number | null;
  readonly durationS: number;
  readonly columnSet: string;
  /** What was said about its columns when it was confirmed; null until then. */
  readonly choices: readonly ChannelChoice[] | null;
  /** Name of its samples; null until confirmed. */
  readonly samples: string | null;
  /** Cached review and the version that made it; null until confirmed. */
  readonly review: unknown;
  readonly reviewVersion: string | null;
}

/** One channel's fresh readings as the samples hold them. */
export interface SampleSeries {
  readonly channel: string;
  readonly timesS: Float64Array;
  readonly values: Float64Array;
}

/** A channel of a pull in four numbers, SI. */
export interface StatisticRecord {
  readonly channel: string;
  readonly least: number;
  readonly most: number;
  readonly mean: number;
  readonly atPeakPower: number | null;
}

/** A pull of a run as it is kept for looking through all pulls of a car. */
export interface PullRecord {
  readonly startS: number;
  readonly endS: number;
  readonly gears: readonly number[];
  readonly minEngineSpeedRpm: number;
  readonly maxEngineSpeedRpm: number;
  readonly powerW: { readonly p10: number; readonly p50: number; readonly p90: number } | null;
  readonly powerEngineSpeedRpm: number | null;
  readonly findings: readonly { readonly id: string; readonly severity: string }[];
  readonly statistics: readonly StatisticRecord[];
}

/** The pulls of a run and the version of the rules that made them; another version is made anew. */
export interface KeptPulls {
  readonly version: string;
  readonly pulls: readonly PullRecord[];
}

export type StatisticKind = 'least' | 'most' | 'mean' | 'atPeakPower';
export type Comparison = '<' | '<=' | '>' | '>=' | '=';

/** What a pull must be to be listed. Pulls without the channel do not fit any condition on it. */
export type PullCondition =
  | {
      readonly kind: 'statistic';
      readonly channel: string;
      readonly statistic: StatisticKind;
      readonly comparison: Comparison;
      readonly valueSi: number;
    }
  | { readonly kind: 'duration' | 'gear'; readonly comparison: Comparison; readonly valueSi: number }
  /** `id` null: no finding at all. */
  | { readonly kind: 'finding'; readonly id: string | null }
  | { readonly kind: 'build'; readonly id: string };

/** Order of the list: `newest` by when the run was driven and place in it; else by a number, pulls without it last. */
export type PullOrder =
  | { readonly by: 'newest' }
  | { readonly by: 'duration' | 'power'; readonly rising: boolean }
  | {
      readonly by: 'statistic';
      readonly channel: string;
      readonly statistic: StatisticKind;
      readonly rising: boolean;
    };

export interface PullQuery {
  readonly conditions: readonly PullCondition[];
  readonly order: PullOrder;
  readonly offset: number;
  readonly limit: number;
  /** Channels whose statistics are wanted for every pull of the page. */
  readonly channels: readonly string[];
}

/** A pull of the list. */
export interface FoundPull extends PullRecord {
  readonly runId: string;
  /** From 0 in its run. */
  readonly place: number;
  readonly runNumber: number;
  readonly fileName: string;
  readonly importedAt: string;
  readonly driven: DrivenDate | null;
  readonly buildId: string;
}

export interface FoundPulls {
  /** All that fit, not only this page. */
  readonly total: number;
  /** All pulls of the car. */
  readonly ofCar: number;
  /** For each condition on a channel's statistic, pulls of the car that do not have it; 0 for other conditions. */
  readonly without: readonly number[];
  readonly pulls: readonly FoundPull[];
}
