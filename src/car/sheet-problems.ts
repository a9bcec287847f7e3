/** What is wrong with a file of JSON, in words: where in it, what was expected, the name that was meant. */
import { z } from 'zod';
import { nearestName } from '../physics/index.ts';

export interface BuildProblem {
  /** Where in the file, like `engine.displacement.value`. */
  readonly path: string;
  readonly says: string;
}

export type JsonResult =
  | { readonly ok: true; readonly value: unknown }
  /** Why it is none, fit for brackets in a sentence: never a byte that is not text. */
  | { readonly ok: false; readonly why: string };

/** Value of a JSON text, with or without a byte order mark. */
export const readJson = (text: string): JsonResult => {
  try {
    return { ok: true, value: JSON.parse(text.startsWith('\uFEFF') ? text.slice(1) : text) };
  } catch (error) {
    // The engine's own message quotes the file: bytes that are no text must not reach a terminal.
    if (/[^\P{Cc}\t\r\n]|\uFFFD/u.test(text)) return { ok: false, why: 'it is not text in UTF-8' };
    return { ok: false, why: error instanceof Error ? error.message : String(error) };
  }
};

const pathText = (path: readonly PropertyKey[]): string =>
  path.reduce<string>(
    (text, step) =>
      typeof step === 'number' ? `${text}[${step}]` : text === '' ? String(step) : `${text}.${String(step)}`,
    '',
  );

/** Names of JSON's kinds of values as a person who edits the file knows them. */
const KINDS: Readonly<Record<string, string>> = {
  object: 'entries in braces {}',
  array: 'a list in brackets []',
  string: 'a text in quotes',
  number: 'a number',
  int: 'a whole number',
  boolean: 'true or false',
};

/** Entries that stand in the schema at a place. */
const entriesAt = (schema: z.ZodType, path: readonly PropertyKey[]): readonly string[] => {
  let at: unknown = schema;
  const unwrapped = () => {
    while (at instanceof z.ZodOptional || at instanceof z.ZodNullable || at instanceof z.ZodDefault) at = at.unwrap();
    return at;
  };
  for (const step of path) {
    const here = unwrapped();
    if (here instanceof z.ZodObject) at = here.shape[String(step)];
    else if (here instanceof z.ZodArray) at = here.element;
    else return [];
  }
  const here = unwrapped();
  return here instanceof z.ZodObject ? Object.keys(here.shape) : [];
};

const inWords = (issue: z.core.$ZodIssue, schema: z.ZodType): string => {
  if (issue.code === 'unrecognized_keys') {
    const meant = issue.keys.length === 1 ? nearestName(issue.keys[0] ?? '', entriesAt(schema, issue.path)) : undefined;
    const named = issue.keys.map((key) => `"${key}"`).join(', ');
    return `unknown entry ${named}${meant === undefined ? '' : `; did you mean "${meant}"?`}`;
  }
  const [, received] = /received (\w+)$/.exec(issue.message) ?? [];
  if (issue.code === 'invalid_type' && received !== undefined) {
    const expected = KINDS[issue.expected] ?? issue.expected;
    if (received === 'undefined') return `missing; expected ${expected}`;
    return `expected ${expected}, got ${KINDS[received] ?? received}`;
  }
  return issue.message.replace(/^Invalid input: /, '');
};

/** Every problem that `schema` found, with its place in the file and what was expected. */
export const problemsIn = (error: z.ZodError, schema: z.ZodType): BuildProblem[] =>
  error.issues.map((issue) => ({ path: pathText(issue.path), says: inWords(issue, schema) }));
