/** The fuel of a build and its injected mix as a sheet of properties with bands. */
import {
  fuelCompositionOf,
  fuelSharesOf,
  type PouredParts,
  pouredParts,
  type ResolvedBuild,
  type Source,
  soldFor,
  volumesOfMix,
} from '../car/index.ts';
import {
  expectSolved,
  METHANOL,
  methanolMoleFraction,
  mixRecipe,
  waterMethanolBoilingPointK,
  waterMethanolDensityKgPerM3,
  waterMethanolFreezingPointK,
  waterMethanolHeatingValueJPerKg,
  waterMethanolLatentHeatJPerKg,
} from '../physics/index.ts';
import { sampledCars } from './sampling.ts';
import type { Band } from './types.ts';
import { bandOf } from './uncertain.ts';

/** One property of a fuel. */
export interface FuelProperty {
  readonly key: FuelPropertyKey;
  readonly about: string;
  readonly value: Band;
  readonly source: Source;
  /** True when nobody typed it. */
  readonly estimated: boolean;
  readonly note: string;
}

/** The properties, SI with the unit in the name. */
export type FuelPropertyKey =
  | 'researchOctane'
  | 'motorOctane'
  | 'antiKnockIndex'
  | 'stoichiometricAirFuelRatio'
  | 'lowerHeatingValueJPerKg'
  | 'heatPerAirJPerKg'
  | 'latentHeatJPerKg'
  | 'latentPerAirJPerKg'
  | 'densityKgPerM3'
  | 'volumeOverPetrol';

/** A fuel by its shares, and what follows. */
export interface FuelSheet {
  readonly name: string;
  readonly kind: string;
  /** By volume of the finished fuel [-]; null for diesel. */
  readonly shares: {
    readonly petrol: number;
    readonly ethanol: number;
    readonly methanol: number;
    readonly toluene: number;
  } | null;
  /** What to pour [-]: pump petrol with the ethanol it has, and the rest. */
  readonly poured: PouredParts | null;
  readonly hydrogenToCarbon: number;
  readonly oxygenToCarbon: number;
  readonly molarMassKgPerMol: number;
  readonly properties: readonly FuelProperty[];
}

/** The injected mix: both ways to say its ratio, and what follows. */
export interface MixSheet {
  readonly methanolMassFraction: Band;
  /** The same mix by volume: poured together, and in the finished mix [-]. They differ because it shrinks. */
  readonly methanolVolumeBeforeMixing: number;
  readonly methanolVolumeInFinishedMix: number;
  readonly densityKgPerM3: number;
  /** Null where richer than the table: then below `freezesBelowK`. */
  readonly freezingPointK: number | null;
  readonly freezesBelowK: number;
  readonly boilingPointK: number;
  readonly latentHeatJPerKg: number;
  readonly lowerHeatingValueJPerKg: number;
  readonly stoichiometricAirFuelRatio: number;
  /** For one cubic metre of mix [m3]. */
  readonly recipe: { readonly methanolM3: number; readonly waterM3: number };
  readonly source: Source;
  readonly estimated: boolean;
  readonly note: string;
}

/** Volume of petrol for a kilogram of air at lambda 1 [m3]: CH1.87 at 745 kg/m3 (FC-02). */
const PETROL_VOLUME_PER_AIR = 1 / (14.6 * 745);
/** Richest mix of the freezing table and its freezing point. Source: Melinder (2010). */
const RICHEST = 0.6;

/** The fuel in the tank. `samples` cars behind the bands, seeded. */
export const fuelSheetOf = (resolved: ResolvedBuild, samples = 256, seed = 1): FuelSheet => {
  const { car, quantities } = resolved;
  const drawn = sampledCars(resolved, samples, seed);
  const lists: Record<FuelPropertyKey, number[]> = {
    researchOctane: [],
    motorOctane: [],
    antiKnockIndex: [],
    stoichiometricAirFuelRatio: [],
    lowerHeatingValueJPerKg: [],
    heatPerAirJPerKg: [],
    latentHeatJPerKg: [],
    latentPerAirJPerKg: [],
    densityKgPerM3: [],
    volumeOverPetrol: [],
  };
  const derive = ({ fuel }: typeof car): Record<FuelPropertyKey, number> => ({
    researchOctane: fuel.researchOctane,
    motorOctane: fuel.motorOctane,
    antiKnockIndex: (fuel.researchOctane + fuel.motorOctane) / 2,
    stoichiometricAirFuelRatio: fuel.stoichiometricAirFuelRatio,
    lowerHeatingValueJPerKg: fuel.lowerHeatingValueJPerKg,
    heatPerAirJPerKg: fuel.lowerHeatingValueJPerKg / fuel.stoichiometricAirFuelRatio,
    latentHeatJPerKg: fuel.latentHeatJPerKg,
    latentPerAirJPerKg: fuel.latentHeatJPerKg / fuel.stoichiometricAirFuelRatio,
    densityKgPerM3: fuel.densityKgPerM3,
    volumeOverPetrol: 1 / (fuel.stoichiometricAirFuelRatio * fuel.densityKgPerM3) / PETROL_VOLUME_PER_AIR,
  });
  for (let i = 0; i < samples; i++) {
    const values = derive(drawn.car(i));
    for (const key of Object.keys(lists) as FuelPropertyKey[]) lists[key].push(values[key]);
  }
  const best = derive(car);
  const diesel = car.facts.fuelKind === 'diesel';
  const from = (...paths: string[]) => {
    const found = paths.map((path) => quantities[path]);
    const guessed = found.find((quantity) => quantity?.source === 'estimate') ?? found[0];
    return {
      source: guessed?.source ?? ('estimate' as Source),
      estimated: found.some((quantity) => quantity?.estimated !== false),
      note: guessed?.note ?? '',
    };
  };
  const property = (key: FuelPropertyKey, about: string, ...paths: string[]): FuelProperty => ({
    key,
    about,
    value: bandOf(lists[key]) ?? { p10: best[key], p50: best[key], p90: best[key] },
    ...from(...paths),
  });
  const afr = 'fuel.stoichiometricAirFuelRatio';
  const properties = [
    ...(diesel
      ? []
      : [
          property('researchOctane', 'Research octane number (RON)', 'fuel.researchOctane'),
          property('motorOctane', 'Motor octane number (MON)', 'fuel.motorOctane'),
          property('antiKnockIndex', 'Anti-knock index (AKI)', 'fuel.researchOctane', 'fuel.motorOctane'),
        ]),
    property('stoichiometricAirFuelRatio', 'Air per fuel, this fuel at lambda 1', afr),
    property('lowerHeatingValueJPerKg', 'Lower heating value', 'fuel.lowerHeatingValue'),
    property('heatPerAirJPerKg', 'Heat per air at lambda 1', 'fuel.lowerHeatingValue', afr),
    property('latentHeatJPerKg', 'Latent heat of vaporisation', 'fuel.latentHeat'),
    property('latentPerAirJPerKg', 'Latent heat per air at lambda 1', 'fuel.latentHeat', afr),
    property('densityKgPerM3', 'Density at 20 °C', 'fuel.density'),
    property('volumeOverPetrol', 'Volume at equal lambda over petrol', 'fuel.density', afr),
  ];
  const composition = fuelCompositionOf(car);
  const shares = fuelSharesOf(car);
  return {
    name: composition.name,
    kind: car.facts.fuelKind,
    shares: shares && { ...shares, petrol: Math.max(0, 1 - shares.ethanol - shares.methanol - shares.toluene) },
    poured: shares && pouredParts(shares, soldFor(car.facts, shares)),
    hydrogenToCarbon: composition.hydrogenToCarbon,
    oxygenToCarbon: composition.oxygenToCarbon,
    molarMassKgPerMol: composition.molarMassKgPerMol,
    properties,
  };
};

/** The injected mix of a build at 20 degC; what it would be where no injection is fitted. */
export const mixSheetOf = ({ car, quantities }: ResolvedBuild): MixSheet => {
  const w = Math.min(1, Math.max(0, car.injection.methanolMassFraction));
  const volumes = volumesOfMix(w);
  const freezing = waterMethanolFreezingPointK(w);
  const said = quantities['injection.methanolMassFraction'];
  const sd = said?.sdSi ?? 0;
  const held = (value: number) => Math.min(1, Math.max(0, value));
  return {
    methanolMassFraction: { p10: held(w - 1.2816 * sd), p50: w, p90: held(w + 1.2816 * sd) },
    methanolVolumeBeforeMixing: volumes.beforeMixing,
    methanolVolumeInFinishedMix: volumes.inFinishedMix,
    densityKgPerM3: expectSolved(waterMethanolDensityKgPerM3(w)),
    freezingPointK: freezing.ok ? freezing.value : null,
    freezesBelowK: expectSolved(waterMethanolFreezingPointK(Math.min(w, RICHEST))),
    boilingPointK: expectSolved(waterMethanolBoilingPointK(methanolMoleFraction(w), 101325)),
    latentHeatJPerKg: expectSolved(waterMethanolLatentHeatJPerKg(w)),
    lowerHeatingValueJPerKg: expectSolved(waterMethanolHeatingValueJPerKg(w)),
    stoichiometricAirFuelRatio: w * METHANOL.stoichiometricAirFuelRatio,
    recipe: expectSolved(mixRecipe(1, w)),
    source: said?.source ?? 'estimate',
    estimated: said?.estimated ?? true,
    note: said?.note ?? '',
  };
};
