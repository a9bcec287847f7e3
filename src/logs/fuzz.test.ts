/** A short seeded run of what scripts/fuzz-logs.mjs does for ten minutes. */
import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { expect, it } from 'vitest';
import { checkReading, fuzzInput } from './fuzz-inputs.testing.ts';

const corpus = ['mdf4', 'parquet'].flatMap((room) => {
  const folder = fileURLToPath(new URL(`../../data/fixtures/${room}/`, import.meta.url));
  return readdirSync(folder)
    .filter((name) => /\.(mf4|parquet)$/.test(name))
    .map((name) => new Uint8Array(readFileSync(`${folder}${name}`)));
});

it('any bytes into the reader: an answer or a sentence, in 300 seeded inputs', () => {
  const counts = { read: 0, refused: 0 };
  for (let seed = 1; seed <= 300; seed++) {
    const { bytes, what } = fuzzInput(seed, corpus, 60_000);
    try {
      counts[checkReading(bytes, seed)]++;
    } catch (error) {
      throw new Error(`seed ${seed} (${what}): ${error instanceof Error ? (error.stack ?? error.message) : error}`);
    }
  }
  // Both ends are met, or the inputs test nothing.
  expect(counts.read).toBeGreaterThan(10);
  expect(counts.refused).toBeGreaterThan(10);
});
