/** Injection: its state, sizing and endurance, on the demo car that has it. */
import { describe, expect, it } from 'vitest';
import { withSample } from '../car/index.ts';
import { expectSolved } from '../physics/index.ts';
import { DAY, demoCar } from './fixtures.testing.ts';
import {
  compareNozzles,
  fittedWithNozzle,
  injectionStateAt,
  injectionWithBands,
  matchCar,
  nozzleForShare,
} from './index.ts';
import { pullUse } from './injection-endurance.ts';

const resolved = demoCar('otter-larger-compressor');
const { car } = resolved;
const SPEEDS = [3000, 4000, 5000, 6000];
const CM3_PER_MIN = 1e-6 / 60;
const points = matchCar(car, DAY, { engineSpeedsRpm: SPEEDS }).points;

describe('the mix at an engine speed', () => {
  it('flows by the square root of what the pump has over the boost (definition), and weighs its volume times its density', () => {
    for (const point of points) {
      const state = injectionStateAt(car, DAY, point);
      if (!state) continue;
      const push = (car.injection.pumpPressureGaugePa - point.boostPa) / car.injection.pumpPressureGaugePa;
      expect(state.injectionVolumeFlowM3PerS).toBeCloseTo(car.injection.nozzleFlowM3PerS * Math.sqrt(push), 12);
      // Mix of 44 % by mass at 20 degC: 927 kg/m3 (between WM-06 and WM-07).
      expect(state.injectionFlowKgPerS / state.injectionVolumeFlowM3PerS).toBeGreaterThan(915.7);
      expect(state.injectionFlowKgPerS / state.injectionVolumeFlowM3PerS).toBeLessThan(934.5);
    }
    expect(points.some((point) => injectionStateAt(car, DAY, point) !== null)).toBe(true);
  });
  it('air balance: fuel and methanol together need what lambda says; shares by mass and volume differ by the densities', () => {
    const state = injectionStateAt(car, DAY, points[points.length - 1]!);
    expect(state).not.toBe(null);
    if (!state) return;
    const point = points[points.length - 1]!;
    const methanolAir = state.injectionFlowKgPerS * car.injection.methanolMassFraction * 6.474;
    const all = point.fuelFlowKgPerS * car.fuel.stoichiometricAirFuelRatio + methanolAir;
    expect(state.shareOfMixture).toBeCloseTo(methanolAir / all, 4);
    expect(state.lambdaUncorrected).toBeCloseTo(point.lambda / (1 + state.shareOfMixture), 6);
    expect(state.shareOfFuelByMass / state.shareOfFuelByVolume).toBeGreaterThan(1.2);
    expect(state.chargeBeforeK).toBeGreaterThan(state.chargeAfterK);
    expect(state.coolingShare).toBeLessThanOrEqual(state.saturationShare + 0.06);
    expect(state.limit).toBe('time');
    // Methanol leaves first: it boils lower (CRC Handbook: 64.6 against 100 degC).
    expect(state.methanolEvaporated).toBeGreaterThan(state.waterEvaporated);
  });
});

describe('sizing', () => {
  it('a larger nozzle takes a larger share, cools more and wins timing at the knock limit', () => {
    const rows = compareNozzles(
      car,
      DAY,
      [150, 300, 600].map((n) => n * CM3_PER_MIN),
      { engineSpeedsRpm: [5000] },
    );
    const [small, middle, large] = rows.map(({ effects }) => effects[0]!);
    expect(small!.state.shareOfFuelByMass).toBeLessThan(middle!.state.shareOfFuelByMass);
    expect(middle!.state.shareOfFuelByMass).toBeLessThan(large!.state.shareOfFuelByMass);
    expect(large!.chargeTemperatureChangeK).toBeLessThan(small!.chargeTemperatureChangeK);
    expect(small!.chargeTemperatureChangeK).toBeLessThan(0);
    expect(large!.knockGainDeg).toBeGreaterThan(0);
    expect(large!.knockGainDeg).toBeGreaterThan(small!.knockGainDeg);
  });
  it('finds the nozzle for a share by mass and by volume again', () => {
    for (const by of ['mass', 'volume'] as const) {
      const nozzle = expectSolved(nozzleForShare(car, DAY, { share: 0.2, by, engineSpeedRpm: 5000 }));
      const [row] = compareNozzles(car, DAY, [nozzle], { engineSpeedsRpm: [5000] });
      const state = row!.effects[0]!.state;
      expect(by === 'mass' ? state.shareOfFuelByMass : state.shareOfFuelByVolume).toBeCloseTo(0.2, 3);
    }
  });
  it('says why there is none', () => {
    expect(nozzleForShare(car, DAY, { share: 0.2, by: 'mass', engineSpeedRpm: 1500 })).toMatchObject({
      ok: false,
      reason: { code: 'nothing-injected' },
    });
    expect(nozzleForShare(car, DAY, { share: 0, by: 'mass', engineSpeedRpm: 5000 })).toMatchObject({ ok: false });
    expect(fittedWithNozzle(car, 0, false).facts.hasInjection).toBe(false);
  });
});

describe('endurance', () => {
  it('a pull uses flow times time: within the least and the most flow of its points', () => {
    const use = pullUse(car, DAY, points);
    expect(use.timeS).toBeGreaterThan(2);
    expect(use.timeS).toBeLessThan(20);
    expect(use.volumeM3).toBeLessThanOrEqual(use.mostM3PerS * use.timeS);
    expect(use.volumeM3).toBeGreaterThan(0.3 * use.mostM3PerS * use.timeS);
    const still = pullUse(
      fittedWithNozzle(car, 0, false),
      DAY,
      matchCar(fittedWithNozzle(car, 0, false), DAY, { engineSpeedsRpm: SPEEDS }).points,
    );
    expect(still.volumeM3).toBe(0);
  });
  it('has bands that hold the middle car, the same every time', () => {
    const options = { engineSpeedsRpm: SPEEDS, samples: 24, seed: 1 };
    const one = injectionWithBands(resolved, DAY, options);
    expect(injectionWithBands(resolved, DAY, options)).toEqual(one);
    const pulls = car.injection.tankVolumeM3 / pullUse(car, DAY, points).volumeM3;
    expect(one.pulls!.p10).toBeLessThan(pulls);
    expect(one.pulls!.p90).toBeGreaterThan(pulls);
    expect(one.fullBoostS!.p50 / 60).toBeGreaterThan(5);
    expect(one.points.length).toBeGreaterThan(1);
    for (const point of one.points) expect(point.coolingShare.p10).toBeLessThan(point.coolingShare.p90);
  });
  it('no sample of the inputs gives a share outside 0 and 1', () => {
    for (const step of [-3, 3]) {
      const moved = withSample(
        resolved,
        resolved.inputs.map(({ path }) => (path.startsWith('injection.') ? step : 0)),
      );
      for (const point of matchCar(moved, DAY, { engineSpeedsRpm: [4500] }).points) {
        const state = injectionStateAt(moved, DAY, point);
        if (!state) continue;
        expect(state.coolingShare).toBeGreaterThanOrEqual(0);
        expect(state.coolingShare).toBeLessThanOrEqual(1);
      }
    }
  });
});
