/** Shapes of a comparison: what one pull says for it, and what two say about each other. Plain data, SI. */
import type { BuildChange, FactChange } from '../../car/index.ts';
import type { ChannelName } from '../../logs/index.ts';
import type { Band } from '../types.ts';

/** Ways of working out power whose errors a comparison keeps apart: air by density and by meter, fuel, acceleration. */
export type PowerMethod = 'density' | 'meter' | 'fuel' | 'acceleration';

/** Outside air of a pull with what is not known of it. */
export interface BasisAir {
  readonly barometricPressurePa: number;
  readonly barometricPressureSdPa: number;
  readonly ambientTemperatureK: number;
  readonly ambientTemperatureSdK: number;
  /** No log tells it: assumed. */
  readonly relativeHumidity: number;
  readonly relativeHumiditySd: number;
}

/** One way of working out power in one bin. */
export interface BasisCell {
  readonly method: PowerMethod;
  /** ln of power [W]. */
  readonly logPower: number;
  /** Noise of this cell alone, relative. */
  readonly noiseSd: number;
  /** Change of ln power by one standard deviation of each unknown, by its name; noughts left out. */
  readonly moves: Readonly<Record<string, number>>;
}

export interface BasisBin {
  readonly gear: number | null;
  /** Centre of the bin [rpm], a multiple of 250. */
  readonly engineSpeedRpm: number;
  /** Mean of the engine speed in the bin [rpm]. */
  readonly meanSpeedRpm: number;
  /** Relative standard deviation of the level of power that the review gives here; null where it gives none. */
  readonly levelSd: number | null;
  readonly cells: readonly BasisCell[];
}

/** Mean of a channel in a bin and one standard error of that mean, SI. */
export interface BasisReading {
  readonly mean: number;
  readonly sd: number;
}

/** `boost` is manifold pressure over outside air; the rest are channels. */
export type ReadingName = 'boost' | Exclude<ChannelName, 'time'>;

export interface BasisReadings {
  readonly gear: number | null;
  readonly engineSpeedRpm: number;
  readonly values: Readonly<Partial<Record<ReadingName, BasisReading>>>;
}

/** All that a comparison needs of one pull. */
export interface PullBasis {
  /** Names the file: pulls of one file share its day, its sensors and its errors. */
  readonly logId: string;
  /** From 0. */
  readonly pull: number;
  readonly startS: number;
  readonly endS: number;
  readonly gears: readonly number[];
  readonly minEngineSpeedRpm: number;
  readonly maxEngineSpeedRpm: number;
  readonly air: BasisAir;
  readonly ignition: 'spark' | 'compression';
  readonly aspiration: 'turbocharged' | 'natural';
  /** True where the manifold pressure column counts from outside air: the barometer then enters the absolute pressure. */
  readonly manifoldPressureIsGauge: boolean;
  readonly logged: readonly ChannelName[];
  /** What each unknown of the build was taken to be; equal texts mean one and the same part or guess. */
  readonly inputs: Readonly<Record<string, string>>;
  readonly bins: readonly BasisBin[];
  readonly readings: readonly BasisReadings[];
  /** A way of working out power that the others contradict; a comparison does without it. */
  readonly setAside: PowerMethod | null;
  readonly problems: readonly string[];
}

/** Power and torque of both pulls in one bin, and the second less the first. */
export interface ComparedPower {
  readonly firstW: Band;
  readonly secondW: Band;
  readonly differenceW: Band;
  readonly differenceNm: Band;
}

export interface ComparedReading {
  readonly first: number;
  readonly second: number;
  readonly difference: Band;
}

/** A part of the difference in power that logged readings account for. */
export interface PowerShare {
  readonly cause: 'boost' | 'charge-temperature' | 'lambda' | 'spark-advance';
  readonly powerW: Band;
}

export interface ComparedSpeed {
  readonly gear: number | null;
  readonly engineSpeedRpm: number;
  /** In the air of each pull's own day; absent where power is not known of both. */
  readonly asMeasured?: ComparedPower;
  /** Both corrected to the same air; absent where no correction applies. */
  readonly sameAir?: ComparedPower;
  /** Ways of working out power that both pulls have here. */
  readonly methods: readonly PowerMethod[];
  readonly readings: Readonly<Partial<Record<ReadingName, ComparedReading>>>;
  /** Of `asMeasured.differenceW`. */
  readonly shares: readonly PowerShare[];
}

/** Factors to the same air, and what to think of them. */
export interface SameAir {
  readonly standard: 'SAE J1349';
  readonly firstFactor: Band;
  readonly secondFactor: Band;
  readonly outsideRange: readonly string[];
  readonly caution: string;
}

export interface MeanDifference {
  readonly fromRpm: number;
  readonly toRpm: number;
  readonly asMeasuredW: Band;
  readonly sameAirW?: Band;
}

/** Where the first sentence stands: the bin of most power, by both pulls together. */
export interface Headline {
  readonly engineSpeedRpm: number;
  readonly gear: number | null;
  readonly basis: 'same air' | 'as measured';
  readonly differenceW: Band;
  /** The other basis, where the two days' air makes them differ. */
  readonly otherDifferenceW?: Band;
  /** Shares that are told apart from nought, largest first. */
  readonly shares: readonly PowerShare[];
}

export interface PullComparison {
  /** Rising in gear and engine speed. */
  readonly speeds: readonly ComparedSpeed[];
  readonly sameAir: SameAir | null;
  readonly mean: MeanDifference | null;
  readonly headline: Headline | null;
  /** What both pulls share and so cannot make a difference, in words. */
  readonly common: readonly string[];
  readonly notCommon: readonly string[];
  readonly changes: readonly BuildChange[];
  readonly facts: readonly FactChange[];
  /** The first sentences, figures apart from words so that every shell writes its own units. */
  readonly says: readonly Phrase[];
  readonly problems: readonly string[];
}

/** Words, or a figure to be written in the reader's unit; `signed` figures show a plus. */
export type Phrase =
  | string
  | {
      readonly quantity: 'power';
      readonly valueSi: number;
      /** Half of p10 to p90. */
      readonly plusMinusSi?: number;
      readonly signed?: boolean;
    };
