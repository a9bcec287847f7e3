/** Fuel and injected mix as text. */
import type { FuelView } from '../app/index.ts';
import { fromSi, type Unit } from '../physics/index.ts';
import { airText, cautionText } from './match-text.ts';
import { type BandLike, bandShown, figure, shown, table, type UnitSystem, unitText, wrap } from './print.ts';

interface Shown {
  readonly unit: string;
  readonly decimals: number;
  readonly of: (si: number) => number;
}

const as = (unit: Unit, text: string, decimals: number): Shown => ({
  unit: text,
  decimals,
  of: (si) => fromSi(si, unit),
});

/** Units of the properties of a fuel; the same in both systems where the trade uses one. */
const PROPERTY: Readonly<Record<FuelView['fuel']['properties'][number]['key'], Shown>> = {
  researchOctane: as('1', '', 1),
  motorOctane: as('1', '', 1),
  antiKnockIndex: as('1', '', 1),
  stoichiometricAirFuelRatio: as('kg/kg', 'kg/kg', 2),
  lowerHeatingValueJPerKg: as('MJ/kg', 'MJ/kg', 2),
  heatPerAirJPerKg: as('MJ/kg', 'MJ/kg air', 3),
  latentHeatJPerKg: as('kJ/kg', 'kJ/kg', 0),
  latentPerAirJPerKg: as('kJ/kg', 'kJ/kg air', 1),
  densityKgPerM3: as('kg/m3', 'kg/m3', 1),
  volumeOverPetrol: as('1', 'times', 3),
};

const NOZZLE: Readonly<Record<UnitSystem, Shown>> = {
  metric: as('cm3/min', 'cm3/min', 0),
  us: { unit: 'US gal/h', decimals: 1, of: (si) => (si * 3600) / 3.785411784e-3 },
};
const VOLUME: Readonly<Record<UnitSystem, Shown>> = {
  metric: as('L', 'L', 2),
  us: { unit: 'US gal', decimals: 2, of: (si) => si / 3.785411784e-3 },
};

const one = (si: number, { decimals, of }: Shown): string => figure(of(si), decimals);
const band = (values: BandLike, how: Shown): string =>
  `${one(values.p50, how)} (${one(values.p10, how)}-${one(values.p90, how)})`;
const percent = (share: number, decimals = 1): string => figure(100 * share, decimals);
const percentBand = (values: BandLike): string =>
  `${percent(values.p50, 0)} (${percent(values.p10, 0)}-${percent(values.p90, 0)})`;

/** Why the mist dries no further. */
const LIMIT_TEXT = { time: 'time', saturation: 'air full', nothing: 'all dry' } as const;
/** Rows printed: every half thousand is plenty. */
const ROW_STEP_RPM = 500;

const kept = <T extends { readonly engineSpeedRpm: number }>(rows: readonly T[]): T[] =>
  rows.filter(({ engineSpeedRpm }, i) => engineSpeedRpm % ROW_STEP_RPM === 0 || i === rows.length - 1);

const fuelLines = ({ fuel }: FuelView): string[] => {
  const { shares, poured } = fuel;
  const parts = shares
    ? (['petrol', 'ethanol', 'methanol', 'toluene'] as const)
        .filter((name) => shares[name] > 0)
        .map((name) => `${percent(shares[name])} % ${name}`)
        .join(', ')
    : 'diesel';
  const pour =
    poured && shares && Math.abs(poured.ethanol - shares.ethanol) > 5e-4
      ? ` Poured together: ${percent(poured.petrolAsSold)} % pump petrol with its own ethanol, ${percent(Math.max(0, poured.ethanol))} % ethanol.`
      : '';
  return [
    wrap(
      `Fuel: ${fuel.name}. By volume: ${parts}.${pour} Mean formula CH${figure(fuel.hydrogenToCarbon, 3)}${fuel.oxygenToCarbon > 0 ? `O${figure(fuel.oxygenToCarbon, 3)}` : ''}, ${figure(1000 * fuel.molarMassKgPerMol, 1)} g/mol.`,
    ),
    '',
    table(
      [
        { head: 'property', words: true },
        { head: 'p50 (p10-p90)' },
        { head: 'unit', words: true },
        { head: 'source', words: true },
        { head: 'how', words: true },
      ],
      fuel.properties.map(({ key, about, value, source, note }) => {
        const how = PROPERTY[key];
        return [about, band(value, how), how.unit, source, note];
      }),
    ),
  ];
};

const mixLines = ({ mix }: FuelView, units: UnitSystem): string[] => {
  const temperature = (kelvin: number) => `${shown(kelvin, 'temperature', units)} ${unitText('temperature', units)}`;
  const freezes =
    mix.freezingPointK === null ? `below ${temperature(mix.freezesBelowK)}` : `at ${temperature(mix.freezingPointK)}`;
  return [
    wrap(
      `Injected mix${mix.fitted ? '' : ' (none is fitted; this is the usual one)'}: ${percent(mix.methanolMassFraction.p50)} % methanol by mass (${percent(mix.methanolMassFraction.p10)}-${percent(mix.methanolMassFraction.p90)})`,
    ),
    wrap(
      `  = ${percent(mix.methanolVolumeBeforeMixing)} % by volumes poured together = ${percent(mix.methanolVolumeInFinishedMix)} % of the finished mix, which shrinks. For one litre of mix: ${figure(mix.recipe.methanolM3, 3)} L methanol and ${figure(mix.recipe.waterM3, 3)} L water.`,
      100,
      '  ',
    ),
    wrap(
      `  Freezes ${freezes}, boils from ${temperature(mix.boilingPointK)}. ${figure(mix.densityKgPerM3, 0)} kg/m3, latent heat ${figure(mix.latentHeatJPerKg / 1e3, 0)} kJ/kg, heating value ${figure(mix.lowerHeatingValueJPerKg / 1e6, 2)} MJ/kg, air ${figure(mix.stoichiometricAirFuelRatio, 2)} kg per kg of mix at lambda 1.`,
      100,
      '  ',
    ),
  ];
};

const injectionLines = (view: FuelView, units: UnitSystem): string[] => {
  const { injection, endurance } = view;
  if (!injection) return [];
  const nozzle = NOZZLE[units];
  const states = new Map(injection.states.map((state) => [state.engineSpeedRpm, state]));
  const rows = kept(injection.bands.points).map((point) => {
    const state = states.get(point.engineSpeedRpm);
    return [
      figure(point.engineSpeedRpm, 0),
      band(point.injectionVolumeFlowM3PerS, nozzle),
      percentBand(point.shareOfFuelByMass),
      percentBand(point.shareOfFuelByVolume),
      bandShown(point.chargeBeforeK, 'temperature', units),
      bandShown(point.chargeAfterK, 'temperature', units),
      percentBand(point.coolingShare),
      state ? LIMIT_TEXT[state.limit] : '-',
      state ? figure(1000 * state.flightTimeS, 0) : '-',
    ];
  });
  const unit = unitText('temperature', units);
  return [
    '',
    wrap(
      `Injection: nozzle ${one(injection.nozzleFlowM3PerS, nozzle)} ${nozzle.unit} at ${shown(injection.pumpPressureGaugePa, 'pressure', units)} ${unitText('pressure', units)}, droplets ${figure(1e6 * injection.dropletDiameterM, 0)} um. The share of the mist that dries before the valves is ${injection.evaporatedShareTyped ? 'as typed' : 'worked out from droplets and time'}.`,
    ),
    '',
    table(
      [
        { head: 'rpm' },
        { head: `mix ${nozzle.unit}` },
        { head: 'of fuel, mass %' },
        { head: 'volume %' },
        { head: `before ${unit}` },
        { head: `after ${unit}` },
        { head: 'dries %' },
        { head: 'limit', words: true },
        { head: 'ms' },
      ],
      rows,
    ),
    ...(endurance
      ? [
          '',
          wrap(
            `Tank of ${one(injection.tankVolumeM3, VOLUME[units])} ${VOLUME[units].unit}: ${band(endurance.pulls, { unit: '', decimals: 0, of: (n) => n })} pulls through the rev range in a middle gear, or ${band(endurance.fullBoostS, { unit: 'min', decimals: 1, of: (s) => s / 60 })} minutes at the most flow. Fill it before it is a quarter full.`,
          ),
        ]
      : []),
  ];
};

const nozzleLines = (view: FuelView, units: UnitSystem): string[] => {
  const nozzle = NOZZLE[units];
  const lines: string[] = [];
  const { wanted } = view;
  if (wanted) {
    lines.push(
      '',
      wrap(
        `Wanted: ${percent(wanted.share, 0)} % of the fuel by ${wanted.by} at ${figure(wanted.engineSpeedRpm, 0)} rpm. ${wanted.nozzleFlowM3PerS === null ? wanted.says : `Nozzle: ${one(wanted.nozzleFlowM3PerS, nozzle)} ${nozzle.unit}. ${wanted.says}`}`,
      ),
    );
  }
  if (view.nozzles.length > 0) {
    const degree = units === 'us' ? 1.8 : 1;
    const rows = view.nozzles.flatMap(({ nozzleFlowM3PerS, effects }) =>
      kept(effects)
        .filter(({ engineSpeedRpm }, i, all) => engineSpeedRpm % 1000 === 0 || i === all.length - 1)
        .map((effect) => [
          one(nozzleFlowM3PerS, nozzle),
          figure(effect.engineSpeedRpm, 0),
          percent(effect.shareOfFuelByMass, 0),
          percent(effect.shareOfFuelByVolume, 0),
          figure(effect.lambdaUncorrected, 2),
          figure(degree * effect.chargeTemperatureChangeK, 0),
          figure(effect.knockGainDeg, 1),
          shown(effect.powerChangeW, 'power', units),
        ]),
    );
    lines.push(
      '',
      'Each nozzle beside the same car without injection, best estimate:',
      table(
        [
          { head: `nozzle ${nozzle.unit}` },
          { head: 'rpm' },
          { head: 'of fuel, mass %' },
          { head: 'volume %' },
          { head: 'lambda if not corrected' },
          { head: `charge ${unitText('temperature', units)}` },
          { head: 'knock deg' },
          { head: `power ${unitText('power', units)}` },
        ],
        rows,
      ),
      wrap(
        'knock: degrees of timing won at the knock limit, or gained by estimated timing where the sheet types none.',
      ),
    );
  }
  return lines;
};

export const fuelText = (view: FuelView, units: UnitSystem): string =>
  [
    `${view.build}: fuel and injected mix`,
    wrap(`${airText(view.conditions, units)}. AFR always names its fuel; lambda is the same for all.`),
    '',
    ...fuelLines(view),
    '',
    ...mixLines(view, units),
    ...injectionLines(view, units),
    ...nozzleLines(view, units),
    ...(view.problems.length > 0 ? ['', ...view.problems.map((says) => wrap(`Note: ${says}`, 100, '  '))] : []),
    '',
    cautionText(view.cautions),
  ].join('\n');
