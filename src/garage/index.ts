/** The store: SQLite revisions, Parquet samples, original files. */
export { type ConfirmedRun, columnSetOf, Garage, type NewRun, openGarage } from './garage.ts';
export { GarageProblem, type GarageProblemCode } from './problems.ts';
export type { BuildRecord, CarRecord, RunRecord, SampleSeries } from './records.ts';
