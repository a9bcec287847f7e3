/** The match room: the whole car solved. Other rooms import from here only. */
export { ACCESSORY_POWER_W } from './balance.ts';
export { cylinderFactsOf, frictionPressurePa, meanValueCylinder, newCharge, newCylinderAnswer } from './cylinder.ts';
export { type CylinderAnswerAtSpeed, cylinderAtSpeed, knockLimitsAt } from './cylinder-answer.ts';
export { type FuelProperty, type FuelSheet, fuelSheetOf, type MixSheet, mixSheetOf } from './fuel-sheet.ts';
export { combineSamples, ledgerContext, ledgerShard } from './headroom.ts';
export { type BandedInjection, injectionWithBands } from './injection-endurance.ts';
export {
  compareNozzles,
  fittedWithNozzle,
  type NozzleEffect,
  type NozzleRow,
  nozzleForShare,
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
  partCurves,
  refuelledGrids,
} from './ledger-sample.ts';
export { drawnMap, mapDrawing } from './map-drawing.ts';
export { explainAnswers } from './measure-next.ts';
export { loadSpeed } from './part-load.ts';
export { type BandedLoadMap, type LoadGrid, loadMapWithBands } from './part-load-bands.ts';
export { type CarPart, partsOf } from './parts/index.ts';
export { POINT_ANSWERS, pointAnswers } from './sample-answers.ts';
export { normalSamples, sampledCars } from './sampling.ts';
export { type MatchOptions, matchCar, STANDARD_CONDITIONS, usualEngineSpeedsRpm } from './steady.ts';
export {
  type BandedSpool,
  chargeAlongWithBands,
  combineSpool,
  curveTimesS,
  firstAtShare,
  type LiftKind,
  type PullRecord,
  readyPath,
  runPull,
  SOAK_PAUSE_S,
  type SpoolReason,
  type SpoolRequest,
  type SpoolSample,
  sampledRuns,
  spoolAnswerOf,
  spoolSample,
  spoolShare,
  UNSAID_INPUTS,
} from './transient/index.ts';
export {
  ANSWER_NAMES,
  type AnswerName,
  type AnswerUncertainty,
  type Band,
  type BandedMatchPoint,
  type Conditions,
  type LedgerPart,
  type MatchPoint,
  type MatchProblem,
  type MatchResult,
  type MeasureNext,
  PART_NAMES,
  type PartName,
} from './types.ts';
export { bandOf, combineMatches, matchedBands, matchWithBands } from './uncertain.ts';
