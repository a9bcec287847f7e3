import { describe, expect, it } from 'vitest';
import {
  DRY_AIR,
  ETHANOL,
  enthalpyJPerKg,
  expectSolved,
  gasMixture,
  METHANOL,
  specificHeatJPerKgK,
  stoichiometricAirFuelRatioOf,
} from '../physics/index.ts';
import { fitCubic } from './burned-table.ts';
import { chargeAt, cylinderWith, PETROL_98, solvedCycle } from './cases.testing.ts';
import { newChargeGas, prepareGas, unburnedEnthalpy } from './charge-gas.ts';

const cylinder = cylinderWith();

describe('the unburned mixture', () => {
  it('has specific heats within 0.3 % of the polynomials from 280 to 1200 K', () => {
    const gases = [
      DRY_AIR,
      expectSolved(gasMixture({ H2O: 1 })),
      expectSolved(gasMixture({ N2: 0.73, CO2: 0.13, H2O: 0.14 })),
    ];
    for (const gas of gases) {
      const cubic = new Float64Array(4);
      fitCubic((t) => specificHeatJPerKgK(gas, t), cubic);
      for (let t = 280; t <= 1200; t += 10) {
        const x = t / 1000;
        const got = cubic[0]! + x * (cubic[1]! + x * (cubic[2]! + x * cubic[3]!));
        expect(Math.abs(got / specificHeatJPerKgK(gas, t) - 1)).toBeLessThan(3e-3);
      }
    }
  });

  it('warms as air does when there is hardly any fuel in it', () => {
    const gas = newChargeGas();
    const thin = { ...PETROL_98, stoichiometricAirFuelRatio: 1e6 };
    expect(
      prepareGas(chargeAt(cylinder, 2000, 100, 2, { fuel: thin, waterPerAir: 0, residualFraction: 0 }), 3e6, 1, gas),
    ).toBe(null);
    const rise = unburnedEnthalpy(gas, 800) - unburnedEnthalpy(gas, 350);
    const air = enthalpyJPerKg(DRY_AIR, 800) - enthalpyJPerKg(DRY_AIR, 350);
    expect(Math.abs(rise / air - 1)).toBeLessThan(1e-3);
  });

  it('gives the heat of the fuel, whatever the fuel', () => {
    for (const fuel of [PETROL_98, ETHANOL, METHANOL]) {
      const out = solvedCycle(cylinder, chargeAt(cylinder, 2500, 90, 1.1, { fuel }), 25);
      expect(Math.abs(out.heatReleasedJ / (cylinder.spec.combustionEfficiency * out.fuelHeatJ) - 1)).toBeLessThan(1e-9);
      expect(Math.abs(fuel.stoichiometricAirFuelRatio / stoichiometricAirFuelRatioOf(fuel) - 1)).toBeLessThan(1e-9);
    }
  });

  it('is made anew when the charge changes and only then', () => {
    const gas = newChargeGas();
    const charge = chargeAt(cylinder, 2000, 100);
    prepareGas(charge, 3e6, 0.97, gas);
    const before = gas.enthalpyConstant;
    prepareGas({ ...charge, lambda: 0.9 }, 3e6, 0.97, gas);
    expect(gas.enthalpyConstant).not.toBe(before);
    prepareGas(charge, 3e6, 0.97, gas);
    expect(gas.enthalpyConstant).toBe(before);
  });
});
