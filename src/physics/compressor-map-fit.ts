/** A compressor map as data made into a surface: lines fitted together, so that each steadies its neighbours. */
import { type CompressorMapPoints, fitLine, type LineFit, type LinePriors, type Prior } from './compressor-line-fit.ts';
import { mapFit } from './compressor-map-quality.ts';
import { type CompressorSurface, surfaceTables } from './compressor-surface.ts';
import { solveSmall } from './least-squares.ts';

/** Lines from which a trend over speed can be told from scatter. */
const LINES_FOR_TREND = 4;
/** Spread left to each unknown about the trend: real lines bend a little (house convention, no source). */
const LEAST_TREND_SD = { shape: [0.01, 0.01, 0.08, 0.08], work: [0.01, 0.04, 0.08] } as const;

const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length === 0 ? 0 : sorted.length % 2 === 1 ? sorted[half]! : 0.5 * (sorted[half - 1]! + sorted[half]!);
};

/** Standard deviation by the median of absolute values, times `spent` for the unknowns that were fitted; 1 or more. */
const scatterOf = (off: readonly number[], unknowns: number): number =>
  Math.max(1, 1.4826 * median(off.map(Math.abs)) * Math.sqrt(off.length / Math.max(1, off.length - unknowns)));

/**
 * What the other lines say of each line's unknown: a straight line (a parabola from seven lines on) over ln speed through
 * all of them, and how far lines stray from it beyond their own doubt. Source: empirical Bayes shrinkage, Efron & Morris,
 * J. Am. Stat. Assoc. 70 (1975) 311.
 */
const trend = (
  speeds: readonly number[],
  values: readonly number[],
  variances: readonly number[],
  least: number,
): Prior[] => {
  const count = speeds.length;
  const size = count >= 7 ? 3 : 2;
  const centre = Math.log(speeds[count >> 1]!);
  const basis = (speed: number) => [1, Math.log(speed) - centre, (Math.log(speed) - centre) ** 2].slice(0, size);
  let stray = 0;
  let means: number[] = [...values];
  for (let round = 0; round < 8; round++) {
    const rows = Array.from({ length: size }, () => new Array<number>(size + 1).fill(0));
    const typical = Math.max(1e-9, Math.sqrt(stray + median(variances)));
    values.forEach((value, i) => {
      const b = basis(speeds[i]!);
      const far = round === 0 ? 1 : 1 / (1 + ((value - means[i]!) / (2.5 * typical)) ** 2);
      const weight = far / (stray + variances[i]! + least * least);
      for (let r = 0; r < size; r++) {
        for (let c = 0; c < size; c++) rows[r]![c]! += weight * b[r]! * b[c]!;
        rows[r]![size]! += weight * b[r]! * value;
      }
    });
    const c = solveSmall(rows);
    means = speeds.map((speed) => basis(speed).reduce((sum, b, k) => sum + b * c[k]!, 0));
    const seen = 1.4826 * median(values.map((value, i) => Math.abs(value - means[i]!)));
    stray = Math.max(0, (seen * seen * count) / (count - size) - median(variances));
  }
  const sd = Math.hypot(Math.sqrt(stray), least);
  return means.map((mean) => ({ mean, sd }));
};

const priorsOf = (fits: readonly LineFit[]): LinePriors[] => {
  const speeds = fits.map(({ line }) => line.shaftSpeedRpm);
  const columns = (
    pick: (fit: LineFit) => readonly number[],
    doubt: (fit: LineFit) => readonly number[],
    least: readonly number[],
  ) =>
    least.map((floor, k) =>
      trend(
        speeds,
        fits.map((fit) => pick(fit)[k]!),
        fits.map((fit) => doubt(fit)[k]!),
        floor,
      ),
    );
  const shape = columns(
    (fit) => fit.shape,
    (fit) => fit.shapeVariance,
    LEAST_TREND_SD.shape,
  );
  const work = columns(
    (fit) => fit.workShape,
    (fit) => fit.workVariance,
    LEAST_TREND_SD.work,
  );
  return fits.map((_, i) => ({
    shape: shape.map((column) => column[i]!) as unknown as LinePriors['shape'],
    work: work.map((column) => column[i]!) as unknown as LinePriors['work'],
  }));
};

/**
 * Lines of a map fitted together: first each alone, then with the map's own scatter and what its neighbours say.
 * `scatter` is that of the points over clean ones.
 */
const fitLines = (
  map: CompressorMapPoints,
): {
  readonly fits: readonly LineFit[];
  readonly scatter: { readonly pressure: number; readonly efficiency: number };
} => {
  const measure = (fits: readonly LineFit[]) => ({
    pressure: scatterOf(
      fits.flatMap((fit) => fit.pressureOff),
      4 * fits.length,
    ),
    efficiency: scatterOf(
      fits.flatMap((fit) => fit.efficiencyOff),
      3 * fits.length,
    ),
  });
  let fits = map.lines.map((line) => fitLine(line));
  let scatter = measure(fits);
  const again = (priors: readonly LinePriors[] | null) => {
    fits = map.lines.map((line, i) =>
      fitLine(line, { scatter, start: fits[i]!.shape, ...(priors ? { priors: priors[i]! } : {}) }),
    );
    scatter = measure(fits);
  };
  if (scatter.pressure > 1.01 || scatter.efficiency > 1.01) again(null);
  if (fits.length >= LINES_FOR_TREND) again(priorsOf(fits));
  return { fits, scatter };
};

/**
 * Fits the surface. Total for maps of two or more lines with three or more points each, speeds rising.
 * Source: ellipse speed lines, Leufven & Eriksson (2013); see compressor-surface.ts.
 */
export const fitCompressorMap = (map: CompressorMapPoints, estimated = false): CompressorSurface => {
  const { fits, scatter } = fitLines(map);
  const surface = {
    ...surfaceTables(fits.map(({ line }) => line)),
    referenceTemperatureK: map.referenceTemperatureK,
    referencePressurePa: map.referencePressurePa,
    estimated,
  };
  return { ...surface, fit: mapFit(surface, map, fits, scatter) };
};

const fitted = new WeakMap<CompressorMapPoints, CompressorSurface>();
/** Newest maps by their numbers: the same sheet read twice makes two objects of one map. */
const byNumbers = new Map<string, CompressorSurface>();
const MOST_KEPT = 24;

const numbersOf = ({ referenceTemperatureK, referencePressurePa, lines }: CompressorMapPoints): string =>
  JSON.stringify([
    referenceTemperatureK,
    referencePressurePa,
    lines.map(({ shaftSpeedRpm, surgeFlow, chokeFlow, points }) => [shaftSpeedRpm, surgeFlow, chokeFlow, points]),
  ]);

/**
 * As {@link fitCompressorMap}, kept: maps of the same numbers are fitted once while they are among the newest asked for.
 * Source: see {@link fitCompressorMap}.
 */
export const fittedCompressorMap = (map: CompressorMapPoints): CompressorSurface => {
  const known = fitted.get(map);
  if (known) return known;
  const numbers = numbersOf(map);
  const surface = byNumbers.get(numbers) ?? fitCompressorMap(map);
  byNumbers.delete(numbers);
  byNumbers.set(numbers, surface);
  for (const oldest of byNumbers.keys()) {
    if (byNumbers.size <= MOST_KEPT) break;
    byNumbers.delete(oldest);
  }
  fitted.set(map, surface);
  return surface;
};
