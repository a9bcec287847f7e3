import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Car, withSample } from '../../car/index.ts';
import { newBalance } from '../balance.ts';
import { DAY, demoCar } from '../fixtures.testing.ts';
import { solveCase } from '../point.ts';
import { boostTargetAbsolutePa, solverAt } from '../steady.ts';
import { USUAL_NUMBERS } from './air-path.ts';
import { SPOOL_REASONS } from './answers.ts';
import { coldConductanceWPerK, coreAfter } from './core.ts';
import { firstAtShare, readyPath, runPull, spoolAnswerOf } from './index.ts';
import { runLift } from './lift.ts';
import { spoolWithBands } from './spool.ts';
import { newAirState, settleCruise } from './start.ts';
import { type Driver, stepAir } from './step.ts';

const BUILDS = ['wren-as-driven', 'otter-as-driven', 'otter-larger-compressor'] as const;

const changed = (car: Car, change: (copy: { -readonly [K in keyof Car]: Car[K] }) => void): Car => {
  const copy = structuredClone(car) as { -readonly [K in keyof Car]: Car[K] };
  // The fitted map is remembered by the map's identity.
  copy.compressorMap = car.compressorMap;
  change(copy);
  return copy;
};

const arrival = (car: Car, stepS?: number, gear = 3, fromRpm = 2200) => {
  const record = runPull(readyPath(car, DAY), { gear, fromRpm, stepS });
  const { arrived } = spoolAnswerOf(record);
  if (!arrived) throw new Error('boost did not arrive');
  return arrived;
};

describe.each(BUILDS)('held at one engine speed, %s', (name) => {
  const { car } = demoCar(name);
  const path = readyPath(car, DAY);

  // The same laws solved two ways: marched until nothing moves, and by the balance of the steady match.
  it.each([3500, 4500, 5500])('settles where the steady match lies, %i rpm', (rpm) => {
    const balance = newBalance();
    const solver = solverAt(path.prepared, rpm, {}, {}, balance);
    solveCase(solver, boostTargetAbsolutePa(path.prepared, rpm, {}));
    const s = newAirState(path.prepared, rpm, 30);
    settleCruise(path, s, { torqueNm: 30 });
    const driver: Driver = { pedal: 1, restOpening: 1, fuelOn: true, boostWanted: true };
    for (let i = 0; i < 3000; i++) {
      stepAir(path, s, driver, 0.004);
      s.coreTemperatureK = balance.coreTemperatureK;
    }
    const near = (value: number, wanted: number, share: number) =>
      expect(Math.abs(value / wanted - 1)).toBeLessThan(share);
    near(s.manifoldPressurePa, balance.manifoldPressurePa, 0.005);
    near(s.engineFlowKgPerS, balance.airFlowKgPerS, 0.01);
    near(s.exhaustPressurePa, balance.exhaustPressurePa, 0.01);
    near(s.exhaustTemperatureK, balance.exhaustTemperatureK, 0.01);
    near((s.shaftRadPerS * 30) / Math.PI, balance.shaftSpeedRpm, 0.01);
    // What flows in flows out, and the shaft's powers balance.
    near(s.compressorFlowKgPerS, s.engineFlowKgPerS, 1e-3);
    near(s.turbinePowerW * car.turbocharger.mechanicalEfficiency, s.compressorPowerW, 5e-3);
  });
});

describe('the step of time', () => {
  const { car } = demoCar('otter-as-driven');

  it('is fine enough: spool time at the usual step is within 1 % of that at an eighth of it', () => {
    const fine = arrival(car, 0.0005).timeS;
    expect(Math.abs(arrival(car).timeS / fine - 1)).toBeLessThan(0.01);
    // First order: half the step, about half the error.
    const error = (step: number) => Math.abs(arrival(car, step).timeS - fine);
    expect(error(0.004)).toBeLessThan(0.75 * error(0.008));
  });

  // A pipe's air column on a volume rings at sqrt(R T A / (V L)) when temperature is held (Helmholtz resonator; Greitzer,
  // ASME J. Eng. Power 98 (1976) 190, whose B parameter is made of it).
  it('lets the charge pipe ring at its own frequency', () => {
    const path = readyPath(car, DAY, { bypassCrackPa: 1e9 });
    const s = newAirState(path.prepared, 800, 0);
    const { chargeVolumeM3 } = car.intake;
    s.throttleOpening = 0;
    s.shaftRadPerS = 200;
    s.compressorFlowKgPerS = 0;
    s.chargePressurePa = DAY.ambientPressurePa + 800;
    const driver: Driver = { pedal: 0, restOpening: 0, fuelOn: false, boostWanted: false };
    const crossings: number[] = [];
    for (let i = 0; i < 6000; i++) {
      const before = s.chargePressurePa - DAY.ambientPressurePa;
      s.shaftRadPerS = 200;
      s.throttleOpening = 0;
      stepAir(path, s, driver, 1e-4);
      const after = s.chargePressurePa - DAY.ambientPressurePa;
      if (before > 0 && after <= 0) crossings.push(s.timeS);
    }
    const area = path.ductAreaM2;
    const expected =
      Math.sqrt(
        (path.prepared.airGasConstant * DAY.ambientTemperatureK * area) / (chargeVolumeM3 * USUAL_NUMBERS.ductLengthM),
      ) /
      (2 * Math.PI);
    expect(crossings.length).toBeGreaterThan(2);
    const found = (crossings.length - 1) / (crossings[crossings.length - 1]! - crossings[0]!);
    expect(Math.abs(found / expected - 1)).toBeLessThan(0.05);
  });
});

describe('spool', () => {
  const { car } = demoCar('otter-as-driven');

  it('comes later with more inertia, a larger turbine, and from a lower engine speed', () => {
    const base = arrival(car);
    const heavy = changed(car, (copy) => {
      copy.turbocharger.shaftInertiaKgM2 *= 2;
    });
    const large = changed(car, (copy) => {
      copy.turbocharger.turbineEffectiveAreaM2 *= 1.15;
    });
    expect(arrival(heavy).timeS).toBeGreaterThan(1.15 * base.timeS);
    expect(arrival(large).timeS).toBeGreaterThan(1.1 * base.timeS);
    expect(arrival(car, undefined, 3, 1700).timeS).toBeGreaterThan(base.timeS);
  });

  it('comes at a lower engine speed in a higher gear', () => {
    expect(arrival(car, undefined, 4).engineSpeedRpm).toBeLessThan(arrival(car, undefined, 2).engineSpeedRpm);
  });

  it('says why boost does not arrive', () => {
    const slack = changed(car, (copy) => {
      copy.turbocharger.turbineEffectiveAreaM2 *= 4;
    });
    const answer = spoolAnswerOf(runPull(readyPath(slack, DAY), { gear: 2, fromRpm: 2500 }));
    expect(answer).toMatchObject({ arrived: null, reached: null, reason: 'target not reached before the rev limit' });
    const none = changed(car, (copy) => {
      copy.curves = { ...copy.curves, boostTarget: { at: [0], values: [5e3] }, boostIsGauge: true };
    });
    expect(spoolAnswerOf(runPull(readyPath(none, DAY), { gear: 3, fromRpm: 2500 })).reason).toBe(
      'no boost is asked for',
    );
    const tall = changed(car, (copy) => {
      copy.body.dragAreaM2 = 4;
      copy.body.massKg = 6000;
      copy.body.rollingResistance = 0.05;
    });
    const falling = spoolAnswerOf(runPull(readyPath(tall, DAY), { gear: 5, fromRpm: 1600 }));
    expect(SPOOL_REASONS).toContain(falling.reason ?? 'nothing');
  });

  it('shoots over further when the wastegate is slow and the control does not look ahead', () => {
    const over = (numbers: object) =>
      spoolAnswerOf(runPull(readyPath(car, DAY, numbers), { gear: 2, fromRpm: 2600 })).overshootPa;
    expect(over({ wastegateLagS: 0.3, controlAheadS: 0 })).toBeGreaterThan(over({}) + 5e3);
  });

  it('reads a share between rows by a straight line', () => {
    const record = runPull(readyPath(car, DAY), { gear: 3, fromRpm: 2200 });
    const half = firstAtShare(record, 0.5);
    const most = firstAtShare(record, 0.9);
    expect(half!.timeS).toBeLessThan(most!.timeS);
    expect(firstAtShare(record, 3)).toBeNull();
  });

  it('has bands that hold the best estimate, the same for the same seed', () => {
    const resolved = demoCar('otter-as-driven');
    const request = { gear: 3, fromRpm: 2200, liftRpm: 5200 };
    const one = spoolWithBands(resolved, DAY, request, { samples: 32 });
    expect(one).toEqual(spoolWithBands(resolved, DAY, request, { samples: 32 }));
    const best = arrival(resolved.car).timeS;
    expect(one.arrived!.timeS.p10).toBeLessThan(best);
    expect(one.arrived!.timeS.p90).toBeGreaterThan(best);
    expect(one.curves.boostPa.length).toBe(one.curves.timesS.length);
    expect(one.repeatedPulls.length).toBe(4);
  });
});

describe('lifting off', () => {
  const { car } = demoCar('wren-as-driven');
  const without = changed(car, (copy) => {
    copy.facts = { ...copy.facts, bypassValve: 'none' };
  });

  // Deep surge of a car's pipework cycles at some 5 to 20 Hz (common practice, no source).
  it('surges without a bypass valve, in cycles of a usual length, and does not with one', () => {
    const surging = runLift(readyPath(without, DAY), { gear: 3, atRpm: 5000 });
    expect(surging.kind).toBe('surges');
    const hertz = surging.cycles / surging.leftS;
    expect(hertz).toBeGreaterThan(5);
    expect(hertz).toBeLessThan(25);
    const clear = runLift(readyPath(car, DAY), { gear: 3, atRpm: 5000 });
    expect(clear.kind).toBe('clear');
    expect(clear.leastFlowShare).toBeGreaterThan(1);
    expect(clear.cycles).toBe(0);
  });

  it('finds the same with half the step', () => {
    const usual = runLift(readyPath(without, DAY), { gear: 3, atRpm: 4500 });
    const fine = runLift(readyPath(without, DAY), { gear: 3, atRpm: 4500, stepS: 0.0005 });
    expect(Math.abs(usual.cycles - fine.cycles)).toBeLessThanOrEqual(1);
    expect(Math.abs(usual.leastFlowShare - fine.leastFlowShare)).toBeLessThan(0.02);
  });
});

describe('the core', () => {
  // The closed form against a Runge-Kutta march of the same balance.
  it('follows its heat balance', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 400, noNaN: true }),
        fc.double({ min: 1, max: 3000, noNaN: true }),
        fc.double({ min: 500, max: 20_000, noNaN: true }),
        fc.double({ min: 0.05, max: 30, noNaN: true }),
        (hot, cold, capacity, dt) => {
          const slope = (core: number) => (hot * (400 - core) - cold * (core - 290)) / capacity;
          const steps = Math.ceil(Math.max(40, (20 * dt * (hot + cold)) / capacity));
          const h = dt / steps;
          let core = 300;
          for (let i = 0; i < steps; i++) {
            const a = slope(core);
            const b = slope(core + 0.5 * h * a);
            const c = slope(core + 0.5 * h * b);
            core += (h / 6) * (a + 2 * b + 2 * c + slope(core + h * c));
          }
          expect(coreAfter(300, capacity, hot, 400, cold, 290, dt)).toBeCloseTo(core, 3);
        },
      ),
      { numRuns: 60 },
    );
  });

  it('gives heat to faster air faster, and to standing air as the sheet says', () => {
    const { chargeCooler } = demoCar('otter-as-driven').car;
    expect(coldConductanceWPerK(chargeCooler, 0)).toBeCloseTo(chargeCooler.standingConductanceWPerK, 9);
    expect(coldConductanceWPerK(chargeCooler, 100 / 3.6)).toBeCloseTo(
      chargeCooler.standingConductanceWPerK + chargeCooler.movingConductanceWPerK,
      9,
    );
  });
});

describe('any build', () => {
  it('within four plus-minus of each number, in any weather and gear, gives finite rows or a typed reason', () => {
    const resolved = demoCar('wren-dozen-numbers');
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -4, max: 4, noNaN: true }), {
          minLength: resolved.inputs.length,
          maxLength: resolved.inputs.length,
        }),
        fc.record({
          ambientPressurePa: fc.double({ min: 60e3, max: 105e3, noNaN: true }),
          ambientTemperatureK: fc.double({ min: 245, max: 320, noNaN: true }),
          relativeHumidity: fc.double({ min: 0, max: 1, noNaN: true }),
        }),
        fc.integer({ min: 1, max: 5 }),
        fc.integer({ min: 1000, max: 5500 }),
        (normals, conditions, gear, fromRpm) => {
          const car = withSample(resolved, normals);
          const path = readyPath(car, conditions);
          const record = runPull(path, { gear, fromRpm });
          const answer = spoolAnswerOf(record);
          if (record.sound) {
            for (const row of [record.boostPa, record.shaftSpeedsRpm, record.chargeTemperaturesK]) {
              expect(row.every(Number.isFinite)).toBe(true);
            }
          }
          if (!answer.arrived) expect(SPOOL_REASONS).toContain(answer.reason);
          const lift = runLift(path, { gear, atRpm: Math.max(2000, fromRpm) });
          if (lift.sound) expect(Number.isFinite(lift.leastFlowShare + lift.leftS + lift.boostPa)).toBe(true);
        },
      ),
      { numRuns: 40 },
    );
  }, 120_000);
});
