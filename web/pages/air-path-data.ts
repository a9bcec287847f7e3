/** Everything the air path draws, put together once per build and laid-on pull; the hairline only reads from it. */
import type { BuildView, HeadroomView, MatchView } from '../../src/app/api.ts';
import type { BandedCurve, LoggedCurve, TorquePower } from '../charts/torque-power.ts';
import { quantityOf } from '../state/garage.ts';
import type { LaidOnPull } from '../state/laid-on.ts';
import type { UnitKind, Units } from '../state/units.ts';
import { type Points, pointsOf } from './readings.ts';

export interface AirPathData {
  readonly build: BuildView;
  readonly points: Points;
  readonly headroom: HeadroomView | undefined;
  readonly laid: LaidOnPull | null;
  readonly revLimitRpm: number;
  readonly conditions: MatchView['conditions'];
  readonly problems: MatchView['problems'];
  readonly cautions: readonly string[];
  readonly lowestRpm: number;
  readonly highestRpm: number;
}

/** With a run laid on, the prediction is the one made in the air of that day. */
export const airPathData = (
  build: BuildView,
  match: MatchView,
  headroom: HeadroomView | undefined,
  laid: LaidOnPull | null,
): AirPathData => {
  const ofTheDay = laid?.run.prediction;
  const points = pointsOf(ofTheDay && ofTheDay.points.length > 1 ? ofTheDay.points : match.points);
  return {
    build,
    points,
    headroom,
    laid,
    revLimitRpm: quantityOf(build, 'engine.revLimit') ?? points.speeds.at(-1) ?? 7000,
    conditions: ofTheDay?.conditions ?? match.conditions,
    problems: match.problems,
    cautions: match.cautions,
    lowestRpm: points.speeds[0] ?? 1000,
    highestRpm: points.speeds.at(-1) ?? 7000,
  };
};

const curve = (points: Points, key: 'torqueNm' | 'powerW', kind: UnitKind, units: Units): BandedCurve => ({
  low: points.points.map((point) => units.toReading(kind, point[key].p10)),
  middle: points.points.map((point) => units.toReading(kind, point[key].p50)),
  high: points.points.map((point) => units.toReading(kind, point[key].p90)),
});

/** The pull's own curve: where gears overlap, the gear whose readings stand on the air path stands here too. */
const loggedRows = (laid: LaidOnPull) => {
  const bySpeed = new Map<number, LaidOnPull['pull']['curve'][number]>();
  for (const row of laid.pull.curve) {
    const place = laid.engineSpeedRpm.indexOf(row.engineSpeedRpm);
    const gear = laid.gears[place] ?? null;
    if (!bySpeed.has(row.engineSpeedRpm) || row.gear === gear) bySpeed.set(row.engineSpeedRpm, row);
  }
  return [...bySpeed.values()].sort((a, b) => a.engineSpeedRpm - b.engineSpeedRpm);
};

const loggedCurve = (laid: LaidOnPull, key: 'torqueNm' | 'powerW', kind: UnitKind, units: Units): LoggedCurve => {
  const rows = loggedRows(laid);
  return {
    engineSpeedRpm: rows.map((row) => row.engineSpeedRpm),
    values: rows.map((row) => units.toReading(kind, row[key].p50)),
  };
};

/** The curves in reading units. */
export const torquePowerOf = (data: AirPathData, units: Units): TorquePower => ({
  engineSpeedRpm: data.points.speeds,
  torque: curve(data.points, 'torqueNm', 'torque', units),
  power: curve(data.points, 'powerW', 'power', units),
  ...(data.laid
    ? {
        loggedTorque: loggedCurve(data.laid, 'torqueNm', 'torque', units),
        loggedPower: loggedCurve(data.laid, 'powerW', 'power', units),
      }
    : {}),
  torqueUnit: units.label('torque'),
  powerUnit: units.label('power'),
  revLimitRpm: data.revLimitRpm,
});

/** A logged curve's value at an engine speed, between its own points; undefined outside or over gaps wider than 600 rpm. */
export const loggedCurveAt = (logged: LoggedCurve | undefined, engineSpeedRpm: number): number | undefined => {
  if (logged === undefined) return undefined;
  const { engineSpeedRpm: speeds, values } = logged;
  for (let i = 1; i < speeds.length; i++) {
    const low = speeds[i - 1]!;
    const high = speeds[i]!;
    if (engineSpeedRpm < low || engineSpeedRpm > high || high - low > 600) continue;
    return values[i - 1]! + ((values[i]! - values[i - 1]!) * (engineSpeedRpm - low)) / (high - low);
  }
  return undefined;
};
