/** From a typed build sheet to a whole car: typed values taken, the rest estimated and marked. */
import { dimensionOf, toSi, type Unit } from '../physics/units.ts';
import type { Build, CurveQuantity } from './build-schema.ts';
import type { Car, CarFacts, Curve, Input, ResolvedBuild } from './car.ts';
import { compressorMapSi, MAP_INPUTS, mapInputs } from './compressor-map.ts';
import type { Known } from './estimate.ts';
import { ESTIMATES } from './estimates.ts';
import { type CarNumbers, FIELD_PLACES, FIELDS, type GroupName } from './fields.ts';
import { fuelEstimates, petrolAsSoldOf } from './fuel-estimates.ts';
import { followShares, SHARED_PROPERTIES } from './fuel-sample.ts';
import { injectionEstimates } from './injection-estimates.ts';
import { DEFAULT_RELATIVE_SPREAD, type Quantity, type Source, toUncertain, type Uncertain } from './quantity.ts';
import { EFFECTIVENESS_SHAPE, LAMBDA_TARGET_SHAPE, VOLUMETRIC_EFFICIENCY_SHAPE } from './usual-curves.ts';

const curveSi = (curve: CurveQuantity): Curve => ({
  at: curve.at.values.map((place) => toSi(place, curve.at.unit)),
  values: curve.values.values.map((value) => toSi(value, curve.values.unit)),
});

const percent = (text: string | undefined): number | undefined => {
  const found = text === undefined ? null : /(\d+(?:\.\d+)?)/.exec(text);
  return found?.[1] === undefined ? undefined : Number(found[1]) / 100;
};

const relativeSpread = (text: string | undefined, source: Source, defaults?: Partial<Record<Source, number>>): number =>
  percent(text) ?? defaults?.[source] ?? DEFAULT_RELATIVE_SPREAD[source];

const factsOf = (build: Build, quantities: ResolvedBuild['quantities']): CarFacts => ({
  name: build.name,
  cylinders: build.engine.cylinders,
  layout: build.engine.layout ?? 'inline',
  valvesPerCylinder: build.engine.valvesPerCylinder ?? 4,
  ignition: build.engine.ignition ?? (build.fuel.kind === 'diesel' ? 'compression' : 'spark'),
  fuelKind: build.fuel.kind,
  petrolAsSold: petrolAsSoldOf(build),
  fuelFollowsShares: SHARED_PROPERTIES.filter((name) => !(name in build.fuel)),
  injectorCount: build.fuelSystem.injectorCount ?? build.engine.cylinders,
  regulatorReferenced: build.fuelSystem.regulatorReferenced ?? true,
  airMetering:
    build.sensors?.airMetering ??
    (build.sensors?.airflowMeterCeiling === undefined ? 'speed-density' : 'airflow meter'),
  speedSource: build.sensors?.speedSource ?? 'driven wheel',
  driven: build.driveline.driven,
  gearRatios: build.driveline.gearRatios,
  tyreSize: build.tyres.size ?? null,
  hasInjection: build.injection?.nozzleFlow !== undefined,
  workedOutEvaporatedShare:
    build.injection?.evaporatedShare === undefined ? (quantities['injection.evaporatedShare']?.valueSi ?? null) : null,
  aspiration: build.engine.aspiration ?? 'turbocharged',
  fuelInjection: build.engine.fuelInjection ?? 'not said',
  bypassValve: build.intake?.bypassValve ?? 'recirculating',
  bypassSaid: build.intake?.bypassValve !== undefined || build.intake?.bypassDiameter !== undefined,
  camPhasing: build.engine.camPhasing ?? 'not said',
});

type CurveName =
  | 'engine.volumetricEfficiency'
  | 'chargeCooler.effectiveness'
  | 'targets.boost'
  | 'targets.lambda'
  | 'targets.sparkAdvance';

/**
 * Spread of the charge side's conductance by source: a data sheet's usual 5 %. What is unsure of a cooler is its conductance
 * UA; effectiveness 1 - exp(-UA / m cp) against its core is the surer the nearer it is to 1.
 */
const COOLER_CONDUCTANCE_SPREAD = { measured: 0.03, logged: 0.03, 'data-sheet': 0.07, estimate: 0.25 } as const;

/** Relative change of effectiveness over that of conductance, at an effectiveness: (1 - e) NTU / e. Source: Incropera, core of one temperature. */
const perConductance = (effectiveness: number): number => {
  const held = Math.min(0.98, Math.max(0.02, effectiveness));
  return (-(1 - held) * Math.log(1 - held)) / held;
};

const meanOf = (values: readonly number[]): number =>
  values.reduce((sum, value) => sum + value, 0) / Math.max(1, values.length);

/** Effectiveness with the conductance `factor` times as large. */
const withConductance = (effectiveness: number, factor: number): number =>
  effectiveness >= 1 ? effectiveness : Math.min(0.98, 1 - (1 - effectiveness) ** factor);

/**
 * Relative spread of each curve by source, where the general default does not fit. House convention; filling and boost
 * were set by how far typed curves lay from the truth on labelled logs (docs/scores.md).
 */
const CURVE_SPREAD: Readonly<Record<CurveName, Partial<Record<Source, number>>>> = {
  'engine.volumetricEfficiency': { measured: 0.012, logged: 0.015, 'data-sheet': 0.02, estimate: 0.05 },
  'chargeCooler.effectiveness': COOLER_CONDUCTANCE_SPREAD,
  'targets.boost': { measured: 0.007, logged: 0.007, 'data-sheet': 0.007, estimate: 0.03 },
  'targets.lambda': { measured: 0.01, logged: 0.012, 'data-sheet': 0.015, estimate: 0.03 },
  'targets.sparkAdvance': { measured: 0.03, logged: 0.03, 'data-sheet': 0.05, estimate: 0.15 },
};

/**
 * Which of bore and stroke nobody typed: it follows from displacement and the other, in every sample, and is no input of
 * its own. Sampled by themselves the two would make engines of another displacement.
 */
const followingDimension = (quantities: ResolvedBuild['quantities']): 'bore' | 'stroke' | null =>
  quantities['engine.stroke']?.estimated ? 'stroke' : quantities['engine.bore']?.estimated ? 'bore' : null;

const followDisplacement = (
  resolved: ResolvedBuild,
  engine: { -readonly [K in keyof Car['engine']]: number },
): void => {
  const follower = followingDimension(resolved.quantities);
  const perCylinder = (4 * engine.displacementM3) / (Math.PI * resolved.car.facts.cylinders);
  if (follower === 'stroke') engine.strokeM = perCylinder / engine.boreM ** 2;
  else if (follower === 'bore') engine.boreM = Math.sqrt(perCylinder / engine.strokeM);
};

/**
 * Makes a build whole. Total: every checked build resolves.
 * The order of `inputs` is fixed for a given build, so that sample coordinates keep their meaning.
 */
export const resolveBuild = (build: Build): ResolvedBuild => {
  const quantities: Record<string, Uncertain & { unit: string; estimated: boolean; about: string }> = {};
  const inputs: Input[] = [];
  const take = (path: string, uncertain: Uncertain, unit: string, about: string, estimated: boolean) => {
    quantities[path] = { ...uncertain, unit, about, estimated };
  };

  for (const { group, name, field } of FIELD_PLACES) {
    const typed = (build[group] as Record<string, Quantity | undefined> | undefined)?.[name];
    if (typed) take(`${group}.${name}`, toUncertain(typed, field.relative), field.unit, field.about, false);
  }

  const known: Known = (group, name) => {
    const found = quantities[`${group}.${name}`];
    if (!found) throw new Error(`estimate asked for ${group}.${name} before it was known`);
    return found.valueSi;
  };
  for (const line of [...ESTIMATES, ...fuelEstimates(build), ...injectionEstimates(build)]) {
    const { group, name, sdSi } = line;
    const path = `${group}.${name}`;
    if (quantities[path]) continue;
    const better = line.better?.(known, build, (field) => quantities[field]?.estimated === false) ?? null;
    const value = better?.valueSi ?? line.valueSi(known, build);
    const relative = better?.relative ?? line.relative;
    const field = (FIELDS[group] as Record<string, { unit: Unit; about: string }>)[name];
    if (!field) throw new Error(`estimate for a field that does not exist: ${path}`);
    take(
      path,
      {
        valueSi: value,
        sdSi: sdSi ?? Math.abs(value) * (relative ?? DEFAULT_RELATIVE_SPREAD.estimate),
        source: better?.source ?? 'estimate',
        note: better?.why ?? line.why,
      },
      field.unit,
      field.about,
      better === null || better.source === 'estimate',
    );
  }

  const numbers = Object.fromEntries(Object.keys(FIELDS).map((group) => [group, {}])) as Record<
    string,
    Record<string, number>
  >;
  const follower = followingDimension(quantities);
  for (const { group, name, siName, field } of FIELD_PLACES) {
    const path = `${group}.${name}`;
    const quantity = quantities[path];
    if (!quantity) throw new Error(`no estimate for ${path}`);
    (numbers[group] as Record<string, number>)[siName] = quantity.valueSi;
    if (quantity.sdSi > 0 && name !== follower) {
      inputs.push({
        path,
        about: field.about,
        unit: field.unit,
        valueSi: quantity.valueSi,
        sdSi: quantity.sdSi,
        source: quantity.source,
        estimated: quantity.estimated,
      });
    }
  }

  const curve = (path: CurveName, typed: CurveQuantity | undefined, fallback: Curve, about: string): Curve => {
    const source = typed?.source ?? 'estimate';
    const own = percent(typed?.spread);
    const si = typed ? curveSi(typed) : fallback;
    const usual = relativeSpread(undefined, source, CURVE_SPREAD[path]);
    const sdSi = own ?? (path === 'chargeCooler.effectiveness' ? usual * perConductance(meanOf(si.values)) : usual);
    inputs.push({ path, about, unit: '%', valueSi: 1, sdSi, source, estimated: typed === undefined });
    return si;
  };
  const scaled = (shape: readonly (readonly [number, number])[], by: number): Curve => ({
    at: shape.map(([at]) => at * by),
    values: shape.map(([, value]) => value),
  });
  const fillingFactor = (build.engine.valvesPerCylinder ?? 4) >= 4 ? 1 : 0.92;
  const filling = scaled(VOLUMETRIC_EFFICIENCY_SHAPE, known('engine', 'revLimit'));
  const boost = build.targets.boost as CurveQuantity;
  const spark = build.targets.sparkAdvance as CurveQuantity | undefined;
  const curves: Car['curves'] = {
    volumetricEfficiency: curve(
      'engine.volumetricEfficiency',
      build.engine.volumetricEfficiency as CurveQuantity | undefined,
      { at: filling.at, values: filling.values.map((value) => value * fillingFactor) },
      'Volumetric efficiency, whole curve',
    ),
    effectiveness: curve(
      'chargeCooler.effectiveness',
      build.chargeCooler.effectiveness as CurveQuantity | undefined,
      scaled(EFFECTIVENESS_SHAPE, known('chargeCooler', 'referenceFlow')),
      'Charge cooler effectiveness, whole curve',
    ),
    boostTarget: curve('targets.boost', boost, { at: [], values: [] }, 'Boost held against boost asked for'),
    boostIsGauge: dimensionOf(boost.values.unit) === 'gauge pressure',
    lambdaTarget: curve(
      'targets.lambda',
      build.targets.lambda as CurveQuantity | undefined,
      scaled(LAMBDA_TARGET_SHAPE, 1),
      'Lambda held against lambda asked for',
    ),
    sparkAdvance: spark ? curve('targets.sparkAdvance', spark, { at: [], values: [] }, 'Timing, whole curve') : null,
  };

  const data = build.turbocharger.compressorMap;
  const compressorMap = data ? compressorMapSi(data) : null;
  inputs.push(...mapInputs(data, compressorMap, percent));

  const car: Car = {
    ...(numbers as unknown as CarNumbers),
    facts: factsOf(build, quantities),
    curves,
    compressorMap,
    compressorFlowScale: 1,
    compressorEfficiencyScale: 1,
    compressorSpeedScale: 1,
    compressorSurgeScale: 1,
  };
  return { car, inputs, quantities };
};

const SI_NAMES: Readonly<Record<string, readonly [GroupName, string]>> = Object.fromEntries(
  FIELD_PLACES.map(({ group, name, siName }) => [`${group}.${name}`, [group, siName]]),
);
const LIMITS: Readonly<Record<string, readonly [number, number]>> = Object.fromEntries(
  FIELD_PLACES.map(({ group, name, field }) => [
    `${group}.${name}`,
    [toSi(field.range[0], field.unit), toSi(field.range[1], field.unit)],
  ]),
);

/**
 * The car with its inputs moved by `z` standard deviations each (`z` in the order of `resolved.inputs`).
 * Values that cannot be negative move by a factor (log-normal), so no sample turns a mass negative; the rest by addition.
 */
export const withSample = (resolved: ResolvedBuild, z: ArrayLike<number>): Car => {
  const car = {
    ...resolved.car,
    ...Object.fromEntries(Object.keys(FIELDS).map((group) => [group, { ...resolved.car[group as GroupName] }])),
    curves: { ...resolved.car.curves },
  } as Omit<{ -readonly [K in keyof Car]: Car[K] }, 'curves'> & {
    curves: { -readonly [K in keyof Car['curves']]: Car['curves'][K] };
  };
  const stretch = (curve: Curve, factor: number): Curve => ({
    at: curve.at,
    values: curve.values.map((v) => v * factor),
  });
  resolved.inputs.forEach((input, index) => {
    const step = z[index] ?? 0;
    if (step === 0) return;
    const relative = input.valueSi === 0 ? 0 : input.sdSi / Math.abs(input.valueSi);
    const factor = Math.exp(step * relative);
    switch (input.path) {
      case 'engine.volumetricEfficiency':
        car.curves.volumetricEfficiency = stretch(resolved.car.curves.volumetricEfficiency, factor);
        return;
      case 'chargeCooler.effectiveness': {
        const { at, values } = resolved.car.curves.effectiveness;
        const conductance = Math.exp((step * relative) / perConductance(meanOf(values)));
        car.curves.effectiveness = { at, values: values.map((value) => withConductance(value, conductance)) };
        return;
      }
      case 'targets.boost':
        car.curves.boostTarget = stretch(resolved.car.curves.boostTarget, factor);
        return;
      case 'targets.lambda':
        car.curves.lambdaTarget = stretch(resolved.car.curves.lambdaTarget, factor);
        return;
      case 'targets.sparkAdvance':
        if (resolved.car.curves.sparkAdvance)
          car.curves.sparkAdvance = stretch(resolved.car.curves.sparkAdvance, factor);
        return;
      case MAP_INPUTS.flow:
        car.compressorFlowScale = factor;
        return;
      case MAP_INPUTS.efficiency:
        car.compressorEfficiencyScale = factor;
        return;
      case MAP_INPUTS.speed:
        car.compressorSpeedScale = factor;
        return;
      case MAP_INPUTS.surge:
        car.compressorSurgeScale = factor;
        return;
    }
    const place = SI_NAMES[input.path];
    const limits = LIMITS[input.path];
    if (!place || !limits) throw new Error(`unknown input ${input.path}`);
    const [group, siName] = place;
    const additive = input.valueSi <= 0 || limits[0] < 0 || siName.endsWith('K');
    const moved = additive ? input.valueSi + step * input.sdSi : input.valueSi * factor;
    (car[group] as unknown as Record<string, number>)[siName] = Math.min(limits[1], Math.max(limits[0], moved));
  });
  followDisplacement(resolved, car.engine);
  followShares(resolved.car, car);
  return car;
};
