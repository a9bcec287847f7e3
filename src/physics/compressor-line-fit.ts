/**
 * One speed line of a compressor map as a smooth curve: a generalised ellipse for the pressure ratio and a parabola for
 * the work. Fitted per line, tolerant of traced points that scatter in both directions.
 */

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
  return surgePressureRatio * (1 - u ** flowPower) ** (1 / pressurePower);
};

/** Solves a small symmetric system by Gauss elimination with pivoting; rows of `a` end with the right side. */
const solveSmall = (a: number[][]): number[] => {
  const size = a.length;
  for (let i = 0; i < size; i++) {
    let pivot = i;
    for (let r = i + 1; r < size; r++) if (Math.abs(a[r]![i]!) > Math.abs(a[pivot]![i]!)) pivot = r;
    [a[i], a[pivot]] = [a[pivot]!, a[i]!];
    const lead = a[i]![i]! || 1e-300;
    for (let r = i + 1; r < size; r++) {
      const factor = a[r]![i]! / lead;
      for (let c = i; c <= size; c++) a[r]![c]! -= factor * a[i]![c]!;
    }
  }
  const x = new Array<number>(size).fill(0);
  for (let i = size - 1; i >= 0; i--) {
    let sum = a[i]![size]!;
    for (let c = i + 1; c < size; c++) sum -= a[i]![c]! * x[c]!;
    x[i] = sum / (a[i]![i]! || 1e-300);
  }
  return x;
};

/** Levenberg-Marquardt with a numeric slope; small problems only. Source: Press et al., Numerical Recipes, sect. 15.5. */
const leastSquares = (
  residuals: (p: readonly number[]) => number[],
  start: readonly number[],
  rounds = 60,
): number[] => {
  let p = [...start];
  let r = residuals(p);
  let cost = r.reduce((sum, value) => sum + value * value, 0);
  let damping = 1e-3;
  for (let round = 0; round < rounds; round++) {
    const slopes = p.map((value, i) => {
      const step = 1e-5 * Math.max(1, Math.abs(value));
      const moved = residuals(p.map((other, k) => (k === i ? other + step : other)));
      return moved.map((m, k) => (m - r[k]!) / step);
    });
    const normal = slopes.map((si) => slopes.map((sj) => si.reduce((sum, value, k) => sum + value * sj[k]!, 0)));
    const right = slopes.map((si) => -si.reduce((sum, value, k) => sum + value * r[k]!, 0));
    let better = false;
    for (let attempt = 0; attempt < 8 && !better; attempt++) {
      const system = normal.map((row, i) => [
        ...row.map((value, k) => (i === k ? value * (1 + damping) + 1e-12 : value)),
        right[i]!,
      ]);
      const step = solveSmall(system);
      const tried = p.map((value, i) => value + Math.max(-1, Math.min(1, step[i]!)));
      const triedResiduals = residuals(tried);
      const triedCost = triedResiduals.reduce((sum, value) => sum + value * value, 0);
      if (triedCost < cost) {
        better = true;
        const gain = cost - triedCost;
        p = tried;
        r = triedResiduals;
        cost = triedCost;
        damping = Math.max(1e-9, damping / 5);
        if (gain < 1e-9 * (1 + cost)) return p;
      } else damping *= 6;
    }
    if (!better) return p;
  }
  return p;
};

/** Scatter taken for a traced or printed point: of pressure ratio and of the line's widest flow (house convention, no source). */
const POINT_SD = { pressureRatio: 0.004, flow: 0.004, efficiency: 0.01 } as const;

/**
 * Fits one line. Needs three or more points of rising flow. Weak priors (powers near 2.6 and 4, upright flow a little
 * beyond the last point) keep lines of few points sane; with eight clean points they do not count.
 * Residuals weigh pressure and flow scatter together (effective variance, Orear, Am. J. Phys. 50 (1982) 912).
 */
export const fitLine = (line: CompressorLine): FittedLine => {
  const points = [...line.points].sort((a, b) => a[0] - b[0]);
  const first = points[0]!;
  const last = points[points.length - 1]!;
  const surgeFlow = Math.min(line.surgeFlow ?? first[0], 0.9 * last[0]);
  const topPressureRatio = Math.max(...points.map(([, ratio]) => ratio));
  const decode = (p: readonly number[]) => ({
    surgePressureRatio: Math.exp(p[0]!),
    uprightFlow: last[0] * (1 + Math.exp(p[1]!)),
    flowPower: Math.exp(p[2]!),
    pressurePower: Math.exp(p[3]!),
  });
  const residuals = (p: readonly number[]): number[] => {
    const { surgePressureRatio, uprightFlow, flowPower, pressurePower } = decode(p);
    const out = points.map(([flow, ratio]) => {
      const model = ellipsePressureRatio(flow, surgeFlow, uprightFlow, surgePressureRatio, flowPower, pressurePower);
      const u = Math.max(0, (flow - surgeFlow) / (uprightFlow - surgeFlow));
      const slope =
        u === 0
          ? 0
          : (model * flowPower * u ** (flowPower - 1)) /
            (pressurePower * Math.max(1e-6, 1 - u ** flowPower) * (uprightFlow - surgeFlow));
      return (model - ratio) / Math.hypot(POINT_SD.pressureRatio * ratio, slope * POINT_SD.flow * last[0]);
    });
    out.push((p[2]! - Math.log(2.6)) / 0.6, (p[3]! - Math.log(4)) / 0.6, (p[1]! - Math.log(0.06)) / 2);
    return out;
  };
  const cost = (p: readonly number[]) => residuals(p).reduce((sum, value) => sum + value * value, 0);
  // Two starts: a line traced to its choke, and one that ends well before it.
  const fits = [0.03, 0.25].map((beyond) =>
    leastSquares(residuals, [Math.log(topPressureRatio), Math.log(beyond), Math.log(2.6), Math.log(4)]),
  );
  const best = decode(fits.reduce((a, b) => (cost(b) < cost(a) ? b : a)));
  // Where the line falls to pressure ratio 1: nothing is left to push with.
  const fallen = 1 - best.surgePressureRatio ** -best.pressurePower;
  const chokeFlow =
    line.chokeFlow ?? surgeFlow + (best.uprightFlow - surgeFlow) * Math.max(0.05, fallen) ** (1 / best.flowPower);

  // Work by least squares on efficiency: e = h/w, so an error of w weighs h/w^2. Curvature held to nought unless shown.
  const start = points.map(([, ratio, efficiency]) => (ratio ** MAP_EXPONENT - 1) / efficiency);
  const mean = start.reduce((sum, value) => sum + value, 0) / start.length;
  const workResiduals = (w: readonly number[]): number[] => [
    ...points.map(([flow, , efficiency], i) => {
      const x = flow / chokeFlow;
      const work = mean * (w[0]! + w[1]! * x + w[2]! * x * x);
      return (efficiency * (start[i]! / Math.max(work, 0.05 * mean) - 1)) / POINT_SD.efficiency;
    }),
    w[1]! + 0.45,
    w[2]! / 0.5,
  ];
  const [w0 = 1, w1 = 0, w2 = 0] = leastSquares(workResiduals, [1.2, -0.4, 0]);
  return {
    shaftSpeedRpm: line.shaftSpeedRpm,
    surgeFlowKgPerS: surgeFlow,
    chokeFlowKgPerS: Math.max(chokeFlow, surgeFlow * 1.05),
    uprightFlowKgPerS: best.uprightFlow,
    surgePressureRatio: best.surgePressureRatio,
    flowPower: best.flowPower,
    pressurePower: best.pressurePower,
    work: [mean * w0, mean * w1, mean * w2],
  };
};
