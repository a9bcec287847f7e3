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

export interface RunRecord {
  readonly id: string;
  readonly carId: string;
  readonly number: number;
  readonly buildId: string;
  readonly fileName: string;
  /** SHA-256 of the file as it came, which is also its name among the originals. */
  readonly sha256: string;
  readonly importedAt: string;
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
