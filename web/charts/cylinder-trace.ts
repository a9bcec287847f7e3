/** The cylinder over crank angle: pressure above, burned and knock share below, the crank angle as the edge of the sheet. */
import { cursorMiddle, edgeCursor, edgeFigures, edgeGround, edgeTicks } from './edge.ts';
import type { Band } from './interpolate.ts';
import { linearScale, niceTicks, type Scale } from './scale.ts';
import { lineThrough, path, px, type Shape, text } from './shape.ts';

/** Curves in reading units; crank angle in degrees after top dead centre. */
export interface CylinderCurves {
  readonly crankAngleDeg: readonly number[];
  readonly pressure: readonly number[];
  readonly burnedShare: readonly number[];
  readonly knockShare: readonly number[];
  readonly pressureUnit: string;
  /** Degrees before top dead centre. */
  readonly sparkAdvanceDeg: number;
  readonly bestTorqueAdvanceDeg: number;
  readonly knockLimitAdvanceDeg: Band;
  /** Timing that was logged at this engine speed, where a run is laid on. */
  readonly loggedAdvanceDeg?: number | undefined;
}

export interface CylinderPlace {
  readonly width: number;
  readonly height: number;
  readonly compact: boolean;
}

const EDGE = 62;
/** Highest share drawn: the wall at 1 keeps room above it. */
const MOST_SHARE = 1.25;

interface CylinderScales {
  readonly angle: Scale;
  readonly pressure: Scale;
  readonly share: Scale;
  readonly pressureBottom: number;
  readonly bottom: number;
}

export const cylinderScales = (curves: CylinderCurves, place: CylinderPlace): CylinderScales => {
  const side = place.compact ? 12 : 56;
  const bottom = place.height - EDGE;
  const pressureBottom = Math.round(bottom * 0.56);
  const first = curves.crankAngleDeg[0] ?? -140;
  const last = curves.crankAngleDeg[curves.crankAngleDeg.length - 1] ?? 140;
  const most = curves.pressure.reduce((high, value) => Math.max(high, value), 0) || 1;
  return {
    angle: linearScale(Math.floor(first / 10) * 10, Math.ceil(last / 10) * 10, side, place.width - side),
    pressure: linearScale(0, most * 1.1, pressureBottom, 14),
    share: linearScale(0, MOST_SHARE, bottom - 30, pressureBottom + 16),
    pressureBottom,
    bottom,
  };
};

/** A limit lying across: hatched above the line. */
const wallAbove = (from: number, to: number, y: number): Shape[] => {
  let d = '';
  for (let x = from; x <= to - 4; x += 6) d += `M${px(x)} ${px(y)}l5 -6`;
  return [path('wall-h', d), path('wall', `M${px(from)} ${px(y)}H${px(to)}`)];
};

/** Everything but the hairline. */
export const cylinderTraceShapes = (curves: CylinderCurves, place: CylinderPlace): Shape[] => {
  const { angle, pressure, share, pressureBottom, bottom } = cylinderScales(curves, place);
  const { width, height, compact } = place;
  const xs = curves.crankAngleDeg.map(angle.at);
  const left = angle.start;
  const right = angle.end;
  const shapes: Shape[] = [path('grid', `M${px(left)} ${pressureBottom}H${px(right)}`)];
  for (const value of niceTicks(pressure.to * 0.1, pressure.to, 4)) {
    shapes.push(path('grid', `M${px(left)} ${px(pressure.at(value))}H${px(right)}`));
    shapes.push(
      compact
        ? text('nt halo', left + 2, pressure.at(value) - 3, String(value))
        : text('nt e', left - 6, pressure.at(value) + 4.5, String(value)),
    );
  }
  for (const value of [0, 0.5, 1]) {
    shapes.push(path('grid', `M${px(left)} ${px(share.at(value))}H${px(right)}`));
    if (!compact) shapes.push(text('nt e', left - 6, share.at(value) + 4.5, `${100 * value} %`));
  }
  const centre = angle.at(0);
  shapes.push(path('cl', `M${px(centre)} 8V${bottom}`));
  shapes.push(...wallAbove(left, right, share.at(1)));
  const halfBurned = curves.crankAngleDeg[curves.burnedShare.findIndex((burned) => burned >= 0.5)] ?? 20;
  const held = (values: readonly number[]) =>
    values.map((value) => (value > MOST_SHARE ? Number.NaN : share.at(value)));
  shapes.push(
    path('predl', lineThrough(xs, curves.pressure.map(pressure.at))),
    path('predl cyl-burned', lineThrough(xs, held(curves.burnedShare))),
    path('predl cyl-knock', lineThrough(xs, held(curves.knockShare))),
  );
  shapes.push(
    text(
      'name halo',
      left + 8,
      26,
      compact ? `Pressure, ${curves.pressureUnit}` : `Cylinder pressure, ${curves.pressureUnit}`,
    ),
    text('nt halo', centre + 6, pressureBottom - 8, compact ? 'TDC' : 'top dead centre'),
    text(
      'nt halo',
      left + 8,
      share.at(1) + 18,
      compact ? 'knock expected at the wall' : 'the wall: knock expected when the end gas gets there',
    ),
    text('name halo e cyl-burned-name', angle.at(halfBurned) - 8, share.at(0.5) + 4, 'Burned'),
  );
  const most = curves.knockShare.reduce((high, value) => Math.max(high, value), 0);
  shapes.push(
    text(
      'name halo e cyl-knock-name',
      right - 6,
      share.at(Math.min(0.8, most)) + (most > 0.8 ? 10 : -8),
      'Knock share',
    ),
  );
  // Timing stands before top dead centre: spark, best torque and the borderline with its whisker.
  const row = bottom - 12;
  const { p10, p50, p90 } = curves.knockLimitAdvanceDeg;
  const at = (advance: number) => Math.min(right, Math.max(left, angle.at(-advance)));
  shapes.push(
    path('whb', `M${px(at(p90))} ${row}H${px(at(p10))}`),
    path('wh', `M${px(at(p90))} ${row}H${px(at(p10))}M${px(at(p90))} ${row - 5}v10M${px(at(p10))} ${row - 5}v10`),
    path('wall', `M${px(at(p50))} ${row - 12}V${bottom}`),
    path('wall-h', [0, 6, 12, 18].map((down) => `M${px(at(p50))} ${row - 10 + down}l-6 -5`).join('')),
    path('base', `M${px(at(curves.bestTorqueAdvanceDeg))} ${row - 12}V${bottom}`),
    path('ring', `M${px(at(curves.sparkAdvanceDeg) - 5)} ${row}l5 -7l5 7l-5 7z`),
  );
  if (curves.loggedAdvanceDeg !== undefined) {
    shapes.push(path('cyl-logged', `M${px(at(curves.loggedAdvanceDeg) - 5)} ${row}l5 -7l5 7l-5 7z`));
  }
  shapes.push(...edgeGround(width, bottom, height - bottom));
  shapes.push(edgeTicks(angle, bottom, { minor: compact ? 5 : 2, mid: 10, major: 20 }));
  return shapes;
};

/** Hairline, cursor and the figures of the edge. */
export const cylinderHair = (
  curves: CylinderCurves,
  place: CylinderPlace,
  angleDeg: number,
  figure: string,
): Shape[] => {
  const { angle, bottom } = cylinderScales(curves, place);
  const x = angle.at(angleDeg);
  const bounds = { from: 0, to: place.width };
  return [
    path('hair', `M${px(x)} 0V${bottom}`),
    ...edgeFigures(
      angle,
      bottom,
      EDGE,
      place.compact ? 40 : 20,
      (value) => (value < 0 ? `−${-value}` : String(value)),
      { at: cursorMiddle(x, bounds, 84), halfWidth: 66 },
    ),
    ...edgeCursor(x, bottom, EDGE, figure, undefined, bounds, 84),
  ];
};
