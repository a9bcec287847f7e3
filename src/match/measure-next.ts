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

/** Most inputs that one answer is explained by; the rest is chance. */
const MOST_INPUTS = 40;

/**
 * Slopes of an answer on standard normal inputs, strongest first and only those that stand out of chance (3.2 times what
 * a slope of nought would scatter by, so that one of a hundred such inputs slips in once in seven answers): with about as many inputs as samples a plain regression would only fit noise.
 * Source: matching pursuit, Mallat & Zhang, IEEE Trans. Signal Process. 41 (1993) 3397.
 */
const slopesOf = (normals: Float64Array, size: number, rows: readonly { answer: number; index: number }[]) => {
  const mean = rows.reduce((sum, { answer }) => sum + answer, 0) / rows.length;
  const residual = rows.map(({ answer }) => answer - mean);
  const slopes = new Float64Array(size);
  for (let step = 0; step < MOST_INPUTS; step++) {
    let found = -1;
    let strongest = 0;
    let slope = 0;
    for (let i = 0; i < size; i++) {
      let product = 0;
      let square = 0;
      rows.forEach(({ index }, row) => {
        const z = normals[index * size + i]!;
        product += z * residual[row]!;
        square += z * z;
      });
      const strength = Math.abs(product) / Math.sqrt(square || 1);
      if (strength > strongest) {
        strongest = strength;
        found = i;
        slope = product / (square || 1);
      }
    }
    const scatter = Math.sqrt(residual.reduce((sum, value) => sum + value * value, 0) / rows.length);
    if (found < 0 || strongest < 3.2 * scatter) break;
    slopes[found] = slopes[found]! + slope;
    rows.forEach(({ index }, row) => {
      residual[row] = residual[row]! - slope * normals[index * size + found]!;
    });
  }
  return slopes;
};

/**
 * Ranks inputs by how far measuring each alone would narrow the band of the power at which the first part gives out.
 *
 * The answer is regressed on the inputs' standard normal coordinates; an input of slope b that is then known r times as
 * well takes b^2 (1 - r^2) of the variance away. Only what is now an estimate or a data-sheet value, and stands out of
 * chance, is listed; at most five.
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
  const slopes = slopesOf(normals, size, rows);
  const bandNowW = band.p90 - band.p10;
  return inputs
    .flatMap((input, index) => {
      // Factors on the relations are not a part that one can put a gauge on: they come from logs.
      if (input.source === 'measured' || input.source === 'logged' || input.path.startsWith('learned.')) return [];
      const slope = slopes[index]!;
      const ratio = Math.min(1, measuredSd(input) / input.sdSi);
      const left = variance - slope * slope * (1 - ratio * ratio);
      if (slope === 0 || ratio >= 1) return [];
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
