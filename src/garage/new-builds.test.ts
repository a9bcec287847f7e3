/** Cars made whole with their first build, and revisions refused that rest on a build that is no longer the newest. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterEach, describe, expect, test } from 'vitest';
import { type Build, parseBuild } from '../car/index.ts';
import type { Garage } from './garage.ts';
import { isSameName, slugOf } from './names.ts';
import { openGarage } from './open.ts';

const folders: string[] = [];
const fresh = (): { folder: string; garage: Garage } => {
  const folder = mkdtempSync(join(tmpdir(), 'new-builds-'));
  folders.push(folder);
  return { folder, garage: openGarage(folder) };
};
afterEach(() => {
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true, force: true });
});

const sheet = (): Build => {
  const path = fileURLToPath(new URL('../../data/demo/builds/wren-dozen-numbers.json', import.meta.url));
  const read = parseBuild(readFileSync(path, 'utf8'));
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.build;
};
const first = (name: string) => ({ name, label: 'As it stands', planned: false, sheet: sheet() });

describe('a car with its first build', () => {
  test('is one step: car, build, and the car is in that build', () => {
    const { garage } = fresh();
    const build = garage.addCarWithBuild(first('Grey Estate'));
    expect(build).toMatchObject({ id: 'grey-estate-build-1', label: 'As it stands', parentId: null });
    expect(garage.car('grey-estate')).toMatchObject({ demo: false, builds: 1, currentBuildId: build.id });
    expect(garage.faults()).toEqual([]);
    garage.close();
  });

  test('leaves no car behind where the build cannot be kept', () => {
    const { garage } = fresh();
    // A sheet that is no JSON text makes the row of the build fail after that of the car.
    const unwritable = { ...first('Half'), label: null as unknown as string };
    expect(() => garage.addCarWithBuild(unwritable)).toThrow();
    expect(garage.cars()).toEqual([]);
    garage.close();
  });

  test('a name that is read aloud alike is taken', () => {
    const { garage } = fresh();
    garage.addCarWithBuild(first('Grey Estate'));
    expect(() => garage.addCarWithBuild(first('  grey  éstate '))).toThrow(/"Grey Estate" in this garage already/);
    expect(garage.cars()).toHaveLength(1);
    garage.addCarWithBuild(first('Grey Estate 2'));
    expect(garage.cars()).toHaveLength(2);
    garage.close();
  });
});

test('names: the same aloud, and as identifiers', () => {
  expect(isSameName('Otter', 'OTTER ')).toBe(true);
  expect(isSameName('Otter', 'Otter 2')).toBe(false);
  expect(slugOf('Ötter & Son')).toBe('otter-son');
  expect(slugOf('***')).toBe('car');
});

describe('a revision', () => {
  test('that rests on the newest build is added; two windows cannot both be first', () => {
    const { folder, garage } = fresh();
    const other = openGarage(folder);
    const build = garage.addCarWithBuild(first('Wren'));
    const revision = (label: string) => ({
      carId: 'wren',
      label,
      planned: false,
      parentId: build.id,
      newestId: build.id,
      sheet: sheet(),
    });
    const second = garage.addBuild(revision('Injectors'));
    expect(() => other.addBuild(revision('Pump'))).toThrow(/"Injectors" was saved for this car after/);
    expect(other.builds('wren').map(({ label }) => label)).toEqual(['Injectors', 'As it stands']);
    // Having seen the newer one, the other window may still hang its own on the older build.
    const beside = other.addBuild({ ...revision('Pump'), newestId: second.id });
    expect(beside.parentId).toBe(build.id);
    expect(garage.builds('wren')).toHaveLength(3);
    garage.close();
    other.close();
  });
});
