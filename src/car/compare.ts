/** What changed between two builds of a car. */
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

/**
 * Every number that differs between two builds, in the order of the sheet. Curves and the compressor map count as one
 * entry each and are compared value by value; their change is given as the mean ratio of new over old.
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
  const curves = [
    ['engine.volumetricEfficiency', 'Volumetric efficiency, mean', 'volumetricEfficiency'],
    ['chargeCooler.effectiveness', 'Charge cooler effectiveness, mean', 'effectiveness'],
    ['targets.boost', 'Boost asked for, mean', 'boostTarget'],
    ['targets.lambda', 'Lambda asked for, mean', 'lambdaTarget'],
  ] as const;
  const mean = (values: readonly number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;
  for (const [path, about, name] of curves) {
    const [before, after] = [from.car.curves[name], to.car.curves[name]];
    if (JSON.stringify(before) === JSON.stringify(after)) continue;
    changes.push({ path, about, unit: '1', fromSi: mean(before.values), toSi: mean(after.values), estimated: false });
  }
  return changes;
};
