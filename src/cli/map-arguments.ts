/** What a map file leaves out, said on the command line of `map`. */
import { BadInput, MAP_SOURCES, type ReadMapOptions } from '../app/index.ts';
import { type Options, quantityOf, type ValueOption } from './arguments.ts';

const oneOf = <T extends string>(options: Options, name: ValueOption, values: readonly T[]): T | undefined => {
  const given = options.value(name);
  if (given === undefined) return undefined;
  const found = values.find((value) => value === given.trim().replaceAll('-', ' ') || value === given.trim());
  if (found === undefined) {
    throw new BadInput(
      'bad-option',
      `"--${name} ${given}" is none of ${values.map((value) => value.replaceAll(' ', '-')).join(', ')}.`,
    );
  }
  return found;
};

/** A temperature; degrees Rankine too, in which some maps state their reference. */
const temperatureOf = (options: Options, name: ValueOption): number | undefined => {
  const rankine = /^(\d+(?:\.\d+)?)\s*(?:deg)?R$/.exec(options.value(name)?.trim() ?? '');
  return rankine ? Number(rankine[1]) / 1.8 : quantityOf(options, name, 'K', '25degC, 298.15K, 77degF or 545degR');
};

/** Answers to what the file does not say. */
export const mapOptionsOf = (options: Options): ReadMapOptions => {
  const metres = (name: ValueOption) => quantityOf(options, name, 'mm', '55mm or 2.2in');
  return {
    referenceTemperatureK: temperatureOf(options, 'reference-temperature'),
    referencePressurePa: quantityOf(options, 'reference-pressure', 'Pa abs', '100kPa, 28.4inHg or 1013.25mbar'),
    pressureRatioIs: oneOf(options, 'pressure-ratio', ['total to total', 'total to static'] as const),
    outletDiameterM: metres('outlet-diameter'),
    exducerM: metres('exducer'),
    flowUnit: options.value('flow-unit'),
    speedUnit: options.value('speed-unit'),
    source: oneOf(options, 'source', MAP_SOURCES),
  };
};
