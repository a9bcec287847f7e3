/** What to measure next for an answer that is chosen: the band now and expected then, how to measure, what moves it. */
import { useId, useState } from 'react';
import { Caution } from '../parts/Caution.tsx';
import { Panel } from '../parts/Panel.tsx';
import { CautionButton } from '../parts/TitleBlock.tsx';
import { createStore, useStore } from '../state/store.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import type { LedgerData } from './ledger-data.ts';
import { ANSWER_TITLES, type Answer, answerUnit, halfBand, type Measure, middle, spreadOf } from './measure-words.ts';

/** Stays chosen while the pages are open. */
const answerStore = createStore<Answer['answer']>('first-limit');
const SHARES_SHOWN = 8;

const CARE = [
  'Fuel under pressure, hot parts and pulls at speed need the care that is said with each. Follow local rules, and leave what you are not equipped for to a licensed workshop.',
];

const Details = ({ answer }: { answer: Answer }) => {
  const units = useUnits();
  const unit = answerUnit(answer, units);
  const bands = (one: Measure) =>
    `±${halfBand(answer, one.bandNow, units)} now, ±${halfBand(answer, one.bandThen, units)} ${unit} expected then`;
  return (
    <>
      <p>
        {ANSWER_TITLES[answer.answer]}: {middle(answer, units)} ±
        {halfBand(answer, answer.band.p90 - answer.band.p10, units)} {unit} as it stands.
      </p>
      {answer.measure.length > 0 ? (
        <>
          <h3>Measure, each on its own</h3>
          <ol className="measures">
            {answer.measure.map((one) => (
              <li key={one.quantity}>
                <b>{one.name}</b>: {bands(one)}
                <span className="note">
                  Known to ±{spreadOf(one.sdNowSi, one.unit, units)} now, to ±{spreadOf(one.sdThenSi, one.unit, units)}{' '}
                  once measured.
                </span>
                <span>{one.how}</span>
              </li>
            ))}
          </ol>
        </>
      ) : (
        <p>Nothing that a garage can measure would narrow it by 1 %: what moves it is learned from logs.</p>
      )}
      {answer.sensitivity.length > 0 && (
        <table className="shares">
          <caption>What moves it</caption>
          <thead>
            <tr>
              <th scope="col">Number of the sheet</th>
              <th scope="col" className="num">
                of its variance, %
              </th>
            </tr>
          </thead>
          <tbody>
            {answer.sensitivity.slice(0, SHARES_SHOWN).map(({ quantity, about, share }) => (
              <tr key={quantity}>
                <th scope="row">{about}</th>
                <td className="num">{writeNumber(100 * share, 0)}</td>
              </tr>
            ))}
            <tr>
              <th scope="row">No number by itself: joint effects, and what the samples cannot tell</th>
              <td className="num">{writeNumber(100 * answer.rest, 0)}</td>
            </tr>
          </tbody>
        </table>
      )}
      <Caution title="measuring can hurt" items={CARE} />
    </>
  );
};

export const MeasureNext = ({ data, caution }: { data: LedgerData; caution: boolean }) => {
  const units = useUnits();
  const id = useId();
  const [open, setOpen] = useState(false);
  const wanted = useStore(answerStore);
  const answers = data.view.uncertainty;
  const answer = answers.find((one) => one.answer === wanted) ?? answers[0];
  const [first] = answer?.measure ?? [];
  return (
    <div className="next">
      {answer && (
        <div className="next-of">
          <label htmlFor={id}>Measure next, for</label>
          <select
            id={id}
            value={answer.answer}
            onChange={(event) => {
              const chosen = answers.find((one) => one.answer === event.target.value);
              if (chosen) answerStore.set(chosen.answer);
            }}
          >
            {answers.map((one) => (
              <option key={one.answer} value={one.answer}>
                {ANSWER_TITLES[one.answer]}
              </option>
            ))}
          </select>
        </div>
      )}
      {answer && first ? (
        <>
          <h2>{first.name}</h2>
          <p>
            ±{halfBand(answer, first.bandNow, units)} now, ±{halfBand(answer, first.bandThen, units)}{' '}
            {answerUnit(answer, units)} expected then.
          </p>
        </>
      ) : (
        <p className="note">
          {answer
            ? 'Nothing that a garage can measure would narrow it much.'
            : 'Too few samples to say what to measure.'}
        </p>
      )}
      {answer && (
        <button type="button" className="btn flat" aria-haspopup="dialog" onClick={() => setOpen(true)}>
          How, and what moves it
        </button>
      )}
      {answer && (
        <Panel title="What to measure next" open={open} close={() => setOpen(false)}>
          <Details answer={answer} />
        </Panel>
      )}
      {caution && <CautionButton cautions={data.view.cautions} label="Caution: a limit is never a guarantee" />}
    </div>
  );
};
