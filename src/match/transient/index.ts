/** The car in time: pulls, lifts, and the charge cooler's core. Other parts of the match import from here. */
export { firstAtShare, SPOOL_REASONS, type SpoolAnswer, type SpoolReason, spoolAnswerOf } from './answers.ts';
export { type BandedTrace, chargeAlong, chargeAlongWithBands, type LoggedDrive } from './charge-along.ts';
export { coldConductanceWPerK, coreAfter } from './core.ts';
export { type LiftAnswer, type LiftKind, runLift } from './lift.ts';
export { type GivenSpeed, type PullOptions, readyPath, runPull } from './pull.ts';
export type { PullRecord } from './record.ts';
export { sampledRuns, UNSAID_INPUTS } from './sampled-numbers.ts';
export {
  type BandedMoment,
  type BandedSpool,
  combineSpool,
  curveTimesS,
  SOAK_PAUSE_S,
  SOAK_PULLS,
  type SpoolRequest,
  type SpoolSample,
  spoolSample,
  spoolShare,
  spoolWithBands,
} from './spool.ts';
