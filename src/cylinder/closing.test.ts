import { describe, expect, it } from 'vitest';
import { cylinderWith, PETROL_98 } from './cases.testing.ts';
import { newCharge, type PortState, trapCharge } from './closing.ts';

const cylinder = cylinderWith();
const port: PortState = {
  engineSpeedRpm: 2000,
  airKg: 5e-4,
  manifoldPressurePa: 1e5,
  chargeTemperatureK: 310,
  exhaustPressurePa: 1.05e5,
  exhaustTemperatureK: 1150,
  lambda: 1,
  fuel: PETROL_98,
  waterPerAir: 0.01,
  evaporationCoolingK: 10,
  evaporationJPerKgAir: 0,
};
const trapped = (changes: Partial<PortState> = {}) =>
  trapCharge(cylinder, { ...port, ...changes }, newCharge(PETROL_98));

describe('what is trapped', () => {
  it('holds 2 to 6 % residual gas unthrottled and more when throttled (Heywood (1988) sect. 6.4, fig. 6-19: without overlap)', () => {
    const full = trapped().residualFraction;
    expect(full).toBeGreaterThan(0.02);
    expect(full).toBeLessThan(0.06);
    const throttled = trapped({ airKg: 1.8e-4, manifoldPressurePa: 4e4 }).residualFraction;
    expect(throttled).toBeGreaterThan(1.8 * full);
    expect(throttled).toBeLessThan(0.15);
  });

  it('is 20 to 60 K warmer than the plenum, more so throttled, cooler with evaporation', () => {
    const full = trapped().temperatureK;
    expect(full - 310).toBeGreaterThan(20);
    expect(full - 310).toBeLessThan(60);
    expect(trapped({ airKg: 1.8e-4, manifoldPressurePa: 4e4 }).temperatureK).toBeGreaterThan(full);
    const cooled = trapped({ evaporationCoolingK: 30 }).temperatureK;
    // Walls give three tenths of it back.
    expect(full - cooled).toBeGreaterThan(10);
    expect(full - cooled).toBeLessThan(20);
  });

  it('passes everything else through', () => {
    const charge = trapped();
    expect(charge.airKg).toBe(port.airKg);
    expect(charge.lambda).toBe(1);
    expect(charge.waterPerAir).toBe(0.01);
    expect(charge.fuel).toBe(PETROL_98);
    expect(charge.exhaustPressurePa).toBe(port.exhaustPressurePa);
  });
});
