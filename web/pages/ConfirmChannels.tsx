/** What each column was taken for, to be confirmed or mended before the run is reviewed. */
import { useMemo, useRef, useState } from 'react';
import type { ConfirmRequest, RunView } from '../../src/app/api.ts';
import type { ChannelName } from '../../src/logs/types.ts';
import { confirmRun, Refused, type SendingWatch } from '../answers/client.ts';
import { forget, keep } from '../answers/use-answer.ts';
import { RuledOff } from '../parts/States.tsx';
import { useUnits, writeNumber } from '../state/units.ts';
import { ConfirmDerived } from './ConfirmDerived.tsx';
import { ConfirmQuestions } from './ConfirmQuestions.tsx';
import { ConfirmScaling } from './ConfirmScaling.tsx';
import { CHANNEL_ORDER, CHANNEL_WORDS, channelUnit, writeChannel } from './channels.ts';
import { choicesOf, type Draft, draftsOf, isPressure, scalingWords, takenFor } from './confirm-data.ts';
import { LogFacts } from './NotRead.tsx';

const sureness = (confidence: number): string =>
  confidence >= 0.9 ? 'sure' : confidence >= 0.65 ? 'fairly sure' : 'please check';

const unitOptions = ({ channel, unit }: Draft): string[] => {
  const known = channel === null ? [] : CHANNEL_WORDS[channel].writtenUnits;
  return [...new Set([...(unit === '' ? [] : [unit]), ...known])];
};

const Row = ({
  draft,
  change,
  twice,
  scale,
  edit,
}: {
  draft: Draft;
  change: (next: Draft) => void;
  twice: boolean;
  scale: () => void;
  edit: () => void;
}) => {
  const units = useUnits();
  const { recognised, channel, scaling, expression } = draft;
  const asRecognised = recognised !== undefined && recognised.channel === channel;
  const check = asRecognised && recognised.confidence < 0.65;
  const isRescaled = JSON.stringify(scaling) !== JSON.stringify(recognised?.scaling) || recognised?.unit !== draft.unit;
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
        {expression !== undefined && (
          <span className="note">
            derived: <code>{expression}</code>
          </span>
        )}
        {scaling && channel !== null && <span className="note">scaled: {scalingWords(scaling, draft.unit)}</span>}
      </th>
      <td>
        <select
          aria-label={`Channel of column ${draft.column}`}
          value={channel ?? 'out'}
          onChange={(event) =>
            change(takenFor(draft, event.target.value === 'out' ? null : (event.target.value as ChannelName)))
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
      <td className="unit-cell">
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
        {channel !== null && (
          <button
            type="button"
            className="btn flat"
            aria-label={`${expression === undefined ? 'Scale' : 'Edit'} ${draft.column}`}
            onClick={expression === undefined ? scale : edit}
          >
            {expression !== undefined ? 'Edit' : scaling ? 'Scaled' : 'Scale'}
          </button>
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
        ) : asRecognised && !isRescaled ? (
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

/** How far the reading of a run is while it is reviewed, with the way to call it off. */
interface Working {
  readonly share: number;
}

/** Logs of more rows than this take long enough to say how far they are. */
const LARGE_ROWS = 50_000;

/** Reviews a log that the garage does not have. */
type ReviewElsewhere = (request: ConfirmRequest, watch: SendingWatch) => Promise<RunView>;

const useConfirming = (run: RunView, done: (reviewed: RunView) => void, elsewhere: ReviewElsewhere | undefined) => {
  const [working, setWorking] = useState<Working | null>(null);
  const [refused, setRefused] = useState<Refused | null>(null);
  const stop = useRef(new AbortController());
  const confirm = async (request: ConfirmRequest) => {
    setWorking({ share: 0 });
    setRefused(null);
    stop.current = new AbortController();
    try {
      const watch = { sent: () => {}, read: (share: number) => setWorking({ share }), signal: stop.current.signal };
      const reviewed = elsewhere ? await elsewhere(request, watch) : await confirmRun(run.run.id, request, watch);
      if (!elsewhere) {
        forget(`traces ${run.run.id}`);
        forget(`runs ${run.run.carId}`);
        keep(`run ${run.run.id}`, reviewed);
      }
      done(reviewed);
    } catch (error) {
      const why = error instanceof Refused ? error : new Refused('page-fault', String(error));
      if (why.code !== 'stopped') setRefused(why);
      setWorking(null);
    }
  };
  return { working, refused, confirm, callOff: () => stop.current.abort() };
};

/** What a person says of the run as a whole. */
interface About {
  readonly drivenAt: string;
  readonly note: string;
}

/** What of it differs from what is kept. A field that is emptied says nothing of the day, but takes the note away. */
const told = ({ run }: RunView, { drivenAt, note }: About): Pick<ConfirmRequest, 'drivenAt' | 'note'> => {
  // Browsers leave seconds of zero away.
  const whole = drivenAt.length === 16 ? `${drivenAt}:00` : drivenAt;
  return {
    ...(whole === '' || whole === run.driven?.at ? {} : { drivenAt: whole }),
    ...(note.trim() === run.note ? {} : { note: note.trim() }),
  };
};

const newDerived = (drafts: readonly Draft[]): Draft => ({
  index: Math.max(-1, ...drafts.map(({ index }) => index)) + 1,
  column: '',
  channel: 'injection-pressure',
  unit: '',
  reference: 'gauge',
  airFuelAtLambdaOne: undefined,
  scaling: undefined,
  expression: '',
  recognised: undefined,
});

export const ConfirmChannels = ({
  run,
  done,
  review,
  canRemember = true,
}: {
  run: RunView;
  done: (reviewed: RunView) => void;
  /** Instead of the garage's own review. */
  review?: ReviewElsewhere;
  canRemember?: boolean;
}) => {
  const [drafts, setDrafts] = useState(() => draftsOf(run));
  const [remember, setRemember] = useState(true);
  const [about, setAbout] = useState<About>({ drivenAt: run.run.driven?.at ?? '', note: run.run.note });
  const [scaling, setScaling] = useState<Draft | null>(null);
  const [derived, setDerived] = useState<Draft | null>(null);
  const { working, refused, confirm, callOff } = useConfirming(run, done, review);
  const doubles = useMemo(() => {
    const counts = new Map<ChannelName, number>();
    for (const { channel } of drafts) if (channel !== null) counts.set(channel, (counts.get(channel) ?? 0) + 1);
    return new Set([...counts].filter(([, count]) => count > 1).map(([channel]) => channel));
  }, [drafts]);
  const put = (next: Draft) => {
    const isOld = drafts.some(({ index }) => index === next.index);
    setDrafts(isOld ? drafts.map((one) => (one.index === next.index ? next : one)) : [...drafts, next]);
    setScaling(null);
    setDerived(null);
  };
  const unsure = run.channels.filter(({ confidence }) => confidence < 0.65).length;
  const columns = drafts.filter(({ expression }) => expression === undefined).length;
  const recognised = run.channels.filter(({ expression }) => expression === undefined).length;
  const hasSpeed = drafts.some(({ channel }) => channel === 'engine-speed');
  return (
    <div className="confirm">
      <p className="lead">
        {run.already ? 'This file is in the garage already; nothing was added. ' : ''}
        {recognised} of {columns} columns of {run.log.file} were recognised
        {unsure > 0 ? `; ${unsure} to check` : ''}.
      </p>
      <LogFacts log={run.log} />
      {run.choicesRemembered && (
        <p className="note">Your choices for these columns from an earlier log were applied.</p>
      )}
      {run.questions.length > 0 && <ConfirmQuestions questions={run.questions} drafts={drafts} change={setDrafts} />}
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
          {drafts.map((draft) => (
            <Row
              key={draft.index}
              draft={draft}
              twice={draft.channel !== null && doubles.has(draft.channel)}
              change={put}
              scale={() => setScaling(draft)}
              edit={() => setDerived(draft)}
            />
          ))}
        </tbody>
      </table>
      <p>
        <button type="button" className="btn" onClick={() => setDerived(newDerived(drafts))}>
          Add a derived channel
        </button>
      </p>
      {/* A new key: its fields begin with what the draft holds. */}
      <ConfirmScaling key={`scaling ${scaling?.index}`} draft={scaling} done={put} close={() => setScaling(null)} />
      <ConfirmDerived
        key={`derived ${derived?.index}`}
        draft={derived}
        drafts={drafts}
        done={put}
        remove={(gone) => {
          setDrafts(drafts.filter(({ index }) => index !== gone.index));
          setDerived(null);
        }}
        close={() => setDerived(null)}
      />
      <div className="confirm-about">
        <label className="field">
          Driven on
          <input
            type="datetime-local"
            step={1}
            value={about.drivenAt}
            onChange={(event) => setAbout({ ...about, drivenAt: event.target.value })}
          />
        </label>
        <label className="field">
          What you noticed
          <input
            type="text"
            maxLength={400}
            placeholder="felt flat at the top, damp road"
            value={about.note}
            onChange={(event) => setAbout({ ...about, note: event.target.value })}
          />
        </label>
      </div>
      {refused && <RuledOff refused={refused} />}
      <div className="confirm-foot">
        {canRemember && (
          <label className="tick-box">
            <input type="checkbox" checked={remember} onChange={(event) => setRemember(event.target.checked)} />
            Remember this for logs with the same columns
          </label>
        )}
        <button
          type="button"
          className="btn first"
          disabled={working !== null || !hasSpeed}
          onClick={() => confirm({ choices: choicesOf(run, drafts), remember, ...told(run, about) })}
        >
          {working ? 'Reviewing' : 'Review this run'}
        </button>
        {working && run.log.rows > LARGE_ROWS && (
          <div className="sending">
            <progress
              max={1}
              {...(working.share < 1 ? { value: working.share } : {})}
              aria-label={working.share < 1 ? 'Reading the log' : 'Looking at every pull'}
            />
            <button type="button" className="btn" onClick={callOff}>
              Call it off
            </button>
          </div>
        )}
        <p className="note" role="status">
          {working
            ? 'Looking at every pull; this takes a few seconds.'
            : hasSpeed
              ? ''
              : 'No column is taken for engine speed: choose the one that holds it.'}
        </p>
      </div>
    </div>
  );
};
