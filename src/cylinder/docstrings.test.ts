/** Rules of the room, checked on its text: contracts, refusals. */
import { describe, expect, it } from 'vitest';
import { readRoom, unnamedParameters, withoutContract } from '../../tests/room-contracts.testing.ts';
import { CYLINDER_REASONS } from './reasons.ts';

const { files: sources, read, exported: all } = readRoom(import.meta.dirname);
/** All but places in the arrays of the integration, which their headings there explain. */
const exported = all.filter(({ file }) => file !== 'places.ts');

describe('contracts', () => {
  it('every exported value has a docstring with units in brackets or a source', () => {
    expect(exported.length).toBeGreaterThan(12);
    expect(withoutContract(exported)).toEqual([]);
  });

  it('every function with @param lines names each parameter and says what it returns', () => {
    const told = exported.filter(({ docstring }) => docstring.includes('@param'));
    expect(told.length).toBeGreaterThan(3);
    expect(unnamedParameters(told)).toEqual([]);
    const answering = told.filter(({ result }) => result !== 'void');
    expect(answering.filter(({ docstring }) => !docstring.includes('@returns')).map(({ name }) => name)).toEqual([]);
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
