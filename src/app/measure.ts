/** What to measure next, as `boostwright measure --json` prints it. */
import { ANSWER_NAMES, type AnswerName, type AnswerUncertainty, type Conditions } from '../match/index.ts';
import type { HeadroomAnswer } from './headroom.ts';
import { BadInput } from './problems.ts';

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
