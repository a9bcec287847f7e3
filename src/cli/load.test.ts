/** The command `load`: sheets in, text or JSON out, sentences for what cannot be used. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { run } from './command-line.testing.ts';
import { WIDTH } from './print.ts';

const ROOT = join(import.meta.dirname, '../..');
const ENGINE = join(ROOT, 'data/demo/engines/two-litre-natural.json');
const OTTER = join(ROOT, 'data/demo/builds/otter-as-driven.json');

let folder = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'load-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('load', () => {
  test('prints fuel flow with bands for an engine sheet of a natural engine', async () => {
    const asked = await run('load', ENGINE, '--speed', '2000,3000', '--torque', '60,120', '--samples', '32');
    expect(asked).toMatchObject({ code: 0, err: '' });
    expect(asked.out).toContain('Two litre, naturally aspirated: fuel flow at part load');
    expect(asked.out).toMatch(/\n2000 +60 +1\.\d\d \(0\.\d\d-[01]\.\d\d\) +\d{3} \(\d{3}-\d{3}\)/);
    expect(asked.out).toContain('Taken by engine class');
    expect(asked.out).toContain('Heywood');
    for (const line of asked.out.split('\n')) expect(line.length).toBeLessThanOrEqual(WIDTH);
  });

  test('prints JSON in SI for a build sheet, torques out of reach named', async () => {
    const asked = await run(
      'load',
      OTTER,
      '--speed',
      '3000',
      '--torque',
      '80,60lbfft,2000',
      '--samples',
      '32',
      '--json',
    );
    expect(asked).toMatchObject({ code: 0, err: '' });
    const answer = JSON.parse(asked.out);
    expect(answer).toMatchObject({ schema: 'boostwright.load/1', samples: 32 });
    expect(answer.points.map(({ torqueNm }: { torqueNm: number }) => Math.round(torqueNm))).toEqual([80, 81]);
    expect(answer.problems).toMatchObject([
      { engineSpeedRpm: 3000, torqueNm: 2000, reason: 'torque beyond full load' },
    ]);
    const [point] = answer.points;
    // Brake specific consumption of petrol engines at part load lies between 220 and 400 g/kWh (Heywood 1988, fig. 15-7).
    const gPerKwh = point.fuelConsumptionKgPerJ.p50 * 3.6e9;
    expect(gPerKwh).toBeGreaterThan(220);
    expect(gPerKwh).toBeLessThan(400);
    expect(answer.assumed.every(({ source }: { source: string }) => source.length > 8)).toBe(true);
  });

  test('chooses a grid of its own', async () => {
    const asked = await run('load', ENGINE, '--samples', '16', '--json');
    const { points } = JSON.parse(asked.out);
    expect(new Set(points.map((p: { engineSpeedRpm: number }) => p.engineSpeedRpm)).size).toBeGreaterThan(8);
    expect(points.length).toBeGreaterThan(60);
  });

  test('says what cannot be used', async () => {
    const cases: readonly (readonly [readonly string[], RegExp])[] = [
      [['load'], /needs a build sheet or an engine sheet/],
      [['load', ENGINE, '--speed', 'fast'], /--speed fast/],
      [['load', ENGINE, '--torque', '30psi'], /--torque 30psi/],
      [['load', ENGINE, '--spede', '2000'], /did you mean "--speed"/],
      [['match', ENGINE], /expected "boostwright.build\/1"/],
    ];
    for (const [args, says] of cases) {
      const asked = await run(...args);
      expect(asked.code).toBe(2);
      expect(asked.err).toMatch(says);
    }
  });

  test('match refuses a natural build sheet and points here', async () => {
    const build = JSON.parse(readFileSync(OTTER, 'utf8'));
    build.engine.aspiration = 'natural';
    build.turbocharger = {};
    const path = join(folder, 'natural.json');
    writeFileSync(path, JSON.stringify(build));
    const refused = await run('match', path);
    expect(refused.code).toBe(2);
    expect(refused.err).toContain('naturally aspirated');
    expect(refused.err).toContain('boostwright load');
    expect(await run('load', path, '--speed', '2500', '--torque', '60', '--samples', '16')).toMatchObject({ code: 0 });
    build.turbocharger = { compressorExducer: { value: 50, unit: 'mm', source: 'measured' } };
    writeFileSync(path, JSON.stringify(build));
    expect((await run('load', path)).err).toContain('turbocharger');
  });
});
