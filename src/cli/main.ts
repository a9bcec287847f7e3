/** The command line: words in, a use case called, text or JSON out. */
import { BadInput, Cancelled, computeInWorkers, type PowersJobs, refusalOf } from '../app/index.ts';
import { bytesComing, type Options, readOptions, type Switch, type ValueOption } from './arguments.ts';
import { COMMANDS, type CommandName, HELP } from './help.ts';
import { nearest } from './print.ts';
import type { Surroundings } from './surroundings.ts';

export type { Surroundings } from './surroundings.ts';

const AIR: readonly ValueOption[] = ['temperature', 'pressure', 'humidity'];
const ALLOWED: Readonly<Record<CommandName, readonly (ValueOption | Switch)[]>> = {
  match: ['json', 'units', 'samples', 'all', ...AIR],
  cylinder: ['json', 'units', 'samples', 'speed', ...AIR],
  spool: ['json', 'units', 'samples', 'gear', 'from', 'lift', ...AIR],
  headroom: ['json', 'units', 'samples', ...AIR],
  measure: ['json', 'units', 'samples', 'answer', ...AIR],
  fuel: [
    'json',
    'units',
    'samples',
    'ethanol',
    'methanol',
    'toluene',
    'mix',
    'mix-by',
    'nozzle',
    'share',
    'by',
    'speed',
    ...AIR,
  ],
  load: ['json', 'units', 'samples', 'speed', 'torque', ...AIR],
  lift: ['json', 'units', 'samples', 'options', 'power', 'chance', 'keep', ...AIR],
  map: [
    'json',
    'units',
    'reference-temperature',
    'reference-pressure',
    'pressure-ratio',
    'outlet-diameter',
    'exducer',
    'flow-unit',
    'speed-unit',
    'source',
  ],
  review: ['json', 'units', 'build', 'fuel', 'map', 'scale', 'derive', 'rate'],
  compare: ['json', 'units', 'build', 'map', 'scale', 'derive', 'rate', 'garage'],
  pulls: ['json', 'units', 'car', 'where', 'sort', 'rising', 'limit', 'garage'],
  import: ['json', 'units', 'build', 'map', 'scale', 'derive', 'rate', 'car', 'garage'],
  serve: ['port', 'garage'],
  help: [],
  version: [],
};

const helpFor = (word: string | undefined): string => {
  if (word === undefined) return HELP.all;
  const found = COMMANDS.find((name) => name === word);
  if (found) return HELP[found];
  throw unknownCommand(word);
};

const unknownCommand = (word: string): BadInput => {
  const meant = nearest(word, COMMANDS);
  return new BadInput(
    'unknown-command',
    `There is no command "${word}"${meant ? `; did you mean "${meant}"?` : '.'} See "boostwright help".`,
  );
};

/** While the program of a review is loading its log is read, and, with a build, its second thread loads a program of its own. */
const reviewed = async (options: Options, around: Surroundings): Promise<void> => {
  const thread =
    options.value('build') === undefined
      ? null
      : computeInWorkers<PowersJobs>(new URL('./powers-worker.mjs', import.meta.url), 1);
  thread?.start();
  const coming = bytesComing(options.words[0]);
  try {
    const { review } = await import('./review-command.ts');
    await review(options, around, { compute: thread, coming });
  } finally {
    await thread?.close();
  }
};

const dispatch = async (args: readonly string[], around: Surroundings): Promise<void> => {
  const [word, ...rest] = args;
  if (word === undefined || word === '--help' || word === '-h') return around.out(HELP.all);
  if (word === '--version') return around.out(around.version);
  const command = COMMANDS.find((name) => name === word);
  if (!command) throw unknownCommand(word);
  const options = readOptions(command, rest, ALLOWED[command]);
  if (command === 'help') return around.out(helpFor(options.words[0]));
  if (options.on('help')) return around.out(HELP[command]);
  if (command === 'version') return around.out(around.version);
  if (command === 'review') return reviewed(options, around);
  const { RUN } = await import('./commands.ts');
  await RUN[command](options, around);
};

/** Runs one command line; its exit code: 0 done, 2 something given cannot be used, 1 our own fault, 130 stopped by Ctrl+C. */
export const main = async (args: readonly string[], around: Surroundings): Promise<number> => {
  try {
    await dispatch(args, around);
    return 0;
  } catch (error) {
    if (error instanceof Cancelled) {
      around.err('Stopped. Nothing was changed.');
      return 130;
    }
    const refusal = refusalOf(error);
    if (refusal) {
      around.err(refusal.says);
      // The sentence says a single problem itself; several follow line by line.
      if (refusal.problems.length > 1) {
        for (const { path, says } of refusal.problems) around.err(`  ${path === '' ? says : `${path}: ${says}`}`);
      }
      return 2;
    }
    around.err(
      `Boostwright failed here; please report it with the lines below.\n${error instanceof Error ? (error.stack ?? error.message) : String(error)}`,
    );
    return 1;
  }
};
