import { describe, expect, it } from 'vitest';
import { demoBuild } from '../findings/base-drive.ts';
import { brakeWorkJPerKgAir } from './meter-alone.ts';
import { powerDrive } from './power-drive.testing.ts';
import { pullPowers } from './pull-powers.ts';

const AIR_GAS_CONSTANT = 287.05;
/** Fuel consumption [g/kWh] at a mixture, from work per air; petrol of 42.9 MJ/kg, 14.6 kg of air per kg. */
const gramsPerKilowattHour = (workJPerKgAir: number, lambda: number): number =>
  (3.6e6 * 1000) / (workJPerKgAir * lambda * 14.6);

describe('brake work per air of the class', () => {
  it('means a fuel consumption as published at full load, 250 to 340 g/kWh (common practice, no source)', () => {
    for (const [rpm, lambda] of [
      [2500, 0.95],
      [4000, 0.88],
      [6000, 0.82],
    ] as const) {
      const grams = gramsPerKilowattHour(brakeWorkJPerKgAir(rpm, 200e3, 315, AIR_GAS_CONSTANT), lambda);
      expect(grams).toBeGreaterThan(240);
      expect(grams).toBeLessThan(340);
    }
  });

  it('is 0.335 of the heat at 5000 rpm and 200 kPa, and less where friction is more of the whole', () => {
    const at = (rpm: number, pressurePa: number) => brakeWorkJPerKgAir(rpm, pressurePa, 315, AIR_GAS_CONSTANT);
    // 48 + 8.7 x 5 + 1.47 x 25 = 128.25 kPa over 0.9 x 200 kPa / (287.05 x 315) = 1.9907 kg/m3 is 64.4 kJ/kg: by hand.
    expect(at(5000, 200e3)).toBeCloseTo(2.92e6 * 0.357 - 128.25e3 / 1.9907, -2);
    expect(at(5000, 200e3) / 2.92e6).toBeCloseTo(0.335, 3);
    expect(at(6500, 200e3)).toBeLessThan(at(3000, 200e3));
    expect(at(5000, 120e3)).toBeLessThan(at(5000, 200e3));
    expect(at(5000, Number.NaN)).toBe(at(5000, 200e3));
  });
});

describe('power without a build', () => {
  it('says that it leans on the meter alone, and holds the power of an engine a tenth away from the class', () => {
    const resolved = demoBuild();
    const drive = powerDrive(resolved.car);
    const [pull] = pullPowers(drive.log, drive.log.pulls, null);
    expect(pull!.problems[0]).toMatch(/airflow meter alone/);
    const { p10, p50, p90 } = pull!.powerW.combined!;
    expect(p90 / p50).toBeGreaterThan(1.1);
    expect(p50 / p10).toBeGreaterThan(1.1);
  });
});
