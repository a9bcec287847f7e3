/** A pull driven forwards by the equations of motion is told back by the estimates; bands hold when the sheet is off. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { withSample } from '../../car/index.ts';
import { demoBuild } from '../findings/base-drive.ts';
import { combine } from './combine.ts';
import { dayOf } from './day.ts';
import { powerDrive, truePowerInBin } from './power-drive.testing.ts';
import { pullEstimates } from './pull-estimates.ts';
import { pullPowers } from './pull-powers.ts';

const SETTLED_S = 0.4;

describe('a pull of the car on the sheet', () => {
  const resolved = demoBuild();
  const drive = powerDrive(resolved.car);
  const [pull] = pullPowers(drive.log, drive.log.pulls, resolved);

  it('has rows at multiples of 250 rpm in its gear', () => {
    expect(pull!.curve.length).toBeGreaterThan(10);
    for (const { engineSpeedRpm, gear } of pull!.curve) {
      expect(engineSpeedRpm % 250).toBe(0);
      expect(gear).toBe(3);
    }
  });

  it('is told back by each estimate within 2 % once boost has come up', () => {
    for (const point of pull!.curve.filter(({ engineSpeedRpm }) => engineSpeedRpm >= 3250)) {
      const truth = truePowerInBin(drive, point.engineSpeedRpm, SETTLED_S);
      for (const band of [point.fromAirW!, point.fromFuelW!, point.fromAccelerationW!, point.powerW]) {
        expect(Math.abs(band.p50 / truth - 1), `${point.engineSpeedRpm} rpm: ${band.p50} of ${truth} W`).toBeLessThan(
          0.02,
        );
      }
    }
  });

  it('agrees, and torque is power over speed', () => {
    expect(pull!.powerW.agree).toBe(true);
    for (const { torqueNm, powerW, engineSpeedRpm } of pull!.curve) {
      const speed = (powerW.p50 / torqueNm.p50) * (30 / Math.PI);
      expect(Math.abs(speed - engineSpeedRpm)).toBeLessThan(130);
    }
  });

  it('orders its bands', () => {
    for (const { powerW } of pull!.curve) {
      expect(powerW.p10).toBeLessThan(powerW.p50);
      expect(powerW.p50).toBeLessThan(powerW.p90);
    }
  });
});

describe('a pull of a car that is not quite the one on the sheet', () => {
  it('lies within three standard deviations of the combined power (property)', () => {
    const resolved = demoBuild();
    const moves = fc.array(fc.double({ min: -0.8, max: 0.8, noNaN: true }), {
      minLength: resolved.inputs.length,
      maxLength: resolved.inputs.length,
    });
    fc.assert(
      fc.property(moves, fc.integer({ min: 2, max: 4 }), fc.constantFrom(10, 25, 50), (z, gear, rateHz) => {
        const car = withSample(resolved, z);
        const drive = powerDrive(car, { gear, rateHz, toRpm: 6000, speedNoiseRpm: 3, boostPa: 175e3 });
        const estimates = pullEstimates(drive.log, drive.log.pulls[0]!, resolved, dayOf(drive.log), new Set());
        const { combined } = combine(estimates);
        const settled = estimates.bins.flatMap(({ engineSpeedRpm }, bin) =>
          engineSpeedRpm >= 4000 && engineSpeedRpm <= 5750 ? [{ engineSpeedRpm, power: combined[bin]! }] : [],
        );
        expect(settled.length).toBeGreaterThan(3);
        for (const { engineSpeedRpm, power } of settled) {
          const truth = truePowerInBin(drive, engineSpeedRpm, SETTLED_S);
          expect(Math.abs(power.logPower - Math.log(truth)) / power.sd, `${engineSpeedRpm} rpm`).toBeLessThan(3.3);
        }
      }),
      { numRuns: 12, seed: 11 },
    );
  });
});

describe('one estimate that is wrong', () => {
  it('is named and set aside: a meter that reads a fifth high', () => {
    const resolved = demoBuild();
    const drive = powerDrive(resolved.car);
    const high = {
      ...drive.log,
      channels: drive.log.channels.map((channel) =>
        channel.channel === 'air-flow' ? { ...channel, values: channel.values.map((flow) => 1.2 * flow) } : channel,
      ),
    };
    const [pull] = pullPowers(high, high.pulls, resolved);
    expect(pull!.powerW.agree).toBe(false);
    expect(pull!.powerW.disagreement).toMatch(/airflow meter high by 2\d %/);
    const last = pull!.curve.at(-2)!;
    const truth = truePowerInBin(drive, last.engineSpeedRpm, SETTLED_S);
    expect(Math.abs(last.powerW.p50 / truth - 1)).toBeLessThan(0.03);
  });

  it('is not believed at the meter ceiling', () => {
    const resolved = demoBuild();
    const drive = powerDrive(resolved.car);
    const flat = 0.08;
    const capped = {
      ...resolved,
      car: {
        ...resolved.car,
        facts: { ...resolved.car.facts, airMetering: 'airflow meter' as const },
        sensors: { ...resolved.car.sensors, airflowMeterCeilingKgPerS: flat },
      },
    };
    const log = {
      ...drive.log,
      channels: drive.log.channels.map((channel) =>
        channel.channel === 'air-flow'
          ? { ...channel, values: channel.values.map((flow) => Math.min(flat, flow)) }
          : channel,
      ),
    };
    const [pull] = pullPowers(log, log.pulls, capped);
    for (const point of pull!.curve.filter(({ engineSpeedRpm }) => engineSpeedRpm >= 4000)) {
      const truth = truePowerInBin(drive, point.engineSpeedRpm, SETTLED_S);
      expect(Math.abs(point.powerW.p50 / truth - 1)).toBeLessThan(0.03);
      expect(Math.abs(point.fromAirW!.p50 / truth - 1)).toBeLessThan(0.03);
    }
  });

  it('says that nothing decides when only two are left and they differ', () => {
    const resolved = demoBuild();
    const drive = powerDrive(resolved.car);
    const two = {
      ...drive.log,
      channels: drive.log.channels
        .filter(({ channel }) => channel !== 'air-flow' && channel !== 'injector-pulse')
        .map((channel) =>
          channel.channel === 'manifold-pressure'
            ? { ...channel, values: channel.values.map((pressure) => 1.3 * pressure) }
            : channel,
        ),
    };
    const [pull] = pullPowers(two, two.pulls, resolved);
    expect(pull!.powerW.agree).toBe(false);
    expect(pull!.powerW.disagreement).toMatch(/nothing says which is right/);
    const point = pull!.curve.at(-2)!;
    const truth = truePowerInBin(drive, point.engineSpeedRpm, SETTLED_S);
    expect(truth).toBeGreaterThan(point.powerW.p10);
    expect(truth).toBeLessThan(point.powerW.p90);
  });
});

describe('what cannot be said', () => {
  it('names the estimate that is missing and what it needs', () => {
    const resolved = demoBuild();
    const drive = powerDrive(resolved.car);
    const log = { ...drive.log, channels: drive.log.channels.filter(({ channel }) => channel !== 'injector-pulse') };
    const [pull] = pullPowers(log, log.pulls, resolved);
    expect(pull!.powerW.fromFuel).toBeUndefined();
    expect(pull!.problems).toEqual(['No power from fuel: it needs injector pulse or duty.']);
  });

  it('is absent with a reason when there is no build and no mixture', () => {
    const resolved = demoBuild();
    const drive = powerDrive(resolved.car);
    const bare = { ...drive.log, channels: drive.log.channels.filter(({ channel }) => channel === 'engine-speed') };
    const [pull] = pullPowers(bare, bare.pulls, null);
    expect(pull!.curve).toEqual([]);
    expect(pull!.powerW.combined).toBeUndefined();
    expect(pull!.problems[0]).toMatch(/without a build sheet/);
  });

  it('comes from the meter alone in a wide band when there is no build', () => {
    const resolved = demoBuild();
    const drive = powerDrive(resolved.car);
    const [pull] = pullPowers(drive.log, drive.log.pulls, null);
    const { p10, p90 } = pull!.powerW.combined!;
    expect(p90 / p10).toBeGreaterThan(1.2);
    expect(drive.powerAt(drive.endS - 0.2)).toBeGreaterThan(p10 * 0.95);
    expect(drive.powerAt(drive.endS - 0.2)).toBeLessThan(p90 * 1.05);
  });

  it('leaves air and fuel out for a diesel and still reads the road', () => {
    const resolved = demoBuild();
    const drive = powerDrive(resolved.car);
    const diesel = {
      ...resolved,
      car: {
        ...resolved.car,
        facts: { ...resolved.car.facts, ignition: 'compression' as const, fuelKind: 'diesel' as const },
      },
    };
    const [pull] = pullPowers(drive.log, drive.log.pulls, diesel);
    expect(pull!.powerW.fromAir).toBeUndefined();
    expect(pull!.powerW.fromFuel).toBeUndefined();
    expect(pull!.powerW.fromAcceleration!.p50).toBeGreaterThan(0);
    expect(pull!.problems[0]).toMatch(/spark ignition/);
  });
});
