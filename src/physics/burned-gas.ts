/** Burned gas: what the exhaust is made of, lean and rich, and how much of the fuel's energy a rich flame keeps. */
import { type Composition, DRY_AIR, DRY_AIR_COMPOSITION, type Gas, gasMixture } from './gas.ts';
import { type Solved, solved, unsolved } from './reason.ts';
import { ATOMIC_MASS_KG_PER_MOL as A } from './species.ts';

/** Atoms of a fuel per atom of carbon: CHyOz. */
export interface FuelAtoms {
  readonly hydrogenToCarbon: number;
  readonly oxygenToCarbon: number;
}

/**
 * Constant of the water-gas reaction at which a rich mixture's products freeze [-]: (H2O CO) / (CO2 H2).
 * Source: Heywood, Internal Combustion Engine Fundamentals (1988), sect. 4.9 (K = 3.5, near 1740 K).
 */
export const WATER_GAS_CONSTANT = 3.5;

/** Molar mass of a fuel CHyOz per mole of carbon [kg/mol]. Source: definition. */
export const fuelMolarMassPerCarbonKgPerMol = (fuel: FuelAtoms): number =>
  A.C + fuel.hydrogenToCarbon * A.H + fuel.oxygenToCarbon * A.O;

/** Moles of oxygen for complete combustion per mole of carbon [mol/mol], 1 + y/4 - z/2. Source: Heywood eq. 3.5. */
export const stoichiometricOxygenPerCarbon = (fuel: FuelAtoms): number =>
  1 + fuel.hydrogenToCarbon / 4 - fuel.oxygenToCarbon / 2;

/**
 * Stoichiometric air-fuel ratio by mass, dry air.
 *
 * @param fuel atoms per carbon [-]
 * @returns [kg/kg]; positive for any fuel with y/4 - z/2 > -1
 * Source: Heywood (1988) eq. 3.6, with air of 20.946 % oxygen by mole.
 */
export const stoichiometricAirFuelRatioOf = (fuel: FuelAtoms): number =>
  ((stoichiometricOxygenPerCarbon(fuel) / DRY_AIR_COMPOSITION.O2) * DRY_AIR.molarMassKgPerMol) /
  fuelMolarMassPerCarbonKgPerMol(fuel);

/**
 * Moles of the products per mole of fuel carbon, from dry air. Lean: complete combustion with oxygen left. Rich: no
 * oxygen left, carbon monoxide and hydrogen in the ratio that the water-gas reaction fixes.
 *
 * @param fuel atoms per carbon [-]
 * @param lambda relative air-fuel ratio [-], above the limit where carbon stays solid (about 0.35 for petrol)
 * @returns moles per mole of carbon [mol/mol]. Reasons: `fuel-leaves-soot`, `input-out-of-range`.
 * Source: Heywood (1988) sect. 4.9, eq. 4.60 to 4.63.
 */
export const burnedGasMoles = (fuel: FuelAtoms, lambda: number): Solved<Composition> => {
  const y = fuel.hydrogenToCarbon;
  const oxygen = stoichiometricOxygenPerCarbon(fuel);
  if (!(lambda > 0 && lambda < Number.POSITIVE_INFINITY && y >= 0 && fuel.oxygenToCarbon >= 0 && oxygen > 0)) {
    return unsolved('input-out-of-range', 'Burned gas needs a burnable fuel and a positive lambda.');
  }
  const air = (lambda * oxygen) / DRY_AIR_COMPOSITION.O2;
  const carbon = 1 + air * DRY_AIR_COMPOSITION.CO2;
  const products = {
    N2: air * DRY_AIR_COMPOSITION.N2,
    Ar: air * DRY_AIR_COMPOSITION.Ar,
    CO2: carbon,
    H2O: y / 2,
    O2: (lambda - 1) * oxygen,
    CO: 0,
    H2: 0,
  };
  if (lambda >= 1) return solved(products);
  const oxygenAtoms = fuel.oxygenToCarbon + 2 * lambda * oxygen + 2 * (carbon - 1);
  if (oxygenAtoms <= carbon) {
    return unsolved('fuel-leaves-soot', `At lambda ${lambda} carbon would stay solid; the exhaust is not modelled.`);
  }
  // Water = d + CO and hydrogen = e - CO, where d and e follow from the balances of oxygen and hydrogen.
  const d = oxygenAtoms - 2 * carbon;
  const e = y / 2 - d;
  const a = 1 - WATER_GAS_CONSTANT;
  const b = d + WATER_GAS_CONSTANT * (carbon + e);
  const c = -WATER_GAS_CONSTANT * carbon * e;
  const monoxide = (-2 * c) / (b + Math.sqrt(b * b - 4 * a * c));
  products.CO = monoxide;
  products.CO2 = carbon - monoxide;
  products.H2O = Math.max(0, d + monoxide);
  products.H2 = Math.max(0, e - monoxide);
  products.O2 = 0;
  return solved(products);
};

/**
 * Burned gas as a mixture; see {@link burnedGasMoles}.
 *
 * @param fuel atoms per carbon [-]
 * @param lambda relative air-fuel ratio [-]
 * @returns a {@link Gas}. Reasons: `fuel-leaves-soot`, `input-out-of-range`.
 * Source: Heywood (1988) sect. 4.9.
 */
export const burnedGas = (fuel: FuelAtoms, lambda: number): Solved<Gas> => {
  const moles = burnedGasMoles(fuel, lambda);
  return moles.ok ? gasMixture(moles.value) : moles;
};

/**
 * Shares by mole after the water is taken out [mol/mol], as an exhaust analyser sees them.
 * Source: definition of dry concentration.
 */
export const dryMoleFractions = (gas: Gas): Composition => {
  const dry = 1 - (gas.moleFractions.H2O ?? 0);
  return Object.fromEntries(
    Object.entries(gas.moleFractions)
      .filter(([species]) => species !== 'H2O')
      .map(([species, share]) => [species, share / dry]),
  );
};

/** Heat of combustion of carbon monoxide and of hydrogen to vapour [J/mol]. Source: JANAF heats of formation. */
const CO_HEAT_J_PER_MOL = 282_980;
const H2_HEAT_J_PER_MOL = 241_826;

/**
 * Share of a fuel's heating value that is released when the mixture is rich: what stays in carbon monoxide and hydrogen
 * is lost. One for lean mixtures (a real flame keeps 95 to 98 % of it).
 *
 * @param fuel atoms per carbon [-]
 * @param lowerHeatingValueJPerKg of the fuel [J/kg]
 * @param lambda relative air-fuel ratio [-]
 * @returns share [-]. Reasons: `fuel-leaves-soot`, `input-out-of-range`.
 * Source: definition of combustion efficiency, Heywood (1988) eq. 4.69, with products of sect. 4.9.
 */
export const combustionCompleteness = (
  fuel: FuelAtoms,
  lowerHeatingValueJPerKg: number,
  lambda: number,
): Solved<number> => {
  const moles = burnedGasMoles(fuel, lambda);
  if (!moles.ok) return moles;
  const lost = (moles.value.CO ?? 0) * CO_HEAT_J_PER_MOL + (moles.value.H2 ?? 0) * H2_HEAT_J_PER_MOL;
  return solved(1 - lost / (lowerHeatingValueJPerKg * fuelMolarMassPerCarbonKgPerMol(fuel)));
};
