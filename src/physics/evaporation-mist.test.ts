/** Mist: drying, saturation, nozzle and droplets, against outside values. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { waterSaturationPressurePa } from './air.ts';
import {
  dryMist,
  type Mist,
  mistExposureSPerM2,
  mistLimit,
  newDriedMist,
  quickWaterPressurePa,
  settledMist,
  waterDiffusivityM2PerS,
} from './evaporation-mist.ts';
import { expectSolved } from './reason.ts';
import {
  methanolMoleFraction,
  waterMethanolActivities,
  waterMethanolBoilingPointK,
  waterMethanolPressuresPa,
} from './water-methanol-vapour.ts';

const CHARGE: Mist = {
  pressurePa: 200e3,
  temperatureK: 330,
  humidityRatio: 0.007,
  liquidPerAir: 0.025,
  methanolMassFraction: 0.44,
  liquidTemperatureK: 300,
};

/**
 * Methanol by mole in liquid and vapour, boiling point [degC] at 1 atm. Source: measured equilibrium of methanol and water,
 * Perry's Chemical Engineers' Handbook, vapour-liquid tables (from memory).
 */
const MEASURED_VAPOUR: readonly (readonly [number, number, number])[] = [
  [0.04, 0.23, 93.5],
  [0.1, 0.418, 87.7],
  [0.2, 0.579, 81.7],
  [0.4, 0.729, 75.3],
  [0.6, 0.825, 71.2],
  [0.8, 0.915, 67.6],
  [0.95, 0.979, 65.0],
];

describe('vapour over water and methanol', () => {
  it.each(MEASURED_VAPOUR)('%d by mole in the liquid: %d in the vapour, boils at %d degC', (x, y, celsius) => {
    const boilsK = expectSolved(waterMethanolBoilingPointK(x, 101325));
    expect(Math.abs(boilsK - 273.15 - celsius)).toBeLessThan(0.7);
    const { methanolPa } = expectSolved(waterMethanolPressuresPa(x, boilsK));
    expect(Math.abs(methanolPa / 101325 - y)).toBeLessThan(0.015);
  });
  it('meets the pure liquids at both ends, and Gibbs-Duhem between', () => {
    expect(waterMethanolActivities(1, 300).methanol).toBeCloseTo(1, 12);
    expect(waterMethanolActivities(0, 300).water).toBeCloseTo(1, 12);
    expect(methanolMoleFraction(0.4)).toBeCloseTo(0.2727, 3);
    for (let x = 0.1; x < 0.95; x += 0.1) {
      const slope = (pick: 'methanol' | 'water') =>
        (Math.log(waterMethanolActivities(x + 1e-5, 310)[pick]) -
          Math.log(waterMethanolActivities(x - 1e-5, 310)[pick])) /
        2e-5;
      expect(x * slope('methanol') + (1 - x) * slope('water')).toBeCloseTo(0, 5);
    }
    expect(waterMethanolPressuresPa(1.2, 300)).toMatchObject({ ok: false });
    expect(waterMethanolBoilingPointK(-1, 1e5)).toMatchObject({ ok: false });
  });
  it('the fast form of steam pressure keeps to the ASHRAE law within 1.2 % from 0 to 80 degC', () => {
    for (let t = 274; t < 353; t += 5) {
      expect(Math.abs(quickWaterPressurePa(t) / expectSolved(waterSaturationPressurePa(t)) - 1)).toBeLessThan(0.012);
    }
  });
});

describe('a drying mist', () => {
  /**
   * Air at the end [K], droplets [K], water and methanol evaporated [-]. Source: the same balances integrated by LSODA
   * (SciPy 1.17.1, relative tolerance 1e-7) with vapour pressures, latent heats and conductivity of CoolProp 8.0.0.
   */
  it.each([
    [0, 2e7, 326.229, 305.871, 0.0525, 1],
    [0.44, 2e7, 324.808, 298.125, 0.0122, 0.3791],
    [0.44, 6e7, 317.821, 300.447, 0.0623, 0.7806],
    [0.44, 5e8, 303.882, 303.107, 0.4165, 0.9504],
    [1, 2e7, 323.37, 292.069, 1, 0.3398],
  ] as const)(
    'methanol %d by mass, exposure %d s/m2: as an independent integration',
    (w, exposure, gasK, dropK, water, methanol) => {
      const dried = dryMist({ ...CHARGE, methanolMassFraction: w }, exposure);
      expect(Math.abs(dried.temperatureK - gasK)).toBeLessThan(0.35);
      expect(Math.abs(dried.dropletTemperatureK - dropK)).toBeLessThan(0.3);
      expect(Math.abs(dried.waterEvaporated - water)).toBeLessThan(0.007);
      expect(Math.abs(dried.methanolEvaporated - methanol)).toBeLessThan(0.02);
    },
  );
  it('a lone water droplet shrinks as 84.76 um2/s per kelvin of wet-bulb depression (Holterman, IMAG report 2003-12) within 5 %', () => {
    // 20 degC, half humid: wet bulb 13.74 degC (CoolProp 8.0.0, humid air).
    const lone = dryMist(
      {
        ...CHARGE,
        pressurePa: 101325,
        temperatureK: 293.15,
        humidityRatio: 0.00726,
        liquidPerAir: 1e-6,
        methanolMassFraction: 0,
        liquidTemperatureK: 288,
      },
      2e8,
    );
    const perSecond = ((1 - (1 - lone.waterEvaporated) ** (2 / 3)) / 2e8) * 1e12;
    expect(Math.abs(perSecond / (84.76 * (20 - 13.74)) - 1)).toBeLessThan(0.05);
    expect(Math.abs(lone.dropletTemperatureK - 273.15 - 13.74)).toBeLessThan(0.5);
  });
  it('diffusivity of steam in air is 0.26 cm2/s at 298 K (Incropera, table A.8) within 5 %', () => {
    expect(Math.abs(waterDiffusivityM2PerS(298, 101325) / 0.26e-4 - 1)).toBeLessThan(0.05);
  });
  const mist: fc.Arbitrary<Mist> = fc.record({
    pressurePa: fc.double({ min: 90e3, max: 350e3, noNaN: true }),
    temperatureK: fc.double({ min: 285, max: 410, noNaN: true }),
    humidityRatio: fc.double({ min: 0, max: 0.02, noNaN: true }),
    liquidPerAir: fc.double({ min: 1e-4, max: 0.12, noNaN: true }),
    methanolMassFraction: fc.double({ min: 0, max: 1, noNaN: true }),
    liquidTemperatureK: fc.double({ min: 275, max: 315, noNaN: true }),
  });
  it('dries more with more exposure, never more than all, never to NaN', () => {
    fc.assert(
      fc.property(mist, fc.double({ min: 1e6, max: 3e8, noNaN: true }), (state, exposure) => {
        const one = dryMist(state, exposure);
        const two = dryMist(state, 1.5 * exposure);
        for (const value of Object.values(one)) expect(Number.isFinite(value)).toBe(true);
        expect(one.methanolEvaporated).toBeLessThanOrEqual(1);
        expect(one.waterEvaporated).toBeLessThanOrEqual(1);
        expect(two.methanolEvaporated).toBeGreaterThanOrEqual(one.methanolEvaporated - 0.02);
      }),
      { numRuns: 60 },
    );
  });
  it('keeps its enthalpy: what the air lost is in droplets and vapour, within 2 % of the full latent heat', () => {
    fc.assert(
      fc.property(mist, fc.double({ min: 1e6, max: 3e8, noNaN: true }), (state, exposure) => {
        const end = dryMist(state, exposure);
        const water = state.liquidPerAir * (1 - state.methanolMassFraction);
        const methanol = state.liquidPerAir * state.methanolMassFraction;
        const enthalpy = (gasK: number, dropK: number, steam: number, alcohol: number) =>
          (1006 + 1860 * state.humidityRatio) * gasK +
          steam * (2.4417e6 + 4186 * 298.15 + 1860 * (gasK - 298.15)) +
          alcohol * (1.169e6 + 2530 * 298.15 + 1380 * (gasK - 298.15)) +
          ((water - steam) * 4186 + (methanol - alcohol) * 2530) * dropK;
        const before = enthalpy(state.temperatureK, state.liquidTemperatureK, 0, 0);
        const after = enthalpy(
          end.temperatureK,
          end.dropletTemperatureK,
          end.waterEvaporated * water,
          end.methanolEvaporated * methanol,
        );
        const full = water * 2.4417e6 + methanol * 1.169e6;
        expect(Math.abs(after - before)).toBeLessThan(0.02 * full + 20);
      }),
      { numRuns: 60 },
    );
  });
  it('says which limits it', () => {
    const settled = settledMist(CHARGE);
    expect(mistLimit(dryMist(CHARGE, 2e7), settled)).toBe('time');
    expect(mistLimit(dryMist(CHARGE, 5e9), settled)).toBe('saturation');
    const little = { ...CHARGE, liquidPerAir: 0.004, temperatureK: 370 };
    expect(mistLimit(dryMist(little, 5e9), settledMist(little))).toBe('nothing');
    // Saturated: air and what is left of the droplets are at one temperature, steam at its pressure over the mix.
    expect(settled.temperatureK).toBeCloseTo(settled.dropletTemperatureK, 1);
  });
  it('counts the slip of the first milliseconds, and nothing without time', () => {
    const flight = {
      diameterM: 50e-6,
      residenceTimeS: 0.04,
      slipMPerS: 0,
      liquidDensityKgPerM3: 930,
      airDensityKgPerM3: 2.2,
    };
    expect(mistExposureSPerM2(flight)).toBeCloseTo(0.04 / 2.5e-9, 0);
    const slipping = mistExposureSPerM2({ ...flight, slipMPerS: 25 });
    expect(slipping / mistExposureSPerM2(flight)).toBeGreaterThan(1.1);
    expect(slipping / mistExposureSPerM2(flight)).toBeLessThan(2);
    expect(mistExposureSPerM2({ ...flight, residenceTimeS: 0 })).toBe(0);
    expect(dryMist(CHARGE, 0, newDriedMist()).coolingShare).toBe(0);
  });
});
