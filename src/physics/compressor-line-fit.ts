/**
 * A speed line of a compressor map as a smooth curve: a generalised ellipse for the pressure ratio and a parabola for
 * the work. Tolerant of points that scatter in both directions, of doubled points, points out of order and a stray one.
 */
import { inverseDiagonal, leastSquares, solveSmall } from './least-squares.ts';

/** Isentropic exponent (k - 1)/k of cold air, k = 1.4, as maps define their efficiency. Source: SAE J1826 (from memory). */
export const MAP_EXPONENT = 0.4 / 1.4;

/** A speed line as data: [corrected flow kg/s, total pressure ratio, efficiency]. */
export interface CompressorLine {
  readonly shaftSpeedRpm: number;
  readonly surgeFlow?: number | undefined;
  readonly chokeFlow?: number | undefined;
  readonly points: readonly (readonly [number, number, number])[];
}

/** A map as data: flow and speed corrected to the stated reference state. */
export interface CompressorMapPoints {
  readonly referenceTemperatureK: number;
  readonly referencePressurePa: number;
  readonly lines: readonly CompressorLine[];
}

/** A fitted line. */
export interface FittedLine {
  readonly shaftSpeedRpm: number;
  readonly surgeFlowKgPerS: number;
  readonly chokeFlowKgPerS: number;
  /** Flow at which the ellipse stands upright. */
  readonly uprightFlowKgPerS: number;
  readonly surgePressureRatio: number;
  readonly flowPower: number;
  readonly pressurePower: number;
  /** Temperature rise over inlet temperature = w0 + w1 x + w2 x^2, x = flow over choke flow. */
  readonly work: readonly [number, number, number];
}

/** PR = PRs (1 - u^n)^(1/q), u = (W - Ws)/(Wu - Ws); flat left of surge. Source: Leufven & Eriksson (2013), ellipse lines. */
export const ellipsePressureRatio = (
  flow: number,
  surgeFlow: number,
  uprightFlow: number,
  surgePressureRatio: number,
  flowPower: number,
  pressurePower: number,
): number => {
  const u = (flow - surgeFlow) / (uprightFlow - surgeFlow);
  if (u <= 0) return surgePressureRatio;
  if (u >= 1) return 0;
  // Powers by exp and log: fitting asks for them a million times.
  return surgePressureRatio * Math.exp(Math.log1p(-Math.exp(flowPower * Math.log(u))) / pressurePower);
};

/** Scatter taken for a clean point, relative: of pressure ratio, of the line's widest flow, of efficiency in shares (house convention, no source). */
const POINT_SD = { pressureRatio: 0.004, flow: 0.004, efficiency: 0.008 } as const;
/** Cost for each point below which a line counts as run through: a third of a clean point's scatter, squared. */
const WELL_FITTED = 0.02;
/** Standard deviations past which a point loses weight (Cauchy weights at 95 % efficiency: 2.385, Holland & Welsch 1977). */
const CAUCHY = 2.385;

/** What is thought of an unknown before the points are looked at. */
export interface Prior {
  readonly mean: number;
  readonly sd: number;
}

/**
 * Unknowns of a line, in this order: ln head at surge over speed squared, ln upright flow over speed, ln of the two powers.
 * Of the work: rise at x = 0.5 over speed squared (ln), slope and curvature in x as shares of it.
 */
export interface LinePriors {
  readonly shape: readonly [Prior, Prior, Prior, Prior];
  readonly work: readonly [Prior, Prior, Prior];
}

/** A line fitted, with what the points say of its unknowns and how far each point lies off. */
export interface LineFit {
  readonly line: FittedLine;
  readonly shape: readonly number[];
  readonly shapeVariance: readonly number[];
  readonly workShape: readonly number[];
  readonly workVariance: readonly number[];
  /** Point less fit over a clean point's scatter, in the order of the line's points: of pressure ratio (with flow) and of efficiency. */
  readonly pressureOff: readonly number[];
  readonly efficiencyOff: readonly number[];
}

const WIDE: LinePriors = {
  shape: [
    { mean: 0, sd: 1e6 },
    { mean: 0, sd: 1e6 },
    { mean: Math.log(2.6), sd: 0.6 },
    { mean: Math.log(4), sd: 0.6 },
  ],
  work: [
    { mean: 0, sd: 1e6 },
    { mean: -0.45, sd: 0.7 },
    { mean: 0, sd: 0.35 },
  ],
};

/** How the fit goes about it. */
export interface LineFitOptions {
  /** Scatter of this map's points over that of clean ones, 1 or more. */
  readonly scatter?: { readonly pressure: number; readonly efficiency: number };
  readonly priors?: LinePriors;
  /** Where to begin: the unknowns of an earlier fit. */
  readonly start?: readonly number[];
}

const robust = (off: number): number => 1 / Math.sqrt(1 + (off / CAUCHY) ** 2);

/**
 * Fits one line of three or more points. Weak priors keep lines of few points sane; with eight clean points they do not
 * count. Residuals weigh pressure and flow scatter together (effective variance, Orear, Am. J. Phys. 50 (1982) 912),
 * with weights that fall for points far off, held over each round (Press et al., Numerical Recipes, sect. 15.7).
 */
export const fitLine = (line: CompressorLine, options: LineFitOptions = {}): LineFit => {
  const { scatter = { pressure: 1, efficiency: 1 }, priors = WIDE, start } = options;
  const order = line.points.map((_, i) => i).sort((a, b) => line.points[a]![0] - line.points[b]![0]);
  const points = order.map((i) => line.points[i]!);
  const first = points[0]!;
  const widest = points[points.length - 1]![0];
  const surgeFlow = Math.min(line.surgeFlow ?? first[0], 0.9 * widest);
  const speed2 = (line.shaftSpeedRpm / 1e5) ** 2;
  const decode = (p: readonly number[]) => ({
    surgePressureRatio: (1 + Math.min(50, Math.exp(p[0]!) * speed2)) ** (1 / MAP_EXPONENT),
    uprightFlow: widest * (1 + Math.exp(p[1]!)),
    flowPower: Math.exp(p[2]!),
    pressurePower: Math.exp(p[3]!),
  });
  const perSpeed = (uprightFlow: number) => Math.log(uprightFlow / line.shaftSpeedRpm);
  type Shape = ReturnType<typeof decode>;
  const ratioAt = (shape: Shape, flow: number): number =>
    ellipsePressureRatio(
      flow,
      surgeFlow,
      shape.uprightFlow,
      shape.surgePressureRatio,
      shape.flowPower,
      shape.pressurePower,
    );
  /** Slope of the line [1/(kg/s)], positive downwards. */
  const slopeAt = (shape: Shape, flow: number): number => {
    const span = shape.uprightFlow - surgeFlow;
    const u = (flow - surgeFlow) / span;
    if (u <= 0) return 0;
    const n = shape.flowPower;
    return (ratioAt(shape, flow) * n * u ** (n - 1)) / (shape.pressurePower * Math.max(1e-3, 1 - u ** n) * span);
  };
  const deviations = (shape: Shape): number[] =>
    points.map(([flow, ratio]) =>
      Math.hypot(POINT_SD.pressureRatio * ratio, slopeAt(shape, flow) * POINT_SD.flow * widest),
    );

  /** Rounds of least squares with deviations and weights held, taken anew in between. */
  const solveShape = (from: readonly number[]) => {
    let p = from;
    let sds = deviations(decode(p));
    let weights = points.map(() => 1);
    let cost = Number.POSITIVE_INFINITY;
    let normal: readonly (readonly number[])[] = [];
    for (let round = 0; round < 5; round++) {
      const residuals = (q: readonly number[]): number[] => {
        const shape = decode(q);
        const out = points.map(
          ([flow, ratio], i) => ((ratioAt(shape, flow) - ratio) * weights[i]!) / (sds[i]! * scatter.pressure),
        );
        const upright = perSpeed(shape.uprightFlow);
        priors.shape.forEach(({ mean, sd }, k) => {
          out.push(((k === 1 ? upright : q[k]!) - mean) / sd);
        });
        // The line goes on a little past its last point, not much.
        out.push((q[1]! - Math.log(0.06)) / 2);
        return out;
      };
      const found = leastSquares(residuals, p, round === 0 ? 30 : 6, 1e-5);
      const moved = Math.max(...found.unknowns.map((value, k) => Math.abs(value - p[k]!)));
      p = found.unknowns;
      normal = found.normal;
      const shape = decode(p);
      sds = deviations(shape);
      const off = points.map(([flow, ratio], i) => (ratio - ratioAt(shape, flow)) / (sds[i]! * scatter.pressure));
      weights = off.map(robust);
      cost = off.reduce((sum, value) => sum + Math.log1p((value / CAUCHY) ** 2), 0);
      if (round > 0 && moved < 1e-3) break;
    }
    return { p, sds, cost, normal };
  };
  const top = Math.log(Math.max(0.01, Math.max(...points.map(([, ratio]) => ratio)) ** MAP_EXPONENT - 1) / speed2);
  // Two starts: a line traced to its choke, and one that ends well before it.
  const starts = start
    ? [
        [
          start[0]!,
          Math.log(Math.max(0.002, (Math.exp(start[1]!) * line.shaftSpeedRpm) / widest - 1)),
          start[2]!,
          start[3]!,
        ],
      ]
    : [0.03, 0.25].map((beyond) => [top, Math.log(beyond), Math.log(2.6), Math.log(4)]);
  const best = starts.slice(1).reduce(
    // A line that runs through its points needs no second start.
    (found, from) => {
      if (found.cost < WELL_FITTED * points.length) return found;
      const other = solveShape(from);
      return other.cost < found.cost ? other : found;
    },
    solveShape(starts[0]!),
  );
  const shape = decode(best.p);
  const variance = inverseDiagonal(best.normal);
  const share = Math.exp(best.p[1]!);
  // Where the line falls to pressure ratio 1: nothing is left to push with.
  const fallen = 1 - shape.surgePressureRatio ** -shape.pressurePower;
  const chokeFlow = Math.max(
    line.chokeFlow ?? surgeFlow + (shape.uprightFlow - surgeFlow) * Math.max(0.05, fallen) ** (1 / shape.flowPower),
    surgeFlow * 1.05,
  );

  const work = fitWork(
    points.map(([flow, ratio, efficiency]) => {
      const fitted = ratioAt(shape, flow);
      const slope = slopeAt(shape, flow);
      return {
        x: flow / chokeFlow,
        head: Math.max(fitted, 1e-3) ** MAP_EXPONENT - 1,
        // Share of its head that a point's flow may be off by.
        headOff:
          (MAP_EXPONENT * slope * POINT_SD.flow * widest * fitted ** (MAP_EXPONENT - 1)) /
          Math.max(0.01, ratio ** MAP_EXPONENT - 1),
        efficiency,
      };
    }),
    speed2,
    scatter.efficiency,
    priors.work,
  );
  const inOrder = (values: readonly number[]): number[] => {
    const out = new Array<number>(values.length).fill(0);
    order.forEach((place, i) => {
      out[place] = values[i]!;
    });
    return out;
  };
  return {
    line: {
      shaftSpeedRpm: line.shaftSpeedRpm,
      surgeFlowKgPerS: surgeFlow,
      chokeFlowKgPerS: chokeFlow,
      uprightFlowKgPerS: shape.uprightFlow,
      surgePressureRatio: shape.surgePressureRatio,
      flowPower: shape.flowPower,
      pressurePower: shape.pressurePower,
      work: work.coefficients,
    },
    shape: [best.p[0]!, perSpeed(shape.uprightFlow), best.p[2]!, best.p[3]!],
    shapeVariance: variance.map((value, k) => (k === 1 ? value * (share / (1 + share)) ** 2 : value)),
    workShape: work.unknowns,
    workVariance: work.variance,
    pressureOff: inOrder(points.map(([flow, ratio], i) => (ratio - ratioAt(shape, flow)) / best.sds[i]!)),
    efficiencyOff: inOrder(work.off),
  };
};

interface WorkPoint {
  readonly x: number;
  readonly head: number;
  readonly headOff: number;
  readonly efficiency: number;
}

/**
 * Work by weighted least squares on efficiency: e = h/w, so an error of w weighs h/w^2. The head is the fitted line's, so
 * that a point's error of pressure is not taken for one of efficiency. Linear in the coefficients once weights are held.
 */
const fitWork = (
  points: readonly WorkPoint[],
  speed2: number,
  scatter: number,
  priors: LinePriors['work'],
): {
  coefficients: [number, number, number];
  unknowns: number[];
  variance: number[];
  off: number[];
} => {
  const useful = points.map((point) => ({ ...point, wanted: point.head / (point.efficiency * speed2) }));
  const mid = useful.filter(({ head }) => head > 0.02);
  const mean = Math.max(
    1e-4,
    (mid.length > 0 ? mid : useful).reduce((sum, { wanted }) => sum + Math.max(wanted, 0), 0) /
      Math.max(1, mid.length || useful.length),
  );
  // Unknowns: c0, c1, c2 with work = speed2 * (c0 + c1 (x - 0.5) + c2 (x - 0.5)^2).
  let c = [mean, priors[1].mean * mean, priors[2].mean * mean];
  let off = points.map(() => 0);
  let normal: number[][] = [];
  const workAt = (x: number) => Math.max(0.05 * mean, c[0]! + c[1]! * (x - 0.5) + c[2]! * (x - 0.5) ** 2);
  for (let round = 0; round < 6; round++) {
    const rows = [0, 1, 2].map(() => [0, 0, 0, 0]);
    const add = (basis: readonly number[], value: number, weight: number) => {
      for (let i = 0; i < 3; i++) {
        for (let k = 0; k < 3; k++) rows[i]![k]! += weight * basis[i]! * basis[k]!;
        rows[i]![3]! += weight * basis[i]! * value;
      }
    };
    useful.forEach(({ x, wanted, efficiency, headOff }, i) => {
      if (!(wanted > 0)) return;
      const sd = Math.hypot(POINT_SD.efficiency, headOff * efficiency) * scatter;
      // d efficiency = -(h / w^2) d w; the head over work squared at the present work.
      const gain = (wanted * efficiency) / workAt(x) ** 2;
      add([1, x - 0.5, (x - 0.5) ** 2], wanted, ((gain * robust(off[i]!)) / sd) ** 2);
    });
    const level = Math.max(c[0]!, 0.2 * mean);
    add([1, 0, 0], Math.exp(Math.min(20, priors[0].mean)), (1 / (level * priors[0].sd)) ** 2);
    add([0, 1, 0], priors[1].mean * level, (1 / (level * priors[1].sd)) ** 2);
    add([0, 0, 1], priors[2].mean * level, (1 / (level * priors[2].sd)) ** 2);
    normal = rows.map((row) => row.slice(0, 3));
    c = solveSmall(rows);
    off = useful.map(({ x, wanted, efficiency, headOff }) => {
      const fitted = (Math.max(wanted, 0) * efficiency) / workAt(x);
      return (efficiency - fitted) / (Math.hypot(POINT_SD.efficiency, headOff * efficiency) * scatter);
    });
  }
  const level = Math.max(c[0]!, 0.2 * mean);
  const [c1, c2] = [c[1]!, c[2]!];
  const variance = inverseDiagonal(normal).map((value) => value / level ** 2);
  return {
    coefficients: [speed2 * (level - 0.5 * c1 + 0.25 * c2), speed2 * (c1 - c2), speed2 * c2],
    unknowns: [Math.log(level), c1 / level, c2 / level],
    variance,
    off: off.map((value) => value * scatter),
  };
};
