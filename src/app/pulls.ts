/** Pulls of all runs of a car: their statistics out of a review, kept, read anew for older runs, looked through. */
import type { Garage, KeptPulls, PullRecord } from '../garage/index.ts';
import type { Log } from '../logs/index.ts';
import { type Finding, pullStatistics, type ReviewedPull } from '../review/index.ts';
import type { PullsView } from './compare-api.ts';
import { readCondition, readOrder, readStatisticName } from './pull-filter.ts';
import { openLog, type ReadRequest } from './read-run.ts';

/** Raise when the statistics of the same review would come out differently: they are then made anew. */
export const PULLS_VERSION = '1';

/** Pulls of a reviewed log as the garage keeps them. */
export const pullRecords = (
  log: Log,
  { pulls, findings }: { readonly pulls: readonly ReviewedPull[]; readonly findings: readonly Finding[] },
): PullRecord[] =>
  pulls.map((pull) => {
    const { channels, findings: touching } = pullStatistics(log, pull, findings);
    return {
      startS: pull.startS,
      endS: pull.endS,
      gears: pull.gears,
      minEngineSpeedRpm: pull.minEngineSpeedRpm,
      maxEngineSpeedRpm: pull.maxEngineSpeedRpm,
      powerW: pull.powerW.combined ?? null,
      powerEngineSpeedRpm: pull.powerEngineSpeedRpm ?? null,
      findings: touching,
      statistics: channels,
    };
  });

export interface ReadPullsRequest extends ReadRequest {
  /** What the kept review says. */
  readonly reviewed: { readonly pulls: readonly ReviewedPull[]; readonly findings: readonly Finding[] };
}

/** Pulls of a run that was reviewed before their statistics were kept. */
export const readPulls = ({ reviewed, ...request }: ReadPullsRequest): KeptPulls => ({
  version: PULLS_VERSION,
  pulls: pullRecords(openLog(request).log, reviewed),
});

export interface PullsAsk {
  readonly where: readonly string[];
  readonly sort: string;
  readonly rising: boolean;
  readonly channels: readonly string[];
  readonly offset: number;
  readonly limit: number;
}

/** Columns of the list when none are asked for. */
const USUAL_CHANNELS = ['boost', 'charge-temperature', 'lambda', 'injector-duty', 'knock-retard'] as const;

/** Pulls of a car that fit, as far as they are kept. */
export const findPulls = (garage: Garage, carId: string, ask: PullsAsk): Omit<PullsView, 'runsToRead' | 'problems'> => {
  const car = garage.car(carId);
  const conditions = ask.where.map(readCondition);
  const { order, text } = readOrder(ask.sort, ask.rising);
  // What is asked about is shown.
  const channels = [
    ...new Set([
      ...(ask.channels.length > 0 ? ask.channels.map(readStatisticName) : USUAL_CHANNELS),
      ...conditions.flatMap(({ condition }) => (condition.kind === 'statistic' ? [condition.channel] : [])),
      ...(order.by === 'statistic' ? [order.channel] : []),
    ]),
  ];
  const found = garage.pulls.find(car.id, {
    conditions: conditions.map(({ condition }) => condition),
    order,
    offset: ask.offset,
    limit: ask.limit,
    channels,
  });
  return {
    schema: 'boostwright.pulls/1',
    carId: car.id,
    conditions: conditions.map((read, i) => ({ text: read.text, pullsWithout: found.without[i] ?? 0 })),
    sort: text,
    direction: ask.rising ? 'rising' : 'falling',
    total: found.total,
    ofCar: found.ofCar,
    offset: ask.offset,
    limit: ask.limit,
    pulls: found.pulls.map(({ place, ...row }) => ({ ...row, pull: place + 1 })),
    channels: garage.pulls.channels(car.id),
  };
};

/** Runs of a car whose pulls are still to be read, by name. */
export const runsToRead = (garage: Garage, carId: string): string[] => garage.pulls.runsToRead(carId, PULLS_VERSION);
