/** The car in time: pulls, lifts, and the charge cooler's core. Other parts of the match import from here. */
export { firstAtShare, type SpoolReason, spoolAnswerOf } from './answers.ts';
export { chargeAlongWithBands } from './charge-along.ts';
export type { LiftKind } from './lift.ts';
export { readyPath, runPull } from './pull.ts';
export type { PullRecord } from './record.ts';
export { sampledRuns, UNSAID_INPUTS } from './sampled-numbers.ts';
export {
  type BandedSpool,
  combineSpool,
  curveTimesS,
  SOAK_PAUSE_S,
  type SpoolRequest,
  type SpoolSample,
  spoolSample,
  spoolShare,
} from './spool.ts';
