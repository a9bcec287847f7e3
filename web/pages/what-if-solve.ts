/** What if: the whole car with what has been moved, matched again in the browser, best estimate only. */
import { type Build, type Car, withFuel } from '../../src/car/index.ts';
import {
  type CarPart,
  type Conditions,
  fittedWithNozzle,
  type MatchPoint,
  type MatchResult,
  matchCar,
  partsOf,
  STANDARD_CONDITIONS,
} from '../../src/match/index.ts';
import { standardAtmosphere } from '../../src/physics/index.ts';
import { between } from '../charts/interpolate.ts';
import { carOf, knobsOf, type Moved, type Shown } from './what-if-knobs.ts';

/** Fuels resolved before, by build and ethanol: resolving a whole sheet is not work for every frame. */
const fuelled = new WeakMap<Build, Map<number, Car>>();

/** The sheet with another share of ethanol; the sheet itself where the fuel cannot have it. */
export const sheetWithEthanol = (shown: Shown, ethanol: number): Build => {
  const { methanolContent, tolueneContent } = shown.car.fuel;
  // Other parts keep their share as far as there is room for them.
  const room = Math.max(0, 1 - ethanol);
  const others = Math.max(1e-9, methanolContent + tolueneContent);
  const fit = Math.min(1, room / others);
  const tried = withFuel(shown.build, {
    ethanol,
    methanol: methanolContent * fit,
    toluene: tolueneContent * fit,
  });
  return tried.ok ? tried.build : shown.build;
};

const carWithEthanol = (shown: Shown, ethanol: number | undefined): Car => {
  if (ethanol === undefined) return shown.car;
  const kept = fuelled.get(shown.build) ?? new Map<number, Car>();
  fuelled.set(shown.build, kept);
  let car = kept.get(ethanol);
  if (!car) {
    const sheet = sheetWithEthanol(shown, ethanol);
    car = sheet === shown.build ? shown.car : carOf(sheet).car;
    kept.set(ethanol, car);
  }
  return car;
};

/** The car with what has been moved; timing only where the sheet types it. */
const movedCar = (shown: Shown, moved: Moved): Car => {
  const from = carWithEthanol(shown, moved.ethanol);
  const nozzle = moved.nozzle === undefined ? from : fittedWithNozzle(from, moved.nozzle, shown.dropletTyped);
  const { engine, fuel, fuelSystem, curves } = nozzle;
  const timing = moved.timing ?? 0;
  const cooler = moved.cooler ?? 1;
  return {
    ...nozzle,
    engine: { ...engine, compressionRatio: moved.ratio ?? engine.compressionRatio },
    fuel: { ...fuel, researchOctane: moved.octane ?? fuel.researchOctane },
    fuelSystem: {
      ...fuelSystem,
      injectorFlowM3PerS: moved.injectors ?? fuelSystem.injectorFlowM3PerS,
      pumpFlowM3PerS: moved.pump ?? fuelSystem.pumpFlowM3PerS,
    },
    curves: {
      ...curves,
      effectiveness: {
        ...curves.effectiveness,
        values: curves.effectiveness.values.map((value) => Math.min(0.99, value * cooler)),
      },
      sparkAdvance: curves.sparkAdvance && {
        ...curves.sparkAdvance,
        values: curves.sparkAdvance.values.map((value) => value + timing),
      },
    },
  };
};

const conditionsOf = ({ outside, altitude }: Moved): Conditions => {
  const level = standardAtmosphere(altitude ?? 0);
  return {
    ...STANDARD_CONDITIONS,
    ambientTemperatureK: outside ?? STANDARD_CONDITIONS.ambientTemperatureK,
    ambientPressurePa: level.ok ? level.value.pressurePa : STANDARD_CONDITIONS.ambientPressurePa,
  };
};

export interface PartUse {
  readonly part: CarPart['part'];
  readonly limit: string;
  readonly used: number;
  readonly atRpm: number;
}

export interface WhatIf {
  readonly result: MatchResult;
  /** Parts that count, the most used first. */
  readonly parts: readonly PartUse[];
}

/**
 * The car with its estimated timing written down as a curve, moved: so that what it has left before knock can be said.
 * Where the sheet types its timing, the car as it is.
 */
const withTimingSaid = (car: Car, estimated: MatchResult, moved: Moved): Car => {
  if (car.curves.sparkAdvance || car.facts.ignition !== 'spark' || estimated.points.length < 2) return car;
  return {
    ...car,
    curves: {
      ...car.curves,
      sparkAdvance: {
        at: estimated.points.map(({ engineSpeedRpm }) => engineSpeedRpm),
        values: estimated.points.map(({ sparkAdvanceDeg }) => sparkAdvanceDeg + (moved.timing ?? 0)),
      },
    },
  };
};

/** What has been moved, for one sample of the shown car: a value that was set keeps the sample's share over the sheet's. */
export const movedFor = (sample: Car, shown: Shown, moved: Moved): Moved => {
  const scaled = (value: number | undefined, own: number, base: number): number | undefined =>
    value === undefined || !(base > 0) ? value : (value * own) / base;
  const { engine, fuel, fuelSystem, injection } = shown.car;
  const entries = Object.entries({
    ...moved,
    ratio: scaled(moved.ratio, sample.engine.compressionRatio, engine.compressionRatio),
    octane: scaled(moved.octane, sample.fuel.researchOctane, fuel.researchOctane),
    injectors: scaled(moved.injectors, sample.fuelSystem.injectorFlowM3PerS, fuelSystem.injectorFlowM3PerS),
    pump: scaled(moved.pump, sample.fuelSystem.pumpFlowM3PerS, fuelSystem.pumpFlowM3PerS),
    nozzle: scaled(moved.nozzle, sample.injection.nozzleFlowM3PerS, injection.nozzleFlowM3PerS),
  }).filter(([, value]) => value !== undefined);
  return Object.fromEntries(entries) as Moved;
};

/** The whole car at the coarse engine speeds with what has been moved. */
export const solveWhatIf = (shown: Shown, moved: Moved): WhatIf => {
  const conditions = conditionsOf(moved);
  const options = { engineSpeedsRpm: shown.engineSpeedsRpm, boostTargetOffsetPa: moved.boost ?? 0 };
  const asIs = movedCar(shown, moved);
  const estimated = matchCar(asIs, conditions, options);
  const car = withTimingSaid(asIs, estimated, moved);
  const result = car === asIs ? estimated : matchCar(car, conditions, options);
  const parts = partsOf(car, shown.typed)
    .filter(({ counts }) => counts)
    .map((part): PartUse => {
      let used = 0;
      let atRpm = 0;
      for (const point of result.points) {
        const { utilisation } = part.load(point, car, conditions);
        if (utilisation > used) {
          used = utilisation;
          atRpm = point.engineSpeedRpm;
        }
      }
      return { part: part.part, limit: part.limit, used, atRpm };
    })
    .sort((a, b) => b.used - a.used);
  return { result, parts };
};

/** Moves whose cycle is not known yet, nearest first: solved ahead in idle time, so that no frame waits for them. */
export const movesAhead = (shown: Shown): Moved[] => {
  const knobs = knobsOf(shown);
  return (['ethanol', 'ratio'] as const).flatMap((name) => {
    const knob = knobs.find(({ knob }) => knob === name);
    if (!knob) return [];
    const count = Math.round((knob.highest - knob.lowest) / knob.step) + 1;
    return Array.from({ length: count }, (_, i) => knob.lowest + i * knob.step)
      .map((value) => Number(value.toFixed(6)))
      .sort((a, b) => Math.abs(a - knob.base) - Math.abs(b - knob.base))
      .map((value): Moved => ({ [name]: value }));
  });
};

/** A point between the solved ones; null outside them. */
export const pointAt = (
  { points }: MatchResult,
  rpm: number,
): ((read: (point: MatchPoint) => number | null) => number | null) | null => {
  const place = between(
    points.map(({ engineSpeedRpm }) => engineSpeedRpm),
    rpm,
  );
  if (!place) return null;
  return (read) => {
    const low = read(points[place.lower]!);
    const high = read(points[place.upper]!);
    return low === null || high === null ? null : low + (high - low) * place.share;
  };
};
