/** The match room: the whole car solved. Other rooms import from here only. */
export {
  type CylinderAnswer,
  type CylinderCharge,
  type CylinderFacts,
  type CylinderModel,
  meanValueCylinder,
} from './cylinder.ts';
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
  type Band,
  type BandedMatch,
  type BandedMatchPoint,
  type Conditions,
  type Ledger,
  type LedgerPart,
  type MatchAnswer,
  type MatchCase,
  type MatchPoint,
  type MatchProblem,
  type MatchProblemCode,
  type MatchResult,
  type MeasureNext,
  PART_NAMES,
  type PartName,
} from './types.ts';
