/** A pull over time: boost with what is asked for above, shaft speed against its limit below, seconds as the edge of the sheet. */
import { cursorMiddle, edgeCursor, edgeFigures, edgeGround, edgeTicks } from './edge.ts';
import { type Band, between, readAt } from './interpolate.ts';
import { decimalsOf, linearScale, niceStep, niceTicks, type Scale } from './scale.ts';
import { areaBetween, circle, lineThrough, path, px, type Shape, text } from './shape.ts';

/** A logged line, its clock starting with the pedal. */
export interface LoggedLine {
  readonly timesS: readonly number[];
  readonly values: readonly number[];
}

/** Curves in reading units over seconds from the pedal. */
export interface SpoolCurves {
  readonly timesS: readonly number[];
  readonly boost: readonly Band[];
  readonly target: readonly number[];
  /** Thousands of rpm. */
  readonly shaft: readonly Band[];
  readonly shaftLimit: number;
  readonly loggedBoost: LoggedLine | null;
  readonly loggedShaft: LoggedLine | null;
  readonly pressureUnit: string;
  /** When 90 % of what is asked for is there; null where it does not come. */
  readonly arrivedS: Band | null;
  /** Seconds shown. */
  readonly endS: number;
}

export interface SpoolPlace {
  readonly width: number;
  readonly height: number;
  readonly compact: boolean;
}

const EDGE = 62;

export interface SpoolScales {
  readonly time: Scale;
  readonly boost: Scale;
  readonly shaft: Scale;
  readonly boostBottom: number;
  readonly bottom: number;
}

const shown = (curves: SpoolCurves, values: readonly number[]): number[] =>
  values.filter((_, i) => (curves.timesS[i] ?? Number.POSITIVE_INFINITY) <= curves.endS);

const shownLog = (curves: SpoolCurves, line: LoggedLine | null): number[] =>
  line ? line.values.filter((_, i) => line.timesS[i]! <= curves.endS) : [];

export const spoolScales = (curves: SpoolCurves, place: SpoolPlace): SpoolScales => {
  const side = place.compact ? 12 : 56;
  const bottom = place.height - EDGE;
  const boostBottom = Math.round(bottom * 0.62);
  const boosts = [
    ...shown(
      curves,
      curves.boost.flatMap(({ p90 }) => [p90]),
    ),
    ...shown(curves, curves.target),
    ...shownLog(curves, curves.loggedBoost),
  ];
  const lows = [
    ...shown(
      curves,
      curves.boost.map(({ p10 }) => p10),
    ),
    ...shownLog(curves, curves.loggedBoost),
  ];
  const most = boosts.reduce((high, value) => Math.max(high, value), 0) || 1;
  const least = Math.max(
    -0.35 * most,
    lows.reduce((low, value) => Math.min(low, value), 0),
  );
  const step = niceStep(most - least, 5);
  const shafts = [...curves.shaft.map(({ p90 }) => p90), ...shownLog(curves, curves.loggedShaft), curves.shaftLimit];
  return {
    time: linearScale(0, curves.endS, side, place.width - (place.compact ? 12 : 30)),
    boost: linearScale(Math.floor(least / step) * step, most * 1.08, boostBottom - 2, 18),
    shaft: linearScale(0, shafts.reduce((high, value) => Math.max(high, value), 1) * 1.1, bottom - 6, boostBottom + 34),
    boostBottom,
    bottom,
  };
};

/** A limit lying across: hatched above the line. */
const wallAbove = (from: number, to: number, y: number): Shape[] => {
  let d = '';
  for (let x = from; x <= to - 4; x += 6) d += `M${px(x)} ${px(y)}l5 -6`;
  return [path('wall-h', d), path('wall', `M${px(from)} ${px(y)}H${px(to)}`)];
};

const banded = (curves: SpoolCurves, values: readonly Band[], time: Scale, y: Scale): Shape[] => {
  const places = curves.timesS.flatMap((timeS, i) => (timeS <= curves.endS && values[i] ? [i] : []));
  const xs = places.map((i) => time.at(curves.timesS[i]!));
  return [
    path(
      'bandfill',
      areaBetween(
        xs,
        places.map((i) => y.at(values[i]!.p10)),
        places.map((i) => y.at(values[i]!.p90)),
      ),
    ),
    path(
      'predl',
      lineThrough(
        xs,
        places.map((i) => y.at(values[i]!.p50)),
      ),
    ),
  ];
};

const logged = (curves: SpoolCurves, line: LoggedLine | null, time: Scale, y: Scale): Shape[] => {
  if (!line) return [];
  const places = line.timesS.flatMap((timeS, i) => (timeS <= curves.endS ? [i] : []));
  return [
    path(
      'logl',
      lineThrough(
        places.map((i) => time.at(line.timesS[i]!)),
        places.map((i) => y.at(line.values[i]!)),
      ),
    ),
  ];
};

const across = (scale: Scale, left: number, right: number, compact: boolean, most: number): Shape[] => {
  const ticks = niceTicks(scale.from, scale.to, most);
  const decimals = decimalsOf(niceStep(scale.to - scale.from, most));
  return ticks.flatMap((value) => [
    path(value === 0 ? 'base' : 'grid', `M${px(left)} ${px(scale.at(value))}H${px(right)}`),
    compact
      ? text('nt halo', left + 2, scale.at(value) - 3, value.toFixed(decimals))
      : text('nt e', left - 6, scale.at(value) + 4.5, value.toFixed(decimals)),
  ]);
};

/** Everything but the hairline. */
export const spoolShapes = (curves: SpoolCurves, place: SpoolPlace): Shape[] => {
  const { time, boost, shaft, boostBottom, bottom } = spoolScales(curves, place);
  const { start: left, end: right } = time;
  const { compact } = place;
  const shapes: Shape[] = [
    ...across(boost, left, right, compact, 5),
    ...across(shaft, left, right, compact, 3).slice(compact ? 2 : 0),
    path('grid', `M${px(left)} ${boostBottom + 8}H${px(right)}`),
    ...banded(curves, curves.boost, time, boost),
    ...banded(curves, curves.shaft, time, shaft),
  ];
  const places = curves.timesS.flatMap((timeS, i) => (timeS <= curves.endS ? [i] : []));
  shapes.push(
    path(
      'cl',
      lineThrough(
        places.map((i) => time.at(curves.timesS[i]!)),
        places.map((i) => boost.at(curves.target[i]!)),
      ),
    ),
    ...wallAbove(left, right, shaft.at(curves.shaftLimit)),
    ...logged(curves, curves.loggedBoost, time, boost),
    ...logged(curves, curves.loggedShaft, time, shaft),
    text('name halo', left + 8, 14, `Boost${compact ? '' : `, ${curves.pressureUnit}`}`),
    text('name halo', left + 8, boostBottom + 28, `Shaft speed${compact ? '' : ', thousand rpm'}`),
  );
  const target = curves.target[0];
  if (target !== undefined)
    shapes.push(text('nt halo e', right - 6, boost.at(curves.target[places.length - 1] ?? target) - 7, 'asked for'));
  if (curves.arrivedS && curves.arrivedS.p50 <= curves.endS) {
    // When 90 % is there: a whisker on the line between the two plots.
    const y = boostBottom + 8;
    const [low, high] = [time.at(curves.arrivedS.p10), time.at(Math.min(curves.endS, curves.arrivedS.p90))];
    shapes.push(
      path('whb', `M${px(low)} ${y}H${px(high)}`),
      path('wh', `M${px(low)} ${y}H${px(high)}M${px(low)} ${y - 4}v8M${px(high)} ${y - 4}v8`),
      circle('dotp', time.at(curves.arrivedS.p50), y, 4.5),
      text('nt halo', high + 8, y + 5, compact ? '90 %' : '90 % of it'),
    );
  }
  shapes.push(...edgeGround(place.width, bottom, EDGE));
  return shapes;
};

/** A logged line at a time; undefined outside it. */
export const loggedAtTime = (line: LoggedLine | null, timeS: number): number | undefined => {
  const at = line ? between(line.timesS, timeS) : null;
  return line && at ? readAt(line.values, at) : undefined;
};

/** Graduations of the seconds shown. */
const secondSteps = (endS: number): { minor: number; mid: number; major: number } =>
  endS > 16 ? { minor: 0.5, mid: 1, major: 5 } : { minor: 0.1, mid: 0.5, major: 1 };

/** The edge, the hairline and its dots. */
export const spoolHair = (curves: SpoolCurves, place: SpoolPlace, timeS: number, figure: string): Shape[] => {
  const { time, boost, shaft, bottom } = spoolScales(curves, place);
  const x = time.at(timeS);
  const bounds = { from: 0, to: place.width };
  const at = between(curves.timesS, timeS);
  const steps = secondSteps(curves.endS);
  const shapes: Shape[] = [
    edgeTicks(time, bottom, steps),
    ...edgeFigures(time, bottom, EDGE, steps.major, (value) => String(value), {
      at: cursorMiddle(x, bounds, 100),
      halfWidth: 66,
    }),
    path('hair', `M${px(x)} 0V${bottom}`),
  ];
  if (at) {
    shapes.push(
      circle(
        'dotp',
        x,
        boost.at(
          readAt(
            curves.boost.map(({ p50 }) => p50),
            at,
          ),
        ),
        4.5,
      ),
      circle(
        'dotp',
        x,
        shaft.at(
          readAt(
            curves.shaft.map(({ p50 }) => p50),
            at,
          ),
        ),
        4.5,
      ),
    );
  }
  for (const [line, scale] of [
    [curves.loggedBoost, boost],
    [curves.loggedShaft, shaft],
  ] as const) {
    const value = loggedAtTime(line, timeS);
    if (value !== undefined) shapes.push(circle('dotl', x, scale.at(value), 5));
  }
  return [...shapes, ...edgeCursor(x, bottom, EDGE, figure, undefined, bounds)];
};
