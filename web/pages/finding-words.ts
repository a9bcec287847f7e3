/** Findings in words: severity, numbers out of their keys, what could not be looked for. */
import type { MomentWriter } from '../../src/logs/clock-words.ts';
import type { Finding, NotChecked, Severity, ToldFigure } from '../../src/review/types.ts';
import { type UnitKind, type Units, writeNumber } from '../state/units.ts';

export const SEVERITY_WORDS: Readonly<Record<Severity, string>> = {
  stop: 'Stop',
  fix: 'Fix before more boost',
  watch: 'Watch',
  note: 'Note',
};
const SEVERITY_ORDER: readonly Severity[] = ['stop', 'fix', 'watch', 'note'];

/** Worst first, then as they happened. */
export const inOrder = (findings: readonly Finding[]): Finding[] =>
  [...findings].sort(
    (a, b) => SEVERITY_ORDER.indexOf(a.severity) - SEVERITY_ORDER.indexOf(b.severity) || a.startS - b.startS,
  );

export const letterOf = (index: number): string =>
  index < 26
    ? String.fromCharCode(65 + index)
    : `${String.fromCharCode(64 + Math.floor(index / 26))}${String.fromCharCode(65 + (index % 26))}`;

const SUFFIXES: readonly (readonly [
  suffix: string,
  kind: UnitKind | null,
  plain: readonly [unit: string, factor: number, decimals: number] | null,
])[] = [
  ['KgPerS', 'airFlow', null],
  ['M3PerS', 'volumeFlow', null],
  ['RpmPerMPerS', null, ['rpm per m/s', 1, 0]],
  ['MPerS2', null, ['m/s²', 1, 2]],
  ['MPerS', 'speed', null],
  ['GaugePa', 'pressure', null],
  ['Pa', 'pressure', null],
  ['Rpm', null, ['rpm', 1, 0]],
  ['Nm', 'torque', null],
  ['Deg', null, ['°', 1, 1]],
  ['Hz', null, ['Hz', 1, 1]],
  ['W', 'power', null],
  ['V', null, ['V', 1, 2]],
  ['K', 'temperature', null],
  ['S', null, ['s', 1, 2]],
];

const FRACTIONS = /(share|duty|fraction|ratio|slip|part|loss|trim|efficiency|effectiveness|confidence)/i;

const inWords = (name: string): string => {
  const spaced = name.replace(/([a-z0-9])([A-Z])/g, '$1 $2').toLowerCase();
  return spaced.charAt(0).toUpperCase() + spaced.slice(1);
};

/** A number of a finding by its key, the SI unit at whose end it is read off: `droopPa` is "Droop, 0.39 bar". */
export const numberInWords = (key: string, value: number, units: Units): { name: string; text: string } => {
  for (const [suffix, kind, plain] of SUFFIXES) {
    if (!key.endsWith(suffix) || key.length === suffix.length) continue;
    const name = inWords(key.slice(0, -suffix.length));
    // A temperature this low is a difference: no engine runs at 150 K.
    if (kind === 'temperature' && Math.abs(value) < 150) {
      return { name, text: `${value < 0 ? '−' : ''}${units.writeSpread(kind, value, 1)} ${units.label(kind)}` };
    }
    if (kind !== null)
      return { name, text: `${units.write(kind, value, kind === 'pressure' ? 0 : 0)} ${units.label(kind)}` };
    if (plain !== null) return { name, text: `${writeNumber(value * plain[1], plain[2])} ${plain[0]}` };
  }
  if (FRACTIONS.test(key) && Math.abs(value) <= 1.5)
    return { name: inWords(key), text: `${writeNumber(value * 100, 0)} %` };
  return {
    name: inWords(key),
    text: Number.isInteger(value) ? writeNumber(value, 0) : String(Number(value.toPrecision(3))),
  };
};

export const numbersInWords = (finding: Finding, units: Units) =>
  Object.entries(finding.numbers).map(([key, value]) => ({ key, ...numberInWords(key, value, units) }));

const KIND_OF: Readonly<Record<Exclude<ToldFigure['quantity'], 'moment'>, UnitKind>> = {
  pressure: 'pressure',
  temperature: 'temperature',
  'temperature-difference': 'temperature',
  'air-flow': 'airFlow',
  'road-speed': 'speed',
};

/** One figure of a sentence in the chosen units, as exact as the sentence had it. */
const figureInWords = ({ quantity, valueSi, written }: ToldFigure, units: Units, { moment }: MomentWriter): string => {
  if (quantity === 'moment') return moment(valueSi);
  const kind = KIND_OF[quantity];
  // The chosen unit is the sentence's own: nothing to turn, and its rounding stays.
  const label = units.label(kind);
  if (written.endsWith(` ${label}`) || (quantity === 'temperature-difference' && label === '°C')) return written;
  const number =
    quantity === 'temperature-difference'
      ? `${valueSi < 0 ? '−' : ''}${units.writeSpread(kind, valueSi)}`
      : units.write(kind, valueSi);
  return `${number} ${label}`;
};

/** What a finding says, its figures in the chosen units and its moments as the log's clock has them. */
export const saysInUnits = ({ says, told }: Finding, units: Units, moments: MomentWriter): string =>
  told ? told.map((part) => (typeof part === 'string' ? part : figureInWords(part, units, moments))).join('') : says;

/** A finding's id as words: `low-oil-pressure` is "low oil pressure". */
export const idInWords = (id: string): string => id.replaceAll('-', ' ');

/** What was missing: all of it, with alternatives in one entry. */
export const needsInWords = ({ needs }: NotChecked): string =>
  needs.map((need) => need.replaceAll('build: ', 'on the build sheet: ').replaceAll('-', ' ')).join(', and ');

const COUNTS = [
  'Nothing',
  'One thing',
  'Two things',
  'Three things',
  'Four things',
  'Five things',
  'Six things',
  'Seven things',
  'Eight things',
  'Nine things',
];

export const headline = (count: number): string =>
  count === 0 ? 'Nothing was found in this run' : `${COUNTS[count] ?? `${count} things`} to know about this run`;
