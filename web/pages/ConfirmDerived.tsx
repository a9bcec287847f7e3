/** A channel computed from others: its name, what it is, its unit, and the expression. */
import { useState } from 'react';
import type { ChannelName } from '../../src/logs/types.ts';
import { Panel } from '../parts/Panel.tsx';
import { CHANNEL_ORDER, CHANNEL_WORDS } from './channels.ts';
import { type Draft, isPressure } from './confirm-data.ts';

const Fields = ({
  draft,
  names,
  known,
  done,
  remove,
}: {
  draft: Draft;
  /** Names that are taken. */
  names: readonly string[];
  /** Channels that the log has. */
  known: readonly ChannelName[];
  done: (draft: Draft) => void;
  remove: (() => void) | null;
}) => {
  const [name, setName] = useState(draft.column);
  const [channel, setChannel] = useState<ChannelName>(draft.channel ?? 'injection-pressure');
  const units = CHANNEL_WORDS[channel].writtenUnits;
  const [unit, setUnit] = useState(draft.unit);
  const [reference, setReference] = useState(draft.reference);
  const [expression, setExpression] = useState(draft.expression ?? '');
  const into = units.includes(unit) ? unit : (units[0] ?? '');
  const problem =
    name.trim() === ''
      ? 'Give it a name.'
      : names.includes(name.trim())
        ? 'A column has this name already.'
        : expression.trim() === ''
          ? 'Write the expression.'
          : '';
  return (
    <form
      className="scaling"
      onSubmit={(event) => {
        event.preventDefault();
        if (problem !== '') return;
        done({ ...draft, column: name.trim(), channel, unit: into, reference, expression: expression.trim() });
      }}
    >
      <label className="field">
        Name
        <input value={name} maxLength={80} onChange={(event) => setName(event.target.value)} />
      </label>
      <label className="field">
        It is
        <select value={channel} onChange={(event) => setChannel(event.target.value as ChannelName)}>
          {CHANNEL_ORDER.filter((one) => one !== 'time').map((one) => (
            <option key={one} value={one}>
              {CHANNEL_WORDS[one].name}
            </option>
          ))}
        </select>
      </label>
      <div className="pairs">
        <label className="field">
          Unit of the result
          <select value={into} onChange={(event) => setUnit(event.target.value)}>
            {units.map((one) => (
              <option key={one}>{one}</option>
            ))}
          </select>
        </label>
        {isPressure(channel) && (
          <label className="field">
            Pressure is
            <select value={reference} onChange={(event) => setReference(event.target.value as Draft['reference'])}>
              <option value="gauge">gauge</option>
              <option value="absolute">absolute</option>
            </select>
          </label>
        )}
      </div>
      <label className="field">
        Expression
        <textarea
          rows={3}
          value={expression}
          spellCheck={false}
          maxLength={600}
          onChange={(event) => setExpression(event.target.value)}
        />
      </label>
      <p className="note">
        Name a channel with the unit it is to be read in, like <code>fuel-pressure [kPa gauge]</code>, or a column in
        double quotes, like <code>"AN 3"</code>. Then + - * / ^, brackets, and abs, min, max, sqrt, exp, ln, log10.
      </p>
      <details>
        <summary>Channels of this log</summary>
        <p className="note names">{known.join(', ')}</p>
      </details>
      <div className="acts">
        <button type="submit" className="btn first" disabled={problem !== ''}>
          {draft.column === '' ? 'Add it' : 'Change it'}
        </button>
        {remove && (
          <button type="button" className="btn" onClick={remove}>
            Take it out
          </button>
        )}
        <p className="note" role="status">
          {problem}
        </p>
      </div>
    </form>
  );
};

/** `draft` null: closed. A draft without a name is a new channel. */
export const ConfirmDerived = ({
  draft,
  drafts,
  done,
  remove,
  close,
}: {
  draft: Draft | null;
  drafts: readonly Draft[];
  done: (draft: Draft) => void;
  remove: (draft: Draft) => void;
  close: () => void;
}) => (
  <Panel title="Derived channel" open={draft !== null} close={close}>
    {draft && (
      <Fields
        draft={draft}
        names={drafts.filter(({ index }) => index !== draft.index).map(({ column }) => column)}
        known={drafts.flatMap(({ channel, index }) => (channel === null || index === draft.index ? [] : [channel]))}
        done={done}
        remove={draft.column === '' ? null : () => remove(draft)}
      />
    )}
  </Panel>
);
