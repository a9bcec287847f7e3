/** A cylinder made ready for many cycles: geometry as numbers, working space of the integration. */
import { circleAreaM2, type Reason, type Solved, solved, unsolved } from '../physics/index.ts';
import { USUAL_BURN } from './burn-law.ts';
import { type ChargeGas, newChargeGas } from './charge-gas.ts';
import { CYLINDER_REASONS } from './reasons.ts';
import type { CylinderSpec } from './types.ts';

/** A cylinder with its working space; one cycle at a time. */
export interface Cylinder {
  readonly spec: CylinderSpec;
  readonly boreAreaM2: number;
  readonly crankRadiusM: number;
  readonly sweptM3: number;
  readonly clearanceM3: number;
  readonly clearanceHeightM: number;
  /** Head (1.2 bores) and crown (one) [m2]. */
  readonly chamberAreaM2: number;
  /** Circumference of the bore [m]. */
  readonly linerPerTravelM: number;
  /** 3.26 B^-0.2, of pressure in kPa [W/(m2 K) ...]. */
  readonly wallFactor: number;
  readonly gas: ChargeGas;
  /** State, rates and geometry of the integration; see the cycle. */
  readonly state: Float64Array;
  readonly rate: Float64Array;
  readonly place: Float64Array;
}

/**
 * What is usual where nothing better is known: valve angles of a four-valve road engine, walls of a warm engine at load.
 * Source: angles and wall temperatures common practice (Heywood (1988) sect. 6.3.1 and 12.7 give the ranges); combustion
 * efficiency sect. 3.5.5: 95 to 98 % lean of stoichiometric.
 */
export const USUAL_CYLINDER = {
  rodToCrank: 3.3,
  intakeClosingDeg: -130,
  exhaustOpeningDeg: 130,
  chamberWallK: 480,
  linerWallK: 410,
  wallHeatFactor: 1.15,
  portHeatFactor: 1.2,
  combustionEfficiency: 0.965,
  burn: USUAL_BURN,
} as const;

/** Area of the head's inside over that of the bore [-]. Source: Heywood (1988) sect. 2.2 leaves it open; pent roof, common practice. */
const HEAD_AREA_RATIO = 1.2;

const within = (value: number, low: number, high: number): boolean => value >= low && value <= high;

const possible = (spec: CylinderSpec): boolean =>
  within(spec.boreM, 0.02, 0.5) &&
  within(spec.strokeM, 0.02, 0.5) &&
  within(spec.rodToCrank, 1.5, 6) &&
  within(spec.compressionRatio, 4, 20) &&
  within(spec.intakeClosingDeg, -175, -60) &&
  within(spec.exhaustOpeningDeg, 60, 175) &&
  within(spec.chamberWallK, 250, 900) &&
  within(spec.linerWallK, 250, 900) &&
  within(spec.wallHeatFactor, 0, 5) &&
  within(spec.portHeatFactor, 0, 5) &&
  within(spec.combustionEfficiency, 0.5, 1) &&
  within(spec.burn.developmentDeg, 0.1, 80) &&
  within(spec.burn.rapidDeg, 0.1, 80) &&
  within(spec.burn.slowShare, 0, 0.5) &&
  within(spec.burn.slowStretch, 1, 5);

/**
 * Makes a cylinder ready.
 *
 * @param spec dimensions, valve angles, walls, burning; {@link USUAL_CYLINDER} has the usual ones [m, deg, K, -]
 * @returns a {@link Cylinder}. Reason: `cylinder-impossible`.
 * Source: Heywood (1988) eq. 2.1 to 2.8.
 */
export const prepareCylinder = (spec: CylinderSpec): Solved<Cylinder> => {
  if (!possible(spec)) return unsolved(CYLINDER_REASONS.engine.code, CYLINDER_REASONS.engine.says);
  const area = circleAreaM2(spec.boreM);
  const swept = area * spec.strokeM;
  const clearance = swept / (spec.compressionRatio - 1);
  return solved({
    spec,
    boreAreaM2: area,
    crankRadiusM: spec.strokeM / 2,
    sweptM3: swept,
    clearanceM3: clearance,
    clearanceHeightM: clearance / area,
    chamberAreaM2: (1 + HEAD_AREA_RATIO) * area,
    linerPerTravelM: Math.PI * spec.boreM,
    wallFactor: 3.26 * spec.boreM ** -0.2 * spec.wallHeatFactor,
    gas: newChargeGas(),
    state: new Float64Array(31),
    rate: new Float64Array(12),
    place: new Float64Array(7),
  });
};

/** A refusal as the laws' room shapes it, without allocation. */
export type Refusal = Reason | null;
