/** Pulls of a car as text. */
import type { PullsView } from '../app/index.ts';
import { statisticUnit } from '../app/index.ts';
import { dimensionOf } from '../physics/index.ts';
import { bandShown, figure, type Kind, shown, table, type UnitSystem, unitText, WIDTH, wrap } from './print.ts';

/** How figures of a kind of quantity are written. */
const KIND_OF: Readonly<Record<string, Kind>> = {
  'pressure difference': 'pressure',
  temperature: 'temperature',
  'mass flow': 'airFlow',
  power: 'power',
  torque: 'torque',
  speed: 'speed',
};

const DECIMALS: Readonly<Record<string, number>> = {
  lambda: 2,
  'lambda-target': 2,
  'engine-speed': 0,
  'shaft-speed': 0,
  'injector-pulse': 4,
};
const SHARES: ReadonlySet<string> = new Set([
  'throttle',
  'pedal',
  'injector-duty',
  'wastegate-duty',
  'ethanol-content',
]);

const kindOf = (channel: string): Kind | undefined =>
  SHARES.has(channel) ? 'share' : KIND_OF[dimensionOf(statisticUnit(channel))];

const written = (channel: string, si: number, units: UnitSystem): string => {
  const kind = kindOf(channel);
  return kind === undefined ? figure(si, DECIMALS[channel] ?? 1) : shown(si, kind, units);
};

const SHORT: Readonly<Record<string, string>> = {
  'charge-temperature': 'charge',
  'injector-duty': 'duty',
  'knock-retard': 'retard',
  'manifold-pressure': 'manifold',
  'air-flow': 'air',
};
const short = (channel: string): string => SHORT[channel] ?? channel;

/** Which numbers of each channel have a column: those asked about, else the one that people look for. */
const LOOKED_FOR: Readonly<Record<string, readonly ['min' | 'max' | 'mean' | 'at-power', ...string[]]>> = {
  lambda: ['min', 'max'],
};
const VALUE = { min: 'least', max: 'most', mean: 'mean', 'at-power': 'atPeakPower' } as const;
type Word = keyof typeof VALUE;

const columnsOf = (view: PullsView): { channel: string; word: Word }[] => {
  const asked = [...view.conditions.map(({ text }) => text), view.sort].flatMap((text) => {
    const [, channel, word] = /^(\S+) (min|max|mean|at-power)\b/.exec(text) ?? [];
    return channel === undefined ? [] : [{ channel, word: word as Word }];
  });
  const present = [...new Set(view.pulls.flatMap(({ statistics }) => statistics.map(({ channel }) => channel)))];
  const usual = present.flatMap((channel) =>
    asked.some((one) => one.channel === channel)
      ? []
      : (LOOKED_FOR[channel] ?? ['max']).map((word) => ({ channel, word: word as Word })),
  );
  const all = [...asked, ...usual].filter(({ channel }) => channel !== 'power' && present.includes(channel));
  const once = new Map(all.map((column) => [`${column.channel} ${column.word}`, column]));
  return [...once.values()];
};

const unitOf = (channel: string, units: UnitSystem): string => {
  const kind = kindOf(channel);
  if (kind !== undefined) return ` ${unitText(kind, units)}`;
  const unit = statisticUnit(channel);
  return unit === '1' ? '' : ` ${unit}`;
};

/** Columns that fit beside run, gear, engine speed and power; what was asked about comes first. */
const fitting = (view: PullsView, units: UnitSystem): { channel: string; word: Word; head: string }[] => {
  const heads = columnsOf(view).map((column) => ({
    ...column,
    head: `${short(column.channel)} ${column.word}${unitOf(column.channel, units)}`,
  }));
  const longest = Math.max(8, ...view.pulls.map(({ runId, pull }) => `${runId}:${pull}`.length));
  let room = WIDTH - longest - 2 - 7 - 12 - 16;
  return heads.filter(({ head }) => {
    room -= Math.max(head.length, 6) + 2;
    return room >= 0;
  });
};

export const pullsText = (view: PullsView, units: UnitSystem): string => {
  const columns = fitting(view, units);
  const rows = view.pulls.map((pull) => [
    `${pull.runId}:${pull.pull}`,
    pull.gears.join(',') || '-',
    `${figure(pull.minEngineSpeedRpm, 0)}-${figure(pull.maxEngineSpeedRpm, 0)}`,
    bandShown(pull.powerW ?? undefined, 'power', units),
    ...columns.map(({ channel, word }) => {
      const value = pull.statistics.find((one) => one.channel === channel)?.[VALUE[word]];
      return value === undefined || value === null ? '-' : written(channel, value, units);
    }),
  ]);
  const { total, ofCar, conditions, problems } = view;
  return [
    wrap(
      conditions.length === 0
        ? `${figure(ofCar, 0)} ${ofCar === 1 ? 'pull' : 'pulls'} of the car "${view.carId}".`
        : `${figure(total, 0)} of ${figure(ofCar, 0)} pulls of the car "${view.carId}" fit: ${conditions.map(({ text }) => text).join('; ')}.`,
    ),
    ...conditions
      .filter(({ pullsWithout }) => pullsWithout > 0)
      .map(({ text, pullsWithout }) =>
        wrap(`  ${figure(pullsWithout, 0)} of them cannot be told: no such reading for "${text}".`, 100, '  '),
      ),
    ...(rows.length > 0
      ? [
          '',
          table(
            [
              { head: 'run:pull', words: true },
              { head: 'gear' },
              { head: 'rpm' },
              { head: `power ${unitText('power', units)}` },
              ...columns.map(({ head }) => ({ head })),
            ],
            rows,
          ),
        ]
      : []),
    ...(total > rows.length ? [`... and ${figure(total - rows.length, 0)} more (--limit, --json).`] : []),
    ...problems.map(({ runId, says }) => wrap(`Run "${runId}" could not be read: ${says}`, 100, '  ')),
  ].join('\n');
};
