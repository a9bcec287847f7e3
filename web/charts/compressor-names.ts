/** Names on the compressor map, none over another: walls, speed lines, engine speeds along the engine's line, islands. */
import {
  ANCHOR,
  type CompressorMapData,
  type Corner,
  type Islands,
  islandLines,
  type MapPlace,
  type MapScales,
  mapScales,
  type OperatingPoint,
  thousandsOf,
} from './compressor-scales.ts';
import { type Box, type LabelField, labelBox, labelField, placesRound } from './labels.ts';
import { rect, type Shape, text } from './shape.ts';

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

const nameWalls = (map: CompressorMapData, { flow, ratio }: MapScales, field: LabelField): Shape[] => {
  const name = (content: string, x: number, y: number, anchor: 'start' | 'end'): Shape => {
    field.take(labelBox(content, 14, { x, y, anchor }));
    return text(`left halo ${ANCHOR[anchor]}`, x, y, content);
  };
  const at = Math.floor(map.surgeLine.pressureRatio.length * 0.7);
  // Choke is named beside the fastest line, halfway down its fall.
  const fastest = map.speedLines[map.speedLines.length - 1];
  const ratios = fastest?.pressureRatio ?? [1];
  const half = 1 + 0.5 * ((ratios[0] ?? 1) - 1);
  const falls = Math.max(
    0,
    ratios.findIndex((value) => value < half),
  );
  const chokeX = flow.at(fastest?.correctedFlowKgPerS[falls] ?? 0);
  return [
    name(
      'Surge',
      flow.at(map.surgeLine.correctedFlowKgPerS[at] ?? 0) - 14,
      ratio.at(map.surgeLine.pressureRatio[at] ?? 1),
      'end',
    ),
    name('Choke', Math.min(flow.end - 52, chokeX + 12), ratio.at(ratios[falls] ?? 1), 'start'),
  ];
};

/**
 * Every name on the map, none over another, over the engine's line, or over `keep` (what stands at the hairline). Made so
 * that it can be called at each move: what it costs, the islands, is worked out once.
 */
export const mapNames = (map: CompressorMapData, line: readonly OperatingPoint[], place: MapPlace) => {
  const scales = mapScales(map, line, place);
  const { flow, ratio, left, bottom } = scales;
  const islands = islandLines(map, scales);
  const thousands = thousandsOf(line, scales);
  return (keep: readonly Box[]): Shape[] => {
    const field = labelField({ left, top: 4, right: place.width - 2, bottom: bottom + 2 });
    for (const box of keep) field.take(box);
    for (const point of line) {
      const [x, y] = [flow.at(point.flow.p50), ratio.at(point.pressureRatio.p50)];
      field.take({ left: x - 4, top: y - 4, right: x + 4, bottom: y + 4 });
    }
    return [
      ...nameWalls(map, scales, field),
      ...speedLineNames(map, scales, field),
      ...thousands.flatMap(({ x, y, name }) => {
        const at = field.place(name, 13, placesRound(x, y));
        return at ? [text(`nt halo ${ANCHOR[at.anchor]}`, at.x, at.y, name)] : [];
      }),
      ...islandNames(islands, field),
    ];
  };
};
