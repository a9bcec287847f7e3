/** The ledger's rows as marks of parts: what each part uses of what it carries, at an engine speed. */
import type { HeadroomView, PartHeadroomView } from '../../src/app/api.ts';
import type { CarFacts } from '../../src/car/index.ts';
import type { CarShape, PartPlace } from '../charts/air-path/plan.ts';
import type { IconName } from '../charts/icons.ts';
import { between, readAt } from '../charts/interpolate.ts';
import { type HeadroomMark, leftInWords } from '../charts/marks.ts';
import type { GatheredChannel, LaidOnPull } from '../state/laid-on.ts';
import type { Units } from '../state/units.ts';

/** The row that is worst among those a part stands for. */
export const rowOf = (place: PartPlace, parts: readonly PartHeadroomView[]): PartHeadroomView | undefined =>
  parts
    .filter((row) => place.ledger(row.part))
    .reduce<PartHeadroomView | undefined>(
      (worst, row) => (worst === undefined || row.utilisation.p50 > worst.utilisation.p50 ? row : worst),
      undefined,
    );

/** Channels whose reading is the demand itself. */
const DEMAND_CHANNEL: Readonly<Record<string, GatheredChannel>> = {
  injectors: 'injector-duty',
  'airflow meter': 'air-flow',
  'manifold pressure sensor': 'manifold-pressure',
  'shaft speed': 'shaft-speed',
};

/** A row's mark at an engine speed, with the laid-on pull's own reading where its demand was logged. */
export const markAt = (row: PartHeadroomView, engineSpeedRpm: number, laid: LaidOnPull | null): HeadroomMark => {
  const { utilisation, curve } = row;
  const place = curve ? between(curve.engineSpeedRpm, engineSpeedRpm) : null;
  const here = curve && place ? readAt(curve.utilisation, place) : utilisation.p50;
  const scale = utilisation.p50 > 0 && Number.isFinite(here) ? here / utilisation.p50 : 1;
  const mark = {
    p10: utilisation.p10 * scale,
    p50: utilisation.p50 * scale,
    p90: utilisation.p90 * scale,
    ...(curve ? { worst: utilisation.p50 } : {}),
  };
  const logged = loggedShare(row, engineSpeedRpm, laid);
  return logged === undefined ? mark : { ...mark, logged };
};

const loggedShare = (row: PartHeadroomView, engineSpeedRpm: number, laid: LaidOnPull | null): number | undefined => {
  const channel = DEMAND_CHANNEL[row.part];
  const values = channel === undefined ? undefined : laid?.channels.get(channel);
  // Only where the ledger's utilisation is demand over rating does a reading over the rating mean the same thing.
  if (!laid || !values || Math.abs(row.demand / row.rating - row.utilisation.p50) > 0.03) return undefined;
  const place = between(laid.engineSpeedRpm, engineSpeedRpm);
  const value = place === null ? Number.NaN : readAt(values, place);
  return Number.isFinite(value) ? value / row.rating : undefined;
};

const ORDINALS = ['', '1st', '2nd', '3rd', '4th', '5th', '6th', '7th', '8th'];

/** What a row of the ledger is called on the sheet. */
export const rowName = (part: string): string => {
  const gear = /^tyres, gear (\d+)$/.exec(part);
  if (gear) return `Tyres, ${ORDINALS[Number(gear[1])] ?? `${gear[1]}th`} gear`;
  if (part === 'compressor surge') return 'Compressor, surge';
  if (part === 'compressor choke') return 'Compressor, choke';
  return part.charAt(0).toUpperCase() + part.slice(1);
};

const ROW_ICONS: Readonly<Record<string, IconName>> = {
  'compressor surge': 'compressor',
  'compressor choke': 'compressor',
  'shaft speed': 'turbine',
  'compressor outlet temperature': 'compressor',
  'back-pressure': 'manifold',
  'turbine temperature': 'turbine',
  'wastegate authority': 'wastegate',
  'charge temperature': 'cooler',
  injectors: 'injector',
  'injectors at idle': 'injector',
  'fuel pump': 'pump',
  'airflow meter': 'meter',
  'manifold pressure sensor': 'gauge',
  'boost gauge': 'gauge',
  'wideband range': 'lambda',
  'piston speed': 'piston',
  'peak cylinder pressure': 'piston',
  knock: 'piston',
  clutch: 'clutch',
  gearbox: 'gearbox',
  'water-methanol flow': 'nozzle',
};

export const rowIcon = (part: string): IconName => ROW_ICONS[part] ?? (part.startsWith('tyres') ? 'tyre' : 'headroom');

/** What to draw, from the car's facts and from which limits the ledger knows. */
export const carShapeOf = (facts: CarFacts, headroom: HeadroomView | undefined): CarShape => {
  const has = (part: string) => headroom?.parts.some((row) => row.part === part) ?? false;
  return {
    cylinders: facts.cylinders,
    layout: facts.layout,
    driven: facts.driven,
    throttled: facts.ignition === 'spark',
    injection: facts.hasInjection,
    airflowMeter: facts.airMetering === 'airflow meter',
    pressureSensor: has('manifold pressure sensor') || facts.airMetering === 'speed-density',
    boostGauge: has('boost gauge'),
    wideband: has('wideband range'),
  };
};

/**
 * Rows in the order in which they matter: what is past its limit whatever the boost, then what gives out as power rises.
 * Rows that do not give out within reach are left out.
 */
export const outFirst = (parts: readonly PartHeadroomView[]): PartHeadroomView[] => [
  ...parts.filter((row) => row.utilisation.p50 > 1 && row.powerAtLimitW === undefined),
  ...parts.filter((row) => row.powerAtLimitW !== undefined),
];

/** All rows: those of {@link outFirst}, then the rest as they came. */
export const ledgerOrder = (parts: readonly PartHeadroomView[]): PartHeadroomView[] => {
  const first = outFirst(parts);
  return [...first, ...parts.filter((row) => !first.includes(row))];
};

/** Where a row gives out, in words: "at 247 kW ±16", or how far past its limit it is. */
export const outAt = (row: PartHeadroomView, units: Units): string => {
  const { powerAtLimitW, utilisation } = row;
  if (powerAtLimitW === undefined) return leftInWords(utilisation);
  const spread = units.writeSpread('power', (powerAtLimitW.p90 - powerAtLimitW.p10) / 2);
  return `at ${units.write('power', powerAtLimitW.p50)} ${units.label('power')} ±${spread}`;
};
