/**
 * Burned gas in its fast form: internal energy as a function of z = pressure times specific volume.
 *
 * In these two the cycle needs neither temperature nor composition, and dissociation costs nothing. Tables are made where
 * first asked for at the nodes of a grid over fuel, lambda, water and pressure, and mixed linearly between nodes; a node
 * depends on its own place only, so what a caller gets does not depend on what was asked before.
 *
 * The pressure at which the composition is in equilibrium is one per cycle, near that of burning. The share dissociated
 * goes with about its cube root: half the pressure moves the energy at 2600 K by 0.4 % of the heat at lambda 0.8 and 60 bar
 * and by 1.5 % at lambda 1 and 20 bar. What that does to a cycle is measured against equilibrium at every pressure in
 * `second-integration.test.ts`.
 */
import { type BurnedAtoms, burnedAtoms, burnedState, newBurnedState } from './equilibrium.ts';

/** Nodes of a table [-]. */
export const BURNED_NODES = 40;
/** First z of a table [J/kg], about 260 K; straight on below. */
export const BURNED_FROM = 75e3;
/** Last z of a table [J/kg], about 3700 K; straight on above. */
const BURNED_TO = 1.11e6;
/** Between nodes [J/kg]. */
export const BURNED_STEP = (BURNED_TO - BURNED_FROM) / (BURNED_NODES - 1);

/** Range of lambda of the tables [-]; richer leaves carbon solid, leaner does not burn. */
export const LAMBDA_RANGE = { from: 0.5, to: 2 } as const;
/** Range of hydrogen per carbon of the fuel once its oxygen is counted as water [-]. */
export const HYDROGEN_RANGE = { from: 1, to: 3 } as const;
/** Most water beside fuel and dry air [kg/kg]. */
export const MOST_WATER = 0.6;

const LAMBDA_STEP = 0.025;
/** Fuels are rounded to this; it moves the work by less than 1e-4. */
const HYDROGEN_STEP = 0.02;
const WATER_STEP = 0.05;
/** Lowest pressure node [Pa] and ratio between nodes. */
const PRESSURE_FROM = 5e5;
const PRESSURE_NODES = 4;
const LOG_PRESSURE_STEP = Math.log(4);

/**
 * Numbers of the cold gas: four coefficients of specific heat [J/(kg K)] over thousands of kelvin, enthalpy constant
 * [J/kg], gas constant [J/(kg K)], heat that its carbon monoxide and hydrogen could still give [J/kg].
 */
const FROZEN_NUMBERS = 7;
/** Heat of combustion of carbon monoxide and of hydrogen to vapour [J/mol]. Source: JANAF heats of formation. */
const CO_HEAT_J_PER_MOL = 282_980;
const H2_HEAT_J_PER_MOL = 241_826;

/** One node of the grid. */
interface BurnedNode {
  /** Energy at each z [J/kg], its slope over z [-], and z over temperature [J/(kg K)]. */
  readonly values: Float64Array;
  /** The cold gas as residual: cubic specific heat, enthalpy constant, gas constant. */
  readonly frozen: Float64Array;
}

/** A mixture of nodes, ready for the cycle; reused between calls. */
export interface BurnedTable {
  /** Energy [J/kg], slope [-] and z/T [J/(kg K)] at each node, one after the other. */
  readonly values: Float64Array;
  readonly frozen: Float64Array;
}

/** An empty {@link BurnedTable} [J/kg]. */
export const newBurnedTable = (): BurnedTable => ({
  values: new Float64Array(3 * BURNED_NODES),
  frozen: new Float64Array(FROZEN_NUMBERS),
});

/** Range over which cold gas is fitted [K]. */
const COLD_RANGE_K = { from: 280, to: 1200 } as const;

/**
 * Least-squares cubic in t = T / 1000 K through specific heats over 280 to 1200 K, into the first four of `out`.
 * Source: normal equations on 47 points.
 */
export const fitCubic = (specificHeat: (temperatureK: number) => number, out: Float64Array): void => {
  const a = Array.from({ length: 4 }, () => new Float64Array(5));
  for (let i = 0; i <= 46; i++) {
    const t = (COLD_RANGE_K.from + 20 * i) / 1000;
    const y = specificHeat(1000 * t);
    for (let r = 0; r < 4; r++) {
      for (let c = 0; c < 4; c++) a[r]![c]! += t ** (r + c);
      a[r]![4]! += y * t ** r;
    }
  }
  for (let i = 0; i < 4; i++) {
    for (let r = i + 1; r < 4; r++) {
      const factor = a[r]![i]! / a[i]![i]!;
      for (let c = i; c < 5; c++) a[r]![c]! -= factor * a[i]![c]!;
    }
  }
  for (let i = 3; i >= 0; i--) {
    let sum = a[i]![4]!;
    for (let c = i + 1; c < 4; c++) sum -= a[i]![c]! * out[c]!;
    out[i] = sum / a[i]![i]!;
  }
};

/** Enthalpy over its constant [J/kg] of a cubic specific heat at a temperature [K]. Source: integral. */
export const cubicEnthalpy = (c: Float64Array, temperatureK: number): number => {
  const t = temperatureK / 1000;
  return temperatureK * (c[0]! + t * (c[1]! / 2 + t * (c[2]! / 3 + (t * c[3]!) / 4)));
};

const state = newBurnedState();

const energyAt = (atoms: BurnedAtoms, temperatureK: number, pressurePa: number): number =>
  burnedState(atoms, temperatureK, pressurePa, state).energyJPerKg;

const makeNode = (hydrogen: number, lambda: number, water: number, pressurePa: number): BurnedNode => {
  const atoms = burnedAtoms({ hydrogenToCarbon: hydrogen, oxygenToCarbon: 0 }, lambda, water);
  if (!atoms) throw new RangeError(`Burned gas asked at lambda ${lambda}, outside the range of its tables.`);
  const values = new Float64Array(3 * BURNED_NODES);
  let temperatureK = 250;
  for (let i = 0; i < BURNED_NODES; i++) {
    const z = BURNED_FROM + i * BURNED_STEP;
    for (let round = 0; round < 20; round++) {
      const found = burnedState(atoms, temperatureK, pressurePa, state).pressureVolumeJPerKg;
      const move = (z - found) / (found / temperatureK);
      temperatureK += move;
      if (Math.abs(move) < 1e-7) break;
    }
    values[i] = energyAt(atoms, temperatureK, pressurePa);
    values[2 * BURNED_NODES + i] = z / temperatureK;
    const step = 0.5;
    const above = energyAt(atoms, temperatureK + step, pressurePa);
    const zAbove = state.pressureVolumeJPerKg;
    const below = energyAt(atoms, temperatureK - step, pressurePa);
    values[BURNED_NODES + i] = (above - below) / (zAbove - state.pressureVolumeJPerKg);
    temperatureK *= 1 + BURNED_STEP / z;
  }
  const frozen = new Float64Array(FROZEN_NUMBERS);
  const enthalpy = (t: number) => energyAt(atoms, t, pressurePa) + state.pressureVolumeJPerKg;
  fitCubic((t) => enthalpy(t + 0.5) - enthalpy(t - 0.5), frozen);
  frozen[4] = enthalpy(600) - cubicEnthalpy(frozen, 600);
  frozen[5] = state.pressureVolumeJPerKg / 600;
  frozen[6] = (atoms.frozen[1]! * CO_HEAT_J_PER_MOL + atoms.frozen[3]! * H2_HEAT_J_PER_MOL) / atoms.massKgPerMol;
  return { values, frozen };
};

const nodes = new Map<number, BurnedNode>();

const nodeAt = (hydrogen: number, lambda: number, water: number, pressure: number): BurnedNode => {
  const key = ((hydrogen * 128 + lambda) * 64 + water) * 8 + pressure;
  let node = nodes.get(key);
  if (!node) {
    node = makeNode(
      HYDROGEN_RANGE.from + hydrogen * HYDROGEN_STEP,
      LAMBDA_RANGE.from + lambda * LAMBDA_STEP,
      water * WATER_STEP,
      PRESSURE_FROM * Math.exp(pressure * LOG_PRESSURE_STEP),
    );
    nodes.set(key, node);
  }
  return node;
};

/** Nodes at the eight corners around a place and their weights; working space of {@link mixBurnedTable}. */
const corners: BurnedNode[] = [];
const weights = new Float64Array(8);

/** Weighted sum of one array over the corners, in one pass. */
const sumCorners = (a: readonly Float64Array[], to: Float64Array): void => {
  const [a0, a1, a2, a3, a4, a5, a6, a7] = a as readonly [
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
    Float64Array,
  ];
  const w0 = weights[0]!;
  const w1 = weights[1]!;
  const w2 = weights[2]!;
  const w3 = weights[3]!;
  const w4 = weights[4]!;
  const w5 = weights[5]!;
  const w6 = weights[6]!;
  const w7 = weights[7]!;
  for (let i = 0; i < to.length; i++) {
    to[i] =
      w0 * a0[i]! + w1 * a1[i]! + w2 * a2[i]! + w3 * a3[i]! + w4 * a4[i]! + w5 * a5[i]! + w6 * a6[i]! + w7 * a7[i]!;
  }
};
const valuesOfCorners: Float64Array[] = [];
const frozenOfCorners: Float64Array[] = [];

/**
 * Mixes the table of a burned gas.
 *
 * @param hydrogenToCarbon of the fuel, its oxygen counted as water [-], 1 to 3
 * @param lambda relative air-fuel ratio [-], 0.5 to 2
 * @param waterPerDryCharge water (with the fuel's own oxygen) over the hydrocarbon part and dry air [kg/kg], 0 to 0.6
 * @param pressurePa near which the gas burns [Pa]; held to 0.5 to 32 MPa
 * @param table result, reused
 * Source: {@link burnedState}; linear between nodes 0.025, 0.05 and a factor 4 apart.
 */
export const mixBurnedTable = (
  hydrogenToCarbon: number,
  lambda: number,
  waterPerDryCharge: number,
  pressurePa: number,
  table: BurnedTable,
): void => {
  const h = Math.round((hydrogenToCarbon - HYDROGEN_RANGE.from) / HYDROGEN_STEP);
  const l = (lambda - LAMBDA_RANGE.from) / LAMBDA_STEP;
  const w = waterPerDryCharge / WATER_STEP;
  const p = Math.min(PRESSURE_NODES - 1, Math.max(0, Math.log(pressurePa / PRESSURE_FROM) / LOG_PRESSURE_STEP));
  const l0 = Math.floor(l + 1e-9);
  const w0 = Math.floor(w);
  const p0 = Math.min(PRESSURE_NODES - 2, Math.floor(p));
  for (let corner = 0; corner < 8; corner++) {
    const dl = corner & 1;
    const dw = (corner >> 1) & 1;
    const dp = corner >> 2;
    const weight = (dl ? l - l0 : 1 - l + l0) * (dw ? w - w0 : 1 - w + w0) * (dp ? p - p0 : 1 - p + p0);
    const counts = Math.abs(weight) > 1e-9;
    weights[corner] = counts ? weight : 0;
    // A corner without weight need not be made; any other stands in for it.
    corners[corner] = counts ? nodeAt(h, l0 + dl, w0 + dw, p0 + dp) : (corners[0] ?? nodeAt(h, l0, w0, p0));
  }
  for (let corner = 0; corner < 8; corner++) {
    valuesOfCorners[corner] = corners[corner]!.values;
    frozenOfCorners[corner] = corners[corner]!.frozen;
  }
  sumCorners(valuesOfCorners, table.values);
  sumCorners(frozenOfCorners, table.frozen);
};

/** z [J/kg] held inside the table's reach. */
const nodeOf = (z: number): number => {
  const at = (z - BURNED_FROM) / BURNED_STEP;
  return at < 0 ? 0 : at > BURNED_NODES - 2 ? BURNED_NODES - 2 : Math.floor(at);
};

/**
 * Internal energy of burned gas [J/kg] at z = p v [J/kg]; cubic between nodes, straight on beyond the ends.
 * Source: Hermite interpolation of {@link burnedState}.
 */
export const burnedEnergy = (values: Float64Array, z: number): number => {
  if (z >= BURNED_TO) return values[BURNED_NODES - 1]! + values[2 * BURNED_NODES - 1]! * (z - BURNED_TO);
  if (z <= BURNED_FROM) return values[0]! + values[BURNED_NODES]! * (z - BURNED_FROM);
  const i = nodeOf(z);
  const f = (z - BURNED_FROM) / BURNED_STEP - i;
  const u0 = values[i]!;
  const u1 = values[i + 1]!;
  const s0 = BURNED_STEP * values[BURNED_NODES + i]!;
  const s1 = BURNED_STEP * values[BURNED_NODES + i + 1]!;
  const rise = u1 - u0;
  return u0 + f * (s0 + f * (3 * rise - 2 * s0 - s1 + f * (s0 + s1 - 2 * rise)));
};

/** Slope du/dz [-] of {@link burnedEnergy} at z [J/kg]. Source: its derivative. */
export const burnedSlope = (values: Float64Array, z: number): number => {
  if (z >= BURNED_TO) return values[2 * BURNED_NODES - 1]!;
  if (z <= BURNED_FROM) return values[BURNED_NODES]!;
  const i = nodeOf(z);
  const f = (z - BURNED_FROM) / BURNED_STEP - i;
  const s0 = BURNED_STEP * values[BURNED_NODES + i]!;
  const s1 = BURNED_STEP * values[BURNED_NODES + i + 1]!;
  const rise = values[i + 1]! - values[i]!;
  return (s0 + f * (2 * (3 * rise - 2 * s0 - s1) + 3 * f * (s0 + s1 - 2 * rise))) / BURNED_STEP;
};

/** Temperature of burned gas [K] at z = p v [J/kg]. Source: z over z/T, straight between nodes. */
export const burnedTemperatureK = (values: Float64Array, z: number): number => {
  const i = nodeOf(z);
  const f = Math.min(1, Math.max(0, (z - BURNED_FROM) / BURNED_STEP - i));
  const at = 2 * BURNED_NODES + i;
  return z / (values[at]! * (1 - f) + values[at + 1]! * f);
};

/** z = p v [J/kg] of burned gas that has an enthalpy [J/kg], from a guess [J/kg]. Source: Newton on u + z. */
export const burnedZFromEnthalpy = (values: Float64Array, enthalpy: number, guess: number): number => {
  let z = guess;
  for (let i = 0; i < 12; i++) {
    const move = (enthalpy - burnedEnergy(values, z) - z) / (burnedSlope(values, z) + 1);
    z += move;
    if (Math.abs(move) < 1) break;
  }
  return z;
};
