/** On-board diagnostics, service 01: bytes to values. Source: SAE J1979 (names and scalings as publicly tabled). */
import { type Solved, solved, unsolved } from './reason.ts';
import { toSi, type Unit } from './units.ts';

/** How one parameter is read. */
export interface ObdParameter {
  readonly name: string;
  readonly unit: Unit;
  readonly bytes: number;
  readonly decode: (a: number, b: number) => number;
}

const word = (a: number, b: number): number => 256 * a + b;
const percent = (a: number): number => (a * 100) / 255;
const trim = (a: number): number => (a - 128) / 1.28;
const ratio = (a: number, b: number): number => (2 * word(a, b)) / 65536;

const wideRange = (bank: number, sensor: number): ObdParameter => ({
  name: `lambda, bank ${bank} sensor ${sensor}`,
  unit: 'lambda',
  bytes: 4,
  decode: ratio,
});

/** Parameters by number. Source: SAE J1979. */
export const OBD_PARAMETERS: Readonly<Record<number, ObdParameter>> = {
  4: { name: 'calculated load', unit: '%', bytes: 1, decode: percent },
  5: { name: 'coolant temperature', unit: 'degC', bytes: 1, decode: (a) => a - 40 },
  6: { name: 'short-term fuel trim, bank 1', unit: '%', bytes: 1, decode: trim },
  7: { name: 'long-term fuel trim, bank 1', unit: '%', bytes: 1, decode: trim },
  11: { name: 'intake manifold absolute pressure', unit: 'kPa abs', bytes: 1, decode: (a) => a },
  12: { name: 'engine speed', unit: 'rpm', bytes: 2, decode: (a, b) => word(a, b) / 4 },
  13: { name: 'vehicle speed', unit: 'km/h', bytes: 1, decode: (a) => a },
  14: { name: 'ignition timing advance', unit: 'deg', bytes: 1, decode: (a) => a / 2 - 64 },
  15: { name: 'intake air temperature', unit: 'degC', bytes: 1, decode: (a) => a - 40 },
  16: { name: 'mass air flow', unit: 'g/s', bytes: 2, decode: (a, b) => word(a, b) / 100 },
  17: { name: 'throttle position', unit: '%', bytes: 1, decode: percent },
  31: { name: 'run time since start', unit: 's', bytes: 2, decode: word },
  51: { name: 'barometric pressure', unit: 'kPa abs', bytes: 1, decode: (a) => a },
  // 34 hex; a table elsewhere gives the same scaling to 34 to 3B hex.
  52: wideRange(1, 1),
  66: { name: 'control module voltage', unit: 'V', bytes: 2, decode: (a, b) => word(a, b) / 1000 },
  68: { name: 'commanded lambda', unit: 'lambda', bytes: 2, decode: ratio },
  70: { name: 'ambient air temperature', unit: 'degC', bytes: 1, decode: (a) => a - 40 },
};

/** A decoded parameter. */
export interface ObdValue {
  readonly name: string;
  readonly unit: Unit;
  /** In `unit`. */
  readonly value: number;
  /** In SI. */
  readonly valueSi: number;
}

/**
 * Value of a parameter of service 01.
 *
 * @param parameter its number (decimal 12 is 0C hex) [-]
 * @param data bytes A, B, C, D, each 0 to 255 [-]
 * @returns an {@link ObdValue}. Reason: `input-out-of-range` for an unknown parameter or too few or wrong bytes.
 * Source: SAE J1979.
 */
export const decodeObd = (parameter: number, data: readonly number[]): Solved<ObdValue> => {
  const law = OBD_PARAMETERS[parameter];
  if (!law) return unsolved('input-out-of-range', `Parameter ${parameter} of service 01 is not known here.`);
  if (data.length < law.bytes || data.some((byte) => !(Number.isInteger(byte) && byte >= 0 && byte <= 255))) {
    return unsolved('input-out-of-range', `Parameter ${parameter} needs ${law.bytes} bytes of 0 to 255.`);
  }
  const value = law.decode(data[0]!, data[1] ?? 0);
  return solved({ name: law.name, unit: law.unit, value, valueSi: toSi(value, law.unit) });
};

/** Trouble code such as P0133 from its two bytes [-]. Reason: `input-out-of-range`. Source: SAE J2012. */
export const troubleCode = (first: number, second: number): Solved<string> => {
  if (![first, second].every((byte) => Number.isInteger(byte) && byte >= 0 && byte <= 255)) {
    return unsolved('input-out-of-range', 'A trouble code is made of two bytes of 0 to 255.');
  }
  const digits = (word(first & 0x3f, second) + 0x10000).toString(16).slice(1).toUpperCase();
  return solved(`${'PCBU'[first >> 6]}${digits}`);
};

/**
 * Whether a parameter is in a supported-parameter mask.
 *
 * @param mask four bytes of parameter `maskParameter` [-]
 * @param parameter asked for [-]
 * @param maskParameter 0, 32, 64 ... [-]
 * @returns true when supported; bit 7 of the first byte is the parameter after the mask's own number
 * Source: SAE J1979.
 */
export const isObdSupported = (mask: readonly number[], parameter: number, maskParameter = 0): boolean => {
  const bit = parameter - maskParameter - 1;
  if (bit < 0 || bit > 31) return false;
  return (((mask[bit >> 3] ?? 0) >> (7 - (bit & 7))) & 1) === 1;
};
