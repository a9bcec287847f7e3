import { expect, test } from 'vitest';
import { checkBuild } from '../car/index.ts';
import { randomBuild, tryBuild } from './random-builds.testing.ts';

// Some of the seeds that "npm run check:builds" runs 100,000 of (docs/scores.md has the last full run).
test('random builds within the schema: no number that is none, nothing thrown, every refusal with its reason', () => {
  const kinds = { solved: 0, refused: 0, fault: 0 };
  const reasons = new Set<string>();
  const faults: string[] = [];
  for (let seed = 1; seed <= 160; seed++) {
    const verdict = tryBuild(seed);
    kinds[verdict.kind] += 1;
    if (verdict.kind === 'fault') faults.push(`seed ${seed}: ${verdict.says}`);
    if (verdict.kind === 'solved') for (const reason of verdict.reasons) reasons.add(reason);
  }
  expect(faults).toEqual([]);
  expect(kinds.solved).toBeGreaterThan(140);
  // The test must reach the edges it is for.
  expect([...reasons].sort()).toEqual([
    'compressor choked',
    'compressor surges',
    'injectors static',
    'no balance found',
    'outside the map',
    'pump cannot hold the rail pressure',
    'wastegate cannot hold the target',
  ]);
}, 120_000);

test('the same seed is the same sheet; most of 3000 sheets pass the schema, and those that do not say where and why', () => {
  expect(randomBuild(7)).toEqual(randomBuild(7));
  let passed = 0;
  for (let seed = 0; seed < 3000; seed++) {
    const read = checkBuild(JSON.parse(JSON.stringify(randomBuild(seed))));
    if (read.ok) passed += 1;
    else for (const { path, says } of read.problems) expect(`${path}: ${says}`).toMatch(/^[a-z]\S*: \S.{8,}/i);
  }
  expect(passed).toBeGreaterThan(2850);
});
