/** A column on its way to a channel: what its name and unit say, and what its numbers look like. */
import { toSi } from '../physics/units.ts';
import { type Marks, marksOf } from './behaviour.ts';
import { splitHeader } from './header.ts';
import { KINDS, UNITLESS, unitFits } from './quantities.ts';
import type { ChannelChoice, ChannelName, Column, LogQuestion, PressureReference } from './types.ts';
import { readUnitText, saysNoUnit, type WrittenUnit } from './unit-text.ts';
import { guessesByName } from './vocabulary.ts';

/** Mutable while the recogniser works; nothing outside the room sees it. */
export interface Candidate {
  readonly column: Column;
  readonly marks: Marks;
  channel: ChannelName;
  /** 0..1 */
  confidence: number;
  readonly reasons: string[];
  unit: WrittenUnit | null;
  /** Text for people, as written where it was. */
  unitText: string;
  reference?: PressureReference;
  /** The person has said so; nothing overrides it. */
  readonly chosen: boolean;
  /** What the person said. */
  readonly choice?: ChannelChoice;
  /** Words of the column's name. */
  readonly words: readonly string[];
  /** What the log leaves open about this column, found on the way. */
  readonly questions: LogQuestion[];
  /** The reference was chosen or written. */
  referenceGiven: boolean;
  /** SI = sign * (written * scale -> unit) - shift */
  negate: boolean;
  shiftSi: number;
}

/** A written number of this column as SI, no barometer added. Candidates without a unit pass numbers as they are. */
export const writtenToSi = (candidate: Candidate, written: number): number => {
  const { unit } = candidate;
  const si = unit ? toSi(written * unit.scale, unit.unit) : written;
  return (candidate.negate ? -si : si) - candidate.shiftSi;
};

/** Multiplies confidence and says why. */
export const weigh = (candidate: Candidate, factor: number, reason: string): void => {
  candidate.confidence = Math.min(0.99, candidate.confidence * factor);
  candidate.reasons.push(reason);
};

const chosenCandidate = (column: Column, marks: Marks, choice: ChannelChoice & { channel: ChannelName }): Candidate => {
  const parts = splitHeader(column.header, column.unitText);
  const stated = choice.unit === undefined ? null : statedUnit(choice);
  const unit = stated ?? (parts.unit && unitFits(parts.unit.unit, KINDS[choice.channel].family) ? parts.unit : null);
  const reference = choice.reference ?? unit?.reference;
  return {
    column,
    marks,
    channel: choice.channel,
    confidence: 1,
    reasons: ['chosen by you'],
    unit,
    unitText: choice.unit ?? parts.unitText,
    ...(reference ? { reference } : {}),
    chosen: true,
    choice,
    words: parts.words,
    questions: [],
    referenceGiven: reference !== undefined,
    negate: false,
    shiftSi: 0,
  };
};

/** The unit of a choice; an air-fuel ratio by the ratio that the person gave for lambda 1. */
const statedUnit = ({ unit, channel, airFuelAtLambdaOne: ratio }: ChannelChoice): WrittenUnit | null => {
  const read = readUnitText(unit ?? '');
  if (!read) return channel && UNITLESS.has(KINDS[channel].family) && saysNoUnit(unit ?? '') ? BARE : null;
  return read.airFuelRatio && ratio !== undefined ? { ...read, scale: 1 / ratio } : read;
};

const BARE: WrittenUnit = { unit: '1', scale: 1 };

/** The likeliest channel of a column by name and unit, or null when nobody can say. Columns without a number give null. */
export const candidateOf = (column: Column, choice: ChannelChoice | undefined): Candidate | null => {
  if (choice?.channel === null) return null;
  const parts = splitHeader(column.header, column.unitText);
  const { words, unit, unitText } = parts;
  const guesses = guessesByName(words);
  // Cells are looked at last: those of a column that nobody can name need not be taken out of their file.
  const isNameless = guesses.length === 0 ? unit?.unit !== 'rpm' : guesses[0]!.channel === null;
  if (!choice?.channel && isNameless) return null;
  const marks = marksOf(column.cells);
  if (!marks) return null;
  if (choice?.channel) return chosenCandidate(column, marks, { ...choice, channel: choice.channel });
  // A written unit that cannot be read ("mg/stk") speaks against every channel that has units of its own; one garbled to
  // signs without a letter or a figure says nothing.
  const unknownUnit = /[\p{L}\p{N}%]/u.test(unitText) && !unit && !parts.saysNone;
  for (const { channel, sure } of guesses) {
    if (channel === null) return null;
    const { family } = KINDS[channel];
    const base = {
      column,
      marks,
      unitText,
      chosen: false,
      words,
      questions: [],
      negate: false,
      shiftSi: 0,
    };
    if (unit && !unitFits(unit.unit, family)) {
      const other = otherByUnit(channel, unit, marks);
      if (other) {
        return {
          ...base,
          channel: other,
          confidence: sure * 0.95,
          reasons: [`its name and its unit ${unitText}`],
          unit,
          referenceGiven: false,
        };
      }
      continue;
    }
    if (unknownUnit && family !== 'count' && family !== 'voltage') continue;
    const reference = unit?.reference ?? (family === 'pressure' ? referenceInName(words) : undefined);
    return {
      ...base,
      channel,
      confidence: sure,
      reasons: [unit ? `its name and its unit ${unitText}` : 'its name'],
      unit,
      ...(reference ? { reference } : {}),
      referenceGiven: reference !== undefined,
    };
  }
  if (unit?.unit === 'rpm' && words.length <= 1 && marks.high < 12_000) {
    return {
      column,
      marks,
      unitText,
      chosen: false,
      words,
      questions: [],
      negate: false,
      shiftSi: 0,
      channel: 'engine-speed',
      confidence: 0.6,
      reasons: ['its unit rpm'],
      unit,
      referenceGiven: false,
    };
  }
  return null;
};

/** "Manifold Gauge Pressure", "Rail Pressure Abs". */
const referenceInName = (words: readonly string[]): PressureReference | undefined => {
  if (words.includes('gauge') || words.includes('gage')) return 'gauge';
  return words.includes('absolute') || words.includes('abs') ? 'absolute' : undefined;
};

/** Names that mean another channel when their unit says so: a knock column in degrees is retard, in volts a level; a meter in hertz is a frequency. */
const otherByUnit = (channel: ChannelName, unit: WrittenUnit, marks: Marks): ChannelName | null => {
  if (channel.startsWith('knock-')) {
    if (unit.unit === 'deg') return 'knock-retard';
    if (unit.unit === 'V' || unit.unit === 'mV') return 'knock-level';
    if (unit.unit === '%') return marks.whole && marks.high > 100 ? null : 'knock-level';
  }
  if (channel === 'air-flow' && unit.unit === 'Hz') return 'air-flow-frequency';
  if (channel === 'injector-duty' && (unit.unit === 'ms' || unit.unit === 's')) return 'injector-pulse';
  if (channel === 'injector-pulse' && unit.unit === '%') return 'injector-duty';
  return null;
};
