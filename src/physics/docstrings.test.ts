/** Rules of the room, checked on its text: contracts, index, reason codes, coverage of the outside values. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import * as room from './index.ts';
import { PHYSICS_REASONS } from './reason.ts';

const here = dirname(fileURLToPath(import.meta.url));
const files = readdirSync(here).filter((name) => name.endsWith('.ts') && !name.endsWith('.d.ts'));
const sources = files.filter((name) => !/\.(test|bench|testing)\.ts$/.test(name) && name !== 'index.ts');
const tests = files.filter((name) => name.endsWith('.test.ts') && name !== 'docstrings.test.ts');
const read = (name: string): string => readFileSync(join(here, name), 'utf8');

interface Exported {
  readonly file: string;
  readonly name: string;
  readonly docstring: string;
}

/** Exported values of a file with the docstring that stands right above each. */
const exportsOf = (file: string): Exported[] => {
  const text = read(file);
  return [...text.matchAll(/^export (?:const|function|class) (\w+)/gm)].map((match) => {
    const before = text.slice(0, match.index);
    const docstring = before.trimEnd().endsWith('*/') ? before.slice(before.lastIndexOf('/**')) : '';
    return { file, name: match[1]!, docstring };
  });
};

/** Values whose meaning needs neither unit nor source: states of the map to be filled in, names of places. */
const PLAIN = new Set(['estimatedCompressorSurface', 'fitLine', 'MAP_PLACE', 'newCompressorState', 'UNIT_SCALE']);

describe('contracts', () => {
  const all = sources.flatMap(exportsOf);
  it('finds the room', () => {
    expect(all.length).toBeGreaterThan(200);
  });
  it('every exported value has a docstring with units in brackets or a source', () => {
    const silent = all
      .filter(({ name }) => typeof (room as Record<string, unknown>)[name] !== 'undefined')
      .filter(({ name, docstring }) => !PLAIN.has(name) && !/\[[^\]]+\]|Source:|Definition|definition/.test(docstring))
      .map(({ file, name }) => `${file}: ${name}`);
    expect(silent).toEqual([]);
  });
  it('exported functions of more than two parameters with @param lines name each parameter', () => {
    const missing = all.flatMap(({ file, name, docstring }) => {
      if (!docstring.includes('@param')) return [];
      const text = read(file);
      const head = new RegExp(`^export const ${name} = \\(([\\s\\S]*?)\\)(?:: [^=]+)? =>`, 'm').exec(text)?.[1] ?? '';
      const parameters = [...head.matchAll(/(?:^|[,(]\s*)(\w+)\s*(?:\?|:|=)/g)].map((m) => m[1]!);
      return parameters
        .filter((parameter) => parameter !== '_' && parameter !== 'options' && !/^[a-z]$/.test(parameter))
        .filter((parameter) => !docstring.includes(`@param ${parameter}`))
        .map((parameter) => `${file}: ${name}(${parameter})`);
    });
    expect(missing).toEqual([]);
  });
});

/** Files whose values only this room's own files use. */
const INSIDE = new Set([
  'compressor-grid.ts',
  'compressor-line-fit.ts',
  'compressor-map-quality.ts',
  'compressor-surface.ts',
  'least-squares.ts',
  'sobol-directions.ts',
]);

describe('the index', () => {
  it('exports every value of the room by name, and nothing that is not there', () => {
    const inSources = new Set(
      sources
        .filter((name) => !INSIDE.has(name))
        .flatMap(exportsOf)
        .map(({ name }) => name),
    );
    const exported = new Set(Object.keys(room));
    expect([...inSources].filter((name) => !exported.has(name))).toEqual([]);
    const known = new Set(sources.flatMap(exportsOf).map(({ name }) => name));
    expect([...exported].filter((name) => !known.has(name))).toEqual([]);
    expect(read('index.ts')).not.toContain('export *');
  });
});

describe('reasons', () => {
  it('are listed with their meaning, and every listed one is used', () => {
    const used = new Set(
      sources.flatMap((name) => [...read(name).matchAll(/unsolved(?:<[^>]*>)?\(\s*'([^']+)'/g)].map((m) => m[1]!)),
    );
    const listed = Object.keys(PHYSICS_REASONS);
    expect([...used].filter((code) => !listed.includes(code))).toEqual([]);
    expect(listed.filter((code) => !used.has(code))).toEqual([]);
  });
});

describe('coverage of the outside values', () => {
  const tested = new Map<string, number[]>();
  const titled = new Set<string>();
  for (const name of tests) {
    const text = read(name);
    for (const match of text.matchAll(/id: '([A-Z]{2}-\d{2})',[\s\S]*?(?:expected: (-?[\d.e-]+)|expected),/g)) {
      const values = tested.get(match[1]!) ?? [];
      if (match[2] !== undefined) values.push(Number(match[2]));
      tested.set(match[1]!, values);
    }
    for (const match of text.matchAll(/it\('([A-Z]{2}-\d{2}) \(/g)) titled.add(match[1]!);
  }
  it('asserts at least 200 different rows', () => {
    expect(new Set([...tested.keys(), ...titled]).size).toBeGreaterThanOrEqual(200);
  });

  const list = join(here, '../../../shared/check-values.md');
  const present = existsSync(list);
  if (!present)
    console.warn('not run: comparison with the list of outside check values (it is not beside this checkout)');
  it('copies the expected numbers as the list has them, up to a power of ten of its unit', () => {
    expect(present).toBe(existsSync(list));
    if (!present) return;
    const rows = new Map(
      readFileSync(list, 'utf8')
        .split('\n')
        .filter((line) => /^\| [A-Z]{2}-\d{2} \|/.test(line))
        .map((line) => line.split('|').map((cell) => cell.trim()))
        .map((cells) => [cells[1]!, cells[4]!] as const),
    );
    const wrong: string[] = [];
    for (const [id, values] of tested) {
      const cell = rows.get(id);
      if (cell === undefined) {
        wrong.push(`${id} is not in the list`);
        continue;
      }
      const digits = (value: number): string =>
        value === 0
          ? '0'
          : Math.abs(value)
              .toExponential(12)
              .replace(/\.?0*e.*/, '')
              .replace('.', '');
      const listed = [
        ...cell
          .replace(/−/g, '-')
          .replace(/(\d) (?=\d{3})/g, '$1')
          .matchAll(/\d+(?:\.\d+)?(?:e-?\d+)?/g),
      ].map((m) => digits(Number(m[0])));
      for (const value of values) {
        if (!listed.includes(digits(value))) wrong.push(`${id}: ${value} where the list has "${cell}"`);
      }
    }
    expect(wrong).toEqual([]);
  });
});
