import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Car, withSample } from '../car/index.ts';
import {
  compressorPressureRatio,
  correctedMassFlowKgPerS,
  moistAir,
  residualFillingFactor,
  speedDensityAirFlowKgPerS,
} from '../physics/index.ts';
import { ACCESSORY_POWER_W, balanceAt, brakePowerW, exhaustEnthalpyW } from './balance.ts';
import { DAY, demoCar } from './fixtures.testing.ts';
import { matchCar, STANDARD_CONDITIONS, usualEngineSpeedsRpm } from './index.ts';
import { prepare } from './prepare.ts';
import { powerFromState, predictAt, solverAt } from './steady.ts';
import type { MatchPoint } from './types.ts';

const BUILDS = ['wren-as-driven', 'wren-dozen-numbers', 'otter-as-driven', 'otter-larger-compressor'] as const;

const changed = (car: Car, change: (copy: { -readonly [K in keyof Car]: Car[K] }) => void): Car => {
  const copy = structuredClone(car) as { -readonly [K in keyof Car]: Car[K] };
  // The fitted map is remembered by the map's identity.
  copy.compressorMap = car.compressorMap;
  change(copy);
  return copy;
};

const everyNumberFinite = (point: MatchPoint) => {
  for (const [key, value] of Object.entries(point)) {
    if (typeof value === 'number') expect(Number.isFinite(value), key).toBe(true);
  }
};

describe.each(BUILDS)('the match of %s', (name) => {
  const { car } = demoCar(name);
  const prepared = prepare(car, DAY);
  const { points, problems } = matchCar(car, DAY);

  it('solves all engine speeds with finite numbers', () => {
    expect(points.length).toBe(60);
    expect(problems.filter(({ reason }) => reason === 'no balance found')).toEqual([]);
    points.forEach(everyNumberFinite);
  });

  it('closes mass and shaft to 0.1 % and energy to 0.1 % at every point', () => {
    for (const rpm of usualEngineSpeedsRpm(car, 15)) {
      const solver = solverAt(prepared, rpm);
      for (const pm of [95e3, 130e3, 180e3, 230e3]) {
        const b = balanceAt(solver, pm, 'shaft balance', 0);
        expect(b.converged).toBe(true);
        // Mass: air, fuel and injected liquid leave as exhaust, through turbine and wastegate.
        const into = b.airFlowKgPerS + b.fuelFlowKgPerS + b.injectionFlowKgPerS;
        expect(b.exhaustFlowKgPerS / into).toBeCloseTo(1, 4);
        const out = b.turbineFlowKgPerS + b.wastegateOpening * b.wastegateCapacityKgPerS;
        if (b.wastegateCapacityKgPerS > 1e-6) expect(Math.abs(out / into - 1)).toBeLessThan(1e-3);
        // Shaft: turbine power times bearings is compressor power.
        if (b.compressorPowerW > 100) {
          const given = b.turbinePowerW * car.turbocharger.mechanicalEfficiency;
          expect(Math.abs(given / b.compressorPowerW - 1)).toBeLessThan(1e-3);
        }
        // Energy of the cylinders: what comes in leaves as work, as heat to the walls or with the exhaust.
        const unburned = b.lambda < 1 ? b.fuelFlowKgPerS * (1 - b.lambda) * car.fuel.latentHeatJPerKg : 0;
        const liquid = (b.injectionFlowKgPerS - b.evaporatedFlowKgPerS) * prepared.mixLatentJPerKg;
        const inflow =
          b.airFlowKgPerS * prepared.airSpecificHeat * (b.chargeTemperatureK - 298.15) + b.heatW + b.pumpingPowerW;
        const outflow = b.indicatedPowerW + b.wallHeatW + exhaustEnthalpyW(prepared, b) + unburned + liquid;
        expect(Math.abs(outflow / inflow - 1)).toBeLessThan(1e-3);
      }
    }
  });

  it('closes the two ways of solving on each other: the opening found leaves no surplus', () => {
    for (const rpm of [3500, 5500]) {
      const solver = solverAt(prepared, rpm);
      const opening = balanceAt(solver, 190e3, 'shaft balance', 0).wastegateOpening;
      if (opening < 0) continue;
      const again = balanceAt(solver, 190e3, 'opening', opening);
      expect(Math.abs(again.surplusPowerW)).toBeLessThan(2e-3 * again.compressorPowerW);
    }
  });

  it('agrees with the textbook relations at its own answers: SD (speed-density), CF (corrected flow), CT-05 (pressure ratio), filling', () => {
    const air = moistAir(DAY.ambientPressurePa, DAY.ambientTemperatureK, DAY.relativeHumidity);
    if (!air.ok) throw new Error(air.reason.says);
    for (const point of points.filter((_, index) => index % 10 === 5)) {
      const flow = speedDensityAirFlowKgPerS(
        point.volumetricEfficiency,
        car.engine.displacementM3,
        point.engineSpeedRpm,
        point.manifoldPressurePa,
        point.chargeTemperatureK,
        air.value.gasConstantJPerKgK,
      );
      expect(point.airFlowKgPerS / flow).toBeCloseTo(1, 4);
      const { surface } = prepared;
      const corrected = correctedMassFlowKgPerS(
        point.airFlowKgPerS,
        point.compressorInletTemperatureK,
        point.compressorInletPressurePa,
        { temperatureK: surface.referenceTemperatureK, pressurePa: surface.referencePressurePa },
      );
      expect(point.compressorCorrectedFlowKgPerS / corrected).toBeCloseTo(1, 6);
      const ratio = compressorPressureRatio(
        point.manifoldPressurePa,
        point.compressorOutletPressurePa - point.manifoldPressurePa,
        DAY.ambientPressurePa,
        DAY.ambientPressurePa - point.compressorInletPressurePa,
      );
      expect(point.compressorPressureRatio / ratio).toBeCloseTo(1, 6);
      const full = residualFillingFactor(
        car.engine.compressionRatio,
        point.exhaustPressurePa / point.manifoldPressurePa,
      );
      expect(full).toBeGreaterThan(0.9);
      const torque = point.powerW / ((2 * Math.PI * point.engineSpeedRpm) / 60);
      expect(point.torqueNm).toBeCloseTo(torque, 6);
    }
  });

  it('gives figures a careful engineer would expect of such a car (ranges common practice, no source)', () => {
    const held = points.filter((point) => point.case === 'boost held');
    expect(held.length).toBeGreaterThan(20);
    for (const point of held) {
      expect(point.volumetricEfficiency).toBeGreaterThan(0.7);
      expect(point.exhaustTemperatureK).toBeGreaterThan(273 + 650);
      expect(point.exhaustTemperatureK).toBeLessThan(273 + 1050);
      expect(point.peakCylinderPressurePa).toBeGreaterThan(50e5);
      expect(point.peakCylinderPressurePa).toBeLessThan(140e5);
      // Brake specific consumption of rich boosted petrol engines, 260 to 420 g/kWh.
      // Injected methanol counts by its heat.
      const methanol = (point.injectionFlowKgPerS * car.injection.methanolMassFraction * 19.94) / 42.9;
      const consumption = ((point.fuelFlowKgPerS + methanol) / point.powerW) * 3.6e9;
      expect(consumption).toBeGreaterThan(240);
      expect(consumption).toBeLessThan(430);
    }
  });

  it('gives the whole point back from its own state', () => {
    for (const point of points.filter((candidate, index) => candidate.case === 'boost held' && index % 8 === 0)) {
      const again = predictAt(
        car,
        { engineSpeedRpm: point.engineSpeedRpm, manifoldPressurePa: point.manifoldPressurePa },
        DAY,
      );
      expect(again?.powerW ?? 0).toBeCloseTo(point.powerW, -1.5);
      const logged = powerFromState(
        car,
        {
          engineSpeedRpm: point.engineSpeedRpm,
          manifoldPressurePa: point.manifoldPressurePa,
          chargeTemperatureK: point.chargeTemperatureK,
          lambda: point.lambda,
          sparkAdvanceDeg: point.sparkAdvanceDeg,
          exhaustPressurePa: point.exhaustPressurePa,
        },
        DAY,
      );
      expect((logged ?? 0) / point.powerW).toBeCloseTo(1, 3);
    }
  });
});

describe('how answers move', () => {
  const { car } = demoCar('wren-as-driven');
  const speeds = [3000, 4500, 6000];
  const at = (of: Car, conditions = DAY, offset = 0) =>
    matchCar(of, conditions, { engineSpeedsRpm: speeds, boostTargetOffsetPa: offset }).points;

  it('more boost, more air and hotter charge', () => {
    let before = at(car, DAY, -25e3);
    for (const offset of [-10e3, 10e3, 25e3]) {
      const now = at(car, DAY, offset);
      now.forEach((point, index) => {
        expect(point.airFlowKgPerS).toBeGreaterThan(before[index]!.airFlowKgPerS);
        expect(point.compressorOutletTemperatureK).toBeGreaterThan(before[index]!.compressorOutletTemperatureK);
        expect(point.shaftSpeedRpm).toBeGreaterThan(before[index]!.shaftSpeedRpm);
      });
      before = now;
    }
  });

  it('hotter air outside, less power; thinner air at the same boost target, less power', () => {
    const hot = at(car, { ...DAY, ambientTemperatureK: 313.15 });
    const high = at(
      changed(car, (copy) =>
        Object.assign(copy, {
          curves: { ...car.curves, boostIsGauge: true, boostTarget: { at: [0], values: [80e3] } },
        }),
      ),
      {
        ...DAY,
        ambientPressurePa: 84e3,
      },
    );
    const low = at(
      changed(car, (copy) =>
        Object.assign(copy, {
          curves: { ...car.curves, boostIsGauge: true, boostTarget: { at: [0], values: [80e3] } },
        }),
      ),
    );
    at(car).forEach((point, index) => {
      expect(hot[index]!.powerW).toBeLessThan(point.powerW);
      expect(high[index]!.powerW).toBeLessThan(low[index]!.powerW);
    });
  });

  it('a better charge cooler, a better compressor or a higher octane, more power', () => {
    const better = [
      changed(car, (copy) =>
        Object.assign(copy, { curves: { ...car.curves, effectiveness: { at: [0], values: [0.9] } } }),
      ),
      changed(car, (copy) => Object.assign(copy, { compressorEfficiencyScale: 1.06 })),
      changed(car, (copy) => Object.assign(copy.fuel, { researchOctane: car.fuel.researchOctane + 5 })),
    ];
    const now = at(car);
    for (const other of better)
      at(other).forEach((point, index) => {
        expect(point.powerW).toBeGreaterThan(now[index]!.powerW);
      });
  });

  it('humid air brings less oxygen: less power', () => {
    const damp = at(car, { ...DAY, ambientTemperatureK: 308.15, relativeHumidity: 0.9 });
    const dry = at(car, { ...DAY, ambientTemperatureK: 308.15, relativeHumidity: 0.1 });
    damp.forEach((point, index) => {
      expect(point.powerW).toBeLessThan(dry[index]!.powerW);
    });
  });

  it('the core of the charge cooler warms when full throttle is held', () => {
    const held = matchCar(car, DAY, { engineSpeedsRpm: speeds, sustained: true }).points;
    at(car).forEach((point, index) => {
      expect(held[index]!.chargeTemperatureK).toBeGreaterThan(point.chargeTemperatureK);
    });
  });
});

describe('the three cases and what is wrong', () => {
  const { car } = demoCar('wren-as-driven');

  it('holds the target where it can, within 0.2 kPa', () => {
    for (const point of matchCar(car, DAY).points) {
      if (point.case === 'boost held') expect(Math.abs(point.boostPa - point.boostTargetPa)).toBeLessThan(200);
      if (point.case === 'wastegate shut') expect(point.boostPa).toBeLessThan(point.boostTargetPa + 200);
      if (point.case === 'wastegate open') expect(point.boostPa).toBeGreaterThan(point.boostTargetPa - 200);
    }
  });

  it('creeps over the target with a small wastegate, and says so', () => {
    const small = changed(car, (copy) => {
      copy.turbocharger = { ...car.turbocharger, wastegateAreaM2: 0.5 * car.turbocharger.wastegateAreaM2 };
    });
    const { points, problems } = matchCar(small, DAY, { boostTargetPa: 70e3 });
    const open = points.filter((point) => point.case === 'wastegate open');
    expect(open.length).toBeGreaterThan(10);
    expect(problems.some(({ reason }) => reason === 'wastegate cannot hold the target')).toBe(true);
    expect(Math.max(...open.map((point) => point.boostPa))).toBeGreaterThan(80e3);
  });

  it('comes up later with a larger turbine', () => {
    const threshold = (of: Car) =>
      matchCar(of, DAY).points.find((point) => point.case === 'boost held')?.engineSpeedRpm ?? 0;
    const larger = changed(car, (copy) => {
      copy.turbocharger = {
        ...car.turbocharger,
        turbineEffectiveAreaM2: 1.3 * car.turbocharger.turbineEffectiveAreaM2,
      };
    });
    expect(threshold(larger)).toBeGreaterThan(threshold(car) + 300);
  });

  it('names a choked compressor, static injectors and a weak pump', () => {
    const reasons = (of: Car, target: number) =>
      new Set(matchCar(of, DAY, { boostTargetPa: target }).problems.map(({ reason }) => reason));
    const far = reasons(car, 260e3);
    expect(far.has('outside the map') || far.has('compressor choked')).toBe(true);
    const starved = changed(car, (copy) => {
      copy.fuelSystem = {
        ...car.fuelSystem,
        injectorFlowM3PerS: 0.7 * car.fuelSystem.injectorFlowM3PerS,
        pumpFlowM3PerS: 0.4 * car.fuelSystem.pumpFlowM3PerS,
      };
    });
    const lean = reasons(starved, 100e3);
    expect(lean.has('injectors static')).toBe(true);
    expect(lean.has('pump cannot hold the rail pressure')).toBe(true);
  });

  it('gives a knock margin only where timing was typed', () => {
    expect(matchCar(car, DAY).points[30]!.knockMarginDeg).toBeNull();
    const typed = changed(car, (copy) => {
      copy.curves = { ...car.curves, sparkAdvance: { at: [0, 7000], values: [8, 14] } };
    });
    const point = matchCar(typed, DAY).points[30]!;
    expect(typeof point.knockMarginDeg).toBe('number');
    expect(point.sparkAdvanceDeg).toBeGreaterThan(8);
  });
});

describe('whatever is on the sheet', () => {
  it('random cars within four plus-minus of each number, in any weather, give finite points', () => {
    const cars = BUILDS.map(demoCar);
    fc.assert(
      fc.property(
        fc.nat({ max: BUILDS.length - 1 }),
        fc.array(fc.double({ min: -4, max: 4, noNaN: true }), { minLength: 140, maxLength: 140 }),
        fc.double({ min: 60e3, max: 105e3, noNaN: true }),
        fc.double({ min: 250, max: 322, noNaN: true }),
        fc.double({ min: 0, max: 1, noNaN: true }),
        fc.double({ min: -150e3, max: 300e3, noNaN: true }),
        (which, z, ambientPressurePa, ambientTemperatureK, relativeHumidity, boostTargetOffsetPa) => {
          const car = withSample(cars[which]!, z);
          const { points, problems } = matchCar(
            car,
            { ambientPressurePa, ambientTemperatureK, relativeHumidity },
            { engineSpeedsRpm: [900, 2000, 3500, 5000, 7000, 9000], boostTargetOffsetPa },
          );
          points.forEach(everyNumberFinite);
          expect(
            points.length + problems.filter(({ reason }) => reason === 'no balance found').length,
          ).toBeGreaterThanOrEqual(6);
        },
      ),
      { seed: 4, numRuns: 150 },
    );
  });

  it('takes ISO 2533 air when nothing else is known', () => {
    expect(STANDARD_CONDITIONS).toEqual({
      ambientPressurePa: 101325,
      ambientTemperatureK: 288.15,
      relativeHumidity: 0,
    });
  });
});

describe('brake power', () => {
  it('is indicated less pumping, friction and accessories', () => {
    const { car } = demoCar('wren-as-driven');
    const solver = solverAt(prepare(car, DAY), 5000);
    const b = balanceAt(solver, 190e3, 'shaft balance', 0);
    const k = 5;
    const friction =
      (car.engine.frictionPressurePa +
        car.engine.frictionPerSpeedPa * k +
        car.engine.frictionPerSpeedSquaredPa * k * k) *
      ((car.engine.displacementM3 * 5000) / 120);
    const pumping = ((b.exhaustPressurePa - 190e3) * car.engine.displacementM3 * 5000) / 120;
    // FR-02: power of a mean effective pressure is mep Vd N / 2.
    expect(brakePowerW(b)).toBeCloseTo(b.indicatedPowerW - pumping - friction - ACCESSORY_POWER_W, 0);
  });
});

describe('an engine without a turbocharger', () => {
  it('is refused by its reason, with no made-up points', () => {
    const car = demoCar('otter-as-driven').car;
    const natural = { ...car, facts: { ...car.facts, aspiration: 'natural' as const } };
    const { points, problems } = matchCar(natural, DAY);
    expect(points).toEqual([]);
    expect(problems.map(({ reason }) => reason)).toEqual(['no turbocharger']);
  });
});
