/** The compressor map: surge and choke as walls, speed lines, islands of efficiency, the engine's line with its band. */
import { contour, islandLevels, mapGrid, type SpeedLineData } from './contours.ts';
import type { Band } from './interpolate.ts';
import { type LabelField, labelBox, labelField, placesRound } from './labels.ts';
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

const ANCHOR = { start: '', middle: 'm', end: 'e' } as const;
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

const islandLines = (map: CompressorMapData, scales: MapScales) => {
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
type Islands = ReturnType<typeof islandLines>;

const islandShapes = (islands: Islands): Shape[] =>
  islands.flatMap(({ lines }, index) =>
    lines.flatMap((line) => {
      const d = lineThrough(
        line.map(([x]) => x),
        line.map(([, y]) => y),
      );
      return index === 0 ? [path('ti-air', `${d}z`), path('island', d)] : [path('island', d)];
    }),
  );

/** Each island's name on its own line, at the lowest place where there is room; on a plate, so that no line runs through it. */
const islandNames = (islands: Islands, field: LabelField): Shape[] =>
  islands.flatMap(({ level, lines }) => {
    const longest = lines.reduce<readonly Corner[]>((best, line) => (line.length > best.length ? line : best), []);
    const name = `${Math.round(level * 100)} %`;
    const places = [...longest]
      .sort((a, b) => b[1] - a[1])
      .map(([x, y]) => ({ x, y: y + 5, anchor: 'middle' as const }));
    const at = field.place(name, 14, places);
    if (!at) return [];
    const box = labelBox(name, 14, at);
    return [
      rect('plate', box.left + 1, box.top + 2, box.right - box.left - 2, box.bottom - box.top - 4),
      text('island-name m', at.x, at.y, name),
    ];
  });

const speedLineShapes = (map: CompressorMapData, scales: MapScales): Shape[] =>
  map.speedLines.map((line, index) =>
    path(
      `${index === map.speedLines.length - 1 ? 'wall' : 'speed-line'} ${map.estimated ? 'pencil' : ''}`,
      polyline(line, scales),
    ),
  );

/** Fastest first: its name is the one that must stand; slower ones give way where they would touch. */
const speedLineNames = (map: CompressorMapData, scales: MapScales, field: LabelField): Shape[] =>
  [...map.speedLines].reverse().flatMap((line, index) => {
    const last = line.correctedFlowKgPerS.length - 1;
    const x = scales.flow.at(line.correctedFlowKgPerS[last]!);
    const y = scales.ratio.at(line.pressureRatio[last]!);
    const krpm = Math.round(line.shaftSpeedRpm / 1000);
    const name = index === 0 ? `${krpm} krpm` : String(krpm);
    const at = field.place(name, 13, [
      { x: x + 5, y: Math.min(scales.bottom - 6, y + 14), anchor: 'start' },
      { x: Math.min(scales.flow.end - 4, x + 60), y: Math.min(scales.bottom - 6, y + 14), anchor: 'end' },
      { x: x + 5, y: Math.min(scales.bottom - 6, y - 4), anchor: 'start' },
    ]);
    return at ? [text(`nt halo ${index === 0 ? 'b' : ''} ${at.anchor === 'end' ? 'e' : ''}`, at.x, at.y, name)] : [];
  });

/** Points of the map as given: small and full, since somebody measured or read them; a stray is crossed out. */
const pointShapes = (map: CompressorMapData, { flow, ratio }: MapScales): Shape[] => {
  const points = map.points ?? [];
  const at = (point: (typeof points)[number]): Corner => [
    flow.at(point.correctedFlowKgPerS),
    ratio.at(point.pressureRatio),
  ];
  return [
    ...points.filter(({ stray }) => !stray).map((point) => circle('map-point', ...at(point), 2)),
    ...points
      .filter(({ stray }) => stray)
      .map((point) => {
        const [x, y] = at(point);
        return path('map-stray', `M${px(x - 5)} ${px(y - 5)}l10 10m0 -10l-10 10`);
      }),
  ];
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
  const islands = islandLines(map, scales);
  const thousands = line
    .filter(({ engineSpeedRpm }) => engineSpeedRpm % 1000 === 0)
    .map((point) => ({
      x: flow.at(point.flow.p50),
      y: ratio.at(point.pressureRatio.p50),
      name: point.engineSpeedRpm.toLocaleString('en-GB'),
    }));
  const field = labelField({ left, top: 4, right: place.width - 2, bottom: bottom - 2 });
  // Nothing is written over the engine's own line or the dots on it.
  xs.forEach((x, i) => {
    field.take({ left: x - 4, top: ys[i]! - 4, right: x + 4, bottom: ys[i]! + 4 });
  });
  const shapes: Shape[] = [
    rect('edgebg', 0, 0, left, bottom),
    ...forbidden(map, scales),
    path('grid', flowTicks.map((value) => `M${px(flow.at(flowReading.fromReading(value)))} 14V${bottom}`).join('')),
    path('grid', ratioTicks.map((value) => `M${left} ${px(ratio.at(value))}H${flow.end}`).join('')),
    ...islandShapes(islands),
    ...speedLineShapes(map, scales),
    path('wall', polyline(map.surgeLine, scales)),
    path('wall', polyline(map.chokeLine, scales)),
    ...pointShapes(map, scales),
    ...bandShapes(line, scales),
    path('predl', lineThrough(xs, ys)),
    ...thousands.map(({ x, y }) => circle('dotp', x, y, 4.5)),
    ...nameWalls(map, scales, field),
    ...speedLineNames(map, scales, field),
    ...thousands.flatMap(({ x, y, name }) => {
      const at = field.place(name, 13, placesRound(x, y));
      return at ? [text(`nt halo ${ANCHOR[at.anchor]}`, at.x, at.y, name)] : [];
    }),
    ...islandNames(islands, field),
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

const nameWalls = (map: CompressorMapData, { flow, ratio }: MapScales, field: LabelField): Shape[] => {
  const name = (content: string, x: number, y: number, anchor: 'start' | 'end'): Shape => {
    field.take(labelBox(content, 14, { x, y, anchor }));
    return text(`left halo ${ANCHOR[anchor]}`, x, y, content);
  };
  const at = Math.floor(map.surgeLine.pressureRatio.length * 0.7);
  const middle = Math.floor(map.chokeLine.pressureRatio.length * 0.45);
  const chokeX = flow.at(map.chokeLine.correctedFlowKgPerS[middle] ?? 0);
  return [
    name(
      'Surge',
      flow.at(map.surgeLine.correctedFlowKgPerS[at] ?? 0) - 14,
      ratio.at(map.surgeLine.pressureRatio[at] ?? 1),
      'end',
    ),
    name(
      'Choke',
      Math.min(flow.end - 52, chokeX + 40),
      ratio.at(map.chokeLine.pressureRatio[middle] ?? 1) + 24,
      'start',
    ),
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
  const labelAt = { x: labelRight ? x + 12 : x - 12, y: y - 16, anchor: labelRight ? 'start' : 'end' } as const;
  const plate = labelBox(rpmText, 14, labelAt);
  return [
    path('hair', `M${left} ${px(y)}H${px(x)}V${bottom}`),
    circle('hair ring-big', x, y, 9),
    circle('dotp', x, y, 4.5),
    rect('plate', plate.left, plate.top, plate.right - plate.left, plate.bottom - plate.top),
    text(`left ${labelRight ? '' : 'e'}`, labelAt.x, labelAt.y, rpmText),
    rect('cursor', 2, boxY - 22, left - 4, 44, { rx: 2 }),
    text('curval mid', left / 2, boxY + 7, ratioText),
    rect('cursor', middle - half, bottom + 2, half * 2, place.height - bottom - 4, { rx: 2 }),
    path('hair', `M${px(x)} ${bottom + 2}v7`),
    text('curval', middle, bottom + (place.height - bottom) / 2 + 8, flowText),
  ];
};
