/** What a build predicts along a logged pull: the match read off at the engine speed of each moment. */
import type { ChannelName } from '../logs/index.ts';
import type { Band, BandedMatchPoint } from '../match/index.ts';
import type { TraceView } from './api.ts';
import type { PredictedPiece } from './charge-prediction.ts';

type BandKey = {
  [K in keyof BandedMatchPoint]-?: NonNullable<BandedMatchPoint[K]> extends Band ? K : never;
}[keyof BandedMatchPoint];

/** Channels that the match answers. A steady prediction: while boost is still building, the log lies below it. */
const KEY_OF: Readonly<Partial<Record<ChannelName, BandKey>>> = {
  'manifold-pressure': 'manifoldPressurePa',
  'compressor-outlet-pressure': 'compressorOutletPressurePa',
  'compressor-outlet-temperature': 'compressorOutletTemperatureK',
  'charge-temperature': 'chargeTemperatureK',
  'air-flow': 'airFlowKgPerS',
  'injector-duty': 'injectorDuty',
  'injector-pulse': 'injectorPulseS',
  lambda: 'lambda',
  'spark-advance': 'sparkAdvanceDeg',
  'exhaust-pressure': 'exhaustPressurePa',
  'exhaust-temperature': 'exhaustTemperatureK',
  'shaft-speed': 'shaftSpeedRpm',
  'injection-flow': 'injectionFlowKgPerS',
};

type Piece = NonNullable<TraceView['predicted']>[number];

/** Linear reading of `points` (slowest first) at an engine speed; null outside them. */
const bandAt = (points: readonly BandedMatchPoint[], key: BandKey, engineSpeedRpm: number): Band | null => {
  const after = points.findIndex((point) => point.engineSpeedRpm >= engineSpeedRpm);
  const high = points[after];
  if (!high) return null;
  const low = points[Math.max(0, after - 1)] ?? high;
  if (after === 0 && high.engineSpeedRpm !== engineSpeedRpm) return null;
  const [a, b] = [low[key], high[key]];
  if (!a || !b) return null;
  const span = high.engineSpeedRpm - low.engineSpeedRpm;
  const part = span > 0 ? (engineSpeedRpm - low.engineSpeedRpm) / span : 0;
  const mix = (from: number, to: number) => from + (to - from) * part;
  return { p10: mix(a.p10, b.p10), p50: mix(a.p50, b.p50), p90: mix(a.p90, b.p90) };
};

/** What of a piece lies between two times; too little to draw is nothing. */
const cutTo = (piece: PredictedPiece, startS: number, endS: number): Piece[] => {
  const from = piece.timesS.findIndex((timeS) => timeS >= startS);
  let to = from;
  while (to >= 0 && to < piece.timesS.length && piece.timesS[to]! <= endS) to++;
  if (from < 0 || to - from < 2) return [];
  const { timesS, p10, p50, p90 } = piece;
  return [
    { timesS: timesS.slice(from, to), p10: p10.slice(from, to), p50: p50.slice(from, to), p90: p90.slice(from, to) },
  ];
};

/**
 * One piece per stretch of engine speed; moments outside the match's engine speeds are left out. Charge temperature goes
 * by time instead where the drive was run through: a match knows one long pull, a core what came before.
 */
export const predictedTrace = (
  channel: ChannelName,
  stretches: readonly { readonly timesS: Float64Array; readonly values: Float64Array }[],
  points: readonly BandedMatchPoint[],
  charge: readonly PredictedPiece[] = [],
): readonly Piece[] => {
  if (channel === 'charge-temperature' && charge.length > 0) {
    return stretches.flatMap(({ timesS }) => {
      const [startS, endS] = [timesS[0] ?? 0, timesS[timesS.length - 1] ?? 0];
      return charge.flatMap((piece) => cutTo(piece, startS, endS));
    });
  }
  const key = KEY_OF[channel];
  if (!key) return [];
  return stretches.flatMap(({ timesS, values }) => {
    const piece = { timesS: [] as number[], p10: [] as number[], p50: [] as number[], p90: [] as number[] };
    timesS.forEach((timeS, index) => {
      const band = bandAt(points, key, values[index] ?? Number.NaN);
      if (!band) return;
      piece.timesS.push(timeS);
      piece.p10.push(band.p10);
      piece.p50.push(band.p50);
      piece.p90.push(band.p90);
    });
    return piece.timesS.length > 1 ? [piece] : [];
  });
};
