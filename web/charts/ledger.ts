/** The ledger's drawings: what each part uses against the wall, and the crank power at which it gives out. */
import { cursorMiddle, edgeFigures, edgeGround, edgeTicks } from './edge.ts';
import type { Band } from './interpolate.ts';
import { type HeadroomMark, standing, wallRight } from './marks.ts';
import { linearScale, niceStep, niceTicks, type Scale } from './scale.ts';
import { circle, path, px, rect, type Shape, shape, text } from './shape.ts';

/** Knots of crank power [W] against boost [Pa] with everything else as it is, both rising. */
export interface BoostKnots {
  readonly powerW: readonly number[];
  readonly boostPa: readonly number[];
}

/** Pairs of the ledger put in order; a pair that would make boost fall as power rises is left out. */
export const boostKnots = (pairs: readonly { readonly powerW: number; readonly boostPa: number }[]): BoostKnots => {
  const ordered = [...pairs].sort((a, b) => a.powerW - b.powerW);
  const powerW: number[] = [];
  const boostPa: number[] = [];
  for (const pair of ordered) {
    const last = powerW.length - 1;
    if (last >= 0 && (pair.powerW - powerW[last]! < 1 || pair.boostPa <= boostPa[last]!)) continue;
    powerW.push(pair.powerW);
    boostPa.push(pair.boostPa);
  }
  return { powerW, boostPa };
};

/** Straight lines through the knots, drawn on at both ends; NaN with fewer than two knots. */
export const throughKnots = (from: readonly number[], to: readonly number[], value: number): number => {
  if (from.length < 2) return Number.NaN;
  let upper = 1;
  while (upper < from.length - 1 && from[upper]! < value) upper++;
  const lower = upper - 1;
  const share = (value - from[lower]!) / (from[upper]! - from[lower]!);
  return to[lower]! + share * (to[upper]! - to[lower]!);
};

/**
 * What a part uses at another crank power: the straight line from what it uses now to all of it where it gives out.
 * Parts that boost does not move stay as they are.
 */
export const markAtPower = (
  now: Band,
  powerNowW: number,
  powerAtLimitW: number | undefined,
  powerW: number,
): HeadroomMark => {
  const toLimit = powerAtLimitW === undefined ? 0 : powerAtLimitW - powerNowW;
  const used =
    Math.abs(toLimit) < 1 ? now.p50 : Math.max(0, now.p50 + ((1 - now.p50) * (powerW - powerNowW)) / toLimit);
  const scale = now.p50 > 0 ? used / now.p50 : 1;
  return { p10: now.p10 * scale, p50: used, p90: now.p90 * scale };
};

const BAR = { width: 250, full: 186, height: 59 } as const;
export const LEDGER_BAR = BAR;

/** Demand bar of one row, 0 to about 130 % of what the part carries. */
export const ledgerBar = (mark: HeadroomMark, now: HeadroomMark | null, height: number): Shape[] => {
  const { full, width } = BAR;
  const wide = (value: number) => Math.max(0, Math.min(width - 6, value * full));
  const state = standing(mark);
  const middle = height / 2;
  const low = wide(mark.p10);
  const high = wide(mark.p90);
  const cut = mark.p90 * full > width - 6;
  return [
    path('grid', `M${full / 2} 0V${height}`),
    ...(now ? [rect('bandbox thin', 0, middle - 13, wide(now.p50), 26)] : []),
    rect(
      `${state === 'over' ? 'bar-over' : state === 'tight' ? 'bar-tight' : 'bar-none'} baro ${state}`,
      0.75,
      middle - 10,
      wide(mark.p50),
      20,
    ),
    ...wallRight(full, 0, height, 8, 7),
    path('whb', `M${px(low)} ${middle}H${px(high)}`),
    path(
      'wh',
      `M${px(low)} ${middle}H${px(high)}M${px(low)} ${middle - 5}v10${cut ? `M${px(high - 6)} ${middle - 5}l6 5l-6 5` : `M${px(high)} ${middle - 5}v10`}`,
    ),
  ];
};

/** Ends of the power axis: everything the ledger names and where the build stands, a little wider. */
export const powerEnds = (bands: readonly Band[], powerNowW: number): [number, number] => {
  const middles = bands.map(({ p50 }) => p50);
  const low = Math.min(powerNowW, ...bands.map(({ p10 }) => p10));
  const high = Math.max(powerNowW * 1.1, ...middles);
  const span = Math.max(high - low, powerNowW * 0.1);
  // Room below for the cursor, above for the figures of the last part.
  return [Math.max(0, Math.min(low - span * 0.06, powerNowW - span * 0.2)), high + span * 0.14];
};

/** Crank power at which a row gives out, with its band, on the power axis. */
export const powerLimitShapes = (
  band: Band | undefined,
  scale: Scale,
  height: number,
  hairAt: number,
  write: { readonly value: string; readonly spread: string } | null,
  ticks: readonly number[],
): Shape[] => {
  const middle = height / 2;
  const shapes: Shape[] = [
    path('grid', ticks.map((value) => `M${px(scale.at(value))} 0V${height}`).join('')),
    path('hair', `M${px(hairAt)} 0V${height}`),
  ];
  if (band === undefined || write === null) return shapes;
  const x = scale.at(band.p50);
  const low = Math.max(scale.start, scale.at(band.p10));
  const high = Math.min(scale.end, scale.at(band.p90));
  const cut = scale.at(band.p90) > scale.end;
  const past = x <= hairAt;
  if (!past && low > hairAt + 6) shapes.push(path('dim dots', `M${px(hairAt + 3)} ${middle}H${px(low - 3)}`));
  shapes.push(
    path('whb', `M${px(low)} ${middle}H${px(high)}`),
    path(
      'wh',
      `M${px(low)} ${middle}H${px(high)}M${px(low)} ${middle - 5}v10${cut ? `M${px(high - 6)} ${middle - 5}l6 5l-6 5` : `M${px(high)} ${middle - 5}v10`}`,
    ),
    circle(past ? 'ring past' : 'ring', x, middle, 6),
  );
  const right = high + 9 < scale.end - 74;
  const left = low - 84 > scale.start;
  const [at, y, anchor] = right
    ? [high + 9, middle + 5, '']
    : left
      ? [low - 9, middle + 5, 'e']
      : [Math.min(x, scale.end - 40), middle - 12, 'm'];
  shapes.push(
    shape('text', { className: `left big halo ${anchor} ${past ? 'acc' : ''}`, x: px(at), y: px(y) }, [
      `${write.value} `,
      shape('tspan', { className: 'unit' }, [`±${write.spread}`]),
    ]),
  );
  return shapes;
};

/** The double edge below the ledger: boost above, crank power below, in reading units. */
export const powerEdge = (
  scale: Scale,
  boost: {
    readonly at: (reading: number) => number;
    readonly from: number;
    readonly to: number;
    readonly unit: string;
  } | null,
  width: number,
  height: number,
  cursorAt: number,
  powerUnit: string,
): Shape[] => {
  const top = 32;
  const step = niceStep(scale.to - scale.from, 6);
  const shapes: Shape[] = [
    ...edgeGround(width, top, height - top),
    edgeTicks(scale, top, { minor: step / 10, mid: step / 2, major: step }),
    ...edgeFigures(scale, top, height - top, step, (value) => String(value), {
      at: cursorMiddle(cursorAt, { from: 0, to: width }, 108),
      halfWidth: 96,
    }),
    text('nt e', scale.end + 8, height - 8, powerUnit),
  ];
  if (boost !== null && boost.to > boost.from) {
    const most = Math.max(2, Math.min(7, Math.floor(width / 62)));
    const boostStep = niceStep(boost.to - boost.from, most);
    for (const value of niceTicks(boost.from, boost.to, most)) {
      const x = boost.at(value);
      if (x < scale.start || x > scale.end - 62) continue;
      shapes.push(path('tick', `M${px(x)} ${top}v-9`), text('nt m', x, 15, String(Number(value.toFixed(4)))));
    }
    let d = '';
    for (const value of niceTicks(boost.from, boost.to, ((boost.to - boost.from) / boostStep) * 5)) {
      const x = boost.at(value);
      if (x >= scale.start && x <= scale.end) d += `M${px(x)} ${top}v-5`;
    }
    shapes.push(path('tick', d), text('nt e', scale.end + 8, 15, `${boost.unit} boost`));
  }
  return shapes;
};

export const powerScale = (fromReading: number, toReading: number, width: number): Scale =>
  linearScale(fromReading, toReading, 10, width - 14);
