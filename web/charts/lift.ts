/** Drawings of a change of parts: each part before and after against its wall, and the front of price against power. */
import type { Band } from './interpolate.ts';
import { LEDGER_BAR } from './ledger.ts';
import { standing, wallRight } from './marks.ts';
import { linearScale, niceStep, niceTicks, type Scale } from './scale.ts';
import { circle, path, px, rect, type Shape, shape, text } from './shape.ts';

const WHISKER = 5;

const whisker = (low: number, high: number, y: number, cut: boolean): Shape[] => [
  path('whb', `M${px(low)} ${y}H${px(high)}`),
  path(
    'wh',
    `M${px(low)} ${y}H${px(high)}M${px(low)} ${y - WHISKER}v${2 * WHISKER}${
      cut ? `M${px(high - 6)} ${y - WHISKER}l6 ${WHISKER}l-6 ${WHISKER}` : `M${px(high)} ${y - WHISKER}v${2 * WHISKER}`
    }`,
  ),
];

/** What a part uses before (thin, above) and after (heavy, below), both predicted, against what it carries. */
export const pairBar = (before: Band | null, after: Band | null, height: number): Shape[] => {
  const { full, width } = LEDGER_BAR;
  const wide = (value: number) => Math.max(0, Math.min(width - 6, value * full));
  const middle = height / 2;
  const bar = (band: Band, top: number, tall: number, heavy: boolean): Shape[] => {
    const state = standing(band);
    const look = state === 'over' ? 'bar-over' : state === 'tight' ? 'bar-tight' : 'bar-none';
    const y = top + tall / 2;
    return [
      rect(heavy ? `${look} baro ${state} now` : 'bandbox thin was', 0.75, top, wide(band.p50), tall),
      ...(heavy ? whisker(wide(band.p10), wide(band.p90), y, band.p90 * full > width - 6) : []),
    ];
  };
  return [
    path('grid', `M${full / 2} 0V${height}`),
    ...wallRight(full, 0, height, 8, 7),
    ...(before ? bar(before, middle - 18, 9, false) : []),
    ...(after ? bar(after, middle - 6, 20, true) : []),
  ];
};

/** Where a part gives out before and after, on the power axis; a line from the one to the other. */
export const pairLimit = (
  before: Band | undefined,
  after: Band | undefined,
  scale: Scale,
  height: number,
  hairAt: number,
  ticks: readonly number[],
): Shape[] => {
  const middle = height / 2;
  const held = (value: number) => Math.min(scale.end, Math.max(scale.start, scale.at(value)));
  const shapes: Shape[] = [
    path('grid', ticks.map((value) => `M${px(scale.at(value))} 0V${height}`).join('')),
    path('hair', `M${px(hairAt)} 0V${height}`),
  ];
  if (before && after && Math.abs(held(after.p50) - held(before.p50)) > 16) {
    const [from, to] = [held(before.p50), held(after.p50)];
    const back = to < from ? -1 : 1;
    shapes.push(path('lead-l', `M${px(from + 6 * back)} ${middle - 9}L${px(to - 8 * back)} ${middle}`));
  }
  if (before) shapes.push(circle('ring was', held(before.p50), middle - 9, 4));
  if (after) {
    const cut = scale.at(after.p90) > scale.end;
    shapes.push(
      ...whisker(held(after.p10), held(after.p90), middle, cut),
      circle(held(after.p50) <= hairAt ? 'ring past' : 'ring', held(after.p50), middle, 6),
    );
  }
  return shapes;
};

/** One set of the front, in reading units. */
export interface FrontPoint {
  readonly price: number;
  readonly power: Band;
  /** Power reached with the wanted chance. */
  readonly sure: number;
}

export interface FrontPlace {
  readonly width: number;
  readonly height: number;
  /** Crank power along, as the edge of the sheet has it. */
  readonly power: Scale;
  readonly price: Scale;
}

export const PRICE_ROOM = 74;

/** Place of the front's drawing: power as on the edge below, price up. */
export const frontPlace = (points: readonly FrontPoint[], power: Scale, width: number, height: number): FrontPlace => {
  const most = Math.max(1, ...points.map(({ price }) => price));
  return { width, height, power, price: linearScale(0, most * 1.06, height - 16, 14) };
};

/** Ends of the power axis: every whisker of the front and the hairline. */
export const frontEnds = (points: readonly FrontPoint[], also: number): [number, number] => {
  const low = Math.min(also, ...points.map(({ power, sure }) => Math.min(power.p10, sure)));
  const high = Math.max(also, ...points.map(({ power }) => power.p90));
  const span = Math.max(high - low, 0.05 * high, 1);
  return [Math.max(0, low - span * 0.08), high + span * 0.1];
};

/**
 * The front: a step for each set from the power it is sure of, its price going up; its power at the first limit as a ring
 * with its band. Sets beyond the hairline's reach stand back.
 */
export const frontDrawing = (
  points: readonly FrontPoint[],
  { width, height, power, price }: FrontPlace,
  hair: number,
  chosen: number,
  currency: string,
): Shape[] => {
  const floor = height - 16;
  const step = niceStep(price.to, 5);
  const shapes: Shape[] = [];
  for (const value of niceTicks(0, price.to, 5)) {
    const y = price.at(value);
    shapes.push(
      path('grid', `M${px(PRICE_ROOM)} ${px(y)}H${px(width)}`),
      text('nt e', PRICE_ROOM - 8, y + 4, String(Number(value.toFixed(2)))),
    );
  }
  if (step > 0) shapes.push(text('nt', 4, 14, currency));
  // What is on offer: nothing above and left of the staircase is reached at that price.
  let d = '';
  points.forEach(({ price: cost, sure }, index) => {
    const [x, y] = [power.at(sure), price.at(cost)];
    d += index === 0 ? `M${px(PRICE_ROOM)} ${px(y)}H${px(x)}` : `V${px(y)}H${px(x)}`;
  });
  shapes.push(path('steps', d));
  points.forEach((point, index) => {
    if (index === chosen) return;
    const [x, y] = [power.at(point.power.p50), price.at(point.price)];
    shapes.push(
      path('fin', `M${px(power.at(point.power.p10))} ${px(y)}H${px(power.at(point.power.p90))}`),
      circle(point.sure < hair ? 'ring set short' : 'ring set', x, y, 4),
    );
  });
  shapes.push(path('hair', `M${px(power.at(hair))} 0V${height}`));
  const own = points[chosen];
  if (own) {
    const y = price.at(own.price);
    const high = power.at(own.power.p90);
    const right = high + 96 < width;
    shapes.push(
      path('lead-l', `M${px(power.at(own.sure))} ${px(y)}V${px(floor)}`),
      ...whisker(power.at(own.power.p10), high, Math.round(y), false),
      circle('ring chosen', power.at(own.power.p50), y, 7),
      shape(
        'text',
        {
          className: `left big halo ${right ? '' : 'e'}`,
          x: px(right ? high + 10 : power.at(own.power.p10) - 10),
          y: px(y + 5),
        },
        [`${Number(own.price.toFixed(2))} ${currency}`],
      ),
    );
  }
  return shapes;
};
