/** Fuel and mix as the page shows them: what is tried, what it gives, and how it is written. */
import {
  type Build,
  checkBuild,
  type MixBasis,
  resolveBuild,
  volumesOfMix,
  type WhatIfFuel,
  withFuel,
  withMix,
} from '../../src/car/index.ts';
import {
  type Conditions,
  compareNozzles,
  type FuelProperty,
  type FuelSheet,
  fuelSheetOf,
  type MixSheet,
  mixSheetOf,
  type NozzleRow,
} from '../../src/match/index.ts';
import type { Band } from '../charts/interpolate.ts';
import { type Units, writeNumber } from '../state/units.ts';

/** What a person has set on the page; shares in per cent. */
export interface Tried {
  readonly ethanol: number;
  readonly methanol: number;
  readonly toluene: number;
  readonly mix: number;
  readonly mixBy: MixBasis;
}

/** Cars behind the bands in the browser: enough for a steady figure, few enough for a slider. */
const SAMPLES = 64;

const share = (percent: number): number => Number((percent / 100).toFixed(6));

const fuelOf = ({ ethanol, methanol, toluene }: Tried): WhatIfFuel => ({
  ethanol: share(ethanol),
  methanol: share(methanol),
  toluene: share(toluene),
});

const same = (a: Tried, b: Tried, keys: readonly (keyof Tried)[]): boolean => keys.every((key) => a[key] === b[key]);

/** The build as tried: fuel and mix are changed only where they differ from the sheet's. */
export const triedBuild = (
  build: Build,
  from: Tried,
  to: Tried,
): { readonly ok: true; readonly build: Build } | { readonly ok: false; readonly says: string } => {
  let now = build;
  if (!same(from, to, ['ethanol', 'methanol', 'toluene'])) {
    const fuelled = withFuel(now, fuelOf(to));
    if (!fuelled.ok) return { ok: false, says: fuelled.problems[0]?.says ?? 'That fuel cannot be.' };
    now = fuelled.build;
  }
  if (!same(from, to, ['mix', 'mixBy'])) {
    const mixed = withMix(now, { methanol: share(to.mix), by: to.mixBy });
    if (!mixed.ok) return { ok: false, says: mixed.problems[0]?.says ?? 'That mix cannot be.' };
    now = mixed.build;
  }
  return { ok: true, build: now };
};

/** Properties of a tried build. */
export const sheetsOf = (build: Build): { readonly fuel: FuelSheet; readonly mix: MixSheet } => {
  const resolved = resolveBuild(build);
  return { fuel: fuelSheetOf(resolved, SAMPLES), mix: mixSheetOf(resolved) };
};

/** What the sheet itself has in the tank and in the mix. */
export const asTyped = (build: Build): Tried => {
  const checked = checkBuild(build);
  const { car } = resolveBuild(checked.ok ? checked.build : build);
  const percent = (value: number) => Number((100 * value).toFixed(1));
  const methanol = car.facts.fuelKind === 'methanol' ? 100 : percent(car.fuel.methanolContent);
  return {
    ethanol: percent(car.fuel.ethanolContent),
    methanol,
    toluene: percent(car.fuel.tolueneContent),
    mix: percent(volumesOfMix(car.injection.methanolMassFraction).beforeMixing),
    mixBy: 'volume before mixing',
  };
};

/** A number of the same mix, said another way [%]. */
export const mixIn = (mix: MixSheet, by: MixBasis): number =>
  Number(
    (
      100 *
      (by === 'mass'
        ? mix.methanolMassFraction.p50
        : by === 'volume before mixing'
          ? mix.methanolVolumeBeforeMixing
          : mix.methanolVolumeInFinishedMix)
    ).toFixed(1),
  );

/** Nozzles typed as text [m3/s]; null where one of them cannot be. */
export const nozzlesOf = (text: string, units: Units): number[] | null => {
  const parts = text.split(/[\s,;]+/).filter((part) => part !== '');
  if (parts.length === 0 || parts.length > 6) return null;
  const flows = parts.map((part) => units.fromReading('volumeFlow', Number(part)));
  return flows.every((flow) => flow >= 1e-6 / 60 && flow <= 4e-3 / 60) ? flows : null;
};

/** Engine speeds of the nozzle drawing. */
const SPEED_STEP_RPM = 500;

/** Ends of the nozzle drawing's ruler. */
export const rulerOf = (build: Build): { readonly lowestRpm: number; readonly highestRpm: number } => {
  const limit = resolveBuild(build).car.engine.revLimitRpm;
  const lowestRpm = Math.floor(limit / 4 / SPEED_STEP_RPM) * SPEED_STEP_RPM;
  return { lowestRpm, highestRpm: Math.ceil(limit / SPEED_STEP_RPM) * SPEED_STEP_RPM };
};

/** Nozzles matched in the browser, beside the same car without injection. */
export const nozzleRows = (build: Build, conditions: Conditions, nozzles: readonly number[]): NozzleRow[] => {
  const { car } = resolveBuild(build);
  const { lowestRpm } = rulerOf(build);
  const limit = car.engine.revLimitRpm;
  const engineSpeedsRpm: number[] = [];
  for (let rpm = Math.max(1000, lowestRpm); rpm < limit; rpm += SPEED_STEP_RPM) engineSpeedsRpm.push(rpm);
  engineSpeedsRpm.push(limit);
  return compareNozzles(car, conditions, nozzles, {
    engineSpeedsRpm,
    dropletTyped: build.injection?.dropletDiameter !== undefined,
  });
};

const SHOWN: Readonly<
  Record<FuelProperty['key'], { readonly factor: number; readonly decimals: number; readonly unit: string }>
> = {
  researchOctane: { factor: 1, decimals: 1, unit: '' },
  motorOctane: { factor: 1, decimals: 1, unit: '' },
  antiKnockIndex: { factor: 1, decimals: 1, unit: '' },
  stoichiometricAirFuelRatio: { factor: 1, decimals: 2, unit: 'kg/kg' },
  lowerHeatingValueJPerKg: { factor: 1e-6, decimals: 2, unit: 'MJ/kg' },
  heatPerAirJPerKg: { factor: 1e-6, decimals: 3, unit: 'MJ/kg of air' },
  latentHeatJPerKg: { factor: 1e-3, decimals: 0, unit: 'kJ/kg' },
  latentPerAirJPerKg: { factor: 1e-3, decimals: 1, unit: 'kJ/kg of air' },
  densityKgPerM3: { factor: 1, decimals: 1, unit: 'kg/m³' },
  volumeOverPetrol: { factor: 1, decimals: 3, unit: 'times' },
};

/** A property as figures: the middle, half the band, the unit. */
export const writeProperty = ({ key, value }: FuelProperty): { value: string; spread: string; unit: string } => {
  const { factor, decimals, unit } = SHOWN[key];
  return {
    value: writeNumber(factor * value.p50, decimals),
    spread: writeNumber((factor * (value.p90 - value.p10)) / 2, decimals),
    unit,
  };
};

const whole = ({ p10, p50, p90 }: Band, factor: number, decimals = 0): string =>
  `${writeNumber(factor * p50, decimals)} (${writeNumber(factor * p10, decimals)} to ${writeNumber(factor * p90, decimals)})`;

/** "105 (91 to 119)". */
export const writeBand = whole;

/** The sentence that the sheet opens with. */
export const fuelSentence = (fuel: FuelSheet, mix: MixSheet & { readonly fitted: boolean }, units: Units): string => {
  const of = (key: FuelProperty['key']) => fuel.properties.find((property) => property.key === key);
  const octane = of('researchOctane');
  const aki = of('antiKnockIndex');
  const afr = of('stoichiometricAirFuelRatio');
  const volume = of('volumeOverPetrol');
  const more = volume ? Math.round(100 * (volume.value.p50 - 1)) : 0;
  const name = fuel.name.charAt(0).toUpperCase() + fuel.name.slice(1);
  const half = ({ p10, p90 }: Band): string => writeNumber((p90 - p10) / 2, 0);
  // Petrol is called by its RON already.
  const rating =
    !octane || !aki
      ? null
      : /^petrol RON/.test(fuel.name)
        ? (['AKI', aki.value] as const)
        : (['RON', octane.value] as const);
  const start = rating ? `${name}: ${rating[0]} ${writeNumber(rating[1].p50, 0)} ±${half(rating[1])}` : name;
  const flow =
    Math.abs(more) >= 1
      ? `, ${Math.abs(more)} % ${more > 0 ? 'more' : 'less'} volume through the injectors than petrol`
      : '';
  const frost = mix.freezingPointK === null ? mix.freezesBelowK : mix.freezingPointK;
  const wet = mix.fitted
    ? ` The injected mix freezes ${mix.freezingPointK === null ? 'below' : 'at'} ${units.write('temperature', frost)} ${units.label('temperature')}.`
    : '';
  return `${start}, ${afr ? `${writeNumber(afr.value.p50, 2)} kg of air per kg of it at lambda 1` : ''}${flow}.${wet}`;
};
