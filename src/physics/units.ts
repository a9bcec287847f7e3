/**
 * Units: the one place where numbers change their unit.
 *
 * Inside the core every number is SI and says so in its name. Users read and type in their own units; what stands here
 * converts both ways. Gauge pressure, absolute pressure and pressure difference are three dimensions, so that no
 * conversion can mix them: going from gauge to absolute needs a barometer and is done by {@link gaugeToAbsolutePa}.
 *
 * Source: exact definitions (international yard and pound 1959, standard gravity 9.80665 m/s2, thermochemical and IT
 * calorie families) as listed in NIST SP 811 (2008), appendix B; conventional inch of mercury 3386.389 Pa.
 */

/** Pounds to kilograms [kg/lb], exact. */
const POUND_KG = 0.45359237;
/** Inches to metres [m/in], exact. */
const INCH_M = 0.0254;
/** Standard gravity [m/s2], exact (CGPM 1901). */
export const STANDARD_GRAVITY_M_PER_S2 = 9.80665;
const POUND_FORCE_N = POUND_KG * STANDARD_GRAVITY_M_PER_S2;
const PSI_PA = POUND_FORCE_N / INCH_M ** 2;
const INCH_OF_MERCURY_PA = 3386.389;
const MECHANICAL_HP_W = 550 * POUND_FORCE_N * 12 * INCH_M;
const METRIC_HP_W = 75 * STANDARD_GRAVITY_M_PER_S2;
const US_GALLON_M3 = 3.785411784e-3;

/** SI value = value * factor + offset. */
interface UnitDefinition {
  readonly dimension: string;
  readonly factor: number;
  readonly offset?: number;
}

const define = <const T extends Record<string, UnitDefinition>>(table: T): T => table;

/** Every unit the product reads or writes. The key is the text that users see and type. Source: NIST SP 811 (2008), appendix B. */
export const UNITS = define({
  '1': { dimension: 'ratio', factor: 1 },
  '%': { dimension: 'ratio', factor: 0.01 },
  lambda: { dimension: 'lambda', factor: 1 },
  'kg/kg': { dimension: 'mass ratio', factor: 1 },
  m: { dimension: 'length', factor: 1 },
  mm: { dimension: 'length', factor: 1e-3 },
  um: { dimension: 'length', factor: 1e-6 },
  cm: { dimension: 'length', factor: 1e-2 },
  in: { dimension: 'length', factor: INCH_M },
  ft: { dimension: 'length', factor: 12 * INCH_M },
  mi: { dimension: 'length', factor: 5280 * 12 * INCH_M },
  km: { dimension: 'length', factor: 1000 },
  m2: { dimension: 'area', factor: 1 },
  cm2: { dimension: 'area', factor: 1e-4 },
  mm2: { dimension: 'area', factor: 1e-6 },
  in2: { dimension: 'area', factor: INCH_M ** 2 },
  m3: { dimension: 'volume', factor: 1 },
  L: { dimension: 'volume', factor: 1e-3 },
  cm3: { dimension: 'volume', factor: 1e-6 },
  in3: { dimension: 'volume', factor: INCH_M ** 3 },
  'US gal': { dimension: 'volume', factor: US_GALLON_M3 },
  kg: { dimension: 'mass', factor: 1 },
  g: { dimension: 'mass', factor: 1e-3 },
  lb: { dimension: 'mass', factor: POUND_KG },
  s: { dimension: 'time', factor: 1 },
  ms: { dimension: 'time', factor: 1e-3 },
  min: { dimension: 'time', factor: 60 },
  h: { dimension: 'time', factor: 3600 },
  'Pa abs': { dimension: 'absolute pressure', factor: 1 },
  'kPa abs': { dimension: 'absolute pressure', factor: 1e3 },
  'bar abs': { dimension: 'absolute pressure', factor: 1e5 },
  'mbar abs': { dimension: 'absolute pressure', factor: 100 },
  'hPa abs': { dimension: 'absolute pressure', factor: 100 },
  'psi abs': { dimension: 'absolute pressure', factor: PSI_PA },
  'inHg abs': { dimension: 'absolute pressure', factor: INCH_OF_MERCURY_PA },
  'Pa gauge': { dimension: 'gauge pressure', factor: 1 },
  'kPa gauge': { dimension: 'gauge pressure', factor: 1e3 },
  'bar gauge': { dimension: 'gauge pressure', factor: 1e5 },
  'psi gauge': { dimension: 'gauge pressure', factor: PSI_PA },
  'inHg gauge': { dimension: 'gauge pressure', factor: INCH_OF_MERCURY_PA },
  Pa: { dimension: 'pressure difference', factor: 1 },
  kPa: { dimension: 'pressure difference', factor: 1e3 },
  MPa: { dimension: 'pressure difference', factor: 1e6 },
  bar: { dimension: 'pressure difference', factor: 1e5 },
  mbar: { dimension: 'pressure difference', factor: 100 },
  psi: { dimension: 'pressure difference', factor: PSI_PA },
  inHg: { dimension: 'pressure difference', factor: INCH_OF_MERCURY_PA },
  K: { dimension: 'temperature', factor: 1 },
  degC: { dimension: 'temperature', factor: 1, offset: 273.15 },
  degF: { dimension: 'temperature', factor: 5 / 9, offset: 459.67 * (5 / 9) },
  'K difference': { dimension: 'temperature difference', factor: 1 },
  'degF difference': { dimension: 'temperature difference', factor: 5 / 9 },
  'kg/s': { dimension: 'mass flow', factor: 1 },
  'g/s': { dimension: 'mass flow', factor: 1e-3 },
  'kg/h': { dimension: 'mass flow', factor: 1 / 3600 },
  'lb/min': { dimension: 'mass flow', factor: POUND_KG / 60 },
  'lb/h': { dimension: 'mass flow', factor: POUND_KG / 3600 },
  'm3/s': { dimension: 'volume flow', factor: 1 },
  'L/h': { dimension: 'volume flow', factor: 1e-3 / 3600 },
  'L/min': { dimension: 'volume flow', factor: 1e-3 / 60 },
  'cm3/min': { dimension: 'volume flow', factor: 1e-6 / 60 },
  'US gal/h': { dimension: 'volume flow', factor: US_GALLON_M3 / 3600 },
  W: { dimension: 'power', factor: 1 },
  kW: { dimension: 'power', factor: 1e3 },
  hp: { dimension: 'power', factor: MECHANICAL_HP_W },
  'metric hp': { dimension: 'power', factor: METRIC_HP_W },
  'N m': { dimension: 'torque', factor: 1 },
  'lbf ft': { dimension: 'torque', factor: POUND_FORCE_N * 12 * INCH_M },
  N: { dimension: 'force', factor: 1 },
  kN: { dimension: 'force', factor: 1e3 },
  lbf: { dimension: 'force', factor: POUND_FORCE_N },
  rpm: { dimension: 'rotational speed', factor: 1 },
  krpm: { dimension: 'rotational speed', factor: 1000 },
  'rad/s': { dimension: 'rotational speed', factor: 30 / Math.PI },
  'm/s': { dimension: 'speed', factor: 1 },
  'km/h': { dimension: 'speed', factor: 1 / 3.6 },
  mph: { dimension: 'speed', factor: (5280 * 12 * INCH_M) / 3600 },
  'm/s2': { dimension: 'acceleration', factor: 1 },
  gn: { dimension: 'acceleration', factor: STANDARD_GRAVITY_M_PER_S2 },
  deg: { dimension: 'angle', factor: 1 },
  Hz: { dimension: 'frequency', factor: 1 },
  V: { dimension: 'voltage', factor: 1 },
  mV: { dimension: 'voltage', factor: 1e-3 },
  A: { dimension: 'current', factor: 1 },
  mA: { dimension: 'current', factor: 1e-3 },
  Ah: { dimension: 'charge', factor: 3600 },
  ohm: { dimension: 'resistance', factor: 1 },
  mohm: { dimension: 'resistance', factor: 1e-3 },
  'ms/V': { dimension: 'time per voltage', factor: 1e-3 },
  'kg m2': { dimension: 'moment of inertia', factor: 1 },
  'J/K': { dimension: 'heat capacity', factor: 1 },
  'kJ/K': { dimension: 'heat capacity', factor: 1e3 },
  'W/K': { dimension: 'thermal conductance', factor: 1 },
  'kg/m3': { dimension: 'density', factor: 1 },
  'kg/L': { dimension: 'density', factor: 1e3 },
  'J/kg': { dimension: 'specific energy', factor: 1 },
  'kJ/kg': { dimension: 'specific energy', factor: 1e3 },
  'MJ/kg': { dimension: 'specific energy', factor: 1e6 },
  'Btu/lb': { dimension: 'specific energy', factor: 2326 },
  'kg/J': { dimension: 'specific fuel consumption', factor: 1 },
  'g/kWh': { dimension: 'specific fuel consumption', factor: 1e-3 / 3.6e6 },
  'lb/(hp h)': { dimension: 'specific fuel consumption', factor: POUND_KG / (MECHANICAL_HP_W * 3600) },
});

/** A unit as typed. */
export type Unit = keyof typeof UNITS;
/** What a unit measures; two units convert into each other only inside one dimension. */
export type Dimension = (typeof UNITS)[Unit]['dimension'];

const lookUp = (unit: Unit): UnitDefinition => UNITS[unit];

/** True when `text` is a unit that {@link UNITS} knows. Source: the keys of that table. */
export const isUnit = (text: string): text is Unit => Object.hasOwn(UNITS, text);

/** What the unit measures. Source: {@link UNITS}. */
export const dimensionOf = (unit: Unit): Dimension => UNITS[unit].dimension;

/** All units of one dimension, in the order in which they are offered. Source: {@link UNITS}. */
export const unitsOf = (dimension: Dimension): Unit[] =>
  (Object.keys(UNITS) as Unit[]).filter((unit) => UNITS[unit].dimension === dimension);

/** `value` in `unit` as SI (rotational speed stays in rpm, angles in degrees, both by the project's convention). Source: {@link UNITS}. */
export const toSi = (value: number, unit: Unit): number => {
  const { factor, offset } = lookUp(unit);
  return value * factor + (offset ?? 0);
};

/** The SI value in `unit`; the inverse of {@link toSi}. Source: {@link UNITS}. */
export const fromSi = (valueSi: number, unit: Unit): number => {
  const { factor, offset } = lookUp(unit);
  return (valueSi - (offset ?? 0)) / factor;
};

/** A difference or a standard deviation in `unit` as SI: the offset of temperature scales does not apply. Source: {@link UNITS}. */
export const spreadToSi = (spread: number, unit: Unit): number => spread * lookUp(unit).factor;

/** The inverse of {@link spreadToSi}. Source: {@link UNITS}. */
export const spreadFromSi = (spreadSi: number, unit: Unit): number => spreadSi / lookUp(unit).factor;

/** Raised when two units do not measure the same thing; a programming error, never an answer to a user's input. Source: house rule. */
export class UnitMismatch extends Error {
  override readonly name = 'UnitMismatch';
}

/** `value` from one unit to another of the same dimension. Throws {@link UnitMismatch} across dimensions. Source: {@link UNITS}. */
export const convert = (value: number, from: Unit, to: Unit): number => {
  if (UNITS[from].dimension !== UNITS[to].dimension) {
    throw new UnitMismatch(
      `${from} measures ${UNITS[from].dimension} but ${to} measures ${UNITS[to].dimension}; convert between units of one kind.`,
    );
  }
  return fromSi(toSi(value, from), to);
};

/** Gauge pressure [Pa] over the local barometer [Pa] as absolute pressure [Pa]. */
export const gaugeToAbsolutePa = (gaugePa: number, barometricPressurePa: number): number =>
  gaugePa + barometricPressurePa;

/** Absolute pressure [Pa] as gauge pressure [Pa] over the local barometer [Pa]. */
export const absoluteToGaugePa = (absolutePa: number, barometricPressurePa: number): number =>
  absolutePa - barometricPressurePa;

/** Air-fuel ratio by mass from lambda; `stoichiometricAirFuelRatio` [kg/kg] names the fuel. Definition. */
export const lambdaToAirFuelRatio = (lambda: number, stoichiometricAirFuelRatio: number): number =>
  lambda * stoichiometricAirFuelRatio;

/** Lambda from an air-fuel ratio by mass and the fuel's stoichiometric ratio [kg/kg]. Definition. */
export const airFuelRatioToLambda = (airFuelRatio: number, stoichiometricAirFuelRatio: number): number =>
  airFuelRatio / stoichiometricAirFuelRatio;

/** Injector flow by volume [m3/s] as flow by mass [kg/s] at the fluid's density [kg/m3]. */
export const volumeFlowToMassFlow = (flowM3PerS: number, densityKgPerM3: number): number => flowM3PerS * densityKgPerM3;
