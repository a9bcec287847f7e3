/**
 * What the server answers about spool and lift. Types only.
 *
 * | call | query | answer |
 * |---|---|---|
 * | GET /api/builds/:buildId/spool | ?gear, from, lift (rpm) and the air of ConditionsQuery | {@link SpoolView} |
 * | GET /api/builds/:buildId/spool-logged | ?gear; any gear when absent | {@link SpoolLoggedView} |
 */
import type { CarFacts } from '../car/index.ts';
import type { Band, LiftKind, SpoolReason } from '../match/index.ts';
import type { ConditionsView } from './api.ts';

/** A moment of a pull: time from the pedal, engine speed then, and the share of samples in which it came at all. */
export interface SpoolMomentView {
  readonly timeS: Band;
  readonly engineSpeedRpm: Band;
  readonly chance: number;
}

export interface SpoolView {
  readonly schema: 'boostwright.spool/1';
  readonly buildId: string;
  readonly conditions: ConditionsView;
  readonly gear: number;
  readonly gears: number;
  readonly fromEngineSpeedRpm: number;
  readonly liftEngineSpeedRpm: number;
  /** Lowest and highest engine speed that may be asked for. */
  readonly lowestEngineSpeedRpm: number;
  readonly highestEngineSpeedRpm: number;
  readonly revLimitRpm: number;
  readonly samples: number;
  /** 90 % of the boost asked for; null with a reason. */
  readonly arrived: SpoolMomentView | null;
  /** The target itself; null where boost settles short of it. */
  readonly reached: SpoolMomentView | null;
  readonly reason: SpoolReason | null;
  /** The reason as a sentence with figures. */
  readonly says?: string;
  readonly overshootPa: Band;
  readonly overshootS: Band;
  readonly peakShaftSpeedRpm: Band;
  readonly shaftSpeedLimitRpm: number;
  readonly peakCompressorOutletTemperatureK: Band;
  readonly highestChargeTemperatureK: Band;
  readonly repeatedPulls: { readonly pauseS: number; readonly highestChargeTemperatureK: readonly Band[] };
  readonly lift: {
    readonly kind: LiftKind;
    readonly boostPa: Band;
    readonly chanceOfSurge: number;
    /** Least flow over the flow at the surge line; below 1 is left of it, below 0 flows backward. */
    readonly leastFlowOverSurgeFlow: Band;
    readonly cycles: Band;
    readonly leftOfSurgeLineS: Band;
    readonly bypassValve: CarFacts['bypassValve'];
    /** True where nobody said which valve there is. */
    readonly bypassAssumed: boolean;
  };
  readonly curves: {
    readonly timesS: readonly number[];
    readonly engineSpeedRpm: readonly Band[];
    readonly boostPa: readonly Band[];
    readonly boostTargetPa: readonly Band[];
    readonly shaftSpeedRpm: readonly Band[];
    readonly chargeTemperatureK: readonly Band[];
  };
  readonly cautions: readonly string[];
}

/** A logged pull of the car in a gear, its clock starting with the pedal. */
export interface SpoolLoggedPull {
  readonly runId: string;
  readonly fileName: string;
  readonly buildId: string;
  readonly startS: number;
  readonly fromEngineSpeedRpm: number;
  /** Air of that day. */
  readonly conditions: ConditionsView | null;
  readonly timesS: readonly number[];
  readonly boostPa: readonly number[];
  readonly engineSpeedRpm: readonly number[];
  /** Where it was logged. */
  readonly shaftSpeedRpm?: readonly number[];
}

/** The newest pull from a cruise in this gear of the car's reviewed runs; null where there is none. */
export interface SpoolLoggedView {
  /** The gear asked for, or that of the pull; null where no gear was asked for and there is none. */
  readonly gear: number | null;
  readonly pull: SpoolLoggedPull | null;
}
