/** What changed between two builds of a car. */
import type { Unit } from '../physics/units.ts';
import type { ResolvedBuild } from './car.ts';

export interface BuildChange {
  readonly path: string;
  readonly about: string;
  readonly unit: string;
  readonly fromSi: number;
  readonly toSi: number;
  /** True when one side was only estimated. */
  readonly estimated: boolean;
}

/** What is not a number and differs: fuel, air metering, gears, a compressor map typed or not. */
export interface FactChange {
  readonly path: string;
  readonly about: string;
  readonly from: string;
  readonly to: string;
}

const FACTS = [
  ['fuel.kind', 'Fuel', 'fuelKind'],
  ['fuelSystem.injectorCount', 'Injectors', 'injectorCount'],
  ['fuelSystem.regulatorReferenced', 'Rail pressure follows the manifold', 'regulatorReferenced'],
  ['injection', 'Water-methanol injection', 'hasInjection'],
  ['sensors.airMetering', 'Air metering', 'airMetering'],
  ['driveline.driven', 'Driven wheels', 'driven'],
  ['driveline.gearRatios', 'Gear ratios', 'gearRatios'],
  ['tyres.size', 'Tyre size', 'tyreSize'],
  ['engine.valvesPerCylinder', 'Valves per cylinder', 'valvesPerCylinder'],
  ['engine.aspiration', 'Aspiration', 'aspiration'],
  ['engine.fuelInjection', 'Fuel injection', 'fuelInjection'],
  ['engine.camPhasing', 'Cam phasing', 'camPhasing'],
] as const;

const factText = (value: unknown): string =>
  value === true
    ? 'yes'
    : value === false
      ? 'no'
      : Array.isArray(value)
        ? value.join(', ')
        : String(value ?? 'not typed');

const mapText = (map: ResolvedBuild['car']['compressorMap']): string =>
  map ? `typed, ${map.lines.length} speed lines` : 'estimated from the wheel sizes';

/** Everything that is not a number and differs between two builds. */
export const compareFacts = (from: ResolvedBuild, to: ResolvedBuild): FactChange[] => {
  const changes: FactChange[] = FACTS.flatMap(([path, about, name]) => {
    const [before, after] = [factText(from.car.facts[name]), factText(to.car.facts[name])];
    return before === after ? [] : [{ path, about, from: before, to: after }];
  });
  const timing = ({ car }: ResolvedBuild) => (car.curves.sparkAdvance ? 'typed' : 'estimated from the fuel');
  if (differ(from.car.curves.sparkAdvance, to.car.curves.sparkAdvance)) {
    changes.push({ path: 'targets.sparkAdvance', about: 'Timing asked for', from: timing(from), to: timing(to) });
  }
  const [before, after] = [from.car.compressorMap, to.car.compressorMap];
  if (differ(before, after)) {
    changes.push({
      path: 'turbocharger.compressorMap',
      about: 'Compressor map',
      from: mapText(before),
      to: mapText(after),
    });
  }
  return changes;
};

const CURVES = [
  ['engine.volumetricEfficiency', 'Volumetric efficiency, mean', 'volumetricEfficiency', '1'],
  ['chargeCooler.effectiveness', 'Charge cooler effectiveness, mean', 'effectiveness', '1'],
  ['targets.lambda', 'Lambda asked for, mean', 'lambdaTarget', 'lambda'],
] as const;

/** ISO 2533 sea level: puts a boost curve typed over outside air beside one typed as absolute pressure. */
const STANDARD_PRESSURE_PA = 101325;

const differ = (one: unknown, other: unknown): boolean => JSON.stringify(one) !== JSON.stringify(other);

/**
 * Every number that differs between two builds, in the order of the sheet. Curves count as one entry each, by their
 * mean; what is not a number is in {@link compareFacts}.
 */
export const compareBuilds = (from: ResolvedBuild, to: ResolvedBuild): BuildChange[] => {
  const changes: BuildChange[] = [];
  for (const [path, before] of Object.entries(from.quantities)) {
    const after = to.quantities[path];
    if (!after || after.valueSi === before.valueSi) continue;
    changes.push({
      path,
      about: before.about,
      unit: before.unit,
      fromSi: before.valueSi,
      toSi: after.valueSi,
      estimated: before.estimated || after.estimated,
    });
  }
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  const change = (path: string, about: string, unit: Unit, before: number, after: number) =>
    changes.push({ path, about, unit, fromSi: before, toSi: after, estimated: false });
  for (const [path, about, name, unit] of CURVES) {
    const [before, after] = [from.car.curves[name], to.car.curves[name]];
    if (!differ(before, after)) continue;
    change(path, about, unit, mean(before.values), mean(after.values));
  }
  const [boost, newBoost] = [from.car.curves, to.car.curves];
  if (differ([boost.boostTarget, boost.boostIsGauge], [newBoost.boostTarget, newBoost.boostIsGauge])) {
    const absolutePa = ({ boostTarget, boostIsGauge }: typeof boost) =>
      mean(boostTarget.values) + (boostIsGauge ? STANDARD_PRESSURE_PA : 0);
    const [before, after] = [absolutePa(boost), absolutePa(newBoost)];
    change('targets.boost', 'Manifold pressure asked for, mean', 'kPa abs', before, after);
  }
  return changes;
};
