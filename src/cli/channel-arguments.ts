/** What a person says of a log's columns on the command line: a map file, scalings of analogue columns, derived channels. */
import { BadInput, readChoices, readChoicesValue } from '../app/index.ts';
import { type Options, readText } from './arguments.ts';

type Choice = ReturnType<typeof readChoices>[number];

const NUMBER = String.raw`[-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?`;
const POINTS = new RegExp(String.raw`^(.+?)\s+(${NUMBER}):(${NUMBER})\s+(${NUMBER}):(${NUMBER})$`, 'i');
const SLOPE = new RegExp(String.raw`^(.+?)\s+slope\s+(${NUMBER})\s+offset\s+(${NUMBER})$`, 'i');

const SCALE_LIKE = '--scale "AN 3 = oil-pressure bar 0.5:0 4.5:10" or --scale "WB = lambda AFR slope 2 offset 10"';
const DERIVE_LIKE =
  '--derive "over manifold = injection-pressure kPa: fuel-pressure [kPa gauge] - manifold-pressure [kPa gauge]"';

/** "channel unit" apart; the unit may be of several words, or absent. */
const channelAndUnit = (text: string): { readonly channel: string; readonly unit?: string } => {
  const [channel = '', ...unit] = text.trim().split(/\s+/);
  return unit.length > 0 ? { channel, unit: unit.join(' ') } : { channel };
};

/** Column and the rest, at the last "=" that may part them. */
const parted = (text: string, mark: string): readonly [string, string] | null => {
  const at = text.indexOf(mark);
  return at < 0 ? null : [text.slice(0, at).trim(), text.slice(at + 1).trim()];
};

const scaled = (text: string): unknown => {
  const halves = parted(text, '=');
  const points = halves && POINTS.exec(halves[1]);
  const slope = halves && SLOPE.exec(halves[1]);
  if (!halves || halves[0] === '' || !(points || slope)) {
    throw new BadInput('bad-option', `"--scale ${text}" is not like ${SCALE_LIKE}.`);
  }
  const [head, ...numbers] = (points ?? slope)!.slice(1);
  const [a = 0, b = 0, c = 0, d = 0] = numbers.map(Number);
  const line = points
    ? {
        points: [
          [a, b],
          [c, d],
        ],
      }
    : { slope: a, offset: b };
  return { column: halves[0], ...channelAndUnit(head ?? ''), scaling: line };
};

const derived = (text: string): unknown => {
  const halves = parted(text, '=');
  const formula = halves && parted(halves[1], ':');
  if (!halves || halves[0] === '' || !formula || formula[0] === '' || formula[1] === '') {
    throw new BadInput('bad-option', `"--derive ${text}" is not like ${DERIVE_LIKE}.`);
  }
  return { column: halves[0], ...channelAndUnit(formula[0]), expression: formula[1] };
};

/** All that was said of columns; of one column the last. */
export const choicesOf = (options: Options): Choice[] => {
  const map = options.value('map');
  const fromFile = map === undefined ? [] : readChoices(readText(map), map);
  const typed = [
    ...options.values('scale').map((text) => readChoicesValue([scaled(text)], `"--scale ${text}"`)),
    ...options.values('derive').map((text) => readChoicesValue([derived(text)], `"--derive ${text}"`)),
  ].flat();
  const byColumn = new Map(fromFile.map((choice) => [choice.column, choice]));
  for (const choice of typed) byColumn.set(choice.column, choice);
  return [...byColumn.values()];
};

/** What the engine burns, for a log without a build sheet. */
export const fuelSaid = (options: Options, hasBuild: boolean): 'petrol' | 'diesel' | undefined => {
  const fuel = options.value('fuel');
  if (fuel === undefined || fuel === 'petrol' || fuel === 'diesel') {
    if (fuel !== undefined && hasBuild)
      throw new BadInput(
        'bad-option',
        '"--fuel" is for a log without "--build": the build sheet says what the engine burns.',
      );
    return fuel;
  }
  throw new BadInput('bad-option', `"--fuel ${fuel}" is neither petrol nor diesel.`);
};
