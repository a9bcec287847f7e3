/** The compressor map of a car as lines to draw: corrected mass flow against total pressure ratio. */
import type { Car, CompressorMapData, Source } from '../car/index.ts';
import {
  type CompressorSurface,
  chokeFlowAtSpeed,
  efficiencyAt,
  fittedCompressorMap,
  type MapFit,
  type MapScale,
  pressureRatioAt,
  surgeFlowAtSpeed,
  UNIT_SCALE,
} from '../physics/index.ts';
import { surfaceOf } from './prepare.ts';

export interface MapLine {
  readonly correctedFlowKgPerS: readonly number[];
  readonly pressureRatio: readonly number[];
}
export interface DrawnSpeedLine extends MapLine {
  readonly shaftSpeedRpm: number;
  readonly efficiency: readonly number[];
}
export interface MapDrawing {
  readonly referenceTemperatureK: number;
  readonly referencePressurePa: number;
  /** True when estimated from wheel sizes. */
  readonly estimated: boolean;
  readonly source: Source;
  /** How well the surface runs through the points; of an estimated map it says nothing about the real one. */
  readonly fit: MapFit;
  /** Slowest first. */
  readonly speedLines: readonly DrawnSpeedLine[];
  readonly surgeLine: MapLine;
  readonly chokeLine: MapLine;
  /** The points as typed or read, when there are any. */
  readonly points: readonly DrawnMapPoint[];
}
export interface DrawnMapPoint {
  readonly correctedFlowKgPerS: number;
  readonly pressureRatio: number;
  readonly shaftSpeedRpm: number;
  /** Lies further off its line than the map's scatter explains. */
  readonly stray: boolean;
}

const STEPS = 40;

/** Lines of the map for drawing. Total: a car without a map is drawn with the one estimated from its wheels. */
export const mapDrawing = (car: Car): MapDrawing => {
  const { surface, scale } = surfaceOf(car);
  return drawn(surface, scale, car.compressorMap?.source ?? 'estimate', car.compressorMap?.lines ?? []);
};

/** A map of its own for drawing, as read from a file: flow in kg/s, pressures total to total. */
export const drawnMap = (map: CompressorMapData): MapDrawing =>
  drawn(fittedCompressorMap(map), UNIT_SCALE, map.source, map.lines);

const drawn = (
  surface: CompressorSurface,
  scale: MapScale,
  source: Source,
  lines: CompressorMapData['lines'],
): MapDrawing => {
  const sweep = (speed: number) => {
    const from = surgeFlowAtSpeed(surface, speed, scale);
    const to = chokeFlowAtSpeed(surface, speed, scale);
    const correctedFlowKgPerS: number[] = [];
    const pressureRatio: number[] = [];
    const efficiency: number[] = [];
    for (let i = 0; i <= STEPS; i++) {
      // Closer steps towards choke, where lines bend.
      const flow = from + (to - from) * (1 - (1 - i / STEPS) ** 1.6);
      const ratio = pressureRatioAt(surface, speed, flow, scale);
      const before = pressureRatio.at(-1);
      if (ratio < 1 && before !== undefined) {
        // The drawing ends where the wheel no longer raises the pressure.
        const flowBefore = correctedFlowKgPerS.at(-1) ?? from;
        const end = flowBefore + ((flow - flowBefore) * (before - 1)) / (before - ratio);
        correctedFlowKgPerS.push(end);
        pressureRatio.push(1);
        efficiency.push(efficiencyAt(surface, speed, end, scale));
        break;
      }
      correctedFlowKgPerS.push(flow);
      pressureRatio.push(ratio);
      efficiency.push(efficiencyAt(surface, speed, flow, scale));
    }
    return { shaftSpeedRpm: speed, correctedFlowKgPerS, pressureRatio, efficiency };
  };
  const speedLines = surface.lines.map((line) => sweep(line.shaftSpeedRpm * scale.speed));
  const ends = (pick: (line: DrawnSpeedLine) => number): MapLine => ({
    correctedFlowKgPerS: speedLines.map((line) => line.correctedFlowKgPerS[pick(line)] ?? 0),
    pressureRatio: speedLines.map((line) => line.pressureRatio[pick(line)] ?? 1),
  });
  return {
    referenceTemperatureK: surface.referenceTemperatureK,
    referencePressurePa: surface.referencePressurePa,
    estimated: surface.estimated,
    source,
    fit: surface.fit,
    speedLines,
    surgeLine: ends(() => 0),
    chokeLine: ends((line) => line.correctedFlowKgPerS.length - 1),
    points: lines.flatMap((line, index) =>
      line.points.map(([correctedFlowKgPerS, pressureRatio], point) => ({
        correctedFlowKgPerS,
        pressureRatio,
        shaftSpeedRpm: line.shaftSpeedRpm,
        stray: surface.fit.strays.some((stray) => stray.line === index && stray.point === point),
      })),
    ),
  };
};
