/** Comparing pulls: what differs is told with its size, what is shared makes no difference, a pull with itself gives nought. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type ResolvedBuild, withSample } from '../car/index.ts';
import type { Log } from '../logs/index.ts';
import type { ComparedSpeed, PullComparison } from './compare/types.ts';
import { phrasesText } from './compare/words.ts';
import { type ComparedSide, comparePulls, mostAlike, sharedBins } from './compare.ts';
import { demoBuild } from './findings/base-drive.ts';
import { pullBases } from './index.ts';
import { type DriveOptions, powerDrive, truePowerInBin } from './power/power-drive.testing.ts';

const resolved = demoBuild();
const SETTLED_S = 0.4;

const sideOf = (log: Log, logId: string, name: string, build: ResolvedBuild = resolved): ComparedSide => ({
  basis: pullBases(log, logId, build, [])[0]!,
  resolved: build,
  name,
});
const drive = (options: DriveOptions = {}, car = resolved.car) => powerDrive(car, options);
const compareDrives = (one: DriveOptions, two: DriveOptions, car = resolved.car): PullComparison =>
  comparePulls(sideOf(drive(one, car).log, 'one', 'Run A'), sideOf(drive(two, car).log, 'two', 'Run B'));
const text = (comparison: PullComparison): string =>
  phrasesText(
    comparison.says,
    ({ valueSi, plusMinusSi, signed }) =>
      `${signed && valueSi > 0 ? '+' : ''}${(valueSi / 1e3).toFixed(1)} ±${((plusMinusSi ?? 0) / 1e3).toFixed(1)} kW`,
  );
const up = (rows: readonly ComparedSpeed[]) => rows.filter(({ engineSpeedRpm }) => engineSpeedRpm >= 3500);

describe('a pull with itself', () => {
  it('gives nought everywhere, with nothing left to be unsure of', () => {
    const side = sideOf(drive().log, 'one', 'Run A');
    const comparison = comparePulls(side, { ...side, name: 'Run B' });
    expect(comparison.speeds.length).toBeGreaterThan(10);
    for (const { asMeasured, sameAir, readings, shares } of comparison.speeds) {
      for (const power of [asMeasured, sameAir]) {
        if (power) expect(power.differenceW).toEqual({ p10: 0, p50: 0, p90: 0 });
      }
      for (const { difference } of Object.values(readings)) expect(difference).toEqual({ p10: 0, p50: 0, p90: 0 });
      for (const { powerW } of shares) expect(powerW.p50).toBe(0);
    }
    expect(comparison.changes).toEqual([]);
    expect(text(comparison)).toBe('Run A and Run B are the same pull: no difference.');
  });
});

describe('two pulls of one car', () => {
  const more = compareDrives({ boostPa: 200e3 }, { boostPa: 215e3 });

  it('differ as the car truly does, within the band and within 2 kW', () => {
    const [one, two] = [drive({ boostPa: 200e3 }), drive({ boostPa: 215e3 })];
    const rows = up(more.speeds).filter(({ asMeasured }) => asMeasured);
    expect(rows.length).toBeGreaterThan(8);
    for (const { engineSpeedRpm, asMeasured } of rows) {
      const truth = truePowerInBin(two, engineSpeedRpm, SETTLED_S) - truePowerInBin(one, engineSpeedRpm, SETTLED_S);
      const { differenceW } = asMeasured!;
      expect(Math.abs(differenceW.p50 - truth), `${engineSpeedRpm} rpm: ${differenceW.p50} of ${truth} W`).toBeLessThan(
        2000,
      );
      expect(truth).toBeGreaterThan(differenceW.p10 - 500);
      expect(truth).toBeLessThan(differenceW.p90 + 500);
    }
  });

  it('have bands far narrower than the two powers by themselves: errors of the sheet cancel', () => {
    for (const { asMeasured } of up(more.speeds).filter((row) => row.asMeasured)) {
      const { firstW, secondW, differenceW } = asMeasured!;
      const width = (band: typeof firstW) => band.p90 - band.p10;
      expect(width(differenceW)).toBeLessThan(0.7 * Math.hypot(width(firstW), width(secondW)));
      expect(secondW.p50 - firstW.p50).toBeCloseTo(differenceW.p50, 6);
    }
  });

  it('account for the difference by boost, and by nothing that stayed', () => {
    const peak = more.headline!;
    expect(peak.shares.map(({ cause }) => cause)).toEqual(['boost']);
    expect(Math.abs(peak.shares[0]!.powerW.p50 / peak.differenceW.p50 - 1)).toBeLessThan(0.2);
    expect(text(more)).toMatch(
      /^Run B makes \d+\.\d ±\d+\.\d kW more than Run A at \d,\d{3} rpm in gear 3, as measured; \d+\.\d ±\d+\.\d kW of it from boost\./,
    );
  });

  it('turned round, give the same with the sign turned', () => {
    const less = compareDrives({ boostPa: 215e3 }, { boostPa: 200e3 });
    for (const [i, row] of more.speeds.entries()) {
      const other = less.speeds[i]!;
      expect(other.engineSpeedRpm).toBe(row.engineSpeedRpm);
      if (!row.asMeasured) continue;
      expect(other.asMeasured!.differenceW.p50).toBeCloseTo(-row.asMeasured.differenceW.p50, 6);
      for (const { cause, powerW } of row.shares) {
        const back = other.shares.find((share) => share.cause === cause)!.powerW.p50;
        // Scaled to the other pull's power: equal but for that.
        expect(Math.abs(back + powerW.p50)).toBeLessThan(0.05 * Math.abs(powerW.p50) + 1);
      }
    }
  });

  it('that are alike cannot be told apart, and say so', () => {
    const alike = compareDrives({ speedNoiseRpm: 4 }, { speedNoiseRpm: 4, fromRpm: 2600 });
    expect(text(alike)).toMatch(/^No difference between Run A and Run B can be told at /);
  });

  it('are compared in the same gear only', () => {
    const gears = compareDrives({ gear: 3 }, { gear: 4, toRpm: 5000 });
    expect(gears.speeds).toEqual([]);
    expect(gears.problems.join()).toContain('share no engine speed in the same gear (gear 3, gear 4)');
    expect(gears.headline).toBeNull();
  });
});

describe('a wrong sheet', () => {
  it('does not make a difference: the same error is in both', () => {
    fc.assert(
      fc.property(fc.array(fc.double({ min: -1, max: 1, noNaN: true }), { minLength: 400, maxLength: 400 }), (z) => {
        // The true car lies somewhere inside the plus-minus of the sheet that both reviews go by.
        const { car } = {
          car: withSample(
            resolved,
            Float64Array.from(resolved.inputs, (_, i) => z[i] ?? 0),
          ),
        };
        const options = [{ boostPa: 195e3 }, { boostPa: 212e3 }] as const;
        const comparison = compareDrives(options[0], options[1], car);
        const [one, two] = options.map((option) => drive(option, car));
        const row = comparison.speeds.find(({ engineSpeedRpm, asMeasured }) => engineSpeedRpm === 5000 && asMeasured);
        if (!row?.asMeasured) throw new Error('no power at 5,000 rpm');
        const truth = truePowerInBin(two!, 5000, SETTLED_S) - truePowerInBin(one!, 5000, SETTLED_S);
        const { p10, p50, p90 } = row.asMeasured.differenceW;
        expect(Math.abs(p50 - truth)).toBeLessThan(1.5 * (p90 - p10));
      }),
      { numRuns: 6, seed: 7 },
    );
  }, 60_000);
});

describe('the same air', () => {
  const withAir = (log: Log, temperatureK: number): Log => ({
    ...log,
    channels: log.channels.map((channel) =>
      channel.channel === 'ambient-temperature'
        ? { ...channel, values: channel.values.map(() => temperatureK) }
        : channel,
    ),
  });

  it('brings a hot day up, with the caution that boost control makes up for part of it', () => {
    const { log } = drive();
    const cool = sideOf(withAir(log, 283.15), 'one', 'Run A');
    const hot = sideOf(withAir(log, 308.15), 'two', 'Run B');
    const comparison = comparePulls(cool, hot);
    const { sameAir } = comparison;
    expect(sameAir!.secondFactor.p50).toBeGreaterThan(sameAir!.firstFactor.p50 + 0.03);
    expect(sameAir!.caution).toMatch(/over-corrects/);
    const { headline } = comparison;
    expect(headline!.basis).toBe('same air');
    expect(headline!.differenceW.p50).toBeGreaterThan(headline!.otherDifferenceW!.p50 + 2000);
    expect(text(comparison)).toContain('SAE J1349');
  });
});

describe('choosing pulls', () => {
  it('takes the pair with most engine speeds in the same gear', () => {
    const third = sideOf(drive({ gear: 3 }).log, 'one', '').basis;
    const short = sideOf(drive({ gear: 3, fromRpm: 4000, toRpm: 5000 }).log, 'two', '').basis;
    const fourth = sideOf(drive({ gear: 4, toRpm: 5000 }).log, 'three', '').basis;
    expect(sharedBins(third, fourth)).toBe(0);
    expect(mostAlike([fourth, short], [third, fourth])).toEqual({ first: 0, second: 1 });
    expect(mostAlike([short, third], [third])).toEqual({ first: 1, second: 0 });
  });
});
