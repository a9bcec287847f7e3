import { describe, expect, it } from 'vitest';
import {
  crankPowerW,
  type Motion,
  type RoadLoad,
  rollingGrowth,
  tyreForceN,
  tyreGripShare,
  tyreRadiusM,
  tyreSlip,
} from './acceleration.ts';

const still: Motion = {
  engineSpeedRpm: 3000,
  engineSpeedSlopeRpmPerS: 0,
  speedMPerS: 0,
  accelerationMPerS2: 0,
  wheelSlopeRadPerS2: 0,
  overallRatio: 4,
};
const nothing: RoadLoad = {
  massKg: 0,
  undrivenRotatingMassKg: 0,
  drivenInertiaKgM2: 0,
  engineInertiaKgM2: 0,
  drivelineEfficiency: 1,
  rollingRadiusM: 0.3,
  dragAreaM2: 0,
  rollingResistance: 0,
  rollingGrowthGain: 0,
  airDensityKgPerM3: 1.2,
  headWindMPerS: 0,
  grade: 0,
  tyreGrowth: 0,
};

describe('force at the tyres', () => {
  it('VD-01: drag at 200 km/h is 1207.7 N (definition, recomputed)', () => {
    const load = { ...nothing, dragAreaM2: 0.65, airDensityKgPerM3: 1.204 };
    expect(tyreForceN({ ...still, speedMPerS: 200 / 3.6 }, load)).toBeCloseTo(1207.7, 0);
  });

  it('VD-02: rolling resistance of 1450 kg at 0.012 is 170.64 N (definition, recomputed)', () => {
    const load = { ...nothing, massKg: 1450, rollingResistance: 0.012 };
    expect(tyreForceN(still, load)).toBeCloseTo(170.64, 2);
  });

  it('a grade of 1 % weighs 1 % of the weight; wind against the car counts as speed', () => {
    expect(tyreForceN(still, { ...nothing, massKg: 1000, grade: 0.01 })).toBeCloseTo(98.0665, 4);
    const load = { ...nothing, dragAreaM2: 0.7 };
    const windy = tyreForceN({ ...still, speedMPerS: 30 }, { ...load, headWindMPerS: 5 });
    expect(windy).toBeCloseTo(tyreForceN({ ...still, speedMPerS: 35 }, load), 9);
  });

  it('rolling resistance has doubled at 55 m/s', () => {
    expect(rollingGrowth(0)).toBe(1);
    expect(rollingGrowth(55)).toBeCloseTo(2, 12);
  });
});

describe('crank power from motion', () => {
  it('is constant along the closed form of constant-power acceleration, v = sqrt(2 P t / m) (VD-06, Fox 1973)', () => {
    const [massKg, powerW, overallRatio, rollingRadiusM] = [1500, 200e3, 4, 0.3];
    for (const t of [1, 3, 6, 11]) {
      const v = Math.sqrt((2 * powerW * t) / massKg);
      const a = powerW / (massKg * v);
      const motion: Motion = {
        engineSpeedRpm: (v / rollingRadiusM) * overallRatio * (30 / Math.PI),
        engineSpeedSlopeRpmPerS: (a / rollingRadiusM) * overallRatio * (30 / Math.PI),
        speedMPerS: v,
        accelerationMPerS2: a,
        wheelSlopeRadPerS2: a / rollingRadiusM,
        overallRatio,
      };
      expect(crankPowerW(motion, { ...nothing, massKg, rollingRadiusM })).toBeCloseTo(powerW, 3);
    }
  });

  it('VD-06: at the end of a lossless quarter mile of 1500 kg at 200 kW the speed is 195.82 km/h', () => {
    // The distance under constant power, s = (2/3) v t, ties speed and time: v^3 = 3 P L / m.
    const v = 195.82 / 3.6;
    const a = 200e3 / (1500 * v);
    const motion: Motion = {
      ...still,
      engineSpeedRpm: (v / 0.3) * 4 * (30 / Math.PI),
      speedMPerS: v,
      accelerationMPerS2: a,
    };
    expect(crankPowerW(motion, { ...nothing, massKg: 1500 })).toBeCloseTo(200e3, 3);
    expect((1500 * v ** 3) / (3 * 402.336)).toBeGreaterThan(0.9994 * 200e3);
    expect((1500 * v ** 3) / (3 * 402.336)).toBeLessThan(1.0006 * 200e3);
  });

  it('adds what the engine spins itself up with, outside the driveline losses', () => {
    const motion = { ...still, engineSpeedSlopeRpmPerS: 1200 };
    const alone = crankPowerW(motion, { ...nothing, engineInertiaKgM2: 0.2, drivelineEfficiency: 0.9 });
    // I alpha omega = 0.2 x 125.66 x 314.16 (definition).
    expect(alone).toBeCloseTo(0.2 * ((1200 * Math.PI) / 30) * ((3000 * Math.PI) / 30), 6);
  });

  it('equals the effective mass of Gillespie (1992) eq. 2-9: inertia over radius squared, engine by ratio squared', () => {
    const load = { ...nothing, massKg: 1200, drivenInertiaKgM2: 2, engineInertiaKgM2: 0.15 };
    const [a, ratio, radius] = [3, 5, 0.3];
    const v = 20;
    const motion: Motion = {
      engineSpeedRpm: (v / radius) * ratio * (30 / Math.PI),
      engineSpeedSlopeRpmPerS: (a / radius) * ratio * (30 / Math.PI),
      speedMPerS: v,
      accelerationMPerS2: a,
      wheelSlopeRadPerS2: a / radius,
      overallRatio: ratio,
    };
    const effectiveKg = 1200 + (2 + 0.15 * ratio ** 2) / radius ** 2;
    expect(crankPowerW(motion, load)).toBeCloseTo(effectiveKg * a * v, 6);
  });
});

describe('tyre curve', () => {
  it('turns back: slip of a share, share of a slip, below its peak', () => {
    for (const share of [0.05, 0.2, 0.5, 0.8, 0.95]) expect(tyreGripShare(tyreSlip(share))).toBeCloseTo(share, 9);
    expect(tyreSlip(0)).toBe(0);
  });

  it('is stiff as dry-road tyres are: 10 to 30 times the load per slip (Pacejka 2012, ch. 4, usual range)', () => {
    const stiffness = tyreGripShare(1e-4) / 1e-4;
    expect(stiffness).toBeGreaterThan(10);
    expect(stiffness).toBeLessThan(30);
  });
});

describe('a tyre that grows with speed', () => {
  const load = { ...nothing, rollingRadiusM: 0.3, tyreGrowth: 0.003 };

  it('is 0.3 % larger at 55 m/s and a quarter of that at half the speed (definition)', () => {
    expect(tyreRadiusM(load, 55) / 0.3).toBeCloseTo(1.003, 9);
    expect(tyreRadiusM(load, 27.5) / 0.3).toBeCloseTo(1.00075, 9);
  });

  it('gains speed by three times its growth more than its turning says: slope of w r (1 + g (w r / 55)2) (calculus)', () => {
    // The derivative by a difference, against the form that the motion takes: 3 r(v) - 2 r.
    const speed = (w: number) => w * tyreRadiusM(load, w * 0.3);
    const w = 150;
    const slope = (speed(w + 1e-3) - speed(w - 1e-3)) / 2e-3;
    expect(3 * tyreRadiusM(load, w * 0.3) - 2 * 0.3).toBeCloseTo(slope, 8);
  });
});
