/** What was found, worst first; pressing one shows its stretch of the traces. */
import { useEffect, useRef } from 'react';
import type { Finding } from '../../src/review/types.ts';
import { allCautions, Caution } from '../parts/Caution.tsx';
import { Icon } from '../parts/Shapes.tsx';
import { useKeyPair } from '../state/keys.ts';
import { useStore } from '../state/store.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { CHANNEL_WORDS } from './channels.ts';
import {
  headline,
  idInWords,
  letterOf,
  needsInWords,
  numbersInWords,
  SEVERITY_WORDS,
  saysInUnits,
} from './finding-words.ts';
import { PowerThreeWays, RoadLoad } from './PowerThreeWays.tsx';
import { type RunState, showFinding } from './run-state.ts';

const Details = ({ finding }: { finding: Finding }) => {
  const units = useUnits();
  const numbers = numbersInWords(finding, units);
  return (
    <div className="fi-more">
      {numbers.length > 0 && (
        <dl>
          {numbers.map(({ key, name, text }) => (
            <div key={key}>
              <dt>{name}</dt>
              <dd>{text}</dd>
            </div>
          ))}
        </dl>
      )}
      {finding.couldAlsoBe.length > 0 && (
        <p>
          <b>Could also be:</b> {finding.couldAlsoBe.join('; ')}
        </p>
      )}
      <p className="note">
        Seen on {finding.channels.map((channel) => CHANNEL_WORDS[channel].name.toLowerCase()).join(', ')}. Source:{' '}
        {finding.source}. Right in about {writeNumber(finding.confidence * 100, 0)} of 100 like it.
      </p>
    </div>
  );
};

const isPhone = () => matchMedia('(max-width: 47.5em)').matches;

/** On a phone the traces stand below the findings: they are brought up. */
const show = (state: RunState, index: number): void => {
  showFinding(state, index);
  if (isPhone()) document.querySelector('.trace-block')?.scrollIntoView({ block: 'start' });
};

const Item = ({ finding, index, state }: { finding: Finding; index: number; state: RunState }) => {
  const selected = useStore(state.finding) === index;
  const units = useUnits();
  const { moments } = state;
  const self = useRef<HTMLLIElement>(null);
  useEffect(() => {
    if (selected && !isPhone()) self.current?.scrollIntoView({ block: 'nearest' });
  }, [selected]);
  return (
    <li className={`fi ${selected ? 'sel' : ''} sev-${finding.severity}`} ref={self}>
      <span className="pen" aria-hidden="true">
        {letterOf(index)}
      </span>
      <div>
        <button type="button" className="fi-button" aria-pressed={selected} onClick={() => show(state, index)}>
          <b>{saysInUnits(finding, units, moments)}</b>
          <span className="vh">. </span>
          <span className="note">
            {SEVERITY_WORDS[finding.severity]}; {moments.span(finding.startS, finding.endS)}
          </span>
        </button>
        <p className="do">
          <i>Next</i> {finding.next}
        </p>
        {selected && <Details finding={finding} />}
      </div>
    </li>
  );
};

const NotChecked = ({ state }: { state: RunState }) => {
  const { notChecked, problems } = state.view;
  if (notChecked.length === 0 && problems.length === 0) return null;
  return (
    <section className="not-checked">
      {notChecked.length > 0 && (
        <details>
          <summary>Not checked: {notChecked.length}</summary>
          <ul>
            {notChecked.map((one) => (
              <li key={one.id}>
                <b>{idInWords(one.id)}</b> needs {needsInWords(one)}
              </li>
            ))}
          </ul>
        </details>
      )}
      {problems.length > 0 && (
        <details>
          <summary>Could not be worked out: {problems.length}</summary>
          <ul>
            {problems.map((one) => (
              <li key={`${one.about} ${one.reason}`}>
                <b>{one.about}</b>: {one.reason}
              </li>
            ))}
          </ul>
        </details>
      )}
    </section>
  );
};

export const FindingsPanel = ({ state }: { state: RunState }) => {
  const said = useStore(state.said);
  useKeyPair('f', (letter) => {
    const index = letter.charCodeAt(0) - 97;
    if (index >= 0 && index < 26) showFinding(state, index);
  });
  const { findings, view } = state;
  return (
    <aside className="rt" aria-label="Findings and power">
      <h2 className="rt-head">{headline(findings.length)}</h2>
      <p className="vh" role="status">
        {said}
      </p>
      {findings.length === 0 ? (
        <div className="agrees">
          <Icon name="check" />
          <p>
            {view.notChecked.length === 0
              ? 'Every rule was tried.'
              : `Every rule that this log’s channels allow was tried, ${view.notChecked.length} ${view.notChecked.length === 1 ? 'was' : 'were'} not.`}{' '}
            No finding is no promise: look at the traces yourself too.
          </p>
        </div>
      ) : (
        <ol className="fis">
          {findings.map((finding, index) => (
            <Item key={`${finding.id} ${finding.startS}`} finding={finding} index={index} state={state} />
          ))}
        </ol>
      )}
      <NotChecked state={state} />
      <PowerThreeWays state={state} />
      <RoadLoad state={state} />
      <div className="pad">
        <Caution
          title="before the next pull"
          items={allCautions(view.cautions).slice(0, Math.max(3, view.cautions.length))}
        />
      </div>
    </aside>
  );
};
