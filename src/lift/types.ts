/** Shapes of the answers of the lift room. Keys as `--json` prints them: SI, unit at the end of the key. */
import type { BuildChange, FactChange } from '../car/index.ts';
import type { Band, Conditions, PartName } from '../match/types.ts';

/** A part that is first to give out, with how often. */
export interface FirstLimit {
  readonly part: PartName;
  /** What gives out, in words. */
  readonly limit: string;
  readonly chance: number;
  /** What lifts it, cheapest first, in words. */
  readonly lift: readonly string[];
}

// ---- two builds compared

/** A figure before, after, and its gain from sample to sample. */
export interface Gain {
  readonly before: Band;
  readonly after: Band;
  readonly gain: Band;
}

/** One part of both builds; null where a build does not have the row. */
export interface PartLift {
  readonly part: PartName;
  readonly limit: string;
  readonly unit: string;
  readonly before: PartStanding | null;
  readonly after: PartStanding | null;
  /** Change of use, 1 = all of what the part carries; absent where a build does not have the row. */
  readonly useGain?: Band;
}
export interface PartStanding {
  readonly demand: number;
  readonly rating: number;
  readonly utilisation: Band;
  readonly worstEngineSpeedRpm: number;
  readonly powerAtLimitW?: Band;
  readonly boostAtLimitPa?: Band;
  readonly decides: boolean;
  readonly chanceFirst: number;
}

/** A number of the sheet that changed; `follows`: both are estimates, and the guess moved with another number. */
export interface NumberChange extends BuildChange {
  readonly follows: boolean;
}

export type RegressionKind =
  | 'later boost'
  | 'less torque'
  | 'less power'
  | 'less power at the first limit'
  | 'past its limit'
  | 'less headroom'
  | 'now first'
  | 'known less well';

/** Something that is worse after than before. Figures in `unit`, SI or rpm. */
export interface Regression {
  readonly kind: RegressionKind;
  readonly part?: PartName;
  readonly engineSpeedRpm?: number;
  readonly unit: string;
  readonly before: Band;
  readonly after: Band;
  readonly change: Band;
}

export interface LiftCost {
  readonly currency: string;
  readonly total: number;
  readonly items: readonly { readonly place: string; readonly option: string; readonly price: number }[];
  /** Typed numbers that changed and that no priced option explains, by path. */
  readonly unpriced: readonly string[];
  /** Cost over gain in power at the first limit; absent where nothing is gained. */
  readonly perW?: number;
}

export interface LiftComparison {
  readonly before: string;
  readonly after: string;
  readonly conditions: Conditions;
  readonly samples: number;
  readonly changes: readonly NumberChange[];
  readonly facts: readonly FactChange[];
  /** Peak crank power and torque at the boost that each build asks for. */
  readonly powerW: Gain;
  readonly torqueNm: Gain;
  /** Lowest engine speed at which the boost of `arrivalBoostPa` is there at full throttle; absent where often never. */
  readonly boostArrivalRpm?: Gain;
  /** 90 % of the lower of the two peak boosts. */
  readonly arrivalBoostPa: number;
  /** Crank power when boost is raised until the first part gives out. */
  readonly powerAtFirstLimitW: Gain;
  readonly first: { readonly before: readonly FirstLimit[]; readonly after: readonly FirstLimit[] };
  /** In the order in which they give out after the change. */
  readonly parts: readonly PartLift[];
  /** Full throttle over engine speed. */
  readonly curve: readonly {
    readonly engineSpeedRpm: number;
    readonly torqueNm: Gain;
    readonly boostPa: Gain;
  }[];
  readonly regressions: readonly Regression[];
  /** Null where no part options were given. */
  readonly cost: LiftCost | null;
}

// ---- search over sets of parts

export interface ChosenPart {
  readonly place: string;
  readonly option: string;
  readonly price: number;
  readonly needs?: string;
  readonly note?: string;
}

/** A part that does not decide, but passes its limit on the way or whatever the boost. */
export interface AlsoWatch {
  readonly part: PartName;
  readonly limit: string;
  /** Share of samples in which it is past its limit before the first deciding part gives out. */
  readonly chance: number;
  /** True where the rating is common practice until somebody types it. */
  readonly usualRating: boolean;
}

export interface LiftSet {
  /** What is bought; empty: everything as it is fitted. */
  readonly parts: readonly ChosenPart[];
  readonly price: number;
  /** Crank power when boost is raised until the first part gives out. */
  readonly powerAtFirstLimitW: Band;
  readonly boostAtFirstLimitPa?: Band;
  /** Power reached with the wanted chance. */
  readonly surePowerW: number;
  /** Chance of the target power with nothing past its limit. */
  readonly chanceOfTarget: number;
  /** What gives out first then, likeliest first. Empty: nothing within reach of the model. */
  readonly first: readonly FirstLimit[];
  readonly alsoWatch: readonly AlsoWatch[];
  /** Price over gain in `surePowerW` from what is fitted; absent for no gain. */
  readonly pricePerW?: number;
}

export type LiftOutcome =
  | { readonly reached: true; readonly cheapest: LiftSet }
  | {
      readonly reached: false;
      readonly reason: 'no set reaches the target' | 'no set reaches it with the wanted chance' | 'no usable set';
      /** The set that goes furthest. */
      readonly best: LiftSet | null;
      /** What is missing at the wanted chance [W]. */
      readonly shortW: number;
    };

export interface LiftSearch {
  readonly build: string;
  readonly options: string;
  readonly currency: string;
  readonly conditions: Conditions;
  readonly target: { readonly powerW: number; readonly chance: number };
  readonly outcome: LiftOutcome;
  /** Sets that no other beats in price and in power reached with the wanted chance; cheapest first. */
  readonly front: readonly LiftSet[];
  readonly asFitted: LiftSet | null;
  /** Parts that the options make count as limits though the ledger only lists them. */
  readonly keptInside: readonly PartName[];
  readonly unusable: readonly { readonly parts: readonly string[]; readonly says: string }[];
  readonly counts: {
    readonly sets: number;
    readonly withFigures: number;
    /** True: every set was solved with all samples. False: see docs/model.md, Lift. */
    readonly exact: boolean;
    readonly samples: number;
  };
}
