/**
 * What part load asks about an engine and no build sheet says: by engine class, from published values, each with its
 * source and its plus-minus. Apart from the numbers of the sheet, so that the full-throttle match keeps its own inputs.
 */
import type { FrictionEngine } from '../physics/index.ts';
import type { Car, ResolvedBuild } from './car.ts';

/** One unsaid number. */
export interface LoadInput {
  readonly valueSi: number;
  /** One standard deviation, absolute [SI]. */
  readonly sdSi: number;
  readonly limits: readonly [number, number];
  readonly about: string;
  readonly source: string;
}

export const LOAD_INPUT_NAMES = [
  'workOverCycle',
  'frictionFactor',
  'phasedFilling',
  'wastegateUse',
  'octaneOfDirectInjection',
  'timingOffsetDeg',
  'manifoldHeatingK',
] as const;
export type LoadInputName = (typeof LOAD_INPUT_NAMES)[number];
export type LoadInputs = Readonly<Record<LoadInputName, LoadInput>>;
/** Plain numbers of one engine, as the model of part load takes them. */
export type LoadNumbers = Readonly<Record<LoadInputName, number>> & {
  /** True: the sheet's own friction numbers hold; false: friction part by part from the dimensions. */
  readonly frictionTyped: boolean;
  /** True: the sheet's own indicated efficiency holds. */
  readonly efficiencyTyped: boolean;
};

const OCTANE: Readonly<Record<Car['facts']['fuelInjection'], readonly [number, number]>> = {
  port: [0, 0.5],
  direct: [4, 1.5],
  'not said': [2, 2],
};
const PHASED: Readonly<Record<Car['facts']['camPhasing'], readonly [number, number]>> = {
  none: [0, 0.02],
  intake: [0.08, 0.05],
  both: [0.15, 0.07],
  'not said': [0.08, 0.07],
};

/** The unsaid numbers of a car's engine. */
export const loadInputsOf = (car: Car): LoadInputs => {
  const [octane, octaneSd] = OCTANE[car.facts.fuelInjection];
  const [usual, phasedSd] = PHASED[car.facts.camPhasing];
  // A ratio above 11 on pump petrol usually means an intake valve that closes late (effective ratio held near 11).
  const phased = usual > 0 ? usual + 0.05 * Math.min(3, Math.max(0, car.engine.compressionRatio - 11)) : usual;
  return {
    workOverCycle: {
      valueSi: 1,
      sdSi: 0.035,
      limits: [0.8, 1.15],
      about: 'Gross indicated work over that of the crank-angle cycle',
      source:
        'The cycle counts crevices and blow-by in its combustion efficiency; its wall heat (Woschni times 1.0 to 1.3) and valve timing leave 3 to 4 %. First taken as 0.98 with 0.025 (docs/scores.md)',
    },
    frictionFactor: {
      valueSi: 0.85,
      sdSi: 0.1,
      limits: [0.4, 2],
      about: 'Friction over the law of the parts',
      source:
        'Law of 2003; low-friction oil and design since, 2 to 3 % of the fuel or some 15 % of friction (National Research Council 2011, from memory); size chosen with two measured engines in view',
    },
    phasedFilling: {
      valueSi: phased,
      sdSi: phasedSd,
      limits: [0, 0.4],
      about: 'Part of the filling given up at part load by late intake closing and overlap',
      source: 'Leone, Christenson & Stein, SAE 960584, for the direction; size common practice',
    },
    wastegateUse: {
      valueSi: 0.5,
      sdSi: 0.3,
      limits: [0, 1],
      about: 'How far the wastegate is opened where no boost is needed: 0 as its spring has it, 1 all that can be',
      source: 'No source: between the two that are possible',
    },
    octaneOfDirectInjection: {
      valueSi: octane,
      sdSi: octaneSd,
      limits: [-4, 10],
      about: 'Octane numbers that cooling by direct injection is worth',
      source: 'Kasseris & Heywood, SAE 2012-01-1284: about 4 to 5 with petrol (from memory)',
    },
    timingOffsetDeg: {
      valueSi: 0,
      sdSi: 3,
      limits: [-15, 15],
      about: 'Timing set by the maker over the estimated knock-limited timing',
      source: 'No source',
    },
    manifoldHeatingK: {
      valueSi: 10,
      sdSi: 6,
      limits: [0, 40],
      about: 'Warming of the charge between filter and valves, no charge cooler',
      source: 'Heywood (1988) sect. 6.2 (from memory)',
    },
  };
};

/** The engine's unsaid numbers moved by `z` standard deviations, in the order of {@link LOAD_INPUT_NAMES}. */
export const loadNumbersOf = (resolved: ResolvedBuild, z: ArrayLike<number> = []): LoadNumbers => {
  const inputs = loadInputsOf(resolved.car);
  const typed = (name: string) => resolved.quantities[`engine.${name}`]?.estimated === false;
  const moved = Object.fromEntries(
    LOAD_INPUT_NAMES.map((name, index) => {
      const { valueSi, sdSi, limits } = inputs[name];
      return [name, Math.min(limits[1], Math.max(limits[0], valueSi + (z[index] ?? 0) * sdSi))];
    }),
  ) as Record<LoadInputName, number>;
  return {
    ...moved,
    frictionTyped: typed('frictionPressure') || typed('frictionPerSpeed') || typed('frictionPerSpeedSquared'),
    efficiencyTyped: typed('indicatedEfficiency'),
  };
};

/**
 * An engine's parts for the law of friction: bearing, lift and ring proportions of usual four-stroke car engines (common
 * practice, no source); warm 5W-30 (Sandoval 2002, app. A: some 8 mm2/s at 95 degC under shear); ring tension six tenths of the 1980s'
 * (Sandoval & Heywood, SAE 2003-01-0725, for the direction).
 */
export const frictionEngineOf = (car: Car): FrictionEngine => {
  const { cylinders, layout, valvesPerCylinder } = car.facts;
  const { boreM, strokeM, compressionRatio } = car.engine;
  const inRow = layout === 'inline' ? cylinders : Math.max(1, Math.round(cylinders / 2));
  const overhead = valvesPerCylinder > 2;
  const rows = layout === 'inline' ? 1 : 2;
  return {
    cylinders,
    boreM,
    strokeM,
    compressionRatio,
    mainBearings: inRow + 1,
    mainBearingDiameterM: 0.6 * boreM,
    mainBearingLengthM: 0.22 * boreM,
    rodBearingDiameterM: 0.54 * boreM,
    rodBearingLengthM: 0.2 * boreM,
    camBearings: (inRow + 1) * (overhead ? 2 * rows : 1),
    valves: cylinders * valvesPerCylinder,
    valveLiftM: 0.11 * boreM,
    valveTrain: overhead ? 'overhead, roller finger' : 'pushrod, roller',
    oilViscosityRatio: 0.78,
    ringTension: 0.6,
  };
};
