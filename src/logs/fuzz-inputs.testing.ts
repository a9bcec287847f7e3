/** Inputs for fuzzing the reader: real-looking files changed by seeded accidents, and raw bytes. For tests and scripts/fuzz-logs.mjs. */
import { readLog } from './read-log.ts';
import { randomOf, renderedIn, styleOf } from './text-styles.fixture.ts';
import { CHANNEL_NAMES, type ChannelChoice, type Log } from './types.ts';

export interface FuzzInput {
  readonly bytes: Uint8Array;
  /** What was done, for the record of a find. */
  readonly what: string;
}

type Random = () => number;

const below = (random: Random, limit: number): number => Math.floor(random() * limit);
const pick = <T>(random: Random, list: readonly T[]): T => list[below(random, list.length)]!;

const joined = (...parts: readonly Uint8Array[]): Uint8Array => {
  const out = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
};

const EXTREMES = [0, 1, 2, 7, 8, 23, 24, 63, 64, 255, 256, 65_535, 65_536, 2 ** 24, 2 ** 31 - 1, 2 ** 31, 2 ** 32 - 1];
const TOKENS = [
  '',
  '-',
  '1e999',
  '-1e-999',
  'NaN',
  '""',
  '"',
  '00000000000000000000000001',
  '1.2.3',
  '1,2,3',
  '٣',
  ' ',
];
const WORDS = [
  '12:00:01',
  '9'.repeat(400),
  'time',
  '#',
  '\r',
  '\n\n\n',
  '\t',
  ';;;;;;;;',
  '\0',
  '0x10',
  '99:99',
  '°C',
  'kPa',
];

/** One accident. `most` bounds the size of what comes out. */
const ACCIDENTS: readonly (readonly [string, (bytes: Uint8Array, random: Random, most: number) => Uint8Array])[] = [
  [
    'bytes changed',
    (bytes, random) => {
      const out = bytes.slice();
      for (let i = 1 + below(random, 20); i > 0 && out.length > 0; i--)
        out[below(random, out.length)] = below(random, 256);
      return out;
    },
  ],
  [
    'bits turned',
    (bytes, random) => {
      const out = bytes.slice();
      for (let i = 1 + below(random, 8); i > 0 && out.length > 0; i--)
        out[below(random, out.length)]! ^= 1 << below(random, 8);
      return out;
    },
  ],
  [
    'numbers set to extremes',
    (bytes, random) => {
      const out = bytes.slice();
      const view = new DataView(out.buffer);
      for (let i = 1 + below(random, 5); i > 0 && out.length > 16; i--) {
        const at = random() < 0.7 ? 8 * below(random, (out.length - 8) / 8) : below(random, out.length - 8);
        view.setUint32(at, pick(random, EXTREMES), true);
        if (random() < 0.3) view.setUint32(at + 4, pick(random, EXTREMES), true);
      }
      return out;
    },
  ],
  ['cut off', (bytes, random) => bytes.slice(0, below(random, bytes.length + 1))],
  ['start lost', (bytes, random) => bytes.slice(below(random, bytes.length + 1))],
  [
    'a piece lost',
    (bytes, random) => {
      const from = below(random, bytes.length + 1);
      return joined(bytes.subarray(0, from), bytes.subarray(from + below(random, 2000)));
    },
  ],
  [
    'a piece twice',
    (bytes, random) => {
      const from = below(random, bytes.length + 1);
      const to = Math.min(bytes.length, from + below(random, 4000));
      return joined(bytes.subarray(0, to), bytes.subarray(from, to), bytes.subarray(to));
    },
  ],
  [
    'a token put in',
    (bytes, random) => {
      const parts: Uint8Array[] = [];
      let at = 0;
      for (let i = 1 + below(random, 12); i > 0; i--) {
        const to = Math.min(bytes.length, at + below(random, Math.max(1, (bytes.length - at) / 2)));
        parts.push(bytes.subarray(at, to), new TextEncoder().encode(pick(random, random() < 0.5 ? TOKENS : WORDS)));
        at = to;
      }
      return joined(...parts, bytes.subarray(at));
    },
  ],
  [
    'one byte for another throughout',
    (bytes, random) => {
      const [from, to] = [
        pick(random, [44, 59, 9, 10, 13, 46, 34, 48, 32]),
        pick(random, [44, 59, 9, 10, 13, 46, 34, 32, 0, 255]),
      ];
      return bytes.map((byte) => (byte === from ? to : byte));
    },
  ],
  [
    'a piece many times',
    (bytes, random, most) => {
      const from = below(random, bytes.length + 1);
      const piece = bytes.subarray(from, from + 1 + below(random, 400));
      if (piece.length === 0) return bytes;
      const times = Math.floor((random() ** 3 * most) / piece.length);
      const out = new Uint8Array(bytes.length + times * piece.length);
      out.set(bytes.subarray(0, from));
      for (let i = 0; i < times; i++) out.set(piece, from + i * piece.length);
      out.set(bytes.subarray(from), from + times * piece.length);
      return out;
    },
  ],
];

/** The input of a seed: a file of the corpus, a text in a random style, or raw bytes, with up to four accidents. `most` bounds its size [bytes]. */
export const fuzzInput = (seed: number, corpus: readonly Uint8Array[], most: number): FuzzInput => {
  const random = randomOf(seed);
  const kind = random();
  let bytes: Uint8Array;
  let what: string;
  if (kind < 0.08) {
    const alphabet = random() < 0.5 ? null : new TextEncoder().encode('0123456789.,;\t\n"- ert#');
    bytes = Uint8Array.from({ length: below(random, Math.min(most, 20_000)) }, () =>
      alphabet ? pick(random, [...alphabet]) : below(random, 256),
    );
    if (!alphabet && random() < 0.5) {
      // Raw bytes behind the first bytes of a format that is read.
      const head = pick(random, corpus).subarray(0, 8 + below(random, 160));
      bytes = joined(head, bytes);
    }
    what = 'raw bytes';
  } else if (kind < 0.45 || corpus.length === 0) {
    bytes = renderedIn(styleOf(random), random).bytes;
    what = 'a text in a random style';
  } else {
    const which = below(random, corpus.length);
    bytes = corpus[which]!;
    what = `file ${which} of the corpus`;
    if (random() < 0.05) {
      const other = pick(random, corpus);
      bytes = joined(bytes.subarray(0, below(random, bytes.length)), other.subarray(below(random, other.length)));
      what += ' with the end of another';
    }
  }
  for (let i = below(random, 5); i > 0; i--) {
    const [name, accident] = pick(random, ACCIDENTS);
    const next = accident(bytes, random, most);
    if (next.length > most) continue;
    bytes = next;
    what += `, ${name}`;
  }
  return { bytes, what };
};

/** Larger files are read once only: what is said of columns is tried on the many small ones. */
const MOST_READ_AGAIN = 500_000;

const checkLog = (log: Log): void => {
  const own = log.channels.filter(({ expression }) => expression === undefined);
  if (own.length + log.unrecognised.length !== log.table.columns.length) throw new Error('a column got lost');
  for (const { column, timesS, values } of log.channels) {
    if (timesS.length !== values.length) throw new Error(`${column}: times and values differ in number`);
    for (let i = 0; i < values.length; i++) {
      if (!Number.isFinite(values[i]!) || !Number.isFinite(timesS[i]!) || (i > 0 && !(timesS[i]! > timesS[i - 1]!)))
        throw new Error(`${column}: reading ${i} is not finite or not later than the one before`);
    }
  }
  for (const pull of log.pulls) if (!(pull.endS > pull.startS)) throw new Error('a pull without length');
  for (const { asks, options, columns } of log.questions ?? []) {
    if (!/[.?]$/.test(asks) || options.length < 2 || columns.length === 0) throw new Error(`no question: ${asks}`);
  }
};

const isSentence = (says: string): boolean => /^\S.*[.?]$/s.test(says);

/** What a person might say of a file's columns, sensible or not. */
const choicesFor = (log: Log, random: Random): ChannelChoice[] => {
  const answers = (log.questions ?? []).flatMap(({ options }) => pick(random, options).choices);
  const numbers = [0, 1, -1, 1e-9, 0.5, 4.5, 1e300, -1e308, Number.MAX_VALUE, 7];
  const column = pick(random, log.table.columns)?.header ?? 'none';
  const scaled: ChannelChoice = {
    column,
    channel: pick(random, CHANNEL_NAMES),
    unit: pick(random, ['kPa', 'bar', 'AFR', 'degF', '%', 'rpm', 'furlong', '']),
    scaling:
      random() < 0.5
        ? { slope: pick(random, numbers), offset: pick(random, numbers) }
        : {
            points: [
              [pick(random, numbers), pick(random, numbers)],
              [pick(random, numbers), pick(random, numbers)],
            ],
          },
  };
  const parts = [
    'engine-speed [rpm]',
    `"${column}"`,
    'lambda [AFR]',
    '(',
    ')',
    '+',
    '*',
    '/',
    '^',
    '-',
    '1e9',
    'sqrt(',
    'ln(',
    ',',
  ];
  const derived: ChannelChoice = {
    column: 'made up',
    channel: pick(random, CHANNEL_NAMES),
    unit: pick(random, ['kPa', 'lambda', 'rpm', 'm/s', '']),
    expression:
      random() < 0.5
        ? `"${column}" ${pick(random, ['+', '*', '/', '^', '-'])} ${pick(random, ['2', '1e300', '0', 'engine-speed [rpm]'])}`
        : Array.from({ length: 1 + below(random, 12) }, () => pick(random, parts)).join(' '),
  };
  return [...answers, ...(random() < 0.6 ? [scaled] : []), ...(random() < 0.6 ? [derived] : [])];
};

/** What must hold of any answer of the reader; throws with what does not. A small file is read again with things said of its columns. */
export const checkReading = (bytes: Uint8Array, seed = 1): 'read' | 'refused' => {
  const result = readLog(bytes, { assumedRateHz: 20 });
  if (!result.ok) {
    if (!isSentence(result.problem.says)) throw new Error(`no sentence: ${result.problem.says}`);
    return 'refused';
  }
  checkLog(result.log);
  if (bytes.length > MOST_READ_AGAIN) return 'read';
  const again = readLog(bytes, {
    assumedRateHz: 20,
    engineSpeedLater: true,
    choices: choicesFor(result.log, randomOf(seed + 0x5eed)),
  });
  if (again.ok) checkLog(again.log);
  else if (!isSentence(again.problem.says)) throw new Error(`no sentence: ${again.problem.says}`);
  return 'read';
};
