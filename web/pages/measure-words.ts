/** Answers and their uncertainty in words and reading units. */
import type { AnswerUncertainty } from '../../src/match/index.ts';
import { dimensionOf, isUnit, spreadFromSi } from '../../src/physics/units.ts';
import { type UnitKind, type Units, writeNumber } from '../state/units.ts';

export type Answer = AnswerUncertainty;
export type Measure = Answer['measure'][number];

export const ANSWER_TITLES: Readonly<Record<Answer['answer'], string>> = {
  power: 'Crank power',
  boost: 'Boost',
  'charge-temperature': 'Charge temperature',
  'shaft-speed': 'Shaft speed',
  'injector-duty': 'Injector duty',
  'knock-margin': 'Knock margin',
  'exhaust-temperature': 'Exhaust temperature',
  'first-limit': 'Power at the first limit',
  'spool-time': 'Spool time',
};

const KIND: Readonly<Partial<Record<string, UnitKind>>> = { W: 'power', Pa: 'pressure', K: 'temperature' };

/** Unit of an answer as a person reads it. */
export const answerUnit = ({ unit }: Pick<Answer, 'unit'>, units: Units): string => {
  const kind = KIND[unit];
  if (kind) return units.label(kind);
  return unit === '1' ? '%' : unit === 'deg' ? '°' : unit;
};

/** Half the width of a band, as a plus-minus, without its unit. */
export const halfBand = ({ unit }: Pick<Answer, 'unit'>, width: number, units: Units): string => {
  const kind = KIND[unit];
  if (kind) return units.writeSpread(kind, width / 2, 1);
  if (unit === '1') return writeNumber(50 * width, 1);
  return writeNumber(width / 2, unit === 'rpm' ? 0 : 1);
};

/** Middle of a band, without its unit. */
export const middle = ({ unit, band }: Pick<Answer, 'unit' | 'band'>, units: Units): string => {
  const kind = KIND[unit];
  if (kind) return units.write(kind, band.p50);
  if (unit === '1') return writeNumber(100 * band.p50, 0);
  return writeNumber(band.p50, unit === 'rpm' ? 0 : 1);
};

const KIND_OF_DIMENSION: Readonly<Partial<Record<string, UnitKind>>> = {
  'gauge pressure': 'pressure',
  'absolute pressure': 'pressure',
  'pressure difference': 'pressure',
  temperature: 'temperature',
  'mass flow': 'airFlow',
  'volume flow': 'volumeFlow',
  torque: 'torque',
};

/** One standard deviation of a quantity in the reader's unit, or in the one it is usually written in. */
export const spreadOf = (sdSi: number, unit: string, units: Units): string => {
  if (!isUnit(unit)) return sdSi.toPrecision(2);
  const kind = KIND_OF_DIMENSION[dimensionOf(unit)];
  if (kind) return `${units.writeSpread(kind, sdSi, 1)} ${units.label(kind)}`;
  const size = Number(spreadFromSi(sdSi, unit).toPrecision(2));
  return unit === '1' ? String(size) : `${size} ${unit}`;
};
