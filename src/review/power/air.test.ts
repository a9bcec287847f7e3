import { describe, expect, it } from 'vitest';
import type { Car } from '../../car/index.ts';
import { expectSolved, turbineAreaFromFlowM2 } from '../../physics/index.ts';
import { demoBuild } from '../findings/base-drive.ts';
import { airByMeter, airBySpeedDensity, burnedOnGrid, powerFromAirW } from './air.ts';
import { dayOf } from './day.ts';
import { type PartReadings, partReadings } from './engine-readings.ts';
import { exhaustPressureByShaftPa } from './exhaust-pressure.ts';
import { NO_ERRORS } from './log-errors.ts';
import { partSeries } from './part-series.ts';
import { powerDrive } from './power-drive.testing.ts';
import { torquePath } from './torque-path.ts';

const resolved = demoBuild();
const drive = powerDrive(resolved.car);
const day = dayOf(drive.log);
const series = partSeries({ log: drive.log, car: resolved.car, doubted: new Set() }, drive.log.pulls[0]!.parts[0]!);
if (typeof series === 'string') throw new Error(series);
const readings = partReadings(resolved.car, series, day);

/** One moment: the same value in every place of the grid. */
const still = (changes: Partial<PartReadings>, rpm: number, chargeK: number): PartReadings => ({
  ...readings,
  ...changes,
  day: { ...day, gasConstantJPerKgK: 287.05 },
  series: {
    ...series,
    engineSpeedRpm: series.engineSpeedRpm.map(() => rpm),
    chargeTemperatureK: series.timesS.map(() => chargeK),
    chargeTemperatureSlopeKPerS: series.timesS.map(() => 0),
  },
});

describe('air by speed and density', () => {
  it('SD-01: 1.998 L at 6000 rpm, 200 kPa, 320 K and VE 0.95 take 206.64 g/s (ideal gas, recomputed)', () => {
    const car: Car = {
      ...resolved.car,
      engine: { ...resolved.car.engine, displacementM3: 1.998e-3 },
      curves: { ...resolved.car.curves, volumetricEfficiency: { at: [0, 8000], values: [0.95, 0.95] } },
    };
    // Equal pressures on both sides: the filling curve is defined there.
    const equal = still(
      { manifoldPressurePa: series.timesS.map(() => 200e3), exhaustPressurePa: series.timesS.map(() => 200e3) },
      6000,
      320,
    );
    expect(airBySpeedDensity(equal, car, NO_ERRORS)[10]! * 1e3).toBeCloseTo(206.64, 1);
  });

  it('fills less against a higher exhaust pressure by the residual law (Eriksson & Nielsen 2014 eq. 4.8)', () => {
    const at = (exhaust: number) =>
      airBySpeedDensity(
        still(
          { manifoldPressurePa: series.timesS.map(() => 200e3), exhaustPressurePa: series.timesS.map(() => exhaust) },
          5000,
          320,
        ),
        resolved.car,
        NO_ERRORS,
      )[10]!;
    const r = resolved.car.engine.compressionRatio;
    expect(at(300e3) / at(200e3)).toBeCloseTo((r - 1.5 ** (1 / 1.3)) / (r - 1), 6);
  });
});

describe('air by the meter', () => {
  it('is the meter less what fills the pipes', () => {
    const rising = {
      ...readings,
      series: {
        ...series,
        airFlowKgPerS: series.timesS.map(() => 0.15),
        manifoldPressureSlopePaPerS: series.timesS.map(() => 100e3),
      },
    };
    const volume = resolved.car.intake.chargeVolumeM3 + resolved.car.intake.plenumVolumeM3;
    const stored = (volume * 100e3) / (day.gasConstantJPerKgK * 340);
    expect(airByMeter(rising, resolved.car, NO_ERRORS)[10]).toBeCloseTo(0.15 - stored, 9);
  });
});

describe('power from air', () => {
  it('balances: heat times efficiency, less friction, pumping and accessories (identity)', () => {
    const state = {
      engineSpeedRpm: 5000,
      dryAirKgPerS: 0.15,
      manifoldPressurePa: 200e3,
      exhaustPressurePa: 230e3,
      chargeTemperatureK: 315,
      lambda: 0.9,
      sparkAdvanceDeg: 22.5,
      misfireShare: 0,
    };
    const { car } = resolved;
    const power = torquePath(car, NO_ERRORS)(state);
    // Best timing, lambda 0.9: the sheet's own efficiency but for the compression ratio, 1 - r^-0.3 against 9 (Heywood fig. 5-9).
    const compression = (1 - car.engine.compressionRatio ** -0.3) / (1 - 9 ** -0.3);
    const heat = (0.15 * car.fuel.lowerHeatingValueJPerKg) / car.fuel.stoichiometricAirFuelRatio;
    const fmep =
      car.engine.frictionPressurePa + 5 * car.engine.frictionPerSpeedPa + 25 * car.engine.frictionPerSpeedSquaredPa;
    const losses = ((fmep + 30e3) * car.engine.displacementM3 * 5000) / 120;
    const expected = heat * car.engine.indicatedEfficiency * compression * car.learned.torque - losses - 1600;
    expect(power / expected).toBeCloseTo(1, 3);
  });

  it('loses what misfires lose', () => {
    const flow = series.timesS.map(() => 0.12);
    const power = (some: PartReadings) => powerFromAirW(some, flow, burnedOnGrid(some, resolved.car, NO_ERRORS))[20]!;
    const whole = power(readings);
    const missing = power({
      ...readings,
      lambdaWanted: readings.lambda,
      misfireShare: series.timesS.map(() => 0.1),
    });
    expect(missing).toBeLessThan(0.9 * whole);
  });
});

describe('exhaust pressure by the shaft', () => {
  it('CT-07: the turbine of the worked balance needs an expansion ratio of 1.4976', () => {
    // Compressor 22.404 kW (CT-03), exhaust gas 0.268 kg/s, T3 1173 K, efficiencies together 0.65, cp 1150, k 1.33.
    const { car } = resolved;
    const balanced: Car = {
      ...car,
      turbocharger: {
        ...car.turbocharger,
        turbineEfficiency: 0.65 / 0.93,
        mechanicalEfficiency: 1,
        // Passes all the gas at the ratio of the row.
        turbineEffectiveAreaM2: expectSolved(turbineAreaFromFlowM2(0.268, 149760, 1173, 100e3)),
      },
      exhaust: { ...car.exhaust, pressureDropPa: 0 },
      intake: { ...car.intake, filterPressureDropPa: 0 },
      chargeCooler: { ...car.chargeCooler, pressureDropPa: 0 },
    };
    const air = 0.25;
    // 22.404 kW over 0.250 kg/s at 1006 J/(kg K).
    const rise = 22404 / (air * 1006);
    const pressure = exhaustPressureByShaftPa(balanced, {
      airFlowKgPerS: air,
      fuelFlowKgPerS: 0.018,
      barometricPressurePa: 100e3,
      ambientTemperatureK: 293.15,
      manifoldPressurePa: 200e3,
      compressorOutletTemperatureK: 293.15 + rise,
      exhaustTemperatureK: 1173,
    });
    expect(pressure / 100e3).toBeGreaterThan(1.4976 * 0.99);
    expect(pressure / 100e3).toBeLessThan(1.4976 * 1.01);
  });
});
