/** One logged trace over time: prediction and band under it, limits as walls, stretches of findings as tinted ground. */
import uPlot from 'uplot';

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

/** First index at or after a time, in ascending times. */
const firstFrom = (timesS: ArrayLike<number>, timeS: number): number => {
  let low = 0;
  let high = timesS.length;
  while (low < high) {
    const middle = (low + high) >>> 1;
    if (timesS[middle]! < timeS) low = middle + 1;
    else high = middle;
  }
  return low;
};

/** Ends of the value axis: what is in the window, what is predicted there, and a wall that is not far off. */
export const valueRange = (data: TraceData, startS: number, endS: number): [number, number] => {
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  const take = (timesS: ArrayLike<number>, values: ArrayLike<number>) => {
    for (let i = firstFrom(timesS, startS); i < timesS.length && timesS[i]! <= endS; i++) {
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

const drawWall = (plot: uPlot, wall: NonNullable<TraceData['wall']>, ink: Ink): void => {
  const { ctx, bbox } = plot;
  const y = plot.valToPos(wall.at, 'y', true);
  if (y < bbox.top - 1 || y > bbox.top + bbox.height + 1) return;
  const reach = 6 * devicePixelRatio * (wall.forbidden === 'above' ? -1 : 1);
  ctx.strokeStyle = ink.ink;
  ctx.lineWidth = 2.25 * devicePixelRatio;
  ctx.beginPath();
  ctx.moveTo(bbox.left, y);
  ctx.lineTo(bbox.left + bbox.width, y);
  ctx.stroke();
  ctx.lineWidth = 1.1 * devicePixelRatio;
  ctx.beginPath();
  const step = 7 * devicePixelRatio;
  for (let x = bbox.left; x < bbox.left + bbox.width; x += step) {
    ctx.moveTo(x, y);
    ctx.lineTo(x + Math.abs(reach), y + reach);
  }
  ctx.stroke();
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
          width: 2,
          spanGaps: true,
          points: { size: 5, space: DOTS_FROM_PX, width: 0, fill: () => ink.ink },
          ...(stepped && uPlot.paths.stepped ? { paths: uPlot.paths.stepped({ align: 1 }) } : {}),
        },
      ],
      hooks: {
        drawClear: [(self) => drawStretches(self, stretches, ink)],
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
