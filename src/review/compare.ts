/**
 * Two pulls laid on each other: same engine speeds, same gear, in each day's air and corrected to the same air. A difference
 * is the second pull less the first, with the errors left that the two do not share.
 */
import { compareBuilds, compareFacts, type ResolvedBuild } from '../car/index.ts';
import { commonOf, commonWords } from './compare/common.ts';
import { logDifference, normalBand, powerBands } from './compare/power-difference.ts';
import { comparedReadings, sdOf } from './compare/reading-difference.ts';
import { type AirFactors, airFactors } from './compare/same-air.ts';
import { powerShares } from './compare/shares.ts';
import type {
  BasisBin,
  ComparedPower,
  ComparedSpeed,
  Headline,
  MeanDifference,
  PowerMethod,
  PullBasis,
  PullComparison,
} from './compare/types.ts';
import { comparisonPhrases, isShown } from './compare/words.ts';
import type { Band } from './types.ts';

export interface ComparedSide {
  readonly basis: PullBasis;
  /** The build the pull was driven in. */
  readonly resolved: ResolvedBuild;
  /** What to call it at the head of a sentence, like "Run B". */
  readonly name: string;
}

/** Factors nearer than this make no difference worth two figures. */
const SAME_DAY = 0.005;

const key = ({ gear, engineSpeedRpm }: { gear: number | null; engineSpeedRpm: number }): string =>
  `${gear} ${engineSpeedRpm}`;

const byKey = <T extends { gear: number | null; engineSpeedRpm: number }>(rows: readonly T[]): Map<string, T> =>
  new Map(rows.map((row) => [key(row), row]));

const scaled = ({ p10, p50, p90 }: Band, factor: number): Band => ({
  p10: p10 * factor,
  p50: p50 * factor,
  p90: p90 * factor,
});

const withTorque = (
  bands: Pick<ComparedPower, 'firstW' | 'secondW' | 'differenceW'>,
  engineSpeedRpm: number,
): ComparedPower => ({
  ...bands,
  differenceNm: scaled(bands.differenceW, 30 / (Math.PI * engineSpeedRpm)),
});

interface PowerPair {
  readonly asMeasured: ComparedPower;
  readonly sameAir?: ComparedPower;
  readonly methods: readonly PowerMethod[];
}

/** A level of power that the review itself does not give: as wide as one method alone [relative]. */
const UNKNOWN_LEVEL_SD = 0.05;

const powersOf = (
  first: BasisBin,
  second: BasisBin,
  common: ReturnType<typeof commonOf>,
  setAside: ReadonlySet<PowerMethod>,
  factors: AirFactors | null,
): PowerPair | null => {
  const difference = logDifference(first, second, common, setAside);
  if (!difference) return null;
  const [one, two] = [first.levelSd ?? UNKNOWN_LEVEL_SD, second.levelSd ?? UNKNOWN_LEVEL_SD];
  const { engineSpeedRpm } = first;
  const asMeasured = withTorque(powerBands(difference, one, two), engineSpeedRpm);
  const { methods } = difference;
  if (!factors) return { asMeasured, methods };
  const corrected = {
    firstLog: difference.firstLog + Math.log(factors.firstFactor),
    logRatio: difference.logRatio + Math.log(factors.secondFactor / factors.firstFactor),
    sd: Math.hypot(difference.sd, factors.logRatioSd),
  };
  const sameAir = powerBands(corrected, Math.hypot(one, factors.firstSd), Math.hypot(two, factors.secondSd));
  return { asMeasured, sameAir: withTorque(sameAir, engineSpeedRpm), methods };
};

/** The bin of most power by both pulls, held against its neighbours so that one odd bin is not taken for it. */
const peakOf = (speeds: readonly ComparedSpeed[]): ComparedSpeed | null => {
  const told = speeds.filter(({ asMeasured }) => asMeasured);
  const level = ({ asMeasured }: ComparedSpeed) => asMeasured!.firstW.p50 + asMeasured!.secondW.p50;
  let best: { row: ComparedSpeed; level: number } | null = null;
  for (const row of told) {
    const near = told.filter(
      (other) => other.gear === row.gear && Math.abs(other.engineSpeedRpm - row.engineSpeedRpm) <= 250,
    );
    const mean = near.reduce((sum, other) => sum + level(other), 0) / near.length;
    if (!best || mean > best.level) best = { row, level: mean };
  }
  return best?.row ?? null;
};

/**
 * Two factors that are sure to no better than this leave a correction of little use [relative]: more than humidity, which no
 * log tells, makes of two warm days with a barometer and a temperature sensor (0.02).
 */
const POORLY_KNOWN_AIR = 0.025;

/** Shares under this much of the difference, or of the power, are left to the table. */
const LEAST_SHARE = 0.05;
const LEAST_OF_POWER = 0.003;

/** True where the two days' air differs by more than is not known of it: only then does a correction tell more than none. */
const airTells = ({ firstFactor, secondFactor, logRatioSd }: AirFactors): boolean =>
  logRatioSd <= POORLY_KNOWN_AIR && Math.abs(Math.log(secondFactor / firstFactor)) > Math.max(SAME_DAY, logRatioSd);

const headlineOf = (speeds: readonly ComparedSpeed[], factors: AirFactors | null): Headline | null => {
  const row = peakOf(speeds);
  if (!row?.asMeasured) return null;
  const { engineSpeedRpm, gear, asMeasured, sameAir } = row;
  const least = Math.max(LEAST_SHARE * Math.abs(asMeasured.differenceW.p50), LEAST_OF_POWER * asMeasured.firstW.p50);
  const corrected = factors !== null && airTells(factors) ? sameAir : undefined;
  return {
    engineSpeedRpm,
    gear,
    basis: corrected ? 'same air' : 'as measured',
    differenceW: (corrected ?? asMeasured).differenceW,
    ...(corrected ? { otherDifferenceW: asMeasured.differenceW } : {}),
    shares: row.shares
      .filter(({ powerW }) => isShown(powerW) && Math.abs(powerW.p50) >= least)
      .sort((a, b) => Math.abs(b.powerW.p50) - Math.abs(a.powerW.p50)),
  };
};

/** Mean over the bins; errors of neighbouring bins are taken to be alike, so that the mean is no surer than one of them. */
const meanBand = (bands: readonly Band[]): Band => {
  const middle = bands.reduce((sum, { p50 }) => sum + p50, 0) / bands.length;
  const sd = bands.reduce((sum, band) => sum + sdOf(band), 0) / bands.length;
  return normalBand(middle, sd);
};

/** Over the gear of the headline. */
const meanOf = (speeds: readonly ComparedSpeed[], gear: number | null): MeanDifference | null => {
  const rows = speeds.filter((row) => row.gear === gear && row.asMeasured);
  const [first] = rows;
  const last = rows.at(-1);
  if (!first || !last) return null;
  const corrected = rows.flatMap(({ sameAir }) => (sameAir ? [sameAir.differenceW] : []));
  return {
    fromRpm: first.engineSpeedRpm,
    toRpm: last.engineSpeedRpm,
    asMeasuredW: meanBand(rows.map(({ asMeasured }) => asMeasured!.differenceW)),
    ...(corrected.length === rows.length ? { sameAirW: meanBand(corrected) } : {}),
  };
};

/** Bins of the same gear and engine speed in two pulls. */
export const sharedBins = (first: PullBasis, second: PullBasis): number => {
  const others = byKey(second.bins);
  return first.bins.filter((bin) => others.has(key(bin))).length;
};

/** The pull of each list that has most in common with one of the other list; the earlier ones where several do. */
export const mostAlike = (
  firsts: readonly PullBasis[],
  seconds: readonly PullBasis[],
): { readonly first: number; readonly second: number } => {
  let best = { first: 0, second: 0, bins: -1 };
  firsts.forEach((one, first) => {
    seconds.forEach((two, second) => {
      const bins = sharedBins(one, two);
      if (bins > best.bins) best = { first, second, bins };
    });
  });
  return { first: best.first, second: best.second };
};

const problemsOf = (
  first: PullBasis,
  second: PullBasis,
  speeds: readonly ComparedSpeed[],
  factors: AirFactors | null,
): string[] => {
  const problems: string[] = [];
  if (speeds.length === 0) {
    const gears = ({ gears }: PullBasis) => (gears.length > 0 ? `gear ${gears.join(', ')}` : 'no known gear');
    problems.push(
      `The two pulls share no engine speed in the same gear (${gears(first)}, ${gears(second)}): compare pulls in one gear.`,
    );
  } else if (!speeds.some(({ asMeasured }) => asMeasured)) {
    problems.push(
      'Power is not compared: no way of working it out is in both pulls. Readings are compared all the same.',
    );
  }
  for (const [which, { setAside }] of [
    ['first', first],
    ['second', second],
  ] as const) {
    if (setAside) {
      problems.push(`Power from ${METHOD_WORDS[setAside]} is left out: the others contradict it in the ${which} pull.`);
    }
  }
  if (factors && factors.logRatioSd > POORLY_KNOWN_AIR) {
    problems.push(
      'The air of the two days is poorly known, so correcting it adds more doubt than it takes away: log outside temperature and barometer.',
    );
  }
  if (first.ignition === 'compression' || second.ignition === 'compression') {
    problems.push('Not corrected to the same air: the factor here is that of spark ignition.');
  }
  return problems;
};

const METHOD_WORDS: Readonly<Record<PowerMethod, string>> = {
  density: 'air by speed and density',
  meter: 'the airflow meter',
  fuel: 'fuel',
  acceleration: 'acceleration',
};

/**
 * Compares a pull with another of the same car. Only engine speeds in the same gear are compared, bin by bin of 250 rpm;
 * power by the methods that both have, readings by their means. Deterministic; a pull compared with itself gives nought.
 *
 * Correction: SAE J1349 for spark ignition, with the error of each day's air. Engines that hold their boost by control make
 * up for part of the weather, so what was measured in each day's air always stands beside it; the truth of such an engine
 * lies between the two.
 */
export const comparePulls = (first: ComparedSide, second: ComparedSide): PullComparison => {
  const [one, two] = [first.basis, second.basis];
  const common = commonOf(one, two);
  const factors = airFactors(one, two, common);
  const setAside = new Set([one.setAside, two.setAside].filter((method) => method !== null));
  const [otherBins, otherReadings, bins] = [byKey(two.bins), byKey(two.readings), byKey(one.bins)];
  const places = new Map<string, { gear: number | null; engineSpeedRpm: number }>();
  for (const row of [...one.readings, ...one.bins]) {
    if (otherReadings.has(key(row)) || otherBins.has(key(row))) places.set(key(row), row);
  }
  const readings = byKey(one.readings);
  const speeds = [...places.values()]
    .sort((a, b) => (a.gear ?? 0) - (b.gear ?? 0) || a.engineSpeedRpm - b.engineSpeedRpm)
    .map(({ gear, engineSpeedRpm }): ComparedSpeed => {
      const at = key({ gear, engineSpeedRpm });
      const [bin, otherBin] = [bins.get(at), otherBins.get(at)];
      const [row, otherRow] = [readings.get(at), otherReadings.get(at)];
      const powers = bin && otherBin ? powersOf(bin, otherBin, common, setAside, factors) : null;
      const compared = row && otherRow ? comparedReadings(row, otherRow, one, two, common) : {};
      return {
        gear,
        engineSpeedRpm,
        ...(powers ? { asMeasured: powers.asMeasured } : {}),
        ...(powers?.sameAir ? { sameAir: powers.sameAir } : {}),
        methods: powers?.methods ?? [],
        readings: compared,
        shares: powers
          ? powerShares(first.resolved.car, {
              engineSpeedRpm,
              readings: compared,
              firstPowerW: powers.asMeasured.firstW.p50,
              air: one.air,
            })
          : [],
      };
    });
  const headline = headlineOf(speeds, factors);
  const mean = headline && meanOf(speeds, headline.gear);
  const names = { first: first.name, second: second.name };
  return {
    speeds,
    sameAir: factors?.sameAir ?? null,
    mean,
    headline,
    ...commonWords(common, one, two),
    changes: compareBuilds(first.resolved, second.resolved),
    facts: compareFacts(first.resolved, second.resolved),
    says: comparisonPhrases(headline, mean, names, common.sameReadings),
    problems: problemsOf(one, two, speeds, factors),
  };
};
