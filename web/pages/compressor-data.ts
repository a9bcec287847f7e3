/** The engine's line on the map, the logged points of the laid-on pull, and what the map says. */
import type { BuildView, CompressorMapView, MatchView, QuantityView } from '../../src/app/api.ts';
import type { OperatingPoint } from '../charts/compressor-scales.ts';
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
      rest: 'Its bands are wide for that reason. Bring in a map from a file before you choose parts by it.',
    });
  }
  return sentences;
};

const percent = (share: number): string => (share < 0.0005 ? 'under 0.1' : writeNumber(share * 100, 1));

/** How well the drawn lines run through the points of the map, in one or two sentences. */
export const fitSays = ({ estimated, fit, speedLines }: CompressorMapView): string => {
  if (estimated) {
    return 'Estimated from the wheel sizes by similarity: flow ±8 %, efficiency ±5 %, shaft speed ±4 %, surge flow ±20 %.';
  }
  const strays = fit.strays.length;
  return (
    `${fit.points} points on ${speedLines.length} speed lines. The lines run through them within ${writeNumber(fit.rmsPressureRatio, 3)} of pressure ratio ` +
    `(worst ${writeNumber(fit.worstPressureRatio, 3)}) and ${percent(fit.rmsEfficiency)} points of efficiency (worst ${percent(fit.worstEfficiency)}); ` +
    `that adds ${percent(fit.flowDoubt)} % of flow and ${percent(fit.efficiencyDoubt)} % of efficiency to the bands.` +
    (strays === 0 ? '' : ` ${strays === 1 ? 'One point strays' : `${strays} points stray`} and got next to no weight.`)
  );
};

export interface WheelFigure {
  readonly name: string;
  readonly value: string;
  readonly source: QuantityView['source'];
}

/** Sizes of wheels and housing as the model uses them. Trim is 100 times inducer over exducer squared (trade definition). */
export const wheelFigures = ({ quantities }: BuildView): WheelFigure[] => {
  const find = (name: string) => quantities.find(({ path }) => path === `turbocharger.${name}`);
  const [inducer, exducer] = [find('compressorInducer'), find('compressorExducer')];
  const [wheel, housing, area] = [find('turbineWheel'), find('turbineAreaOverRadius'), find('turbineEffectiveArea')];
  const mm = (quantity: QuantityView) => writeNumber(quantity.valueSi * 1000, 1);
  const figures: WheelFigure[] = [];
  if (inducer && exducer) {
    figures.push(
      {
        name: 'Compressor wheel, inducer / exducer',
        value: `${mm(inducer)} / ${mm(exducer)} mm`,
        source: inducer.source === 'estimate' ? 'estimate' : exducer.source,
      },
      {
        name: 'Trim',
        value: writeNumber(100 * (inducer.valueSi / exducer.valueSi) ** 2, 0),
        source: inducer.source === 'estimate' || exducer.source === 'estimate' ? 'estimate' : inducer.source,
      },
    );
  }
  if (wheel) figures.push({ name: 'Turbine wheel', value: `${mm(wheel)} mm`, source: wheel.source });
  if (housing) {
    figures.push({
      name: 'Housing, area over radius',
      value: `${mm(housing)} mm (${writeNumber(housing.valueSi / 0.0254, 2)} in)`,
      source: housing.source,
    });
  }
  if (area) {
    figures.push({
      name: 'Turbine, effective area',
      value: `${writeNumber(area.valueSi * 1e6, 0)} ±${writeNumber(area.sdSi * 1e6, 0)} mm²`,
      source: area.source,
    });
  }
  return figures;
};
