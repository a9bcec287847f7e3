/** What if: numbers of the shown build moved one by one, and the whole car matched again in the browser, best estimate only. */
import { type Build, type Car, checkBuild, type Quantity, resolveBuild, withFuel } from '../../src/car/index.ts';
import {
  type CarPart,
  type Conditions,
  fittedWithNozzle,
  type MatchPoint,
  type MatchResult,
  matchCar,
  partsOf,
  STANDARD_CONDITIONS,
} from '../../src/match/index.ts';
import { standardAtmosphere } from '../../src/physics/index.ts';
import { fromSi, toSi, type Unit } from '../../src/physics/units.ts';
import { between } from '../charts/interpolate.ts';
import { type Units, writeNumber } from '../state/units.ts';

export const KNOBS = [
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

const carOf = (build: Build): { car: Car; typed: Set<string> } => {
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

/** Fuels resolved before, by build and ethanol: resolving a whole sheet is not work for every frame. */
const fuelled = new WeakMap<Build, Map<number, Car>>();

/** The sheet with another share of ethanol; the sheet itself where the fuel cannot have it. */
export const sheetWithEthanol = (shown: Shown, ethanol: number): Build => {
  const { methanolContent, tolueneContent } = shown.car.fuel;
  // Other parts keep their share as far as there is room for them.
  const room = Math.max(0, 1 - ethanol);
  const others = Math.max(1e-9, methanolContent + tolueneContent);
  const fit = Math.min(1, room / others);
  const tried = withFuel(shown.build, {
    ethanol,
    methanol: methanolContent * fit,
    toluene: tolueneContent * fit,
  });
  return tried.ok ? tried.build : shown.build;
};

const carWithEthanol = (shown: Shown, ethanol: number | undefined): Car => {
  if (ethanol === undefined) return shown.car;
  const kept = fuelled.get(shown.build) ?? new Map<number, Car>();
  fuelled.set(shown.build, kept);
  let car = kept.get(ethanol);
  if (!car) {
    const sheet = sheetWithEthanol(shown, ethanol);
    car = sheet === shown.build ? shown.car : carOf(sheet).car;
    kept.set(ethanol, car);
  }
  return car;
};

/** The car with what has been moved; timing only where the sheet types it. */
export const movedCar = (shown: Shown, moved: Moved): Car => {
  const from = carWithEthanol(shown, moved.ethanol);
  const nozzle = moved.nozzle === undefined ? from : fittedWithNozzle(from, moved.nozzle, shown.dropletTyped);
  const { engine, fuel, fuelSystem, curves } = nozzle;
  const timing = moved.timing ?? 0;
  const cooler = moved.cooler ?? 1;
  return {
    ...nozzle,
    engine: { ...engine, compressionRatio: moved.ratio ?? engine.compressionRatio },
    fuel: { ...fuel, researchOctane: moved.octane ?? fuel.researchOctane },
    fuelSystem: {
      ...fuelSystem,
      injectorFlowM3PerS: moved.injectors ?? fuelSystem.injectorFlowM3PerS,
      pumpFlowM3PerS: moved.pump ?? fuelSystem.pumpFlowM3PerS,
    },
    curves: {
      ...curves,
      effectiveness: {
        ...curves.effectiveness,
        values: curves.effectiveness.values.map((value) => Math.min(0.99, value * cooler)),
      },
      sparkAdvance: curves.sparkAdvance && {
        ...curves.sparkAdvance,
        values: curves.sparkAdvance.values.map((value) => value + timing),
      },
    },
  };
};

const conditionsOf = ({ outside, altitude }: Moved): Conditions => {
  const level = standardAtmosphere(altitude ?? 0);
  return {
    ...STANDARD_CONDITIONS,
    ambientTemperatureK: outside ?? STANDARD_CONDITIONS.ambientTemperatureK,
    ambientPressurePa: level.ok ? level.value.pressurePa : STANDARD_CONDITIONS.ambientPressurePa,
  };
};

export interface PartUse {
  readonly part: CarPart['part'];
  readonly limit: string;
  readonly used: number;
  readonly atRpm: number;
}

export interface WhatIf {
  readonly result: MatchResult;
  /** Parts that count, the most used first. */
  readonly parts: readonly PartUse[];
}

/**
 * The car with its estimated timing written down as a curve, moved: so that what it has left before knock can be said.
 * Where the sheet types its timing, the car as it is.
 */
const withTimingSaid = (car: Car, estimated: MatchResult, moved: Moved): Car => {
  if (car.curves.sparkAdvance || car.facts.ignition !== 'spark' || estimated.points.length < 2) return car;
  return {
    ...car,
    curves: {
      ...car.curves,
      sparkAdvance: {
        at: estimated.points.map(({ engineSpeedRpm }) => engineSpeedRpm),
        values: estimated.points.map(({ sparkAdvanceDeg }) => sparkAdvanceDeg + (moved.timing ?? 0)),
      },
    },
  };
};

/** What has been moved, for one sample of the shown car: a value that was set keeps the sample's share over the sheet's. */
export const movedFor = (sample: Car, shown: Shown, moved: Moved): Moved => {
  const scaled = (value: number | undefined, own: number, base: number): number | undefined =>
    value === undefined || !(base > 0) ? value : (value * own) / base;
  const { engine, fuel, fuelSystem, injection } = shown.car;
  const entries = Object.entries({
    ...moved,
    ratio: scaled(moved.ratio, sample.engine.compressionRatio, engine.compressionRatio),
    octane: scaled(moved.octane, sample.fuel.researchOctane, fuel.researchOctane),
    injectors: scaled(moved.injectors, sample.fuelSystem.injectorFlowM3PerS, fuelSystem.injectorFlowM3PerS),
    pump: scaled(moved.pump, sample.fuelSystem.pumpFlowM3PerS, fuelSystem.pumpFlowM3PerS),
    nozzle: scaled(moved.nozzle, sample.injection.nozzleFlowM3PerS, injection.nozzleFlowM3PerS),
  }).filter(([, value]) => value !== undefined);
  return Object.fromEntries(entries) as Moved;
};

/** The whole car at the coarse engine speeds with what has been moved. */
export const solveWhatIf = (shown: Shown, moved: Moved): WhatIf => {
  const conditions = conditionsOf(moved);
  const options = { engineSpeedsRpm: shown.engineSpeedsRpm, boostTargetOffsetPa: moved.boost ?? 0 };
  const asIs = movedCar(shown, moved);
  const estimated = matchCar(asIs, conditions, options);
  const car = withTimingSaid(asIs, estimated, moved);
  const result = car === asIs ? estimated : matchCar(car, conditions, options);
  const parts = partsOf(car, shown.typed)
    .filter(({ counts }) => counts)
    .map((part): PartUse => {
      let used = 0;
      let atRpm = 0;
      for (const point of result.points) {
        const { utilisation } = part.load(point, car, conditions);
        if (utilisation > used) {
          used = utilisation;
          atRpm = point.engineSpeedRpm;
        }
      }
      return { part: part.part, limit: part.limit, used, atRpm };
    })
    .sort((a, b) => b.used - a.used);
  return { result, parts };
};

/** Moves whose cycle is not known yet, nearest first: solved ahead in idle time, so that no frame waits for them. */
export const movesAhead = (shown: Shown): Moved[] => {
  const knobs = knobsOf(shown);
  return (['ethanol', 'ratio'] as const).flatMap((name) => {
    const knob = knobs.find(({ knob }) => knob === name);
    if (!knob) return [];
    const count = Math.round((knob.highest - knob.lowest) / knob.step) + 1;
    return Array.from({ length: count }, (_, i) => knob.lowest + i * knob.step)
      .map((value) => Number(value.toFixed(6)))
      .sort((a, b) => Math.abs(a - knob.base) - Math.abs(b - knob.base))
      .map((value): Moved => ({ [name]: value }));
  });
};

/** A point between the solved ones; null outside them. */
export const pointAt = (
  { points }: MatchResult,
  rpm: number,
): ((read: (point: MatchPoint) => number | null) => number | null) | null => {
  const place = between(
    points.map(({ engineSpeedRpm }) => engineSpeedRpm),
    rpm,
  );
  if (!place) return null;
  return (read) => {
    const low = read(points[place.lower]!);
    const high = read(points[place.upper]!);
    return low === null || high === null ? null : low + (high - low) * place.share;
  };
};

export interface ChangeRow {
  readonly name: string;
  readonly before: string;
  readonly after: string;
  readonly change: string;
}

/** What changes at the hairline. */
export const changesAt = (before: MatchResult, after: MatchResult, rpm: number, units: Units): ChangeRow[] => {
  const from = pointAt(before, rpm);
  const to = pointAt(after, rpm);
  if (!from || !to) return [];
  const row = (
    name: string,
    read: (point: MatchPoint) => number | null,
    write: (value: number) => string,
    writeChange: (value: number) => string,
    unit: string,
  ): ChangeRow => {
    const a = from(read);
    const b = to(read);
    const change = a === null || b === null ? null : b - a;
    const size = change === null ? '–' : writeChange(Math.abs(change));
    const nothing = /^[0.]*$/.test(size);
    return {
      name: unit === '' ? name : `${name}, ${unit}`,
      before: a === null ? '–' : write(a),
      after: b === null ? '–' : write(b),
      change: change === null ? '–' : nothing ? '0' : `${change > 0 ? '+' : '−'}${size}`,
    };
  };
  const kind = (
    name: string,
    of: 'power' | 'torque' | 'pressure' | 'temperature',
    read: (point: MatchPoint) => number,
  ) =>
    row(
      name,
      read,
      (value) => units.write(of, value),
      (value) => units.writeSpread(of, value),
      units.label(of),
    );
  const percent = (value: number) => writeNumber(100 * value, 0);
  const tenth = (value: number) => writeNumber(value, 1);
  const bar = (value: number) => units.writeSi(Math.max(value, 0), 'Pa').text;
  return [
    kind('Power', 'power', ({ powerW }) => powerW),
    kind('Torque', 'torque', ({ torqueNm }) => torqueNm),
    kind('Boost', 'pressure', ({ boostPa }) => boostPa),
    kind('Charge', 'temperature', ({ chargeTemperatureK }) => chargeTemperatureK),
    row(
      'Lambda',
      ({ lambda }) => lambda,
      (value) => units.write('mixture', value),
      (value) => units.writeSpread('mixture', value),
      units.label('mixture'),
    ),
    row('Injector duty', ({ injectorDuty }) => injectorDuty, percent, percent, '%'),
    row('Pump, share of its flow', ({ pumpFlowShare }) => pumpFlowShare, percent, percent, '%'),
    kind('Exhaust before turbine', 'temperature', ({ exhaustTemperatureK }) => exhaustTemperatureK),
    row('Timing', ({ sparkAdvanceDeg }) => sparkAdvanceDeg, tenth, tenth, '°'),
    row('Left before knock', ({ knockMarginDeg }) => knockMarginDeg, tenth, tenth, '°'),
    row(
      'Peak cylinder pressure',
      ({ peakCylinderPressurePa }) => peakCylinderPressurePa,
      bar,
      (value) => writeNumber(units.toReading('pressure', value), units.label('pressure') === 'bar' ? 1 : 0),
      units.label('pressure'),
    ),
  ];
};

/** The sentence the sheet opens with. */
export const whatIfSentence = (before: WhatIf, after: WhatIf, moved: Moved, units: Units): string => {
  const most = ({ result }: WhatIf) => result.points.reduce((high, { powerW }) => Math.max(high, powerW), 0);
  const unit = units.label('power');
  const power = `${units.write('power', most(after))} ${unit}`;
  const change = most(after) - most(before);
  const size = units.writeSpread('power', change);
  const [first] = after.parts;
  const part = first
    ? ` Nearest its limit then: ${first.part}, at ${writeNumber(100 * first.used, 0)} % of what it carries.`
    : '';
  if (Object.keys(moved).length === 0) return `As on the sheet it makes about ${power} at most.${part}`;
  const how =
    Number(size.replaceAll(',', '')) === 0
      ? 'no more and no less than now'
      : `${size} ${unit} ${change > 0 ? 'more' : 'less'} than now`;
  return `Moved like this it makes about ${power} at most, ${how}.${part}`;
};

const shiftCurve = <C extends { readonly values: { readonly unit: Unit; readonly values: readonly number[] } }>(
  curve: C,
  bySi: number,
): C => {
  const by = bySi / (toSi(1, curve.values.unit) - toSi(0, curve.values.unit));
  return {
    ...curve,
    values: { ...curve.values, values: curve.values.values.map((value) => Number((value + by).toFixed(4))) },
  };
};

const typedAs = (valueSi: number, unit: Unit): Quantity => ({
  value: Number(fromSi(valueSi, unit).toPrecision(6)),
  unit,
  source: 'data-sheet',
});

/** The build sheet with what has been moved, or why there is none. Outside air belongs to no sheet. */
export const plannedSheet = (
  shown: Shown,
  moved: Moved,
): { readonly ok: true; readonly build: Build } | { readonly ok: false; readonly says: string } => {
  const { build, car } = shown;
  const { targets, chargeCooler } = build;
  if (
    moved.timing !== undefined &&
    !targets.sparkAdvance &&
    Math.abs(car.learned.sparkAdvanceDeg + moved.timing) > 20
  ) {
    return { ok: false, says: 'Timing is moved further than a sheet can say.' };
  }
  const fuel =
    moved.ethanol === undefined
      ? build.fuel
      : withFuel(build, {
          ethanol: moved.ethanol,
          methanol: car.fuel.methanolContent,
          toluene: car.fuel.tolueneContent,
        });
  if ('ok' in fuel && !fuel.ok) return { ok: false, says: fuel.problems[0]?.says ?? 'That fuel cannot be.' };
  const fuelNow = 'ok' in fuel && fuel.ok ? fuel.build.fuel : build.fuel;
  const { nozzleFlow: _nozzle, ...injection } = build.injection ?? {};
  const effectiveness = car.curves.effectiveness;
  const next = {
    ...build,
    engine: { ...build.engine, ...(moved.ratio === undefined ? {} : { compressionRatio: typedAs(moved.ratio, '1') }) },
    fuel: { ...fuelNow, ...(moved.octane === undefined ? {} : { researchOctane: typedAs(moved.octane, '1') }) },
    fuelSystem: {
      ...build.fuelSystem,
      ...(moved.injectors === undefined ? {} : { injectorFlow: typedAs(moved.injectors, 'cm3/min') }),
      ...(moved.pump === undefined ? {} : { pumpFlow: typedAs(moved.pump, 'L/h') }),
    },
    ...(moved.nozzle === undefined
      ? {}
      : { injection: moved.nozzle > 0 ? { ...injection, nozzleFlow: typedAs(moved.nozzle, 'cm3/min') } : undefined }),
    ...(moved.cooler === undefined
      ? {}
      : {
          chargeCooler: {
            ...chargeCooler,
            effectiveness: {
              at: { unit: 'kg/s', values: [...effectiveness.at] },
              values: {
                unit: '1',
                values: effectiveness.values.map((value) => Number(Math.min(0.99, value * moved.cooler!).toFixed(4))),
              },
              source: 'estimate',
            },
          },
        }),
    ...(moved.timing === undefined || targets.sparkAdvance
      ? {}
      : {
          learned: {
            ...build.learned,
            sparkAdvance: { value: car.learned.sparkAdvanceDeg + moved.timing, unit: 'deg', source: 'estimate' },
          },
        }),
    targets: {
      ...targets,
      boost: shiftCurve(targets.boost, moved.boost ?? 0),
      ...(targets.sparkAdvance ? { sparkAdvance: shiftCurve(targets.sparkAdvance, moved.timing ?? 0) } : {}),
    },
  };
  const checked = checkBuild(JSON.parse(JSON.stringify(next)));
  return checked.ok
    ? { ok: true, build: checked.build }
    : { ok: false, says: `${checked.problems[0]?.path}: ${checked.problems[0]?.says}` };
};
