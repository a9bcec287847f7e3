/** The commands about several runs: from words on the command line to what is asked of the garage or of log files. */
import { basename } from 'node:path';
import {
  BadInput,
  type CompareView,
  compareRuns,
  computeHere,
  type Desk,
  JOBS,
  MOST_COMPARED,
  openDesk,
  type PullsView,
  readBuild,
  readRunPull,
} from '../app/index.ts';
import { numberOf, type Options, readBytes, readText } from './arguments.ts';
import { nearest } from './print.ts';

const USUAL_ROWS = 50;

const withDesk = async <T>(garage: string, work: (desk: Desk) => Promise<T>): Promise<T> => {
  const desk = openDesk({ garage, compute: computeHere(JOBS) });
  try {
    return await work(desk);
  } finally {
    await desk.close();
  }
};

interface ReadAs {
  readonly choices: Parameters<typeof compareRuns>[0]['sides'][number]['choices'];
  readonly assumedRateHz: number | null;
}

/** "log.csv" or "log.csv:2"; a colon elsewhere belongs to the name. */
const logPull = (word: string): { path: string; pull?: number } => {
  const [, path = word, pull] = /^(.+):([1-9]\d{0,4})$/.exec(word) ?? [];
  return pull === undefined ? { path: word } : { path, pull: Number(pull) };
};

const comparedLogs = (options: Options, { choices, assumedRateHz }: ReadAs): CompareView => {
  const sheets = options.values('build').map((path) => ({ path, ...readBuild(readText(path), path) }));
  if (sheets.length !== 1 && sheets.length !== options.words.length) {
    throw new BadInput(
      'bad-option',
      `"--build" came ${sheets.length} times for ${options.words.length} logs; give one build for all, or one for each.`,
    );
  }
  return compareRuns({
    sides: options.words.map((word, i) => {
      const { path, pull } = logPull(word);
      const sheet = sheets[i] ?? sheets[0]!;
      return {
        bytes: readBytes(path),
        name: basename(path),
        build: sheet.build,
        choices,
        assumedRateHz,
        logId: path,
        about: { buildLabel: sheet.build.name },
        ...(pull === undefined ? {} : { pull }),
      };
    }),
  });
};

/** Runs of a garage, or log files with a build, laid on each other. */
export const comparedRuns = async (options: Options, garage: string, readAs: ReadAs): Promise<CompareView> => {
  if (options.words.length < 2 || options.words.length > MOST_COMPARED) {
    throw new BadInput(
      'missing-file',
      `"compare" needs two to ${MOST_COMPARED} runs of a garage, or as many logs with "--build BUILD". See "boostwright help compare".`,
    );
  }
  if (options.value('build') !== undefined) return comparedLogs(options, readAs);
  const odd = (['map', 'scale', 'derive', 'rate'] as const).find((name) => options.value(name) !== undefined);
  if (odd) {
    throw new BadInput(
      'bad-option',
      `"--${odd}" is for log files compared with "--build"; runs of a garage were read before.`,
    );
  }
  return withDesk(garage, (desk) => desk.several.compare(options.words.map(readRunPull)));
};

/** Pulls of a car's runs that fit the conditions. */
export const foundPulls = (options: Options, garage: string): Promise<PullsView> => {
  const [word] = options.words;
  if (word !== undefined) {
    throw new BadInput(
      'too-many-words',
      `"pulls" takes no file; conditions come after "--where", like --where '${word}'.`,
    );
  }
  const limit = numberOf(options, 'limit', [1, 500], true) ?? USUAL_ROWS;
  return withDesk(garage, async (desk) => {
    const ids = desk.cars().cars.map(({ id }) => id);
    const asked = options.value('car');
    if (asked === undefined || !ids.includes(asked)) {
      const meant = asked === undefined ? undefined : nearest(asked, ids);
      const has = ids.length === 0 ? `the garage ${garage} is empty` : `the garage has ${ids.join(', ')}`;
      const says = asked === undefined ? 'Say which car it is with --car' : `There is no car "${asked}"`;
      throw new BadInput('no-such-car', `${says} (${meant ? `did you mean "${meant}"? ` : ''}${has}).`);
    }
    return desk.several.allPulls(asked, {
      where: options.values('where'),
      sort: options.value('sort') ?? 'newest',
      rising: options.on('rising'),
      channels: [],
      offset: 0,
      limit,
    });
  });
};
