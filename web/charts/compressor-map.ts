/** The compressor map: surge and choke as walls, speed lines, islands of efficiency, the engine's line with its band. */
import {
  ANCHOR,
  type CompressorMapData,
  type Corner,
  type Islands,
  islandLines,
  type MapLineData,
  type MapPlace,
  type MapScales,
  mapScales,
  type OperatingPoint,
  thousandsOf,
} from './compressor-scales.ts';
import { type Box, labelBox } from './labels.ts';
import { multiples, niceStep, niceTicks } from './scale.ts';
import { circle, lineThrough, path, px, rect, type Shape, text } from './shape.ts';

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

const speedLineShapes = (map: CompressorMapData, scales: MapScales): Shape[] =>
  map.speedLines.map((line, index) =>
    path(
      `${index === map.speedLines.length - 1 ? 'wall' : 'speed-line'} ${map.estimated ? 'pencil' : ''}`,
      polyline(line, scales),
    ),
  );

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
  const thousands = thousandsOf(line, scales);
  const shapes: Shape[] = [
    rect('edgebg', 0, 0, left, bottom),
    ...forbidden(map, scales),
    path('grid', flowTicks.map((value) => `M${px(flow.at(flowReading.fromReading(value)))} 14V${bottom}`).join('')),
    path('grid', ratioTicks.map((value) => `M${left} ${px(ratio.at(value))}H${flow.end}`).join('')),
    ...islandShapes(islandLines(map, scales)),
    ...speedLineShapes(map, scales),
    path('wall', polyline(map.surgeLine, scales)),
    path('wall', polyline(map.chokeLine, scales)),
    ...pointShapes(map, scales),
    ...bandShapes(line, scales),
    path('predl', lineThrough(xs, ys)),
    ...thousands.map(({ x, y }) => circle('dotp', x, y, 4.5)),
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

/** Where the hairline's own name stands: beside the ring, above it. */
const hairLabel = (x: number, y: number, scales: MapScales, rpmText: string) => {
  const right = x + 14 + 80 < scales.flow.end;
  const at = { x: right ? x + 12 : x - 12, y: y - 16, anchor: right ? 'start' : 'end' } as const;
  return { at, box: labelBox(rpmText, 14, at) };
};

/** What the hairline covers: its ring and its name. */
export const hairBoxes = (x: number, y: number, scales: MapScales, rpmText: string): Box[] => [
  { left: x - 12, top: y - 12, right: x + 12, bottom: y + 12 },
  hairLabel(x, y, scales, rpmText).box,
];

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
  const { at, box } = hairLabel(x, y, scales, rpmText);
  return [
    path('hair', `M${left} ${px(y)}H${px(x)}V${bottom}`),
    circle('hair ring-big', x, y, 9),
    circle('dotp', x, y, 4.5),
    rect('plate', box.left, box.top, box.right - box.left, box.bottom - box.top),
    text(`left ${ANCHOR[at.anchor]}`, at.x, at.y, rpmText),
    rect('cursor', 2, boxY - 22, left - 4, 44, { rx: 2 }),
    text('curval mid', left / 2, boxY + 7, ratioText),
    rect('cursor', middle - half, bottom + 2, half * 2, place.height - bottom - 4, { rx: 2 }),
    path('hair', `M${px(x)} ${bottom + 2}v7`),
    text('curval', middle, bottom + (place.height - bottom) / 2 + 8, flowText),
  ];
};
