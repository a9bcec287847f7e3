/** The single estimates of a pull, bin by bin, with how each moves with everything that is not exactly known. */
import type { Car, ResolvedBuild } from '../../car/index.ts';
import type { Log, Pull } from '../../logs/index.ts';
import { type PartKinematics, powerFromAccelerationW } from './acceleration.ts';
import { airByMeter, airBySpeedDensity, type Burned, burnedOnGrid, powerFromAirW } from './air.ts';
import type { Day } from './day.ts';
import { type PartReadings, partReadings } from './engine-readings.ts';
import { airByFuel } from './fuel.ts';
import { gearOf, partKinematics } from './kinematics.ts';
import { errorSpreads, type LogErrors, NO_ERRORS } from './log-errors.ts';
import { type PartReader, partSeries } from './part-series.ts';
import { narrowedGrade } from './road-grade.ts';
import { METHODS, type Method, movedCars, type Unknown, unknownsOf } from './unknowns.ts';

/** One method in one bin. */
export interface Cell {
  readonly method: Method;
  readonly bin: number;
  /** ln of power [W]. */
  readonly logPower: number;
  /** Noise of this cell alone, relative. */
  readonly noiseSd: number;
  /** Noise that all ways by combustion have in common in this bin, relative; 0 by acceleration. */
  readonly burningNoiseSd: number;
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
const MOST_NOISE = 0.15;
/**
 * Misfires come in bursts of a few firings and their count is read over more than half a second: of a share of firings lost in
 * a bin this much is unsure [-] (common practice, no source).
 */
const MISFIRE_UNSURE = 0.5;

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

/** A car with the errors of its log, and what it burns in each part once that was asked for. */
interface Moved {
  readonly moves: readonly Method[];
  readonly car: Car;
  readonly errors: LogErrors;
  readonly burned: Burned[];
}

/** Power by a method through one part, by number; `base` is what `moved` differs from. */
const estimateW = (
  method: Method,
  parts: readonly PartWork[],
  part: number,
  moved: Moved,
  base: Moved,
): { powerW: Float64Array; noiseSdW: Float64Array | null } => {
  const { readings, kinematics } = parts[part]!;
  const { car, errors } = moved;
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
  moved.burned[part] ??= burnedOnGrid(readings, car, errors, base.burned[part]);
  return { powerW: powerFromAirW(readings, air, moved.burned[part]), noiseSdW: null };
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

const isGrade = (unknown: Unknown): boolean => 'error' in unknown && unknown.error === 'grade';

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
  const cars = movedCars(resolved);
  const base: Moved = { moves: METHODS, car, errors: NO_ERRORS, burned: [] };
  const unknowns = unknownsOf(resolved).map(
    (unknown, i): Moved => ({
      moves: unknown.moves,
      car: cars[i]!,
      errors: 'error' in unknown ? { ...NO_ERRORS, [unknown.error]: spread[unknown.error] } : NO_ERRORS,
      burned: [],
    }),
  );
  const meansOf = (method: Method, moved: Moved) => {
    const power = new Float64Array(bins.length).fill(Number.NaN);
    const noise = new Float64Array(bins.length);
    const put = (values: Float64Array, binOf: Int32Array, into: Float64Array) =>
      binMeans(values, binOf, bins.length).forEach((value, bin) => {
        if (Number.isFinite(value)) into[bin] = value;
      });
    work.forEach(({ binOf }, part) => {
      const { powerW, noiseSdW } = estimateW(method, work, part, moved, base);
      put(powerW, binOf, power);
      // Neighbouring slopes share readings, so a bin's mean is no quieter than one of them.
      if (noiseSdW && moved === base) put(noiseSdW, binOf, noise);
    });
    return { power, noise };
  };
  const misfires = new Float64Array(bins.length);
  for (const { readings, binOf } of work) {
    binMeans(readings.misfireShare, binOf, bins.length).forEach((share, bin) => {
      if (Number.isFinite(share)) misfires[bin] = share;
    });
  }
  const cells: Cell[] = [];
  // Air and heat of a diesel follow other rules than these; its road does not.
  const methods = METHODS.filter((method) => method === 'acceleration' || car.facts.ignition === 'spark');
  for (const method of methods) {
    const { power: best, noise } = meansOf(method, base);
    if (!best.some((power) => power > 0)) continue;
    const moved = unknowns.map((unknown) => (unknown.moves.includes(method) ? meansOf(method, unknown).power : null));
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
        burningNoiseSd: method === 'acceleration' ? 0 : MISFIRE_UNSURE * misfires[bin]!,
        moves,
      });
    });
  }
  return narrowedGrade({ bins, cells, problems }, unknownsOf(resolved).findIndex(isGrade));
};
