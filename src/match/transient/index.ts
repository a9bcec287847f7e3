/** The car in time: pulls, lifts, and the charge cooler's core. Other parts of the match import from here. */
export { type AirPath, type TransientNumbers, USUAL_NUMBERS } from './air-path.ts';
export {
  ARRIVED_SHARE,
  firstAtShare,
  type Moment,
  OVER_PA,
  REACHED_SHARE,
  SPOOL_REASONS,
  type SpoolAnswer,
  type SpoolReason,
  spoolAnswerOf,
} from './answers.ts';
export { type BandedTrace, chargeAlong, chargeAlongWithBands, type LoggedDrive } from './charge-along.ts';
export { coldConductanceWPerK, coreAfter } from './core.ts';
export { repeatedPulls, type SoakedPull } from './heat-soak.ts';
export { LIFT_KINDS, type LiftAnswer, type LiftKind, type LiftOptions, runLift } from './lift.ts';
export { type GivenSpeed, type PullOptions, readyPath, runPull, USUAL_STEP_S } from './pull.ts';
export type { PullRecord } from './record.ts';
export { type SampledRun, sampledRuns, UNSAID_INPUTS } from './sampled-numbers.ts';
export {
  type BandedMoment,
  type BandedSpool,
  combineSpool,
  curveTimesS,
  SOAK_PAUSE_S,
  SOAK_PULLS,
  SPOOL_CURVES,
  type SpoolCurve,
  type SpoolRequest,
  type SpoolSample,
  spoolSample,
  spoolShare,
  spoolWithBands,
} from './spool.ts';
