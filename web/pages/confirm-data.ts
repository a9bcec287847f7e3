/** What a person is saying of a log's columns: drafts of choices, answers to questions. */
import type { ChannelView, RunView } from '../../src/app/api.ts';
import type { ChannelChoice, ChannelName, LogQuestion, Scaling } from '../../src/logs/types.ts';
import { CHANNEL_WORDS } from './channels.ts';

export interface Draft {
  readonly index: number;
  readonly column: string;
  readonly channel: ChannelName | null;
  readonly unit: string;
  readonly reference: 'gauge' | 'absolute';
  readonly airFuelAtLambdaOne: number | undefined;
  readonly scaling: Scaling | undefined;
  /** Of a derived channel. */
  readonly expression: string | undefined;
  readonly recognised: ChannelView | undefined;
}

/** Petrol's, which gauges write on every fuel unless they are told otherwise. */
const USUAL_AIR_FUEL = 14.7;

/** A row per column of the file, then the derived channels. */
export const draftsOf = (run: RunView): Draft[] =>
  [
    ...run.channels.map(
      (channel): Draft => ({
        index: channel.index,
        column: channel.column,
        channel: channel.channel,
        unit: channel.unit,
        reference: channel.reference ?? 'absolute',
        airFuelAtLambdaOne: channel.airFuelAtLambdaOne,
        scaling: channel.scaling,
        expression: channel.expression,
        recognised: channel,
      }),
    ),
    ...run.unrecognised.map(
      ({ index, column, unit }): Draft => ({
        index,
        column,
        channel: null,
        unit,
        reference: 'absolute',
        airFuelAtLambdaOne: undefined,
        scaling: undefined,
        expression: undefined,
        recognised: undefined,
      }),
    ),
  ].sort((a, b) => a.index - b.index);

export const isPressure = (channel: ChannelName | null): boolean =>
  channel !== null && CHANNEL_WORDS[channel].pressure === true;

const sameScaling = (a: Scaling | undefined, b: Scaling | undefined): boolean =>
  JSON.stringify(a) === JSON.stringify(b);

const isChanged = (draft: Draft, before: Draft | undefined): boolean =>
  before === undefined ||
  before.channel !== draft.channel ||
  before.unit !== draft.unit ||
  before.reference !== draft.reference ||
  before.airFuelAtLambdaOne !== draft.airFuelAtLambdaOne ||
  before.expression !== draft.expression ||
  !sameScaling(before.scaling, draft.scaling);

/** A draft as a choice: everything that is said of its column. */
const choiceOf = (draft: Draft): ChannelChoice => {
  const { column, channel, unit, reference, airFuelAtLambdaOne, scaling, expression } = draft;
  if (channel === null) return { column, channel: null, ...(expression === undefined ? {} : { expression }) };
  return {
    column,
    channel,
    ...(unit === '' ? {} : { unit }),
    ...(isPressure(channel) ? { reference } : {}),
    ...(airFuelAtLambdaOne === undefined ? {} : { airFuelAtLambdaOne }),
    ...(scaling ? { scaling } : {}),
    ...(expression === undefined ? {} : { expression }),
  };
};

/**
 * What is sent: what a person changed, and what was asked about, so that it is not asked again. The rest stays as
 * recognised, and is learned from as recognised.
 */
export const choicesOf = (run: RunView, drafts: readonly Draft[]): ChannelChoice[] => {
  const before = new Map(draftsOf(run).map((draft) => [draft.index, draft]));
  const asked = new Set(run.questions.flatMap(({ columns }) => columns));
  const now = new Set(drafts.map(({ column }) => column));
  return [
    ...drafts.filter((draft) => asked.has(draft.column) || isChanged(draft, before.get(draft.index))).map(choiceOf),
    // Derived channels that were taken out again.
    ...[...before.values()]
      .filter(({ column, expression }) => expression !== undefined && !now.has(column))
      .map(({ column, expression }) => ({ column, channel: null, expression: expression ?? '' })),
  ];
};

const plainUnit = (unit: string): string => unit.toLowerCase().replaceAll('°', 'deg').replaceAll(' ', '');

const holds = (draft: Draft, choice: ChannelChoice): boolean =>
  draft.channel === choice.channel &&
  (choice.unit === undefined || plainUnit(choice.unit) === plainUnit(draft.unit)) &&
  (choice.reference === undefined || choice.reference === draft.reference) &&
  (choice.airFuelAtLambdaOne === undefined ||
    choice.airFuelAtLambdaOne === (draft.airFuelAtLambdaOne ?? USUAL_AIR_FUEL));

/** The option that the drafts hold to, -1 when a person has said something else in the table. */
export const optionHeld = (question: LogQuestion, drafts: readonly Draft[]): number => {
  const rows = question.columns.flatMap((column) => drafts.filter((draft) => draft.column === column));
  const found = question.options.findIndex(({ choices }) =>
    choices.every((choice) => rows.some((draft) => draft.column === choice.column && holds(draft, choice))),
  );
  if (found >= 0) return found;
  return rows.every(
    ({ recognised, unit, channel, reference }) =>
      recognised?.channel === channel && recognised.unit === unit && (recognised.reference ?? reference) === reference,
  )
    ? 0
    : -1;
};

/** The drafts with an option of a question taken. */
export const answeredWith = (drafts: readonly Draft[], option: LogQuestion['options'][number]): Draft[] =>
  drafts.map((draft) => {
    const choice = option.choices.find(({ column }) => column === draft.column);
    if (!choice) return draft;
    return {
      ...draft,
      channel: choice.channel,
      unit: choice.unit ?? draft.unit,
      reference: choice.reference ?? draft.reference,
      airFuelAtLambdaOne: choice.airFuelAtLambdaOne ?? draft.airFuelAtLambdaOne,
    };
  });

/** A row with another channel: its unit stays where the channel can be written in it, else it is the channel's usual one. */
export const takenFor = (draft: Draft, channel: ChannelName | null): Draft => {
  if (channel === null) return { ...draft, channel };
  const known = CHANNEL_WORDS[channel].writtenUnits;
  const fits = known.some((unit) => plainUnit(unit) === plainUnit(draft.unit)) || draft.recognised?.channel === channel;
  // Not written, a unit of no bracket is found by the readings; of another quantity it cannot stay.
  const unit = fits || draft.unit === '' ? draft.unit : (known[0] ?? '');
  return {
    ...draft,
    channel,
    unit,
    ...(isPressure(channel) && CHANNEL_WORDS[channel].gauge ? { reference: 'gauge' as const } : {}),
  };
};

/** A scaling in words, with the unit it gives. */
export const scalingWords = (scaling: Scaling, unit: string): string =>
  'points' in scaling
    ? `${scaling.points[0][0]} is ${scaling.points[0][1]}, ${scaling.points[1][0]} is ${scaling.points[1][1]} ${unit}`
    : `${scaling.slope} times the reading ${scaling.offset < 0 ? '-' : '+'} ${Math.abs(scaling.offset)} ${unit}`;
