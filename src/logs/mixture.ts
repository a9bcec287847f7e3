/** Lambda and air-fuel ratio: which a column holds, and for which fuel its ratio is scaled. */
import { type Candidate, weigh } from './candidates.ts';
import { type Answer, ask, firstOf, readsFromTo, shortly } from './questions.ts';

/** Air per fuel at lambda 1 of what gauges are scaled for: petrol 14.7 (common practice), the others Heywood (1988), table D.4, and common practice for the blend. */
const MIXTURE_SCALES: readonly (readonly [number, string])[] = [
  [14.7, 'petrol scale: 14.7 at lambda 1, as most gauges write on every fuel'],
  [14.5, 'diesel scale: 14.5 at lambda 1'],
  [9.8, 'E85 scale: 9.8 at lambda 1'],
  [9.0, 'ethanol scale: 9.0 at lambda 1'],
  [6.5, 'methanol scale: 6.5 at lambda 1'],
];

/** Middle of a log's mixture: richer than this engines make no power, leaner they do not cruise (common practice, no source). */
const USUAL_LAMBDA = [0.76, 1.12] as const;

/** Where the petrol scale gives a mixture that engines do not run at, the scale is open. */
const askMixtureScale = (candidate: Candidate): void => {
  const { median } = candidate.marks;
  const lambda = median / 14.7;
  if (lambda >= USUAL_LAMBDA[0] && lambda <= USUAL_LAMBDA[1]) return;
  const scales = MIXTURE_SCALES.map(
    ([scale, says]): Answer => ({
      says,
      settles: { unit: 'AFR', airFuelAtLambdaOne: scale },
    }),
  );
  ask(
    [candidate],
    'open',
    `${readsFromTo([candidate])} is an air-fuel ratio of ${median.toFixed(1)} most of the time, lambda ${lambda.toFixed(2)} on the petrol scale. Which fuel is its scale for?`,
    scales,
  );
};

/** Lambda and air-fuel ratio are told apart by their numbers whatever is written: a wideband's ratio is lambda times 14.7 on every fuel (common practice of gauges). */
export const settleMixture = (candidate: Candidate): void => {
  const { marks } = candidate;
  const isRatio = marks.median > 6 && marks.median < 40;
  const isPercent = marks.median > 50 && marks.median < 200;
  const written = candidate.unit?.airFuelRatio === true;
  const scale = isRatio ? 1 / 14.7 : isPercent ? 0.01 : 1;
  if (candidate.unit && !candidate.chosen && candidate.unit.unit === 'lambda' && written !== isRatio) {
    weigh(candidate, 0.8, `its numbers are ${isRatio ? 'an air-fuel ratio' : 'lambda'}, not what is written`);
    ask(
      [candidate],
      'contradiction',
      `"${candidate.column.header}" is written in ${candidate.unitText}, and reads ${shortly(marks.median)} most of the time. Is it lambda or an air-fuel ratio?`,
      firstOf(isRatio, [true, false]).map((ratio) => ({
        says: ratio ? 'an air-fuel ratio, lambda x 14.7' : 'lambda',
        settles: { unit: ratio ? 'AFR' : 'lambda' },
      })),
    );
  }
  if (candidate.chosen && candidate.unit) {
    if (candidate.unit.airFuelRatio && candidate.choice?.airFuelAtLambdaOne === undefined) askMixtureScale(candidate);
    return;
  }
  candidate.unit = { unit: 'lambda', scale, airFuelRatio: isRatio };
  if (isRatio) askMixtureScale(candidate);
  if (candidate.unitText === '' || !isRatio) candidate.unitText = isRatio ? 'AFR' : candidate.unitText || 'lambda';
  candidate.reasons.push(isRatio ? 'an air-fuel ratio by its numbers, lambda x 14.7' : 'lambda by its numbers');
};
