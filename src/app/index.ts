/** The use cases that shells call. Types of the data interface: api.ts. */

export { MIX_BASES, type MixBasis, type WhatIfFuel, type WhatIfMix } from '../car/index.ts';
export { regressionWords } from '../lift/index.ts';
export type { FirstLimit, Gain, LiftSet, PartLift, Regression } from '../lift/types.ts';
export { phrasesText, roadLoadText } from '../review/index.ts';
export type { ApiError, ConditionsView, HeadroomView, MatchView, PartHeadroomView, RunView } from './api.ts';
export { type ReadBuild, readBuild, readBuildValue } from './builds.ts';
export { compareRuns, MOST_COMPARED } from './compare.ts';
export type { ComparedSideView, CompareView, ComparisonView, PullRowView, PullsView } from './compare-api.ts';
export { readRunPull } from './compare-desk.ts';
export { MAP_SOURCES, type MapRequest, mapFromFile, type ReadMapOptions } from './compressor-map.ts';
export { type Compute, computeHere, computeInWorkers, type JobWatch } from './compute.ts';
export { conditionsFrom } from './conditions.ts';
export type { CylinderAnswer } from './cylinder.ts';
export type { CylinderView } from './cylinder-api.ts';
export { type Desk, type ImportRequest, openDesk } from './desk.ts';
export { type FuelRequest, fuelOf, tried } from './fuel.ts';
export type { FuelView, NozzleEffectView } from './fuel-api.ts';
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
export { readKeepInside, readPartOptions, readPartOptionsValue } from './lift.ts';
export type { LiftComparisonView, LiftSearchState, LiftSearchView } from './lift-api.ts';
export { type LoadRequest, loadOf, readLoadSheet } from './load.ts';
export type { LoadAssumption, LoadView } from './load-api.ts';
export type { LooseRequest } from './loose.ts';
export type { LooseRunView } from './loose-api.ts';
export type { MapLineView, MapView } from './map-api.ts';
export type { MatchAnswer } from './match.ts';
export { type MeasureView, measureView, readAnswerName } from './measure.ts';
export type { ModelRequest } from './model-request.ts';
export { BadInput, type ProblemAt, type Refusal, refusalOf } from './problems.ts';
export { STATISTIC_WORDS, statisticUnit } from './pull-filter.ts';
export { type PullsAsk, USUAL_CHANNELS } from './pulls.ts';
export { choicesSchema, readChoices, readChoicesValue } from './read-run.ts';
export { type ReviewAnswer, type ReviewRequest, reviewedLog, reviewedLogAhead } from './review.ts';
export type { SpoolAnswer } from './spool.ts';
export type { SpoolLoggedView, SpoolView } from './spool-api.ts';
export { Cancelled, type Watch } from './watch.ts';
