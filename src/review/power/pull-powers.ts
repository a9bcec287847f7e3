/** Three powers of every pull: from air, from fuel, from acceleration, and what they say together. */
import type { Car, ResolvedBuild } from '../../car/index.ts';
import type { ChannelName, Log, Pull } from '../../logs/index.ts';
import type { Band, CurvePoint, Finding, PowerEstimates } from '../types.ts';
import { type BinPower, bandOf, type Combined, combine } from './combine.ts';
import { conditionsOf, type Day, dayOf } from './day.ts';
import { disagreementOf } from './disagreement.ts';
import { powerFromMeterAlone } from './meter-alone.ts';
import { type Predicts, predictedPower } from './predicted.ts';
import { type Bin, type PullEstimates, pullEstimates } from './pull-estimates.ts';

export interface PullPower {
  readonly powerW: PowerEstimates;
  readonly powerEngineSpeedRpm?: number;
  readonly curve: readonly CurvePoint[];
  /** Why something is missing, one sentence each. */
  readonly problems: readonly string[];
}

/**
 * Where a curve peaks: bins are held against the mean of themselves and their neighbours in the gear, so that one odd bin
 * is not taken for the peak.
 */
const peakOf = (
  powers: readonly (BinPower | null)[],
  bins: readonly Bin[],
): { bin: number; power: BinPower } | null => {
  let best: { bin: number; power: BinPower; level: number } | null = null;
  powers.forEach((power, bin) => {
    if (!power) return;
    const near = [bin - 1, bin, bin + 1].flatMap((other) =>
      bins[other]?.part === bins[bin]!.part && powers[other] ? [powers[other].logPower] : [],
    );
    const level = near.reduce((sum, value) => sum + value, 0) / near.length;
    // A spike is no more than its neighbourhood; the power told is the bin's own.
    const own = Math.min(power.logPower, level + 0.03);
    if (!best || own > best.level) best = { bin, power, level: own };
  });
  const found = best as { bin: number; power: BinPower; level: number } | null;
  return found && { bin: found.bin, power: { logPower: found.level, sd: found.power.sd } };
};

const torqueFactor = (rpm: number): number => 30 / (Math.PI * rpm);

const curveOf = (estimates: PullEstimates, all: Combined, predicted: ReadonlyMap<number, Band>) =>
  estimates.bins.flatMap((bin, index): CurvePoint[] => {
    const power = all.combined[index];
    if (!power) return [];
    const [air, fuel, acceleration] = [all.fromAir[index], all.fromFuel[index], all.fromAcceleration[index]];
    const expected = predicted.get(bin.engineSpeedRpm);
    return [
      {
        engineSpeedRpm: bin.engineSpeedRpm,
        gear: bin.gear,
        torqueNm: bandOf(power, torqueFactor(bin.meanSpeedRpm)),
        powerW: bandOf(power),
        ...(air ? { fromAirW: bandOf(air) } : {}),
        ...(fuel ? { fromFuelW: bandOf(fuel) } : {}),
        ...(acceleration ? { fromAccelerationW: bandOf(acceleration) } : {}),
        ...(expected ? { predictedPowerW: expected } : {}),
      },
    ];
  });

type Three = Readonly<Record<'air' | 'fuel' | 'acceleration', BinPower | null>>;

/** Which of the three is missing and what it needs, one sentence each. */
const missingOf = ({ air, fuel, acceleration }: Three, car: Car): string[] => {
  const sentences: string[] = [];
  if (car.facts.ignition === 'compression') {
    sentences.push('No power from air or fuel: their rules here are those of spark ignition.');
  } else {
    if (!air) {
      sentences.push(
        'No power from air: it needs air flow, or manifold pressure and charge temperature, below the end of the sensor.',
      );
    }
    if (!fuel) sentences.push('No power from fuel: it needs injector pulse or duty.');
  }
  if (!acceleration) {
    sentences.push(
      'No power from acceleration: it needs the gear, a steady engine speed reading, and tyres and clutch that hold.',
    );
  }
  return sentences;
};

/** Findings in the stretch of a pull, with a second either side. */
const during = (findings: readonly Finding[], pull: Pull): readonly Finding[] =>
  findings.filter(({ startS, endS }) => startS <= pull.endS + 1 && endS >= pull.startS - 1);

const nothing = (problem: string): PullPower => ({ powerW: { agree: true }, curve: [], problems: [problem] });

/** The estimates of one pull and what they say together, before they are told. Plain data. */
export interface PullWork {
  readonly estimates: PullEstimates;
  readonly all: Combined;
}

/** The work behind the powers of a pull: most of what they cost. `doubted`: channels that the review does not believe. */
export const pullWork = (
  log: Log,
  pull: Pull,
  resolved: ResolvedBuild,
  day: Day,
  doubted: ReadonlySet<ChannelName>,
): PullWork => {
  const estimates = pullEstimates(log, pull, resolved, day, doubted);
  return { estimates, all: combine(estimates) };
};

/** What a pull's work says, in the words of a review; `during` are findings in its stretch, `predicted` the match's powers. */
const told = (
  { estimates, all }: PullWork,
  { car }: ResolvedBuild,
  during: readonly Finding[],
  predicted: ReadonlyMap<number, Band>,
): PullPower => {
  const peak = peakOf(all.combined, estimates.bins);
  if (!peak) {
    return nothing(
      estimates.problems[0]
        ? `No power: ${estimates.problems[0]}.`
        : 'No power: the log carries neither air, fuel nor a gear to reckon it from.',
    );
  }
  // The three are compared at the engine speed of the combined peak where they have it, else at their own.
  const at = (powers: readonly (BinPower | null)[]) =>
    powers[peak.bin] ?? peakOf(powers, estimates.bins)?.power ?? null;
  const [air, fuel, acceleration] = [at(all.fromAir), at(all.fromFuel), at(all.fromAcceleration)];
  const disagreement = disagreementOf(all, car, estimates, during);
  return {
    powerW: {
      ...(air ? { fromAir: bandOf(air) } : {}),
      ...(fuel ? { fromFuel: bandOf(fuel) } : {}),
      ...(acceleration ? { fromAcceleration: bandOf(acceleration) } : {}),
      combined: bandOf(peak.power),
      agree: disagreement === null,
      ...(disagreement === null
        ? {}
        : { disagreement: disagreement.says, disagreementFindings: disagreement.findings }),
    },
    powerEngineSpeedRpm: estimates.bins[peak.bin]!.engineSpeedRpm,
    curve: curveOf(estimates, all, predicted),
    problems: [
      ...estimates.problems.map((problem) => `No power in one gear of the pull: ${problem}.`),
      ...missingOf({ air, fuel, acceleration }, car),
    ],
  };
};

/** Speaks the work on the pulls of a log; `predicted` are the match's powers by engine speed. */
export const toldPowers = (
  pulls: readonly Pull[],
  work: readonly PullWork[],
  resolved: ResolvedBuild,
  findings: readonly Finding[],
  predicted: ReadonlyMap<number, Band>,
): readonly PullPower[] => work.map((one, index) => told(one, resolved, during(findings, pulls[index]!), predicted));

/** Engine speeds [rpm] at which the curves of this work have a point. */
export const speedsOf = (work: readonly PullWork[]): number[] =>
  work.flatMap(({ estimates }) => estimates.bins.map(({ engineSpeedRpm }) => engineSpeedRpm));

/**
 * Powers of all pulls. Without a build only the airflow meter can say something, in wide bands.
 * Deterministic; never throws on a readable log. `doubted`: channels that the review does not believe. `predicts`: who
 * solves the match for the curves, where that is done elsewhere. `findings`: of the review, to say which of them speaks for a
 * cause where the ways do not agree.
 */
export const pullPowers = (
  log: Log,
  pulls: readonly Pull[],
  resolved: ResolvedBuild | null,
  doubted: ReadonlySet<ChannelName> = new Set(),
  predicts?: Predicts,
  findings: readonly Finding[] = [],
): readonly PullPower[] => {
  const day = dayOf(log);
  if (!resolved) return pulls.map((pull) => powerFromMeterAlone(log, pull, day, doubted));
  const work = pulls.map((pull) => pullWork(log, pull, resolved, day, doubted));
  const speeds = speedsOf(work);
  const predicted = predicts ? predicts(speeds) : predictedPower(resolved, conditionsOf(day), speeds);
  return toldPowers(pulls, work, resolved, findings, predicted);
};
