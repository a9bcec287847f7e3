/** Engine sheets of the measured engines, as a data sheet has them. For tests only. */
import { buildOfEngine, type ResolvedBuild, resolveBuild } from '../car/index.ts';
import type { Conditions } from './types.ts';

const sheet = (name: string, size: readonly [number, number, number, number], engine: object) => {
  const [displacement, bore, stroke, compressionRatio] = size;
  const known = (value: number, unit: string) => ({ value, unit, source: 'data-sheet' });
  return {
    schema: 'boostwright.engine/1',
    name,
    engine: {
      cylinders: 4,
      displacement: known(displacement, 'cm3'),
      bore: known(bore, 'mm'),
      stroke: known(stroke, 'mm'),
      compressionRatio: known(compressionRatio, '1'),
      valvesPerCylinder: 4,
      fuelInjection: 'direct',
      camPhasing: 'both',
      ...engine,
    },
  };
};

export const engineOf = (value: unknown): ResolvedBuild => {
  const build = buildOfEngine(value);
  if (!build.ok) throw new Error(JSON.stringify(build.problems));
  return resolveBuild(build.build);
};

/** Dimensions as the notes beside the files have them. */
export const MEASURED_ENGINES = [
  {
    file: 'cell-petrol-turbo-1600cc.csv',
    sheet: sheet('1.6 litre, turbocharged', [1596, 79, 81.4, 10], { aspiration: 'turbocharged' }),
  },
  {
    file: 'cell-petrol-2500cc.csv',
    sheet: sheet('2.5 litre, natural', [2488, 89, 100, 13], { aspiration: 'natural' }),
  },
] as const;

/** Air of a test cell: 25 degC, 99 kPa, 40 % (SAE J1349 inspects at 25 degC and 99 kPa dry). */
export const CELL_AIR: Conditions = { ambientPressurePa: 99e3, ambientTemperatureK: 298.15, relativeHumidity: 0.4 };
