/** What the Compare sheet draws and writes: rows over engine speed, figures in reading units. */
import { useMemo } from 'react';
import type { RunView, TraceView } from '../../src/app/api.ts';
import type { CompareView, ComparisonView } from '../../src/app/compare-api.ts';
import type { ChannelName } from '../../src/logs/types.ts';
import type { Band } from '../../src/review/types.ts';
import { fetchRun, fetchTraces } from '../answers/client.ts';
import { answered, useAnswer } from '../answers/use-answer.ts';
import { gatherBySpeed } from '../charts/interpolate.ts';
import type { OverlayData, OverlayLine } from '../charts/overlay-plot.ts';
import { type UnitKind, type Units, writeNumber } from '../state/units.ts';
import { CHANNEL_WORDS } from './channels.ts';

export type ComparedSpeed = ComparisonView['speeds'][number];
export type ReadingName = keyof ComparedSpeed['readings'];
export type Basis = 'asMeasured' | 'sameAir';

/** A quantity in words and reading units; `factor` where there is no choice of unit. */
export interface ReadingWords {
  readonly name: string;
  readonly kind?: UnitKind;
  readonly plain?: { readonly unit: string; readonly factor: number; readonly decimals: number };
  readonly gauge?: boolean;
}

export const readingWords = (name: ReadingName | 'power' | 'torque'): ReadingWords => {
  if (name === 'boost') return { name: 'Boost', kind: 'pressure' };
  if (name === 'power') return { name: 'Crank power', kind: 'power' };
  if (name === 'torque') return { name: 'Torque', kind: 'torque' };
  return CHANNEL_WORDS[name];
};

/** In this order, where both pulls have it. */
const ROWS: readonly ReadingName[] = [
  'boost',
  'charge-temperature',
  'lambda',
  'spark-advance',
  'injector-duty',
  'knock-retard',
  'air-flow',
  'exhaust-pressure',
  'exhaust-temperature',
  'fuel-pressure',
  'shaft-speed',
];
/** Rows of the table and the first of the drawing. */
export const FIRST_ROWS = 7;

export const comparedRows = (comparison: ComparisonView): ReadingName[] =>
  ROWS.filter((name) => comparison.speeds.some(({ readings }) => readings[name]));

export const unitOf = ({ kind, plain, gauge }: ReadingWords, units: Units): string =>
  kind === undefined ? (plain?.unit ?? '') : `${units.label(kind)}${gauge ? ' gauge' : ''}`;

export const toReading = ({ kind, plain }: ReadingWords, units: Units, valueSi: number): number =>
  kind === undefined ? valueSi * (plain?.factor ?? 1) : units.toReading(kind, valueSi);

export const writeReading = ({ kind, plain }: ReadingWords, units: Units, valueSi: number): string =>
  kind === undefined ? writeNumber(valueSi * (plain?.factor ?? 1), plain?.decimals ?? 2) : units.write(kind, valueSi);

/** Pressures differ by less than their usual decimals show. */
const extraOf = (kind: UnitKind | undefined): number => (kind === 'airFlow' || kind === 'temperature' ? 1 : 0);

const signed = (text: string, negative: boolean): string => {
  if (!/[1-9]/.test(text)) return text;
  return `${negative ? '−' : '+'}${text}`;
};

const sized = ({ kind, plain }: ReadingWords, units: Units, sizeSi: number): string =>
  kind === undefined
    ? writeNumber(Math.abs(sizeSi) * (plain?.factor ?? 1), (plain?.decimals ?? 2) + (plain?.decimals === 0 ? 1 : 0))
    : units.writeSpread(kind, sizeSi, extraOf(kind));

const half = ({ p10, p90 }: Band): number => (p90 - p10) / 2;

/** "+0.03 ±0.01" in reading units. */
export const writeDifference = (words: ReadingWords, units: Units, band: Band): string =>
  `${signed(sized(words, units, band.p50), band.p50 < 0)} ±${sized(words, units, half(band))}`;

/** The first sentences in reading units. */
export const saysText = (comparison: ComparisonView, units: Units): string =>
  comparison.says
    .map((phrase) => {
      if (typeof phrase === 'string') return phrase;
      const size = units.writeSpread('power', phrase.valueSi);
      const value = phrase.signed ? signed(size, phrase.valueSi < 0) : size;
      const spread = phrase.plusMinusSi === undefined ? '' : ` ±${units.writeSpread('power', phrase.plusMinusSi)}`;
      return `${value}${spread} ${units.label('power')}`;
    })
    .join('');

export const gearsOf = (comparison: ComparisonView): (number | null)[] => [
  ...new Set(comparison.speeds.map(({ gear }) => gear)),
];

export const inGear = (comparison: ComparisonView, gear: number | null): ComparedSpeed[] =>
  comparison.speeds.filter((row) => row.gear === gear);

/** The compared bin that an engine speed lies in. */
export const binAt = (rows: readonly ComparedSpeed[], rpm: number): ComparedSpeed | undefined =>
  rows.find(({ engineSpeedRpm }) => Math.abs(engineSpeedRpm - rpm) <= 125);

/** Power of both by bins, or the difference alone with its band. */
export const powerOverlay = (rows: readonly ComparedSpeed[], basis: Basis, units: Units): OverlayData => {
  const told = rows.filter((row) => row[basis]);
  const speeds = told.map(({ engineSpeedRpm }) => engineSpeedRpm);
  const line = (side: 'firstW' | 'secondW'): OverlayLine => ({
    engineSpeedRpm: speeds,
    values: told.map((row) => units.toReading('power', row[basis]![side].p50)),
  });
  return { first: line('firstW'), second: line('secondW') };
};

export const differenceOverlay = (rows: readonly ComparedSpeed[], basis: Basis, units: Units): OverlayData => {
  const told = rows.filter((row) => row[basis]);
  const speeds = told.map(({ engineSpeedRpm }) => engineSpeedRpm);
  const of = (key: keyof Band) => told.map((row) => units.toReading('power', row[basis]!.differenceW[key]));
  return {
    first: { engineSpeedRpm: [], values: [] },
    second: { engineSpeedRpm: speeds, values: of('p50') },
    band: { low: of('p10'), high: of('p90') },
    nought: true,
  };
};

const STEP_RPM = 50;
const HALF_WIDTH_RPM = 60;
/** Boost and mixture settle for this long at the start of a stretch [s]. */
const SETTLE_S = 0.4;

/** Readings of one side by engine speed in a gear, SI, by name. */
export interface GatheredSide {
  readonly engineSpeedRpm: readonly number[];
  readonly values: ReadonlyMap<ReadingName, Float64Array>;
}

const channelOf = (name: ReadingName): ChannelName => (name === 'boost' ? 'manifold-pressure' : name);

/** Gathers the traces of a side's pull in one gear; null while they are read. */
export const useGathered = (
  side: CompareView['sides'][number],
  gear: number | null,
  names: readonly ReadingName[],
): GatheredSide | null => {
  const runId = side.runId ?? '';
  const run = answered(useAnswer<RunView>(runId === '' ? null : `run ${runId}`, () => fetchRun(runId)));
  const part = run?.pulls[side.pull - 1]?.parts.find((one) => one.gear === gear);
  const logged = names.filter((name) => run?.channels.some(({ channel }) => channel === channelOf(name)));
  const channels = [...new Set(['engine-speed' as ChannelName, ...logged.map(channelOf)])];
  const traces = answered(
    useAnswer(part ? `traces ${runId} compared ${side.pull} ${gear} ${channels.join(',')}` : null, () =>
      fetchTraces(runId, channels, part!, 4000),
    ),
  );
  return useMemo(
    () => (run && part && traces ? gathered(run, part, traces.traces, names) : null),
    [run, part, traces, names],
  );
};

const gathered = (
  run: RunView,
  part: { readonly startS: number; readonly endS: number },
  traces: readonly TraceView[],
  names: readonly ReadingName[],
): GatheredSide | null => {
  const speed = traces.find(({ channel }) => channel === 'engine-speed');
  if (!speed) return null;
  const stretch = { startS: part.startS + SETTLE_S, endS: part.endS };
  const inside = speed.values.filter((_, i) => speed.timesS[i]! >= stretch.startS && speed.timesS[i]! <= stretch.endS);
  const lowest = inside.reduce((low, rpm) => Math.min(low, rpm), Number.POSITIVE_INFINITY);
  const highest = inside.reduce((high, rpm) => Math.max(high, rpm), 0);
  const first = Math.ceil(lowest / STEP_RPM) * STEP_RPM;
  const count = inside.length === 0 ? 0 : Math.max(0, Math.floor((highest - first) / STEP_RPM) + 1);
  const engineSpeedRpm = Array.from({ length: count }, (_, i) => first + i * STEP_RPM);
  const values = new Map(
    names.flatMap((name): [ReadingName, Float64Array][] => {
      const trace = traces.find(({ channel }) => channel === channelOf(name));
      if (!trace) return [];
      const bySpeed = gatherBySpeed(speed, trace, stretch, engineSpeedRpm, HALF_WIDTH_RPM);
      const shift = name === 'boost' ? run.log.barometricPressurePa : 0;
      return [[name, bySpeed.map((value) => value - shift)]];
    }),
  );
  return { engineSpeedRpm, values };
};

/** A reading of both sides over engine speed in reading units. */
export const readingOverlay = (
  name: ReadingName,
  first: GatheredSide | null,
  second: GatheredSide | null,
  units: Units,
): OverlayData => {
  const words = readingWords(name);
  const line = (side: GatheredSide | null): OverlayLine => ({
    engineSpeedRpm: side?.engineSpeedRpm ?? [],
    values: Array.from(side?.values.get(name) ?? [], (value) => toReading(words, units, value)),
  });
  return { first: line(first), second: line(second) };
};
