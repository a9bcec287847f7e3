/** Power by acceleration on a measured road log of a diesel hatchback. Needs the file beside the checkout. */
import { existsSync, readFileSync } from 'node:fs';
import { resolve } from 'node:path';
import { describe, expect, it } from 'vitest';
import { type Build, checkBuild, resolveBuild } from '../../car/index.ts';
import { readLog } from '../../logs/index.ts';
import { pullPowers } from './pull-powers.ts';

const FILE = resolve(import.meta.dirname, '../../../../shared/real/road-3.csv');
const present = existsSync(FILE);

/** Engine speed over road speed of the gears, measured in the logs [rpm per km/h]. */
const RPM_PER_KM_H = [58.55, 37.25, 25.7, 20.22, 16.89];
const RADIUS_M = 0.31;
const FINAL_DRIVE = 3.5;
const MASS_KG = 1500;
const EFFICIENCY = 0.92;

const q = (value: number, unit: string) => ({ value, unit, source: 'estimate' });

/**
 * A similar car's road load, 93.2 N + 3.71 N/(m/s) v + 0.338 N/(m/s)2 v2: the first two at 45 m/s as rolling resistance, the
 * last as drag area.
 */
const build = {
  schema: 'boostwright.build/1',
  name: 'Measured diesel hatchback',
  engine: { cylinders: 4, displacement: q(2, 'L'), compressionRatio: q(16, '1'), revLimit: q(4800, 'rpm') },
  turbocharger: { compressorInducer: q(38, 'mm'), compressorExducer: q(50, 'mm') },
  chargeCooler: {},
  fuel: { kind: 'diesel' },
  fuelSystem: { injectorFlow: q(900, 'cm3/min'), pumpFlow: q(200, 'L/h') },
  driveline: {
    driven: 'front',
    gearRatios: RPM_PER_KM_H.map((perKmH) => (perKmH * 3.6 * 2 * Math.PI * RADIUS_M) / 60 / FINAL_DRIVE),
    finalDrive: q(FINAL_DRIVE, '1'),
    efficiency: q(EFFICIENCY, '1'),
  },
  tyres: { rollingRadius: q(RADIUS_M, 'm') },
  body: {
    mass: q(MASS_KG, 'kg'),
    dragArea: q((2 * 0.338) / 1.2, 'm2'),
    rollingResistance: q((93.2 + 3.71 * 45) / (MASS_KG * 9.81 * (1 + (45 / 55) ** 2)), '1'),
  },
  targets: {
    boost: {
      at: { unit: 'rpm', values: [1500, 4500] },
      values: { unit: 'kPa abs', values: [230, 230] },
      source: 'estimate',
    },
  },
} as unknown as Build;

describe('a measured pull from 130 to 217 km/h in fifth gear', () => {
  if (!present) {
    console.info('not run: no measured road log beside the checkout (../shared/real)');
    it('says plainly that the file is not there', () => {
      expect(present).toBe(false);
    });
    return;
  }
  it('gives the power at the wheels that the road load asks for, 77, 82 and 88 kW at 145, 160 and 175 km/h', () => {
    // Source of the figures: speed slope and road load, worked out beside the log (grade unknown).
    const checked = checkBuild(build);
    if (!checked.ok) throw new Error(JSON.stringify(checked.problems));
    const resolved = resolveBuild(checked.build);
    const read = readLog(readFileSync(FILE), { gearing: { rpmPerMPerS: RPM_PER_KM_H.map((perKmH) => perKmH * 3.6) } });
    if (!read.ok) throw new Error(read.problem.says);
    const { log } = read;
    const pulls = log.pulls.filter(({ startS, endS }) => startS - log.startS < 3310 && endS - log.startS > 3300);
    expect(pulls).toHaveLength(1);
    const [power] = pullPowers(log, pulls, resolved);
    for (const [kmPerH, wheelsKw] of [
      [145, 77],
      [160, 82],
      [175, 88],
    ] as const) {
      const rpm = Math.round((kmPerH * RPM_PER_KM_H[4]!) / 250) * 250;
      const row = power!.curve.find(({ engineSpeedRpm }) => engineSpeedRpm === rpm);
      // Same slope of speed and same road load as the figures, so the unknown grade is the same: half the 10 kW.
      const gotKw = (row!.powerW.p50 * EFFICIENCY) / 1e3;
      expect(Math.abs(gotKw - wheelsKw), `${kmPerH} km/h: ${gotKw.toFixed(1)} kW`).toBeLessThan(5);
    }
    expect(power!.powerW.fromAir).toBeUndefined();
    expect(power!.powerW.fromFuel).toBeUndefined();
  });
});
