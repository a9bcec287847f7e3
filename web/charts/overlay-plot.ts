/** Two logged traces over engine speed on one ground: both solid, told apart by weight, by the shape of their marks and by their letter. */
import uPlot from 'uplot';
import type { Ink } from './ink.ts';
import { AXIS_WIDTH } from './lane.ts';
import { decimalsOf, niceStep } from './scale.ts';

/** Values in reading units over rising engine speeds; NaN where nothing was logged. */
export interface OverlayLine {
  readonly engineSpeedRpm: readonly number[];
  readonly values: ArrayLike<number>;
}
export interface OverlayData {
  readonly first: OverlayLine;
  readonly second: OverlayLine;
  /** p10 to p90 of the second line, or of a difference drawn as the second. */
  readonly band?: { readonly low: readonly number[]; readonly high: readonly number[] };
  /** A line at nought: the second line is a difference. */
  readonly nought?: boolean;
}

export interface OverlayPlot {
  readonly setData: (data: OverlayData) => void;
  readonly setWindow: (fromRpm: number, toRpm: number) => void;
  readonly setInk: (ink: Ink) => void;
  readonly resize: (width: number, height: number) => void;
  readonly destroy: () => void;
}

/** Pixels between marks: enough to follow a line by its shape alone. */
const MARK_EVERY = 84;
const WEIGHTS = [1.5, 2.5] as const;

const finite = (values: ArrayLike<number>): number[] => Array.from(values).filter(Number.isFinite);

/** Ends of the value axis with some room. */
export const overlayRange = ({ first, second, band, nought }: OverlayData): [number, number] => {
  const all = [
    ...finite(first.values),
    ...finite(second.values),
    ...finite(band?.low ?? []),
    ...finite(band?.high ?? []),
  ];
  if (nought) all.push(0);
  if (all.length === 0) return [0, 1];
  const low = all.reduce((least, value) => Math.min(least, value), Number.POSITIVE_INFINITY);
  const high = all.reduce((most, value) => Math.max(most, value), Number.NEGATIVE_INFINITY);
  const room = Math.max(high - low, Math.abs(high) * 0.02, 1e-9) * 0.12;
  return [low - room, high + room];
};

/** Both lines on the engine speeds of either, for a plot that has one axis. */
const joined = ({ first, second }: OverlayData): [number[], (number | null)[], (number | null)[]] => {
  const speeds = [...new Set([...first.engineSpeedRpm, ...second.engineSpeedRpm])].sort((a, b) => a - b);
  const on = ({ engineSpeedRpm, values }: OverlayLine) => {
    const byRpm = new Map(engineSpeedRpm.map((rpm, i) => [rpm, values[i]!]));
    return speeds.map((rpm) => {
      const value = byRpm.get(rpm);
      return value !== undefined && Number.isFinite(value) ? value : null;
    });
  };
  return [speeds, on(first), on(second)];
};

/** Marks along a line; returns where it ends. */
const drawMarks = (plot: uPlot, line: OverlayLine, which: 0 | 1, ink: Ink): readonly [number, number] | null => {
  const { ctx, bbox } = plot;
  const ratio = devicePixelRatio;
  const size = 4 * ratio;
  ctx.fillStyle = ink.ink;
  // The two lines carry their marks half a step apart, so that they do not hide each other where the lines meet.
  let due = bbox.left + (which === 0 ? 0.25 : 0.75) * MARK_EVERY * ratio;
  let end: readonly [number, number] | null = null;
  for (let i = 0; i < line.engineSpeedRpm.length; i++) {
    const value = line.values[i]!;
    if (!Number.isFinite(value)) continue;
    const x = plot.valToPos(line.engineSpeedRpm[i]!, 'x', true);
    const y = plot.valToPos(value, 'y', true);
    if (x < bbox.left - 1 || x > bbox.left + bbox.width + 1) continue;
    end = [x, y];
    if (x < due) continue;
    due = x + MARK_EVERY * ratio;
    ctx.beginPath();
    if (which === 0) ctx.rect(x - size, y - size, 2 * size, 2 * size);
    else ctx.arc(x, y, 1.15 * size, 0, 2 * Math.PI);
    ctx.fill();
  }
  return end;
};

/** Letters at the ends of the lines, set apart where the lines end close together. */
const drawLetters = (plot: uPlot, ends: readonly (readonly [number, number] | null)[], ink: Ink): void => {
  const { ctx, bbox } = plot;
  const ratio = devicePixelRatio;
  const [one, two] = ends;
  if (!one || !two) return;
  const apart = two[1] - one[1];
  const least = 15 * ratio;
  const push = Math.abs(apart) < least ? (least - Math.abs(apart)) / 2 : 0;
  const down = apart >= 0 ? 1 : -1;
  ctx.font = `700 ${14 * ratio}px "IBM Plex Sans", sans-serif`;
  ctx.textBaseline = 'middle';
  ctx.textAlign = 'left';
  ctx.fillStyle = ink.ink;
  const write = (letter: string, [x, y]: readonly [number, number], by: number) => {
    const held = Math.min(bbox.top + bbox.height - 7 * ratio, Math.max(bbox.top + 7 * ratio, y + by));
    ctx.fillText(letter, Math.min(x + 9 * ratio, bbox.left + bbox.width - 11 * ratio), held);
  };
  write('A', one, -down * push);
  write('B', two, down * push);
};

const drawBand = (plot: uPlot, data: OverlayData, ink: Ink): void => {
  const { ctx, bbox } = plot;
  const { band, second, nought } = data;
  ctx.save();
  ctx.beginPath();
  ctx.rect(bbox.left, bbox.top, bbox.width, bbox.height);
  ctx.clip();
  if (band) {
    const xs = second.engineSpeedRpm.map((rpm) => plot.valToPos(rpm, 'x', true));
    ctx.fillStyle = ink.band;
    ctx.beginPath();
    xs.forEach((x, i) => {
      ctx.lineTo(x, plot.valToPos(band.low[i]!, 'y', true));
    });
    for (let i = xs.length - 1; i >= 0; i--) ctx.lineTo(xs[i]!, plot.valToPos(band.high[i]!, 'y', true));
    ctx.closePath();
    ctx.fill();
  }
  if (nought) {
    const y = plot.valToPos(0, 'y', true);
    ctx.strokeStyle = ink.ink2;
    ctx.lineWidth = devicePixelRatio;
    ctx.beginPath();
    ctx.moveTo(bbox.left, y);
    ctx.lineTo(bbox.left + bbox.width, y);
    ctx.stroke();
  }
  ctx.restore();
};

/** Puts two lines into `host`. Everything it shows afterwards comes through the returned calls. */
export const createOverlayPlot = (
  host: HTMLElement,
  size: { width: number; height: number },
  firstInk: Ink,
): OverlayPlot => {
  const none: OverlayLine = { engineSpeedRpm: [], values: [] };
  let data: OverlayData = { first: none, second: none };
  let ink = firstInk;
  let shown: [number, number] = [0, 1];
  const line = (which: 0 | 1) => ({
    stroke: () => ink.ink,
    width: WEIGHTS[which],
    points: { show: false },
    // A slow channel has no reading at most engine speeds: its line goes straight from one to the next.
    spanGaps: true,
  });
  const plot = new uPlot(
    {
      width: size.width,
      height: size.height,
      padding: [4, 0, 4, 0],
      legend: { show: false },
      cursor: { show: false },
      select: { show: false, left: 0, top: 0, width: 0, height: 0 },
      scales: { x: { time: false, auto: false, range: () => shown }, y: { auto: false } },
      axes: [
        { show: false },
        {
          size: AXIS_WIDTH,
          font: '13px "IBM Plex Sans", sans-serif',
          stroke: () => ink.ink3,
          gap: 6,
          space: 26,
          ticks: { show: false },
          grid: { stroke: () => ink.rule, width: 1 },
          values: (_, splits) => {
            const decimals = decimalsOf((splits[1] ?? 1) - (splits[0] ?? 0));
            return splits.map((value) =>
              value.toLocaleString('en-GB', { minimumFractionDigits: decimals, maximumFractionDigits: decimals }),
            );
          },
        },
      ],
      series: [{}, line(0), line(1)],
      hooks: {
        drawAxes: [(self) => drawBand(self, data, ink)],
        draw: [
          (self) => {
            // The plot remembers what it set itself: what is set beside it must be taken back.
            self.ctx.save();
            const ends = [drawMarks(self, data.first, 0, ink), drawMarks(self, data.second, 1, ink)];
            drawLetters(self, ends, ink);
            self.ctx.restore();
          },
        ],
      },
    },
    [
      [0, 1],
      [null, null],
      [null, null],
    ],
    host,
  );
  const redraw = () =>
    plot.batch(() => {
      const [min, max] = overlayRange(data);
      plot.setScale('x', { min: shown[0], max: shown[1] });
      plot.setScale('y', { min, max });
    });
  return {
    setData: (next) => {
      data = next;
      plot.setData(joined(next), false);
      redraw();
    },
    setWindow: (fromRpm, toRpm) => {
      shown = [fromRpm, toRpm];
      redraw();
    },
    setInk: (next) => {
      ink = next;
      plot.redraw(false, true);
    },
    resize: (width, height) => plot.setSize({ width, height }),
    destroy: () => plot.destroy(),
  };
};

/** Graduations of the ruler under overlays: figures about every `niceStep` of the span. */
export const overlaySteps = (fromRpm: number, toRpm: number): { minor: number; mid: number; major: number } => {
  const major = Math.max(500, niceStep(toRpm - fromRpm, 8));
  return { minor: 100, mid: 500, major };
};
