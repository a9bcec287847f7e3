/** The cylinder's answer as its sheet shows it. */
import type { CylinderView } from '../../src/app/cylinder-api.ts';
import type { CylinderCurves } from '../charts/cylinder-trace.ts';
import { type Band, between, readAt } from '../charts/interpolate.ts';
import type { GatheredChannel, LaidOnPull } from '../state/laid-on.ts';
import { type Units, writeNumber } from '../state/units.ts';

/** "1 degree", "4 degrees". */
const inDegrees = (value: number): string => {
  const text = writeNumber(value, 0);
  return `${text} degree${text === '1' || text === '−1' ? '' : 's'}`;
};

/** One sentence that a builder could say aloud; the command line says the same. */
export const cylinderSentence = (view: CylinderView, units: Units): string => {
  const { p10, p50, p90 } = view.timing.knockMarginDeg;
  const where = `At ${writeNumber(view.engineSpeedRpm, 0)} rpm and ${units.write('pressure', view.boostPa.p50)} ${units.label('pressure')} boost`;
  if (p10 > 0) return `${where} this timing has about ${inDegrees(p50)} left before knock.`;
  if (p90 < 0) return `${where} this timing is about ${inDegrees(-p50)} past where knock is expected.`;
  return `${where} this timing stands near where knock is expected: ${inDegrees(p50)} left, give or take ${writeNumber((p90 - p10) / 2, 0)}.`;
};

export const RELATIVE =
  'The borderline is relative, never a guarantee: set where common practice has it for 98 octane at 2 bar, moved by the cycle. What your own logs have shown free of knock counts for more.';

const half = ({ p10, p90 }: Band): number => (p90 - p10) / 2;

/** "12.3 ±2.1°". */
export const degrees = (band: Band): string => `${writeNumber(band.p50, 1)} ±${writeNumber(half(band), 1)}°`;

/** A pressure in the cylinder, without decimals that would only be noise. */
export const cylinderPressure = (pa: number, units: Units): string => {
  const { text, unit } = units.writeSi(pa, 'Pa');
  return `${text} ${unit}`;
};

/** Engine speeds offered: those of the match, in hundreds. */
export const speedEnds = (revLimitRpm: number): [number, number] => [
  Math.max(1000, Math.ceil(revLimitRpm / 4 / 100) * 100),
  Math.floor(revLimitRpm / 100) * 100,
];

/** What the laid-on pull logged at an engine speed. */
export const loggedAt = (laid: LaidOnPull | null, channel: GatheredChannel, rpm: number): number | undefined => {
  const values = laid?.channels.get(channel);
  const place = laid && values ? between(laid.engineSpeedRpm, rpm) : null;
  const value = values && place ? readAt(values, place) : Number.NaN;
  return Number.isFinite(value) ? value : undefined;
};

export const curvesOf = (view: CylinderView, units: Units, loggedAdvanceDeg: number | undefined): CylinderCurves => ({
  crankAngleDeg: view.trace.crankAngleDeg,
  pressure: view.trace.pressurePa.map((pa) => units.toReading('pressure', pa)),
  burnedShare: view.trace.burnedShare,
  knockShare: view.trace.knockShare,
  pressureUnit: units.label('pressure'),
  sparkAdvanceDeg: view.timing.sparkAdvanceDeg.p50,
  bestTorqueAdvanceDeg: view.timing.bestTorqueAdvanceDeg.p50,
  knockLimitAdvanceDeg: view.timing.knockLimitAdvanceDeg,
  loggedAdvanceDeg,
});

export interface CrankReading {
  readonly name: string;
  readonly value: string;
}

/** "12° before top dead centre". */
export const crankAngle = (deg: number): string =>
  Math.round(deg) === 0
    ? 'at top dead centre'
    : `${writeNumber(Math.abs(deg), 0)}° ${deg < 0 ? 'before' : 'after'} top dead centre`;

/** What stands at the hairline. */
export const readingsAt = (view: CylinderView, deg: number, units: Units): CrankReading[] => {
  const { trace } = view;
  const place = between(trace.crankAngleDeg, deg);
  if (!place) return [];
  const unburned = readAt(
    trace.unburnedTemperatureK.map((value) => value ?? Number.NaN),
    place,
  );
  const share = (values: readonly number[]) => `${writeNumber(100 * readAt(values, place), 0)} %`;
  return [
    { name: 'Pressure', value: cylinderPressure(readAt(trace.pressurePa, place), units) },
    { name: 'Burned', value: share(trace.burnedShare) },
    {
      name: 'Unburned gas',
      value: Number.isFinite(unburned)
        ? `${units.write('temperature', unburned)} ${units.label('temperature')}`
        : 'all burned',
    },
    { name: 'Knock share', value: share(trace.knockShare) },
  ];
};

/** A band in a reading unit. */
export const bandIn = (band: Band, kind: 'pressure' | 'torque' | 'temperature', units: Units): string =>
  `${units.write(kind, band.p50)} ±${units.writeSpread(kind, half(band))} ${units.label(kind)}`;
