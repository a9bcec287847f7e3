/** Shared by the tests of this room: builds and part options of the demo garage. */
import otterAsDriven from '../../data/demo/builds/otter-as-driven.json' with { type: 'json' };
import otterFuel from '../../data/demo/builds/otter-fuel.json' with { type: 'json' };
import otterLargerCompressor from '../../data/demo/builds/otter-larger-compressor.json' with { type: 'json' };
import otterMoreBoost from '../../data/demo/builds/otter-more-boost.json' with { type: 'json' };
import wrenAsDriven from '../../data/demo/builds/wren-as-driven.json' with { type: 'json' };
import otterOptions from '../../data/demo/options/otter-options.json' with { type: 'json' };
import wrenOptions from '../../data/demo/options/wren-options.json' with { type: 'json' };
import { type Build, checkBuild, resolveBuild } from '../car/index.ts';
import type { Conditions } from '../match/index.ts';
import { checkPartOptions, type PartOptions } from './options.ts';

const SHEETS = {
  'otter-as-driven': otterAsDriven,
  'otter-fuel': otterFuel,
  'otter-more-boost': otterMoreBoost,
  'otter-larger-compressor': otterLargerCompressor,
  'wren-as-driven': wrenAsDriven,
} as const;

export const demoBuild = (name: keyof typeof SHEETS): Build => {
  const read = checkBuild(SHEETS[name]);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.build;
};

export const whole = resolveBuild;

const optionsOf = (file: unknown): PartOptions => {
  const read = checkPartOptions(file);
  if (!read.ok) throw new Error(JSON.stringify(read.problems));
  return read.options;
};
export const demoOptions = (car: 'otter' | 'wren'): PartOptions =>
  optionsOf(car === 'otter' ? otterOptions : wrenOptions);

/** Only the named places of an options file, and of each the first `most` options. */
export const someOptions = (options: PartOptions, places: readonly string[], most = 20): PartOptions => ({
  ...options,
  places: options.places
    .filter(({ place }) => places.includes(place))
    .map((place) => ({ ...place, options: place.options.slice(0, most) })),
});

/** A mild day. */
export const DAY: Conditions = { ambientPressurePa: 100e3, ambientTemperatureK: 293.15, relativeHumidity: 0.5 };
