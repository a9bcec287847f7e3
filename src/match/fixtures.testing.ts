/** Shared by the tests of this room: invented cars of the demo garage. */
import otterAsDriven from '../../data/demo/builds/otter-as-driven.json' with { type: 'json' };
import otterLargerCompressor from '../../data/demo/builds/otter-larger-compressor.json' with { type: 'json' };
import wrenAsDriven from '../../data/demo/builds/wren-as-driven.json' with { type: 'json' };
import wrenDozenNumbers from '../../data/demo/builds/wren-dozen-numbers.json' with { type: 'json' };
import { checkBuild, type ResolvedBuild, resolveBuild } from '../car/index.ts';
import type { Conditions } from './types.ts';

const SHEETS = {
  'otter-as-driven': otterAsDriven,
  'otter-larger-compressor': otterLargerCompressor,
  'wren-as-driven': wrenAsDriven,
  'wren-dozen-numbers': wrenDozenNumbers,
} as const;

/** A demo sheet as it lies in the file. */
export const demoSheet = (name: keyof typeof SHEETS): object => SHEETS[name];

export const demoCar = (name: keyof typeof SHEETS): ResolvedBuild => {
  const result = checkBuild(SHEETS[name]);
  if (!result.ok) throw new Error(JSON.stringify(result.problems));
  return resolveBuild(result.build);
};

/** A mild day. */
export const DAY: Conditions = { ambientPressurePa: 100e3, ambientTemperatureK: 293.15, relativeHumidity: 0.5 };
