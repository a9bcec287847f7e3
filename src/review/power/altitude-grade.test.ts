import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { demoBuild } from '../findings/base-drive.ts';
import { gradeByAltitude, UNKNOWN_GRADE } from './altitude-grade.ts';
import { powerDrive } from './power-drive.testing.ts';
import { pullPowers } from './pull-powers.ts';

const STEP_S = 0.05;
const SIZE = 240;
const speed = Float64Array.from({ length: SIZE }, (_, i) => 25 + 0.05 * i);
const climb = (grade: number, noiseM = 0) => {
  let at = 0;
  return Float64Array.from(speed, (v, i) => {
    at += v * STEP_S;
    return 100 + grade * at + noiseM * Math.sin(17 * i);
  });
};

describe('grade by altitude', () => {
  it('is that of the road, drawn a little to level by what the altimeter may wander (property)', () => {
    fc.assert(
      fc.property(fc.double({ min: -0.04, max: 0.04, noNaN: true }), (grade) => {
        const { mean, sd } = gradeByAltitude(climb(grade), speed, STEP_S);
        // 360 m of road and 1.5 m of wander: 0.4 % against the 1 % of an unknown road keeps 1 / (1 + 0.175) of it.
        expect(mean).toBeCloseTo(grade * 0.853, 3);
        expect(sd).toBeLessThan(0.5 * UNKNOWN_GRADE.sd);
      }),
    );
  });

  it('is worth less by a reading that jumps, and nothing where it is missing or too short', () => {
    expect(gradeByAltitude(climb(0.02, 4), speed, STEP_S).sd).toBeGreaterThan(
      gradeByAltitude(climb(0.02), speed, STEP_S).sd,
    );
    expect(gradeByAltitude(new Float64Array(SIZE).fill(Number.NaN), speed, STEP_S)).toBe(UNKNOWN_GRADE);
    expect(gradeByAltitude(climb(0.02).slice(0, 20), speed, STEP_S)).toBe(UNKNOWN_GRADE);
  });
});

describe('power from acceleration with an altitude', () => {
  it('adds the climb that the altitude shows: m g grade v through the driveline', () => {
    const resolved = demoBuild();
    const { car } = resolved;
    const drive = powerDrive(car);
    const perRpm = (Math.PI * car.tyres.rollingRadiusM) / (30 * car.facts.gearRatios[2]! * car.driveline.finalDrive);
    const roadSpeedAt = (timeS: number) => drive.speedAt(timeS) * perRpm;
    const climbing = (grade: number) => {
      const engine = drive.log.channels.find(({ channel }) => channel === 'engine-speed')!;
      const speeds = engine.timesS.map((timeS) => roadSpeedAt(timeS));
      let at = 0;
      const heights = speeds.map((v, i) => {
        at += i > 0 ? v * (engine.timesS[i]! - engine.timesS[i - 1]!) : 0;
        return 200 + grade * at;
      });
      const channels = [
        engine,
        { ...engine, channel: 'vehicle-speed' as const, column: 'road speed', values: speeds },
        { ...engine, channel: 'altitude' as const, column: 'altitude', values: heights },
      ];
      const log = { ...drive.log, channels };
      return pullPowers(log, log.pulls, resolved)[0]!.curve.at(-3)!;
    };
    const [level, uphill] = [climbing(0), climbing(0.03)];
    const v = roadSpeedAt(drive.endS - 1);
    const most = (car.body.massKg * 9.80665 * 0.03 * v) / car.driveline.efficiency;
    const gained = uphill.fromAccelerationW!.p50 - level.fromAccelerationW!.p50;
    expect(gained).toBeGreaterThan(0.6 * most);
    expect(gained).toBeLessThan(1.1 * most);
  });
});
