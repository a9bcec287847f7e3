/** Fuel vapour against other reference libraries. */
import { describe, expect, it } from 'vitest';
import { ethanolBlend } from './fuel-blends.ts';
import { chargeWithVapour, fuelVapour } from './fuel-vapour.ts';
import { ETHANOL, type Fuel, HEPTANE, ISOOCTANE, METHANOL, petrol, TOLUENE } from './fuels.ts';
import { DRY_AIR, enthalpyJPerKg, entropyJPerKgK, heatRatio, specificHeatJPerKgK } from './gas.ts';
import { expectSolved } from './reason.ts';

/**
 * Ideal-gas cp at 298.15, 400 and 600 K [J/(kg K)]. Source: reference equations of state through CoolProp 8.0.0 (methanol
 * de Reuck & Craven, ethanol Schroeder, toluene Lemmon & Span, n-heptane Tenji), an independent library.
 */
const CP0: readonly (readonly [string, Fuel, readonly [number, number, number]])[] = [
  ['methanol', METHANOL, [1373.85, 1610.11, 2095.19]],
  ['ethanol', ETHANOL, [1415.38, 1763.05, 2349.63]],
  ['toluene', TOLUENE, [1126.47, 1516.25, 2130.65]],
  ['n-heptane', HEPTANE, [1648.47, 2102.34, 2868.41]],
];

/** Heat of formation [kJ/mol] and standard entropy [J/(mol K)] of the gas at 298.15 K. Source: CRC Handbook (from memory). */
const STANDARD: readonly (readonly [string, Fuel, number, number])[] = [
  ['methanol', METHANOL, -201.0, 239.9],
  ['ethanol', ETHANOL, -234.8, 281.6],
  ['toluene', TOLUENE, 50.5, 320.9],
  ['isooctane', ISOOCTANE, -224.0, 423.2],
];

/** Heywood (1988) table 4.11 (from memory), gasoline C8.26H15.5: cp [cal/(mol K)] with t = T/1000. */
const heywoodGasolineCp = (kelvin: number): number => {
  const t = kelvin / 1000;
  const cal = -24.078 + 256.63 * t - 201.68 * t * t + 64.75 * t ** 3 + 0.5808 / (t * t);
  return (cal * 4.184) / (8.26 * 0.012011 + 15.5 * 0.001008);
};

describe('fuel vapour', () => {
  it.each(CP0)('%s: cp as the reference equation of state has it, within 1.5 %%', (_name, fuel, values) => {
    const vapour = expectSolved(fuelVapour(fuel));
    [298.15, 400, 600].forEach((kelvin, i) => {
      expect(Math.abs(specificHeatJPerKgK(vapour, kelvin) / values[i]! - 1)).toBeLessThan(0.015);
    });
  });
  it.each(STANDARD)('%s: heat of formation and entropy of the handbook', (_name, fuel, formation, entropy) => {
    const vapour = expectSolved(fuelVapour(fuel));
    const molar = fuel.molarMassKgPerMol;
    expect(Math.abs((enthalpyJPerKg(vapour, 298.15) * molar) / 1000 - formation)).toBeLessThan(0.5);
    expect(Math.abs(entropyJPerKgK(vapour, 298.15, 1e5) * molar - entropy)).toBeLessThan(1.2);
  });
  it('gas less liquid is the latent heat (ATcT liquid, CRC vaporisation) within 1.5 kJ/mol', () => {
    for (const [fuel, liquid] of [
      [METHANOL, -238.4],
      [ETHANOL, -277.03],
      [TOLUENE, 12.36],
      [ISOOCTANE, -258.8],
    ] as const) {
      const gas = (enthalpyJPerKg(expectSolved(fuelVapour(fuel)), 298.15) * fuel.molarMassKgPerMol) / 1000;
      const latent = (fuel.latentHeatJPerKg * fuel.molarMassKgPerMol) / 1000;
      expect(Math.abs(gas - liquid - latent)).toBeLessThan(1.5);
    }
  });
  it('petrol: cp of Heywood table 4.11 within 6 % from 300 to 1000 K', () => {
    const vapour = expectSolved(fuelVapour(petrol(95, 85)));
    for (let kelvin = 300; kelvin <= 1000; kelvin += 50) {
      expect(Math.abs(specificHeatJPerKgK(vapour, kelvin) / heywoodGasolineCp(kelvin) - 1)).toBeLessThan(0.06);
    }
  });
});

describe('charge with vapour', () => {
  it('holds the fuel asked for and nothing else, and lowers the ratio of specific heats', () => {
    const fuel = expectSolved(ethanolBlend(0.85, petrol(95, 85)));
    const perAir = 1 / fuel.stoichiometricAirFuelRatio;
    const charge = expectSolved(chargeWithVapour(DRY_AIR.moleFractions, DRY_AIR.molarMassKgPerMol, fuel, perAir));
    const vapour = expectSolved(fuelVapour(fuel));
    const byMass = (specificHeatJPerKgK(DRY_AIR, 400) + perAir * specificHeatJPerKgK(vapour, 400)) / (1 + perAir);
    expect(specificHeatJPerKgK(charge, 400)).toBeCloseTo(byMass, 6);
    expect(heatRatio(charge, 600)).toBeLessThan(heatRatio(DRY_AIR, 600) - 0.02);
    const none = expectSolved(chargeWithVapour(DRY_AIR.moleFractions, DRY_AIR.molarMassKgPerMol, fuel, 0));
    expect(none.gasConstantJPerKgK).toBeCloseTo(DRY_AIR.gasConstantJPerKgK, 9);
    expect(chargeWithVapour(DRY_AIR.moleFractions, DRY_AIR.molarMassKgPerMol, fuel, -1)).toMatchObject({ ok: false });
  });
});
