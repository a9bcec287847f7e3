/**
 * Burned gas at chemical equilibrium: what it is made of, its energy and its volume, with dissociation.
 *
 * Eleven species in equilibrium above 1800 K; below 1600 K the composition is the frozen one of the laws' room (complete
 * combustion when lean, water-gas constant 3.5 when rich, which is equilibrium near 1740 K); in between a blend of both.
 */
import { burnedGasMoles, type FuelAtoms, MOLAR_GAS_CONSTANT_J_PER_MOL_K } from '../physics/index.ts';
import { enthalpyOverRT, gibbsOverRT, HOT_MOLAR_MASSES, HOT_SPECIES } from './radicals.ts';

const ATMOSPHERE_PA = 101325;
/** Between these temperatures [K] the frozen composition passes into the equilibrium one. */
const FROZEN_BELOW_K = 1600;
const EQUILIBRIUM_ABOVE_K = 1800;

/** Atoms of a burned mixture, in moles per mole of fuel carbon. */
export interface BurnedAtoms {
  readonly carbon: number;
  readonly hydrogen: number;
  readonly oxygen: number;
  readonly nitrogen: number;
  readonly argon: number;
  /** Moles at low temperature, in the order of {@link HOT_SPECIES}. */
  readonly frozen: Float64Array;
  /** Mass per mole of fuel carbon [kg/mol]. */
  readonly massKgPerMol: number;
}

/**
 * Atoms and frozen products of a fuel burned in dry air, with water beside.
 *
 * @param fuel atoms per carbon [-]
 * @param lambda relative air-fuel ratio [-]
 * @param waterPerDryCharge water beside the fuel and the dry air, over both [kg/kg]
 * @returns the atoms, or null where carbon would stay solid (lambda below about 0.4)
 * Source: balance of atoms; products of Heywood (1988) sect. 4.9.
 */
export const burnedAtoms = (fuel: FuelAtoms, lambda: number, waterPerDryCharge: number): BurnedAtoms | null => {
  const moles = burnedGasMoles(fuel, lambda);
  if (!moles.ok) return null;
  const frozen = Float64Array.from(HOT_SPECIES, (species) => (moles.value as Record<string, number>)[species] ?? 0);
  let mass = 0;
  for (let i = 0; i < frozen.length; i++) mass += frozen[i]! * HOT_MOLAR_MASSES[i]!;
  const water = (waterPerDryCharge * mass) / HOT_MOLAR_MASSES[2]!;
  frozen[2]! += water;
  const [co2, co, h2o, h2, o2, n2, ar] = frozen as unknown as number[];
  return {
    carbon: co2! + co!,
    hydrogen: 2 * (h2o! + h2!),
    oxygen: 2 * co2! + co! + h2o! + 2 * o2!,
    nitrogen: 2 * n2!,
    argon: ar!,
    frozen,
    massKgPerMol: mass * (1 + waterPerDryCharge),
  };
};

const equilibriumConstants = new Float64Array(6);

/** Constants of formation of CO2, H2O, OH, H, O, NO from CO, H2, O2, N2, at 1 atm. */
const constantsAt = (temperatureK: number): Float64Array => {
  const g = (index: number) => gibbsOverRT(index, temperatureK);
  const k = equilibriumConstants;
  const oxygen = g(4);
  const hydrogen = g(3);
  k[0] = Math.exp(g(1) + 0.5 * oxygen - g(0));
  k[1] = Math.exp(hydrogen + 0.5 * oxygen - g(2));
  k[2] = Math.exp(0.5 * (hydrogen + oxygen) - g(7));
  k[3] = Math.exp(0.5 * hydrogen - g(8));
  k[4] = Math.exp(0.5 * oxygen - g(9));
  k[5] = Math.exp(0.5 * (g(5) + oxygen) - g(10));
  return k;
};

/** Positive root of a x2 + b x = c. */
const positiveRoot = (a: number, b: number, c: number): number => (2 * c) / (b + Math.sqrt(b * b + 4 * a * c));

const partial = new Float64Array(HOT_SPECIES.length);

/** Partial pressures [atm] of the atoms at `scale` atm per mole when the root of oxygen's is `o`; returns oxygen too many. */
const oxygenExcess = (atoms: BurnedAtoms, k: Float64Array, scale: number, o: number): number => {
  const carbonMonoxide = (scale * atoms.carbon) / (1 + o * k[0]!);
  const h = positiveRoot(2 * (1 + o * k[1]!), k[2]! * o + k[3]!, scale * atoms.hydrogen);
  const n = positiveRoot(2, k[5]! * o, scale * atoms.nitrogen);
  partial[0] = carbonMonoxide * o * k[0]!;
  partial[1] = carbonMonoxide;
  partial[2] = h * h * o * k[1]!;
  partial[3] = h * h;
  partial[4] = o * o;
  partial[5] = n * n;
  partial[6] = scale * atoms.argon;
  partial[7] = k[2]! * h * o;
  partial[8] = k[3]! * h;
  partial[9] = k[4]! * o;
  partial[10] = k[5]! * n * o;
  return (
    2 * partial[0]! +
    partial[1]! +
    partial[2]! +
    2 * partial[4]! +
    partial[7]! +
    partial[9]! +
    partial[10]! -
    scale * atoms.oxygen
  );
};

const sumOfPartials = (): number => {
  let sum = 0;
  for (let i = 0; i < partial.length; i++) sum += partial[i]!;
  return sum;
};

/** Moles of each species at equilibrium, into `moles`. Bracketed start, then Newton on the logarithms of both unknowns. */
const equilibriumMoles = (atoms: BurnedAtoms, temperatureK: number, pressurePa: number, moles: Float64Array): void => {
  const k = constantsAt(temperatureK);
  const pressure = pressurePa / ATMOSPHERE_PA;
  let total = 0;
  for (let i = 0; i < 7; i++) total += atoms.frozen[i]!;
  let logScale = Math.log(pressure / total);
  // The excess of oxygen rises with o, so there is one root; halving brings it near.
  let low = -30;
  let high = 0.5 * Math.log(0.5 * Math.exp(logScale) * atoms.oxygen) + 1e-9;
  while (high - low > 0.5) {
    const middle = 0.5 * (low + high);
    if (oxygenExcess(atoms, k, Math.exp(logScale), Math.exp(middle)) < 0) low = middle;
    else high = middle;
  }
  let logO = high;
  const step = 1e-6;
  for (let round = 0; round < 60; round++) {
    const scale = Math.exp(logScale);
    const o = Math.exp(logO);
    const full = scale * atoms.oxygen;
    const excess = oxygenExcess(atoms, k, scale, o) / full;
    const total = Math.log(sumOfPartials() / pressure);
    const excessByO = (oxygenExcess(atoms, k, scale, o * (1 + step)) / full - excess) / step;
    const totalByO = (Math.log(sumOfPartials() / pressure) - total) / step;
    const excessByScale = (oxygenExcess(atoms, k, scale * (1 + step), o) / (full * (1 + step)) - excess) / step;
    const totalByScale = (Math.log(sumOfPartials() / pressure) - total) / step;
    const determinant = excessByO * totalByScale - excessByScale * totalByO;
    const moveO = (excessByScale * total - totalByScale * excess) / determinant;
    const moveScale = (totalByO * excess - excessByO * total) / determinant;
    logO += Math.min(1, Math.max(-1, moveO));
    logScale += Math.min(0.2, Math.max(-0.2, moveScale));
    if (Math.abs(moveO) < 1e-7 && Math.abs(moveScale) < 1e-10) break;
  }
  const scale = Math.exp(logScale);
  oxygenExcess(atoms, k, scale, Math.exp(logO));
  for (let i = 0; i < partial.length; i++) moles[i] = partial[i]! / scale;
};

/** Burned gas at one state; reused between calls. */
export interface BurnedState {
  /** Internal energy, heat of formation included [J/kg]. */
  energyJPerKg: number;
  /** Pressure times specific volume [J/kg]. */
  pressureVolumeJPerKg: number;
  /** Moles per mole of fuel carbon, in the order of {@link HOT_SPECIES}. */
  readonly moles: Float64Array;
}

/** An empty {@link BurnedState} [J/kg]. */
export const newBurnedState = (): BurnedState => ({
  energyJPerKg: 0,
  pressureVolumeJPerKg: 0,
  moles: new Float64Array(HOT_SPECIES.length),
});

/**
 * Energy and pressure times volume of burned gas.
 *
 * @param atoms of the mixture [mol/mol C]
 * @param temperatureK [K], 200 to 4000
 * @param pressurePa [Pa], above 0
 * @param out result, reused
 * @returns `out`
 * Source: equilibrium constants, Heywood (1988) sect. 3.7.1, eq. 3.37 to 3.40; frozen products of sect. 4.9.
 */
export const burnedState = (
  atoms: BurnedAtoms,
  temperatureK: number,
  pressurePa: number,
  out: BurnedState,
): BurnedState => {
  const { moles } = out;
  const share = Math.min(1, Math.max(0, (temperatureK - FROZEN_BELOW_K) / (EQUILIBRIUM_ABOVE_K - FROZEN_BELOW_K)));
  // Smooth at both ends, so that the specific heat has no step.
  const weight = share * share * (3 - 2 * share);
  if (weight > 0) equilibriumMoles(atoms, temperatureK, pressurePa, moles);
  let total = 0;
  let enthalpy = 0;
  for (let i = 0; i < moles.length; i++) {
    const n = weight > 0 ? weight * moles[i]! + (1 - weight) * atoms.frozen[i]! : atoms.frozen[i]!;
    moles[i] = n;
    total += n;
    if (n > 0) enthalpy += n * enthalpyOverRT(i, temperatureK);
  }
  const perMass = (MOLAR_GAS_CONSTANT_J_PER_MOL_K * temperatureK) / atoms.massKgPerMol;
  out.pressureVolumeJPerKg = total * perMass;
  out.energyJPerKg = (enthalpy - total) * perMass;
  return out;
};
