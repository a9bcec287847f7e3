/** The command `map`: a file with a compressor map in, text or JSON out, what the file does not say asked for. */
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { checkBuild } from '../car/index.ts';
import { run } from './command-line.testing.ts';
import { WIDTH } from './print.ts';

const ROOT = join(import.meta.dirname, '../..');
const TRACED = join(ROOT, 'data/demo/maps/otter-traced.csv');

let folder = '';
let silent = '';
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'map-'));
  silent = join(folder, 'silent.csv');
  writeFileSync(
    silent,
    readFileSync(TRACED, 'utf8')
      .split('\n')
      .filter((line) => !line.startsWith('#'))
      .join('\n'),
  );
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('map', () => {
  test('prints the fit of a traced map, its slips by line, and what goes into the build sheet', async () => {
    const asked = await run('map', TRACED);
    expect(asked).toMatchObject({ code: 0, err: '' });
    expect(asked.out).toContain('otter-traced.csv: compressor map of 7 speed lines, 63 points (64 rows read)');
    expect(asked.out).toContain('Corrected to 25.0 degC and 100.00 kPa (the file says so)');
    expect(asked.out).toMatch(/Line 19 \(left out\): repeats the point of line 18/);
    // The invented hand slipped by 9 % in line 38.
    expect(asked.out).toMatch(/Line 38 \(look at it\): lies (?:7|8|9)\.\d % of pressure ratio above its speed line/);
    for (const line of asked.out.split('\n')) expect(line.length).toBeLessThanOrEqual(WIDTH);
    const start = asked.out.indexOf('"compressorMap": ');
    const { compressorMap } = JSON.parse(`{${asked.out.slice(start)}}`);
    const sheet = JSON.parse(readFileSync(join(ROOT, 'data/demo/builds/otter-as-driven.json'), 'utf8'));
    sheet.turbocharger.compressorMap = compressorMap;
    expect(checkBuild(sheet)).toMatchObject({ ok: true });
  });

  test('asks for the reference air and takes it, prints JSON in SI', async () => {
    const asked = await run('map', silent);
    expect(asked).toMatchObject({ code: 2, out: '' });
    expect(asked.err).toContain('does not say the temperature to which flow and speed are corrected');
    const told = await run(
      'map',
      silent,
      '--reference-temperature',
      '545degR',
      '--reference-pressure',
      '28.4inHg',
      '--json',
    );
    expect(told).toMatchObject({ code: 0, err: '' });
    const answer = JSON.parse(told.out);
    expect(answer).toMatchObject({ schema: 'boostwright.map/1', said: { referenceFrom: 'asked', flowUnit: 'lb/min' } });
    // 545 degR and 28.4 inHg: CF-02.
    expect(answer.referenceTemperatureK).toBeCloseTo(302.78, 2);
    expect(answer.referencePressurePa).toBeCloseTo(96173, -1);
    expect(answer.lines).toHaveLength(7);
    expect(answer.compressorMap.lines[0].points[0]).toHaveLength(3);
  });

  test('refuses what is no map, and options that are none', async () => {
    const log = join(ROOT, 'data/demo/logs/wren-third-gear.csv');
    expect((await run('map', log)).code).toBe(2);
    expect((await run('map', silent, '--pressure-ratio', 'static')).err).toContain(
      'is none of total-to-total, total-to-static',
    );
    expect((await run('map', silent, '--reference-temperature', 'warm')).err).toContain('cannot be read');
    expect((await run('map')).err).toContain('"map" needs a file with a compressor map');
  });
});
