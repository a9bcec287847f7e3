/** Rules of the room, checked on its text: contracts, index, refusals. */
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import * as room from './index.ts';
import { CYLINDER_REASONS } from './reasons.ts';

const here = dirname(fileURLToPath(import.meta.url));
const sources = readdirSync(here).filter((name) => /\.ts$/.test(name) && !/\.(test|testing)\.ts$/.test(name));
const read = (name: string): string => readFileSync(join(here, name), 'utf8');

const exportsOf = (file: string) => {
  const text = read(file);
  return [...text.matchAll(/^export (?:const|function|class) (\w+)/gm)].map((match) => {
    const before = text.slice(0, match.index).trimEnd();
    return { file, name: match[1]!, docstring: before.endsWith('*/') ? before.slice(before.lastIndexOf('/**')) : '' };
  });
};

describe('contracts', () => {
  const all = sources.filter((name) => name !== 'index.ts').flatMap(exportsOf);
  const isPublic = (name: string) => (room as Record<string, unknown>)[name] !== undefined;

  it('every public value has a docstring with units in brackets or a source', () => {
    const published = all.filter(({ name }) => isPublic(name));
    expect(published.length).toBeGreaterThan(12);
    const silent = published
      .filter(({ docstring }) => !/\[[^\]]+\]|Source:/.test(docstring))
      .map(({ file, name }) => `${file}: ${name}`);
    expect(silent).toEqual([]);
  });

  it('every public function with @param lines names each parameter and says what it returns', () => {
    const missing = all
      .filter(({ name, docstring }) => isPublic(name) && docstring.includes('@param'))
      .flatMap(({ file, name, docstring }) => {
        const head =
          new RegExp(`^export const ${name} = \\(([\\s\\S]*?)\\)(?:: [^=]+)? =>`, 'm').exec(read(file))?.[1] ?? '';
        const parameters = [...head.matchAll(/(?:^|[,(]\s*|\n\s*)(\w+)\s*(?:\?|:|=)/g)].map((m) => m[1]!);
        expect(docstring).toContain('@returns');
        return parameters
          .filter((parameter) => !docstring.includes(`@param ${parameter}`))
          .map((parameter) => `${file}: ${name}(${parameter})`);
      });
    expect(missing).toEqual([]);
  });

  it('refuses by codes that are all used, in kebab case, with a sentence', () => {
    const text = sources.map(read).join('\n');
    for (const [name, { code, says }] of Object.entries(CYLINDER_REASONS)) {
      expect(code).toMatch(/^[a-z]+(-[a-z]+)+$/);
      expect(says).toMatch(/^[A-Z].*\.$/);
      expect(text.split(`CYLINDER_REASONS.${name}`).length).toBeGreaterThan(1);
    }
  });

  it('imports physics alone', () => {
    for (const file of sources) {
      for (const [, target] of read(file).matchAll(/from '([^']+)'/g)) {
        expect(target).toMatch(/^(\.\/[a-z-]+\.ts|\.\.\/physics\/index\.ts)$/);
      }
    }
  });
});
