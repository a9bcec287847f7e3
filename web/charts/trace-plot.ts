/** One logged trace over time: prediction and band under it, limits as walls, stretches of findings as tinted ground. */
import uPlot from 'uplot';
import { firstIndexAtOrAfter } from '../../src/logs/tiles.ts';
import { columnBars } from './column-bars.ts';

/** Colours of the sheet as the canvas needs them. */
export interface Ink {
  readonly ink: string;
  readonly ink2: string;
  readonly ink3: string;
  readonly rule: string;
  readonly band: string;
  readonly panel: string;
  readonly accentWash: string;
}

const TOKENS: Readonly<Record<keyof Ink, string>> = {
  ink: '--ink',
  ink2: '--ink-2',
  ink3: '--ink-3',
  rule: '--rule',
  band: '--band',
  panel: '--panel',
  accentWash: '--accent-wash',
};

/** Reads the tokens as they stand under `host`: a canvas cannot follow light-dark() by itself. */
export const inkOf = (host: Element): Ink => {
  const probe = document.createElement('span');
  host.append(probe);
  const read = (token: string) => {
    probe.style.color = `var(${token})`;
    return getComputedStyle(probe).color;
  };
  const ink = Object.fromEntries(Object.entries(TOKENS).map(([name, token]) => [name, read(token)])) as unknown as Ink;
  probe.remove();
  return ink;
};

export interface PredictedPiece {
  readonly timesS: readonly number[];
  readonly low: readonly number[];
  readonly middle: readonly number[];
  readonly high: readonly number[];
}

/** A trace in reading units. */
export interface TraceData {
  readonly timesS: ArrayLike<number>;
  readonly values: ArrayLike<number>;
  readonly predicted: readonly PredictedPiece[];
  /** Where a part gives out, and which side of it is forbidden. */
  readonly wall?: { readonly at: number; readonly forbidden: 'above' | 'below' };
}

export interface Stretch {
  readonly startS: number;
  readonly endS: number;
  readonly selected: boolean;
}

export interface TracePlot {
  readonly setData: (data: TraceData) => void;
  readonly setWindow: (startS: number, endS: number) => void;
  readonly setStretches: (stretches: readonly Stretch[]) => void;
  readonly setInk: (ink: Ink) => void;
  readonly resize: (width: number, height: number) => void;
  readonly destroy: () => void;
}

export const AXIS_WIDTH = 46;

/** Ends of the value axis: what is in the window, what is predicted there, and a wall that is not far off. */
export const valueRange = (data: TraceData, startS: number, endS: number): [number, number] => {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  const take = (timesS: ArrayLike<number>, values: ArrayLike<number>) => {
    for (let i = firstIndexAtOrAfter(timesS, startS); i < timesS.length && timesS[i]! <= endS; i++) {
      const value = values[i]!;
      if (!Number.isFinite(value)) continue;
      if (value < low) low = value;
      if (value > high) high = value;
    }
  };
  take(data.timesS, data.values);
  for (const piece of data.predicted) {
    take(piece.timesS, piece.low);
    take(piece.timesS, piece.high);
  }
  if (!(high >= low)) return [0, 1];
  const span = Math.max(high - low, Math.abs(high) * 0.02, 1e-9);
  const { wall } = data;
  if (wall && wall.at > low - span * 0.6 && wall.at < high + span * 0.6) {
    low = Math.min(low, wall.at);
    high = Math.max(high, wall.at);
  }
  const room = Math.max(high - low, span) * 0.12;
  return [low - room, high + room];
};

const drawStretches = (plot: uPlot, stretches: readonly Stretch[], ink: Ink): void => {
  const { ctx, bbox } = plot;
  for (const { startS, endS, selected } of stretches) {
    const from = Math.max(bbox.left, plot.valToPos(startS, 'x', true));
    const to = Math.min(bbox.left + bbox.width, Math.max(plot.valToPos(endS, 'x', true), from + 3));
    if (to <= from) continue;
    ctx.fillStyle = selected ? ink.accentWash : ink.panel;
    ctx.fillRect(from, bbox.top, to - from, bbox.height);
  }
};

const drawPredicted = (plot: uPlot, pieces: readonly PredictedPiece[], ink: Ink): void => {
  const { ctx, bbox } = plot;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  const { min = 0, max = 0 } = plot.scales.x ?? {};
  for (const piece of pieces) {
    if ((piece.timesS.at(-1) ?? 0) < (min ?? 0) || (piece.timesS[0] ?? 0) > (max ?? 0)) continue;
    const xs = piece.timesS.map((time) => plot.valToPos(time, 'x', true));
    const line = (values: readonly number[], back = false) => {
      for (let step = 0; step < xs.length; step++) {
        const i = back ? xs.length - 1 - step : step;
        const y = plot.valToPos(values[i]!, 'y', true);
        if (step === 0 && !back) ctx.moveTo(xs[i]!, y);
        else ctx.lineTo(xs[i]!, y);
      }
    };
    ctx.fillStyle = ink.band;
    ctx.beginPath();
    line(piece.low);
    line(piece.high, true);
    ctx.closePath();
    ctx.fill();
    ctx.strokeStyle = ink.ink2;
    ctx.lineWidth = 1.5 * devicePixelRatio;
    ctx.beginPath();
    line(piece.middle);
    ctx.stroke();
  }
  ctx.restore();
};

const HATCH_STEP_PX = 7;
const HATCH_REACH_PX = 6;

/** One step of the hatching as a picture: laid side by side it is far quicker than a hundred slanted lines. */
const hatchings = new Map<string, HTMLCanvasElement>();
const hatchingOf = (forbidden: 'above' | 'below', ink: Ink): HTMLCanvasElement => {
  const key = `${forbidden} ${ink.ink} ${devicePixelRatio}`;
  let picture = hatchings.get(key);
  if (!picture) {
    picture = document.createElement('canvas');
    const [step, reach] = [HATCH_STEP_PX * devicePixelRatio, HATCH_REACH_PX * devicePixelRatio];
    picture.width = Math.round(step);
    picture.height = Math.round(reach);
    const pen = picture.getContext('2d');
    if (pen) {
      pen.strokeStyle = ink.ink;
      pen.lineWidth = 1.1 * devicePixelRatio;
      pen.beginPath();
      for (const from of [-step, 0, step]) {
        pen.moveTo(from, forbidden === 'above' ? reach : 0);
        pen.lineTo(from + reach, forbidden === 'above' ? 0 : reach);
      }
      pen.stroke();
    }
    hatchings.set(key, picture);
  }
  return picture;
};

const drawWall = (plot: uPlot, wall: NonNullable<TraceData['wall']>, ink: Ink): void => {
  const { ctx, bbox } = plot;
  const y = Math.round(plot.valToPos(wall.at, 'y', true));
  if (y < bbox.top - 1 || y > bbox.top + bbox.height + 1) return;
  const thick = Math.max(2, Math.round(2.25 * devicePixelRatio));
  ctx.fillStyle = ink.ink;
  ctx.fillRect(bbox.left, y - (thick >> 1), bbox.width, thick);
  const hatching = hatchingOf(wall.forbidden, ink);
  const pattern = ctx.createPattern(hatching, 'repeat-x');
  if (!pattern) return;
  ctx.save();
  // A pattern lies by the canvas's own corner.
  ctx.translate(bbox.left, wall.forbidden === 'above' ? y - hatching.height : y);
  ctx.fillStyle = pattern;
  ctx.fillRect(0, 0, bbox.width, hatching.height);
  ctx.restore();
};

/** Line width of a trace [px of the sheet]. */
const LINE_PX = 2;

/** Readings in the window are more than its columns: a line through them would be drawn over itself many times. */
const isDense = (plot: uPlot): boolean => {
  const times = plot.data[0];
  const { min, max } = plot.scales.x ?? {};
  if (!times || min === undefined || max === undefined || min === null || max === null) return false;
  return firstIndexAtOrAfter(times, max) - firstIndexAtOrAfter(times, min) > plot.bbox.width;
};

/** A dense trace by its {@link columnBars}. */
const drawColumns = (plot: uPlot, ink: Ink): void => {
  const { ctx, bbox } = plot;
  const [times, values] = plot.data as unknown as [ArrayLike<number>, ArrayLike<number>];
  const { min: from, max: to } = plot.scales.x as { min: number; max: number };
  const { min: low, max: high } = plot.scales.y as { min: number; max: number };
  const { least, most, bridges } = columnBars(times, values, from, to, Math.floor(bbox.width));
  const perValue = bbox.height / (high - low || 1);
  const wide = Math.max(1, Math.round(LINE_PX * devicePixelRatio));
  const bottom = bbox.top + bbox.height;
  const yOf = (value: number) => Math.min(bottom, Math.max(bbox.top, bottom - (value - low) * perValue));
  ctx.fillStyle = ink.ink;
  // Upright rectangles on whole pixels: far quicker than a line with as many corners.
  for (let column = 0; column < least.length; column++) {
    if (Number.isNaN(least[column]!)) continue;
    const top = Math.round(yOf(most[column]!) - wide / 2);
    const foot = Math.round(yOf(least[column]!) + wide / 2);
    ctx.fillRect(bbox.left + column - (wide >> 1), top, wide, Math.max(wide, foot - top));
  }
  if (bridges.length === 0) return;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  ctx.strokeStyle = ink.ink;
  ctx.lineWidth = LINE_PX * devicePixelRatio;
  ctx.beginPath();
  for (const [column, value, next, nextValue] of bridges) {
    ctx.moveTo(bbox.left + column, yOf(value));
    ctx.lineTo(bbox.left + next, yOf(nextValue));
  }
  ctx.stroke();
  ctx.restore();
};

const TICKS = new Intl.NumberFormat('en-GB', { maximumFractionDigits: 3 });
/** Readings further apart than this are dots too, so that it shows what was read and what is only a line [px]. */
const DOTS_FROM_PX = 9;

/** Puts a trace into `host`. Everything it shows afterwards comes through the returned calls. */
export const createTracePlot = (
  host: HTMLElement,
  size: { width: number; height: number },
  firstInk: Ink,
  { stepped = false }: { readonly stepped?: boolean } = {},
): TracePlot => {
  let data: TraceData = { timesS: [0, 1], values: [0, 0], predicted: [] };
  let stretches: readonly Stretch[] = [];
  let ink = firstInk;
  let shownWindow: [number, number] = [0, 1];
  const lines = stepped ? uPlot.paths.stepped?.({ align: 1 }) : uPlot.paths.linear?.();
  const font = '13px "IBM Plex Sans", sans-serif';
  const plot = new uPlot(
    {
      width: size.width,
      height: size.height,
      padding: [4, 0, 4, 0],
      legend: { show: false },
      cursor: { show: false },
      select: { show: false, left: 0, top: 0, width: 0, height: 0 },
      scales: {
        x: { time: false, auto: false, range: () => shownWindow },
        y: { auto: false },
      },
      axes: [
        { show: false },
        {
          size: AXIS_WIDTH,
          font,
          stroke: () => ink.ink3,
          gap: 6,
          space: 26,
          ticks: { show: false },
          grid: { stroke: () => ink.rule, width: 1 },
          values: (_, splits) => splits.map((value) => TICKS.format(value)),
        },
      ],
      series: [
        {},
        {
          stroke: () => ink.ink,
          width: LINE_PX,
          spanGaps: true,
          points: { size: 5, space: DOTS_FROM_PX, width: 0, fill: () => ink.ink },
          paths: (self, series, from, to) => (isDense(self) ? null : (lines?.(self, series, from, to) ?? null)),
        },
      ],
      hooks: {
        drawClear: [(self) => drawStretches(self, stretches, ink)],
        drawSeries: [
          (self) => {
            if (isDense(self)) drawColumns(self, ink);
          },
        ],
        drawAxes: [(self) => drawPredicted(self, data.predicted, ink)],
        draw: [
          (self) => {
            if (data.wall) drawWall(self, data.wall, ink);
          },
        ],
      },
    },
    [
      [0, 1],
      [0, 0],
    ],
    host,
  );
  const redraw = () =>
    plot.batch(() => {
      const [min, max] = valueRange(data, shownWindow[0], shownWindow[1]);
      plot.setScale('x', { min: shownWindow[0], max: shownWindow[1] });
      plot.setScale('y', { min, max });
    });
  return {
    setData: (next) => {
      data = next;
      // Typed arrays are as good to it as plain ones, though its types know plain ones only.
      plot.setData([next.timesS, next.values] as unknown as uPlot.AlignedData, false);
      redraw();
    },
    setWindow: (startS, endS) => {
      shownWindow = [startS, endS];
      redraw();
    },
    setStretches: (next) => {
      stretches = next;
      plot.redraw(false, true);
    },
    setInk: (next) => {
      ink = next;
      plot.redraw(false, true);
    },
    resize: (width, height) => plot.setSize({ width, height }),
    destroy: () => plot.destroy(),
  };
};
