/** How well a fitted surface runs through the points of its map, line by line, and what that leaves in doubt. */
import {
  type CompressorMapPoints,
  ellipsePressureRatio,
  type FittedLine,
  type LineFit,
  MAP_EXPONENT,
} from './compressor-line-fit.ts';
import { efficiencyAt, pressureRatioAt } from './compressor-map.ts';
import type { CompressorSurface } from './compressor-surface.ts';

/** One speed line of a map against the surface. Pressure ratio relative, flow over the line's choke flow, efficiency in shares. */
export interface LineQuality {
  readonly shaftSpeedRpm: number;
  readonly points: number;
  readonly rmsPressureRatio: number;
  readonly worstPressureRatio: number;
  /** Of the points where the line falls steeply; 0 where there is none. */
  readonly rmsFlow: number;
  readonly worstFlow: number;
  readonly rmsEfficiency: number;
  readonly worstEfficiency: number;
  /** Flows that the points reach over, as shares of the choke flow. */
  readonly fromChokeShare: number;
  readonly toChokeShare: number;
  /** Steps to more flow at which the pressure ratio as given rises though the line falls by then. */
  readonly rises: number;
}

/** A point that lies further off than this map's scatter explains; it was given next to no weight. */
export interface StrayPoint {
  /** Places in the map as data: line and point. */
  readonly line: number;
  readonly point: number;
  readonly shaftSpeedRpm: number;
  /** Point less surface, relative. */
  readonly pressureRatioOff: number;
  /** Point less surface, in shares. */
  readonly efficiencyOff: number;
}

/** How well the surface runs through the points of the map. Strays count in the worst, not in the means. */
export interface MapFit {
  /** Root of the mean square of pressure ratio [-] and of efficiency [-]. */
  readonly rmsPressureRatio: number;
  readonly rmsEfficiency: number;
  readonly points: number;
  readonly worstPressureRatio: number;
  readonly worstEfficiency: number;
  /**
   * What the misfit leaves in doubt, as one standard deviation relative to the value: of flow at a pressure ratio, of
   * efficiency, and of shaft speed (head goes with its square). Goes into the samples of the model.
   */
  readonly flowDoubt: number;
  readonly efficiencyDoubt: number;
  readonly speedDoubt: number;
  readonly lines: readonly LineQuality[];
  readonly strays: readonly StrayPoint[];
}

/** Standard deviations of this map's own scatter past which a point is called a stray, and the least distances for it. */
const STRAY = { deviations: 5, pressureRatio: 0.03, efficiency: 0.04 } as const;
/** Fall of ln pressure ratio over one choke flow from which a point says something of flow. */
const STEEP = 0.6;

const root = (squares: readonly number[]): number =>
  squares.length === 0 ? 0 : Math.sqrt(squares.reduce((sum, value) => sum + value * value, 0) / squares.length);
const worst = (values: readonly number[]): number => values.reduce((far, value) => Math.max(far, Math.abs(value)), 0);

/** Flow of a fitted line at a pressure ratio [kg/s]; null where the line is flat or does not reach it. Inverse of the ellipse. */
const flowAtRatio = (line: FittedLine, pressureRatio: number): number | null => {
  const share = pressureRatio / line.surgePressureRatio;
  if (!(share > 0 && share < 1)) return null;
  const u = (1 - share ** line.pressurePower) ** (1 / line.flowPower);
  return line.surgeFlowKgPerS + (line.uprightFlowKgPerS - line.surgeFlowKgPerS) * u;
};

const fall = (line: FittedLine, flow: number): number => {
  const at = (w: number) =>
    ellipsePressureRatio(
      w,
      line.surgeFlowKgPerS,
      line.uprightFlowKgPerS,
      line.surgePressureRatio,
      line.flowPower,
      line.pressurePower,
    );
  const step = 0.01 * line.chokeFlowKgPerS;
  const [left, right] = [at(flow - step), at(flow + step)];
  return left > 0 && right > 0 ? Math.log(left / right) / 0.02 : Number.POSITIVE_INFINITY;
};

/**
 * Quality of a fit. `fits` in the order of the map's lines, `scatter` of its points over clean ones; surface without its
 * `fit`. Pure bookkeeping of residuals [-]; source: definitions in {@link MapFit}.
 */
export const mapFit = (
  surface: Omit<CompressorSurface, 'fit'>,
  map: CompressorMapPoints,
  fits: readonly LineFit[],
  scatter: { readonly pressure: number; readonly efficiency: number },
): MapFit => {
  const strays: StrayPoint[] = [];
  const all = { ratio: [] as number[], efficiency: [] as number[], flow: [] as number[], head: [] as number[] };
  const relative: number[] = [];
  let farRatio = 0;
  let farEfficiency = 0;
  const lines = map.lines.map((line, index): LineQuality => {
    const fit = fits[index]!;
    const fitted = fit.line;
    const kept = { ratio: [] as number[], efficiency: [] as number[], flow: [] as number[] };
    const off = { ratio: [] as number[], efficiency: [] as number[] };
    line.points.forEach(([flow, ratio, efficiency], point) => {
      const model = pressureRatioAt(surface, line.shaftSpeedRpm, flow);
      const ratioOff = ratio / Math.max(model, 1e-3) - 1;
      const efficiencyOff = efficiency - efficiencyAt(surface, line.shaftSpeedRpm, flow);
      off.ratio.push(ratioOff);
      off.efficiency.push(efficiencyOff);
      farRatio = Math.max(farRatio, Math.abs(ratio - model));
      const pressureStrays =
        Math.abs(fit.pressureOff[point]!) > STRAY.deviations * scatter.pressure &&
        Math.abs(ratioOff) > STRAY.pressureRatio;
      const efficiencyStrays =
        Math.abs(fit.efficiencyOff[point]!) > STRAY.deviations * scatter.efficiency &&
        Math.abs(efficiencyOff) > STRAY.efficiency;
      if (pressureStrays || efficiencyStrays) {
        strays.push({
          line: index,
          point,
          shaftSpeedRpm: line.shaftSpeedRpm,
          pressureRatioOff: ratioOff,
          efficiencyOff,
        });
        return;
      }
      kept.ratio.push(ratioOff);
      kept.efficiency.push(efficiencyOff);
      all.ratio.push(ratio - model);
      all.efficiency.push(efficiencyOff);
      relative.push(efficiencyOff / efficiency);
      const head = model ** MAP_EXPONENT - 1;
      const steep = fall(fitted, flow) > STEEP;
      const fittedFlow = steep ? flowAtRatio(fitted, ratio) : null;
      if (fittedFlow !== null) kept.flow.push((flow - fittedFlow) / fitted.chokeFlowKgPerS);
      // Where the line is flat an error of pressure is one of shaft speed: head goes with its square.
      else if (head > 0.02) all.head.push((0.5 * (ratio ** MAP_EXPONENT - 1 - head)) / head);
    });
    all.flow.push(...kept.flow);
    farEfficiency = Math.max(farEfficiency, worst(off.efficiency));
    const inFlow = [...line.points].sort((a, b) => a[0] - b[0]);
    const rises = inFlow.filter(
      ([flow, ratio], i) => i > 0 && ratio > inFlow[i - 1]![1] && fall(fitted, 0.5 * (flow + inFlow[i - 1]![0])) > 0.2,
    ).length;
    return {
      shaftSpeedRpm: line.shaftSpeedRpm,
      points: line.points.length,
      rmsPressureRatio: root(kept.ratio),
      worstPressureRatio: worst(off.ratio),
      rmsFlow: root(kept.flow),
      worstFlow: worst(kept.flow),
      rmsEfficiency: root(kept.efficiency),
      worstEfficiency: worst(off.efficiency),
      fromChokeShare: inFlow[0]![0] / fitted.chokeFlowKgPerS,
      toChokeShare: inFlow[inFlow.length - 1]![0] / fitted.chokeFlowKgPerS,
      rises,
    };
  });
  return {
    rmsPressureRatio: root(all.ratio),
    rmsEfficiency: root(all.efficiency),
    points: map.lines.reduce((sum, line) => sum + line.points.length, 0),
    worstPressureRatio: farRatio,
    worstEfficiency: farEfficiency,
    flowDoubt: root(all.flow),
    efficiencyDoubt: root(relative),
    speedDoubt: root(all.head),
    lines,
    strays,
  };
};
