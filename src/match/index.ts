/** The match room: the whole car solved. Other rooms import from here only. */
export { ACCESSORY_POWER_W } from './balance.ts';
export {
  type CylinderAnswer,
  type CylinderCharge,
  type CylinderFacts,
  type CylinderModel,
  cylinderFactsOf,
  frictionPressurePa,
  meanValueCylinder,
  newCharge,
  newCylinderAnswer,
} from './cylinder.ts';
export {
  type CylinderAnswerAtSpeed,
  type CylinderMoment,
  type CylinderRefusal,
  type CylinderResult,
  type CylinderTrace,
  cylinderAtSpeed,
  knockLimitsAt,
} from './cylinder-answer.ts';
export {
  type FuelProperty,
  type FuelPropertyKey,
  type FuelSheet,
  fuelSheetOf,
  type MixSheet,
  mixSheetOf,
} from './fuel-sheet.ts';
export { combineSamples, type HeadroomOptions, headroomOf, ledgerContext, ledgerShard } from './headroom.ts';
export {
  type BandedInjection,
  type BandedInjectionPoint,
  type InjectionOptions,
  injectionWithBands,
  type PullUse,
  pullUse,
} from './injection-endurance.ts';
export {
  compareNozzles,
  fittedWithNozzle,
  type NozzleEffect,
  type NozzleRow,
  nozzleForShare,
  type SizingOptions,
  type WantedShare,
} from './injection-sizing.ts';
export { type InjectionState, injectionStateAt } from './injection-state.ts';
export {
  type LedgerContext,
  type LedgerGrid,
  type LedgerSample,
  ledgerEngineSpeedsRpm,
  ledgerGrid,
  ledgerRows,
  ledgerSample,
  type PartSample,
  partCurves,
  refuelledGrids,
} from './ledger-sample.ts';
export {
  type DrawnMapPoint,
  type DrawnSpeedLine,
  drawnMap,
  type MapDrawing,
  type MapLine,
  mapDrawing,
} from './map-drawing.ts';
export { explainAnswers, measureNextOf, type SampledAnswers, sdOnceMeasured } from './measure-next.ts';
export {
  type LoadAnswer,
  type LoadOptions,
  type LoadPoint,
  type LoadProblem,
  type LoadProblemCode,
  type LoadResult,
  type LoadSpeed,
  loadPoint,
  loadSpeed,
} from './part-load.ts';
export {
  type BandedLoadMap,
  type BandedLoadPoint,
  type LoadGrid,
  type LoadMapOptions,
  loadMapWithBands,
} from './part-load-bands.ts';
export { type CarPart, type Part, type PartLoad, partsOf } from './parts/index.ts';
export { ANSWER_WORDS, POINT_ANSWERS, pointAnswers } from './sample-answers.ts';
export { normalSamples, sampledCars } from './sampling.ts';
export { firstOrderShares, type Share, type Shares, sensitivityBasis } from './sensitivity.ts';
export {
  type MatchOptions,
  type MeasuredState,
  matchCar,
  powerFromState,
  predictAt,
  STANDARD_CONDITIONS,
  usualEngineSpeedsRpm,
} from './steady.ts';
export {
  type BandedMoment,
  type BandedSpool,
  type BandedTrace,
  chargeAlong,
  chargeAlongWithBands,
  coldConductanceWPerK,
  combineSpool,
  coreAfter,
  curveTimesS,
  firstAtShare,
  type GivenSpeed,
  type LiftAnswer,
  type LiftKind,
  type LoggedDrive,
  type PullOptions,
  type PullRecord,
  readyPath,
  runLift,
  runPull,
  SOAK_PAUSE_S,
  SOAK_PULLS,
  SPOOL_REASONS,
  type SpoolAnswer,
  type SpoolReason,
  type SpoolRequest,
  type SpoolSample,
  sampledRuns,
  spoolAnswerOf,
  spoolSample,
  spoolShare,
  spoolWithBands,
  UNSAID_INPUTS,
} from './transient/index.ts';
export {
  ANSWER_NAMES,
  type AnswerName,
  type AnswerUncertainty,
  type Band,
  type BandedMatch,
  type BandedMatchPoint,
  type Conditions,
  type InputShare,
  type Ledger,
  type LedgerPart,
  type MatchAnswer,
  type MatchCase,
  type MatchPoint,
  type MatchProblem,
  type MatchProblemCode,
  type MatchResult,
  type MeasureAnswer,
  type MeasureNext,
  PART_NAMES,
  type PartName,
} from './types.ts';
export { type BandOptions, bandOf, combineMatches, matchWithBands } from './uncertain.ts';
