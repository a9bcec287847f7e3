/** Powers against labelled logs of invented cars, read and reviewed as a user's are. Needs the logs beside the checkout. */
import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';
import { describe, expect, it } from 'vitest';
import { type LabelledFolder, labelledPoints, powerScore, WAYS } from './labelled-powers.testing.ts';

const FOLDER = resolve(import.meta.dirname, '../../../../shared/logs');
const SCRIPT = pathToFileURL(resolve(import.meta.dirname, '../../../scripts/labelled-build.mjs')).href;
const present = existsSync(join(FOLDER, 'each'));

const { buildFromToldCar } = (await import(/* @vite-ignore */ SCRIPT)) as {
  buildFromToldCar: LabelledFolder['build'];
};

const files: LabelledFolder = {
  labels: (set) => readdirSync(join(FOLDER, set)).filter((name) => name.endsWith('.truth.json')),
  bytes: (set, path) => readFileSync(join(FOLDER, set, path)),
  build: buildFromToldCar,
};

describe('power against labelled logs', () => {
  if (!present) {
    console.info('not run: no labelled logs beside the checkout (../shared/logs)');
    it('says plainly that the logs are not there', () => {
      expect(present).toBe(false);
    });
    return;
  }
  it('is honest: bands hold about as often as they say, errors small, no bias', { timeout: 600_000 }, () => {
    const points = labelledPoints(files);
    const scoreOf = (way: string, kept: (point: (typeof points)[number]) => boolean = () => true) =>
      powerScore(points.filter((point) => point.way === way && kept(point)));
    console.table(Object.fromEntries(WAYS.map((way) => [way, scoreOf(way)])));
    const combined = scoreOf('combined');
    expect(combined.points).toBeGreaterThan(1200);
    expect(combined.medianError).toBeLessThan(0.015);
    expect(Math.abs(combined.bias)).toBeLessThan(0.01);
    // The bar is 75 to 85 %; 62 logs tell it to about 5 points.
    expect(combined.inside).toBeGreaterThanOrEqual(0.75);
    expect(combined.inside).toBeLessThanOrEqual(0.85);
    for (const set of ['each', 'mixed']) {
      const { inside } = scoreOf('combined', (point) => point.set === set);
      expect(inside, set).toBeGreaterThanOrEqual(0.73);
      expect(inside, set).toBeLessThanOrEqual(0.87);
    }
    expect(scoreOf('combined', ({ clean }) => clean).inside).toBeLessThanOrEqual(0.93);
    expect(scoreOf('combined', ({ clean }) => !clean).inside).toBeGreaterThanOrEqual(0.73);
    // Three ways that each stand on their own feet; a real road is less level than the labelled ones, so the third is wide.
    for (const way of ['air', 'fuel', 'acceleration'] as const) {
      expect(scoreOf(way).medianError, way).toBeLessThan(0.03);
      expect(scoreOf(way).inside, way).toBeGreaterThanOrEqual(0.73);
      expect(scoreOf(way).inside, way).toBeLessThanOrEqual(0.95);
    }
  });
});
