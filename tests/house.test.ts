/** The rules of the house that a linter cannot see. */
import { execFileSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const LINES_WANTED = 400;
const LINES_MOST = 600;

/** Files that are, or are about to be, in the repository. */
const files = execFileSync('git', ['ls-files', '--cached', '--others', '--exclude-standard'], { cwd: ROOT })
  .toString()
  .split('\n')
  .filter((path) => path !== '');
const textOf = (path: string): string => {
  try {
    return readFileSync(join(ROOT, path), 'utf8');
  } catch {
    // Deleted in the working tree and not yet committed.
    return '';
  }
};

const PURE_ROOMS = ['physics', 'cylinder', 'car', 'match', 'logs', 'review', 'lift', 'learn', 'workshop'];
const SHELLS_AND_STORE = ['garage', 'app'];
const isTest = (path: string) => /\.(test|bench|testing|fixture)\.[jt]sx?$/.test(path);
const isCode = (path: string) => /\.(ts|tsx|mjs|css)$/.test(path);
const code = files.filter((path) => isCode(path) && !path.startsWith('data/'));
const pure = code.filter((path) => PURE_ROOMS.some((room) => path.startsWith(`src/${room}/`)) && !isTest(path));

/** Source without comments and without what stands between quotes, so that prose may name what code may not use. */
const bare = (source: string): string =>
  source
    .replace(/\/\*[\s\S]*?\*\//g, '')
    .replace(/(^|[^:])\/\/.*$/gm, '$1')
    .replace(/'(?:[^'\\\n]|\\.)*'/g, "''");

const offending = (paths: readonly string[], pattern: RegExp): string[] =>
  paths.filter((path) => pattern.test(bare(textOf(path))));

describe('pure rooms', () => {
  test('are looked at', () => {
    expect(pure.length).toBeGreaterThan(20);
  });

  test.each([
    ['chance', /\bMath\s*(\.\s*random|\[)/],
    ['the clock', /\b(new\s+Date|Date\s*\.|performance\s*\.\s*now)/],
    ['timers', /\b(setTimeout|setInterval|setImmediate|queueMicrotask)\b/],
    ['the network', /\b(fetch|XMLHttpRequest|WebSocket)\s*\(/],
    ['the process and its files', /\bprocess\s*\.|\brequire\s*\(/],
    ['the page', /\b(document|window|localStorage|navigator)\s*\./],
  ])('keep away from %s', (_what, pattern) => {
    expect(offending(pure, pattern)).toEqual([]);
  });

  test('import nothing of Node', () => {
    const importing = pure.filter((path) =>
      /from '(node:|fs|path|os|better-sqlite3|@duckdb|fastify)/.test(textOf(path)),
    );
    expect(importing).toEqual([]);
  });
});

describe('rooms', () => {
  const rooms = [...PURE_ROOMS, ...SHELLS_AND_STORE].filter((room) =>
    code.some((path) => path.startsWith(`src/${room}/`)),
  );

  test.each(rooms)('%s has an explicit face', (room) => {
    const face = textOf(`src/${room}/index.ts`);
    expect(face).toMatch(/export \{|export type \{/);
    expect(face).not.toMatch(/export\s+(type\s+)?\*/);
  });

  test('nobody exports with a star', () => {
    expect(code.filter((path) => /export\s+(type\s+)?\*/.test(bare(textOf(path))))).toEqual([]);
  });

  /** Faces of their own: shapes alone, and units and words, which the web loads without the rest of their room. */
  const isOwnFace = (path: string) =>
    /^src\/(app\/([a-z]+-)?api|physics\/units|lift\/words|logs\/clock-words|logs\/tiles|review\/road-load-words|[^/]+\/types)\.ts$/.test(
      path,
    );

  test.each(rooms)('%s shows only what another room, a shell, a page or a test of theirs uses', (room) => {
    const face = `src/${room}/index.ts`;
    const names = (source: string): string[] =>
      source
        .split(',')
        .map((part) => part.trim().replace(/^type /, ''))
        .filter((part) => part !== '');
    const taken = new Set(
      files
        .filter((path) => /\.(ts|tsx|mjs)$/.test(path) && !path.startsWith(`src/${room}/`))
        .flatMap((path) =>
          [...textOf(path).matchAll(/(?:import|export) (?:type )?\{([^}]*)\}\s*from '(\.{1,2}\/[^']+)'/g)]
            .filter(([, , target = '']) => join(path, '..', target).replaceAll('\\', '/') === face)
            .flatMap(([, list = '']) => names(list).map((name) => name.split(' as ')[0])),
        ),
    );
    const shown = [...textOf(face).matchAll(/export (?:type )?\{([^}]*)\} from/g)].flatMap(([, list = '']) =>
      names(list).map((name) => name.split(' as ').at(-1)),
    );
    expect(shown.length).toBeGreaterThan(0);
    expect(shown.filter((name) => !taken.has(name))).toEqual([]);
  });

  test('others come in by the face', () => {
    const past: string[] = [];
    for (const path of code.filter((path) => !isTest(path))) {
      for (const [, target = ''] of textOf(path).matchAll(/from '(\.{1,2}\/[^']+)'/g)) {
        const resolved = join(path, '..', target).replaceAll('\\', '/');
        const [, room] = /^src\/([^/]+)\//.exec(resolved) ?? [];
        if (!room || path.startsWith(`src/${room}/`)) continue;
        if (!/\/index\.ts$/.test(resolved) && !isOwnFace(resolved)) past.push(`${path} -> ${resolved}`);
      }
    }
    expect(past).toEqual([]);
  });
});

describe('files', () => {
  test(`of code hold at most ${LINES_MOST} lines, and are wanted under ${LINES_WANTED}`, () => {
    const long = code
      .filter((path) => !isTest(path))
      .map((path) => ({ path, lines: textOf(path).split('\n').length }))
      .filter(({ lines }) => lines > LINES_WANTED);
    for (const { path, lines } of long) console.warn(`${path} has ${lines} lines; split it by what it holds`);
    expect(long.filter(({ path, lines }) => lines > LINES_MOST && !path.endsWith('.css'))).toEqual([]);
  });

  test('name no machine, no promise, no test that does not run', () => {
    // Written apart so that this file does not find itself.
    const patterns = [
      new RegExp(`/(${['wor', 'far'].map((word) => `${word}${word === 'wor' ? 'k' : 'm'}`).join('|')})/`),
      /\/home\/[a-z]+\/(?!me\b|garage\b)/,
      new RegExp(`\\b(${['TO', 'FIX'].map((word) => `${word}${word === 'TO' ? 'DO' : 'ME'}`).join('|')})\\b`),
      new RegExp(
        `\\b(it|test|describe)\\.(${['sk', 'on'].map((w) => `${w}${w === 'sk' ? 'ip' : 'ly'}`).join('|')})\\b`,
      ),
      new RegExp(`\\.(toBe${'Defined'}|toBe${'Truthy'})\\(\\)`),
    ];
    const found = files
      .filter((path) => /\.(ts|tsx|mjs|css|html|md)$|^\.ci\//.test(path))
      .flatMap((path) => {
        const text = textOf(path);
        return patterns.filter((pattern) => pattern.test(text)).map((pattern) => `${path}: ${pattern.source}`);
      });
    expect(found).toEqual([]);
  });
});
