/** Torque and power over engine speed: predicted line with its band, logged line over it, the rev limit as a wall. */
import { cursorMiddle, edgeFigures, edgeGround, edgeTicks } from './edge.ts';
import { wallRight } from './marks.ts';
import { linearScale, niceTicks, type Scale } from './scale.ts';
import { areaBetween, lineThrough, path, px, type Shape, shape, text } from './shape.ts';

/** One curve in reading units, aligned with the engine speeds. */
export interface BandedCurve {
  readonly low: readonly number[];
  readonly middle: readonly number[];
  readonly high: readonly number[];
}
export interface LoggedCurve {
  readonly engineSpeedRpm: readonly number[];
  readonly values: readonly number[];
}

export interface TorquePower {
  readonly engineSpeedRpm: readonly number[];
  readonly torque: BandedCurve;
  readonly power: BandedCurve;
  readonly loggedTorque?: LoggedCurve;
  readonly loggedPower?: LoggedCurve;
  readonly torqueUnit: string;
  readonly powerUnit: string;
  readonly revLimitRpm: number;
}

export interface CurvePlace {
  readonly width: number;
  /** Where the curves end and the edge begins. */
  readonly plotBottom: number;
  readonly height: number;
  readonly compact: boolean;
}

export interface CurveScales {
  readonly speed: Scale;
  readonly torque: Scale;
  readonly power: Scale;
}

/** The ends of the ruler: round hundreds beyond the computed speeds. */
export const rulerEnds = (engineSpeedRpm: readonly number[]): [number, number] => {
  const lowest = engineSpeedRpm[0] ?? 1000;
  const highest = engineSpeedRpm[engineSpeedRpm.length - 1] ?? 7000;
  return [Math.floor((lowest - 1) / 500) * 500, Math.ceil((highest + 550) / 500) * 500];
};

const greatest = (...lists: (readonly number[] | undefined)[]): number =>
  lists.reduce((most, list) => (list ?? []).reduce((m, value) => Math.max(m, value), most), 0);

export const curveScales = (data: TorquePower, place: CurvePlace): CurveScales => {
  const [from, to] = rulerEnds(data.engineSpeedRpm);
  const side = place.compact ? 14 : 58;
  const top = place.compact ? 10 : 16;
  const torqueTop = greatest(data.torque.high, data.loggedTorque?.values) * 1.04 || 1;
  const powerTop = greatest(data.power.high, data.loggedPower?.values) * 1.12 || 1;
  return {
    speed: linearScale(from, to, side, place.width - side),
    torque: linearScale(0, torqueTop, place.plotBottom - 4, top),
    power: linearScale(0, powerTop, place.plotBottom - 4, top),
  };
};

const curveShapes = (
  speeds: readonly number[],
  curve: BandedCurve,
  logged: LoggedCurve | undefined,
  x: Scale,
  y: Scale,
): { band: Shape; lines: Shape[] } => {
  const xs = speeds.map(x.at);
  return {
    band: path('bandfill', areaBetween(xs, curve.low.map(y.at), curve.high.map(y.at))),
    lines: [
      path('predl', lineThrough(xs, curve.middle.map(y.at))),
      ...(logged ? [path('logl', lineThrough(logged.engineSpeedRpm.map(x.at), logged.values.map(y.at)))] : []),
    ],
  };
};

const named = (x: number, y: number, name: string, unit: string, end: boolean): Shape =>
  shape('text', { className: `name halo ${end ? 'e' : ''}`, x: px(x), y: px(y) }, [
    `${name} `,
    shape('tspan', { className: 'nt' }, [unit]),
  ]);

/** Everything but the hairline. */
export const torquePowerShapes = (data: TorquePower, place: CurvePlace): Shape[] => {
  const { speed, torque, power } = curveScales(data, place);
  const { width, plotBottom, height, compact } = place;
  const left = speed.start - 8;
  const right = speed.end + 8;
  const one = curveShapes(data.engineSpeedRpm, data.torque, data.loggedTorque, speed, torque);
  const two = curveShapes(data.engineSpeedRpm, data.power, data.loggedPower, speed, power);
  const shapes: Shape[] = [];
  if (!compact) {
    const thousands = niceTicks(speed.from, speed.to, 8).filter((rpm) => rpm > speed.from && rpm < speed.to);
    shapes.push(path('grid', thousands.map((rpm) => `M${px(speed.at(rpm))} 14V${plotBottom}`).join('')));
    for (const value of niceTicks(torque.to * 0.1, torque.to, 4)) {
      shapes.push(path('grid', `M${px(left)} ${px(torque.at(value))}H${px(right)}`));
      shapes.push(text('nt e', left - 6, torque.at(value) + 4.5, String(value)));
    }
    for (const value of niceTicks(power.to * 0.1, power.to, 4)) {
      shapes.push(path('tick', `M${px(right - 4)} ${px(power.at(value))}h8`));
      shapes.push(text('nt', right + 9, power.at(value) + 4.5, String(value)));
    }
  }
  shapes.push(one.band, two.band, ...one.lines, ...two.lines);
  const count = data.engineSpeedRpm.length;
  const at = (share: number) => Math.min(count - 1, Math.max(0, Math.round((count - 1) * share)));
  if (count > 4) {
    // Torque is named left of its rise, power under its own: both names keep clear of the lines.
    const most = data.torque.high.reduce((high, value) => Math.max(high, value), 0);
    const early = Math.max(
      1,
      data.torque.high.findIndex((value) => value > 0.8 * most),
    );
    const later = at(compact ? 0.3 : 0.36);
    shapes.push(
      named(
        speed.at(data.engineSpeedRpm[early]!) - 14,
        Math.max(24, torque.at(data.torque.high[early]!) - 4),
        'Torque',
        compact ? '' : data.torqueUnit,
        speed.at(data.engineSpeedRpm[early]!) > (compact ? 80 : 150),
      ),
      named(
        speed.at(data.engineSpeedRpm[later]!) + 14,
        Math.min(plotBottom - 8, power.at(data.power.low[later]!) + 22),
        'Power',
        compact ? '' : data.powerUnit,
        false,
      ),
    );
  }
  shapes.push(...edgeGround(width, plotBottom, height - plotBottom));
  shapes.push(edgeTicks(speed, plotBottom, { minor: 100, mid: 500, major: 1000 }));
  const limit = speed.at(data.revLimitRpm);
  if (limit < right) {
    shapes.push(...wallRight(limit, compact ? 6 : 14, plotBottom));
    if (!compact) {
      const room = right - limit > 64;
      const x = room ? limit + 14 : limit - 8;
      shapes.push(
        text(`nt halo ${room ? '' : 'e'}`, x, plotBottom - 34, 'rev limit'),
        text(`nt halo ${room ? '' : 'e'}`, x, plotBottom - 17, data.revLimitRpm.toLocaleString('en-GB')),
      );
    }
  }
  return shapes;
};

/** The figures of the ruler, leaving room for the cursor where it stands. */
export const rulerFigures = (data: TorquePower, place: CurvePlace, cursorAt: number): Shape[] => {
  const { speed } = curveScales(data, place);
  const every = place.width < 560 && speed.to - speed.from > 5500 ? 2000 : 1000;
  return edgeFigures(
    speed,
    place.plotBottom,
    place.height - place.plotBottom,
    every,
    (rpm) => rpm.toLocaleString('en-GB'),
    {
      at: cursorMiddle(cursorAt, { from: 0, to: place.width }, 100),
      halfWidth: 92,
    },
  );
};
