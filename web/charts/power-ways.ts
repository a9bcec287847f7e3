/** One power, three ways: from the air, from the fuel, from acceleration; where all three overlap is shaded. */
import { edgeTicks } from './edge.ts';
import type { Band } from './interpolate.ts';
import { decimalsOf, linearScale, multiples, niceStep } from './scale.ts';
import { circle, path, px, rect, type Shape, text } from './shape.ts';

export interface PowerWays {
  readonly rows: readonly {
    readonly name: string;
    readonly band: Band | undefined;
    readonly mark: 'square' | 'diamond' | 'disc';
  }[];
  readonly predicted?: Band;
  readonly combined?: Band;
  readonly agree: boolean;
}

const markShape = (mark: 'square' | 'diamond' | 'disc', x: number, y: number): Shape =>
  mark === 'square'
    ? rect('dotl', x - 5, y - 5, 10, 10)
    : mark === 'diamond'
      ? path('dotl', `M${px(x)} ${y - 7}l7 7l-7 7l-7 -7z`)
      : circle('dotl', x, y, 5);

/** Values in reading units. Figures are written by `write`, plus-minus by `spread`. */
export const powerWaysShapes = (
  ways: PowerWays,
  width: number,
  write: (value: number) => string,
  spread: (band: Band) => string,
): Shape[] => {
  const bands = [...ways.rows.map(({ band }) => band), ways.predicted].filter((band) => band !== undefined);
  if (bands.length === 0) return [];
  const low = Math.min(...bands.map(({ p10 }) => p10));
  const high = Math.max(...bands.map(({ p90 }) => p90));
  const room = Math.max((high - low) * 0.08, 1e-6);
  const left = 128;
  const right = width - 88;
  const scale = linearScale(low - room, high + room, left, right);
  const step = niceStep(high - low + 2 * room, 4);
  const rowHeight = 28;
  const bottom = ways.rows.length * rowHeight + (ways.predicted ? rowHeight : 0) + 8;
  const shapes: Shape[] = [];
  if (ways.agree && ways.combined) {
    shapes.push(
      rect(
        'bandfill',
        scale.at(ways.combined.p10),
        0,
        scale.at(ways.combined.p90) - scale.at(ways.combined.p10),
        bottom - 4,
      ),
    );
  }
  ways.rows.forEach(({ name, band, mark }, index) => {
    const y = 14 + index * rowHeight;
    shapes.push(text('way', 0, y + 5, name));
    if (!band) {
      shapes.push(text('nt e', width - 2, y + 5, 'not logged'));
      return;
    }
    const [from, to] = [px(scale.at(band.p10)), px(scale.at(band.p90))];
    shapes.push(
      path('wh', `M${from} ${y}H${to}M${from} ${y - 5}v10M${to} ${y - 5}v10`),
      markShape(mark, scale.at(band.p50), y),
    );
    shapes.push(text('way b e', width - 36, y + 5, write(band.p50)), text('nt', width - 30, y + 5, `±${spread(band)}`));
  });
  if (ways.predicted) {
    const y = 14 + ways.rows.length * rowHeight;
    const { p10, p50, p90 } = ways.predicted;
    shapes.push(
      text('way p', 0, y + 5, 'Predicted'),
      rect('bandbox', scale.at(p10), y - 6, scale.at(p90) - scale.at(p10), 12),
      path('predl', `M${px(scale.at(p50))} ${y - 6}v12`),
      text('way p e', width - 36, y + 5, write(p50)),
      text('nt', width - 30, y + 5, `±${spread(ways.predicted)}`),
    );
  }
  shapes.push(
    path('edgeline', `M${left} ${bottom}H${right}`),
    edgeTicks(scale, bottom, { minor: step / 5, mid: step / 2, major: step }),
    ...multiples(scale.from, scale.to, step).map((value) =>
      text('nt m', scale.at(value), bottom + 31, value.toFixed(decimalsOf(step))),
    ),
  );
  return shapes;
};

export const powerWaysHeight = (ways: PowerWays): number => ways.rows.length * 28 + (ways.predicted ? 28 : 0) + 44;
