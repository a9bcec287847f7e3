/** From words on the command line to options, with sentences for what cannot be used. */
import { closeSync, fstatSync, openSync, read, readFileSync, statSync } from 'node:fs';
import { parseArgs } from 'node:util';
import { BadInput } from '../app/index.ts';
import { convert, dimensionOf, isUnit, toSi, type Unit } from '../physics/index.ts';
import { nearest, UNIT_SYSTEMS, type UnitSystem } from './print.ts';

const TAKES_VALUE = [
  'build',
  'map',
  'scale',
  'derive',
  'fuel',
  'rate',
  'units',
  'temperature',
  'pressure',
  'humidity',
  'samples',
  'answer',
  'speed',
  'torque',
  'options',
  'power',
  'chance',
  'keep',
  'ethanol',
  'methanol',
  'toluene',
  'mix',
  'mix-by',
  'nozzle',
  'share',
  'by',
  'reference-temperature',
  'reference-pressure',
  'pressure-ratio',
  'outlet-diameter',
  'exducer',
  'flow-unit',
  'speed-unit',
  'source',
  'car',
  'garage',
  'port',
  'where',
  'sort',
  'limit',
  'gear',
  'from',
  'lift',
] as const;
const SWITCHES = ['json', 'all', 'rising', 'help'] as const;
export type ValueOption = (typeof TAKES_VALUE)[number];
export type Switch = (typeof SWITCHES)[number];

export interface Options {
  readonly words: readonly string[];
  /** The last one given. */
  value(name: ValueOption): string | undefined;
  /** All that were given, in order, for an option that may come several times. */
  values(name: ValueOption): readonly string[];
  on(name: Switch): boolean;
}

/**
 * Reads the words after the command. `allowed` are the options of that command.
 * @throws BadInput for an unknown option (with the nearest name), or one without its value.
 */
export const readOptions = (
  command: string,
  args: readonly string[],
  allowed: readonly (ValueOption | Switch)[],
): Options => {
  const names: readonly string[] = [...allowed, 'help'];
  const { tokens } = parseArgs({
    args: [...args],
    options: Object.fromEntries([
      ...TAKES_VALUE.map((name) => [name, { type: 'string' as const }]),
      ...SWITCHES.map((name) => [name, { type: 'boolean' as const }]),
      ['h', { type: 'boolean' as const, short: 'h' }],
    ]),
    strict: false,
    allowPositionals: true,
    tokens: true,
  });
  const values = new Map<string, string[]>();
  const on = new Set<string>();
  const words: string[] = [];
  for (const token of tokens ?? []) {
    if (token.kind === 'positional') words.push(token.value);
    if (token.kind !== 'option') continue;
    const name = token.name === 'h' ? 'help' : token.name;
    if (!names.includes(name)) {
      const meant = nearest(name, names);
      throw new BadInput(
        'unknown-option',
        `"${command}" has no option "${token.rawName}"${meant ? `; did you mean "--${meant}"?` : '.'} See "boostwright help ${command}".`,
      );
    }
    if ((SWITCHES as readonly string[]).includes(name)) {
      if (typeof token.value === 'string')
        throw new BadInput('bad-option', `The option "--${name}" takes no value, and "${token.value}" was given.`);
      on.add(name);
    } else if (typeof token.value === 'string' && token.value !== '')
      values.set(name, [...(values.get(name) ?? []), token.value]);
    else
      throw new BadInput('missing-value', `The option "--${name}" needs a value. See "boostwright help ${command}".`);
  }
  return {
    words,
    value: (name) => values.get(name)?.at(-1),
    values: (name) => values.get(name) ?? [],
    on: (name) => on.has(name),
  };
};

/** The one file a command works on. */
export const oneFile = (command: string, what: string, { words }: Options): string => {
  const [file, extra] = words;
  if (file === undefined) {
    throw new BadInput('missing-file', `"${command}" needs ${what}. See "boostwright help ${command}".`);
  }
  if (extra !== undefined) {
    throw new BadInput(
      'too-many-files',
      `"${command}" takes one file, and "${extra}" is a second; give them one at a time.`,
    );
  }
  return file;
};

/** Bytes of a file, or a sentence why there are none. */
export const readBytes = (path: string): Uint8Array => {
  try {
    if (statSync(path).isDirectory()) throw new BadInput('not-a-file', `${path} is a folder; give a file in it.`);
    return readFileSync(path);
  } catch (error) {
    if (error instanceof BadInput) throw error;
    const code = error instanceof Error && 'code' in error ? error.code : '';
    if (code === 'ENOENT' || code === 'ENOTDIR')
      throw new BadInput('no-such-file', `There is no file ${path}; check its name.`);
    if (code === 'EACCES' || code === 'EPERM') {
      throw new BadInput('not-readable', `${path} cannot be read; give yourself permission to read it.`);
    }
    if (code === '') throw error;
    throw new BadInput('not-readable', `${path} cannot be read (${code}); look at the file and where it lies.`);
  }
};

const LARGEST_READ_AT_ONCE = 2 ** 31 - 1;

/**
 * Begins to read a file while this thread does other things. The answer gives its bytes, or throws the sentence of
 * {@link readBytes} why there are none.
 */
export const bytesComing = (path: string | undefined): (() => Promise<Uint8Array>) => {
  const again = async () => readBytes(path ?? '');
  if (path === undefined) return again;
  let file: number;
  try {
    file = openSync(path, 'r');
  } catch {
    return again;
  }
  const about = fstatSync(file);
  if (!about.isFile() || about.size === 0 || about.size > LARGEST_READ_AT_ONCE) {
    closeSync(file);
    return again;
  }
  const bytes = Buffer.allocUnsafeSlow(about.size);
  const reading = new Promise<Uint8Array | null>((done) => {
    read(file, bytes, 0, about.size, 0, (error, count) => {
      closeSync(file);
      done(error || count < about.size ? null : bytes);
    });
  });
  return async () => (await reading) ?? again();
};

/** Last change of a file on the clock of this place: ISO 8601 without a zone. */
export const fileDateOf = (path: string): string => {
  const { mtime } = statSync(path);
  return new Date(mtime.getTime() - 60_000 * mtime.getTimezoneOffset()).toISOString().slice(0, 19);
};

/** Text of a file. */
export const readText = (path: string): string => new TextDecoder().decode(readBytes(path));

/** The unit system asked for. */
export const unitsOf = (options: Options): UnitSystem => {
  const given = options.value('units') ?? 'metric';
  const found = UNIT_SYSTEMS.find((name) => name === given);
  if (!found) throw new BadInput('bad-option', `"--units ${given}" is not known; use ${UNIT_SYSTEMS.join(' or ')}.`);
  return found;
};

/** A number with limits. */
export const numberOf = (
  options: Options,
  name: ValueOption,
  [low, high]: readonly [number, number],
  whole = false,
): number | undefined => {
  const given = options.value(name);
  if (given === undefined) return undefined;
  const value = /^[+-]?\d+(\.\d+)?$/.test(given) ? Number(given) : Number.NaN;
  if (!(value >= low && value <= high) || (whole && !Number.isInteger(value))) {
    throw new BadInput(
      'bad-option',
      `"--${name} ${given}" is not a ${whole ? 'whole ' : ''}number from ${low} to ${high}.`,
    );
  }
  return value;
};

/** A value with its unit, like "30degC"; several spellings of pressure are taken as absolute. */
export const quantityOf = (options: Options, name: ValueOption, plain: Unit, examples: string): number | undefined => {
  const given = options.value(name);
  if (given === undefined) return undefined;
  const [, number, unitText] = /^([+-]?\d+(?:\.\d+)?)\s*(\S.*)?$/.exec(given.trim()) ?? [];
  const spelled = { C: 'degC', F: 'degF', '°C': 'degC', '°F': 'degF' }[unitText ?? ''] ?? unitText ?? '';
  const unit = [spelled, `${spelled} abs`].find((text) => isUnit(text) && dimensionOf(text) === dimensionOf(plain));
  if (number === undefined || unit === undefined) {
    throw new BadInput('bad-option', `"--${name} ${given}" cannot be read; write it like ${examples}.`);
  }
  return toSi(Number(number), unit as Unit);
};

export interface AirOptions {
  readonly ambientTemperatureK?: number;
  readonly ambientPressurePa?: number;
  readonly relativeHumidity?: number;
}

/** Outside air as asked for; limits are checked where it is used. */
export const airOf = (options: Options): AirOptions => {
  const ambientTemperatureK = quantityOf(options, 'temperature', 'K', '30degC, 86degF or 303K');
  const ambientPressurePa = quantityOf(options, 'pressure', 'Pa abs', '98kPa, 980mbar or 14.2psi');
  const given = options.value('humidity');
  const relativeHumidity =
    given !== undefined && /^\d+(\.\d+)?$/.test(given)
      ? convert(Number(given), '%', '1')
      : quantityOf(options, 'humidity', '1', '60%');
  return {
    ...(ambientTemperatureK === undefined ? {} : { ambientTemperatureK }),
    ...(ambientPressurePa === undefined ? {} : { ambientPressurePa }),
    ...(relativeHumidity === undefined ? {} : { relativeHumidity }),
  };
};
