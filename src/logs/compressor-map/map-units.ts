/** Units and column names as map files write them. */

import { fromSi, toSi } from '../../physics/index.ts';
import { splitHeader } from '../header.ts';
import { readUnitText } from '../unit-text.ts';

/** What a column of a map holds. */
export type MapColumn = 'speed' | 'flow' | 'pressure ratio' | 'efficiency' | 'mark';

/** How a written flow becomes corrected mass flow. */
export type FlowUnit =
  | { readonly kind: 'mass'; readonly text: string; readonly kgPerS: number }
  /** Volume at the reference state. */
  | { readonly kind: 'volume'; readonly text: string; readonly m3PerS: number }
  /** m sqrt(T) / p: needs no reference. */
  | { readonly kind: 'parameter'; readonly text: string; readonly kgSqrtKPerSPa: number };

export type SpeedUnit =
  | { readonly kind: 'shaft'; readonly text: string; readonly rpm: number }
  | { readonly kind: 'tip'; readonly text: string; readonly mPerS: number }
  /** n / sqrt(T). */
  | { readonly kind: 'parameter'; readonly text: string; readonly rpmPerSqrtK: number };

const POUND_KG = toSi(1, 'lb/min') * 60;
const CUBIC_FOOT_M3 = 0.3048 ** 3;

const MASS: Readonly<Record<string, number>> = {
  'kg/s': 1,
  'g/s': 1e-3,
  'kg/h': 1 / 3600,
  'kg/hr': 1 / 3600,
  'kg/min': 1 / 60,
  'lb/min': POUND_KG / 60,
  'lbs/min': POUND_KG / 60,
  'lbm/min': POUND_KG / 60,
  'lb/s': POUND_KG,
  'lbm/s': POUND_KG,
  'lb/h': POUND_KG / 3600,
};
/** International foot: NIST SP 811 (2008) appendix B. */
const VOLUME: Readonly<Record<string, number>> = {
  'm3/s': 1,
  'm3/min': 1 / 60,
  'm3/h': 1 / 3600,
  'l/s': 1e-3,
  'l/min': 1e-3 / 60,
  cfm: CUBIC_FOOT_M3 / 60,
  'ft3/min': CUBIC_FOOT_M3 / 60,
  'cuft/min': CUBIC_FOOT_M3 / 60,
};
const PARAMETER: Readonly<Record<string, number>> = {
  'kg/s*sqrt(k)/kpa': 1e-3,
  'kgsqrt(k)/(skpa)': 1e-3,
  'kgsqrtk/skpa': 1e-3,
  'kg√k/skpa': 1e-3,
  'kg√k/(skpa)': 1e-3,
  'kg/s√k/kpa': 1e-3,
  'kg/s*sqrt(k)/pa': 1,
  'kg/s*sqrt(k)/bar': 1e-5,
  'kg/ssqrt(k)/kpa': 1e-3,
};
const SHAFT: Readonly<Record<string, number>> = {
  rpm: 1,
  '1/min': 1,
  'r/min': 1,
  'rev/min': 1,
  'min-1': 1,
  'min^-1': 1,
  krpm: 1000,
  x1000rpm: 1000,
  rpmx1000: 1000,
  '1000rpm': 1000,
  '1000/min': 1000,
  'rad/s': toSi(1, 'rad/s'),
  hz: 60,
  'rev/s': 60,
};

const fold = (text: string): string => {
  const bare = /^\s*[[({<](.*)[\])}>]\s*$/.exec(text)?.[1] ?? text;
  return bare
    .trim()
    .toLowerCase()
    .replaceAll('²', '2')
    .replaceAll('³', '3')
    .replaceAll('^', '')
    .replaceAll('·', '')
    .replaceAll('\\', '/')
    .replace(/\bper\b/g, '/')
    .replace(/[\s._]+/g, '');
};

const own = (table: Readonly<Record<string, number>>, key: string): number | undefined =>
  Object.hasOwn(table, key) ? table[key] : undefined;

/** A unit of flow as written, or null. */
export const flowUnitOf = (text: string): FlowUnit | null => {
  const key = fold(text);
  const mass = own(MASS, key);
  if (mass !== undefined) return { kind: 'mass', text: text.trim(), kgPerS: mass };
  const volume = own(VOLUME, key);
  if (volume !== undefined) return { kind: 'volume', text: text.trim(), m3PerS: volume };
  const parameter = own(PARAMETER, key) ?? own(PARAMETER, key.replaceAll('*', ''));
  return parameter === undefined ? null : { kind: 'parameter', text: text.trim(), kgSqrtKPerSPa: parameter };
};

/** A unit of speed as written, or null. */
export const speedUnitOf = (text: string): SpeedUnit | null => {
  const key = fold(text);
  const shaft = own(SHAFT, key);
  if (shaft !== undefined) return { kind: 'shaft', text: text.trim(), rpm: shaft };
  if (key === 'm/s') return { kind: 'tip', text: text.trim(), mPerS: 1 };
  if (key === 'ft/s') return { kind: 'tip', text: text.trim(), mPerS: 0.3048 };
  if (/^(?:rpm|1\/min)\/(?:sqrt\(?k\)?|√k|k0?5)$/.test(key))
    return { kind: 'parameter', text: text.trim(), rpmPerSqrtK: 1 };
  return null;
};

/** Temperature [K] as written: "25 degC", "77F", "298 K", "545 degR". */
export const temperatureOf = (text: string): number | null => {
  const match =
    /(-?\d+(?:[.,]\d+)?)\s*(?:°|deg(?:rees?)?\.?)?\s*(celsius|fahrenheit|kelvin|rankine|[cfkr])(?![a-z])/i.exec(text);
  if (!match) return null;
  const value = Number(match[1]!.replace(',', '.'));
  switch (match[2]![0]!.toLowerCase()) {
    case 'c':
      return toSi(value, 'degC');
    case 'f':
      return toSi(value, 'degF');
    case 'r':
      return value / 1.8;
    default:
      return value;
  }
};

/** Absolute pressure [Pa] as written: "100 kPa", "28.4 inHg", "1.013 bar". */
export const pressureOf = (text: string): number | null => {
  const match = /(\d+(?:[.,]\d+)?)\s*((?:k|h|m)?pa|m?bar|psia?|in\s?hg|mm\s?hg|atm)(?:\s*\(?abs\w*\)?)?(?![a-z])/i.exec(
    text,
  );
  if (!match) return null;
  const value = Number(match[1]!.replace(',', '.'));
  if (match[2]!.toLowerCase() === 'atm') return 101325 * value;
  const unit = readUnitText(match[2]!.replace(/\s/g, ''));
  return unit ? toSi(value * unit.scale, unit.unit) : null;
};

/** Length [m] as written: "50 mm", "2 in". */
export const lengthOf = (text: string): number | null => {
  const match = /(\d+(?:[.,]\d+)?)\s*(mm|cm|m|in|inch|")(?![a-z])/i.exec(text);
  if (!match) return null;
  const value = Number(match[1]!.replace(',', '.'));
  return value * ({ mm: 1e-3, cm: 1e-2, m: 1 }[match[2]!.toLowerCase()] ?? toSi(1, 'in'));
};

export interface MapHeader {
  readonly column: MapColumn;
  readonly unitText: string;
  /** Said in the name of a pressure ratio. */
  readonly pressureRatioIs?: 'total to total' | 'total to static';
}

const basisIn = (name: string): MapHeader['pressureRatioIs'] | undefined => {
  if (/total.{0,4}to.{0,4}static|\bt[-_/ ]?s\b|prts|pi_?ts/i.test(name)) return 'total to static';
  if (/total.{0,4}to.{0,4}total|\bt[-_/ ]?t\b|prtt|pi_?tt/i.test(name)) return 'total to total';
  return undefined;
};

/** Unit in brackets or after a last comma, whatever it is. */
const bracketed = (header: string): { name: string; unitText: string } => {
  const match =
    /^(.*?)[\s,]*[[({<](.+)[\])}>]\s*$/.exec(header.trim()) ?? /^(.*\S)\s*(?:,|\bin\b)\s+(\S+)$/.exec(header.trim());
  return match ? { name: match[1]!, unitText: match[2]!.trim() } : { name: header, unitText: '' };
};

/** What a header names, or null when it is nothing of a map. */
export const mapHeaderOf = (header: string, unitsRowText = ''): MapHeader | null => {
  const { name, unitText: inBrackets } = bracketed(header);
  const { words, unitText: known } = splitHeader(header, unitsRowText);
  const unitText = unitsRowText.trim() !== '' ? unitsRowText.trim() : inBrackets !== '' ? inBrackets : known;
  const all = ` ${[...words, ...name.toLowerCase().split(/[^\p{L}\d/]+/u)].join(' ')} `;
  const has = (pattern: RegExp) => pattern.test(all);
  if (has(/ (?:mark|point|kind|type|remark|note|zone) /)) return { column: 'mark', unitText };
  if (has(/ (?:eff|efficiency|eta\w*|ce|isentropic|adiabatic|wirkungsgrad|η\w*) /))
    return { column: 'efficiency', unitText };
  const basis = basisIn(header);
  if (
    has(/ (?:pr|prtt|prts|p2\/p1|p2c\/p1c|p02\/p01|pi|pi_?\w{1,2}|π\w*|ratio|druckverh\w*|p2p1) /) &&
    !has(/ speed /)
  ) {
    return { column: 'pressure ratio', unitText, ...(basis ? { pressureRatioIs: basis } : {}) };
  }
  if (has(/ (?:flow|massflow|airflow|mass|mdot|wc|wcorr|w|m|mc|mcorr|q|vdot|v|durchsatz|massenstrom) /))
    return { column: 'flow', unitText };
  if (has(/ (?:speed|rpm|krpm|n|nc|ncorr|nred|rev|revs|tip|u2|drehzahl|shaft) /)) {
    return {
      column: 'speed',
      unitText: unitText !== '' ? unitText : has(/ krpm /) ? 'krpm' : has(/ rpm /) ? 'rpm' : '',
    };
  }
  if (flowUnitOf(header)) return { column: 'flow', unitText: header };
  if (speedUnitOf(header)) return { column: 'speed', unitText: header };
  return null;
};

/** Temperature as people read it, for a sentence. */
export const celsiusText = (kelvin: number): string => `${fromSi(kelvin, 'degC').toFixed(1)} degC`;
