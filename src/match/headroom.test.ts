import { describe, expect, it } from 'vitest';
import type { ResolvedBuild } from '../car/index.ts';
import { DAY, demoCar } from './fixtures.testing.ts';
import { headroomOf } from './headroom.ts';
import {
  combineSamples,
  ledgerContext,
  ledgerSample,
  ledgerShard,
  mapDrawing,
  matchCar,
  partCurves,
  partsOf,
} from './index.ts';
import { idleOpenTimeS, tyreForces } from './parts/index.ts';

const wren = demoCar('wren-as-driven');
const context = ledgerContext(wren, DAY);

/** The car with timing that somebody typed, the same at all engine speeds. */
const timedAt = (resolved: ResolvedBuild, sparkAdvanceDeg: number): ResolvedBuild['car'] => ({
  ...resolved.car,
  curves: { ...resolved.car.curves, sparkAdvance: { at: [1000, 7000], values: [sparkAdvanceDeg, sparkAdvanceDeg] } },
});

describe('the row of knock', () => {
  const knockRowOf = (car: ResolvedBuild['car']) => {
    const index = partsOf(car, context.typed).findIndex((row) => row.part === 'knock');
    return ledgerSample(car, context).parts[index]!;
  };

  it('is there only with timing that somebody typed: estimated timing is never past its own estimate', () => {
    expect(partsOf(wren.car, context.typed).some((row) => row.part === 'knock')).toBe(false);
    const rows = partsOf(timedAt(wren, 12), context.typed);
    expect(rows.find((row) => row.part === 'knock')?.counts).toBe(false);
    const learned = partsOf(timedAt(wren, 12), new Set([...context.typed, 'learned.knockLimit']));
    expect(learned.find((row) => row.part === 'knock')?.counts).toBe(true);
  });

  it('is used up where the timing stands at the borderline, and the more the earlier and the lower the octane', () => {
    const limits = matchCar(timedAt(wren, 12), DAY).points.map((point) => 12 + (point.knockMarginDeg ?? Number.NaN));
    const least = Math.min(...limits);
    // Another timing moves air and heat a little, and the limit with them: a fortieth of the use.
    expect(knockRowOf(timedAt(wren, least)).utilisation).toBeCloseTo(1, 1);
    const uses = [least - 6, least - 2, least + 2, least + 6].map((deg) => knockRowOf(timedAt(wren, deg)).utilisation);
    expect(uses).toEqual([...uses].sort((a, b) => a - b));
    expect(uses[0]).toBeLessThan(0.85);
    expect(uses[3]).toBeGreaterThan(1.15);
    const timed = timedAt(wren, least);
    const better = { ...timed, fuel: { ...timed.fuel, researchOctane: timed.fuel.researchOctane + 5 } };
    expect(knockRowOf(better).utilisation).toBeLessThan(0.95);
  });

  it('names the boost at which a timing with some margin is at the borderline', () => {
    const found = knockRowOf(timedAt(wren, 4));
    if (found.boostAtLimitPa === null) throw new Error('4 degrees bear any boost');
    expect(found.utilisation).toBeLessThan(1);
    expect(found.boostAtLimitPa).toBeGreaterThan(ledgerSample(timedAt(wren, 4), context).boostPa);
  });
});

describe('a compressor that surges only below the engine speeds between shifts', () => {
  const otter = demoCar('otter-as-driven');
  const ledger = headroomOf(otter, DAY, { samples: 32 });
  const surge = ledger.parts.find((row) => row.part === 'compressor surge');

  it('says at which boost, but ends no power: a lower target down there keeps it', () => {
    expect(surge?.worstEngineSpeedRpm).toBeLessThan(3000);
    expect(surge?.boostAtLimitPa?.p50).toBeGreaterThan(50e3);
    expect(surge?.powerAtLimitW).toBe(undefined);
    expect(surge?.chanceFirst).toBe(0);
  });

  it('ends the power where it surges between shifts', () => {
    const car = { ...otter.car, compressorSurgeScale: 2.5 };
    const row = ledgerSample(car, ledgerContext(otter, DAY)).parts[
      partsOf(car, new Set()).findIndex(({ part }) => part === 'compressor surge')
    ];
    expect(row?.powerAtLimitW).toBeGreaterThan(0);
  });
});

describe('the ledger', () => {
  const ledger = headroomOf(wren, DAY, { samples: 48 });
  const part = (name: string) => {
    const found = ledger.parts.find((row) => row.part === name);
    if (!found) throw new Error(`no row ${name}`);
    return found;
  };

  it('is sorted by the power at which each part gives out, those that do not last', () => {
    const powers = ledger.parts.map((row) => row.powerAtLimitW?.p50 ?? Number.POSITIVE_INFINITY);
    expect(powers).toEqual([...powers].sort((a, b) => a - b));
    expect(Number.isFinite(powers[0])).toBe(true);
  });

  it('gives chances that add up to no more than one, and every row something to do', () => {
    const sum = ledger.parts.reduce((total, row) => total + row.chanceFirst, 0);
    expect(sum).toBeGreaterThan(0.5);
    expect(sum).toBeLessThanOrEqual(1 + 1e-9);
    for (const row of ledger.parts) {
      expect(row.lift.length).toBeGreaterThan(0);
      expect(row.utilisation.p10).toBeLessThanOrEqual(row.utilisation.p90);
    }
  });

  it('names the injectors first for a car whose injectors are nearly open all the time', () => {
    expect(ledger.parts[0]?.part).toBe('injectors');
    expect(part('injectors').chanceFirst).toBeGreaterThan(0.6);
    expect(part('injectors').utilisation.p50).toBeGreaterThan(0.8);
  });

  it('solves for the limit: at the boost it names, the part is at its limit', () => {
    const best = ledgerSample(wren.car, context);
    const rows = partsOf(wren.car, context.typed);
    const index = rows.findIndex((row) => row.part === 'injectors');
    const { levelAtLimit, powerAtLimitW } = best.parts[index]!;
    if (levelAtLimit === null || powerAtLimitW === null) throw new Error('injectors do not reach their limit');
    const target =
      Math.max(...wren.car.curves.boostTarget.values) - (wren.car.curves.boostIsGauge ? 0 : DAY.ambientPressurePa);
    const at = matchCar(wren.car, DAY, {
      boostTargetOffsetPa: (levelAtLimit - 1) * target,
      engineSpeedsRpm: partCurves(wren.car, context)[0]!.engineSpeedRpm,
    });
    const use = Math.max(...at.points.map((point) => rows[index]!.load(point, wren.car, DAY).utilisation));
    expect(use).toBeCloseTo(1, 1.5);
    expect(Math.max(...at.points.map((point) => point.powerW)) / powerAtLimitW).toBeCloseTo(1, 1.7);
  });

  it('comes out the same however the samples are shared between workers', () => {
    const share = (from: number, to: number) => ledgerShard(wren, DAY, { samples: 16, seed: 5, from, to });
    const whole = combineSamples(wren, DAY, share(0, 16), { seed: 5 });
    const parts = combineSamples(wren, DAY, [...share(0, 7), ...share(7, 16)], { seed: 5 });
    expect(parts).toEqual(whole);
    expect(headroomOf(wren, DAY, { samples: 16, seed: 5 })).toEqual(whole);
  });

  it('lists usual figures nobody typed without letting them decide', () => {
    const row = part('turbine temperature');
    expect(row.chanceFirst).toBe(0);
    expect(row.powerAtLimitW).toBeUndefined();
    const typed: ResolvedBuild = {
      ...wren,
      quantities: {
        ...wren.quantities,
        'turbocharger.turbineInletTemperatureLimit': {
          ...wren.quantities['turbocharger.turbineInletTemperatureLimit']!,
          estimated: false,
        },
      },
    };
    const counted = partsOf(typed.car, ledgerContext(typed, DAY).typed).find(
      (one) => one.part === 'turbine temperature',
    );
    expect(counted?.counts).toBe(true);
  });

  it('moves a limit up when its part is made larger, and leaves the others', () => {
    const larger = {
      ...wren.car,
      fuelSystem: { ...wren.car.fuelSystem, injectorFlowM3PerS: 1.5 * wren.car.fuelSystem.injectorFlowM3PerS },
    };
    const rows = partsOf(wren.car, context.typed);
    const [before, after] = [ledgerSample(wren.car, context), ledgerSample(larger, context)];
    const use = (sample: typeof before, name: string) =>
      sample.parts[rows.findIndex((row) => row.part === name)]!.utilisation;
    expect(use(after, 'injectors')).toBeLessThan(0.75 * use(before, 'injectors'));
    expect(use(after, 'compressor choke')).toBeCloseTo(use(before, 'compressor choke'), 6);
    expect(use(after, 'injectors at idle')).toBeGreaterThan(use(before, 'injectors at idle'));
  });
});

describe('parts by hand', () => {
  it('tyres: a front-driven car loses grip as load goes to the rear (equilibrium, Gillespie ch. 2)', () => {
    const { car } = wren;
    const still = tyreForces(car, 0, car.facts.gearRatios[0]!);
    const weight = car.body.massKg * 9.80665;
    expect(still.gripN).toBeCloseTo(car.tyres.grip * car.body.drivenAxleLoad * weight, 3);
    const pulling = tyreForces(car, 250, car.facts.gearRatios[0]!);
    const force =
      (250 * car.facts.gearRatios[0]! * car.driveline.finalDrive * car.driveline.efficiency) / car.tyres.rollingRadiusM;
    expect(pulling.forceN).toBeCloseTo(force, 6);
    expect(car.facts.driven === 'front' ? pulling.gripN < still.gripN : pulling.gripN >= still.gripN).toBe(true);
  });

  it('idle pulse: a 1.6 needs 1.5 to 6 mg of petrol per injection (common practice: 0.5 to 0.8 kg/h at warm idle)', () => {
    const { car } = wren;
    const seconds = idleOpenTimeS(car);
    const perHour =
      (seconds *
        car.fuelSystem.injectorFlowM3PerS *
        car.fuel.densityKgPerM3 *
        car.facts.injectorCount *
        car.engine.idleSpeedRpm *
        60) /
      2;
    expect(perHour).toBeGreaterThan(0.3);
    expect(perHour).toBeLessThan(1);
  });
});

describe('the drawn map', () => {
  it('has speed lines from surge to choke, and the typed points beside them', () => {
    const drawing = mapDrawing(wren.car);
    expect(drawing.estimated).toBe(false);
    expect(drawing.speedLines.length).toBe(wren.car.compressorMap?.lines.length);
    expect(drawing.points.length).toBe(drawing.fit.points);
    drawing.speedLines.forEach((line, index) => {
      expect(line.correctedFlowKgPerS[0]).toBeCloseTo(drawing.surgeLine.correctedFlowKgPerS[index]!, 9);
      expect([...line.pressureRatio].sort((a, b) => b - a)).toEqual(line.pressureRatio);
      expect(Math.min(...line.pressureRatio)).toBeGreaterThanOrEqual(1);
    });
    expect(mapDrawing(demoCar('wren-dozen-numbers').car).estimated).toBe(true);
  });
});
