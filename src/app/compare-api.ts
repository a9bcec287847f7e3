/**
 * What comparing runs and looking through pulls answer. Types only; see the table at the head of api.ts. SI, unit in the
 * key; pulls are counted from 1, as people say them.
 */
import type { DrivenDate, FoundPull } from '../garage/index.ts';
import type { PullComparison, Severity } from '../review/index.ts';

/** A pull of a run that could be compared. */
export interface ComparablePull {
  /** From 1. */
  readonly pull: number;
  readonly startS: number;
  readonly endS: number;
  readonly gears: readonly number[];
  readonly minEngineSpeedRpm: number;
  readonly maxEngineSpeedRpm: number;
}

/** One of the runs laid on each other, with the pull of it that was taken. */
export interface ComparedSideView {
  /** A, B, C ... in the order asked for. */
  readonly name: string;
  readonly fileName: string;
  /** Absent for log files outside a garage. */
  readonly runId?: string;
  readonly buildId?: string;
  readonly buildLabel: string;
  /** ISO 8601, UTC; absent for log files outside a garage. */
  readonly importedAt?: string;
  readonly driven?: DrivenDate | null;
  readonly pull: number;
  readonly pulls: readonly ComparablePull[];
  readonly barometricPressurePa: number;
  readonly ambientTemperatureK: number;
  readonly findings: readonly { readonly id: string; readonly severity: Severity; readonly says: string }[];
}

/** Places among the sides, from 0: every other side is compared with the first. */
export interface ComparisonView extends PullComparison {
  readonly first: number;
  readonly second: number;
}

export interface CompareView {
  readonly schema: 'boostwright.compare/1';
  readonly carId?: string;
  readonly sides: readonly ComparedSideView[];
  readonly comparisons: readonly ComparisonView[];
  readonly cautions: readonly string[];
}

/** A pull of the list; statistics of the channels asked for. */
export interface PullRowView extends Omit<FoundPull, 'place'> {
  /** From 1 in its run. */
  readonly pull: number;
}

/**
 * Query of the list: `where` may come several times, like `boost max > 150 kPa`; `sort` like `power` or `lambda min`;
 * `channels` separated by commas.
 */
export interface PullsQuery {
  readonly where?: string | readonly string[];
  readonly sort?: string;
  readonly direction?: 'rising' | 'falling';
  readonly channels?: string;
  readonly offset?: string;
  readonly limit?: string;
}

export interface PullsView {
  readonly schema: 'boostwright.pulls/1';
  readonly carId: string;
  readonly conditions: readonly {
    /** The condition as it was understood. */
    readonly text: string;
    /** Pulls of the car that do not have the channel, and so fit no condition on it. */
    readonly pullsWithout: number;
  }[];
  readonly sort: string;
  readonly direction: 'rising' | 'falling';
  readonly total: number;
  readonly ofCar: number;
  readonly offset: number;
  readonly limit: number;
  readonly pulls: readonly PullRowView[];
  /** Channels that any pull of the car has statistics of. */
  readonly channels: readonly string[];
  /** Runs whose pulls are still being read; ask again. */
  readonly runsToRead: number;
  readonly problems: readonly { readonly runId: string; readonly says: string }[];
}
