/** The units a person reads in, one choice per quantity, remembered. Numbers themselves stay SI until they are written. */
import { fromSi, lambdaToAirFuelRatio, spreadFromSi, type Unit } from '../../src/physics/units.ts';
import { createSavedStore, createStore, useStore } from './store.ts';

/** A reading unit: what it is called on the sheet, the core's unit, and the decimals worth showing. */
interface ReadingUnit {
  readonly label: string;
  readonly unit: Unit;
  readonly decimals: number;
}

const pressure = (label: string, unit: Unit, decimals: number): ReadingUnit => ({ label, unit, decimals });

/** Every quantity a person can choose a unit for; metric first, US second where the two differ. */
export const UNIT_CHOICES = {
  pressure: {
    about: 'Pressure',
    choices: [pressure('bar', 'bar', 2), pressure('psi', 'psi', 1), pressure('kPa', 'kPa', 0)],
  },
  temperature: {
    about: 'Temperature',
    choices: [
      { label: '°C', unit: 'degC', decimals: 0 },
      { label: '°F', unit: 'degF', decimals: 0 },
    ],
  },
  airFlow: {
    about: 'Air flow',
    choices: [
      { label: 'g/s', unit: 'g/s', decimals: 0 },
      { label: 'lb/min', unit: 'lb/min', decimals: 1 },
      { label: 'kg/h', unit: 'kg/h', decimals: 0 },
    ],
  },
  fuelFlow: {
    about: 'Fuel flow by mass',
    choices: [
      { label: 'g/s', unit: 'g/s', decimals: 1 },
      { label: 'lb/h', unit: 'lb/h', decimals: 0 },
    ],
  },
  volumeFlow: {
    about: 'Injector and nozzle flow',
    choices: [
      { label: 'cc/min', unit: 'cm3/min', decimals: 0 },
      { label: 'L/min', unit: 'L/min', decimals: 3 },
    ],
  },
  pumpFlow: {
    about: 'Pump flow',
    choices: [
      { label: 'L/h', unit: 'L/h', decimals: 0 },
      { label: 'US gal/h', unit: 'US gal/h', decimals: 1 },
      { label: 'cc/min', unit: 'cm3/min', decimals: 0 },
    ],
  },
  power: {
    about: 'Power',
    choices: [
      { label: 'kW', unit: 'kW', decimals: 0 },
      { label: 'hp', unit: 'hp', decimals: 0 },
      { label: 'metric hp', unit: 'metric hp', decimals: 0 },
    ],
  },
  torque: {
    about: 'Torque',
    choices: [
      { label: 'N·m', unit: 'N m', decimals: 0 },
      { label: 'lb·ft', unit: 'lbf ft', decimals: 0 },
    ],
  },
  force: {
    about: 'Force',
    choices: [
      { label: 'kN', unit: 'kN', decimals: 2 },
      { label: 'lbf', unit: 'lbf', decimals: 0 },
    ],
  },
  speed: {
    about: 'Road speed',
    choices: [
      { label: 'km/h', unit: 'km/h', decimals: 0 },
      { label: 'mph', unit: 'mph', decimals: 0 },
    ],
  },
  mixture: {
    about: 'Mixture',
    choices: [
      { label: 'lambda', unit: 'lambda', decimals: 3 },
      { label: 'AFR', unit: 'lambda', decimals: 1 },
    ],
  },
} as const satisfies Record<string, { about: string; choices: readonly ReadingUnit[] }>;

export type UnitKind = keyof typeof UNIT_CHOICES;
export const UNIT_KINDS = Object.keys(UNIT_CHOICES) as UnitKind[];
/** Chosen label per quantity. */
export type UnitChoice = Readonly<Record<UnitKind, string>>;

const choiceAt = (index: 0 | 1): UnitChoice =>
  Object.fromEntries(UNIT_KINDS.map((kind) => [kind, UNIT_CHOICES[kind].choices[index].label])) as UnitChoice;

export const METRIC_UNITS: UnitChoice = choiceAt(0);
/** US trade units; injectors are sold by cc/min there too, and the mixture stays lambda, which needs no fuel to be named. */
export const US_UNITS: UnitChoice = { ...choiceAt(1), volumeFlow: 'cc/min', mixture: 'lambda' };

/** A saved choice, each quantity checked on its own; anything else is the metric one. */
export const reviveUnits = (saved: unknown): UnitChoice | null => {
  if (typeof saved !== 'object' || saved === null) return null;
  const given = saved as Record<string, unknown>;
  return Object.fromEntries(
    UNIT_KINDS.map((kind) => {
      const known = UNIT_CHOICES[kind].choices.some((choice) => choice.label === given[kind]);
      return [kind, known ? given[kind] : METRIC_UNITS[kind]];
    }),
  ) as UnitChoice;
};

export const unitStore = createSavedStore<UnitChoice>('boostwright.units', METRIC_UNITS, reviveUnits);

/** Air per fuel by mass at lambda 1 of the shown build's fuel [kg/kg] and what to call it; AFR needs both. */
export const fuelStore = createStore<{ readonly name: string; readonly stoichiometric: number } | null>(null);

/** A written number. */
export interface Written {
  readonly text: string;
  readonly unit: string;
}

const THIN = ',';

/** A number with thousands set apart: 5,200. A minus is a real minus. */
export const writeNumber = (value: number, decimals: number): string => {
  if (!Number.isFinite(value)) return '–';
  const fixed = Math.abs(value).toFixed(decimals);
  const [whole = '', part] = fixed.split('.');
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, THIN);
  const negative = value < 0 && Number(fixed) !== 0;
  return `${negative ? '−' : ''}${grouped}${part === undefined ? '' : `.${part}`}`;
};

const SI_KIND: Readonly<Record<string, UnitKind>> = {
  Pa: 'pressure',
  'Pa abs': 'pressure',
  'Pa gauge': 'pressure',
  K: 'temperature',
  'kg/s': 'airFlow',
  'm3/s': 'volumeFlow',
  W: 'power',
  'N m': 'torque',
  N·m: 'torque',
  Nm: 'torque',
  N: 'force',
  lambda: 'mixture',
};

/** Reads and writes SI numbers in the chosen units. */
export interface Units {
  readonly choice: UnitChoice;
  readonly label: (kind: UnitKind) => string;
  readonly toReading: (kind: UnitKind, valueSi: number) => number;
  readonly fromReading: (kind: UnitKind, value: number) => number;
  /** The value alone, at the decimals of its unit plus `extra`. */
  readonly write: (kind: UnitKind, valueSi: number, extra?: number) => string;
  /** A difference or plus-minus: no offset of the temperature scale. */
  readonly writeSpread: (kind: UnitKind, spreadSi: number, extra?: number) => string;
  /** A value known only by its SI unit, like the ledger's demand and rating. */
  readonly writeSi: (valueSi: number, unit: string) => Written;
}

/** The words for units the core names by symbol. */
const OTHER_SI: Readonly<Record<string, { label: string; factor: number; decimals: number }>> = {
  '1': { label: '', factor: 1, decimals: 2 },
  '%': { label: '%', factor: 1, decimals: 0 },
  rpm: { label: 'rpm', factor: 1, decimals: 0 },
  s: { label: 'ms', factor: 1000, decimals: 2 },
  V: { label: 'V', factor: 1, decimals: 1 },
  deg: { label: '°', factor: 1, decimals: 1 },
  Hz: { label: 'Hz', factor: 1, decimals: 0 },
  'm/s': { label: 'm/s', factor: 1, decimals: 1 },
  'm/s2': { label: 'm/s²', factor: 1, decimals: 2 },
  m: { label: 'm', factor: 1, decimals: 0 },
};

export const makeUnits = (choice: UnitChoice, fuel: { name: string; stoichiometric: number } | null): Units => {
  const readingUnit = (kind: UnitKind): ReadingUnit => {
    const choices: readonly ReadingUnit[] = UNIT_CHOICES[kind].choices;
    const found = choices.find((one) => one.label === choice[kind]);
    // AFR without a fuel has no meaning: lambda stands in for it.
    if (kind === 'mixture' && found?.label === 'AFR' && fuel === null) return choices[0]!;
    return found ?? choices[0]!;
  };
  const afr = (kind: UnitKind) => kind === 'mixture' && readingUnit(kind).label === 'AFR' && fuel !== null;
  const toReading = (kind: UnitKind, valueSi: number) =>
    afr(kind) ? lambdaToAirFuelRatio(valueSi, fuel!.stoichiometric) : fromSi(valueSi, readingUnit(kind).unit);
  const write = (kind: UnitKind, valueSi: number, extra = 0) =>
    writeNumber(toReading(kind, valueSi), readingUnit(kind).decimals + extra);
  return {
    choice,
    label: (kind) => (afr(kind) ? `AFR, ${fuel!.name}` : readingUnit(kind).label),
    toReading,
    fromReading: (kind, value) => {
      if (afr(kind)) return value / fuel!.stoichiometric;
      const { unit } = readingUnit(kind);
      const zero = fromSi(0, unit);
      return (value - zero) / (fromSi(1, unit) - zero);
    },
    write,
    writeSpread: (kind, spreadSi, extra = 0) => {
      const { unit, decimals } = readingUnit(kind);
      const size = afr(kind) ? spreadSi * fuel!.stoichiometric : spreadFromSi(spreadSi, unit);
      return writeNumber(Math.abs(size), decimals + extra);
    },
    writeSi: (valueSi, unit) => {
      const kind = SI_KIND[unit];
      if (kind !== undefined) {
        const label = readingUnit(kind).label;
        // Cylinder pressures run to hundreds of bar: decimals would only be noise there.
        const extra = kind === 'pressure' && label === 'bar' && valueSi > 2e6 ? -2 : 0;
        return { text: write(kind, valueSi, extra), unit: label };
      }
      const other = OTHER_SI[unit];
      if (unit === 'rpm' && valueSi >= 20000) return { text: writeNumber(valueSi / 1000, 0), unit: 'krpm' };
      if (other !== undefined) return { text: writeNumber(valueSi * other.factor, other.decimals), unit: other.label };
      return { text: Number(valueSi.toPrecision(3)).toString(), unit };
    },
  };
};

let made: { choice: UnitChoice; fuel: ReturnType<typeof fuelStore.get>; units: Units } | null = null;

/** The chosen units; one object for as long as the choice stands. */
export const useUnits = (): Units => {
  const choice = useStore(unitStore);
  const fuel = useStore(fuelStore);
  if (made === null || made.choice !== choice || made.fuel !== fuel)
    made = { choice, fuel, units: makeUnits(choice, fuel) };
  return made.units;
};
