/** Timing drawn against what it wins and what it risks: torque over timing, the knock limit over boost or charge temperature. */
import { type Band, between, readAt } from './interpolate.ts';
import { wallRight } from './marks.ts';
import { decimalsOf, linearScale, niceStep, niceTicks, type Scale } from './scale.ts';
import { areaBetween, circle, lineThrough, path, px, type Shape, text } from './shape.ts';

interface Place {
  readonly width: number;
  readonly height: number;
}

const LEFT = 50;
const FOOT = 42;

const axes = (x: Scale, y: Scale, place: Place, xName: string, yName: string): Shape[] => {
  const bottom = place.height - FOOT;
  const write = (value: number, step: number) => value.toFixed(decimalsOf(step)).replace('-', '−');
  const xStep = niceStep(x.to - x.from, Math.max(3, (x.end - x.start) / 64));
  const yStep = niceStep(y.to - y.from, 5);
  return [
    ...niceTicks(y.from, y.to, 5).flatMap((value) => [
      path('grid', `M${LEFT} ${px(y.at(value))}H${px(x.end)}`),
      text('nt e', LEFT - 6, y.at(value) + 4.5, write(value, yStep)),
    ]),
    path('base', `M${LEFT} ${bottom}H${px(x.end)}`),
    ...niceTicks(x.from, x.to, Math.max(3, (x.end - x.start) / 64)).flatMap((value) => [
      path('tick', `M${px(x.at(value))} ${bottom}v6`),
      text('nt m', x.at(value), bottom + 20, write(value, xStep)),
    ]),
    text('nt', LEFT, place.height - 4, xName),
    text('nt halo', LEFT + 4, 12, yName),
  ];
};

const ends = (values: readonly number[], pad: number): [number, number] => {
  const low = Math.min(...values);
  const high = Math.max(...values);
  const span = Math.max(high - low, 1e-6);
  return [low - pad * span, high + pad * span];
};

export interface TimingTorque {
  readonly sparkAdvanceDeg: readonly number[];
  readonly torque: readonly number[];
  readonly torqueUnit: string;
  readonly runAdvanceDeg: number;
  readonly bestTorqueAdvanceDeg: number;
  readonly knockLimitAdvanceDeg: Band;
  readonly loggedAdvanceDeg?: number | undefined;
}

/** Torque over timing: where the timing stands (ring), best torque (short line), the knock limit as a wall with its whisker. */
export const timingTorqueShapes = (data: TimingTorque, place: Place): Shape[] => {
  if (data.sparkAdvanceDeg.length < 2) return [];
  const bottom = place.height - FOOT;
  const { p10, p50, p90 } = data.knockLimitAdvanceDeg;
  const last = data.sparkAdvanceDeg[data.sparkAdvanceDeg.length - 1]!;
  const first = data.sparkAdvanceDeg[0]!;
  // A limit far off the swept timing is said in words instead of squeezing the curve.
  const x = linearScale(
    Math.max(first - 12, Math.min(first, p10 - 1)),
    Math.min(last + 12, Math.max(last, p90 + 1)),
    LEFT,
    place.width - 14,
  );
  const y = linearScale(...ends(data.torque, 0.12), bottom, 22);
  const shapes = axes(x, y, place, 'timing, degrees before top dead centre', `torque, ${data.torqueUnit}`);
  const held = (value: number) => Math.min(x.end, Math.max(x.start, x.at(value)));
  const torqueAt = (advance: number): number | null => {
    const where = between(data.sparkAdvanceDeg, advance);
    return where ? readAt(data.torque, where) : null;
  };
  shapes.push(path('predl', lineThrough(data.sparkAdvanceDeg.map(x.at), data.torque.map(y.at))));
  const best = x.at(data.bestTorqueAdvanceDeg);
  shapes.push(path('lead-l', `M${px(best)} 34V${bottom}`), text('nt halo m', best, 31, 'best torque'));
  if (p50 >= x.from && p50 <= x.to) {
    shapes.push(...wallRight(x.at(p50), 46, bottom), text('nt halo e', x.at(p50) - 5, 58, 'knock limit'));
  } else {
    shapes.push(text('nt halo e', x.end - 4, 58, p50 > x.to ? 'knock limit further on' : 'knock limit further back'));
  }
  const row = bottom - 12;
  shapes.push(
    path('whb', `M${px(held(p10))} ${row}H${px(held(p90))}`),
    path(
      'wh',
      `M${px(held(p10))} ${row}H${px(held(p90))}M${px(held(p10))} ${row - 5}v10M${px(held(p90))} ${row - 5}v10`,
    ),
  );
  const stands = torqueAt(data.runAdvanceDeg);
  if (stands !== null) shapes.push(circle('ring', x.at(data.runAdvanceDeg), y.at(stands), 6));
  if (data.loggedAdvanceDeg !== undefined) {
    const logged = torqueAt(data.loggedAdvanceDeg);
    if (logged !== null) shapes.push(circle('dotl', x.at(data.loggedAdvanceDeg), y.at(logged), 4.5));
  }
  return shapes;
};

export interface LimitOver {
  readonly at: readonly number[];
  readonly knockLimitAdvanceDeg: readonly number[];
  readonly bestTorqueAdvanceDeg?: readonly number[];
  readonly xName: string;
  /** Where the car stands. */
  readonly stands: { readonly at: Band; readonly advanceDeg: number };
  readonly loggedAdvanceDeg?: number | undefined;
  /** Where this timing would be borderline. */
  readonly borne?: Band | undefined;
  /** The same without the water-methanol. */
  readonly dry?: { readonly at: number; readonly knockLimitAdvanceDeg: number } | undefined;
}

/** The answer says a knock limit so far before best torque and no further [deg]: there it is none. */
const SAID_BEFORE_BEST_DEG = 13.9;

/** The knock limit over boost or charge temperature, hatched above; the car's ring under or over it. */
export const limitOverShapes = (data: LimitOver, place: Place): Shape[] => {
  if (data.at.length < 2) return [];
  const bottom = place.height - FOOT;
  const x = linearScale(data.at[0]!, data.at[data.at.length - 1]!, LEFT, place.width - 14);
  const best = data.bestTorqueAdvanceDeg;
  const said = data.at.flatMap((_, i) =>
    best && data.knockLimitAdvanceDeg[i]! > best[i]! + SAID_BEFORE_BEST_DEG ? [] : [i],
  );
  const [low, high] = ends(
    [
      ...said.map((i) => Math.max(-20, Math.min(60, data.knockLimitAdvanceDeg[i]!))),
      ...(best ?? []),
      data.stands.advanceDeg,
      ...(data.loggedAdvanceDeg === undefined ? [] : [data.loggedAdvanceDeg]),
      ...(data.dry ? [data.dry.knockLimitAdvanceDeg] : []),
    ],
    0.12,
  );
  const y = linearScale(low, high, bottom, 22);
  const xs = data.at.map(x.at);
  const held = (value: number) => Math.min(x.end, Math.max(x.start, x.at(value)));
  const limitXs = said.map((i) => xs[i]!);
  const limit = said.map((i) => Math.min(bottom, Math.max(22, y.at(data.knockLimitAdvanceDeg[i]!))));
  const shapes: Shape[] = [
    path(
      'no',
      areaBetween(
        limitXs,
        limit,
        limitXs.map(() => 22),
      ),
    ),
    ...axes(x, y, place, data.xName, 'timing, degrees'),
    path('wall', lineThrough(limitXs, limit)),
  ];
  if (best) {
    shapes.push(
      path(
        'lead-l cyl-best',
        lineThrough(
          xs,
          best.map((value) => (value < low || value > high ? Number.NaN : y.at(value))),
        ),
      ),
    );
  }
  const level = y.at(data.stands.advanceDeg);
  const here = held(data.stands.at.p50);
  if (data.borne && data.borne.p50 > x.from) {
    shapes.push(
      path('lead-l', `M${px(here)} ${px(level)}H${px(held(data.borne.p50))}`),
      path('whb', `M${px(held(data.borne.p10))} ${px(level)}H${px(held(data.borne.p90))}`),
      path(
        'wh',
        `M${px(held(data.borne.p10))} ${px(level)}H${px(held(data.borne.p90))}M${px(held(data.borne.p10))} ${px(level - 5)}v10M${px(held(data.borne.p90))} ${px(level - 5)}v10`,
      ),
    );
  }
  if (data.dry) {
    const dry = held(data.dry.at);
    shapes.push(circle('ring was', dry, y.at(data.dry.knockLimitAdvanceDeg), 4));
    shapes.push(
      text(
        `nt halo ${dry > x.end - 70 ? 'e' : ''}`,
        dry > x.end - 70 ? dry - 8 : dry + 8,
        y.at(data.dry.knockLimitAdvanceDeg) + 4,
        'dry',
      ),
    );
  }
  shapes.push(circle('ring', here, level, 6));
  if (data.loggedAdvanceDeg !== undefined) shapes.push(circle('dotl', here, y.at(data.loggedAdvanceDeg), 4.5));
  return shapes;
};
