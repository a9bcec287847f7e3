/** The build's match in the air of a run's day, for its curves and for laying beside its traces. */
import { isMainThread } from 'node:worker_threads';
import type { Build, Car, ResolvedBuild } from '../car/index.ts';
import type { Pull } from '../logs/index.ts';
import { type BandedMatchPoint, type Conditions, matchWithBands, STANDARD_CONDITIONS } from '../match/index.ts';
import { BIN_RPM, type Predicts } from '../review/index.ts';
import { matchSpeedsRpm } from './match.ts';
import { resolvedOf } from './model-request.ts';

/** Cars solved for the bands of a prediction laid beside a log. */
const SAMPLES = 64;

/** Engine speeds to predict for a run: the whole range of the match, and every bin of its pulls. */
export const speedsToPredict = (car: Car, pulls: readonly Pull[]): number[] => {
  const speeds = new Set(matchSpeedsRpm(car));
  for (const { minEngineSpeedRpm, maxEngineSpeedRpm } of pulls) {
    // A fit through noisy readings may reach a bin further than the readings do.
    const last = Math.round(maxEngineSpeedRpm / BIN_RPM) + 1;
    for (let n = Math.max(1, Math.round(minEngineSpeedRpm / BIN_RPM) - 1); n <= last; n++) speeds.add(n * BIN_RPM);
  }
  return [...speeds].sort((a, b) => a - b);
};

/** Seeded: same build, air and speeds give the same points. */
export const predictedPoints = (
  resolved: ResolvedBuild,
  conditions: Conditions,
  engineSpeedsRpm: readonly number[],
): readonly BandedMatchPoint[] => matchWithBands(resolved, conditions, { samples: SAMPLES, engineSpeedsRpm }).points;

/** Crank power of the points by engine speed. */
export const powerByRpm = (points: readonly BandedMatchPoint[]): ReturnType<Predicts> =>
  new Map(points.map(({ engineSpeedRpm, powerW }) => [engineSpeedRpm, powerW]));

/** More engine speeds than any run asks for. */
const MOST_SPEEDS = 512;
const WAITING = 0;
const ASKED = 1;
const CALLED_OFF = 2;

/**
 * A prediction that a second thread prepares before its question is known: memory of both threads, so that the question
 * gets through while the asking thread is busy reading a log.
 */
export interface PredictionAhead {
  readonly build: Build;
  readonly state: Int32Array<SharedArrayBuffer>;
  /** Pressure, temperature, humidity, how many speeds, the speeds. */
  readonly question: Float64Array<SharedArrayBuffer>;
}

export const predictionAhead = (build: Build): PredictionAhead => ({
  build,
  state: new Int32Array(new SharedArrayBuffer(4)),
  question: new Float64Array(new SharedArrayBuffer(8 * (4 + MOST_SPEEDS))),
});

const decide = ({ state }: PredictionAhead, how: number): void => {
  Atomics.store(state, 0, how);
  Atomics.notify(state, 0);
};

/** Asks the question; the answer is that of {@link predictAhead}. */
export const askAhead = (ahead: PredictionAhead, air: Conditions, engineSpeedsRpm: readonly number[]): void => {
  const speeds = engineSpeedsRpm.slice(0, MOST_SPEEDS);
  ahead.question.set([air.ambientPressurePa, air.ambientTemperatureK, air.relativeHumidity, speeds.length, ...speeds]);
  decide(ahead, ASKED);
};

/** Nothing will be asked. */
export const callOffAhead = (ahead: PredictionAhead): void => decide(ahead, CALLED_OFF);

/**
 * As a job of another thread: makes what a prediction needs whatever the air, waits for the question, and answers it
 * with {@link predictedPoints}; no points where it was called off.
 * @throws in the main thread, which must never wait for itself.
 */
export const predictAhead = ({ build, state, question }: PredictionAhead): readonly BandedMatchPoint[] => {
  if (isMainThread) throw new Error('a prediction is prepared ahead in a thread of its own');
  const resolved = resolvedOf(build);
  if (Atomics.load(state, 0) === WAITING) {
    predictedPoints(resolved, STANDARD_CONDITIONS, [resolved.car.engine.revLimitRpm / 2]);
  }
  Atomics.wait(state, 0, WAITING);
  if (Atomics.load(state, 0) === CALLED_OFF) return [];
  const [ambientPressurePa = 0, ambientTemperatureK = 0, relativeHumidity = 0, count = 0] = question;
  const air = { ambientPressurePa, ambientTemperatureK, relativeHumidity };
  return predictedPoints(resolved, air, Array.from(question.subarray(4, 4 + count)));
};
