/** Units as people write them in headers, read into the house's units. */
import type { Unit } from '../physics/units.ts';
import type { PressureReference } from './types.ts';

/** What a unit text says. `scale` multiplies the written number before it is in `unit`. */
export interface WrittenUnit {
  readonly unit: Unit;
  readonly scale: number;
  readonly reference?: PressureReference;
  /** A ratio that says it is an air-fuel ratio, not lambda. */
  readonly airFuelRatio?: boolean;
}

const plain = (unit: Unit, scale = 1): WrittenUnit => ({ unit, scale });

/** Conventional millimetre of mercury 133.322 Pa and technical atmosphere 98 066.5 Pa: NIST SP 811 (2008) appendix B. */
const PRESSURES: Readonly<Record<string, WrittenUnit>> = {
  pa: plain('Pa'),
  hpa: plain('mbar'),
  kpa: plain('kPa'),
  mpa: plain('MPa'),
  bar: plain('bar'),
  mbar: plain('mbar'),
  psi: plain('psi'),
  lbf_in2: plain('psi'),
  inhg: plain('inHg'),
  mmhg: plain('Pa', 133.322),
  'kg/cm2': plain('Pa', 98066.5),
  'kgf/cm2': plain('Pa', 98066.5),
};

/** Keys are lower case without blanks, degree signs and full stops. */
const OTHERS: Readonly<Record<string, WrittenUnit>> = {
  s: plain('s'),
  sec: plain('s'),
  secs: plain('s'),
  second: plain('s'),
  seconds: plain('s'),
  sek: plain('s'),
  ms: plain('ms'),
  msec: plain('ms'),
  millisec: plain('ms'),
  milliseconds: plain('ms'),
  us: plain('ms', 1e-3),
  µs: plain('ms', 1e-3),
  μs: plain('ms', 1e-3),
  usec: plain('ms', 1e-3),
  microseconds: plain('ms', 1e-3),
  ns: plain('ms', 1e-6),
  nsec: plain('ms', 1e-6),
  nanoseconds: plain('ms', 1e-6),
  min: plain('min'),
  minutes: plain('min'),
  h: plain('h'),
  rpm: plain('rpm'),
  '1/min': plain('rpm'),
  'r/min': plain('rpm'),
  'u/min': plain('rpm'),
  'rev/min': plain('rpm'),
  'min-1': plain('rpm'),
  'min^-1': plain('rpm'),
  '/min': plain('rpm'),
  krpm: plain('krpm'),
  rpmx1000: plain('krpm'),
  x1000rpm: plain('krpm'),
  'rad/s': plain('rad/s'),
  'km/h': plain('km/h'),
  kmh: plain('km/h'),
  kph: plain('km/h'),
  'kmh-1': plain('km/h'),
  mph: plain('mph'),
  'mi/h': plain('mph'),
  'm/s': plain('m/s'),
  'm/s2': plain('m/s2'),
  'm/s^2': plain('m/s2'),
  'm/s²': plain('m/s2'),
  g: plain('gn'),
  gs: plain('gn'),
  "g's": plain('gn'),
  gn: plain('gn'),
  '%': plain('%'),
  pct: plain('%'),
  percent: plain('%'),
  prozent: plain('%'),
  dc: plain('%'),
  c: plain('degC'),
  degc: plain('degC'),
  celsius: plain('degC'),
  degcelsius: plain('degC'),
  f: plain('degF'),
  degf: plain('degF'),
  fahrenheit: plain('degF'),
  degfahrenheit: plain('degF'),
  k: plain('K'),
  kelvin: plain('K'),
  v: plain('V'),
  volt: plain('V'),
  volts: plain('V'),
  mv: plain('mV'),
  a: plain('A'),
  lambda: plain('lambda'),
  lam: plain('lambda'),
  λ: plain('lambda'),
  phi: plain('lambda'),
  afr: { unit: 'lambda', scale: 1 / 14.7, airFuelRatio: true },
  ':1': { unit: 'lambda', scale: 1 / 14.7, airFuelRatio: true },
  'g/s': plain('g/s'),
  'gm/s': plain('g/s'),
  'g/sec': plain('g/s'),
  'gm/sec': plain('g/s'),
  'kg/h': plain('kg/h'),
  'kg/hr': plain('kg/h'),
  'kg/hour': plain('kg/h'),
  'kg/s': plain('kg/s'),
  'kg/min': plain('kg/s', 1 / 60),
  'lb/min': plain('lb/min'),
  'lbs/min': plain('lb/min'),
  'lb/m': plain('lb/min'),
  'lb/h': plain('lb/h'),
  'lb/hr': plain('lb/h'),
  'lbs/hr': plain('lb/h'),
  'cc/min': plain('cm3/min'),
  'ccm/min': plain('cm3/min'),
  'ml/min': plain('cm3/min'),
  'cm3/min': plain('cm3/min'),
  'cm³/min': plain('cm3/min'),
  'l/min': plain('L/min'),
  'l/h': plain('L/h'),
  lph: plain('L/h'),
  'gal/h': plain('US gal/h'),
  gph: plain('US gal/h'),
  deg: plain('deg'),
  degree: plain('deg'),
  degrees: plain('deg'),
  degbtdc: plain('deg'),
  btdc: plain('deg'),
  degca: plain('deg'),
  degcrank: plain('deg'),
  dega: plain('deg'),
  grad: plain('deg'),
  hz: plain('Hz'),
  khz: plain('Hz', 1e3),
  m: plain('m'),
  ft: plain('ft'),
};

const fold = (text: string): string =>
  text
    .trim()
    .replace(/^[[({<]+|[\])}>]+$/g, '')
    .replaceAll('Â', '')
    .replaceAll('�', '°')
    .replaceAll('º', '°')
    .replaceAll('˚', '°')
    .replaceAll('℃', '°c')
    .replaceAll('℉', '°f')
    .toLowerCase()
    .replaceAll('²', '2')
    .replaceAll('³', '3')
    .replaceAll('\\', '/')
    .replace(/\bper\b/g, '/')
    .replace(/[\s._]+/g, '');

const GAUGE = /\(?(?:gauge|gage|rel(?:ative)?|g)$/;
const ABSOLUTE = /\(?(?:absolute|abs|a)$/;

const pressureOf = (folded: string): WrittenUnit | null => {
  const bare = Object.hasOwn(PRESSURES, folded) ? PRESSURES[folded] : undefined;
  if (bare) return bare;
  for (const [pattern, reference] of [
    [GAUGE, 'gauge'],
    [ABSOLUTE, 'absolute'],
  ] as const) {
    const match = pattern.exec(folded);
    const stem = match ? folded.slice(0, match.index).replace(/[-,/]$/, '') : '';
    const known = Object.hasOwn(PRESSURES, stem) ? PRESSURES[stem] : undefined;
    if (known) return { ...known, reference };
  }
  return null;
};

/** Texts that say 'no unit'. */
const NONE = new Set([
  '',
  '-',
  '--',
  '1',
  'none',
  'n/a',
  'na',
  'raw',
  'count',
  'counts',
  '#',
  'bool',
  'flag',
  'state',
  'enum',
]);

/** True when the text says that there is no unit. */
export const saysNoUnit = (text: string): boolean => NONE.has(fold(text));

/**
 * Reads a unit as written ("°C", "kPa abs", "psig", "1/min", "deg BTDC"), or null when it is none that is known. A bare
 * degree sign is an angle. Blanks, case, brackets, and a degree sign spoilt by a wrong encoding do not matter.
 */
export const readUnitText = (text: string): WrittenUnit | null => {
  let folded = fold(text);
  if (folded === '°' || folded === '°btdc' || folded === '°ca' || folded === '°kw' || folded === '°crank')
    return OTHERS.deg!;
  folded = folded.replaceAll('°', '');
  return pressureOf(folded) ?? (Object.hasOwn(OTHERS, folded) ? OTHERS[folded]! : null);
};
