import { describe, expect, it } from 'vitest';
import { demoBuild } from '../findings/base-drive.ts';
import { dayOf } from './day.ts';
import { partReadings } from './engine-readings.ts';
import { airByFuel, fuelFlowByInjectors, injectorOpenShare } from './fuel.ts';
import { NO_ERRORS } from './log-errors.ts';
import { partSeries } from './part-series.ts';
import { powerDrive } from './power-drive.testing.ts';

describe('injector open share', () => {
  it('IN-04: 14.0 ms at 7000 rpm is 81.67 % of the cycle, so without dead time that is the open share (definition)', () => {
    expect(injectorOpenShare(14e-3, 0, 120 / 7000)).toBeCloseTo(0.8167, 4);
  });

  it('IN-06: 41.0 mg of 745 kg/m3 through 1000 cm3/min with 0.90 ms dead time comes from a 4.202 ms pulse', () => {
    const period = 120 / 3000;
    const flowKgPerS = (1000e-6 / 60) * 745;
    const perCycleKg = injectorOpenShare(4.202e-3, 0.9e-3, period) * flowKgPerS * period;
    expect(perCycleKg * 1e6).toBeCloseTo(41.0, 1);
  });

  it('runs into the open injector without a step', () => {
    const period = 0.02;
    expect(injectorOpenShare(period, 1e-3, period)).toBe(1);
    expect(injectorOpenShare(period - 1e-6, 1e-3, period)).toBeCloseTo(1, 3);
    const before = injectorOpenShare(period - 1.5e-3 - 1e-6, 1e-3, period);
    const after = injectorOpenShare(period - 1.5e-3 + 1e-6, 1e-3, period);
    expect(after - before).toBeLessThan(2e-3);
  });
});

describe('fuel and air of a part', () => {
  const resolved = demoBuild();
  const { car } = resolved;
  const drive = powerDrive(car);
  const day = dayOf(drive.log);
  const series = partSeries({ log: drive.log, car, doubted: new Set() }, drive.log.pulls[0]!.parts[0]!);
  if (typeof series === 'string') throw new Error(series);
  const readings = partReadings(car, series, day);

  it('IN-01: flow goes with the root of the rail pressure over the injector', () => {
    const higher = {
      ...readings,
      series: {
        ...series,
        fuelPressureGaugePa: series.fuelPressureGaugePa!.map((p) => p + car.fuelSystem.railPressurePa / 3),
      },
    };
    const [before, after] = [readings, higher].map((some) => fuelFlowByInjectors(some, car, NO_ERRORS)[30]!);
    // 400 kPa for 300 kPa: 635.1 for 550 cm3/min.
    expect(after! / before!).toBeCloseTo(635.1 / 550, 4);
  });

  it('SD-04: lambda times stoichiometric ratio turns the fuel back into the air (definition)', () => {
    const fuel = fuelFlowByInjectors(readings, car, NO_ERRORS);
    const air = airByFuel(readings, car, NO_ERRORS);
    const i = 30;
    const ratio = (air[i]! * day.dryShare) / fuel[i]!;
    expect(ratio).toBeCloseTo(readings.lambda[i]! * car.fuel.stoichiometricAirFuelRatio, 6);
    // The row itself: 206.7 g/s at lambda 0.80 and 14.60 is 17.697 g/s.
    expect(17.697 * 0.8 * 14.6).toBeCloseTo(206.7, 1);
  });

  it('counts injected methanol as fuel', () => {
    const mixed = {
      ...readings,
      series: { ...series, injectionFlowM3PerS: series.timesS.map(() => 5e-6) },
    };
    const [without, withIt] = [readings, mixed].map((some) => airByFuel(some, car, NO_ERRORS)[30]!);
    // 5 cm3/s of 44 % by mass methanol at 0.93 g/cm3 burns about 2.05 g/s x 6.47 of air at stoichiometric (WM-01, FC-03).
    const methanolKgPerS = 5e-6 * 927 * car.injection.methanolMassFraction;
    const expected = (readings.lambda[30]! * methanolKgPerS * 6.474) / day.dryShare;
    expect((withIt! - without!) / expected).toBeGreaterThan(0.98);
    expect((withIt! - without!) / expected).toBeLessThan(1.02);
  });
});
