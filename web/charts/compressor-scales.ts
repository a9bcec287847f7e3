/** What the compressor map is drawn from: its lines, its scales, its islands of efficiency, and places along the engine's line. */
import { contour, islandLevels, mapGrid, type SpeedLineData } from './contours.ts';
import type { Band } from './interpolate.ts';
import { linearScale, type Scale } from './scale.ts';

export type Corner = readonly [x: number, y: number];

export interface MapLineData {
  readonly correctedFlowKgPerS: readonly number[];
  readonly pressureRatio: readonly number[];
}
export interface CompressorMapData {
  readonly speedLines: readonly (SpeedLineData & { readonly shaftSpeedRpm: number })[];
  readonly surgeLine: MapLineData;
  readonly chokeLine: MapLineData;
  /** True when estimated from wheel sizes: drawn in pencil. */
  readonly estimated?: boolean;
  /** Points as given; those that stray are marked. */
  readonly points?: readonly {
    readonly correctedFlowKgPerS: number;
    readonly pressureRatio: number;
    readonly stray: boolean;
  }[];
}
export interface OperatingPoint {
  readonly engineSpeedRpm: number;
  readonly flow: Band;
  readonly pressureRatio: Band;
}

export interface MapPlace {
  readonly width: number;
  readonly height: number;
}
export interface MapScales {
  readonly flow: Scale;
  readonly ratio: Scale;
  readonly left: number;
  readonly bottom: number;
}

export const ANCHOR = { start: '', middle: 'm', end: 'e' } as const;
const LEFT = 66;
const EDGE = 56;
const most = (values: readonly number[]): number => values.reduce((high, value) => Math.max(high, value), -Infinity);

export const mapScales = (map: CompressorMapData, line: readonly OperatingPoint[], place: MapPlace): MapScales => {
  const flowTop = most([
    ...map.speedLines.flatMap(({ correctedFlowKgPerS }) => correctedFlowKgPerS),
    ...line.map(({ flow }) => flow.p90),
  ]);
  const ratioTop = most([
    ...map.speedLines.flatMap(({ pressureRatio }) => pressureRatio),
    ...line.map(({ pressureRatio }) => pressureRatio.p90),
  ]);
  const bottom = place.height - EDGE;
  return {
    flow: linearScale(0, flowTop * 1.08, LEFT, place.width - 12),
    ratio: linearScale(1, 1 + (ratioTop - 1) * 1.07, bottom, 14),
    left: LEFT,
    bottom,
  };
};

/** Lines of equal efficiency on the drawing, best first. */
export const islandLines = (map: CompressorMapData, scales: MapScales) => {
  const grid = mapGrid(map.speedLines);
  const all = Array.from(grid.value);
  const levels = islandLevels(most(all), -most(all.map((value) => -value)));
  const { flow, ratio } = scales;
  return levels.map((level) => ({
    level,
    lines: contour(grid, level)
      .filter((line) => line.length >= 4)
      .map((line) => line.map(([x, y]): Corner => [flow.at(x), ratio.at(y)])),
  }));
};
export type Islands = ReturnType<typeof islandLines>;

/** Full thousands of engine speed along the line. */
export const thousandsOf = (line: readonly OperatingPoint[], { flow, ratio }: MapScales) =>
  line
    .filter(({ engineSpeedRpm }) => engineSpeedRpm % 1000 === 0)
    .map((point) => ({
      x: flow.at(point.flow.p50),
      y: ratio.at(point.pressureRatio.p50),
      name: point.engineSpeedRpm.toLocaleString('en-GB'),
    }));
