import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runCheckRows } from './check-rows.testing.ts';
import {
  coastDownTimeS,
  constantPowerSpeedMPerS,
  constantPowerTimeS,
  dragForceN,
  effectiveMassKg,
  engineSpeedFromRoadRpm,
  frontAxleLoadN,
  parseTyreSize,
  powerFromTrapSpeedW,
  QUARTER_MILE_RULES,
  ROAD_LOAD_REFERENCE,
  rearAxleLoadN,
  roadLoadN,
  roadSpeedMPerS,
  rollingResistanceN,
  ruleElapsedTimeS,
  ruleTrapSpeedMph,
  topSpeedMPerS,
  tractionLimitN,
  tractiveForceN,
} from './driveline.ts';
import { expectSolved } from './reason.ts';
import { fromSi, toSi } from './units.ts';

const CAR = { massKg: 1450, rollingCoefficient: 0.012, dragAreaM2: 0.65, airDensityKgPerM3: 1.204 };
const FOX = 'Fox, Am. J. Phys. 41 (1973) 311';
const J2263 = 'SAE J2263 (supplement to J1263)';
const tyre = expectSolved(parseTyreSize('225/45R17'));

/** Gross power [hp], weight [lb] and quarter-mile time [s] of 32 cars. Source: R datasets::mtcars (road tests of 1974). */
const ROAD_TESTS = [
  [110, 2620, 16.46],
  [110, 2875, 17.02],
  [93, 2320, 18.61],
  [110, 3215, 19.44],
  [175, 3440, 17.02],
  [105, 3460, 20.22],
  [245, 3570, 15.84],
  [62, 3190, 20.0],
  [95, 3150, 22.9],
  [123, 3440, 18.3],
  [123, 3440, 18.9],
  [180, 4070, 17.4],
  [180, 3730, 17.6],
  [180, 3780, 18.0],
  [205, 5250, 17.98],
  [215, 5424, 17.82],
  [230, 5345, 17.42],
  [66, 2200, 19.47],
  [52, 1615, 18.52],
  [65, 1835, 19.9],
  [97, 2465, 20.01],
  [150, 3520, 16.87],
  [150, 3435, 17.3],
  [245, 3840, 15.41],
  [175, 3845, 17.05],
  [66, 1935, 18.9],
  [91, 2140, 16.7],
  [113, 1513, 16.9],
  [264, 3170, 14.5],
  [175, 2770, 15.5],
  [335, 3570, 14.6],
  [109, 2780, 18.6],
] as const;

describe('driveline, outside values', () => {
  runCheckRows([
    {
      id: 'VD-01',
      source: 'definition',
      expected: 1207.7,
      relative: 1e-4,
      got: () => dragForceN(1.204, 0.65, 200 / 3.6),
    },
    { id: 'VD-02', source: 'Crr m g', expected: 170.64, relative: 1e-4, got: () => rollingResistanceN(0.012, 1450) },
    {
      id: 'VD-03',
      source: 'power balance',
      expected: 271.1,
      relative: 5e-4,
      got: () => fromSi(expectSolved(topSpeedMPerS(180e3, CAR)), 'km/h'),
    },
    { id: 'VD-04', source: 'ISO 4000-1 designation', expected: 634.3, absolute: 0.1, got: () => 1000 * tyre.diameterM },
    {
      id: 'VD-05',
      source: 'kinematics',
      expected: 183.14,
      relative: 5e-4,
      got: () => fromSi(roadSpeedMPerS(6500, 1.035, 4.1, 0.6343), 'km/h'),
    },
    {
      id: 'VD-06',
      source: FOX,
      expected: 195.82,
      relative: 2e-4,
      got: () => fromSi(constantPowerSpeedMPerS(200e3, 1500), 'km/h'),
    },
    { id: 'VD-07', source: FOX, expected: 11.095, relative: 2e-4, got: () => constantPowerTimeS(200e3, 1500) },
    {
      id: 'VD-08',
      source: 'Huntington rule as cited by Fox (1973)',
      expected: 101.17,
      relative: 2e-4,
      got: () => ruleTrapSpeedMph(QUARTER_MILE_RULES.huntington.speedConstant, 300, 3300),
    },
    {
      id: 'VD-09',
      source: 'Hale (constants from memory)',
      expected: 12.955,
      relative: 2e-4,
      got: () => ruleElapsedTimeS(QUARTER_MILE_RULES.hale.timeConstant, 300, 3300),
    },
    {
      id: 'VD-09',
      source: 'Hale (constants from memory)',
      expected: 105.22,
      relative: 2e-4,
      got: () => ruleTrapSpeedMph(QUARTER_MILE_RULES.hale.speedConstant, 300, 3300),
    },
    {
      id: 'VD-10',
      source: 'unit form of v = (3PL/m)^(1/3)',
      expected: 281.1,
      relative: 2e-4,
      got: () => fromSi(constantPowerSpeedMPerS(toSi(1, 'hp'), toSi(1, 'lb')), 'mph'),
    },
    {
      id: 'VD-11',
      source: 'R datasets::mtcars',
      expected: 6.232,
      absolute: 0.01,
      got: () =>
        ROAD_TESTS.reduce((sum, [hp, lb, seconds]) => sum + seconds / ruleElapsedTimeS(1, hp, lb), 0) /
        ROAD_TESTS.length,
    },
    {
      id: 'VD-11',
      source: 'R datasets::mtcars',
      expected: 6.232,
      absolute: 0.01,
      got: () => QUARTER_MILE_RULES.roadTests1974.timeConstant,
    },
    {
      id: 'VD-12',
      source: 'two-term road load of SAE J1263',
      expected: 35.24,
      absolute: 0.02,
      got: () => expectSolved(coastDownTimeS(1500, 180, 0.4, 30, 20)),
    },
    { id: 'VD-13', source: J2263, expected: 20, absolute: 1e-9, got: () => ROAD_LOAD_REFERENCE.temperatureK - 273.15 },
    { id: 'VD-13', source: J2263, expected: 98.21e3, absolute: 5, got: () => ROAD_LOAD_REFERENCE.pressurePa },
    { id: 'VD-14', source: J2263, expected: 1.03, absolute: 0, got: () => ROAD_LOAD_REFERENCE.effectiveMassRatio },
  ]);
});

describe('tyre sizes', () => {
  it('read what people type', () => {
    for (const text of ['225/45R17', ' 225/45 ZR 17 ', 'P225/45R17', '225/45r17 94W', '225/45-17']) {
      expect(expectSolved(parseTyreSize(text))).toEqual(tyre);
    }
    for (const text of ['', '225', '22/45R17', 'abc/45R17']) {
      expect(parseTyreSize(text)).toMatchObject({ ok: false, reason: { code: 'size-unreadable' } });
    }
  });
  it('never throw on any text', () => {
    fc.assert(fc.property(fc.string(), (text) => typeof parseTyreSize(text).ok === 'boolean'));
  });
});

describe('driving', () => {
  it('goes from engine to road speed and back, and power is force times speed', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 800, max: 9000, noNaN: true }),
        fc.double({ min: 0.6, max: 4.2, noNaN: true }),
        (rpm, gear) => {
          const speed = roadSpeedMPerS(rpm, gear, 4.1, 0.63);
          expect(engineSpeedFromRoadRpm(speed, gear, 4.1, 0.63)).toBeCloseTo(rpm, 6);
          expect(tractiveForceN(300, gear, 4.1, 1, 0.63) * speed).toBeCloseTo((300 * rpm * Math.PI) / 30, 4);
        },
      ),
    );
  });
  it('balances power at top speed', () => {
    const speed = expectSolved(topSpeedMPerS(120e3, CAR));
    expect(roadLoadN(CAR, speed) * speed).toBeCloseTo(120e3, 3);
    expect(topSpeedMPerS(0, CAR)).toMatchObject({ ok: false });
  });
  it('takes trap power back from trap speed', () => {
    expect(powerFromTrapSpeedW(constantPowerSpeedMPerS(200e3, 1500), 1500)).toBeCloseTo(200e3, 4);
  });
  it('coasts as a stepwise integration says', () => {
    let speed = 30;
    let time = 0;
    const step = 1e-3;
    while (speed > 20) {
      const mid = speed - (step / 2) * ((180 + 0.4 * speed * speed) / 1500);
      speed -= step * ((180 + 0.4 * mid * mid) / 1500);
      time += step;
    }
    expect(Math.abs(expectSolved(coastDownTimeS(1500, 180, 0.4, 30, 20)) - time)).toBeLessThan(0.002);
    expect(coastDownTimeS(1500, 180, 0.4, 20, 30)).toMatchObject({ ok: false });
  });
  it('adds the energy of rotating parts: 1/2 m_eff v2 = 1/2 m v2 + 1/2 J w2 + ...', () => {
    const speed = 20;
    const wheel = speed / 0.315;
    const energy = 0.5 * 1400 * speed ** 2 + 0.5 * 4 * wheel ** 2 + 0.5 * 0.25 * (wheel * 3.5 * 4.1) ** 2;
    const mass = effectiveMassKg(1400, { engineInertiaKgM2: 0.25, wheelsInertiaKgM2: 4 }, 3.5, 4.1, 0.63);
    expect(0.5 * mass * speed ** 2).toBeCloseTo(energy, 6);
  });
  it('shifts load so that axles always carry the weight and traction is consistent with it', () => {
    const car = { massKg: 1400, frontShare: 0.6, centreOfGravityHeightM: 0.5, wheelbaseM: 2.6 };
    fc.assert(
      fc.property(fc.double({ min: -10, max: 30, noNaN: true }), (acceleration) => {
        const front = frontAxleLoadN(car, acceleration);
        expect(front + rearAxleLoadN(car, acceleration)).toBeCloseTo(1400 * 9.80665, 6);
        expect(front).toBeGreaterThanOrEqual(0);
      }),
    );
    fc.assert(
      fc.property(fc.double({ min: 0.2, max: 1.5, noNaN: true }), (grip) => {
        const front = tractionLimitN(car, 'front', grip);
        expect(grip * frontAxleLoadN(car, front / 1400)).toBeCloseTo(front, 6);
        const rear = tractionLimitN(car, 'rear', grip);
        expect(grip * rearAxleLoadN(car, rear / 1400)).toBeCloseTo(rear, 6);
        expect(front).toBeLessThan(tractionLimitN(car, 'all', grip));
      }),
    );
  });
});
