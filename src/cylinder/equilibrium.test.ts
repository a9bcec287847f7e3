import { describe, expect, it } from 'vitest';
import { DRY_AIR, enthalpyJPerKg } from '../physics/index.ts';
import { burnedAtoms, burnedState, newBurnedState } from './equilibrium.ts';
import { gibbsOverRT, HOT_MOLAR_MASSES, HOT_SPECIES, type HotSpecies } from './radicals.ts';

const g = (species: HotSpecies, t: number) => gibbsOverRT(HOT_SPECIES.indexOf(species), t);

describe('equilibrium constants', () => {
  // ln Kp at 1 atm: Cengel & Boles, Thermodynamics, table A-28 (from memory), at 2000, 2600 and 3000 K.
  const reactions: [string, (t: number) => number, readonly [number, number, number]][] = [
    ['CO2 = CO + 1/2 O2', (t) => g('CO2', t) - g('CO', t) - g('O2', t) / 2, [-6.635, -2.801, -1.111]],
    ['H2O = H2 + 1/2 O2', (t) => g('H2O', t) - g('H2', t) - g('O2', t) / 2, [-8.145, -4.648, -3.086]],
    ['H2O = OH + 1/2 H2', (t) => g('H2O', t) - g('OH', t) - g('H2', t) / 2, [-8.728, -4.719, -2.937]],
    ['1/2 N2 + 1/2 O2 = NO', (t) => (g('N2', t) + g('O2', t)) / 2 - g('NO', t), [-3.931, -2.671, -2.114]],
    ['O2 = 2 O', (t) => g('O2', t) - 2 * g('O', t), [-14.622, -7.521, -4.357]],
    ['H2 = 2 H', (t) => g('H2', t) - 2 * g('H', t), [-12.841, -6.519, -3.685]],
  ];
  it.each(reactions)('%s (Cengel & Boles table A-28, from memory)', (_name, logK, expected) => {
    [2000, 2600, 3000].forEach((t, i) => {
      // The table's heats of formation are older (OH by 0.3 kJ/mol and more); 0.15 in ln K is a sixth in K.
      expect(Math.abs(logK(t) - expected[i]!)).toBeLessThan(0.15);
    });
  });
});

describe('burned gas', () => {
  const state = newBurnedState();
  it('has the adiabatic flame temperatures of handbooks at 1 atm and 298 K, stoichiometric (Turns, table B.1, from memory)', () => {
    const cases = [
      // Atoms per carbon, heat of formation of the gas per carbon [J/mol] (CRC Handbook), flame temperature [K].
      { fuel: { hydrogenToCarbon: 4, oxygenToCarbon: 0 }, formation: -74_600, flameK: 2226 },
      { fuel: { hydrogenToCarbon: 8 / 3, oxygenToCarbon: 0 }, formation: -103_800 / 3, flameK: 2267 },
      { fuel: { hydrogenToCarbon: 18 / 8, oxygenToCarbon: 0 }, formation: -208_500 / 8, flameK: 2275 },
    ];
    for (const { fuel, formation, flameK } of cases) {
      const atoms = burnedAtoms(fuel, 1, 0);
      if (!atoms) throw new Error('no atoms');
      const fuelMass = 12.011e-3 + 1.008e-3 * fuel.hydrogenToCarbon;
      const airEnthalpy = enthalpyJPerKg(DRY_AIR, 298.15) * (atoms.massKgPerMol - fuelMass);
      const enthalpy = (formation + airEnthalpy) / atoms.massKgPerMol;
      let low = 1500;
      let high = 3000;
      for (let i = 0; i < 50; i++) {
        const middle = (low + high) / 2;
        burnedState(atoms, middle, 101325, state);
        if (state.energyJPerKg + state.pressureVolumeJPerKg > enthalpy) high = middle;
        else low = middle;
      }
      expect(Math.abs(low - flameK)).toBeLessThan(6);
    }
  });

  it.each([0.6, 0.85, 1, 1.3])('keeps every atom at lambda %s, from 300 to 3500 K and 0.1 to 30 MPa', (lambda) => {
    const atoms = burnedAtoms({ hydrogenToCarbon: 1.87, oxygenToCarbon: 0.1 }, lambda, 0.02);
    if (!atoms) throw new Error('no atoms');
    for (let t = 300; t <= 3500; t += 100) {
      for (const pressure of [1e5, 3e6, 3e7]) {
        burnedState(atoms, t, pressure, state);
        const [co2, co, h2o, h2, o2, n2, ar, oh, h, o, no] = state.moles as unknown as number[];
        const close = (got: number, want: number) => expect(Math.abs(got / want - 1)).toBeLessThan(1e-8);
        close(co2! + co!, atoms.carbon);
        close(2 * (h2o! + h2!) + oh! + h!, atoms.hydrogen);
        close(2 * (co2! + o2!) + co! + h2o! + oh! + o! + no!, atoms.oxygen);
        close(2 * n2! + no!, atoms.nitrogen);
        close(ar!, atoms.argon);
        let mass = 0;
        for (let i = 0; i < state.moles.length; i++) mass += state.moles[i]! * HOT_MOLAR_MASSES[i]!;
        close(mass, atoms.massKgPerMol);
      }
    }
  });

  it('stays whole where frozen composition passes into equilibrium: energy rises without a step', () => {
    for (const lambda of [0.7, 1, 1.2]) {
      const atoms = burnedAtoms({ hydrogenToCarbon: 1.87, oxygenToCarbon: 0 }, lambda, 0);
      if (!atoms) throw new Error('no atoms');
      let before = Number.NaN;
      for (let t = 1500; t <= 1900; t += 5) {
        const energy = burnedState(atoms, t, 4e6, state).energyJPerKg;
        if (!Number.isNaN(before)) {
          const specificHeat = (energy - before) / 5;
          expect(specificHeat).toBeGreaterThan(900);
          expect(specificHeat).toBeLessThan(2000);
        }
        before = energy;
      }
    }
  });

  it('refuses what leaves soot', () => {
    expect(burnedAtoms({ hydrogenToCarbon: 1.87, oxygenToCarbon: 0 }, 0.3, 0)).toBe(null);
  });
});
