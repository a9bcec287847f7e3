/** The compressor map: surge and choke as walls, speed lines, islands of efficiency, the engine's line with its band. */
import { contour, islandLevels, mapGrid, type SpeedLineData } from './contours.ts';
import type { Band } from './interpolate.ts';
import { linearScale, multiples, niceStep, niceTicks, type Scale } from './scale.ts';
import { circle, lineThrough, path, px, rect, type Shape, text } from './shape.ts';

export interface MapLineData {
  readonly correctedFlowKgPerS: readonly number[];
  readonly pressureRatio: readonly number[];
}
export interface CompressorMapData {
  readonly speedLines: readonly (SpeedLineData & { readonly shaftSpeedRpm: number })[];
  readonly surgeLine: MapLineData;
  readonly chokeLine: MapLineData;
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

const polyline = (line: MapLineData, { flow, ratio }: MapScales): string =>
  lineThrough(line.correctedFlowKgPerS.map(flow.at), line.pressureRatio.map(ratio.at));

const forbidden = (map: CompressorMapData, scales: MapScales): Shape[] => {
  const { flow, ratio, left, bottom } = scales;
  const surge = polyline(map.surgeLine, scales);
  const top = ratio.end;
  const right = flow.end;
  const lastSurge = map.surgeLine.pressureRatio.length - 1;
  const firstSurge = `${px(flow.at(map.surgeLine.correctedFlowKgPerS[0] ?? 0))} ${bottom}`;
  const lastSurgeX = px(flow.at(map.surgeLine.correctedFlowKgPerS[lastSurge] ?? 0));
  const choke = [...map.chokeLine.correctedFlowKgPerS.keys()].reverse();
  const fastest = map.speedLines[map.speedLines.length - 1];
  const fast = fastest ? polyline(fastest, scales).slice(1) : '';
  const chokeBack = choke
    .map(
      (i) => `L${px(flow.at(map.chokeLine.correctedFlowKgPerS[i]!))} ${px(ratio.at(map.chokeLine.pressureRatio[i]!))}`,
    )
    .join('');
  const firstChoke = px(flow.at(map.chokeLine.correctedFlowKgPerS[0] ?? 0));
  return [
    path('no', `M${left} ${bottom}L${firstSurge}L${surge.slice(1)}L${lastSurgeX} ${top}H${left}z`),
    path('no', `M${lastSurgeX} ${top}L${fast}${chokeBack}L${firstChoke} ${bottom}H${right}V${top}z`),
  ];
};

const islandShapes = (map: CompressorMapData, scales: MapScales): Shape[] => {
  const grid = mapGrid(map.speedLines);
  const all = Array.from(grid.value);
  const levels = islandLevels(most(all), -most(all.map((value) => -value)));
  const { flow, ratio } = scales;
  const shapes: Shape[] = [];
  levels.forEach((level, index) => {
    for (const line of contour(grid, level)) {
      if (line.length < 4) continue;
      const d = lineThrough(
        line.map(([x]) => flow.at(x)),
        line.map(([, y]) => ratio.at(y)),
      );
      if (index === 0) shapes.push(path('ti-air', `${d}z`));
      shapes.push(path('island', d));
    }
  });
  // Names go on last, each at the lowest place of its line, so that no line runs over a name.
  levels.forEach((level) => {
    const longest = contour(grid, level).reduce<readonly (readonly [number, number])[]>(
      (best, line) => (line.length > best.length ? line : best),
      [],
    );
    if (longest.length < 4) return;
    const lowest = longest.reduce((low, point) => (point[1] < low[1] ? point : low));
    shapes.push(
      text('island-name halo m', flow.at(lowest[0]), ratio.at(lowest[1]) + 4, `${Math.round(level * 100)} %`),
    );
  });
  return shapes;
};

const speedLineShapes = (map: CompressorMapData, scales: MapScales): Shape[] => {
  const shapes: Shape[] = [];
  let named: Corner | null = null;
  // Fastest first: its name is the one that must stand; slower ones give way where they would touch.
  [...map.speedLines].reverse().forEach((line, index) => {
    const last = line.correctedFlowKgPerS.length - 1;
    const fastest = index === 0;
    shapes.push(path(fastest ? 'wall' : 'speed-line', polyline(line, scales)));
    const at: Corner = [
      Math.min(scales.flow.end - 34, scales.flow.at(line.correctedFlowKgPerS[last]!) + 5),
      Math.min(scales.bottom - 6, scales.ratio.at(line.pressureRatio[last]!) + 14),
    ];
    if (named !== null && Math.abs(named[0] - at[0]) < 36 && Math.abs(named[1] - at[1]) < 16) return;
    named = at;
    const krpm = Math.round(line.shaftSpeedRpm / 1000);
    shapes.push(text(`nt halo ${fastest ? 'b' : ''}`, at[0], at[1], fastest ? `${krpm} krpm` : String(krpm)));
  });
  return shapes;
};

/** Everything that does not move. `writeFlow` gives a flow [kg/s] in reading units as a number. */
export const compressorMapShapes = (
  map: CompressorMapData,
  line: readonly OperatingPoint[],
  place: MapPlace,
  flowReading: {
    readonly toReading: (kgPerS: number) => number;
    readonly fromReading: (value: number) => number;
    readonly unit: string;
  },
): Shape[] => {
  const scales = mapScales(map, line, place);
  const { flow, ratio, left, bottom } = scales;
  const top = flowReading.toReading(flow.to);
  const flowStep = niceStep(top, 7);
  const flowTicks = multiples(0, top, flowStep).filter((value) => value > 0);
  const ratioTicks = niceTicks(1, ratio.to, 6);
  const xs = line.map((point) => flow.at(point.flow.p50));
  const ys = line.map((point) => ratio.at(point.pressureRatio.p50));
  const shapes: Shape[] = [
    rect('edgebg', 0, 0, left, bottom),
    ...forbidden(map, scales),
    path('grid', flowTicks.map((value) => `M${px(flow.at(flowReading.fromReading(value)))} 14V${bottom}`).join('')),
    path('grid', ratioTicks.map((value) => `M${left} ${px(ratio.at(value))}H${flow.end}`).join('')),
    ...islandShapes(map, scales),
    ...speedLineShapes(map, scales),
    path('wall', polyline(map.surgeLine, scales)),
    path('wall', polyline(map.chokeLine, scales)),
    ...bandShapes(line, scales),
    path('predl', lineThrough(xs, ys)),
    ...line
      .filter(({ engineSpeedRpm }) => engineSpeedRpm % 1000 === 0)
      .flatMap(({ engineSpeedRpm, flow: at, pressureRatio }) => [
        circle('dotp', flow.at(at.p50), ratio.at(pressureRatio.p50), 4.5),
        text('nt halo', flow.at(at.p50) + 10, ratio.at(pressureRatio.p50) + 17, engineSpeedRpm.toLocaleString('en-GB')),
      ]),
    ...nameWalls(map, scales),
    path('edgeline', `M${left} 0V${bottom}H${place.width}`),
    rect('edgebg', 0, bottom, place.width, place.height - bottom),
    path('edgeline', `M${left} ${bottom}H${place.width}`),
    path(
      'tick',
      ratioTicks.map((value) => `M${left} ${px(ratio.at(value))}h-16`).join('') +
        multiples(1, ratio.to, niceStep(ratio.to - 1, 6) / 5)
          .map((value) => `M${left} ${px(ratio.at(value))}h-5`)
          .join(''),
    ),
    path(
      'tick',
      flowTicks.map((value) => `M${px(flow.at(flowReading.fromReading(value)))} ${bottom}v16`).join('') +
        multiples(0, top, flowStep / 10)
          .map((value) => `M${px(flow.at(flowReading.fromReading(value)))} ${bottom}v6`)
          .join(''),
    ),
    text('nt', 14, bottom - 40, 'pressure ratio', { transform: `rotate(-90 14 ${bottom - 40})` }),
    text('nt e', place.width - 10, place.height - 8, `${flowReading.unit}, corrected`),
  ];
  return shapes;
};

type Corner = readonly [x: number, y: number];

/** The outline round a set of points (Andrew's monotone chain). */
const hull = (points: readonly Corner[]): Corner[] => {
  const sorted = [...points].sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const half = (ordered: readonly Corner[]): Corner[] => {
    const kept: Corner[] = [];
    for (const point of ordered) {
      while (kept.length > 1) {
        const [a, b] = [kept[kept.length - 2]!, kept[kept.length - 1]!];
        if ((b[0] - a[0]) * (point[1] - a[1]) - (b[1] - a[1]) * (point[0] - a[0]) > 0) break;
        kept.pop();
      }
      kept.push(point);
    }
    return kept.slice(0, -1);
  };
  return [...half(sorted), ...half(sorted.reverse())];
};

/**
 * The band of the engine's line. At one engine speed flow and pressure ratio rise together, so the band reaches from both
 * p10 to both p90, and is swept from one engine speed to the next.
 */
const bandShapes = (line: readonly OperatingPoint[], { flow, ratio }: MapScales): Shape[] => {
  const least = 4;
  const bars = line.map((point): Corner[] =>
    [
      [flow.at(point.flow.p10), ratio.at(point.pressureRatio.p10)] as const,
      [flow.at(point.flow.p90), ratio.at(point.pressureRatio.p90)] as const,
    ].flatMap(([x, y]): Corner[] => [
      [x - least, y],
      [x + least, y],
      [x, y - least],
      [x, y + least],
    ]),
  );
  const d = bars
    .slice(1)
    .map((bar, i) => hull([...bars[i]!, ...bar]))
    .map((outline) => `M${outline.map(([x, y]) => `${px(x)} ${px(y)}`).join('L')}z`)
    .join('');
  return d === '' ? [] : [path('bandfill soft', d)];
};

const nameWalls = (map: CompressorMapData, { flow, ratio }: MapScales): Shape[] => {
  const at = Math.floor(map.surgeLine.pressureRatio.length * 0.7);
  const surgeX = flow.at(map.surgeLine.correctedFlowKgPerS[at] ?? 0);
  const surgeY = ratio.at(map.surgeLine.pressureRatio[at] ?? 1);
  const middle = Math.floor(map.chokeLine.pressureRatio.length * 0.45);
  const chokeX = flow.at(map.chokeLine.correctedFlowKgPerS[middle] ?? 0);
  const chokeY = ratio.at(map.chokeLine.pressureRatio[middle] ?? 1);
  return [
    text('left halo e', surgeX - 14, surgeY, 'Surge'),
    text('left halo', Math.min(flow.end - 52, chokeX + 40), chokeY + 24, 'Choke'),
  ];
};

/** The figures of both axes, none under a cursor. */
export const mapFigures = (
  x: number,
  y: number,
  scales: MapScales,
  place: MapPlace,
  flowReading: {
    readonly toReading: (kgPerS: number) => number;
    readonly fromReading: (value: number) => number;
  },
): Shape[] => {
  const { flow, ratio, left, bottom } = scales;
  const top = flowReading.toReading(flow.to);
  return [
    ...multiples(0, top, niceStep(top, 7))
      .filter((value) => value > 0)
      .map((value) => ({ value, at: flow.at(flowReading.fromReading(value)) }))
      .filter(({ at }) => Math.abs(at - x) > 72 && at < place.width - 110)
      .map(({ value, at }) => text('rul m', at, bottom + 36, String(value))),
    ...niceTicks(1, ratio.to, 6)
      .filter((value) => Math.abs(ratio.at(value) - y) > 34)
      .map((value) => text('rul e', left - 20, Math.min(bottom - 4, ratio.at(value) + 5), value.toFixed(1))),
  ];
};

/** The cross hairs with their two cursors. */
export const mapHair = (
  x: number,
  y: number,
  scales: MapScales,
  place: MapPlace,
  flowText: string,
  ratioText: string,
  rpmText: string,
): Shape[] => {
  const { left, bottom, flow } = scales;
  const half = 50;
  const middle = Math.min(flow.end - half, Math.max(left + half, x));
  const boxY = Math.min(bottom - 22, Math.max(24, y));
  const labelRight = x + 14 + 80 < flow.end;
  return [
    path('hair', `M${left} ${px(y)}H${px(x)}V${bottom}`),
    circle('hair ring-big', x, y, 9),
    circle('dotp', x, y, 4.5),
    text(`left halo ${labelRight ? '' : 'e'}`, labelRight ? x + 12 : x - 12, y - 16, rpmText),
    rect('cursor', 2, boxY - 22, left - 4, 44, { rx: 2 }),
    text('curval mid', left / 2, boxY + 7, ratioText),
    rect('cursor', middle - half, bottom + 2, half * 2, place.height - bottom - 4, { rx: 2 }),
    path('hair', `M${px(x)} ${bottom + 2}v7`),
    text('curval', middle, bottom + (place.height - bottom) / 2 + 8, flowText),
  ];
};
