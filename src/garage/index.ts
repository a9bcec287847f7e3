/** The store: SQLite revisions, Parquet samples, original files. */
export type { ReceivedFile } from './files.ts';
export { type ConfirmedRun, columnSetOf, Garage, type NewRun } from './garage.ts';
export { openGarage } from './open.ts';
export { GarageProblem, type GarageProblemCode } from './problems.ts';
export type {
  BuildRecord,
  CarRecord,
  Comparison,
  DrivenDate,
  FoundPull,
  FoundPulls,
  KeptPulls,
  PullCondition,
  PullOrder,
  PullQuery,
  PullRecord,
  RunRecord,
  SampleSeries,
  StatisticKind,
  StatisticRecord,
} from './records.ts';
