/** Lists on the command line of `load`. */
import { BadInput } from '../app/index.ts';
import { dimensionOf, isUnit, toSi } from '../physics/index.ts';
import type { Options } from './arguments.ts';

const MOST_VALUES = 60;

const listOf = (
  options: Options,
  name: 'speed' | 'torque',
  [low, high]: readonly [number, number],
  read: (text: string) => number,
  examples: string,
): number[] | undefined => {
  const given = options.value(name);
  if (given === undefined) return undefined;
  const values = given.split(',').map((text) => read(text.trim()));
  if (values.length > MOST_VALUES || values.some((value) => !(value >= low && value <= high))) {
    throw new BadInput(
      'bad-option',
      `"--${name} ${given}" cannot be used; give up to ${MOST_VALUES} values from ${low} to ${high}, like ${examples}.`,
    );
  }
  return [...new Set(values)].sort((a, b) => a - b);
};

/** Engine speeds asked for [rpm], rising. */
export const engineSpeedsOf = (options: Options): number[] | undefined =>
  listOf(
    options,
    'speed',
    [400, 15_000],
    (text) => (/^\d+(\.\d+)?$/.test(text) ? Number(text) : Number.NaN),
    '2000,3000,4000',
  );

/** Torques asked for [N m], rising; plain numbers are N m. */
export const torquesOf = (options: Options): number[] | undefined =>
  listOf(
    options,
    'torque',
    [1, 5000],
    (text) => {
      const [, number, unitText = 'N m'] = /^(\d+(?:\.\d+)?)\s*(\S.*)?$/.exec(text) ?? [];
      const spelled = { Nm: 'N m', lbfft: 'lbf ft', ftlb: 'lbf ft', lbft: 'lbf ft' }[unitText] ?? unitText;
      if (number === undefined || !isUnit(spelled) || dimensionOf(spelled) !== 'torque') return Number.NaN;
      return toSi(Number(number), spelled);
    },
    '40,80,120 or 30lbfft,60lbfft',
  );
