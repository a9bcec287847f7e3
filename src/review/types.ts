/** Shapes of a review: findings with their evidence, and three powers per pull. */

import type { ChannelName, Pull } from '../logs/types.ts';
import type { KnockEvidence } from './knock-shown.ts';

export type { KnockEvidence } from './knock-shown.ts';

/** A value with its 10th, 50th and 90th percentile. */
export interface Band {
  readonly p10: number;
  readonly p50: number;
  readonly p90: number;
}

export const FINDING_IDS = [
  'airflow-meter-ceiling',
  'boost-leak',
  'rail-pressure-droop',
  'injector-near-static',
  'lean-under-load',
  'rich-under-load',
  'knock',
  'hot-charge',
  'heat-soak',
  'boost-creep',
  'boost-taper',
  'boost-overshoot',
  'slow-spool',
  'compressor-surge',
  'compressor-choke',
  'shaft-overspeed',
  'clutch-slip',
  'wheel-spin',
  'low-oil-pressure',
  'coolant-hot',
  'charging-low',
  'injection-flow-lost',
  'pressure-sensor-ceiling',
  'sensor-stuck',
  'sensor-dropout',
  'sensor-spikes',
  'sensor-offset',
  'misfire',
  'throttle-closing',
  'back-pressure-high',
  'speed-scale-off',
  'clock-fault',
] as const;
export type FindingId = (typeof FINDING_IDS)[number];

export type Severity = 'stop' | 'fix' | 'watch' | 'note';

/** A figure in a sentence, for rendering in another unit. */
export interface ToldFigure {
  /** Pressures are gauge or absolute as the words around them say; a moment is seconds on the log's own clock. */
  readonly quantity: 'pressure' | 'temperature' | 'temperature-difference' | 'air-flow' | 'road-speed' | 'moment';
  readonly valueSi: number;
  /** As it stands in `says`. */
  readonly written: string;
}

export interface Finding {
  readonly id: FindingId;
  readonly severity: Severity;
  /** 0..1: how often a finding like this one is right. */
  readonly confidence: number;
  readonly startS: number;
  readonly endS: number;
  readonly channels: readonly ChannelName[];
  /** SI numbers the sentence rests on, unit in each key. */
  readonly numbers: Readonly<Record<string, number>>;
  readonly says: string;
  /** The same sentence in pieces, where it holds figures whose unit a reader may choose. */
  readonly told?: readonly (string | ToldFigure)[];
  readonly couldAlsoBe: readonly string[];
  readonly next: string;
  readonly source: string;
}

/** A finding that could not be looked for. */
export interface NotChecked {
  readonly id: FindingId;
  /**
   * What is missing, all of it needed: a channel name, `build: ...` for something the build sheet lacks, or a stretch of
   * driving in words; where one of several would do they are joined by ` or `.
   */
  readonly needs: readonly string[];
}

export interface PowerEstimates {
  readonly fromAir?: Band;
  readonly fromFuel?: Band;
  readonly fromAcceleration?: Band;
  readonly combined?: Band;
  readonly agree: boolean;
  /** In words, when they do not agree. */
  readonly disagreement?: string;
  /** Findings that speak for a cause told in it. */
  readonly disagreementFindings?: readonly FindingId[];
}

export interface CurvePoint {
  readonly engineSpeedRpm: number;
  readonly gear: number | null;
  readonly torqueNm: Band;
  readonly powerW: Band;
  /** The single estimates in this bin, for drawing. */
  readonly fromAirW?: Band;
  readonly fromFuelW?: Band;
  readonly fromAccelerationW?: Band;
  /** What the build sheet predicts here in the air of the day, when a build was given. */
  readonly predictedPowerW?: Band;
}

export interface ReviewedPull extends Pull {
  readonly peakBoostPa?: number;
  readonly peakAirFlowKgPerS?: number;
  readonly maxChargeTemperatureK?: number;
  readonly maxInjectorDuty?: number;
  readonly minLambda?: number;
  readonly maxLambda?: number;
  readonly maxKnockRetardDeg?: number;
  readonly powerW: PowerEstimates;
  readonly powerEngineSpeedRpm?: number;
  readonly curve: readonly CurvePoint[];
}

/** Road load as the coast-downs of a log tell it: F0 + F2 v2. SI. */
export interface RoadLoadSeen {
  readonly coastDowns: readonly {
    readonly startS: number;
    readonly endS: number;
    readonly fromMPerS: number;
    readonly toMPerS: number;
  }[];
  /** F0 [N] and F2 [N s2/m2] in the air of the day. */
  readonly constantForceN: Band;
  readonly quadraticForceNPerM2S2: Band;
  /** The same at 20 degC and 98.21 kPa. */
  readonly standardConstantForceN: Band;
  readonly standardQuadraticForceNPerM2S2: Band;
  /** What that means for the car by itself ... */
  readonly rollingResistance: Band;
  readonly dragAreaM2: Band;
  /** ... and together with the sheet, as power by acceleration takes it. */
  readonly sheetDragAreaM2: Band;
  readonly usedRollingResistance: Band;
  readonly usedDragAreaM2: Band;
  readonly standard: string;
}

export interface ReviewProblem {
  readonly about: string;
  readonly reason: string;
}

export interface Review {
  readonly pulls: readonly ReviewedPull[];
  readonly findings: readonly Finding[];
  readonly notChecked: readonly NotChecked[];
  readonly problems: readonly ReviewProblem[];
  /** Only where the log has a coast-down and a build was given. */
  readonly roadLoad?: RoadLoadSeen;
  /** What the pulls show of knock against the build; absent where it cannot be said. */
  readonly knock?: KnockEvidence;
}
