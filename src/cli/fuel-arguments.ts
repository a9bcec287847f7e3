/** Options of `fuel`: tried shares, tried mix, nozzles to compare, share of the fuel wanted. */
import { BadInput, MIX_BASES, type MixBasis, type WhatIfFuel, type WhatIfMix } from '../app/index.ts';
import { dimensionOf, isUnit, toSi, type Unit } from '../physics/index.ts';
import { numberOf, type Options, type ValueOption } from './arguments.ts';

const SHARE = /^(\d+(?:\.\d+)?)\s*%?$/;

/** A share in per cent, with or without the sign. */
const shareOf = (options: Options, name: ValueOption): number | undefined => {
  const given = options.value(name);
  if (given === undefined) return undefined;
  const value = Number(SHARE.exec(given.trim())?.[1] ?? Number.NaN);
  if (!(value >= 0 && value <= 100)) {
    throw new BadInput('bad-option', `"--${name} ${given}" is not a share from 0 to 100 %; write it like 30%.`);
  }
  return value / 100;
};

/** Tried shares of the fuel by volume, when any is given. */
export const triedFuelOf = (options: Options): WhatIfFuel | undefined => {
  const [ethanol, methanol, toluene] = [
    shareOf(options, 'ethanol'),
    shareOf(options, 'methanol'),
    shareOf(options, 'toluene'),
  ];
  return ethanol === undefined && methanol === undefined && toluene === undefined
    ? undefined
    : { ethanol, methanol, toluene };
};

const BASIS: Readonly<Record<string, MixBasis>> = {
  mass: 'mass',
  volume: 'volume before mixing',
  'finished-volume': 'volume in the finished mix',
};

/** A tried mix of the injection, when one is given. */
export const triedMixOf = (options: Options): WhatIfMix | undefined => {
  const methanol = shareOf(options, 'mix');
  const given = options.value('mix-by');
  if (methanol === undefined) {
    if (given !== undefined) throw new BadInput('bad-option', '"--mix-by" says how "--mix" is meant; give that too.');
    return undefined;
  }
  const by = BASIS[given ?? 'volume'];
  if (!by || !MIX_BASES.includes(by)) {
    throw new BadInput('bad-option', `"--mix-by ${given}" is none of ${Object.keys(BASIS).join(', ')}.`);
  }
  return { methanol, by };
};

/** Nozzles to compare: a list like `150,300cm3/min`; a unit after one holds for those before it. [m3/s] */
export const nozzlesOf = (options: Options): number[] | undefined => {
  const given = options.value('nozzle');
  if (given === undefined) return undefined;
  const wrong = (): never => {
    throw new BadInput(
      'bad-option',
      `"--nozzle ${given}" cannot be read; write it like 150,300,450cm3/min or 10gal/h (1 to 4000 cm3/min, 12 at most).`,
    );
  };
  const parts = given.split(',').map((part) => /^\s*(\d+(?:\.\d+)?)\s*(\S.*?)?\s*$/.exec(part));
  let unit: Unit = 'cm3/min';
  const flows: number[] = [];
  for (const part of [...parts].reverse()) {
    const [, number, text] = part ?? [];
    if (number === undefined) return wrong();
    if (text !== undefined) {
      if (!isUnit(text) || dimensionOf(text) !== 'volume flow') return wrong();
      unit = text;
    }
    const flow = toSi(Number(number), unit);
    if (!(flow >= 1e-6 / 60 && flow <= 4e-3 / 60)) return wrong();
    flows.unshift(flow);
  }
  return flows.length > 12 ? wrong() : flows;
};

/** The share of the fuel that a nozzle is wanted for. */
export const wantedOf = (
  options: Options,
): { share: number; by: 'mass' | 'volume'; engineSpeedRpm: number | undefined } | undefined => {
  const share = shareOf(options, 'share');
  const given = options.value('by') ?? 'mass';
  if (given !== 'mass' && given !== 'volume') {
    throw new BadInput('bad-option', `"--by ${given}" is none of mass, volume.`);
  }
  const engineSpeedRpm = numberOf(options, 'speed', [500, 20_000]);
  if (share === undefined) {
    if (options.value('by') !== undefined || engineSpeedRpm !== undefined) {
      throw new BadInput(
        'bad-option',
        '"--by" and "--speed" say how "--share" is meant; give that too, like --share 20%.',
      );
    }
    return undefined;
  }
  if (share === 0) throw new BadInput('bad-option', '"--share 0" needs no nozzle; ask for more than 0 %.');
  return { share, by: given, engineSpeedRpm };
};
