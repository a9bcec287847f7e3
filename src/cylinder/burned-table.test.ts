import { describe, expect, it } from 'vitest';
import {
  burnedEnergy,
  burnedSlope,
  burnedTemperatureK,
  burnedZFromEnthalpy,
  mixBurnedTable,
  newBurnedTable,
} from './burned-table.ts';
import { burnedAtoms, burnedState, newBurnedState } from './equilibrium.ts';

describe('the table of burned gas', () => {
  const state = newBurnedState();
  const table = newBurnedTable();
  // Between nodes in lambda, water and pressure; on a node in hydrogen.
  const cases = [
    [1.88, 0.8125, 0.024, 6e6],
    [1.88, 0.9875, 0.0, 2.2e6],
    [1.88, 1.0125, 0.076, 1.1e7],
    [2.0, 1.3625, 0.124, 1.8e7],
  ] as const;
  it.each(cases)(
    'agrees with the equilibrium itself (H/C %s, lambda %s, water %s, %s Pa)',
    (h, lambda, water, pressure) => {
      mixBurnedTable(h, lambda, water, pressure, table);
      const atoms = burnedAtoms({ hydrogenToCarbon: h, oxygenToCarbon: 0 }, lambda, water);
      if (!atoms) throw new Error('no atoms');
      // Energies count from the cold gas, as heat set free does: linear mixing moves the heat of formation and with it both.
      burnedState(atoms, 400, pressure, state);
      const offset = burnedEnergy(table.values, state.pressureVolumeJPerKg) - state.energyJPerKg;
      for (let t = 400; t <= 2800; t += 60) {
        burnedState(atoms, t, pressure, state);
        const off = burnedEnergy(table.values, state.pressureVolumeJPerKg) - state.energyJPerKg - offset;
        // 6 kJ/kg is 0.2 % of the heat of burning, left by straight lines between nodes, most next to lambda 1.
        expect(Math.abs(off)).toBeLessThan(6.5e3);
        expect(Math.abs(burnedTemperatureK(table.values, state.pressureVolumeJPerKg) - t)).toBeLessThan(1);
      }
    },
  );

  it('has the slope of its own energy, and goes on without a step beyond both ends', () => {
    mixBurnedTable(1.88, 0.9, 0.01, 5e6, table);
    for (let z = 5e4; z < 1.25e6; z += 7.3e3) {
      const numeric = (burnedEnergy(table.values, z + 1) - burnedEnergy(table.values, z - 1)) / 2;
      expect(Math.abs(numeric - burnedSlope(table.values, z))).toBeLessThan(1e-3);
      expect(burnedSlope(table.values, z)).toBeGreaterThan(2);
    }
  });

  it('finds z again from its enthalpy', () => {
    mixBurnedTable(1.88, 1, 0.01, 5e6, table);
    for (let z = 1.5e5; z < 1e6; z += 5e4) {
      const again = burnedZFromEnthalpy(table.values, burnedEnergy(table.values, z) + z, 4e5);
      expect(Math.abs(again / z - 1)).toBeLessThan(1e-5);
    }
  });

  it('gives a mixture that does not depend on what was asked before', () => {
    const first = newBurnedTable();
    mixBurnedTable(1.9, 0.87, 0.03, 7e6, first);
    for (const lambda of [0.6, 1.1, 1.7]) mixBurnedTable(1.5, lambda, 0.2, 2e7, table);
    mixBurnedTable(1.9, 0.87, 0.03, 7e6, table);
    expect(Array.from(table.values)).toEqual(Array.from(first.values));
  });
});
