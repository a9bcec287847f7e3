/** What a person asks of a match in one number each: the answers whose bands and sensitivities are given. */
import { ANSWER_NAMES, type AnswerName, type MatchPoint } from './types.ts';

/** Answers that points of one sample give; the first limit comes from the ledger, the spool time from a run in time. */
export type PointAnswerName = Exclude<AnswerName, 'first-limit' | 'spool-time'>;
/** Answers that one match gives; the other two take a ledger and a run in time. */
export const POINT_ANSWERS = ANSWER_NAMES.filter(
  (name): name is PointAnswerName => name !== 'first-limit' && name !== 'spool-time',
);
/** Null where a sample does not have it. */
export type PointAnswers = Readonly<Record<PointAnswerName, number | null>>;

export interface AnswerWords {
  readonly about: string;
  /** SI unit; 1 for a share. */
  readonly unit: 'W' | 'Pa' | 'K' | 'rpm' | '1' | 'deg' | 's';
}

/** What each answer is and its SI unit. */
export const ANSWER_WORDS: Readonly<Record<AnswerName, AnswerWords>> = {
  power: { about: 'greatest crank power', unit: 'W' },
  boost: { about: 'greatest boost', unit: 'Pa' },
  'charge-temperature': { about: 'hottest charge', unit: 'K' },
  'shaft-speed': { about: 'fastest shaft', unit: 'rpm' },
  'injector-duty': { about: 'longest injector duty', unit: '1' },
  'knock-margin': { about: 'least margin of timing to knock', unit: 'deg' },
  'exhaust-temperature': { about: 'hottest exhaust before the turbine', unit: 'K' },
  'first-limit': { about: 'power at which the first part gives out', unit: 'W' },
  'spool-time': { about: 'time from the pedal to 90 % of the boost', unit: 's' },
};

/** Worst or greatest over the engine speeds of one sample; all null without points. */
export const pointAnswers = (points: readonly MatchPoint[]): PointAnswers => {
  const most = (of: (point: MatchPoint) => number | null): number | null => {
    let found: number | null = null;
    for (const point of points) {
      const value = of(point);
      if (value !== null && (found === null || value > found)) found = value;
    }
    return found;
  };
  const margin = most((point) => (point.knockMarginDeg === null ? null : -point.knockMarginDeg));
  return {
    power: most((point) => point.powerW),
    boost: most((point) => point.boostPa),
    'charge-temperature': most((point) => point.chargeTemperatureK),
    'shaft-speed': most((point) => point.shaftSpeedRpm),
    'injector-duty': most((point) => point.injectorDuty),
    'knock-margin': margin === null ? null : -margin,
    'exhaust-temperature': most((point) => point.exhaustTemperatureK),
  };
};
