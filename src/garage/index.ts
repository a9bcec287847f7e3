/** The store: SQLite revisions, Parquet samples, original files. */
export type { ReceivedFile } from './files.ts';
export { columnSetOf, Garage } from './garage.ts';
export { openGarage } from './open.ts';
export { GarageProblem } from './problems.ts';
export type {
  BuildRecord,
  CarRecord,
  Comparison,
  DrivenDate,
  FoundPull,
  KeptPulls,
  PullCondition,
  PullOrder,
  PullRecord,
  RunRecord,
  StatisticKind,
} from './records.ts';
