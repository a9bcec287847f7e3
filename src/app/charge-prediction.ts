/** Charge temperature that a build predicts along a logged drive, with what came before each pull. */
import type { ResolvedBuild } from '../car/index.ts';
import { channelNamed, type Log, resample } from '../logs/index.ts';
import { type Conditions, chargeAlongWithBands } from '../match/index.ts';

/** One single-gear stretch at full pedal: times [s on the log's clock] and bands [K]. */
export interface PredictedPiece {
  readonly timesS: readonly number[];
  readonly p10: readonly number[];
  readonly p50: readonly number[];
  readonly p90: readonly number[];
}

const RATE_HZ = 10;
const MOST_ROWS = 30_000;
const SAMPLES = 32;
/** A sensor in a bay that has stood still can read far over what the core holds: no more than this is believed [K]. */
const MOST_OVER_OUTSIDE_K = 45;

const SPEEDS = ['vehicle-speed', 'wheel-speed-undriven', 'wheel-speed-driven', 'satellite-speed'] as const;

/**
 * Pieces for every full-pedal stretch; empty without engine speed, manifold pressure or charge temperature in the log.
 * The whole log is run through, so that the core enters each pull as the drive before it left it.
 */
export const chargePrediction = (resolved: ResolvedBuild, log: Log, conditions: Conditions): PredictedPiece[] => {
  const charge = channelNamed(log, 'charge-temperature');
  const speed = channelNamed(log, 'engine-speed');
  const manifold = channelNamed(log, 'manifold-pressure');
  const road = SPEEDS.map((name) => channelNamed(log, name)).find((channel) => channel !== null);
  const lengthS = log.endS - log.startS;
  if (!charge || !speed || !manifold || log.pulls.length === 0 || !(lengthS > 0)) return [];
  const rows = Math.min(MOST_ROWS, Math.floor(lengthS * RATE_HZ) + 1);
  if (rows < 3) return [];
  const timesS = Float64Array.from({ length: rows }, (_, i) => log.startS + (i * lengthS) / (rows - 1));
  const first = charge.values[0] ?? conditions.ambientTemperatureK;
  const outside = conditions.ambientTemperatureK;
  const bands = chargeAlongWithBands(
    resolved,
    conditions,
    {
      timesS,
      engineSpeedsRpm: resample(speed, timesS),
      manifoldPressuresPa: resample(manifold, timesS),
      roadSpeedsMPerS: road ? resample(road, timesS) : new Float64Array(rows).fill(Number.NaN),
    },
    { startK: Math.min(outside + MOST_OVER_OUTSIDE_K, Math.max(outside - 5, first)), samples: SAMPLES },
  );
  return log.pulls
    .flatMap(({ parts }) => parts)
    .flatMap((part): PredictedPiece[] => {
      const from = timesS.findIndex((timeS) => timeS >= part.startS);
      let to = from;
      while (to >= 0 && to < rows && timesS[to]! <= part.endS) to++;
      if (from < 0 || to - from < 2) return [];
      const cut = (values: Float64Array) => Array.from(values.subarray(from, to));
      return [{ timesS: cut(timesS), p10: cut(bands.p10), p50: cut(bands.p50), p90: cut(bands.p90) }];
    });
};
