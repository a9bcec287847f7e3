/** The use cases that shells call. Types of the data interface: api.ts. */

export { MIX_BASES, type MixBasis, type WhatIfFuel, type WhatIfMix } from '../car/index.ts';
export { regressionWords } from '../lift/index.ts';
export type { FirstLimit, Gain, LiftSet, PartLift, Regression } from '../lift/types.ts';
export { type MomentWriter, momentWriter } from '../logs/index.ts';
export { phrasesText, roadLoadText } from '../review/index.ts';
export type { ApiError } from './api.ts';
export { readBuild } from './builds.ts';
export { compareRuns, MOST_COMPARED } from './compare.ts';
export type { CompareView, ComparisonView, PullsView } from './compare-api.ts';
export { readRunPull } from './compare-desk.ts';
export { MAP_SOURCES, mapFromFile, type ReadMapOptions } from './compressor-map.ts';
export { computeHere, computeInWorkers, type JobWatch } from './compute.ts';
export { conditionsFrom } from './conditions.ts';
export type { CylinderAnswer } from './cylinder.ts';
export { type Desk, openDesk } from './desk.ts';
export { fuelOf, tried } from './fuel.ts';
export type { FuelView } from './fuel-api.ts';
export type { HeadroomAnswer } from './headroom.ts';
export {
  type AppCompute,
  compareLifts,
  cylinderAt,
  headroomOf,
  JOBS,
  matchBuild,
  measureSpool,
  searchLifts,
  spoolOf,
} from './jobs.ts';
export { readKeepInside, readPartOptions } from './lift.ts';
export type { LiftComparisonView, LiftSearchView } from './lift-api.ts';
export { loadOf, readLoadSheet } from './load.ts';
export type { LoadView } from './load-api.ts';
export type { LooseRunView } from './loose-api.ts';
export type { MapView } from './map-api.ts';
export type { MatchAnswer } from './match.ts';
export { type MeasureView, measureView, readAnswerName } from './measure.ts';
export { BadInput, refusalOf } from './problems.ts';
export { statisticUnit } from './pull-filter.ts';
export { choicesSchema, readChoices, readChoicesValue } from './read-run.ts';
export type { ReviewAnswer } from './review.ts';
export { beginPowers, type PowersCompute, type PowersJobs, reviewInTwoThreads } from './review-ahead.ts';
export type { SpoolAnswer } from './spool.ts';
export type { SpoolLoggedView, SpoolView } from './spool-api.ts';
export { Cancelled, type Watch } from './watch.ts';
