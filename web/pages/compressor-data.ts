/** The engine's line on the map, the logged points of the laid-on pull, and what the map says. */
import type { MatchView } from '../../src/app/api.ts';
import type { OperatingPoint } from '../charts/compressor-map.ts';
import { between, readAt } from '../charts/interpolate.ts';
import type { LaidOnPull } from '../state/laid-on.ts';
import { type Units, writeNumber } from '../state/units.ts';

export const operatingLine = (points: MatchView['points']): OperatingPoint[] =>
  points.map((point) => ({
    engineSpeedRpm: point.engineSpeedRpm,
    flow: point.compressorCorrectedFlowKgPerS,
    pressureRatio: point.compressorPressureRatio,
  }));

export interface LoggedPoint {
  readonly engineSpeedRpm: number;
  readonly flow: number;
  readonly pressureRatio: number;
}

/**
 * Logged points on the map, every 250 rpm. Flow needs an airflow meter; it is corrected to the map's reference state,
 * flow times sqrt(T/T_ref) / (p/p_ref), with the inlet state that the match predicts where the log has none. Pressure
 * before the throttle is the logged outlet, or the manifold plus the predicted loss from outlet to manifold.
 */
export const loggedPoints = (match: MatchView, points: MatchView['points'], laid: LaidOnPull | null): LoggedPoint[] => {
  const air = laid?.channels.get('air-flow');
  const manifold = laid?.channels.get('manifold-pressure');
  if (!laid || !air || !manifold) return [];
  const outlet = laid.channels.get('compressor-outlet-pressure');
  const inlet = laid.channels.get('intake-temperature');
  const { referencePressurePa, referenceTemperatureK } = match.compressorMap;
  const speeds = points.map((point) => point.engineSpeedRpm);
  return laid.engineSpeedRpm.flatMap((engineSpeedRpm, index): LoggedPoint[] => {
    const place = engineSpeedRpm % 250 === 0 ? between(speeds, engineSpeedRpm) : null;
    if (place === null) return [];
    const predicted = (
      key:
        | 'compressorInletPressurePa'
        | 'compressorInletTemperatureK'
        | 'compressorOutletPressurePa'
        | 'manifoldPressurePa',
    ) =>
      readAt(
        points.map((point) => point[key].p50),
        place,
      );
    const inletPressurePa = predicted('compressorInletPressurePa');
    const inletK = inlet && Number.isFinite(inlet[index]!) ? inlet[index]! : predicted('compressorInletTemperatureK');
    const lossPa = predicted('compressorOutletPressurePa') - predicted('manifoldPressurePa');
    const outletPa = outlet && Number.isFinite(outlet[index]!) ? outlet[index]! : manifold[index]! + lossPa;
    const flow = (air[index]! * Math.sqrt(inletK / referenceTemperatureK)) / (inletPressurePa / referencePressurePa);
    const pressureRatio = outletPa / inletPressurePa;
    return Number.isFinite(flow) && Number.isFinite(pressureRatio) ? [{ engineSpeedRpm, flow, pressureRatio }] : [];
  });
};

export interface MapSentence {
  readonly mark: 'check' | 'headroom' | 'caution';
  readonly bold: string;
  readonly rest: string;
}

/** What the map says, in sentences. Shares are of the surge flow over the flow, and of the flow over the choke flow. */
export const mapSays = (match: MatchView, units: Units): MapSentence[] => {
  const { points } = match;
  if (points.length === 0) return [];
  const worst = (key: 'compressorSurgeShare' | 'compressorChokeShare') =>
    points.reduce((far, point) => (point[key].p50 > far[key].p50 ? point : far));
  const nearSurge = worst('compressorSurgeShare');
  const nearChoke = worst('compressorChokeShare');
  const left = (share: { p10: number; p50: number; p90: number }) => {
    const room = Math.round((1 - share.p50) * 100);
    const spread = Math.round(((share.p90 - share.p10) / 2) * 100);
    return room < 0 ? `over by ${-room} ±${spread} %` : `${room} ±${spread} % left`;
  };
  const best = points.reduce((high, point) =>
    point.compressorEfficiency.p50 > high.compressorEfficiency.p50 ? point : high,
  );
  const held = points.filter((point) => point.case === 'boost held');
  const sentences: MapSentence[] = [
    {
      mark: nearSurge.compressorSurgeShare.p50 > 1 ? 'caution' : 'headroom',
      bold: `Nearest to surge at ${writeNumber(nearSurge.engineSpeedRpm, 0)} rpm: ${left(nearSurge.compressorSurgeShare)}.`,
      rest: 'The flow there against the flow at which the wheel surges at the same pressure ratio.',
    },
    {
      mark: nearChoke.compressorChokeShare.p50 > 1 ? 'caution' : 'headroom',
      bold: `Nearest to choke at ${writeNumber(nearChoke.engineSpeedRpm, 0)} rpm: ${left(nearChoke.compressorChokeShare)}.`,
      rest: 'More air than that the wheel does not pass at this shaft speed.',
    },
    {
      mark: 'check',
      bold: `Best at ${writeNumber(best.engineSpeedRpm, 0)} rpm,`,
      rest: `where the wheel runs at ${writeNumber(best.compressorEfficiency.p50 * 100, 0)} ±${writeNumber(((best.compressorEfficiency.p90 - best.compressorEfficiency.p10) / 2) * 100, 0)} % efficiency.`,
    },
  ];
  const firstHeld = held[0];
  if (firstHeld) {
    sentences.push({
      mark: 'check',
      bold: `Boost is held from ${writeNumber(firstHeld.engineSpeedRpm, 0)} rpm`,
      rest: `up, at ${units.write('pressure', firstHeld.boostPa.p50)} ${units.label('pressure')}; below that the wastegate is shut and boost is what the turbine gives.`,
    });
  }
  if (match.compressorMap.estimated) {
    sentences.push({
      mark: 'caution',
      bold: 'This map is an estimate from the wheel sizes.',
      rest: 'Its bands are wide for that reason. Type in the maker’s map, or read it off a picture, before you choose parts by it.',
    });
  }
  return sentences;
};
