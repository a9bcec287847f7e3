import { describe, expect, it } from 'vitest';
import { runCheckRows } from '../physics/check-rows.testing.ts';
import {
  cylinderVolumeM3,
  DRY_AIR,
  expectSolved,
  findRoot,
  internalEnergyJPerKg,
  ottoEfficiency,
  specificHeatJPerKgK,
} from '../physics/index.ts';
import { BURNED_FROM, BURNED_NODES, BURNED_STEP, fitCubic } from './burned-table.ts';
import { cylinderWith, PETROL_98, solvedCycle } from './cases.testing.ts';
import type { Cylinder } from './cylinder.ts';
import { advance, anchorWall, KNOCK_SECONDS, knock } from './integrate.ts';
import {
  ANCHOR_H,
  ANGLE,
  ARG_P,
  ARG_TU,
  ARG_X,
  BURN_LENGTH,
  BURN_START,
  COMBUSTION_TERM,
  COSINE,
  FLAME_SLOPE,
  FLAME_TU,
  FLAME_Z,
  KNOCK_FACTOR,
  locate,
  MASS,
  P,
  PISTON_TERM,
  RATE_KNOCK,
  SECONDS_PER_DEG,
  SINE,
  TU,
  V,
  WORK,
} from './places.ts';

/** A gas put in by hand: cubic specific heat, gas constant, burned energy as a function of z = p v, heat between the two. */
interface ByHand {
  readonly cubic: ArrayLike<number>;
  readonly gasConstant: number;
  readonly burnedEnergy: (z: number) => number;
  readonly burnedSlope: (z: number) => number;
  /** Enthalpy constant of the unburned gas, on the burned gas's scale and with its heat [J/kg]. */
  readonly enthalpyConstant: number;
}

/**
 * Work over heat of a cycle from bottom to bottom dead centre without wall heat, burned within a hundredth of a degree.
 */
const idealEfficiency = (ratio: number, gas: ByHand, temperatureK: number, heatJPerKg: number): number => {
  const cylinder: Cylinder = cylinderWith({ compressionRatio: ratio, wallHeatFactor: 0 });
  const { state, gas: into } = cylinder;
  [into.c0, into.c1, into.c2, into.c3] = gas.cubic as unknown as [number, number, number, number];
  into.enthalpyConstant = gas.enthalpyConstant;
  into.unburnedGasConstant = gas.gasConstant;
  into.burnedGasConstant = gas.gasConstant;
  for (let i = 0; i < BURNED_NODES; i++) {
    const z = BURNED_FROM + i * BURNED_STEP;
    into.burned.values[i] = gas.burnedEnergy(z);
    into.burned.values[BURNED_NODES + i] = gas.burnedSlope(z);
    into.burned.values[2 * BURNED_NODES + i] = gas.gasConstant;
  }
  const massKg = 5e-4;
  into.massKg = massKg;
  state.fill(0);
  state[MASS] = massKg;
  state[SECONDS_PER_DEG] = 1e-9;
  state[PISTON_TERM] = 1;
  state[ANGLE] = -180;
  state[COSINE] = -1;
  state[SINE] = 0;
  state[TU] = temperatureK;
  locate(cylinder);
  state[P] = (massKg * gas.gasConstant * temperatureK) / cylinder.place[V]!;
  advance(cylinder, -0.005, 400, 0, false, 1e9, null);
  state[BURN_START] = -0.005;
  state[BURN_LENGTH] = 0.01;
  // The gas that burns first keeps its enthalpy.
  const enthalpy = unburnedEnergyAt(gas, state[TU]!) + gas.gasConstant * state[TU]!;
  const flameZ = expectSolved(findRoot((z) => gas.burnedEnergy(z) + z - enthalpy, 1.3e5, 1.29e6));
  state[FLAME_Z] = flameZ;
  state[FLAME_SLOPE] = 0.25;
  state[FLAME_TU] = state[TU]!;
  advance(cylinder, 0.005, 200, 0, true, 1e9, null);
  advance(cylinder, 180, 400, 0, false, 1e9, null);
  return state[WORK]! / (massKg * heatJPerKg);
};

const unburnedEnergyAt = (gas: ByHand, t: number): number => {
  const x = t / 1000;
  const [a, b, c, d] = gas.cubic as unknown as [number, number, number, number];
  return gas.enthalpyConstant + t * (a - gas.gasConstant + x * (b / 2 + x * (c / 3 + (x * d) / 4)));
};

describe('the ideal Otto cycle in the limit of instant burning and no wall heat', () => {
  const R = 287;
  const constant = (k: number, heatJPerKg: number): ByHand => ({
    cubic: [(k * R) / (k - 1), 0, 0, 0],
    gasConstant: R,
    burnedEnergy: (z) => z / (k - 1),
    burnedSlope: () => 1 / (k - 1),
    enthalpyConstant: heatJPerKg,
  });
  it.each([
    ['OT-01 (cold-air standard): ratio 9, k = 1.4 gives 0.584756', 9, 1.4, 0.584756],
    ['OT-02 (Balmer, Example 13.14): ratio 8, k = 1.4 gives 0.5647', 8, 1.4, 0.5647],
    ['ratio 12, k = 1.3 gives 1 - 12^-0.3', 12, 1.3, ottoEfficiency(12, 1.3)],
  ])('%s, within 0.0003', (_name, ratio, k, expected) => {
    expect(Math.abs(idealEfficiency(ratio, constant(k, 6e5), 300, 6e5) - expected)).toBeLessThan(3e-4);
  });

  it('OT-05 (Cengel & Boles, Example 9-2, from memory): air with its own specific heat, ratio 8, 290 K, 800 kJ/kg gives 0.5231 within 0.004', () => {
    const cubic = new Float64Array(4);
    fitCubic((t) => specificHeatJPerKgK(DRY_AIR, t), cubic);
    const r = DRY_AIR.gasConstantJPerKgK;
    const heat = 800e3;
    const bare: ByHand = {
      cubic,
      gasConstant: r,
      burnedEnergy: (z) => internalEnergyJPerKg(DRY_AIR, z / r),
      burnedSlope: (z) => specificHeatJPerKgK(DRY_AIR, z / r) / r - 1,
      enthalpyConstant: 0,
    };
    // Both scales meet at 300 K, the heat on top.
    const meet = internalEnergyJPerKg(DRY_AIR, 300) - unburnedEnergyAt(bare, 300);
    const efficiency = idealEfficiency(8, { ...bare, enthalpyConstant: meet + heat }, 290, heat);
    expect(Math.abs(efficiency - 0.5231)).toBeLessThan(0.004);
  });
});

describe('Woschni and Douaud-Eyzat as the integration has them', () => {
  const cylinder = cylinderWith({ wallHeatFactor: 1 });
  const { state, rate, place, gas } = cylinder;
  /** Coefficient [W/(m2 K)] at a pressure, temperature and gas speed. */
  const coefficient = (pressurePa: number, temperatureK: number, speed: number): number => {
    state.fill(0);
    gas.unburnedGasConstant = 287;
    state[MASS] = 1e-3;
    state[SECONDS_PER_DEG] = 1;
    state[PISTON_TERM] = speed;
    locate(cylinder);
    place[V] = (1e-3 * 287 * temperatureK) / pressurePa;
    rate[ARG_P] = pressurePa;
    rate[ARG_X] = 0;
    anchorWall(cylinder);
    return rate[ANCHOR_H]!;
  };
  /** Induction time [s] by the rate of the integral. */
  const delay = (octane: number, pressurePa: number, temperatureK: number): number => {
    state[KNOCK_FACTOR] = Math.exp(-3.402 * Math.log(octane / 100)) / KNOCK_SECONDS;
    rate[ARG_P] = pressurePa;
    rate[ARG_TU] = temperatureK;
    knock(cylinder);
    return 1 / rate[RATE_KNOCK]!;
  };
  const ATM = 101325;
  const DOUAUD = 'Douaud & Eyzat, SAE 780080; Heywood (1988) sect. 9.6';
  // A cylinder whose mean piston speed, swept and closing volume are the row's.
  const strokeM = 0.086;
  const boreM = Math.sqrt((4 * 0.5e-3) / (Math.PI * strokeM));
  const geometry = { boreM, strokeM, rodLengthM: 1.65 * strokeM, compressionRatio: 10 };
  const closing = expectSolved(findRoot((angle) => cylinderVolumeM3(geometry, angle) - 0.55e-3, -175, -90));
  const asked = (): Cylinder => {
    const made = cylinderWith({ boreM, strokeM, compressionRatio: 10, rodToCrank: 3.3, intakeClosingDeg: closing });
    solvedCycle(
      made,
      {
        engineSpeedRpm: (17.2 * 60) / (2 * strokeM),
        airKg: 0.7e-3,
        temperatureK: 350,
        residualFraction: 0.05,
        lambda: 1,
        fuel: PETROL_98,
        waterPerAir: 0,
        evaporationJPerKgAir: 0,
        exhaustPressurePa: 1.6e5,
      },
      20,
    );
    return made;
  };
  runCheckRows([
    {
      id: 'WO-01',
      source: 'Heywood (1988) sect. 12.4.3',
      expected: 814.2,
      relative: 0.001,
      got: () => coefficient(5e6, 2000, 20),
    },
    {
      id: 'WO-02',
      source: 'Heywood (1988) sect. 12.4.3',
      expected: 39.216,
      relative: 1e-4,
      got: () => asked().state[PISTON_TERM]!,
    },
    {
      id: 'WO-03',
      source: 'Heywood (1988) sect. 12.4.3',
      expected: 59.834,
      relative: 5e-4,
      got: () => {
        const made = asked();
        // The row's reference pressure is 150 kPa; the cycle's own is what was trapped.
        const closingPa = (made.state[MASS]! * made.gas.unburnedGasConstant * 350) / 0.55e-3;
        return made.state[PISTON_TERM]! + made.state[COMBUSTION_TERM]! * (closingPa / 150e3) * 3e6;
      },
    },
    { id: 'KN-01', source: DOUAUD, expected: 5.2904, relative: 0.001, got: () => 1e3 * delay(95, 30 * ATM, 800) },
    { id: 'KN-02', source: DOUAUD, expected: 17.2249, relative: 0.001, got: () => 1e3 * delay(100, 20 * ATM, 750) },
    { id: 'KN-03', source: DOUAUD, expected: 5.4101, relative: 0.001, got: () => 1e3 * delay(95, 3e6, 800) },
    {
      id: 'KN-04',
      source: DOUAUD,
      expected: 1.28674,
      relative: 1e-4,
      got: () => delay(98, 3e6, 800) / delay(91, 3e6, 800),
    },
    {
      id: 'KN-05',
      source: 'Livengood & Wu 1955',
      expected: 0.189,
      relative: 0.001,
      got: () => 1e-3 / delay(95, 30 * ATM, 800),
    },
    {
      id: 'KN-06',
      source: 'Livengood & Wu 1955',
      expected: 0.6332,
      relative: 0.002,
      got: () => {
        // Simpson's rule in steps of a fiftieth, as the integration takes it.
        const n = 50;
        const at = (s: number) => 1.5e-3 / delay(95, (20 + 40 * s) * ATM, 750 + 150 * s);
        let sum = 0;
        for (let i = 0; i < n; i++) sum += (at(i / n) + 4 * at((i + 0.5) / n) + at((i + 1) / n)) / (6 * n);
        return sum;
      },
    },
  ]);
});
