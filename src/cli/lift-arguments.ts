/** From words on the command line to what "lift" is asked. */
import { BadInput, conditionsFrom, readBuild, readKeepInside, readPartOptions } from '../app/index.ts';
import { airOf, numberOf, type Options, quantityOf, readText } from './arguments.ts';

const USUAL_CHANCE = 0.8;
const COMPARE_SAMPLES: readonly [number, number] = [16, 4000];
const SEARCH_SAMPLES: readonly [number, number] = [8, 512];

const chanceOf = (options: Options): number => {
  const given = options.value('chance');
  if (given === undefined) return USUAL_CHANCE;
  const [, number, percent] = /^\+?(\d+(?:\.\d+)?)\s*(%?)$/.exec(given.trim()) ?? [];
  const chance = number === undefined ? Number.NaN : Number(number) / (percent === '%' ? 100 : 1);
  if (!(chance > 0 && chance <= 1)) {
    throw new BadInput('bad-option', `"--chance ${given}" cannot be read; write it like 0.8 or 80%.`);
  }
  return chance;
};

/** Two builds to compare, or one build and a power to reach; a refusal where neither is meant. */
export const liftAsked = (options: Options) => {
  const [first, second, extra] = options.words;
  const help = 'See "boostwright help lift".';
  if (first === undefined) {
    throw new BadInput(
      'missing-file',
      `"lift" needs two build sheets, or one with "--options FILE" and "--power". ${help}`,
    );
  }
  if (extra !== undefined) {
    throw new BadInput('too-many-files', `"lift" takes two build sheets at most, and "${extra}" is a third. ${help}`);
  }
  const file = options.value('options');
  const parts = file === undefined ? undefined : readPartOptions(readText(file), file);
  const conditions = conditionsFrom(airOf(options));
  const { build } = readBuild(readText(first), first);
  if (second !== undefined) {
    const odd = (['power', 'chance', 'keep'] as const).find((name) => options.value(name) !== undefined);
    if (odd) {
      throw new BadInput(
        'bad-option',
        `"--${odd}" asks which parts to buy for one build, and two builds were given. ${help}`,
      );
    }
    return {
      kind: 'comparison' as const,
      request: { before: build, after: readBuild(readText(second), second).build, conditions, options: parts },
      samples: numberOf(options, 'samples', COMPARE_SAMPLES, true),
    };
  }
  if (parts === undefined) {
    throw new BadInput(
      'missing-file',
      `With one build sheet "lift" needs "--options FILE", the parts that could be bought; or give a second build sheet to compare. ${help}`,
    );
  }
  const targetPowerW = quantityOf(options, 'power', 'W', '300kW or 400hp');
  if (targetPowerW === undefined) {
    throw new BadInput('missing-value', `With part options "lift" needs "--power", like 300kW or 400hp. ${help}`);
  }
  const keep = options.value('keep');
  return {
    kind: 'search' as const,
    request: {
      build,
      options: parts,
      conditions,
      aim: { targetPowerW, chance: chanceOf(options) },
      samples: numberOf(options, 'samples', SEARCH_SAMPLES, true),
      keepInside: keep === undefined ? [] : readKeepInside(keep.split(',')),
    },
  };
};
