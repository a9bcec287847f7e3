/** The compressor map of a car as lines to draw: corrected mass flow against total pressure ratio. */
import type { Car, Source } from '../car/index.ts';
import { chokeFlowAtSpeed, efficiencyAt, type MapFit, pressureRatioAt, surgeFlowAtSpeed } from '../physics/index.ts';
import { surfaceOf } from './prepare.ts';

export interface MapLine {
  readonly correctedFlowKgPerS: readonly number[];
  readonly pressureRatio: readonly number[];
}
export interface DrawnSpeedLine extends MapLine {
  readonly shaftSpeedRpm: number;
  readonly efficiency: readonly number[];
}
export interface EfficiencyContour {
  readonly efficiency: number;
  /** One piece per connected stretch. */
  readonly pieces: readonly MapLine[];
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
  readonly efficiencyContours: readonly EfficiencyContour[];
  /** The points as typed or read, when there are any. */
  readonly points: readonly { readonly correctedFlowKgPerS: number; readonly pressureRatio: number }[];
}

const STEPS = 40;

/** Where efficiency passes `level` along one speed line: flows, rising; none, one or two. */
const crossings = (flows: readonly number[], values: readonly number[], level: number): number[] => {
  const out: number[] = [];
  for (let i = 1; i < flows.length; i++) {
    const [a, b] = [values[i - 1]! - level, values[i]! - level];
    if (a === 0 || a * b < 0) out.push(flows[i - 1]! + ((flows[i]! - flows[i - 1]!) * a) / (a - b));
  }
  return out;
};

/** Lines of the map for drawing. Total: a car without a map is drawn with the one estimated from its wheels. */
export const mapDrawing = (car: Car): MapDrawing => {
  const { surface, scale } = surfaceOf(car);
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
      if (ratio < 1) break;
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
  const [slowest, fastest] = [surface.lowestLineRpm * scale.speed, surface.highestLineRpm * scale.speed];
  const fine = Array.from({ length: 49 }, (_, i) => sweep(slowest + ((fastest - slowest) * i) / 48));
  const best = Math.max(...fine.flatMap((line) => line.efficiency));
  const efficiencyContours: EfficiencyContour[] = [];
  for (let level = Math.floor(best * 50) / 50; level >= 0.5 && efficiencyContours.length < 8; level -= 0.02) {
    // Left and right branch over speed, joined where they meet; a break in a branch begins a new piece.
    const branches: { correctedFlowKgPerS: number[]; pressureRatio: number[] }[][] = [[], []];
    let open = [false, false];
    for (const line of fine) {
      const peak = line.efficiency.indexOf(Math.max(...line.efficiency));
      const summit = line.correctedFlowKgPerS[peak] ?? 0;
      const found = crossings(line.correctedFlowKgPerS, line.efficiency, level);
      const next = [false, false];
      for (const flow of found) {
        const side = flow < summit ? 0 : 1;
        const pieces = branches[side]!;
        if (!open[side] && !next[side]) pieces.push({ correctedFlowKgPerS: [], pressureRatio: [] });
        const piece = pieces[pieces.length - 1]!;
        piece.correctedFlowKgPerS.push(flow);
        piece.pressureRatio.push(pressureRatioAt(surface, line.shaftSpeedRpm, flow, scale));
        next[side] = true;
      }
      open = next;
    }
    const pieces = branches.flat().filter((piece) => piece.correctedFlowKgPerS.length > 1);
    if (pieces.length > 0) efficiencyContours.push({ efficiency: level, pieces });
  }
  return {
    referenceTemperatureK: surface.referenceTemperatureK,
    referencePressurePa: surface.referencePressurePa,
    estimated: surface.estimated,
    source: car.compressorMap?.source ?? 'estimate',
    fit: surface.fit,
    speedLines,
    surgeLine: ends(() => 0),
    chokeLine: ends((line) => line.correctedFlowKgPerS.length - 1),
    efficiencyContours,
    points: (car.compressorMap?.lines ?? []).flatMap((line) =>
      line.points.map(([correctedFlowKgPerS, pressureRatio]) => ({ correctedFlowKgPerS, pressureRatio })),
    ),
  };
};
