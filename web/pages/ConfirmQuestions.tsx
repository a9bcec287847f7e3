/** What the log leaves open, asked once: the answer shows in the table of columns too. */
import type { LogQuestion } from '../../src/logs/types.ts';
import { answeredWith, type Draft, optionHeld } from './confirm-data.ts';

export const ConfirmQuestions = ({
  questions,
  drafts,
  change,
}: {
  questions: readonly LogQuestion[];
  drafts: readonly Draft[];
  change: (drafts: Draft[]) => void;
}) => (
  <section className="asked" aria-label="Questions of this log">
    <h2>{questions.length === 1 ? 'One question' : `${questions.length} questions`} that the log leaves open</h2>
    <p className="note">
      The first answer of each is taken unless you choose another. Remembered, it is not asked again.
    </p>
    {questions.map((question, at) => {
      const held = optionHeld(question, drafts);
      return (
        <fieldset key={question.asks} className={question.kind === 'contradiction' ? 'asked-one check' : 'asked-one'}>
          <legend>
            {question.kind === 'contradiction' && <b>Does not fit: </b>}
            {question.asks}
          </legend>
          {question.options.map((option, place) => (
            <label key={option.says} className="tick-box">
              <input
                type="radio"
                name={`question-${at}`}
                checked={held === place}
                onChange={() => change(answeredWith(drafts, option))}
              />
              {option.says}
            </label>
          ))}
          {held < 0 && <p className="note">Answered in the table below.</p>}
        </fieldset>
      );
    })}
  </section>
);
