/** The build sheet: what a car is, with sources and spreads. May import physics. */
export {
  BUILD_SCHEMA,
  type Build,
  type BuildResult,
  buildSchema,
  type CurveQuantity,
  checkBuild,
  parseBuild,
  writeBuild,
} from './build-schema.ts';
export type { Car, CarFacts, CompressorMapSi, Curve, Input, ResolvedBuild } from './car.ts';
export { type BuildChange, compareBuilds, compareFacts, type FactChange } from './compare.ts';
export { buildOfEngine, checkBuildOrEngine } from './engine-sheet.ts';
export { FIELD_PLACES, FIELDS, type Field } from './fields.ts';
export {
  fuelAtomsOf,
  fuelCompositionOf,
  fuelSharesOf,
  type PouredParts,
  pouredParts,
  soldFor,
  steppedShares,
} from './fuel-composition.ts';
export { volumesOfMix } from './injection-estimates.ts';
export { frictionEngineOf, LOAD_INPUT_NAMES, type LoadNumbers, loadInputsOf, loadNumbersOf } from './load-class.ts';
export { MEASURING } from './measuring.ts';
export { INJECTED_LIQUID_K, mistExposureOf, mistTimeS, mistWayOf, usualDropletDiameterM } from './mist.ts';
export { DEFAULT_RELATIVE_SPREAD, type Quantity, SOURCES, type Source, toUncertain } from './quantity.ts';
export { resolveBuild, withSample } from './resolve.ts';
export { type BuildProblem, problemsIn, readJson } from './sheet-problems.ts';
export { type CompressorMapData, compressorMapSchema } from './turbo-schema.ts';
export { MIX_BASES, type MixBasis, type WhatIfFuel, type WhatIfMix, withFuel, withMix } from './what-if-fuel.ts';
