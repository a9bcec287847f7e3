/** Rules of the room, checked on its text: contracts, reason codes, coverage of the outside values. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { readRoom, unnamedParameters, withoutContract } from '../../tests/room-contracts.testing.ts';
import { PHYSICS_REASONS } from './reason.ts';

const here = import.meta.dirname;
const { files: sources, read, exported } = readRoom(here);
const tests = readdirSync(here).filter((name) => name.endsWith('.test.ts') && name !== 'docstrings.test.ts');

/** Values whose meaning needs neither unit nor source: states of the map to be filled in, names of places. */
const PLAIN = new Set<string>([
  'estimatedCompressorSurface',
  'fitLine',
  'MAP_PLACE',
  'newCompressorState',
  'UNIT_SCALE',
]);

describe('contracts', () => {
  it('finds the room', () => {
    expect(exported.length).toBeGreaterThan(200);
  });
  it('every exported value has a docstring with units in brackets or a source', () => {
    expect(withoutContract(exported.filter(({ name }) => !PLAIN.has(name)))).toEqual([]);
  });
  it('exported functions with @param lines name each parameter', () => {
    expect(unnamedParameters(exported)).toEqual([]);
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
