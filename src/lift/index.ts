/** The lift room: what a change of parts gains and costs, and which parts to buy. Other rooms import from here only. */
export { combineComparison } from './compare.ts';
export { type ComparedBuilds, type ComparedShare, type PairSample, pairShard } from './compare-samples.ts';
export { AS_FITTED, fitParts } from './fit.ts';
export { type LedgerAsk, type LedgerGiven, ledgerSolver, type SearchGround } from './ledger-table.ts';
export { checkPartOptions, type PartOptions, parsePartOptions } from './options.ts';
export { MOST_SETS, refusedSearch, searchAnswer, searchGround, searchSteps } from './search.ts';
export type { SearchAim, SearchStage, SearchStep } from './search-plan.ts';
export type { LiftComparison, LiftSearch } from './types.ts';
export { regressionWords } from './words.ts';
