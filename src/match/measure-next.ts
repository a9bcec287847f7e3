/** Of each answer: which uncertain inputs move it, and which single measurement would narrow its band most. */
import {
  DEFAULT_RELATIVE_SPREAD,
  FIELD_PLACES,
  type Input,
  MEASURING,
  type ResolvedBuild,
  type Source,
} from '../car/index.ts';
import { ANSWER_WORDS } from './sample-answers.ts';
import { normalSamples } from './sampling.ts';
import { firstOrderShares, LEAST_SAMPLES, type SensitivityBasis, type Share, sensitivityBasis } from './sensitivity.ts';
import {
  ANSWER_NAMES,
  type AnswerName,
  type AnswerUncertainty,
  type InputShare,
  type MeasureAnswer,
  type MeasureNext,
} from './types.ts';
import { bandOf } from './uncertain.ts';

/** Relative spread of a whole curve or map once measured (house convention, no source). */
const MEASURED_CURVE = 0.015;

/** One standard deviation once measured or logged [SI]: the field's own default, else the general one. */
export const sdOnceMeasured = (input: Input, by: Extract<Source, 'measured' | 'logged'> = 'measured'): number => {
  const place = FIELD_PLACES.find(({ group, name }) => `${group}.${name}` === input.path);
  if (!place) return MEASURED_CURVE * Math.abs(input.valueSi);
  const relative = place.field.relative?.[by] ?? DEFAULT_RELATIVE_SPREAD[by];
  // A temperature is known to a degree or so, whatever its distance from nought.
  const scale = place.field.dimension === 'temperature' ? 100 : Math.abs(input.valueSi);
  return relative * scale;
};

/** Share of the samples that must have an answer before it is explained. */
const ANSWERED_SHARE = 0.5;
/** Inputs listed with an answer, and measurements proposed for it. */
const MOST_SHARES = 12;
const MOST_MEASURES = 5;
/** A measurement that narrows the band by less is not worth the trouble. */
const WORTH_IT = 0.01;

/**
 * What is worth measuring for an answer, best first.
 *
 * An input with first-order share S of the variance that is then known r times as well leaves 1 - S (1 - r^2) of it, and
 * the band goes with the root. Source: Saltelli et al., Global Sensitivity Analysis (2008) ch. 1 (what is left when one
 * input is fixed: r = 0). The joint part of inputs is taken to stay.
 */
const measuresOf = (
  inputs: readonly Input[],
  shares: readonly Share[],
  width: number,
  whyMoves: (input: Input, slope: number) => string,
): MeasureAnswer[] =>
  shares
    .flatMap(({ input: at, share, slope }): MeasureAnswer[] => {
      const input = inputs[at]!;
      const measuring = MEASURING[input.path];
      if (!measuring || input.source === 'measured' || input.source === 'logged') return [];
      const sdThenSi = sdOnceMeasured(input, measuring.by);
      const ratio = sdThenSi / input.sdSi;
      if (!(ratio < 1)) return [];
      const bandThen = width * Math.sqrt(Math.max(0, 1 - share * (1 - ratio * ratio)));
      if (!(bandThen < (1 - WORTH_IT) * width)) return [];
      return [
        {
          quantity: input.path,
          name: measuring.name,
          how: measuring.how,
          why: whyMoves(input, slope),
          bandNow: width,
          bandThen,
          share,
          unit: input.unit,
          valueSi: input.valueSi,
          sdNowSi: input.sdSi,
          sdThenSi,
        },
      ];
    })
    .sort((one, other) => one.bandThen - other.bandThen)
    .slice(0, MOST_MEASURES);

/** A change of an answer with its unit, for sentences that name SI; shells write their own where units are chosen. */
const changeWords = (answer: AnswerName, slope: number): string => {
  const size = Math.abs(slope);
  switch (ANSWER_WORDS[answer].unit) {
    case 'W':
      return `${(size / 1000).toFixed(1)} kW`;
    case 'Pa':
      return `${(size / 1000).toFixed(1)} kPa`;
    case '1':
      return `${(100 * size).toFixed(1)} %`;
    case 'rpm':
      return `${size.toFixed(0)} rpm`;
    case 'K':
      return `${size.toFixed(1)} K`;
    case 'deg':
      return `${size.toFixed(1)} deg`;
    case 's':
      return `${size.toFixed(2)} s`;
  }
};

const sourceWords = (input: Input): string => (input.estimated ? 'an estimate' : 'a data-sheet value');

/** Answers of the samples, each in their order. */
export type SampledAnswers = Readonly<Partial<Record<AnswerName, readonly (number | null)[]>>>;

/**
 * Band, sensitivities and worthwhile measurements of every answer that at least half of the samples have.
 * `samples` and `seed` as the samples were drawn. `firstPart`: what gives out first, for the sentence.
 */
export const explainAnswers = (
  resolved: ResolvedBuild,
  answers: SampledAnswers,
  {
    samples,
    seed,
    firstPart,
    besides = [],
  }: {
    readonly samples: number;
    readonly seed: number;
    readonly firstPart?: string;
    /** What was sampled beside the sheet's numbers, in the order of its columns after theirs. */
    readonly besides?: readonly Input[];
  },
): AnswerUncertainty[] => {
  const inputs = [...resolved.inputs, ...besides];
  if (samples < LEAST_SAMPLES) return [];
  const normals = normalSamples(samples, inputs.length, seed);
  let whole: SensitivityBasis | null = null;
  const basisOf = (rows: readonly number[]): SensitivityBasis => {
    if (rows.length < samples) return sensitivityBasis(normals, inputs.length, rows);
    whole ??= sensitivityBasis(normals, inputs.length, rows);
    return whole;
  };
  return ANSWER_NAMES.flatMap((answer): AnswerUncertainty[] => {
    const all = answers[answer] ?? [];
    const rows = all.flatMap((value, row) => (value !== null && Number.isFinite(value) ? [row] : []));
    if (rows.length < Math.max(LEAST_SAMPLES, ANSWERED_SHARE * samples)) return [];
    const values = rows.map((row) => all[row]!);
    const band = bandOf(values);
    if (!band) return [];
    const { about, unit } = ANSWER_WORDS[answer];
    const found = firstOrderShares(basisOf(rows), values);
    const shares = found?.shares ?? [];
    const what = answer === 'first-limit' && firstPart ? `${about.replace('part', `part (${firstPart})`)}` : about;
    return [
      {
        answer,
        about,
        unit,
        band,
        rest: found?.rest ?? 0,
        sensitivity: shares.slice(0, MOST_SHARES).map(
          ({ input, share, standardError, slope }): InputShare => ({
            quantity: inputs[input]!.path,
            about: inputs[input]!.about,
            share,
            standardError,
            slope,
          }),
        ),
        measure: measuresOf(
          inputs,
          shares,
          band.p90 - band.p10,
          (input, slope) =>
            `${input.about} is ${sourceWords(input)}: one standard deviation of it moves the ${what} by ${changeWords(answer, slope)}.`,
        ),
      },
    ];
  });
};

/** The measurements for the power at which the first part gives out, in the shape that the ledger has carried from the start. */
export const measureNextOf = (explained: readonly AnswerUncertainty[]): MeasureNext[] =>
  (explained.find(({ answer }) => answer === 'first-limit')?.measure ?? []).map(
    ({ quantity, name, how, why, bandNow, bandThen }) => ({
      quantity,
      name,
      how,
      why,
      bandNowW: bandNow,
      bandThenW: bandThen,
    }),
  );
