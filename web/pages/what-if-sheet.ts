/** What if, kept: the build sheet of a planned build with what has been moved. */
import { type Build, checkBuild, type Quantity, withFuel } from '../../src/car/index.ts';
import { fromSi, toSi, type Unit } from '../../src/physics/units.ts';
import type { Moved, Shown } from './what-if-knobs.ts';

const shiftCurve = <C extends { readonly values: { readonly unit: Unit; readonly values: readonly number[] } }>(
  curve: C,
  bySi: number,
): C => {
  const by = bySi / (toSi(1, curve.values.unit) - toSi(0, curve.values.unit));
  return {
    ...curve,
    values: { ...curve.values, values: curve.values.values.map((value) => Number((value + by).toFixed(4))) },
  };
};

/** As the data sheet of a part bought to that size would say it. */
const typedAs = (valueSi: number, unit: Unit): Quantity => ({
  value: Number(fromSi(valueSi, unit).toPrecision(6)),
  unit,
  source: 'data-sheet',
});

/** The build sheet with what has been moved, or why there is none. Outside air belongs to no sheet. */
export const plannedSheet = (
  shown: Shown,
  moved: Moved,
): { readonly ok: true; readonly build: Build } | { readonly ok: false; readonly says: string } => {
  const { build, car } = shown;
  const { targets, chargeCooler } = build;
  if (
    moved.timing !== undefined &&
    !targets.sparkAdvance &&
    Math.abs(car.learned.sparkAdvanceDeg + moved.timing) > 20
  ) {
    return { ok: false, says: 'Timing is moved further than a sheet can say.' };
  }
  const fuel =
    moved.ethanol === undefined
      ? build.fuel
      : withFuel(build, {
          ethanol: moved.ethanol,
          methanol: car.fuel.methanolContent,
          toluene: car.fuel.tolueneContent,
        });
  if ('ok' in fuel && !fuel.ok) return { ok: false, says: fuel.problems[0]?.says ?? 'That fuel cannot be.' };
  const fuelNow = 'ok' in fuel && fuel.ok ? fuel.build.fuel : build.fuel;
  const { nozzleFlow: _nozzle, ...injection } = build.injection ?? {};
  const effectiveness = car.curves.effectiveness;
  const next = {
    ...build,
    engine: { ...build.engine, ...(moved.ratio === undefined ? {} : { compressionRatio: typedAs(moved.ratio, '1') }) },
    fuel: { ...fuelNow, ...(moved.octane === undefined ? {} : { researchOctane: typedAs(moved.octane, '1') }) },
    fuelSystem: {
      ...build.fuelSystem,
      ...(moved.injectors === undefined ? {} : { injectorFlow: typedAs(moved.injectors, 'cm3/min') }),
      ...(moved.pump === undefined ? {} : { pumpFlow: typedAs(moved.pump, 'L/h') }),
    },
    ...(moved.nozzle === undefined
      ? {}
      : { injection: moved.nozzle > 0 ? { ...injection, nozzleFlow: typedAs(moved.nozzle, 'cm3/min') } : undefined }),
    ...(moved.cooler === undefined
      ? {}
      : {
          chargeCooler: {
            ...chargeCooler,
            effectiveness: {
              at: { unit: 'kg/s', values: [...effectiveness.at] },
              values: {
                unit: '1',
                values: effectiveness.values.map((value) => Number(Math.min(0.99, value * moved.cooler!).toFixed(4))),
              },
              source: 'estimate',
            },
          },
        }),
    ...(moved.timing === undefined || targets.sparkAdvance
      ? {}
      : {
          learned: {
            ...build.learned,
            sparkAdvance: { value: car.learned.sparkAdvanceDeg + moved.timing, unit: 'deg', source: 'estimate' },
          },
        }),
    targets: {
      ...targets,
      boost: shiftCurve(targets.boost, moved.boost ?? 0),
      ...(targets.sparkAdvance ? { sparkAdvance: shiftCurve(targets.sparkAdvance, moved.timing ?? 0) } : {}),
    },
  };
  const checked = checkBuild(JSON.parse(JSON.stringify(next)));
  return checked.ok
    ? { ok: true, build: checked.build }
    : { ok: false, says: `${checked.problems[0]?.path}: ${checked.problems[0]?.says}` };
};
