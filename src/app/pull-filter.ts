/**
 * Conditions on pulls in plain words: CHANNEL STATISTIC COMPARISON NUMBER UNIT, like "boost max > 150 kPa"; and
 * "gear = 3", "duration > 4 s", "finding is knock", "build is otter-build-2".
 */
import type { Comparison, PullCondition, PullOrder, StatisticKind } from '../garage/index.ts';
import { dimensionOf, isUnit, toSi, type Unit } from '../physics/index.ts';
import { FINDING_IDS } from '../review/index.ts';
import { BadInput } from './problems.ts';
import { isChannelName, siUnitOf } from './si-units.ts';

/** What is worked out of a pull and not a channel of the log. */
const WORKED_OUT = { boost: 'Pa', power: 'W', torque: 'N m' } as const satisfies Record<string, Unit>;
const isWorkedOut = (name: string): name is keyof typeof WORKED_OUT => Object.hasOwn(WORKED_OUT, name);

/** Pressures that count from outside air. */
const GAUGE: ReadonlySet<string> = new Set(['boost', 'oil-pressure', 'fuel-pressure', 'injection-pressure']);

const STATISTICS: Readonly<Record<string, StatisticKind>> = {
  min: 'least',
  max: 'most',
  mean: 'mean',
  'at-power': 'atPeakPower',
};
const STATISTIC_WORDS: Readonly<Record<StatisticKind, string>> = {
  least: 'min',
  most: 'max',
  mean: 'mean',
  atPeakPower: 'at-power',
};

const HELP = 'Write it like "boost max > 150 kPa", "lambda at-power < 0.85", "gear = 3" or "finding is knock".';
const refuse = (text: string, why: string): BadInput =>
  new BadInput('bad-filter', `The condition "${text}" cannot be read: ${why}. ${HELP}`);

/** Unit in which a name's numbers are kept. */
const keptIn = (name: string): Unit => {
  if (isWorkedOut(name)) return WORKED_OUT[name];
  if (name === 'duration') return 's';
  const unit = isChannelName(name) ? siUnitOf(name) : '1';
  return isUnit(unit) ? unit : '1';
};

/** Quantities whose number needs no unit beside it: there is but one that people mean. */
const NEEDS_NONE: ReadonlySet<Unit> = new Set(['1', 'rpm', 'deg', 'V', 's', 'Hz']);
const SPELLED: Readonly<Record<string, string>> = {
  C: 'degC',
  F: 'degF',
  '°C': 'degC',
  '°F': 'degF',
  'cc/min': 'cm3/min',
  Nm: 'N m',
  'lb ft': 'lbf ft',
  lbfft: 'lbf ft',
};

/** A number of a name, SI. */
const siOf = (text: string, name: string, written: string): number => {
  const [, number, unitText = ''] = /^([+-]?\d+(?:\.\d+)?)\s*(\S.*)?$/.exec(written) ?? [];
  if (number === undefined) throw refuse(text, `"${written}" is no number`);
  const value = Number(number);
  const own = keptIn(name);
  const spelled = SPELLED[unitText] ?? unitText;
  if (spelled === '') {
    if (NEEDS_NONE.has(own)) return value;
    throw refuse(text, `"${written}" needs a unit`);
  }
  if (own === '1' && spelled === 'lambda' && name.startsWith('lambda')) return value;
  const pressure = own === 'Pa';
  const known = pressure ? [spelled, `${spelled} ${GAUGE.has(name) ? 'gauge' : 'abs'}`] : [spelled];
  const fits = (unit: string): unit is Unit => {
    if (!isUnit(unit)) return false;
    const dimension = dimensionOf(unit);
    if (!pressure) return dimension === dimensionOf(own);
    return (
      dimension === 'pressure difference' || dimension === (GAUGE.has(name) ? 'gauge pressure' : 'absolute pressure')
    );
  };
  const unit = known.find(fits);
  if (unit === undefined) throw refuse(text, `"${unitText}" is no unit of ${name}`);
  return toSi(value, unit);
};

const nameFrom = (words: string): string =>
  words
    .trim()
    .toLowerCase()
    .replaceAll(/[\s_]+/g, '-');

/** Channel and statistic out of "charge temperature max". */
const measured = (text: string, words: string): { channel: string; statistic: StatisticKind } => {
  const spaced = words.trim().replace(/\s+at[\s-](peak[\s-])?power$/i, ' at-power');
  const [, left = spaced, word = ''] = /^(.*)\s+(min|max|mean|at-power)$/i.exec(spaced) ?? [];
  const channel = nameFrom(left);
  if (!isWorkedOut(channel) && (!isChannelName(channel) || channel === 'time')) {
    throw refuse(text, `there is no channel "${left.trim()}"`);
  }
  const statistic = STATISTICS[word.toLowerCase()] ?? (channel === 'power' ? 'most' : undefined);
  if (statistic === undefined) throw refuse(text, `say which one: ${channel} min, max, mean or at-power`);
  return { channel, statistic };
};

export interface ReadCondition {
  readonly condition: PullCondition;
  /** As it was understood. */
  readonly text: string;
}

const LONGEST = 200;

const named = (text: string, name: string, value: string): ReadCondition => {
  if (name === 'build') return { condition: { kind: 'build', id: value }, text: `build is ${value}` };
  const id = value.toLowerCase().replaceAll(/[\s_]+/g, '-');
  if (id === 'none') return { condition: { kind: 'finding', id: null }, text: 'finding is none' };
  if (!(FINDING_IDS as readonly string[]).includes(id)) throw refuse(text, `there is no finding "${value}"`);
  return { condition: { kind: 'finding', id }, text: `finding is ${id}` };
};

/**
 * Reads one condition.
 * @throws BadInput `bad-filter` with what is wrong and how it is written
 */
export const readCondition = (text: string): ReadCondition => {
  if (text.length > LONGEST) throw refuse(`${text.slice(0, 40)}...`, `it is longer than ${LONGEST} characters`);
  const [, left, sign, right] = /^(.*?[^<>=\s])\s*(<=|>=|<|>|=|\sis\s)\s*([^<>=]+)$/i.exec(text.trim()) ?? [];
  if (left === undefined || sign === undefined || right === undefined) {
    throw refuse(text, 'it has no <, <=, >, >=, = or "is" with something on either side');
  }
  const name = nameFrom(left);
  const value = right.trim();
  const is = sign.trim().toLowerCase() === 'is';
  if (name === 'finding' || name === 'build') {
    if (!is && sign !== '=') throw refuse(text, `a ${name} is one or it is not; write "${name} is ..."`);
    return named(text, name, value);
  }
  const comparison = (is ? '=' : sign) as Comparison;
  if (name === 'gear' || name === 'duration') {
    const valueSi = siOf(text, name, value);
    const unit = name === 'duration' ? ' s' : '';
    return {
      condition: { kind: name, comparison, valueSi },
      text: `${name} ${comparison} ${tidy(valueSi)}${unit}`,
    };
  }
  const { channel, statistic } = measured(text, left);
  if (comparison === '=') throw refuse(text, 'a reading is hardly ever equal to a number; use > and <');
  return {
    condition: { kind: 'statistic', channel, statistic, comparison, valueSi: siOf(text, channel, value) },
    text: `${channel} ${STATISTIC_WORDS[statistic]} ${comparison} ${value}`,
  };
};

const tidy = (value: number): string => String(Number(value.toPrecision(6)));

/** Reads the order of the list: "newest", "power", "duration" or "lambda min". */
export const readOrder = (text: string, rising: boolean): { readonly order: PullOrder; readonly text: string } => {
  const name = nameFrom(text);
  if (name === 'newest') return { order: { by: 'newest' }, text: 'newest' };
  if (name === 'power' || name === 'duration') return { order: { by: name, rising }, text: name };
  const { channel, statistic } = measured(text, text);
  return {
    order: { by: 'statistic', channel, statistic, rising },
    text: `${channel} ${STATISTIC_WORDS[statistic]}`,
  };
};

/** Checks the name of a channel whose statistics are asked for. */
export const readStatisticName = (text: string): string => {
  const name = nameFrom(text);
  if (isWorkedOut(name) || (isChannelName(name) && name !== 'time')) return name;
  throw new BadInput('bad-filter', `There is no channel "${text}".`);
};

/** Unit in which a name's statistics are kept. */
export const statisticUnit = keptIn;
