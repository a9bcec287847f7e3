/** How hilly the road under a pull may have been, after the other ways had their say. */
import { levelGapOf } from './combine.ts';
import type { Bin, Cell, PullEstimates } from './pull-estimates.ts';
import { METHODS } from './unknowns.ts';

/**
 * Standard deviations of grade of kinds of road, as shares of the spread that `errorSpreads` takes (1 %), and how common they
 * are among roads that pulls are driven on: level, nearly level, rolling, hilly. Their mean square is that spread squared.
 * Common practice, no source.
 */
const ROADS: readonly { readonly share: number; readonly common: number }[] = [
  { share: 0.2, common: 0.25 },
  { share: 0.5, common: 0.35 },
  { share: 1, common: 0.25 },
  { share: 2.02, common: 0.15 },
];

/**
 * Factor on the spread of grade [-] once power by acceleration lies `gap` (ln) from the other ways: the mean square of grade
 * over the kinds of road, each weighted by how common it is and how likely it makes the gap.
 *
 * @param gap ln(power by acceleration / the others), mean over a stretch
 * @param sdWithoutGrade standard deviation of the gap on a level road
 * @param sdByGrade what the spread of grade taken so far adds to it
 * Source: Bayes' rule with normal errors.
 */
export const gradeShare = (gap: number, sdWithoutGrade: number, sdByGrade: number): number => {
  let weight = 0;
  let square = 0;
  for (const { share, common } of ROADS) {
    const variance = sdWithoutGrade ** 2 + (share * sdByGrade) ** 2;
    const likely = (common / Math.sqrt(variance)) * Math.exp((-0.5 * gap * gap) / variance);
    weight += likely;
    square += likely * share * share;
  }
  return weight > 0 ? Math.sqrt(square / weight) : 1;
};

const onPart = (cells: readonly Cell[], bins: readonly Bin[], part: number) =>
  cells.filter(({ bin }) => bins[bin]!.part === part);

/**
 * The estimates with the spread of grade narrowed or widened, stretch by stretch, by how power by acceleration agrees with
 * the other ways. `grade` is the place of grade among the unknowns. Where nothing else was logged the spread stays.
 */
export const narrowedGrade = (estimates: PullEstimates, grade: number): PullEstimates => {
  const { bins, cells } = estimates;
  if (grade < 0 || !cells.some(({ method }) => method === 'acceleration')) return estimates;
  const others = new Set(METHODS.filter((method) => method !== 'acceleration'));
  const factors = [...new Set(bins.map(({ part }) => part))].map((part) => {
    const own = onPart(cells, bins, part);
    const level = own.map((cell) => {
      const moves = Float64Array.from(cell.moves);
      moves[grade] = 0;
      return { ...cell, moves };
    });
    const gap = levelGapOf({ ...estimates, cells: level }, 'acceleration', others);
    const motion = own.filter(({ method }) => method === 'acceleration');
    if (!gap || motion.length === 0) return { part, factor: 1 };
    const sdByGrade = Math.abs(motion.reduce((sum, { moves }) => sum + moves[grade]!, 0) / motion.length);
    return { part, factor: gradeShare(gap.gap, gap.sd, sdByGrade) };
  });
  const factorOf = (bin: number) => factors.find(({ part }) => part === bins[bin]!.part)?.factor ?? 1;
  return {
    ...estimates,
    cells: cells.map((cell) => {
      if (cell.method !== 'acceleration') return cell;
      const moves = Float64Array.from(cell.moves);
      moves[grade]! *= factorOf(cell.bin);
      return { ...cell, moves };
    }),
  };
};
