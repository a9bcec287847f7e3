/** What to measure next, as `boostwright measure --json` prints it. */
import {
  ANSWER_NAMES,
  type AnswerName,
  type AnswerUncertainty,
  type Conditions,
  explainAnswers,
  type SpoolSample,
  UNSAID_INPUTS,
} from '../match/index.ts';
import type { HeadroomAnswer } from './headroom.ts';
import { type ModelRequest, resolvedOf } from './model-request.ts';
import { BadInput } from './problems.ts';
import { SEED } from './shares.ts';

export interface MeasureView {
  readonly schema: 'boostwright.measure/1';
  readonly build: string;
  readonly conditions: Conditions;
  readonly samples: number;
  /** The part that gives out first in most samples. */
  readonly firstPart: string | null;
  /** The answer asked for, or all of them. */
  readonly answers: readonly AnswerUncertainty[];
  readonly cautions: readonly string[];
}

/** The name of an answer as typed: "charge temperature" or "charge-temperature". @throws BadInput with the names there are. */
export const readAnswerName = (text: string): AnswerName => {
  const plain = text
    .trim()
    .toLowerCase()
    .replace(/[\s_]+/g, '-');
  const found = ANSWER_NAMES.find((name) => name === plain);
  if (!found) throw new BadInput('bad-answer', `There is no answer "${text}"; use ${ANSWER_NAMES.join(', ')}.`);
  return found;
};

const CARE =
  'Measuring can hurt: fuel under pressure, hot parts and pulls at speed need the cautions beside each proposal, local rules and licensed practice.';

/**
 * The uncertainty of a ledger by itself.
 * @throws BadInput where the answer asked for is one that this build does not have.
 */
export const measureView = (ledger: HeadroomAnswer, answer?: AnswerName): MeasureView => {
  const answers = ledger.uncertainty.filter((one) => answer === undefined || one.answer === answer);
  if (answer !== undefined && answers.length === 0) {
    throw new BadInput(
      'no-such-answer',
      answer === 'knock-margin'
        ? 'This build has no knock margin to narrow: its timing is estimated; type the timing that the engine computer runs.'
        : `This build has no "${answer}" in half of its samples, so there is no band to narrow.`,
    );
  }
  const first = ledger.parts.reduce<(typeof ledger.parts)[number] | null>(
    (best, part) => (part.chanceFirst > (best?.chanceFirst ?? 0) ? part : best),
    null,
  );
  return {
    schema: 'boostwright.measure/1',
    build: ledger.build,
    conditions: ledger.conditions,
    samples: ledger.samples,
    firstPart: first?.part ?? null,
    answers,
    cautions: [CARE],
  };
};

/** Cars run in time for the spool's sensitivities when nothing is said. */
export const USUAL_SPOOL_MEASURE_SAMPLES = 256;

/**
 * The same for the time from the pedal to 90 % of the boost, from cars run in time.
 * @throws BadInput where half of them do not get there.
 */
export const spoolMeasureView = ({ build, conditions }: ModelRequest, solved: readonly SpoolSample[]): MeasureView => {
  const times = solved.map(({ answer }) => answer.arrived?.timeS ?? null);
  const answers = explainAnswers(
    resolvedOf(build),
    { 'spool-time': times },
    { samples: solved.length, seed: SEED, besides: UNSAID_INPUTS },
  );
  if (answers.length === 0) {
    throw new BadInput(
      'no-such-answer',
      'Half of the samples of this build do not reach 90 % of the boost in this gear from here: there is no spool time to narrow.',
    );
  }
  return {
    schema: 'boostwright.measure/1',
    build: build.name,
    conditions,
    samples: solved.length,
    firstPart: null,
    answers,
    cautions: [CARE],
  };
};
