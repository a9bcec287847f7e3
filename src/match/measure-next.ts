/** Which single measurement would narrow the answer most. */
import { DEFAULT_RELATIVE_SPREAD, FIELD_PLACES, type Input, type ResolvedBuild } from '../car/index.ts';
import { normalSamples } from './sampling.ts';
import type { MeasureNext } from './types.ts';
import { bandOf } from './uncertain.ts';

/** Relative spread of a whole curve or map once measured (house convention, no source). */
const MEASURED_CURVE = 0.015;

/** One standard deviation once measured [SI]: the field's own default for 'measured', else the general one. */
const measuredSd = (input: Input): number => {
  const place = FIELD_PLACES.find(({ group, name }) => `${group}.${name}` === input.path);
  if (!place) return MEASURED_CURVE * Math.abs(input.valueSi);
  const relative = place.field.relative?.measured ?? DEFAULT_RELATIVE_SPREAD.measured;
  // A temperature is known to a degree or so, whatever its distance from nought.
  const scale = place.field.dimension === 'temperature' ? 100 : Math.abs(input.valueSi);
  return relative * scale;
};

/** Solves a symmetric positive system by Cholesky in place; `a` row by row. */
const cholesky = (a: Float64Array, b: Float64Array, size: number): void => {
  for (let j = 0; j < size; j++) {
    for (let i = j; i < size; i++) {
      let sum = a[i * size + j]!;
      for (let k = 0; k < j; k++) sum -= a[i * size + k]! * a[j * size + k]!;
      a[i * size + j] = i === j ? Math.sqrt(Math.max(sum, 1e-12)) : sum / a[j * size + j]!;
    }
  }
  for (let i = 0; i < size; i++) {
    let sum = b[i]!;
    for (let k = 0; k < i; k++) sum -= a[i * size + k]! * b[k]!;
    b[i] = sum / a[i * size + i]!;
  }
  for (let i = size - 1; i >= 0; i--) {
    let sum = b[i]!;
    for (let k = i + 1; k < size; k++) sum -= a[k * size + i]! * b[k]!;
    b[i] = sum / a[i * size + i]!;
  }
};

/**
 * Ranks inputs by how far measuring each alone would narrow the band of the power at which the first part gives out.
 *
 * The answer is regressed on the inputs' standard normal coordinates (ridge, so that few samples stay sane); an input of
 * slope b known r times as well takes b^2 (1 - r^2) of the variance away. Only what is now an estimate or a data-sheet
 * value, and moves the answer more than chance would, is listed; at most five.
 * `answers` in the order of the samples of `seed`; null where nothing gave out.
 * Source: first-order variance shares, Saltelli et al., Global Sensitivity Analysis (2008) ch. 1.
 */
export const measureNext = (
  resolved: ResolvedBuild,
  answers: readonly (number | null)[],
  seed: number,
  firstPart: string,
): MeasureNext[] => {
  const { inputs } = resolved;
  const size = inputs.length;
  const normals = normalSamples(answers.length, size, seed);
  const rows = answers.flatMap((answer, index) => (answer === null ? [] : [{ answer, index }]));
  if (rows.length < 24) return [];
  const mean = rows.reduce((sum, { answer }) => sum + answer, 0) / rows.length;
  const variance = rows.reduce((sum, { answer }) => sum + (answer - mean) ** 2, 0) / rows.length;
  const band = bandOf(rows.map(({ answer }) => answer));
  if (!band || !(variance > 0)) return [];
  const a = new Float64Array(size * size);
  const slopes = new Float64Array(size);
  for (const { answer, index } of rows) {
    const z = normals.subarray(index * size, (index + 1) * size);
    for (let i = 0; i < size; i++) {
      slopes[i] = slopes[i]! + z[i]! * (answer - mean);
      for (let j = 0; j <= i; j++) a[i * size + j] = a[i * size + j]! + z[i]! * z[j]!;
    }
  }
  const ridge = 0.05 * rows.length + 2 * size;
  for (let i = 0; i < size; i++) a[i * size + i] = a[i * size + i]! + ridge;
  cholesky(a, slopes, size);
  const bandNowW = band.p90 - band.p10;
  const chance = 2 * Math.sqrt(variance / rows.length);
  return inputs
    .flatMap((input, index) => {
      // Factors on the relations are not a part that one can put a gauge on: they come from logs.
      if (input.source === 'measured' || input.source === 'logged' || input.path.startsWith('learned.')) return [];
      const slope = slopes[index]!;
      const ratio = Math.min(1, measuredSd(input) / input.sdSi);
      const left = variance - slope * slope * (1 - ratio * ratio);
      if (Math.abs(slope) < chance || ratio >= 1) return [];
      const bandThenW = bandNowW * Math.sqrt(Math.max(0, left) / variance);
      return [
        {
          quantity: input.path,
          why: `${input.about} is ${input.estimated ? 'an estimate' : 'a data-sheet value'}: one standard deviation of it moves the power at which the first part (${firstPart}) gives out by ${(Math.abs(slope) / 1000).toFixed(1)} kW.`,
          bandNowW,
          bandThenW,
        },
      ];
    })
    .sort((one, other) => one.bandThenW - other.bandThenW)
    .slice(0, 5);
};
