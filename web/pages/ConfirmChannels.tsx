/** What each column was taken for, to be confirmed or mended before the run is reviewed. */
import { useMemo, useState } from 'react';
import type { ChannelView, RunView } from '../../src/app/api.ts';
import type { ChannelChoice, ChannelName } from '../../src/logs/types.ts';
import { confirmRun, Refused } from '../answers/client.ts';
import { forget, keep } from '../answers/use-answer.ts';
import { RuledOff } from '../parts/States.tsx';
import { useUnits, writeNumber } from '../state/units.ts';
import { CHANNEL_ORDER, CHANNEL_WORDS, channelUnit, writeChannel } from './channels.ts';

interface Draft {
  readonly index: number;
  readonly column: string;
  readonly channel: ChannelName | null;
  readonly unit: string;
  readonly reference: 'gauge' | 'absolute';
  readonly recognised: ChannelView | undefined;
}

const draftsOf = (run: RunView): Draft[] =>
  [
    ...run.channels.map(
      (channel): Draft => ({
        index: channel.index,
        column: channel.column,
        channel: channel.channel,
        unit: channel.unit,
        reference: channel.reference ?? 'absolute',
        recognised: channel,
      }),
    ),
    ...run.unrecognised.map(
      ({ index, column, unit }): Draft => ({
        index,
        column,
        channel: null,
        unit,
        reference: 'absolute',
        recognised: undefined,
      }),
    ),
  ].sort((a, b) => a.index - b.index);

const isPressure = (channel: ChannelName | null): boolean =>
  channel !== null && CHANNEL_WORDS[channel].pressure === true;

/** Only what a person changed: the rest stays as recognised, and is learned from as recognised. */
const choicesOf = (run: RunView, drafts: readonly Draft[]): ChannelChoice[] =>
  drafts.flatMap((draft, at): ChannelChoice[] => {
    const before = draftsOf(run)[at]!;
    if (before.channel === draft.channel && before.unit === draft.unit && before.reference === draft.reference)
      return [];
    if (draft.channel === null) return [{ column: draft.column, channel: null }];
    return [
      {
        column: draft.column,
        channel: draft.channel,
        ...(draft.unit === '' ? {} : { unit: draft.unit }),
        ...(isPressure(draft.channel) ? { reference: draft.reference } : {}),
      },
    ];
  });

const sureness = (confidence: number): string =>
  confidence >= 0.9 ? 'sure' : confidence >= 0.65 ? 'fairly sure' : 'please check';

const unitOptions = ({ channel, unit }: Draft): string[] => {
  const known = channel === null ? [] : CHANNEL_WORDS[channel].writtenUnits;
  return [...new Set([...(unit === '' ? [] : [unit]), ...known])];
};

const Row = ({ draft, change, twice }: { draft: Draft; change: (next: Draft) => void; twice: boolean }) => {
  const units = useUnits();
  const { recognised, channel } = draft;
  const asRecognised = recognised !== undefined && recognised.channel === channel;
  const check = asRecognised && recognised.confidence < 0.65;
  return (
    <tr className={`${channel === null ? 'out' : ''} ${check || twice ? 'check' : ''}`}>
      <th scope="row">
        {draft.column === '' ? `column ${draft.index + 1}` : draft.column}
        {recognised && (
          <span className="note">
            {recognised.lowest !== undefined && recognised.highest !== undefined
              ? `${writeChannel(recognised.channel, units, recognised.lowest)} to ${writeChannel(recognised.channel, units, recognised.highest)} ${channelUnit(recognised.channel, units)}, `
              : 'no readings, '}
            {writeNumber(recognised.rateHz, recognised.rateHz < 10 ? 1 : 0)} a second
          </span>
        )}
      </th>
      <td>
        <select
          aria-label={`Channel of column ${draft.column}`}
          value={channel ?? 'out'}
          onChange={(event) =>
            change({ ...draft, channel: event.target.value === 'out' ? null : (event.target.value as ChannelName) })
          }
        >
          <option value="out">leave out</option>
          {CHANNEL_ORDER.map((name) => (
            <option key={name} value={name}>
              {CHANNEL_WORDS[name].name}
            </option>
          ))}
        </select>
      </td>
      <td>
        {channel !== null && (
          <select
            aria-label={`Unit of column ${draft.column}`}
            value={draft.unit}
            onChange={(event) => change({ ...draft, unit: event.target.value })}
          >
            {draft.unit === '' && <option value="">not written</option>}
            {unitOptions(draft).map((unit) => (
              <option key={unit}>{unit}</option>
            ))}
          </select>
        )}
      </td>
      <td>
        {isPressure(channel) && (
          <select
            aria-label={`Gauge or absolute, column ${draft.column}`}
            value={draft.reference}
            onChange={(event) => change({ ...draft, reference: event.target.value as Draft['reference'] })}
          >
            <option value="gauge">gauge</option>
            <option value="absolute">absolute</option>
          </select>
        )}
      </td>
      <td className="why">
        {twice ? (
          <b>two columns claim this channel</b>
        ) : asRecognised ? (
          <>
            <b>{sureness(recognised.confidence)}</b>, {writeNumber(recognised.confidence * 100, 0)} %
            <span className="note">{recognised.because}</span>
          </>
        ) : channel === null ? (
          <span className="note">{recognised ? 'left out by you' : 'not recognised; left out'}</span>
        ) : (
          <b>your choice</b>
        )}
      </td>
    </tr>
  );
};

/** How the file is written, in words. */
const writtenAs = ({ dialect }: RunView['log']): string => {
  if (dialect.format === 'mdf4') return 'measurement file (ASAM MDF 4)';
  if (dialect.format === 'parquet') return 'Parquet file';
  const separator = dialect.separator === '\t' ? 'tab' : `“${dialect.separator}”`;
  return `${dialect.encoding}, separator ${separator}, decimal “${dialect.decimal}”, names in line ${dialect.headerLine}`;
};

/** A list that is folded away, with what it counts. */
const NotRead = ({ what, lines }: { what: string; lines: readonly string[] }) => (
  <details className="refused">
    <summary>{what}</summary>
    <ul>
      {lines.map((line) => (
        <li key={line}>{line}</li>
      ))}
    </ul>
  </details>
);

const LogFacts = ({ run }: { run: RunView }) => {
  const { log } = run;
  // Reviews that were kept before these were counted have none of them.
  const { notes = [], columnsRefused = [], cellsRefused = [] } = log;
  return (
    <>
      <p className="note">
        {writeNumber(log.rows, 0)} rows, {writeNumber(log.endS - log.startS, 1)} s, {writeNumber(log.medianRateHz, 0)} a
        second; {writtenAs(log)}.
      </p>
      {notes.map((note) => (
        <p key={note} className="note">
          Note: {note}.
        </p>
      ))}
      {log.rowsRefusedTotal > 0 && (
        <NotRead
          what={`${writeNumber(log.rowsRefusedTotal, 0)} ${log.rowsRefusedTotal === 1 ? 'row was' : 'rows were'} not read`}
          lines={log.rowsRefused.map((row) => `line ${writeNumber(row.line, 0)}: ${row.why}`)}
        />
      )}
      {columnsRefused.length > 0 && (
        <NotRead
          what={`${writeNumber(columnsRefused.length, 0)} ${columnsRefused.length === 1 ? 'column was' : 'columns were'} not read`}
          lines={columnsRefused.map(({ column, why }) => `${column}: ${why}`)}
        />
      )}
      {cellsRefused.length > 0 && (
        <NotRead
          what={`Cells that are no numbers, in ${writeNumber(cellsRefused.length, 0)} ${cellsRefused.length === 1 ? 'column' : 'columns'}`}
          lines={cellsRefused.map(
            ({ column, count, line, text }) =>
              `${column}: ${writeNumber(count, 0)}${line === undefined ? '' : `, first in line ${writeNumber(line, 0)} (“${text}”)`}`,
          )}
        />
      )}
    </>
  );
};

export const ConfirmChannels = ({ run, done }: { run: RunView; done: (reviewed: RunView) => void }) => {
  const [drafts, setDrafts] = useState(() => draftsOf(run));
  const [remember, setRemember] = useState(true);
  const [working, setWorking] = useState(false);
  const [refused, setRefused] = useState<Refused | null>(null);
  const doubles = useMemo(() => {
    const counts = new Map<ChannelName, number>();
    for (const { channel } of drafts) if (channel !== null) counts.set(channel, (counts.get(channel) ?? 0) + 1);
    return new Set([...counts].filter(([, count]) => count > 1).map(([channel]) => channel));
  }, [drafts]);
  const unsure = run.channels.filter(({ confidence }) => confidence < 0.65).length;
  const confirm = async () => {
    setWorking(true);
    setRefused(null);
    try {
      const reviewed = await confirmRun(run.run.id, { choices: choicesOf(run, drafts), remember });
      forget(`traces ${run.run.id}`);
      forget(`runs ${run.run.carId}`);
      keep(`run ${run.run.id}`, reviewed);
      done(reviewed);
    } catch (error) {
      setRefused(error instanceof Refused ? error : new Refused('page-fault', String(error)));
      setWorking(false);
    }
  };
  return (
    <div className="confirm">
      <p className="lead">
        {run.already ? 'This file is in the garage already; nothing was added. ' : ''}
        {run.channels.length} of {drafts.length} columns of {run.log.file} were recognised
        {unsure > 0 ? `; ${unsure} to check` : ''}.
      </p>
      <LogFacts run={run} />
      {run.choicesRemembered && (
        <p className="note">Your choices for these columns from an earlier log were applied.</p>
      )}
      <table className="twin channels">
        <caption className="vh">Columns and what they were taken for</caption>
        <thead>
          <tr>
            <th scope="col">Column in the file</th>
            <th scope="col">Taken for</th>
            <th scope="col">Unit</th>
            <th scope="col">Pressure is</th>
            <th scope="col">How sure, and why</th>
          </tr>
        </thead>
        <tbody>
          {drafts.map((draft, at) => (
            <Row
              key={draft.index}
              draft={draft}
              twice={draft.channel !== null && doubles.has(draft.channel)}
              change={(next) => setDrafts(drafts.map((one, index) => (index === at ? next : one)))}
            />
          ))}
        </tbody>
      </table>
      {refused && <RuledOff refused={refused} />}
      <div className="confirm-foot">
        <label className="tick-box">
          <input type="checkbox" checked={remember} onChange={(event) => setRemember(event.target.checked)} />
          Remember this for logs with the same columns
        </label>
        <button type="button" className="btn first" disabled={working} onClick={confirm}>
          {working ? 'Reviewing' : 'Review this run'}
        </button>
        <p className="note" role="status">
          {working ? 'Looking at every pull; this takes a few seconds.' : ''}
        </p>
      </div>
    </div>
  );
};
