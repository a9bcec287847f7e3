/** A column's header taken apart: the words of its name and the unit written with them. */
import { mendText } from './dialect.ts';
import { readUnitText, saysNoUnit, type WrittenUnit } from './unit-text.ts';

export interface HeaderParts {
  /** Words of the name, lower case, without the unit. */
  readonly words: readonly string[];
  /** Unit as written; empty when none was. */
  readonly unitText: string;
  readonly unit: WrittenUnit | null;
  /** A unit text was written that says 'no unit' ("-"). */
  readonly saysNone: boolean;
}

/** Units that are recognised as the last word of a name; `rpm` is left to the names, which know it as a name too. */
const SUFFIXES: Readonly<Record<string, string>> = {
  kpa: 'kPa',
  kpaa: 'kPa abs',
  kpag: 'kPa gauge',
  hpa: 'hPa',
  mbar: 'mbar',
  bar: 'bar',
  bara: 'bar abs',
  barg: 'bar gauge',
  psi: 'psi',
  psia: 'psia',
  psig: 'psig',
  inhg: 'inHg',
  degc: 'degC',
  degf: 'degF',
  celsius: 'degC',
  fahrenheit: 'degF',
  '°c': 'degC',
  '°f': 'degF',
  kmh: 'km/h',
  kph: 'km/h',
  mph: 'mph',
  ms: 'ms',
  pct: '%',
  '%': '%',
  percent: '%',
  volts: 'V',
  volt: 'V',
  kgh: 'kg/h',
  deg: 'deg',
  btdc: 'deg BTDC',
  hz: 'Hz',
  afr: 'AFR',
};

/** Single letters count as a unit only beside words that leave no doubt. */
const LETTERS: readonly { readonly letter: string; readonly unit: string; readonly beside: readonly string[] }[] = [
  {
    letter: 'c',
    unit: 'degC',
    beside: ['temp', 'temperature', 't', 'ect', 'iat', 'egt', 'clt', 'act', 'coolant', 'water', 'charge'],
  },
  {
    letter: 'f',
    unit: 'degF',
    beside: ['temp', 'temperature', 't', 'ect', 'iat', 'egt', 'clt', 'act', 'coolant', 'water', 'charge'],
  },
  { letter: 'k', unit: 'K', beside: ['temp', 'temperature'] },
  { letter: 'v', unit: 'V', beside: ['batt', 'battery', 'voltage', 'supply', 'knock', 'u', 'vbat', 'sensor'] },
  { letter: 's', unit: 's', beside: ['time', 't', 'elapsed', 'timestamp', 'clock'] },
  { letter: 'g', unit: 'g', beside: ['acc', 'accel', 'acceleration', 'long', 'longitudinal'] },
];

/** Words of a name: split at blanks, marks, and where small letters turn to capitals; digits at the end are taken off. */
export const wordsOf = (name: string): string[] =>
  name
    .replace(
      /(^|[^\p{L}])([kMh]Pa)(?=$|[^\p{L}])/gu,
      (_, before: string, unit: string) => `${before} ${unit.toLowerCase()}`,
    )
    .replace(/([\p{Ll}\d])(\p{Lu})/gu, '$1 $2')
    .replace(/(\p{Lu}{2,})(\p{Lu}\p{Ll})/gu, '$1 $2')
    .toLowerCase()
    .replace(/(\p{L}{3,})(\d+)\b/gu, '$1 $2')
    .split(/[^\p{L}\d°%λ]+/u)
    .filter((word) => word !== '');

/** Takes a header and the text of its cell in the row of units apart. A bracket that holds no unit stays part of the name. */
export const splitHeader = (header: string, unitsRowText = ''): HeaderParts => {
  let name = mendText(header);
  let unitText = mendText(unitsRowText).replace(/^[[(](.*)[\])]$/, '$1');
  let unit = unitText === '' ? null : readUnitText(unitText);
  let saysNone = unitText !== '' && saysNoUnit(unitText);
  for (const match of name.matchAll(/[[({<]([^\])}>]*)[\])}>]/g)) {
    const inner = match[1]!.trim();
    const read = readUnitText(inner);
    if (!read && !saysNoUnit(inner) && !/^h+:m+/i.test(inner)) continue;
    if (unitText === '') {
      unitText = inner;
      unit = read;
      saysNone = !read && saysNoUnit(inner);
    }
    name = name.replace(match[0], ' ');
    break;
  }
  if (unitText === '') {
    // "Speed, km/h", "MAP in kPa", "Speed km/h".
    const tail = /^(.*\S)\s*(?:,|\s\/|\s-|\sin)\s+(\S.*)$/i.exec(name) ?? /^(.*\S)\s+(\p{L}+\/\p{L}+\d?)$/u.exec(name);
    const read = tail ? readUnitText(tail[2]!) : null;
    if (tail && read) {
      name = tail[1]!;
      unitText = tail[2]!;
      unit = read;
    }
  }
  let words = wordsOf(name);
  if (unitText === '' && words.length > 1) {
    const last = words[words.length - 1]!;
    const suffix =
      SUFFIXES[last] ??
      LETTERS.find(({ letter, beside }) => letter === last && words.some((word) => beside.includes(word)))?.unit;
    if (suffix !== undefined) {
      const keepsWord = last === 'afr';
      if (!keepsWord) words = words.slice(0, -1);
      unitText = suffix;
      unit = readUnitText(suffix);
    }
  }
  return { words, unitText, unit, saysNone };
};
