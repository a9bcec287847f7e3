/** The compressor map as fitted, as lines to draw. */
import type { Car } from '../car/index.ts';
import {
  type CompressorSurface,
  chokeFlowAtSpeed,
  compressorAt,
  estimatedCompressorSurface,
  estimatedMapScale,
  fitCompressorMap,
  type MapScale,
  newCompressorState,
  pressureRatioAt,
  surgeFlowAtSpeed,
  UNIT_SCALE,
} from '../physics/index.ts';
import type { CompressorMapView, MapLine, SpeedLine } from './api.ts';

/** Points of one speed line: enough for a smooth curve on a full screen. */
const POINTS = 41;
/** Speed lines drawn for an estimated map, which has none of its own. */
const ESTIMATED_LINES = 7;

/** The surface that the model computes with, best estimate. */
const surfaceOf = ({ compressorMap, turbocharger }: Car): { surface: CompressorSurface; scale: MapScale } =>
  compressorMap
    ? { surface: fitCompressorMap(compressorMap), scale: UNIT_SCALE }
    : {
        surface: estimatedCompressorSurface(),
        scale: estimatedMapScale(
          Math.min(turbocharger.compressorInducerM, 0.95 * turbocharger.compressorExducerM),
          turbocharger.compressorExducerM,
        ),
      };

/** Lines of the surface that the model computes with; the typed points stand beside them. */
export const compressorView = (car: Car): CompressorMapView => {
  const { surface, scale } = surfaceOf(car);
  const map = car.compressorMap;
  const speedsRpm = map
    ? map.lines.map(({ shaftSpeedRpm }) => shaftSpeedRpm)
    : Array.from({ length: ESTIMATED_LINES }, (_, i) => {
        const [low, high] = [surface.lowestLineRpm * scale.speed, surface.highestLineRpm * scale.speed];
        return low + ((high - low) * i) / (ESTIMATED_LINES - 1);
      });
  const state = newCompressorState();
  const speedLines = speedsRpm.map((shaftSpeedRpm): SpeedLine => {
    const from = surgeFlowAtSpeed(surface, shaftSpeedRpm, scale);
    const to = chokeFlowAtSpeed(surface, shaftSpeedRpm, scale);
    const correctedFlowKgPerS = Array.from({ length: POINTS }, (_, i) => from + ((to - from) * i) / (POINTS - 1));
    const pressureRatio = correctedFlowKgPerS.map((flow) => pressureRatioAt(surface, shaftSpeedRpm, flow, scale));
    const efficiency = correctedFlowKgPerS.map(
      (flow, i) => compressorAt(surface, flow, pressureRatio[i] ?? 1, scale, state).efficiency,
    );
    return { shaftSpeedRpm, correctedFlowKgPerS, pressureRatio, efficiency };
  });
  const ends = (pick: 'first' | 'last'): MapLine => {
    const at = <T>(values: readonly T[]) => (pick === 'first' ? values[0] : values.at(-1)) as T;
    return {
      correctedFlowKgPerS: speedLines.map((line) => at(line.correctedFlowKgPerS)),
      pressureRatio: speedLines.map((line) => at(line.pressureRatio)),
    };
  };
  return {
    referenceTemperatureK: surface.referenceTemperatureK,
    referencePressurePa: surface.referencePressurePa,
    estimated: surface.estimated,
    source: map?.source ?? 'estimate',
    speedLines,
    surgeLine: ends('first'),
    chokeLine: ends('last'),
    points: (map?.lines ?? []).flatMap(({ points }) =>
      points.map(([correctedFlowKgPerS, pressureRatio]) => ({ correctedFlowKgPerS, pressureRatio })),
    ),
  };
};
