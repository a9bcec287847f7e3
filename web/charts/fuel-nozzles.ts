/** Share of the fuel that nozzles inject over engine speed: one predicted line a nozzle, the fitted one with its band. */
import { cursorMiddle, edgeCursor, edgeFigures, edgeGround, edgeTicks } from './edge.ts';
import type { Band } from './interpolate.ts';
import { decimalsOf, linearScale, niceStep, niceTicks, type Scale } from './scale.ts';
import { areaBetween, circle, lineThrough, path, px, type Shape, text } from './shape.ts';

/** One nozzle over engine speed, shares in per cent. */
export interface NozzleCurve {
  readonly name: string;
  readonly engineSpeedRpm: readonly number[];
  readonly share: readonly number[];
  readonly fitted: boolean;
}

export interface NozzleDrawing {
  readonly curves: readonly NozzleCurve[];
  /** Band of the fitted nozzle, where there is one. */
  readonly band: { readonly engineSpeedRpm: readonly number[]; readonly share: readonly Band[] } | null;
  /** The wanted share, a line across [%]; null for none. */
  readonly wanted: number | null;
  readonly lowestRpm: number;
  readonly highestRpm: number;
}

export interface NozzlePlace {
  readonly width: number;
  readonly height: number;
  /** Where the curves end and the edge begins. */
  readonly bottom: number;
}

const LEFT = 54;
const RIGHT = 96;

export const nozzleScales = (data: NozzleDrawing, place: NozzlePlace): { speed: Scale; share: Scale } => {
  const most = Math.max(
    10,
    data.wanted ?? 0,
    ...data.curves.flatMap(({ share }) => share),
    ...(data.band?.share ?? []).map(({ p90 }) => p90),
  );
  const step = niceStep(most, 6);
  return {
    speed: linearScale(data.lowestRpm, data.highestRpm, LEFT, Math.max(LEFT + 40, place.width - RIGHT)),
    share: linearScale(0, Math.ceil((most * 1.02) / step) * step, place.bottom - 4, 22),
  };
};

/** Places as near as may be to those wanted, in their order, `gap` apart and inside `top` to `bottom`. */
export const spreadApart = (wanted: readonly number[], gap: number, top: number, bottom: number): number[] => {
  const order = wanted.map((_, i) => i).sort((a, b) => wanted[a]! - wanted[b]!);
  const placed = [...wanted];
  let least = top;
  for (const i of order) {
    placed[i] = Math.max(least, wanted[i]!);
    least = placed[i]! + gap;
  }
  let most = bottom;
  for (const i of [...order].reverse()) {
    placed[i] = Math.min(most, placed[i]!);
    most = placed[i]! - gap;
  }
  return placed;
};

/** Everything but the hairline. */
export const nozzleShapes = (data: NozzleDrawing, place: NozzlePlace): Shape[] => {
  const { speed, share } = nozzleScales(data, place);
  const shapes: Shape[] = [];
  const ticks = niceTicks(0, share.to, 6);
  const decimals = decimalsOf(niceStep(share.to, 6));
  for (const value of ticks) {
    shapes.push(
      path('grid', `M${px(speed.start)} ${px(share.at(value))}H${px(speed.end)}`),
      text('nt e', speed.start - 8, share.at(value) + 4, value.toFixed(decimals)),
    );
  }
  shapes.push(text('nt', 4, 14, '% of the fuel by mass'));
  if (data.band && data.band.engineSpeedRpm.length > 1) {
    shapes.push(
      path(
        'bandfill',
        areaBetween(
          data.band.engineSpeedRpm.map(speed.at),
          data.band.share.map(({ p10 }) => share.at(p10)),
          data.band.share.map(({ p90 }) => share.at(p90)),
        ),
      ),
    );
  }
  if (data.wanted !== null) {
    const y = share.at(data.wanted);
    shapes.push(
      path('cl', `M${px(speed.start)} ${px(y)}H${px(speed.end)}`),
      text('nt', speed.start + 6, y - 5, `wanted ${Number(data.wanted.toFixed(1))} %`),
    );
  }
  const ends = data.curves.map((curve) => {
    const last = curve.share.length - 1;
    shapes.push(
      path(
        curve.fitted ? 'wetl fitted' : 'wetl',
        lineThrough(curve.engineSpeedRpm.map(speed.at), curve.share.map(share.at)),
      ),
    );
    return last < 0 ? place.bottom - 8 : share.at(curve.share[last]!);
  });
  spreadApart(ends, 17, 20, place.bottom - 6).forEach((y, i) => {
    const curve = data.curves[i]!;
    if (curve.share.length === 0) return;
    shapes.push(
      path(
        'lead-l',
        `M${px(speed.at(curve.engineSpeedRpm[curve.share.length - 1]!))} ${px(ends[i]!)}L${px(speed.end + 8)} ${px(y)}`,
      ),
      text(curve.fitted ? 'left' : 'nt', speed.end + 11, y + 4, curve.name),
    );
  });
  return shapes;
};

/** The edge, the hairline and its dots. */
export const nozzleHair = (data: NozzleDrawing, place: NozzlePlace, rpm: number, figure: string): Shape[] => {
  const { speed, share } = nozzleScales(data, place);
  const x = speed.at(rpm);
  const height = place.height - place.bottom;
  const bounds = { from: 0, to: place.width };
  const shapes: Shape[] = [
    ...edgeGround(place.width, place.bottom, height),
    edgeTicks(speed, place.bottom, { minor: 100, mid: 500, major: 1000 }),
    ...edgeFigures(speed, place.bottom, height, 1000, (value) => String(value / 1000), {
      at: cursorMiddle(x, bounds, 100),
      halfWidth: 74,
    }),
    path('hair', `M${px(x)} 0V${place.bottom}`),
  ];
  for (const curve of data.curves) {
    const value = shareAt(curve, rpm);
    if (value !== null) shapes.push(circle('dotp', x, share.at(value), curve.fitted ? 5 : 4));
  }
  return [...shapes, ...edgeCursor(x, place.bottom, height, figure, undefined, bounds)];
};

/** A curve's share at an engine speed by straight lines; null outside it. */
export const shareAt = (curve: NozzleCurve, rpm: number): number | null => {
  const { engineSpeedRpm: xs, share: ys } = curve;
  const last = xs.length - 1;
  if (last < 0 || rpm < xs[0]! || rpm > xs[last]!) return null;
  let i = 1;
  while (i < last && xs[i]! < rpm) i += 1;
  if (last === 0) return ys[0]!;
  const part = (rpm - xs[i - 1]!) / (xs[i]! - xs[i - 1]!);
  return ys[i - 1]! + part * (ys[i]! - ys[i - 1]!);
};
