/** Every place of a build sheet that a person can type into: numbers, choices, curves and lists, with what each is called. */
import { FIELD_PLACES, MEASURING, type Source } from '../../src/car/index.ts';
import { type Dimension, dimensionOf, isUnit, type Unit, unitsOf } from '../../src/physics/units.ts';
import { createSavedStore } from '../state/store.ts';
import { UNIT_CHOICES, type UnitChoice, type UnitKind } from '../state/units.ts';

export const SOURCE_CHOICES: readonly { readonly source: Source; readonly says: string }[] = [
  { source: 'measured', says: 'measured by hand' },
  { source: 'logged', says: 'read off a log' },
  { source: 'data-sheet', says: 'data sheet' },
  { source: 'estimate', says: 'estimate' },
];

/** A number of the sheet. */
export interface NumberPlace {
  readonly path: string;
  readonly about: string;
  readonly dimension: Dimension;
  /** Unit it is usually written in. */
  readonly unit: Unit;
  readonly required: boolean;
}

/** What the octane on North American pumps is: typed beside the fields of the fuel, and read with them. */
export const PUMP_OCTANE: NumberPlace = {
  path: 'fuel.antiKnockIndex',
  about: 'Octane as North American pumps show it, (R+M)/2',
  dimension: 'ratio',
  unit: '1',
  required: false,
};

export const NUMBER_PLACES: ReadonlyMap<string, NumberPlace> = new Map(
  [
    ...FIELD_PLACES.map(
      ({ group, name, field }): NumberPlace => ({
        path: `${group}.${name}`,
        about: field.about,
        dimension: field.dimension,
        unit: field.unit,
        required: field.required,
      }),
    ),
    PUMP_OCTANE,
  ].map((place) => [place.path, place]),
);

/** A word, a yes or no, or a whole number chosen from a list; or a text. */
export interface ChoicePlace {
  readonly path: string;
  readonly about: string;
  readonly kind: 'word' | 'count' | 'yes or no' | 'text';
  /** Empty for a text. */
  readonly choices: readonly string[];
  readonly required: boolean;
  /** What holds while nothing is said. */
  readonly usual?: string;
}

const counts = (from: number, to: number): string[] => Array.from({ length: to - from + 1 }, (_, i) => `${from + i}`);

export const CHOICE_PLACES: readonly ChoicePlace[] = [
  { path: 'engine.cylinders', about: 'Cylinders', kind: 'count', choices: counts(1, 16), required: true },
  {
    path: 'engine.layout',
    about: 'Layout of the cylinders',
    kind: 'word',
    choices: ['inline', 'vee', 'flat'],
    required: false,
    usual: 'inline',
  },
  {
    path: 'engine.valvesPerCylinder',
    about: 'Valves per cylinder',
    kind: 'count',
    choices: counts(2, 5),
    required: false,
    usual: '4',
  },
  {
    path: 'engine.fuelInjection',
    about: 'Where the fuel goes in',
    kind: 'word',
    choices: ['port', 'direct'],
    required: false,
    usual: 'not said',
  },
  {
    path: 'engine.camPhasing',
    about: 'Camshafts that turn while running',
    kind: 'word',
    choices: ['none', 'intake', 'both'],
    required: false,
    usual: 'not said',
  },
  {
    path: 'intake.bypassValve',
    about: 'What lets boost go when the throttle shuts',
    kind: 'word',
    choices: ['recirculating', 'atmospheric', 'none'],
    required: false,
    usual: 'recirculating',
  },
  {
    path: 'fuel.kind',
    about: 'Fuel',
    kind: 'word',
    choices: ['petrol', 'ethanol blend', 'blend', 'methanol', 'diesel'],
    required: true,
  },
  {
    path: 'fuelSystem.injectorCount',
    about: 'Injectors',
    kind: 'count',
    choices: counts(1, 32),
    required: false,
    usual: 'one a cylinder',
  },
  {
    path: 'fuelSystem.regulatorReferenced',
    about: 'Rail pressure follows the manifold',
    kind: 'yes or no',
    choices: ['yes', 'no'],
    required: false,
    usual: 'yes',
  },
  {
    path: 'sensors.airMetering',
    about: 'Air metering',
    kind: 'word',
    choices: ['airflow meter', 'speed-density'],
    required: false,
    usual: 'speed-density, or a meter where its ceiling is typed',
  },
  {
    path: 'sensors.speedSource',
    about: 'Where logged road speed comes from',
    kind: 'word',
    choices: ['driven wheel', 'undriven wheel', 'gearbox', 'satellite'],
    required: false,
    usual: 'driven wheel',
  },
  {
    path: 'driveline.driven',
    about: 'Driven wheels',
    kind: 'word',
    choices: ['front', 'rear', 'all'],
    required: true,
  },
  { path: 'tyres.size', about: 'Size of the driven tyres', kind: 'text', choices: [], required: false },
];

/** A column of a table: what it is and the units it may be typed in; none for a plain number. */
export interface TableColumn {
  readonly name: string;
  readonly dimensions: readonly Dimension[];
  readonly unit: Unit;
}

export interface TablePlace {
  readonly path: string;
  /** In a line of its own. */
  readonly name: string;
  readonly about: string;
  readonly columns: readonly TableColumn[];
  readonly required: boolean;
  /** Plain list of numbers, without source and plus-minus. */
  readonly isList: boolean;
}

const overSpeed = (path: string, name: string, about: string, value: TableColumn, required = false): TablePlace => ({
  path,
  name,
  about,
  columns: [{ name: 'Engine speed', dimensions: ['rotational speed'], unit: 'rpm' }, value],
  required,
  isList: false,
});

export const TABLE_PLACES: readonly TablePlace[] = [
  overSpeed(
    'targets.boost',
    'Boost target',
    'Boost asked for over engine speed',
    { name: 'Boost', dimensions: ['gauge pressure', 'absolute pressure'], unit: 'kPa gauge' },
    true,
  ),
  overSpeed('targets.lambda', 'Lambda target', 'Lambda asked for over engine speed', {
    name: 'Lambda',
    dimensions: ['lambda'],
    unit: 'lambda',
  }),
  overSpeed('targets.sparkAdvance', 'Timing', 'Timing at full throttle over engine speed', {
    name: 'Timing',
    dimensions: ['angle'],
    unit: 'deg',
  }),
  overSpeed('engine.volumetricEfficiency', 'Filling', 'Filling (volumetric efficiency) over engine speed', {
    name: 'Filling',
    dimensions: ['ratio'],
    unit: '%',
  }),
  {
    path: 'chargeCooler.effectiveness',
    name: 'Charge cooler effectiveness',
    about: 'Charge cooler effectiveness over air flow',
    columns: [
      { name: 'Air flow', dimensions: ['mass flow'], unit: 'g/s' },
      { name: 'Effectiveness', dimensions: ['ratio'], unit: '%' },
    ],
    required: false,
    isList: false,
  },
  {
    path: 'driveline.gearRatios',
    name: 'Gear ratios',
    about: 'Gear ratios, first gear first',
    columns: [{ name: 'Ratio', dimensions: ['ratio'], unit: '1' }],
    required: true,
    isList: true,
  },
];

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);

/** What a place is called in a line of its own: its trade name where it has one. */
export const shortName = (path: string): string => {
  const table = TABLE_PLACES.find((place) => place.path === path);
  if (table) return table.name;
  const measured = MEASURING[path];
  if (measured) return capital(measured.name);
  const words = (path.split('.')[1] ?? path).replace(/([a-z])([A-Z])/g, '$1 $2').toLowerCase();
  const choice = CHOICE_PLACES.find((place) => place.path === path);
  return choice ? choice.about : capital(words);
};

/** What a place is, in full. */
export const aboutOf = (path: string): string =>
  NUMBER_PLACES.get(path)?.about ??
  CHOICE_PLACES.find((place) => place.path === path)?.about ??
  TABLE_PLACES.find((place) => place.path === path)?.about ??
  shortName(path);

/** How to find a number out, where somebody with a garage can. */
export const howOf = (path: string): string | undefined => MEASURING[path]?.how;

/** Symbols as people write them. */
export const unitInWords = (unit: string): string =>
  unit === '1'
    ? ''
    : unit
        .replace(/m2\b/g, 'm²')
        .replace(/m3\b/g, 'm³')
        .replace(/^in3$/, 'cu in')
        .replace(/^in2$/, 'sq in')
        .replace(/^kg m/, 'kg·m')
        .replace('N m', 'N·m')
        .replace('lbf ft', 'lb·ft')
        .replace('cm³/min', 'cc/min')
        .replace(/^cm³$/, 'cc')
        .replace(/^deg$/, '°')
        .replace('degC', '°C')
        .replace('degF', '°F')
        .replace('ohm', 'Ω');

// ---- units that a person types in, remembered by place

const KINDS: Readonly<Partial<Record<Dimension, UnitKind>>> = {
  'absolute pressure': 'pressure',
  'gauge pressure': 'pressure',
  'pressure difference': 'pressure',
  temperature: 'temperature',
  'mass flow': 'airFlow',
  'volume flow': 'volumeFlow',
  torque: 'torque',
  speed: 'speed',
};
const SUFFIX: Readonly<Partial<Record<Dimension, string>>> = {
  'absolute pressure': ' abs',
  'gauge pressure': ' gauge',
};

const isUnitMemory = (saved: unknown): saved is Readonly<Record<string, string>> =>
  typeof saved === 'object' && saved !== null && Object.values(saved).every((unit) => typeof unit === 'string');

/** The unit last typed in, by place. */
export const typedUnitStore = createSavedStore<Readonly<Record<string, string>>>(
  'boostwright.typed-units',
  {},
  (saved) => (isUnitMemory(saved) ? saved : null),
);

export const rememberUnit = (place: string, unit: string): void =>
  typedUnitStore.set({ ...typedUnitStore.get(), [place]: unit });

/** The unit to offer first: the one last typed in there, else the one that the person reads in, else the usual one. */
export const unitToOffer = (
  place: string,
  dimension: Dimension,
  usual: Unit,
  choice: UnitChoice,
  memory: Readonly<Record<string, string>>,
): Unit => {
  const last = memory[place];
  if (last !== undefined && isUnit(last) && dimensionOf(last) === dimension) return last;
  const kind = usual === 'L/h' ? 'pumpFlow' : KINDS[dimension];
  if (kind === undefined) return usual;
  const reading = UNIT_CHOICES[kind].choices.find(({ label }) => label === choice[kind]);
  const unit = reading ? `${reading.unit}${SUFFIX[dimension] ?? ''}` : usual;
  return isUnit(unit) && dimensionOf(unit) === dimension ? unit : usual;
};

/** Units offered for dimensions, the odd ones of other trades last as the table of units has them. */
export const unitsFor = (dimensions: readonly Dimension[]): Unit[] => dimensions.flatMap(unitsOf);
