/**
 * How much of an answer's variance each uncertain input explains by itself, read off samples that were drawn anyway.
 *
 * The first-order index of input i is Var(E[y | x_i]) / Var(y). E[y | x_i] is found by least squares on functions of that
 * input alone (the first-order terms of a high-dimensional model representation), strongest input first, each on what the
 * others have left, so that a small share is not lost in the scatter of the large ones.
 * Source: Sobol', Math. Comput. Simul. 55 (2001) 271 (the index); Li, Wang & Rabitz, J. Phys. Chem. A 106 (2002) 8721
 * (from random samples); Plischke, Environ. Model. Softw. 35 (2012) 188 (cosines of the rank); Mallat & Zhang, IEEE Trans.
 * Signal Process. 41 (1993) 3397 (strongest first); adjusted R2 against what terms fit by chance, as Tissot & Prieur,
 * Reliab. Eng. Syst. Saf. 107 (2012) 205.
 */

/** Share of an answer's variance, from nought to 1. */
export interface Share {
  /** Place of the input among the columns of the samples. */
  readonly input: number;
  readonly share: number;
  /** One standard deviation of the estimate. */
  readonly standardError: number;
  /** Straight-line change of the answer per standard deviation of the input. */
  readonly slope: number;
}

export interface Shares {
  /** Largest first; only what stands out of chance. */
  readonly shares: readonly Share[];
  /** What no single input explains: joint effects of several, and what is lost in the scatter. */
  readonly rest: number;
  readonly variance: number;
}

/** Samples below this tell nothing of a hundred inputs. */
export const LEAST_SAMPLES = 24;
/** Functions of one input: its standard normal value, then cosines of its rank. */
const MOST_TERMS = 6;
/** Samples for each term at least. */
const SAMPLES_PER_TERM = 32;
/** Inputs that one answer is explained by, at most. */
const MOST_STEPS = 60;
/** Steps from one look at all inputs to the next. */
const FULL_LOOK = 8;
/**
 * Chi-square that chance passes once in 10,000, by number of terms: of a hundred inputs that do nothing one slips in once
 * in some fifty answers. Source: any table of the distribution.
 */
const BEYOND_CHANCE = [0, 15.14, 18.42, 21.11, 23.51, 25.74, 27.86] as const;

/** Orthonormal functions of every input over some of the samples; made once and used for every answer. */
export interface SensitivityBasis {
  readonly inputs: number;
  readonly samples: number;
  readonly terms: number;
  /** Input by input, term by term, sample by sample. */
  readonly columns: Float64Array;
}

/** Takes from `column` what it has in common with `other` (of length 1). */
const takeOff = (column: Float64Array, other: Float64Array): void => {
  let common = 0;
  for (let i = 0; i < column.length; i++) common += column[i]! * other[i]!;
  for (let i = 0; i < column.length; i++) column[i] = column[i]! - common * other[i]!;
};

/**
 * Functions of each input, of mean nought and length 1 over the samples and at right angles to each other.
 *
 * `normals`: standard normal inputs, sample by sample, `inputs` to a sample; `rows`: the samples that count.
 */
export const sensitivityBasis = (normals: Float64Array, inputs: number, rows: readonly number[]): SensitivityBasis => {
  const samples = rows.length;
  const terms = Math.max(1, Math.min(MOST_TERMS, Math.floor(samples / SAMPLES_PER_TERM)));
  const columns = new Float64Array(inputs * terms * samples);
  const order = new Uint32Array(samples);
  const place = new Float64Array(samples);
  for (let input = 0; input < inputs; input++) {
    const value = (row: number) => normals[rows[row]! * inputs + input]!;
    for (let row = 0; row < samples; row++) order[row] = row;
    order.sort((a, b) => value(a) - value(b));
    for (let rank = 0; rank < samples; rank++) place[order[rank]!] = (rank + 0.5) / samples;
    const made: Float64Array[] = [];
    for (let term = 0; term < terms; term++) {
      const from = (input * terms + term) * samples;
      const column = columns.subarray(from, from + samples);
      let sum = 0;
      for (let row = 0; row < samples; row++) {
        column[row] = term === 0 ? value(row) : Math.cos(Math.PI * term * place[row]!);
        sum += column[row]!;
      }
      for (let row = 0; row < samples; row++) column[row] = column[row]! - sum / samples;
      // Twice: once leaves rounding behind, since the first cosine is nearly the value itself.
      for (let again = 0; again < 2; again++) for (const other of made) takeOff(column, other);
      let square = 0;
      for (let row = 0; row < samples; row++) square += column[row]! ** 2;
      const scale = square > 1e-12 * samples ? 1 / Math.sqrt(square) : 0;
      for (let row = 0; row < samples; row++) column[row] = column[row]! * scale;
      made.push(column);
    }
  }
  return { inputs, samples, terms, columns };
};

/**
 * First-order shares of one answer. `answers` beside the rows of the basis, all finite.
 * Null where there are too few samples or the answer does not vary.
 */
export const firstOrderShares = (basis: SensitivityBasis, answers: ArrayLike<number>): Shares | null => {
  const { inputs, samples, terms, columns } = basis;
  if (samples < LEAST_SAMPLES || answers.length !== samples) return null;
  let mean = 0;
  for (let row = 0; row < samples; row++) mean += answers[row]! / samples;
  const left = new Float64Array(samples);
  let total = 0;
  for (let row = 0; row < samples; row++) {
    left[row] = answers[row]! - mean;
    total += left[row]! ** 2;
  }
  if (!(total > 1e-18 * Math.max(1e-12, mean * mean) * samples)) return null;

  const found = new Map<number, Float64Array>();
  const parts = new Float64Array(terms);
  const everyInput = Array.from({ length: inputs }, (_, input) => input);
  // Between looks at all inputs only those that come near standing out are looked at.
  let near: number[] = [];
  let leftSquare = total;
  /** Terms fitted so far: each has taken its part of the scatter with it. */
  let fitted = 0;
  for (let step = 0; step < MOST_STEPS; step++) {
    let best = -1;
    let bestTerms = 0;
    let beyond = 0;
    const look = (among: readonly number[]) => {
      const close: number[] = [];
      for (const input of among) {
        let sum = 0;
        let isClose = false;
        for (let term = 0; term < terms; term++) {
          const from = (input * terms + term) * samples;
          let product = 0;
          for (let row = 0; row < samples; row++) product += columns[from + row]! * left[row]!;
          sum += product * product;
          // A straight line is looked for by itself too: it stands out sooner than all terms together.
          if (term !== 0 && term !== terms - 1) continue;
          const chance = BEYOND_CHANCE[term + 1]!;
          const over = ((samples - 1 - fitted) * sum) / leftSquare - chance;
          if (over > -0.5 * chance) isClose = true;
          if (over > beyond) {
            beyond = over;
            best = input;
            bestTerms = term + 1;
          }
        }
        if (isClose) close.push(input);
      }
      return close;
    };
    if (step % FULL_LOOK !== 0) look(near);
    if (best < 0) near = look(everyInput);
    if (best < 0) break;
    fitted += bestTerms;
    if (fitted > 0.5 * samples) break;
    const kept = found.get(best) ?? new Float64Array(terms);
    found.set(best, kept);
    for (let term = 0; term < bestTerms; term++) {
      const from = (best * terms + term) * samples;
      let product = 0;
      for (let row = 0; row < samples; row++) product += columns[from + row]! * left[row]!;
      parts[term] = product;
      kept[term] = kept[term]! + product;
    }
    leftSquare = 0;
    for (let row = 0; row < samples; row++) {
      let value = left[row]!;
      for (let term = 0; term < bestTerms; term++) {
        value -= parts[term]! * columns[(best * terms + term) * samples + row]!;
      }
      left[row] = value;
      leftSquare += value * value;
    }
    if (leftSquare <= 1e-12 * total) break;
  }

  const scatter = leftSquare / Math.max(1, samples - 1 - fitted);
  const shares = [...found]
    .map(([input, kept]): Share => {
      let square = 0;
      let used = 0;
      for (const value of kept) {
        if (value === 0) continue;
        square += value * value;
        used += 1;
      }
      const share = Math.max(0, square - used * scatter) / total;
      return {
        input,
        share: Math.min(1, share),
        standardError: Math.sqrt((4 * share * scatter) / total + (2 * used * scatter * scatter) / (total * total)),
        slope: kept[0]! / Math.sqrt(samples),
      };
    })
    .filter(({ share }) => share > 0)
    .sort((a, b) => b.share - a.share);
  const rest = Math.max(0, 1 - shares.reduce((sum, { share }) => sum + share, 0));
  return { shares, rest, variance: total / samples };
};
