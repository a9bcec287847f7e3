/** What if: the numbers of the shown build that can be moved, from where to where, and how they are written. */
import { type Build, type Car, checkBuild, resolveBuild } from '../../src/car/index.ts';
import { STANDARD_CONDITIONS } from '../../src/match/index.ts';
import { type Units, writeNumber } from '../state/units.ts';

const KNOBS = [
  'boost',
  'timing',
  'outside',
  'altitude',
  'octane',
  'ethanol',
  'nozzle',
  'ratio',
  'injectors',
  'pump',
  'cooler',
] as const;
export type Knob = (typeof KNOBS)[number];
/** What has been moved; absent is as on the sheet. SI, degrees, and shares of 1. */
export type Moved = Partial<Readonly<Record<Knob, number>>>;

export interface KnobRange {
  readonly knob: Knob;
  readonly name: string;
  readonly lowest: number;
  readonly highest: number;
  readonly step: number;
  /** Value on the sheet. */
  readonly base: number;
}

const CM3_PER_MIN = 1e-6 / 60;
const L_PER_H = 1e-3 / 3600;
/** Engine speeds solved for a move: a coarse grid, so that an answer comes within a frame. */
const COARSE_SPEEDS = 24;
/** Ethanol moves in the steps that the cycle's gases know. */
const ETHANOL_STEP = 0.05;
const RATIO_STEP = 0.25;

/** The car behind the sheet, with what is needed to move it. */
export interface Shown {
  readonly build: Build;
  readonly car: Car;
  readonly typed: ReadonlySet<string>;
  readonly engineSpeedsRpm: readonly number[];
  readonly dropletTyped: boolean;
}

export const carOf = (build: Build): { car: Car; typed: Set<string> } => {
  const { car, quantities } = resolveBuild(build);
  const typed = Object.entries(quantities).filter(([, { estimated }]) => !estimated);
  return { car, typed: new Set(typed.map(([path]) => path)) };
};

export const shownOf = (sheet: Build): Shown => {
  const checked = checkBuild(sheet);
  const build = checked.ok ? checked.build : sheet;
  const { car, typed } = carOf(build);
  const limit = car.engine.revLimitRpm;
  return {
    build,
    car,
    typed,
    engineSpeedsRpm: Array.from(
      { length: COARSE_SPEEDS },
      (_, i) => limit / 4 + ((limit - limit / 4) * i) / (COARSE_SPEEDS - 1),
    ),
    dropletTyped: build.injection?.dropletDiameter !== undefined,
  };
};

/** The sliders that this car has. */
export const knobsOf = ({ car }: Shown): KnobRange[] => {
  const { fuel, engine, fuelSystem, injection, facts } = car;
  const around = (base: number, low: number, high: number, step: number): [number, number] => [
    Math.min(low, Math.floor(base / step) * step),
    Math.max(high, Math.ceil(base / step) * step),
  ];
  const range = (knob: Knob, name: string, base: number, low: number, high: number, step: number): KnobRange => {
    const [lowest, highest] = around(base, low, high, step);
    return { knob, name, lowest, highest, step, base };
  };
  const spark = facts.ignition === 'spark';
  return [
    range('boost', 'Boost target, moved by', 0, -60e3, 100e3, 2e3),
    ...(spark ? [range('timing', 'Timing, moved by', 0, -8, 8, 0.5)] : []),
    ...(spark && facts.fuelKind !== 'methanol'
      ? [range('octane', 'Fuel, research octane', fuel.researchOctane, 87, 118, 0.5)]
      : []),
    ...(spark && facts.fuelKind !== 'methanol'
      ? [range('ethanol', 'Fuel, ethanol by volume', fuel.ethanolContent, 0, 1, ETHANOL_STEP)]
      : []),
    range(
      'nozzle',
      'Water-methanol nozzle',
      facts.hasInjection ? injection.nozzleFlowM3PerS : 0,
      0,
      1500 * CM3_PER_MIN,
      25 * CM3_PER_MIN,
    ),
    range(
      'injectors',
      'Injector flow',
      fuelSystem.injectorFlowM3PerS,
      200 * CM3_PER_MIN,
      2000 * CM3_PER_MIN,
      10 * CM3_PER_MIN,
    ),
    range('pump', 'Pump flow', fuelSystem.pumpFlowM3PerS, 80 * L_PER_H, 600 * L_PER_H, 5 * L_PER_H),
    range('cooler', 'Cooler effectiveness, times', 1, 0.6, 1.3, 0.01),
    range('ratio', 'Compression ratio', engine.compressionRatio, 7, 13, RATIO_STEP),
    range('outside', 'Outside air', STANDARD_CONDITIONS.ambientTemperatureK, 253.15, 318.15, 1),
    range('altitude', 'Altitude', 0, 0, 3000, 50),
  ];
};

/** A knob's value as it is read. */
export const writeKnob = (knob: Knob, value: number, units: Units): string => {
  const sign = (text: string) => (value > 0 ? `+${text}` : text);
  switch (knob) {
    case 'boost':
      return `${sign(`${value < 0 ? '−' : ''}${units.writeSpread('pressure', value)}`)} ${units.label('pressure')}`;
    case 'timing':
      return `${sign(writeNumber(value, 1))}°`;
    case 'outside':
      return `${units.write('temperature', value)} ${units.label('temperature')}`;
    case 'altitude':
      return `${writeNumber(value, 0)} m`;
    case 'octane':
      return writeNumber(value, 1);
    case 'ethanol':
      return `${writeNumber(100 * value, 0)} %`;
    case 'nozzle':
      return value > 0 ? `${units.write('volumeFlow', value)} ${units.label('volumeFlow')}` : 'off';
    case 'injectors':
      return `${units.write('volumeFlow', value)} ${units.label('volumeFlow')}`;
    case 'pump':
      return `${units.write('pumpFlow', value)} ${units.label('pumpFlow')}`;
    case 'ratio':
      return writeNumber(value, 2);
    case 'cooler':
      return writeNumber(value, 2);
  }
};
