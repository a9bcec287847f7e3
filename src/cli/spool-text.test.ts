/** The words of `spool`, from the model itself. */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { computeHere, conditionsFrom, JOBS, readBuild, spoolOf } from '../app/index.ts';
import { WIDTH } from './print.ts';
import { spoolText } from './spool-text.ts';

const FILE = join(import.meta.dirname, '../../data/demo/builds/wren-as-driven.json');
const { build } = readBuild(readFileSync(FILE, 'utf8'), FILE);
const ask = (asked: object) => spoolOf(computeHere(JOBS), { build, conditions: conditionsFrom({}), asked }, 16);

describe('spool', () => {
  test('says when boost is there, what surges, and shows the pull over time', async () => {
    const answer = await ask({ gear: 3, fromRpm: 2200 });
    const text = spoolText(answer, 'metric');
    expect(text).toMatch(
      /In gear 3 from 2200 rpm boost is there after \d\.\d s \(\d\.\d to \d\.\d s\), at \d{4} rpm\./,
    );
    expect(text).toMatch(/Lifting off at \d{4} rpm and \d+ kPa with .* valve/);
    expect(text).toMatch(/\n +s +rpm +boost kPa/);
    expect(text).toContain('Caution: Full-throttle runs');
    for (const line of text.split('\n')) expect(line.length).toBeLessThanOrEqual(WIDTH);
    expect(spoolText(answer, 'us')).toContain('psi');
  }, 60_000);

  test('refuses a gear and engine speeds that the car does not have', async () => {
    await expect(ask({ gear: 8 })).rejects.toThrow(/Gear 8 is not one of/);
    await expect(ask({ fromRpm: 300 })).rejects.toThrow(/must lie between/);
    await expect(ask({ liftRpm: 12_000 })).rejects.toThrow(/must lie between/);
  });
});
