/** The Pulls sheet as data: conditions as rows of fields, and as the plain words that the server reads. */
import type { PullRowView, PullsView } from '../../src/app/compare-api.ts';
import { FINDING_IDS } from '../../src/review/types.ts';
import type { Units } from '../state/units.ts';
import { type ReadingName, readingWords, toReading, unitOf, writeReading } from './compare-data.ts';

export type StatisticWord = 'min' | 'max' | 'mean' | 'at-power';
export const STATISTIC_NAMES: Readonly<Record<StatisticWord, string>> = {
  min: 'lowest',
  max: 'highest',
  mean: 'mean',
  'at-power': 'at peak power',
};
const VALUE = { min: 'least', max: 'most', mean: 'mean', 'at-power': 'atPeakPower' } as const;

export type StatisticName = ReadingName | 'power' | 'torque';

/** A condition as its row of fields holds it; numbers as typed. */
export type ConditionRow =
  | {
      readonly kind: 'statistic';
      readonly channel: StatisticName;
      readonly statistic: StatisticWord;
      readonly over: boolean;
      readonly typed: string;
    }
  | { readonly kind: 'gear'; readonly typed: string }
  | { readonly kind: 'duration'; readonly over: boolean; readonly typed: string }
  | { readonly kind: 'finding'; readonly id: string }
  | { readonly kind: 'build'; readonly id: string };

/** SI units as the server spells them, by quantity. */
const SI_UNIT: Readonly<Record<string, string>> = {
  pressure: 'Pa',
  temperature: 'K',
  airFlow: 'kg/s',
  fuelFlow: 'kg/s',
  volumeFlow: 'm3/s',
  power: 'W',
  torque: 'N m',
  speed: 'm/s',
};

/** Quantities that the server wants a unit for although the sheet writes them by a factor. */
const PLAIN_UNIT: Readonly<Partial<Record<StatisticName, string>>> = { acceleration: 'm/s2', altitude: 'm' };

const numberText = (value: number): string => {
  const text = value.toFixed(12).replace(/\.?0+$/, '');
  return text === '-0' || text === '' ? '0' : text;
};

const typedNumber = (typed: string): number | null => {
  const text = typed.trim().replace(',', '.').replace('−', '-');
  return /^-?\d+(\.\d+)?$/.test(text) ? Number(text) : null;
};

/** The condition in the server's words; null while its number is not one. */
export const conditionText = (row: ConditionRow, units: Units): string | null => {
  if (row.kind === 'finding' || row.kind === 'build') return `${row.kind} is ${row.id}`;
  const value = typedNumber(row.typed);
  if (value === null) return null;
  if (row.kind === 'gear') return Number.isInteger(value) && value > 0 ? `gear = ${value}` : null;
  if (row.kind === 'duration') return `duration ${row.over ? '>' : '<'} ${numberText(value)} s`;
  const words = readingWords(row.channel);
  const si = words.kind === undefined ? value / (words.plain?.factor ?? 1) : units.fromReading(words.kind, value);
  const unit = words.kind === undefined ? (PLAIN_UNIT[row.channel] ?? '') : (SI_UNIT[words.kind] ?? '');
  return `${row.channel} ${row.statistic} ${row.over ? '>' : '<'} ${numberText(si)}${unit === '' ? '' : ` ${unit}`}`;
};

/** A condition of the address back as a row; null where it was written by hand in a way that the fields do not have. */
export const rowOf = (text: string, units: Units): ConditionRow | null => {
  const [, kind, id] = /^(finding|build) is (\S+)$/.exec(text) ?? [];
  if (kind && id) return { kind: kind as 'finding' | 'build', id };
  const [, gear] = /^gear = (\d+)$/.exec(text) ?? [];
  if (gear) return { kind: 'gear', typed: gear };
  const [, sign, seconds] = /^duration ([<>]) (-?\d+(?:\.\d+)?) s$/.exec(text) ?? [];
  if (sign && seconds) return { kind: 'duration', over: sign === '>', typed: seconds };
  const [, channel, statistic, comparison, number] =
    /^(\S+) (min|max|mean|at-power) ([<>]) (-?\d+(?:\.\d+)?)(?: \S.*)?$/.exec(text) ?? [];
  if (!channel || !statistic || !comparison || !number || !isStatisticName(channel)) return null;
  const words = readingWords(channel);
  const reading = toReading(words, units, Number(number));
  return {
    kind: 'statistic',
    channel,
    statistic: statistic as StatisticWord,
    over: comparison === '>',
    typed: numberText(Number(reading.toPrecision(7))),
  };
};

/** A condition as the server understood it, in the words and units of the sheet. */
export const conditionWords = (text: string, units: Units): string => {
  const row = rowOf(text, units);
  if (row?.kind !== 'statistic') return text;
  const words = readingWords(row.channel);
  const unit = unitOf(words, units);
  return `${words.name}, ${STATISTIC_NAMES[row.statistic]}, ${row.over ? 'over' : 'under'} ${row.typed}${unit === '' ? '' : ` ${unit}`}`;
};

const isStatisticName = (name: string): name is StatisticName =>
  name === 'boost' || readingWords(name as StatisticName) !== undefined;

/** What the address holds. */
export interface PullsAsk {
  readonly where: readonly string[];
  readonly sort: string;
  readonly rising: boolean;
  readonly offset: number;
}
export const PAGE_ROWS = 100;

export const askOf = (text: string): PullsAsk => {
  const query = new URLSearchParams(text);
  const offset = Number(query.get('offset') ?? 0);
  return {
    where: query.getAll('where'),
    sort: query.get('sort') ?? 'newest',
    rising: query.get('direction') === 'rising',
    offset: Number.isInteger(offset) && offset > 0 ? offset : 0,
  };
};

export const askText = ({ where, sort, rising, offset }: PullsAsk): string => {
  const query = new URLSearchParams(where.map((text) => ['where', text]));
  if (sort !== 'newest') query.set('sort', sort);
  if (rising) query.set('direction', 'rising');
  if (offset > 0) query.set('offset', String(offset));
  return query.toString();
};

/** A column of the list: a channel's statistic. */
export interface PullColumn {
  readonly channel: StatisticName;
  readonly statistic: StatisticWord;
}

const USUAL: Readonly<Partial<Record<StatisticName, StatisticWord>>> = { lambda: 'max' };

/** What was asked about first, then the usual ones. */
export const columnsOf = (view: PullsView): PullColumn[] => {
  const asked = [...view.conditions.map(({ text }) => text), view.sort].flatMap((text): PullColumn[] => {
    const [, channel, statistic] = /^(\S+) (min|max|mean|at-power)\b/.exec(text) ?? [];
    return channel === undefined || channel === 'power'
      ? []
      : [{ channel: channel as StatisticName, statistic: statistic as StatisticWord }];
  });
  const present = [...new Set(view.pulls.flatMap(({ statistics }) => statistics.map(({ channel }) => channel)))];
  const usual = present
    .filter((channel) => channel !== 'power' && !asked.some((one) => one.channel === channel))
    .map((channel): PullColumn => {
      const name = channel as StatisticName;
      return { channel: name, statistic: USUAL[name] ?? 'max' };
    });
  const once = new Map([...asked, ...usual].map((column) => [`${column.channel} ${column.statistic}`, column]));
  return [...once.values()];
};

const columnValue = (pull: PullRowView, { channel, statistic }: PullColumn): number | null =>
  pull.statistics.find((one) => one.channel === channel)?.[VALUE[statistic]] ?? null;

export const columnHead = ({ channel, statistic }: PullColumn, units: Units): string => {
  const words = readingWords(channel);
  const unit = unitOf(words, units);
  return `${words.name}, ${STATISTIC_NAMES[statistic]}${unit === '' ? '' : `, ${unit}`}`;
};

export const columnText = (pull: PullRowView, column: PullColumn, units: Units): string => {
  const value = columnValue(pull, column);
  return value === null ? '–' : writeReading(readingWords(column.channel), units, value);
};

export const FINDINGS: readonly string[] = FINDING_IDS;
export const findingName = (id: string): string => {
  const text = id.replaceAll('-', ' ');
  return text.charAt(0).toUpperCase() + text.slice(1);
};
