/** What a row of the ledger is: how hard a part is worked at one point, and how hard it may be. */
import type { Car } from '../../car/index.ts';
import type { Conditions, MatchPoint, PartName } from '../types.ts';

export interface PartLoad {
  /** SI. */
  readonly demand: number;
  readonly rating: number;
  /** 1 = at the limit. Not always demand over rating: temperatures count from outside air. */
  readonly utilisation: number;
}

export interface Part {
  readonly part: PartName;
  /** What gives out. */
  readonly limit: string;
  readonly unit: string;
  /** False where raising the boost does not bring it to its limit. */
  readonly dependsOnBoost: boolean;
  /**
   * Whether it counts as giving out first. 'when typed': its rating is a figure of common practice, no part's own, until
   * somebody enters `ratingPath`; till then it is listed with its use and boost but decides nothing.
   */
  readonly counts: boolean | 'when typed';
  readonly ratingPath?: string;
  /**
   * Engine speed from which reaching the limit ends the car's power; below it the boost target there is lowered and the
   * power stays. Use and boost at the limit are said over all engine speeds.
   */
  readonly endsPowerFromRpm?: (car: Car) => number;
  readonly applies: (car: Car, typed: ReadonlySet<string>) => boolean;
  readonly load: (point: MatchPoint, car: Car, conditions: Conditions) => PartLoad;
  /** Cheapest first; verb first. */
  readonly lift: readonly string[];
}

/** Demand over rating. */
export const share = (demand: number, rating: number): PartLoad => ({
  demand,
  rating,
  utilisation: rating > 0 ? demand / rating : 10,
});

/** Temperatures: rise over outside air against the rise that is allowed. */
export const riseShare = (temperatureK: number, limitK: number, outsideK: number): PartLoad => ({
  demand: temperatureK,
  rating: limitK,
  utilisation: limitK - outsideK > 1 ? Math.max(0, temperatureK - outsideK) / (limitK - outsideK) : 10,
});

/**
 * Lowest engine speed that a driver who changes up at the shift speed comes to on full throttle: after the widest gear
 * step. Below it full load is met only by lugging.
 */
export const afterShiftRpm = (car: Car): number => {
  const { gearRatios } = car.facts;
  const drop = gearRatios.reduce(
    (least, ratio, i) => (i === 0 ? least : Math.min(least, ratio / gearRatios[i - 1]!)),
    1,
  );
  return drop * Math.min(car.engine.revLimitRpm, car.engine.shiftSpeedRpm);
};

/** For a row that every car has. */
export const always = (): boolean => true;
