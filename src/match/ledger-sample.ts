/**
 * The ledger of one car: every part against boost. The match is solved at several levels of boost, and each part's use is
 * read off between them; so one sample costs a few hundred points and many samples can be shared between workers.
 */
import type { Car } from '../car/index.ts';
import { newBalance } from './balance.ts';
import { newLevelStart, solveLevels } from './boost-levels.ts';
import { fuelDelivery } from './fuel-delivery.ts';
import { type Part, type PartLoad, partsOf } from './parts/index.ts';
import { prepare } from './prepare.ts';
import { type PointAnswers, pointAnswers } from './sample-answers.ts';
import { boostTargetAbsolutePa, type MatchOptions, solverAt } from './steady.ts';
import type { Conditions, MatchPoint } from './types.ts';

export interface LedgerContext {
  readonly conditions: Conditions;
  /** Paths of the build sheet that somebody filled in. */
  readonly typed: ReadonlySet<string>;
  readonly options?: MatchOptions;
}

/** What one sample says about one part. */
export interface PartSample {
  readonly utilisation: number;
  readonly worstEngineSpeedRpm: number;
  readonly demand: number;
  readonly rating: number;
  /**
   * Peak power and boost at which it reaches its limit; null when boost does not bring it there within reach. No power
   * where the boost target can be lowered at the engine speed that meets it and the power stays.
   */
  readonly powerAtLimitW: number | null;
  readonly boostAtLimitPa: number | null;
  /** Boost asked for at the limit as a part of today's; orders parts where more boost brings no more power. */
  readonly levelAtLimit: number | null;
}

export interface LedgerSample {
  readonly powerW: number;
  readonly boostPa: number;
  /** Most power at any boost that is looked at, whatever has given out by then. */
  readonly mostPowerW: number;
  /** At the boost of today. */
  readonly answers: PointAnswers;
  /** In the order of {@link partsOf}. */
  readonly parts: readonly PartSample[];
}

/** Levels of boost as parts of the present peak boost; 1 is the car as it is. */
const LEVELS = [0.1, 0.5, 0.8, 1, 1.3, 1.75, 2.4] as const;
const NOW = LEVELS.indexOf(1);
/** Least peak boost that the levels are spread over [Pa], so that a car on its spring alone is looked at too. */
const LEAST_BOOST_PA = 30e3;

/** Engine speeds from where boost can begin to where the driver changes up. */
export const ledgerEngineSpeedsRpm = (car: Car): number[] => {
  const top = Math.min(car.engine.revLimitRpm, Math.max(1500, car.engine.shiftSpeedRpm));
  const from = Math.max(1200, 0.33 * top);
  return Array.from({ length: 16 }, (_, i) => from + ((top - from) * i) / 15);
};

/** Sound points of a car at several boost targets, each raised over the car's own by one of `offsetsPa` (rising). */
const solveOffsets = (
  car: Car,
  { conditions, options = {} }: LedgerContext,
  offsetsOf: (peakTargetPa: number) => readonly number[],
): MatchPoint[][] => {
  const prepared = prepare(car, conditions);
  const speeds = options.engineSpeedsRpm ?? ledgerEngineSpeedsRpm(car);
  const targets = speeds.map((rpm) => boostTargetAbsolutePa(prepared, rpm, options));
  const peakTarget = Math.max(LEAST_BOOST_PA, Math.max(...targets) - conditions.ambientPressurePa);
  const offsets = offsetsOf(peakTarget);
  const levels: MatchPoint[][] = offsets.map(() => []);
  const balance = newBalance();
  const start = newLevelStart();
  speeds.forEach((rpm, i) => {
    const solver = solverAt(prepared, rpm, options, {}, balance);
    const points = solveLevels(
      solver,
      offsets.map((offset) => targets[i]! + offset),
      start,
    );
    points.forEach((point, level) => {
      if (point) levels[level]!.push(point);
    });
  });
  return levels;
};

const peak = (points: readonly MatchPoint[], of: (point: MatchPoint) => number): number =>
  points.reduce((best, point) => Math.max(best, of(point)), Number.NEGATIVE_INFINITY);

const NOTHING: PartLoad = { demand: 0, rating: 0, utilisation: 0 };

const worst = (
  part: Part,
  points: readonly MatchPoint[],
  car: Car,
  conditions: Conditions,
): PartLoad & { readonly rpm: number } => {
  let found: PartLoad = NOTHING;
  let rpm = 0;
  let most = Number.NEGATIVE_INFINITY;
  for (const point of points) {
    const load = part.load(point, car, conditions);
    if (load.utilisation > most) {
      found = load;
      most = load.utilisation;
      rpm = point.engineSpeedRpm;
    }
  }
  return { demand: found.demand, rating: found.rating, utilisation: found.utilisation, rpm };
};

interface Level {
  readonly level: number;
  readonly power: number;
  readonly boost: number;
}

/** Straight line between two levels where use crosses 1. */
const crossing = (uses: readonly number[], levels: readonly Level[]): Level | null => {
  for (let i = 0; i < uses.length; i++) {
    const here = uses[i]!;
    if (here < 1) continue;
    const at = levels[i]!;
    // Past its limit at hardly any boost: it gives out below what can be looked at; the lowest level stands for it.
    if (i === 0) return at;
    const before = levels[i - 1]!;
    const use = uses[i - 1]!;
    const part = here > use ? (1 - use) / (here - use) : 1;
    const between = (from: number, to: number) => from + (to - from) * part;
    return {
      level: between(before.level, at.level),
      power: between(before.power, at.power),
      boost: between(before.boost, at.boost),
    };
  }
  return null;
};

/** A car solved at every level of boost: what its ledger is read from. */
export interface LedgerGrid {
  readonly levels: readonly Level[];
  /** Solved points of each level. */
  readonly points: readonly (readonly MatchPoint[])[];
}

/** Solves a car at every level of boost; the costly half of {@link ledgerSample}. */
export const ledgerGrid = (car: Car, context: LedgerContext): LedgerGrid => {
  const grid = solveOffsets(car, context, (peakTarget) => LEVELS.map((level) => (level - 1) * peakTarget));
  // Past the compressor's flow more boost brings less: the most power up to a level is what the car can be driven at.
  let most = 0;
  let highest = 0;
  const levels: Level[] = grid.map((points, index) => {
    most = Math.max(
      most,
      peak(points, (point) => point.powerW),
    );
    highest = Math.max(
      highest,
      peak(points, (point) => point.boostPa),
    );
    return { level: LEVELS[index]!, power: most, boost: highest };
  });
  return { levels, points: grid };
};

/**
 * The same flow through cars that differ only in what the flow does not feel (fuel system, clutch, tyres, instruments):
 * injectors and pump are worked out anew for the fuel that was asked for. The grid it gives is one and the same each
 * time, overwritten by the next call: read the rows off it first.
 */
export const refuelledGrids = ({ levels, points }: LedgerGrid): ((car: Car) => LedgerGrid) => {
  const copies = points.map((level) =>
    level.map((point): { -readonly [K in keyof MatchPoint]: MatchPoint[K] } => ({ ...point })),
  );
  return (car) => {
    for (const level of copies) {
      for (const point of level) {
        const fuel = fuelDelivery(car, point.engineSpeedRpm, point.boostPa, point.fuelFlowKgPerS);
        point.injectorDuty = fuel.duty;
        point.injectorPulseS = fuel.pulseS;
        point.railPressurePa = fuel.railPressurePa;
        point.pumpFlowShare = fuel.pumpFlowShare;
      }
    }
    return { levels, points: copies };
  };
};

/** Reads rows of the ledger off a solved grid; the cheap half of {@link ledgerSample}. */
export const ledgerRows = (
  car: Car,
  { conditions }: LedgerContext,
  { levels, points }: LedgerGrid,
  parts: readonly Part[],
): PartSample[] =>
  parts.map((part) => {
    const today = worst(part, points[NOW]!, car, conditions);
    const crossingFrom = (fromRpm: number): Level | null =>
      crossing(
        points.map((level) => {
          const from = fromRpm > 0 ? level.filter((point) => point.engineSpeedRpm >= fromRpm) : level;
          return worst(part, from, car, conditions).utilisation;
        }),
        levels,
      );
    const anywhere = part.dependsOnBoost ? crossingFrom(0) : null;
    const at = anywhere && part.endsPowerFromRpm ? crossingFrom(part.endsPowerFromRpm(car)) : anywhere;
    return {
      utilisation: today.utilisation,
      worstEngineSpeedRpm: today.rpm,
      demand: today.demand,
      rating: today.rating,
      powerAtLimitW: at ? at.power : null,
      boostAtLimitPa: anywhere ? anywhere.boost : null,
      levelAtLimit: at ? at.level : null,
    };
  });

/**
 * One car through the ledger. Pure; the same in any worker. Use at the boost of today, and the peak power and boost at
 * which each part reaches its limit when the boost target is raised or lowered by the same pressure at all engine speeds,
 * everything else as it is.
 */
export const ledgerSample = (car: Car, context: LedgerContext): LedgerSample => {
  const grid = ledgerGrid(car, context);
  const now = grid.points[NOW]!;
  return {
    powerW: Math.max(
      0,
      peak(now, (point) => point.powerW),
    ),
    boostPa: Math.max(
      0,
      peak(now, (point) => point.boostPa),
    ),
    mostPowerW: grid.levels.at(-1)!.power,
    answers: pointAnswers(now),
    parts: ledgerRows(car, context, grid, partsOf(car, context.typed)),
  };
};

/** Use of every part over engine speed for the best estimate, for drawing. */
export const partCurves = (
  car: Car,
  context: LedgerContext,
): readonly {
  readonly part: string;
  readonly engineSpeedRpm: readonly number[];
  readonly utilisation: readonly number[];
}[] => {
  const { conditions, typed } = context;
  const [points = []] = solveOffsets(car, context, () => [0]);
  return partsOf(car, typed).map((part) => ({
    part: part.part,
    engineSpeedRpm: points.map((point) => point.engineSpeedRpm),
    utilisation: points.map((point) => part.load(point, car, conditions).utilisation),
  }));
};
