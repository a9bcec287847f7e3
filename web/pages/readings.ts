/** What each station reads: predicted from the match, logged from the laid-on pull. */
import type { MatchPointView } from '../../src/app/api.ts';
import type { StationId } from '../charts/air-path/plan.ts';
import { type Band, bandAt, between, readAt } from '../charts/interpolate.ts';
import type { GatheredChannel, LaidOnPull } from '../state/laid-on.ts';
import { type UnitKind, type Units, writeNumber } from '../state/units.ts';

export interface ReadingDefinition {
  readonly id: string;
  readonly name: string;
  readonly predicted: (point: MatchPointView) => Band | undefined;
  readonly logged?: (laid: LaidOnPull, read: (channel: GatheredChannel) => number) => number;
  readonly kind?: UnitKind;
  /** For readings without a choice of unit. */
  readonly plain?: { readonly unit: string; readonly factor: number; readonly decimals: number; readonly sign?: '%' };
  /** More decimals than the unit's usual. */
  readonly extra?: number;
}

const channel =
  (name: GatheredChannel): NonNullable<ReadingDefinition['logged']> =>
  (_, read) =>
    read(name);

export const STATION_READINGS: Readonly<Record<StationId, readonly ReadingDefinition[]>> = {
  'before-compressor': [
    { id: 'p', name: 'Pressure', kind: 'pressure', predicted: (point) => point.compressorInletPressurePa },
    {
      id: 't',
      name: 'Temperature',
      kind: 'temperature',
      predicted: (point) => point.compressorInletTemperatureK,
      logged: channel('intake-temperature'),
    },
    {
      id: 'f',
      name: 'Air flow',
      kind: 'airFlow',
      predicted: (point) => point.airFlowKgPerS,
      logged: channel('air-flow'),
    },
  ],
  'after-compressor': [
    {
      id: 'p',
      name: 'Pressure',
      kind: 'pressure',
      predicted: (point) => point.compressorOutletPressurePa,
      logged: channel('compressor-outlet-pressure'),
    },
    {
      id: 't',
      name: 'Temperature',
      kind: 'temperature',
      predicted: (point) => point.compressorOutletTemperatureK,
      logged: channel('compressor-outlet-temperature'),
    },
    {
      id: 'n',
      name: 'Shaft speed',
      plain: { unit: 'krpm', factor: 1e-3, decimals: 0 },
      predicted: (point) => point.shaftSpeedRpm,
      logged: channel('shaft-speed'),
    },
  ],
  'across-cooler': [
    {
      id: 'e',
      name: 'Share of the heat taken out',
      plain: { unit: '%', factor: 100, decimals: 0 },
      predicted: (point) => point.chargeCoolerEffectiveness,
    },
  ],
  manifold: [
    {
      id: 'p',
      name: 'Pressure',
      kind: 'pressure',
      predicted: (point) => point.manifoldPressurePa,
      logged: channel('manifold-pressure'),
    },
    {
      id: 't',
      name: 'Charge temperature',
      kind: 'temperature',
      predicted: (point) => point.chargeTemperatureK,
      logged: channel('charge-temperature'),
    },
    {
      id: 've',
      name: 'Filling',
      plain: { unit: '% VE', factor: 100, decimals: 0 },
      predicted: (point) => point.volumetricEfficiency,
    },
  ],
  'fuel-rail': [
    {
      id: 'p',
      name: 'Pressure over manifold',
      kind: 'pressure',
      predicted: (point) => point.railPressurePa,
      // A logged rail pressure is gauge; what the injectors feel is its difference to the manifold.
      logged: (laid, read) => read('fuel-pressure') - (read('manifold-pressure') - laid.barometricPressurePa),
    },
    { id: 'f', name: 'Fuel flow', kind: 'fuelFlow', predicted: (point) => point.fuelFlowKgPerS },
    {
      id: 'd',
      name: 'Injector duty',
      plain: { unit: 'open', factor: 100, decimals: 0, sign: '%' },
      predicted: (point) => point.injectorDuty,
      logged: channel('injector-duty'),
    },
  ],
  cylinders: [
    { id: 'l', name: 'Mixture', kind: 'mixture', predicted: (point) => point.lambda, logged: channel('lambda') },
    {
      id: 's',
      name: 'Spark before top',
      plain: { unit: '° spark', factor: 1, decimals: 1 },
      predicted: (point) => point.sparkAdvanceDeg,
      logged: channel('spark-advance'),
    },
    {
      id: 'pk',
      name: 'Peak pressure',
      kind: 'pressure',
      extra: -2,
      predicted: (point) => point.peakCylinderPressurePa,
    },
  ],
  'before-turbine': [
    {
      id: 'p',
      name: 'Pressure',
      kind: 'pressure',
      predicted: (point) => point.exhaustPressurePa,
      logged: channel('exhaust-pressure'),
    },
    {
      id: 't',
      name: 'Temperature',
      kind: 'temperature',
      predicted: (point) => point.exhaustTemperatureK,
      logged: channel('exhaust-temperature'),
    },
    { id: 'f', name: 'Gas flow', kind: 'airFlow', predicted: (point) => point.exhaustFlowKgPerS },
  ],
  'after-turbine': [
    { id: 'p', name: 'Pressure', kind: 'pressure', predicted: (point) => point.turbineOutletPressurePa },
    { id: 't', name: 'Temperature', kind: 'temperature', predicted: (point) => point.turbineOutletTemperatureK },
    { id: 'f', name: 'Gas flow', kind: 'airFlow', predicted: (point) => point.exhaustFlowKgPerS },
  ],
};

/** The computed points with their speeds set apart, for searching. */
export interface Points {
  readonly speeds: readonly number[];
  readonly points: readonly MatchPointView[];
}

export const pointsOf = (points: readonly MatchPointView[]): Points => ({
  speeds: points.map(({ engineSpeedRpm }) => engineSpeedRpm),
  points,
});

/** A band of the match at an engine speed. */
export const predictedAt = (
  points: Points,
  pick: (point: MatchPointView) => Band | undefined,
  engineSpeedRpm: number,
): Band | undefined => {
  const place = between(points.speeds, engineSpeedRpm);
  return place === null ? undefined : bandAt(points.points, pick, place);
};

/** A logged reading at an engine speed; undefined where nothing was logged. */
export const loggedAt = (
  laid: LaidOnPull | null,
  definition: ReadingDefinition,
  engineSpeedRpm: number,
): number | undefined => {
  if (laid === null || definition.logged === undefined) return undefined;
  const place = between(laid.engineSpeedRpm, engineSpeedRpm);
  if (place === null) return undefined;
  const value = definition.logged(laid, (name) => {
    const values = laid.channels.get(name);
    return values === undefined ? Number.NaN : readAt(values, place);
  });
  return Number.isFinite(value) ? value : undefined;
};

export interface WrittenReading {
  readonly value: string;
  readonly spread: string;
  readonly unit: string;
}

/** A value and its plus-minus in reading units. */
export const writeReading = (
  definition: ReadingDefinition,
  units: Units,
  value: number,
  halfBand: number,
): WrittenReading => {
  const { kind, plain, extra = 0 } = definition;
  if (kind !== undefined) {
    const label =
      kind === 'mixture' && units.label(kind).startsWith('AFR') ? 'AFR' : kind === 'mixture' ? 'λ' : units.label(kind);
    const decimals = kind === 'pressure' && label !== 'bar' ? Math.max(extra, label === 'psi' ? -1 : 0) : extra;
    return {
      value: units.write(kind, value, decimals),
      spread: units.writeSpread(kind, halfBand, decimals),
      unit: label,
    };
  }
  const { unit, factor, decimals, sign = '' } = plain ?? { unit: '', factor: 1, decimals: 2 };
  return {
    value: `${writeNumber(value * factor, decimals)}${sign}`,
    spread: writeNumber(halfBand * factor, decimals),
    unit,
  };
};
