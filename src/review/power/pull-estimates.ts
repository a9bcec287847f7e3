/** The single estimates of a pull, bin by bin, with how each moves with everything that is not exactly known. */
import { type Car, type ResolvedBuild, withSample } from '../../car/index.ts';
import type { Log, Pull } from '../../logs/index.ts';
import { type PartKinematics, powerFromAccelerationW } from './acceleration.ts';
import { airByMeter, airBySpeedDensity, powerFromAirW } from './air.ts';
import type { Day } from './day.ts';
import { type PartReadings, partReadings } from './engine-readings.ts';
import { airByFuel } from './fuel.ts';
import { gearOf, partKinematics } from './kinematics.ts';
import { errorSpreads, type LogErrors, NO_ERRORS } from './log-errors.ts';
import { type PartReader, partSeries } from './part-series.ts';
import { METHODS, type Method, unknownsOf } from './unknowns.ts';

/** One method in one bin. */
export interface Cell {
  readonly method: Method;
  readonly bin: number;
  /** ln of power [W]. */
  readonly logPower: number;
  /** Noise of this cell alone, relative. */
  readonly noiseSd: number;
  /** Change of ln power by one standard deviation of each common unknown in the order of `unknownsOf`. */
  readonly moves: Float64Array;
}

export interface Bin {
  readonly part: number;
  readonly gear: number | null;
  readonly engineSpeedRpm: number;
  /** Mean of the engine speed [rpm] over the bin's grid points. */
  readonly meanSpeedRpm: number;
  readonly timeS: number;
}

export interface PullEstimates {
  readonly bins: readonly Bin[];
  readonly cells: readonly Cell[];
  readonly problems: readonly string[];
}

/** Width of a bin [rpm], by the contract. */
export const BIN_RPM = 250;
/** A bin needs this long inside it [s] and this share of believable points. */
const LEAST_BIN_S = 0.06;
const LEAST_SHARE = 0.6;
/** A slope this noisy tells nothing (a hole in the log, a shift) [relative]. */
const MOST_NOISE = 0.25;

/** How far apart in time the readings behind one estimate are, with sensor lags and fuel on the walls [s]. */
const MOMENT_S: Readonly<Record<Method, number>> = { density: 0.04, meter: 0.05, fuel: 0.08, acceleration: 0.04 };

/** Rise of ln power [1/s] at each bin, from its neighbours in the part. */
const riseOf = (powerW: Float64Array, bins: readonly Bin[]): Float64Array =>
  powerW.map((_, bin) => {
    const near = [bin - 1, bin, bin + 1].filter((other) => bins[other]?.part === bins[bin]!.part && powerW[other]! > 0);
    const [first, last] = [near[0], near[near.length - 1]];
    if (first === undefined || last === undefined || first === last) return 0;
    return Math.abs(Math.log(powerW[last]! / powerW[first]!) / (bins[last]!.timeS - bins[first]!.timeS));
  });

interface PartWork {
  readonly readings: PartReadings;
  readonly kinematics: PartKinematics | null;
  /** Bin of each grid point, -1 outside. */
  readonly binOf: Int32Array;
}

const estimateW = (
  method: Method,
  { readings, kinematics }: PartWork,
  car: Car,
  errors: LogErrors,
): { powerW: Float64Array; noiseSdW: Float64Array | null } => {
  if (method === 'acceleration') {
    if (!kinematics) return { powerW: new Float64Array(0), noiseSdW: null };
    return powerFromAccelerationW(readings.series, kinematics, car, readings.day, errors);
  }
  const air =
    method === 'density'
      ? airBySpeedDensity(readings, car, errors)
      : method === 'meter'
        ? airByMeter(readings, car, errors)
        : airByFuel(readings, car, errors);
  return { powerW: powerFromAirW(readings, car, errors, air), noiseSdW: null };
};

const binMeans = (powerW: Float64Array, binOf: Int32Array, bins: number): Float64Array => {
  const sum = new Float64Array(bins);
  const count = new Float64Array(bins);
  const all = new Float64Array(bins);
  for (let i = 0; i < powerW.length; i++) {
    const bin = binOf[i]!;
    if (bin < 0) continue;
    all[bin]!++;
    if (Number.isFinite(powerW[i])) {
      sum[bin]! += powerW[i]!;
      count[bin]!++;
    }
  }
  return sum.map((s, bin) =>
    count[bin]! >= LEAST_SHARE * all[bin]! && count[bin]! > 0 ? s / count[bin]! : Number.NaN,
  );
};

/** The single estimates of one pull. */
export const pullEstimates = (
  log: Log,
  pull: Pull,
  resolved: ResolvedBuild,
  day: Day,
  doubted: PartReader['doubted'],
): PullEstimates => {
  const { car } = resolved;
  const bins: Bin[] = [];
  const work: PartWork[] = [];
  const problems: string[] = [];
  pull.parts.forEach((part, partIndex) => {
    const series = partSeries({ log, car, doubted }, part);
    if (typeof series === 'string') {
      problems.push(series);
      return;
    }
    const binOf = new Int32Array(series.timesS.length).fill(-1);
    const byCentre = new Map<number, number[]>();
    series.engineSpeedRpm.forEach((rpm, i) => {
      if (!Number.isFinite(rpm)) return;
      const centre = Math.round(rpm / BIN_RPM) * BIN_RPM;
      const inside = byCentre.get(centre);
      if (inside) inside.push(i);
      else byCentre.set(centre, [i]);
    });
    const known = gearOf(series, car);
    const gear = series.gear ?? known?.gear ?? null;
    for (const [engineSpeedRpm, inside] of [...byCentre].sort((a, b) => a[0] - b[0])) {
      if (inside.length * series.stepS < LEAST_BIN_S) continue;
      for (const i of inside) binOf[i] = bins.length;
      bins.push({
        part: partIndex,
        gear,
        engineSpeedRpm,
        meanSpeedRpm: inside.reduce((sum, i) => sum + series.engineSpeedRpm[i]!, 0) / inside.length,
        timeS: inside.reduce((sum, i) => sum + series.timesS[i]!, 0) / inside.length,
      });
    }
    work.push({
      readings: partReadings(car, series, day),
      kinematics: known && partKinematics(series, known.gearRatio, car),
      binOf,
    });
  });
  const spread = errorSpreads({
    exhaustPressure: work.every(({ readings }) => readings.exhaustPressureLogged),
    fuelPressure: work.every(({ readings }) => readings.series.fuelPressureGaugePa !== null),
    ambientTemperature: day.ambientTemperatureKnown,
    lambda: work.every(({ readings }) => readings.lambdaLogged),
  });
  const unknowns = unknownsOf(resolved).map((unknown) => {
    if ('error' in unknown) {
      return { moves: unknown.moves, car, errors: { ...NO_ERRORS, [unknown.error]: spread[unknown.error] } };
    }
    const z = new Float64Array(resolved.inputs.length);
    z[unknown.input] = unknown.step;
    return { moves: unknown.moves, car: withSample(resolved, z), errors: NO_ERRORS };
  });
  const evaluate = (method: Method, movedCar: Car, errors: LogErrors): Float64Array => {
    const total = new Float64Array(bins.length).fill(Number.NaN);
    for (const part of work) {
      const { powerW } = estimateW(method, part, movedCar, errors);
      binMeans(powerW, part.binOf, bins.length).forEach((value, bin) => {
        if (Number.isFinite(value)) total[bin] = value;
      });
    }
    return total;
  };
  const cells: Cell[] = [];
  // Air and heat of a diesel follow other rules than these; its road does not.
  const methods = METHODS.filter((method) => method === 'acceleration' || car.facts.ignition === 'spark');
  for (const method of methods) {
    const best = evaluate(method, car, NO_ERRORS);
    if (!best.some((power) => power > 0)) continue;
    // Neighbouring slopes share readings, so a bin's mean is no quieter than one of them.
    const noise = new Float64Array(bins.length);
    for (const part of work) {
      const { noiseSdW } = estimateW(method, part, car, NO_ERRORS);
      if (!noiseSdW) continue;
      binMeans(noiseSdW, part.binOf, bins.length).forEach((sd, bin) => {
        if (Number.isFinite(sd)) noise[bin] = sd;
      });
    }
    const moved = unknowns.map((unknown) =>
      unknown.moves.includes(method) ? evaluate(method, unknown.car, unknown.errors) : null,
    );
    const rise = riseOf(best, bins);
    best.forEach((power, bin) => {
      if (!(power > 0) || noise[bin]! > MOST_NOISE * power) return;
      const moves = Float64Array.from(moved, (values) =>
        values && values[bin]! > 0 ? Math.log(values[bin]! / power) : 0,
      );
      cells.push({
        method,
        bin,
        logPower: Math.log(power),
        noiseSd: Math.hypot(noise[bin]! / power, rise[bin]! * MOMENT_S[method]),
        moves,
      });
    });
  }
  return { bins, cells, problems };
};
