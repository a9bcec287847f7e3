/** The lift room: what a change of parts gains and costs, and which parts to buy. Other rooms import from here only. */
export { type CompareOptions, combineComparison, compareLift } from './compare.ts';
export { type ComparedBuilds, type ComparedShare, type PairSample, pairShard } from './compare-samples.ts';
export { AS_FITTED, type Choice, chosenOptions, type FitResult, fitParts, keepAll, priceOf } from './fit.ts';
export { type LedgerAsk, type LedgerGiven, ledgerSolver, type SearchGround } from './ledger-table.ts';
export {
  checkPartOptions,
  fieldsSet,
  OPTIONS_SCHEMA,
  type PartOption,
  type PartOptions,
  type PartOptionsResult,
  type PartPlace,
  parsePartOptions,
  writePartOptions,
} from './options.ts';
export {
  MOST_SETS,
  refusedSearch,
  type SearchOptions,
  searchAnswer,
  searchGround,
  searchLift,
  searchSteps,
} from './search.ts';
export type { SearchAim, SearchEffort, SearchFound, SearchStage, SearchStep } from './search-plan.ts';
export type {
  AlsoWatch,
  ChosenPart,
  FirstLimit,
  Gain,
  LiftComparison,
  LiftCost,
  LiftOutcome,
  LiftSearch,
  LiftSet,
  NumberChange,
  PartLift,
  PartStanding,
  Regression,
  RegressionKind,
} from './types.ts';
export { regressionWords } from './words.ts';
