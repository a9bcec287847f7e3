/** Gases of one charge in their fast form: unburned mixture as a cubic specific heat, burned gas as a table. */
import {
  DRY_AIR,
  ETHANOL,
  expectSolved,
  fuelMolarMassPerCarbonKgPerMol,
  gasMixture,
  METHANOL,
  MOLAR_GAS_CONSTANT_J_PER_MOL_K,
  oxygenMassFraction,
  type Reason,
  specificHeatJPerKgK,
} from '../physics/index.ts';
import {
  BURNED_NODES,
  type BurnedTable,
  cubicEnthalpy,
  fitCubic,
  HYDROGEN_RANGE,
  LAMBDA_RANGE,
  MOST_WATER,
  mixBurnedTable,
  newBurnedTable,
} from './burned-table.ts';
import { CYLINDER_REASONS } from './reasons.ts';
import type { CycleCharge } from './types.ts';

const REFERENCE_K = 298.15;
const CALORIE_J = 4.184;
const WATER_MOLAR_MASS = 18.015e-3;
/** Cubic specific heat of one component. */
const cubicOf = (specificHeat: (temperatureK: number) => number): Float64Array => {
  const numbers = new Float64Array(4);
  fitCubic(specificHeat, numbers);
  return numbers;
};

const WATER = expectSolved(gasMixture({ H2O: 1 }));
const AIR_CUBIC = cubicOf((t) => specificHeatJPerKgK(DRY_AIR, t));
const WATER_CUBIC = cubicOf((t) => specificHeatJPerKgK(WATER, t));

/**
 * Specific heat of fuel vapour, A1 + A2 t + A3 t2 + A4 t3 + A5 / t2 in cal/(mol K), t = T / 1000 K.
 * Source: Heywood (1988) table D.5 (from memory; petrol's set seen in public source code).
 */
const VAPOURS = [
  { oxygen: 0, molarMass: 114.8e-3, a: [-24.078, 256.63, -201.68, 64.75, 0.5808] },
  {
    oxygen: oxygenMassFraction({ carbon: 2, hydrogen: 6, oxygen: 1 }),
    molarMass: ETHANOL.molarMassKgPerMol,
    a: [6.99, 39.741, -11.926, 0, 0],
  },
  {
    oxygen: oxygenMassFraction({ carbon: 1, hydrogen: 4, oxygen: 1 }),
    molarMass: METHANOL.molarMassKgPerMol,
    a: [-2.7059, 44.168, -27.501, 7.2193, 0.20299],
  },
].map(({ oxygen, molarMass, a }) => ({
  oxygen,
  cubic: cubicOf((temperatureK) => {
    const t = temperatureK / 1000;
    return (CALORIE_J / molarMass) * (a[0]! + t * (a[1]! + t * (a[2]! + t * a[3]!)) + a[4]! / (t * t));
  }),
}));

/** Gases of one charge; reused. Energies carry the heats of formation. */
export interface ChargeGas {
  massKg: number;
  fuelKg: number;
  /** Unburned mixture: cubic specific heat [J/(kg K)] over thousands of kelvin, enthalpy constant [J/kg]. */
  c0: number;
  c1: number;
  c2: number;
  c3: number;
  enthalpyConstant: number;
  unburnedGasConstant: number;
  burnedGasConstant: number;
  /** Burned gas and unburnt wastes. */
  readonly burned: BurnedTable;
  /** Diluents in the unburned mixture [mol/mol]. */
  diluentMoleShare: number;
  /** Lower heating value of the fuel and what of it a complete flame sets free [J]. */
  fuelHeatJ: number;
  releasableHeatJ: number;
  /** Enthalpy of the burned gas at 298.15 K [J/kg]. */
  burnedReferenceJPerKg: number;
  /** What the prepared numbers belong to. */
  readonly madeFor: Float64Array;
}

/** An empty {@link ChargeGas} [kg, J, J/kg]. */
export const newChargeGas = (): ChargeGas => ({
  massKg: 0,
  fuelKg: 0,
  c0: 0,
  c1: 0,
  c2: 0,
  c3: 0,
  enthalpyConstant: 0,
  unburnedGasConstant: 287,
  burnedGasConstant: 287,
  burned: newBurnedTable(),
  diluentMoleShare: 0,
  fuelHeatJ: 0,
  releasableHeatJ: 0,
  burnedReferenceJPerKg: 0,
  madeFor: new Float64Array(12),
});

/** Enthalpy of the unburned mixture [J/kg] at a temperature [K]. Source: integral of the cubic. */
export const unburnedEnthalpy = (gas: ChargeGas, temperatureK: number): number => {
  const t = temperatureK * 1e-3;
  return (
    gas.enthalpyConstant + temperatureK * (gas.c0 + t * (gas.c1 * 0.5 + t * (gas.c2 * (1 / 3) + t * gas.c3 * 0.25)))
  );
};

const alreadyMade = (
  gas: ChargeGas,
  charge: CycleCharge,
  pressurePa: number,
  combustionEfficiency: number,
): boolean => {
  const { fuel } = charge;
  const m = gas.madeFor;
  if (
    m[0] === charge.airKg &&
    m[1] === charge.residualFraction &&
    m[2] === charge.lambda &&
    m[3] === charge.waterPerAir &&
    m[4] === fuel.hydrogenToCarbon &&
    m[5] === fuel.oxygenToCarbon &&
    m[6] === fuel.lowerHeatingValueJPerKg &&
    m[7] === fuel.latentHeatJPerKg &&
    m[8] === fuel.molarMassKgPerMol &&
    m[9] === fuel.stoichiometricAirFuelRatio &&
    m[10] === pressurePa &&
    m[11] === combustionEfficiency
  ) {
    return true;
  }
  m[0] = charge.airKg;
  m[1] = charge.residualFraction;
  m[2] = charge.lambda;
  m[3] = charge.waterPerAir;
  m[4] = fuel.hydrogenToCarbon;
  m[5] = fuel.oxygenToCarbon;
  m[6] = fuel.lowerHeatingValueJPerKg;
  m[7] = fuel.latentHeatJPerKg;
  m[8] = fuel.molarMassKgPerMol;
  m[9] = fuel.stoichiometricAirFuelRatio;
  m[10] = pressurePa;
  m[11] = combustionEfficiency;
  return false;
};

/**
 * Prepares the gases of a charge. The unburned mixture is dry air, water vapour, fuel vapour and cold burned gas by mass;
 * the fuel's heat of formation follows from its heating value, so that the heat set free is that of the fuel given.
 *
 * @param charge what is in the cylinder [kg, K, -]
 * @param burnPressurePa near which it burns [Pa]
 * @param combustionEfficiency share of the heat that a real flame sets free [-]; the rest leaves as unburned fuel
 * @param gas result, reused
 * @returns null, or the reason why not: `charge-impossible`, `lambda-not-burnable`, `fuel-unknown-gas`
 * Source: ideal mixture; definition of the lower heating value; combustion efficiency Heywood (1988) sect. 3.5.5.
 */
export const prepareGas = (
  charge: CycleCharge,
  burnPressurePa: number,
  combustionEfficiency: number,
  gas: ChargeGas,
): Reason | null => {
  const { fuel, lambda, waterPerAir, residualFraction, airKg } = charge;
  if (alreadyMade(gas, charge, burnPressurePa, combustionEfficiency)) return null;
  gas.madeFor[0] = Number.NaN;
  if (!(lambda >= LAMBDA_RANGE.from && lambda <= LAMBDA_RANGE.to)) return CYLINDER_REASONS.lambda;
  const hydrogen = fuel.hydrogenToCarbon - 2 * fuel.oxygenToCarbon;
  if (!(hydrogen >= HYDROGEN_RANGE.from && hydrogen <= HYDROGEN_RANGE.to && fuel.oxygenToCarbon >= 0)) {
    return CYLINDER_REASONS.fuel;
  }
  if (!(airKg > 0 && residualFraction >= 0 && residualFraction <= 0.6 && waterPerAir >= 0 && waterPerAir <= 0.5)) {
    return CYLINDER_REASONS.charge;
  }
  const fuelKg = airKg / (lambda * fuel.stoichiometricAirFuelRatio);
  const waterKg = waterPerAir * airKg;
  const freshKg = airKg + fuelKg + waterKg;
  const massKg = freshKg / (1 - residualFraction);
  // Any CHyOz burns as CH(y-2z) with z molecules of water beside it: the atoms are the same.
  const carbonMass = fuelMolarMassPerCarbonKgPerMol(fuel);
  const boundWater = (fuel.oxygenToCarbon * WATER_MOLAR_MASS) / carbonMass;
  const water = (waterKg + boundWater * fuelKg) / (airKg + fuelKg * (1 - boundWater));
  if (!(water <= MOST_WATER)) return CYLINDER_REASONS.charge;
  mixBurnedTable(hydrogen, lambda, water, burnPressurePa, gas.burned);

  const { frozen, values } = gas.burned;
  const oxygenShare = (fuel.oxygenToCarbon * 15.999e-3) / carbonMass;
  const [petrol, ethanol, methanol] = VAPOURS;
  const upper = oxygenShare > ethanol!.oxygen ? methanol! : ethanol!;
  const lower = oxygenShare > ethanol!.oxygen ? ethanol! : petrol!;
  const alcohol = Math.min(1, (oxygenShare - lower.oxygen) / (upper.oxygen - lower.oxygen));
  const air = airKg / massKg;
  const vapour = waterKg / massKg;
  const fuelShare = fuelKg / massKg;
  const mix = (i: number): number =>
    air * AIR_CUBIC[i]! +
    vapour * WATER_CUBIC[i]! +
    residualFraction * frozen[i]! +
    fuelShare * (lower.cubic[i]! * (1 - alcohol) + upper.cubic[i]! * alcohol);
  gas.c0 = mix(0);
  gas.c1 = mix(1);
  gas.c2 = mix(2);
  gas.c3 = mix(3);
  gas.unburnedGasConstant =
    air * DRY_AIR.gasConstantJPerKgK +
    vapour * WATER.gasConstantJPerKgK +
    residualFraction * frozen[5]! +
    (fuelShare * MOLAR_GAS_CONSTANT_J_PER_MOL_K) / fuel.molarMassKgPerMol;
  gas.burnedGasConstant = frozen[5]!;
  gas.massKg = massKg;
  gas.fuelKg = fuelKg;
  gas.diluentMoleShare = (residualFraction * frozen[5]! + vapour * WATER.gasConstantJPerKgK) / gas.unburnedGasConstant;
  gas.fuelHeatJ = fuelKg * fuel.lowerHeatingValueJPerKg;
  gas.burnedReferenceJPerKg = frozen[4]! + cubicEnthalpy(frozen, REFERENCE_K);

  // The unburned mixture stands above its products by the heat of the fuel as vapour, less what a rich flame cannot free.
  const complete = gas.fuelHeatJ - frozen[6]! * freshKg;
  const asVapour = (complete + fuelKg * fuel.latentHeatJPerKg) / massKg;
  gas.enthalpyConstant = 0;
  gas.enthalpyConstant = gas.burnedReferenceJPerKg + asVapour - unburnedEnthalpy(gas, REFERENCE_K);
  // What a real flame leaves stays in the burned gas as energy that neither heats nor pushes.
  const kept = (1 - combustionEfficiency) * asVapour;
  for (let i = 0; i < BURNED_NODES; i++) values[i]! += kept;
  gas.burnedReferenceJPerKg += kept;
  gas.releasableHeatJ = combustionEfficiency * complete;
  gas.madeFor[0] = airKg;
  return null;
};
