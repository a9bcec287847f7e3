/** Shapes of the answers of the match and of the ledger. Keys as `--json` prints them. */

/** Air outside. */
export interface Conditions {
  readonly ambientPressurePa: number;
  readonly ambientTemperatureK: number;
  /** 0..1 */
  readonly relativeHumidity: number;
}

/** A value with its 10th, 50th and 90th percentile. */
export interface Band {
  readonly p10: number;
  readonly p50: number;
  readonly p90: number;
}

/** Which of the three steady cases holds at an engine speed. */
export type MatchCase = 'boost held' | 'wastegate shut' | 'wastegate open';

/** One solved steady point at full throttle: plain numbers of one car (no bands). */
export interface MatchPoint {
  readonly engineSpeedRpm: number;
  readonly case: MatchCase;
  readonly boostPa: number;
  readonly boostTargetPa: number;
  readonly manifoldPressurePa: number;
  readonly airFlowKgPerS: number;
  readonly volumetricEfficiency: number;
  readonly compressorInletPressurePa: number;
  readonly compressorInletTemperatureK: number;
  readonly compressorPressureRatio: number;
  readonly compressorCorrectedFlowKgPerS: number;
  readonly compressorEfficiency: number;
  /** Flow over the choke flow at this shaft speed, and surge flow over flow at this pressure ratio. */
  readonly compressorChokeShare: number;
  readonly compressorSurgeShare: number;
  readonly shaftSpeedRpm: number;
  readonly compressorOutletPressurePa: number;
  readonly compressorOutletTemperatureK: number;
  readonly compressorPowerW: number;
  readonly chargeTemperatureK: number;
  readonly chargeCoolerEffectiveness: number;
  readonly exhaustPressurePa: number;
  readonly exhaustTemperatureK: number;
  readonly turbineOutletPressurePa: number;
  readonly turbineOutletTemperatureK: number;
  readonly exhaustFlowKgPerS: number;
  /** Share of the exhaust through the wastegate and how far it is open, 0..1. */
  readonly wastegateFlowShare: number;
  readonly wastegateOpening: number;
  readonly lambda: number;
  readonly fuelFlowKgPerS: number;
  readonly injectionFlowKgPerS: number;
  /** Of the injected heat of evaporation, what the charge has paid before the valves [-]; 0 without injection. */
  readonly injectionEvaporatedShare: number;
  readonly injectorDuty: number;
  readonly injectorPulseS: number;
  readonly railPressurePa: number;
  readonly pumpFlowShare: number;
  readonly sparkAdvanceDeg: number;
  readonly knockMarginDeg: number | null;
  /** Knock integral over its borderline value [-]: 1 where borderline knock is expected; null as the margin. */
  readonly knockShare: number | null;
  readonly peakCylinderPressurePa: number;
  readonly meanPistonSpeedMPerS: number;
  readonly torqueNm: number;
  readonly powerW: number;
}

export type MatchProblemCode =
  | 'compressor choked'
  | 'compressor surges'
  | 'wastegate cannot hold the target'
  | 'injectors static'
  | 'pump cannot hold the rail pressure'
  | 'no balance found'
  | 'no turbocharger'
  | 'outside the map';

export interface MatchProblem {
  readonly engineSpeedRpm: number;
  readonly reason: MatchProblemCode;
  /** In words with figures. */
  readonly says: string;
}

/** One car matched: best estimate only. */
export interface MatchResult {
  readonly conditions: Conditions;
  readonly points: readonly MatchPoint[];
  readonly problems: readonly MatchProblem[];
}

/** Names of the numeric answers of a point. */
export type MatchAnswer = {
  [K in keyof MatchPoint]: MatchPoint[K] extends number ? K : never;
}[keyof MatchPoint];

/** A point with bands: same keys, each number a band except engine speed. */
export type BandedMatchPoint = {
  readonly [K in Exclude<MatchAnswer, 'engineSpeedRpm'>]: Band;
} & { readonly engineSpeedRpm: number; readonly case: MatchCase; readonly knockMarginDeg?: Band };

export interface BandedMatch {
  readonly conditions: Conditions;
  readonly points: readonly BandedMatchPoint[];
  readonly problems: readonly MatchProblem[];
  readonly samples: number;
  /** Every answer with what moves it and what to measure for it. */
  readonly uncertainty: readonly AnswerUncertainty[];
}

export const PART_NAMES = [
  'compressor surge',
  'compressor choke',
  'shaft speed',
  'compressor outlet temperature',
  'back-pressure',
  'turbine temperature',
  'wastegate authority',
  'charge temperature',
  'injectors',
  'injectors at idle',
  'fuel pump',
  'airflow meter',
  'manifold pressure sensor',
  'boost gauge',
  'wideband range',
  'piston speed',
  'peak cylinder pressure',
  'knock',
  'clutch',
  'gearbox',
  'water-methanol flow',
] as const;
/** Tyres come once per gear: `tyres, gear 2`. */
export type PartName = (typeof PART_NAMES)[number] | `tyres, gear ${number}`;

/** One row of the ledger. */
export interface LedgerPart {
  readonly part: PartName;
  /** What gives out, in words: 'flow near static'. */
  readonly limit: string;
  /** Demand and rating at the worst engine speed [in `unit`, SI inside]. */
  readonly demand: number;
  readonly rating: number;
  readonly unit: string;
  readonly utilisation: Band;
  readonly worstEngineSpeedRpm: number;
  /** Crank power and boost at which it reaches its limit, boost raised with everything else as it is; absent when out of reach. */
  readonly powerAtLimitW?: Band;
  readonly boostAtLimitPa?: Band;
  /** False where raising the boost does not bring it to its limit. */
  readonly dependsOnBoost: boolean;
  /**
   * Whether it counts as giving out first. A row that does not (its rating is common practice until somebody types it,
   * or the foot decides, as with tyres in the launch gears) has the boost at its limit but no power, and stands last.
   */
  readonly decides: boolean;
  readonly chanceFirst: number;
  /** What lifts it, cheapest first, in words. */
  readonly lift: readonly string[];
}

/** Answers whose bands and sensitivities are given, by name. */
export const ANSWER_NAMES = [
  'power',
  'boost',
  'charge-temperature',
  'shaft-speed',
  'injector-duty',
  'knock-margin',
  'exhaust-temperature',
  'first-limit',
  'spool-time',
] as const;
export type AnswerName = (typeof ANSWER_NAMES)[number];

/** One measurement that would narrow an answer's band. */
export interface MeasureAnswer {
  /** Path on the build sheet. */
  readonly quantity: string;
  /** In trade words, and how to measure it. */
  readonly name: string;
  readonly how: string;
  readonly why: string;
  /** From the 10th to the 90th percentile of the answer, now and expected once measured [unit of the answer]. */
  readonly bandNow: number;
  readonly bandThen: number;
  /** Of the answer's variance, by this input alone. */
  readonly share: number;
  /** Unit the quantity is usually written in, its value, and one standard deviation now and then [SI]. */
  readonly unit: string;
  readonly valueSi: number;
  readonly sdNowSi: number;
  readonly sdThenSi: number;
}

/** How much of an answer's variance one input explains by itself. */
export interface InputShare {
  readonly quantity: string;
  readonly about: string;
  readonly share: number;
  readonly standardError: number;
  /** Change of the answer per standard deviation of the input. */
  readonly slope: number;
}

/** One answer with its band, what moves it, and what to measure. */
export interface AnswerUncertainty {
  readonly answer: AnswerName;
  readonly about: string;
  readonly unit: string;
  readonly band: Band;
  /** Largest first; what does not stand out of chance is left out. */
  readonly sensitivity: readonly InputShare[];
  /** Share of the variance that no single input explains. */
  readonly rest: number;
  /** Best first; empty where nothing that can be measured in a garage would narrow it by 1 %. */
  readonly measure: readonly MeasureAnswer[];
}

/** What to measure for the power at which the first part gives out. */
export interface MeasureNext {
  readonly quantity: string;
  readonly name: string;
  readonly how: string;
  readonly why: string;
  readonly bandNowW: number;
  readonly bandThenW: number;
}

export interface Ledger {
  readonly conditions: Conditions;
  readonly parts: readonly LedgerPart[];
  readonly measureNext: readonly MeasureNext[];
  /** Every answer with what moves it and what to measure for it. */
  readonly uncertainty: readonly AnswerUncertainty[];
  readonly powerNowW: Band;
  readonly boostNowPa: Band;
  readonly samples: number;
  readonly problems: readonly MatchProblem[];
}
