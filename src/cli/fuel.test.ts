/** Command fuel: what it reads and what it prints. */
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { runCommand } from './command-line.testing.ts';

const BUILDS = join(import.meta.dirname, '../../data/demo/builds');
const run = (...args: string[]) => runCommand(['fuel', ...args]);
const OTTER = join(BUILDS, 'otter-larger-compressor.json');
const WREN = join(BUILDS, 'wren-dozen-numbers.json');

describe('boostwright fuel', () => {
  it('prints fuel, mix in both ratios, injection, endurance and cautions, in lines of at most 100 columns', async () => {
    const { code, out } = await run(OTTER, '--samples', '16');
    expect(code).toBe(0);
    for (const part of [
      'petrol RON 98',
      'by mass',
      'by volumes poured together',
      'of the finished mix',
      'Freezes at',
      'of fuel, mass %',
      'pulls through the rev range',
      'poisonous',
      'begins to freeze',
    ]) {
      expect(out).toContain(part);
    }
    for (const line of out.split('\n')) expect(line.length).toBeLessThanOrEqual(100);
  });
  it('answers in JSON with SI units in the keys; the mix by mass and by volume differ (WM-01)', async () => {
    const { out } = await run(OTTER, '--samples', '16', '--mix', '50%', '--nozzle', '150,300cm3/min', '--json');
    const answer = JSON.parse(out);
    expect(answer.schema).toBe('boostwright.fuel/1');
    expect(Math.abs(100 * answer.mix.methanolMassFraction.p50 - 44.22)).toBeLessThan(0.1);
    expect(answer.mix.methanolVolumeBeforeMixing).toBeCloseTo(0.5, 3);
    expect(answer.nozzles.map((row: { nozzleFlowM3PerS: number }) => Math.round(row.nozzleFlowM3PerS * 6e7))).toEqual([
      150, 300,
    ]);
    expect(answer.endurance.pulls.p50).toBeGreaterThan(10);
    expect(answer.injection.states[0].limit).toBe('time');
    expect(out).not.toContain('NaN');
  });
  it('tries a blend and a share', async () => {
    const { out } = await run(
      OTTER,
      '--samples',
      '16',
      '--ethanol',
      '85',
      '--share',
      '20%',
      '--by',
      'volume',
      '--speed',
      '5000',
      '--json',
    );
    const answer = JSON.parse(out);
    expect(answer.fuel.name).toBe('E85 on petrol RON 98');
    const afr = answer.fuel.properties.find(({ key }: { key: string }) => key === 'stoichiometricAirFuelRatio');
    // FC-04: 9.804 kg/kg.
    expect(Math.abs(afr.value.p50 / 9.804 - 1)).toBeLessThan(0.005);
    expect(answer.wanted.nozzleFlowM3PerS).toBeGreaterThan(0);
    const wren = await run(WREN, '--toluene', '15', '--json');
    expect(JSON.parse(wren.out).fuel.name).toContain('15 % toluene in petrol RON 98');
    expect(JSON.parse(wren.out).cautions.join(' ')).toContain('Toluene');
  });
  it('refuses what cannot be with one sentence and exit 2', async () => {
    for (const [args, says] of [
      [[WREN, '--ethanol', '70', '--methanol', '60'], '130 %'],
      [[WREN, '--nozzle', '300bar'], '--nozzle'],
      [[WREN, '--nozzle', '1e9'], '--nozzle'],
      [[WREN, '--mix', '150'], '--mix'],
      [[WREN, '--mix-by', 'mass'], '--mix'],
      [[WREN, '--mix', '50', '--mix-by', 'weight'], 'finished-volume'],
      [[WREN, '--by', 'volume'], '--share'],
      [[WREN, '--share', '20', '--by', 'moles'], 'mass, volume'],
      [[], 'a build sheet'],
    ] as const) {
      const { code, err } = await run(...args);
      expect(code).toBe(2);
      expect(err).toContain(says);
    }
  });
});
