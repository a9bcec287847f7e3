import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  burnedGas,
  burnedGasMoles,
  combustionCompleteness,
  dryMoleFractions,
  fuelMolarMassPerCarbonKgPerMol,
  stoichiometricAirFuelRatioOf,
  WATER_GAS_CONSTANT,
} from './burned-gas.ts';
import { runCheckRows } from './check-rows.testing.ts';
import { gasMixture } from './gas.ts';
import { expectSolved } from './reason.ts';

const PETROL = { hydrogenToCarbon: 1.87, oxygenToCarbon: 0 };

describe('burned gas, outside values', () => {
  runCheckRows([
    {
      id: 'LM-05',
      source: 'stoichiometry, air 3.773 N2 per O2',
      expected: 15.3,
      absolute: 0.05,
      got: () => 100 * dryMoleFractions(expectSolved(burnedGas(PETROL, 1))).CO2!,
    },
    {
      id: 'LM-06',
      source: 'Heywood (1988) sect. 4.9 (K = 3.5)',
      expected: 3.68,
      absolute: 0.1,
      got: () => 100 * dryMoleFractions(expectSolved(burnedGas(PETROL, 0.9))).CO!,
    },
  ]);
});

describe('burned gas', () => {
  const anyFuel = fc.record({
    hydrogenToCarbon: fc.double({ min: 1, max: 4, noNaN: true }),
    oxygenToCarbon: fc.double({ min: 0, max: 1, noNaN: true }),
  });
  it('keeps every atom and mass, and the water-gas ratio when rich', () => {
    fc.assert(
      fc.property(anyFuel, fc.double({ min: 0.6, max: 2, noNaN: true }), (fuel, lambda) => {
        const moles = expectSolved(burnedGasMoles(fuel, lambda));
        const { CO2 = 0, CO = 0, H2O = 0, H2 = 0, O2 = 0, N2 = 0, Ar = 0 } = moles;
        expect(2 * H2O + 2 * H2).toBeCloseTo(fuel.hydrogenToCarbon, 9);
        const burnedMass = expectSolved(gasMixture(moles)).molarMassKgPerMol * (CO2 + CO + H2O + H2 + O2 + N2 + Ar);
        const fuelMass = fuelMolarMassPerCarbonKgPerMol(fuel);
        expect(burnedMass / (fuelMass * (1 + lambda * stoichiometricAirFuelRatioOf(fuel)))).toBeCloseTo(1, 9);
        if (lambda < 1) expect((H2O * CO) / (CO2 * H2)).toBeCloseTo(WATER_GAS_CONSTANT, 6);
        for (const share of Object.values(moles)) expect(share).toBeGreaterThanOrEqual(0);
      }),
    );
  });
  it('joins lean and rich at one', () => {
    const rich = dryMoleFractions(expectSolved(burnedGas(PETROL, 1 - 1e-9)));
    const lean = dryMoleFractions(expectSolved(burnedGas(PETROL, 1)));
    expect(rich.CO2! - lean.CO2!).toBeCloseTo(0, 6);
    expect(rich.CO!).toBeLessThan(1e-6);
  });
  it('refuses mixtures that would soot and fuels that cannot burn', () => {
    expect(burnedGas(PETROL, 0.3)).toMatchObject({ ok: false, reason: { code: 'fuel-leaves-soot' } });
    expect(burnedGas(PETROL, 0).ok).toBe(false);
    expect(burnedGas({ hydrogenToCarbon: 0, oxygenToCarbon: 3 }, 1).ok).toBe(false);
  });
  it('keeps all heat when lean and loses about the missing oxygen when rich', () => {
    expect(expectSolved(combustionCompleteness(PETROL, 43.4e6, 1.1))).toBe(1);
    // Each mole of oxygen saved costs 566 kJ as carbon monoxide or 484 kJ as hydrogen; petrol gives 411 kJ per mole.
    const at80 = expectSolved(combustionCompleteness(PETROL, 43.4e6, 0.8));
    expect(at80).toBeGreaterThan(1 - 0.2 * (566 / 411));
    expect(at80).toBeLessThan(1 - 0.2 * (484 / 411));
  });
});
