/** Part load: its laws, its refusals, and what must hold for any engine. Measured engines: part-load-cells.test.ts. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { buildOfEngine, loadNumbersOf, resolveBuild } from '../car/index.ts';
import { powerFromTorqueW } from '../physics/index.ts';
import { DAY, demoCar } from './fixtures.testing.ts';
import { loadMapWithBands, loadSpeed } from './index.ts';
import { type LoadPoint, type LoadResult, loadPoint } from './part-load.ts';
import { CELL_AIR, engineOf, MEASURED_ENGINES } from './part-load-engines.testing.ts';

const [TURBO, NATURAL] = MEASURED_ENGINES.map(({ sheet }) => engineOf(sheet)) as [
  ReturnType<typeof engineOf>,
  ReturnType<typeof engineOf>,
];

const pointOf = (result: LoadResult): LoadPoint => {
  if (!result.ok) throw new Error(result.problem.says);
  return result.point;
};

describe('the cylinder at part load', () => {
  // Heywood (1988) sect. 15.4.1 and fig. 15-13 (from memory): some 2 to 3 % more efficiency per ratio from 9 to 12.
  it('gains efficiency with the compression ratio as measured engines do', () => {
    const at = (compressionRatio: number) => {
      const car = { ...NATURAL.car, engine: { ...NATURAL.car.engine, compressionRatio } };
      return pointOf(loadSpeed(car, loadNumbersOf(NATURAL), CELL_AIR, 2500).at(80)).indicatedEfficiency;
    };
    const gain = (at(12) / at(9)) ** (1 / 3) - 1;
    expect(gain).toBeGreaterThan(0.01);
    expect(gain).toBeLessThan(0.035);
  });
});

describe('a point', () => {
  it('is throttled below the outside pressure and boosted above it', () => {
    const light = pointOf(loadPoint(TURBO, CELL_AIR, 2500, 50));
    const heavy = pointOf(loadPoint(TURBO, CELL_AIR, 2500, 180));
    expect(light.manifoldPressurePa).toBeLessThan(0.8 * CELL_AIR.ambientPressurePa);
    expect(light.throttleInletPressurePa).toBeGreaterThan(light.manifoldPressurePa);
    expect(heavy.manifoldPressurePa).toBeGreaterThan(1.2 * CELL_AIR.ambientPressurePa);
    expect(heavy.throttleInletPressurePa).toBeGreaterThanOrEqual(heavy.manifoldPressurePa);
    expect(light.pumpingPressurePa).toBeGreaterThan(heavy.pumpingPressurePa);
  });

  // Heywood (1988) sect. 2.7: mean pressures add up, T = mep Vd / 4 pi; BSFC and efficiency are one another's inverse.
  it.each([
    ['turbocharged', TURBO, 2500, 100],
    ['turbocharged, boosted', TURBO, 3500, 170],
    ['natural', NATURAL, 2000, 60],
    ['natural, near full', NATURAL, 4000, 190],
  ] as const)('closes its accounts: %s', (_name, engine, rpm, torque) => {
    const p = pointOf(loadPoint(engine, CELL_AIR, rpm, torque));
    expect(Math.abs(p.torqueNm / torque - 1)).toBeLessThan(1e-3);
    const { displacementM3 } = engine.car.engine;
    const brake = p.indicatedPressurePa - p.pumpingPressurePa - p.frictionPressurePa;
    expect(Math.abs(brake / p.brakePressurePa - 1)).toBeLessThan(1e-9);
    expect(Math.abs((p.brakePressurePa * displacementM3) / (4 * Math.PI) / p.torqueNm - 1)).toBeLessThan(1e-9);
    expect(Math.abs(powerFromTorqueW(p.torqueNm, rpm) / p.powerW - 1)).toBeLessThan(1e-9);
    const { lowerHeatingValueJPerKg, stoichiometricAirFuelRatio } = engine.car.fuel;
    expect(Math.abs(p.fuelConsumptionKgPerJ * lowerHeatingValueJPerKg * p.brakeEfficiency - 1)).toBeLessThan(1e-9);
    // Humid air holds a little less that burns: at 25 degC and 40 % some 0.8 %.
    const dry = p.fuelFlowKgPerS * p.lambda * stoichiometricAirFuelRatio;
    expect(dry / p.airFlowKgPerS).toBeGreaterThan(0.985);
    expect(dry / p.airFlowKgPerS).toBeLessThan(1);
  });

  // First law round the cylinders: fuel heat = work on the pistons + walls + what the exhaust carries over the charge.
  // Exhaust: mean specific heat of burned gas about 1.17 kJ/(kg K) from 298 K to 1000 K (NASA TM-4513), so within 6 %.
  it('energy closes against an account of its own', () => {
    const p = pointOf(loadPoint(NATURAL, CELL_AIR, 2500, 100));
    const swept = (NATURAL.car.engine.displacementM3 * 2500) / 120;
    const heat = p.fuelFlowKgPerS * NATURAL.car.fuel.lowerHeatingValueJPerKg;
    const work = (p.indicatedPressurePa - p.pumpingPressurePa) * swept;
    const exhaust = (p.airFlowKgPerS + p.fuelFlowKgPerS) * 1170 * (p.exhaustTemperatureK - 298.15);
    const charge = p.airFlowKgPerS * 1010 * (p.chargeTemperatureK - 298.15);
    expect(Math.abs((work + p.wallHeatW + exhaust - charge) / heat - 1)).toBeLessThan(0.06);
  });

  it('mixture is right at part load and richer only towards full load or to spare the exhaust', () => {
    const speed = loadSpeed(NATURAL.car, loadNumbersOf(NATURAL), CELL_AIR, 3000);
    const half = pointOf(speed.at(0.5 * speed.full.torqueNm));
    const full = pointOf(speed.at(0.995 * speed.full.torqueNm));
    expect(half).toMatchObject({ lambda: 1, mixture: 'stoichiometric' });
    expect(full.lambda).toBeLessThan(0.95);
    expect(full.mixture).not.toBe('stoichiometric');
  });

  it('more friction, more accessories or less cycle efficiency take more fuel', () => {
    const usual = loadNumbersOf(TURBO);
    const fuel = (change: object, options = {}) =>
      pointOf(loadSpeed(TURBO.car, { ...usual, ...change }, CELL_AIR, 2500, options).at(80)).fuelFlowKgPerS;
    const base = fuel({});
    expect(fuel({ frictionFactor: 1.05 })).toBeGreaterThan(base);
    expect(fuel({ workOverCycle: 0.93 })).toBeGreaterThan(base);
    expect(fuel({ phasedFilling: 0.25 })).toBeLessThan(base);
    expect(fuel({ wastegateUse: 1 })).toBeLessThan(base);
    expect(fuel({}, { accessoryPowerW: 1000 })).toBeGreaterThan(base);
  });

  it("takes the sheet's own friction and efficiency where they are typed", () => {
    const sheet = MEASURED_ENGINES[1].sheet;
    const typed = (engine: object) => engineOf({ ...sheet, engine: { ...sheet.engine, ...engine } });
    const measured = (value: number, unit: string) => ({ value, unit, source: 'measured' });
    const friction = typed({
      frictionPressure: measured(60, 'kPa'),
      frictionPerSpeed: measured(0, 'kPa'),
      frictionPerSpeedSquared: measured(0, 'kPa'),
    });
    expect(pointOf(loadPoint(friction, CELL_AIR, 2000, 80)).frictionPressurePa).toBeCloseTo(60e3, 3);
    const poor = typed({ indicatedEfficiency: measured(0.33, '1') });
    const good = typed({ indicatedEfficiency: measured(0.42, '1') });
    expect(pointOf(loadPoint(poor, CELL_AIR, 2000, 80)).fuelFlowKgPerS).toBeGreaterThan(
      1.15 * pointOf(loadPoint(good, CELL_AIR, 2000, 80)).fuelFlowKgPerS,
    );
  });
});

describe('refusals', () => {
  const reasonOf = (result: LoadResult) => (result.ok ? 'none' : result.problem.reason);
  it('are typed and say figures', () => {
    const beyond = loadPoint(NATURAL, CELL_AIR, 3000, 400);
    expect(reasonOf(beyond)).toBe('torque beyond full load');
    expect(beyond.ok ? '' : beyond.problem.says).toMatch(/2\d\d N m at 9\d kPa/);
    expect(reasonOf(loadPoint(NATURAL, CELL_AIR, 3000, -20))).toBe('torque below closed throttle');
    expect(reasonOf(loadPoint(NATURAL, CELL_AIR, 3000, Number.NaN))).toBe('torque beyond full load');
    expect(reasonOf(loadPoint(NATURAL, CELL_AIR, Number.NaN, 50))).toBe('engine speed out of range');
    expect(reasonOf(loadPoint(NATURAL, CELL_AIR, 90_000, 50))).toBe('engine speed out of range');
    const diesel = { ...NATURAL, car: { ...NATURAL.car, facts: { ...NATURAL.car.facts, ignition: 'compression' } } };
    expect(reasonOf(loadPoint(diesel as typeof NATURAL, CELL_AIR, 2000, 50))).toBe('not a spark-ignition engine');
  });

  it('of engine sheets name the place', () => {
    const sheet = MEASURED_ENGINES[1].sheet;
    const { aspiration: _left, ...engine } = sheet.engine as { aspiration?: string };
    const silent = buildOfEngine({ ...sheet, engine });
    expect(silent.ok ? [] : silent.problems.map(({ path }) => path)).toEqual(['engine.aspiration']);
    const build = buildOfEngine(sheet);
    if (!build.ok) throw new Error('sheet');
    expect(resolveBuild(build.build).car.facts).toMatchObject({ aspiration: 'natural', fuelInjection: 'direct' });
  });
});

describe('any engine', () => {
  const engines = fc.record({
    natural: fc.boolean(),
    cylinders: fc.integer({ min: 1, max: 8 }),
    cylinderCm3: fc.integer({ min: 200, max: 900 }),
    boreOverStroke: fc.double({ min: 0.7, max: 1.3, noNaN: true }),
    ratio: fc.double({ min: 7, max: 15, noNaN: true }),
    valves: fc.constantFrom(2, 3, 4, 5),
    layout: fc.constantFrom('inline', 'vee', 'flat'),
    camPhasing: fc.constantFrom('none', 'intake', 'both'),
    fuel: fc.constantFrom('petrol', 'methanol'),
  });
  const resolved = (e: typeof engines extends fc.Arbitrary<infer E> ? E : never) => {
    const strokeMm = 10 * ((4 * e.cylinderCm3) / (Math.PI * e.boreOverStroke ** 2)) ** (1 / 3);
    const known = (value: number, unit: string) => ({ value, unit, source: 'data-sheet' });
    return engineOf({
      schema: 'boostwright.engine/1',
      name: 'drawn',
      engine: {
        cylinders: e.cylinders,
        layout: e.layout,
        displacement: known(e.cylinders * e.cylinderCm3, 'cm3'),
        bore: known(e.boreOverStroke * strokeMm, 'mm'),
        stroke: known(strokeMm, 'mm'),
        compressionRatio: known(e.ratio, '1'),
        valvesPerCylinder: e.valves,
        camPhasing: e.camPhasing,
        aspiration: e.natural ? 'natural' : 'turbocharged',
      },
      fuel: { kind: e.fuel },
    });
  };

  it('gives finite numbers or a typed reason, and takes more fuel for more torque', () => {
    fc.assert(
      fc.property(engines, fc.double({ min: 900, max: 7000, noNaN: true }), (engine, rpm) => {
        const build = resolved(engine);
        const speed = loadSpeed(build.car, loadNumbersOf(build), DAY, rpm);
        expect(Number.isFinite(speed.full.torqueNm)).toBe(true);
        let before = 0;
        for (const share of [0.1, 0.25, 0.4, 0.55, 0.7, 0.85, 0.97, 1.2]) {
          const result = speed.at(share * speed.full.torqueNm);
          if (!result.ok) {
            expect(result.problem.says.length).toBeGreaterThan(10);
            continue;
          }
          for (const value of Object.values(result.point)) {
            if (typeof value === 'number') expect(Number.isFinite(value)).toBe(true);
          }
          expect(result.point.fuelFlowKgPerS).toBeGreaterThan(before);
          before = result.point.fuelFlowKgPerS;
        }
        expect(speed.at(0.5 * speed.full.torqueNm).ok).toBe(true);
        expect(speed.at(1.2 * speed.full.torqueNm + 1).ok).toBe(false);
      }),
      { numRuns: 150 },
    );
  });
});

describe('bands', () => {
  it('are the same for the same seed, in order, and hold the best estimate', () => {
    const grid = { engineSpeedsRpm: [2000, 3500], torquesNm: [60, 120, 600] };
    const map = loadMapWithBands(demoCar('otter-as-driven'), DAY, grid, { samples: 48 });
    expect(loadMapWithBands(demoCar('otter-as-driven'), DAY, grid, { samples: 48 })).toEqual(map);
    expect(map.points.length).toBe(4);
    expect(map.problems.map(({ reason }) => reason)).toEqual(['torque beyond full load', 'torque beyond full load']);
    for (const point of map.points) {
      const own = pointOf(loadPoint(demoCar('otter-as-driven'), DAY, point.engineSpeedRpm, point.torqueNm));
      const { p10, p50, p90 } = point.fuelFlowKgPerS;
      expect(p10).toBeLessThan(p50);
      expect(p50).toBeLessThan(p90);
      expect(own.fuelFlowKgPerS).toBeGreaterThan(p10);
      expect(own.fuelFlowKgPerS).toBeLessThan(p90);
      expect(point.reachedBy).toBe(1);
    }
  });
});
