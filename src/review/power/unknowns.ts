/** Everything that moves a power estimate without being exactly known, and which estimates it moves. */
import { type Car, type Input, type ResolvedBuild, withSample } from '../../car/index.ts';
import type { LogErrors } from './log-errors.ts';

/** Air comes in two: by density and by meter. */
export const METHODS = ['density', 'meter', 'fuel', 'acceleration'] as const;
export type Method = (typeof METHODS)[number];

const COMBUSTION: readonly Method[] = ['density', 'meter', 'fuel'];
const DENSITY: readonly Method[] = ['density'];
const METER: readonly Method[] = ['meter'];
const FUEL: readonly Method[] = ['fuel'];
const MOTION: readonly Method[] = ['acceleration'];

/** Inputs of the build, by path; the rest of the sheet does not enter. */
const INPUT_MOVES: Readonly<Record<string, readonly Method[]>> = {
  'engine.indicatedEfficiency': COMBUSTION,
  'engine.frictionPressure': COMBUSTION,
  'engine.frictionPerSpeed': COMBUSTION,
  'engine.frictionPerSpeedSquared': COMBUSTION,
  'engine.compressionRatio': COMBUSTION,
  'engine.displacement': COMBUSTION,
  'engine.volumetricEfficiency': DENSITY,
  'engine.inertia': MOTION,
  'learned.torque': COMBUSTION,
  'learned.residualEffect': DENSITY,
  'fuel.lowerHeatingValue': COMBUSTION,
  'fuel.stoichiometricAirFuelRatio': COMBUSTION,
  'fuel.density': FUEL,
  'fuelSystem.injectorFlow': FUEL,
  'fuelSystem.injectorReferencePressure': FUEL,
  'fuelSystem.injectorDeadTime': FUEL,
  'fuelSystem.injectorDeadTimePerVolt': FUEL,
  'fuelSystem.railPressure': FUEL,
  'injection.methanolMassFraction': FUEL,
  'driveline.efficiency': MOTION,
  'driveline.drivenInertia': MOTION,
  'driveline.inputInertia': MOTION,
  'driveline.undrivenRotatingMass': MOTION,
  'driveline.finalDrive': MOTION,
  'tyres.rollingRadius': MOTION,
  'tyres.grip': MOTION,
  'body.mass': MOTION,
  'body.dragArea': MOTION,
  'body.rollingResistance': MOTION,
};

const ERROR_MOVES: Readonly<Record<keyof LogErrors, readonly Method[]>> = {
  manifoldPressureGain: COMBUSTION,
  manifoldPressureOffsetPa: COMBUSTION,
  chargeTemperatureK: DENSITY,
  chargeTemperatureLagS: DENSITY,
  lambdaGain: COMBUSTION,
  airFlowGain: METER,
  fuelPressurePa: FUEL,
  exhaustPressureGain: COMBUSTION,
  bestTimingDeg: COMBUSTION,
  unloggedTiming: COMBUSTION,
  injectionFlowGain: FUEL,
  accessoryPowerW: COMBUSTION,
  airDensityGain: MOTION,
  grade: MOTION,
  headWindMPerS: MOTION,
  tyreSlipGain: MOTION,
  rollingGrowthGain: MOTION,
  tyreGrowthGain: MOTION,
  startSlip: MOTION,
};

/**
 * What an owner types from data sheets is nearer the truth than the spreads among parts of a kind: over the labelled logs
 * mass, drag area, rolling resistance, filling, injectors and meter are off by 0.5, 1.0, 0.6, 0.8, 0.9 and 0.75 of their
 * spreads (rms), and this is the mean square of them. Counted from told and true cars, not from powers.
 */
const DATA_SHEET_SHARE = 0.75;

/** Shares [-] of the spreads of single inputs, with the reason. */
const SHARES: Readonly<Record<string, number>> = {
  // The spread of a filling curve is that of its points; what differs from point to point is the shape that `combine` has.
  'engine.volumetricEfficiency': 0.8,
  // Counted above; in the band `BELIEF` takes all spreads down, which a single large one must not be.
  'fuelSystem.injectorFlow': 1.25,
  // The spread is of a cycle that finds the work by itself; here the typed efficiency is taken, and mixture and timing follow it.
  'learned.torque': 0.5,
};

const spreadShare = ({ path, source }: Input): number => {
  const share = SHARES[path];
  if (share !== undefined) return share;
  // Injectors of one kind do differ among themselves as their sheet says.
  return source === 'data-sheet' && !path.startsWith('fuelSystem.') ? DATA_SHEET_SHARE : 1;
};

/** One unknown: an input of the build moved by `step` standard deviations, or an error of the log. */
export type Unknown =
  | { readonly moves: readonly Method[]; readonly input: number; readonly step: number }
  | { readonly moves: readonly Method[]; readonly error: keyof LogErrors };

/** The unknowns of a build's powers, in a fixed order. */
export const unknownsOf = ({ inputs }: ResolvedBuild): readonly Unknown[] => [
  ...inputs.flatMap((input, index): Unknown[] => {
    const moves = INPUT_MOVES[input.path];
    return moves ? [{ moves, input: index, step: spreadShare(input) }] : [];
  }),
  ...Object.entries(ERROR_MOVES).map(([error, moves]): Unknown => ({ moves, error: error as keyof LogErrors })),
];

const movedOf = new WeakMap<ResolvedBuild, readonly Car[]>();

/** The car moved by each of its unknowns, in the order of {@link unknownsOf}: itself where an error of the log moves. Made once per build. */
export const movedCars = (resolved: ResolvedBuild): readonly Car[] => {
  let cars = movedOf.get(resolved);
  if (!cars) {
    cars = unknownsOf(resolved).map((unknown) => {
      if ('error' in unknown) return resolved.car;
      const z = new Float64Array(resolved.inputs.length);
      z[unknown.input] = unknown.step;
      return withSample(resolved, z);
    });
    movedOf.set(resolved, cars);
  }
  return cars;
};
