/** Columns whose readings contradict the unit that is written: read in the unit that fits, and told as a question. */
import type { Unit } from '../physics/units.ts';
import { type Candidate, weigh, writtenToSi } from './candidates.ts';
import { fitOf } from './pressure.ts';
import { KINDS } from './quantities.ts';
import { ask, shortly } from './questions.ts';
import type { ChannelName } from './types.ts';

/** Units that a column may really be in, likeliest first. */
const ALTERNATIVES: Readonly<Record<string, readonly Unit[]>> = {
  temperature: ['degF', 'degC', 'K'],
  pressure: ['psi', 'kPa', 'bar', 'mbar'],
  speed: ['km/h', 'mph', 'm/s'],
  'mass flow': ['g/s', 'kg/h', 'lb/min', 'kg/s'],
  rotation: ['rpm', 'krpm'],
  share: ['%', '1'],
  time: ['ms', 's'],
  voltage: ['V', 'mV'],
};

const asUnit = (candidate: Candidate, unit: Unit): Candidate => ({ ...candidate, unit: { unit, scale: 1 } });

/** Lowest, middle and highest ordinary reading, SI. */
const marksSi = (candidate: Candidate): readonly number[] =>
  [candidate.marks.q05, candidate.marks.median, candidate.marks.q95].map((written) => writtenToSi(candidate, written));

const isUsual = (candidate: Candidate, values: readonly number[]): boolean => {
  const { usual } = KINDS[candidate.channel];
  return values.every((value) => value >= usual[0] && value <= usual[1]);
};

/** Warm engines hold coolant and oil here [K]; common practice, no source. */
const WARM_K = [340, 395] as const;
const LONG_ENOUGH_S = 300;

/**
 * True when the written unit cannot be: the middle of the readings lies where no car's does. One wild end is a sensor's
 * fault, not the unit's. Coolant or oil that stays cool in degF through minutes of running and would be warm in degC counts too.
 */
const isContradicted = (candidate: Candidate, spanS: number): boolean => {
  const { channel, unit } = candidate;
  const [, median = 0, high = 0] = marksSi(candidate);
  if (KINDS[channel].family === 'pressure') return fitOf(candidate, unit!.unit) >= 3;
  const { usual } = KINDS[channel];
  if (median < usual[0] || median > usual[1]) return true;
  // A road speed over the fastest cars', or a flow over the largest engines', at its upper end: seldom seen, but seen once is enough.
  if ((KINDS[channel].family === 'speed' || KINDS[channel].family === 'mass flow') && high > usual[1]) return true;
  const isWarmed = channel === 'coolant-temperature' || channel === 'oil-temperature';
  if (!isWarmed || unit!.unit !== 'degF' || spanS < LONG_ENOUGH_S) return false;
  const celsius = marksSi(asUnit(candidate, 'degC'))[1]!;
  return median < 318 && celsius > WARM_K[0] && celsius < WARM_K[1];
};

const fits = (candidate: Candidate, unit: Unit): boolean => {
  if (KINDS[candidate.channel].family === 'pressure') return fitOf(candidate, unit) < 0.7;
  return isUsual(candidate, marksSi(asUnit(candidate, unit)));
};

const NAMES: Readonly<Partial<Record<Unit, string>>> = { degC: '°C', degF: '°F', '1': 'a share from 0 to 1' };
const named = (unit: Unit): string => NAMES[unit] ?? unit;

const words = (channel: ChannelName): string => channel.replaceAll('-', ' ');

/** Where a written unit is contradicted: takes the unit that fits, and asks. Where none fits the column is doubted, and asked about. */
export const settleContradictions = (candidates: readonly Candidate[], timeS: Float64Array): void => {
  const spanS = timeS.length > 1 ? timeS[timeS.length - 1]! - timeS[0]! : 0;
  for (const candidate of candidates) {
    const { channel, unit, chosen, unitText, marks } = candidate;
    const alternatives = ALTERNATIVES[KINDS[channel].family];
    if (!unit || unitText === '' || chosen || !alternatives || unit.scale !== 1) continue;
    if (!isContradicted(candidate, spanS)) continue;
    const better = alternatives.filter((other) => other !== unit.unit && fits(candidate, other));
    const reads = `"${candidate.column.header}" is written in ${unitText}, and reads from ${shortly(marks.low)} to ${shortly(marks.high)}, which no ${words(channel)} does`;
    const asWritten = { says: `it is ${unitText} as written`, settles: { unit: unitText } };
    const leftOut = { says: 'leave the column out', settles: { channel: null } };
    const [best] = better;
    if (best === undefined) {
      weigh(candidate, 0.6, 'its readings are none that a car has');
      ask([candidate], 'contradiction', `${reads}. Is it what its name says?`, [asWritten, leftOut]);
      continue;
    }
    candidate.unit = { unit: best, scale: 1 };
    candidate.unitText = best;
    if (KINDS[channel].family === 'pressure') {
      candidate.referenceGiven = false;
      delete candidate.reference;
    }
    weigh(candidate, 0.6, `written in ${unitText}, read as ${named(best)} because its readings are not of ${unitText}`);
    ask([candidate], 'contradiction', `${reads}. In which unit is it?`, [
      ...better.slice(0, 3).map((other) => ({ says: `it is ${named(other)}`, settles: { unit: other } })),
      asWritten,
      leftOut,
    ]);
  }
};
