/** Runs: drop a log in, and every log that was dropped in before. */
import { useRef, useState } from 'react';
import type { RunSummary, RunsView } from '../../src/app/api.ts';
import { Refused, sendLog } from '../answers/client.ts';
import { answered, forget, keep } from '../answers/use-answer.ts';
import { Caution, TESTING_CAUTION } from '../parts/Caution.tsx';
import { CompareBar, useTicked } from '../parts/CompareBar.tsx';
import { DropBox, RateField, refusedForSize, SendingBar } from '../parts/DropLog.tsx';
import { runDay } from '../parts/run-day.ts';
import { Sheet } from '../parts/Sheet.tsx';
import { Await, RuledOff } from '../parts/States.tsx';
import { useBuilds, useRuns } from '../state/garage.ts';
import { looseLogStore } from '../state/loose-log.ts';
import { addressOf, go } from '../state/route.ts';
import { useStore } from '../state/store.ts';
import { writeNumber } from '../state/units.ts';

interface Chosen {
  readonly carId: string;
  readonly buildId: string;
}

type Sending =
  | { readonly state: 'idle' }
  | { readonly state: 'sending'; readonly name: string; readonly part: 'sent' | 'read'; readonly share: number }
  | { readonly state: 'refused'; readonly file: File; readonly refused: Refused };

/** Sends a log and opens its run; what was refused stays, to be read and tried again. */
const useSending = ({ carId }: Chosen, buildId: string) => {
  const [sending, setSending] = useState<Sending>({ state: 'idle' });
  const stop = useRef(new AbortController());
  const send = async (file: File, rateHz?: number) => {
    const large = refusedForSize(file);
    if (large) {
      setSending({ state: 'refused', file, refused: large });
      return;
    }
    const told = (part: 'sent' | 'read') => (share: number) =>
      setSending({ state: 'sending', name: file.name, part, share });
    told('sent')(0);
    stop.current = new AbortController();
    try {
      const run = await sendLog(carId, buildId, file, {
        ...(rateHz === undefined ? {} : { rateHz }),
        watch: { sent: told('sent'), read: told('read'), signal: stop.current.signal },
      });
      keep(`run ${run.run.id}`, run);
      forget(`runs ${carId}`);
      if (looseLogStore.get() === file) looseLogStore.set(null);
      go({ sheet: 'run', runId: run.run.id });
    } catch (error) {
      const refused = error instanceof Refused ? error : new Refused('page-fault', String(error));
      setSending(refused.code === 'stopped' ? { state: 'idle' } : { state: 'refused', file, refused });
    }
  };
  return { sending, send, callOff: () => stop.current.abort() };
};

const DropZone = ({ chosen }: { chosen: Chosen }) => {
  const builds = answered(useBuilds(chosen.carId));
  const [buildId, setBuildId] = useState(chosen.buildId);
  const { sending, send, callOff } = useSending(chosen, buildId);
  const held = useStore(looseLogStore);
  return (
    <section className="drop-side" aria-label="Bring a log in">
      <h2>Bring a log in</h2>
      <DropBox busy={sending.state === 'sending'} take={send} />
      <label className="field">
        Build the car was in
        <select value={buildId} onChange={(event) => setBuildId(event.target.value)}>
          {builds?.builds.map((build) => (
            <option key={build.id} value={build.id}>
              {build.label}
              {build.planned ? ' (planned)' : ''}
            </option>
          ))}
        </select>
      </label>
      {sending.state === 'sending' && <SendingBar {...sending} callOff={callOff} />}
      {sending.state === 'refused' && (
        <RuledOff refused={sending.refused}>
          <p className="note">{sending.file.name}: the file on your disk was not touched.</p>
          {sending.refused.code === 'needs-rate' && <RateField send={(rateHz) => send(sending.file, rateHz)} />}
        </RuledOff>
      )}
      {held && sending.state !== 'sending' && (
        <button type="button" className="btn" onClick={() => send(held)}>
          Bring in {held.name}, read before without a car
        </button>
      )}
      <p>
        Not a log of this car? <a href={addressOf({ sheet: 'new-car' })}>Add its car</a>, or{' '}
        <a href={addressOf({ sheet: 'loose-log' })}>read it without a car</a>.
      </p>
      <Caution title="full-throttle pulls" items={[TESTING_CAUTION]} />
    </section>
  );
};

const findingsText = (run: RunSummary): string => {
  if (run.state !== 'reviewed' || !run.findings) return 'channels to be confirmed';
  const { stop, fix, watch, note } = run.findings;
  const parts = [
    stop > 0 ? `${stop} to stop for` : '',
    fix > 0 ? `${fix} to fix before more boost` : '',
    watch > 0 ? `${watch} to watch` : '',
    note > 0 ? `${note} to note` : '',
  ].filter((text) => text !== '');
  return parts.length === 0 ? 'nothing found' : parts.join(', ');
};

const RunRow = ({
  run,
  buildLabel,
  ticked,
  tick,
}: {
  run: RunSummary;
  buildLabel: string;
  ticked: boolean;
  tick: () => void;
}) => (
  <li className="run-line">
    <input
      type="checkbox"
      checked={ticked}
      disabled={(run.pulls ?? 0) === 0}
      aria-label={`Compare ${run.fileName}`}
      onChange={tick}
    />
    <a className="run-row" href={addressOf({ sheet: 'run', runId: run.id })}>
      <span>
        <b>{run.fileName}</b>
        <span className="note">
          {runDay(run)}, {buildLabel}
          {run.note === '' ? '' : `; ${run.note}`}
        </span>
      </span>
      <span>
        {run.pulls === undefined ? '–' : `${run.pulls} ${run.pulls === 1 ? 'pull' : 'pulls'}`}
        <span className="note">{writeNumber(run.durationS, 0)} s</span>
      </span>
      <span className={run.findings && run.findings.stop > 0 ? 'stop' : ''}>{findingsText(run)}</span>
    </a>
  </li>
);

const RunList = ({ runs }: { runs: RunsView }) => {
  const builds = answered(useBuilds(runs.car.id));
  const labelOf = (buildId: string) => builds?.builds.find(({ id }) => id === buildId)?.label ?? '';
  const { ticked, tick } = useTicked(2);
  const [first, second] = ticked;
  return (
    <section className="run-list" aria-label="Runs">
      <h2>
        {runs.runs.length === 0
          ? 'No run yet'
          : `${runs.runs.length} ${runs.runs.length === 1 ? 'run' : 'runs'} of ${runs.car.name.replace(/^The /, 'the ')}`}
      </h2>
      {runs.runs.length > 0 && (
        <CompareBar
          first={first}
          second={second}
          what="runs"
          more={<a href={addressOf({ sheet: 'pulls' })}>All pulls of this car</a>}
        />
      )}
      {runs.runs.length === 0 ? (
        <p className="pad">
          Until a log is here, every number on the sheets is a prediction. Drop in a log of one pull to begin.
        </p>
      ) : (
        <ul>
          {runs.runs.map((run) => (
            <RunRow
              key={run.id}
              run={run}
              buildLabel={labelOf(run.buildId)}
              ticked={ticked.includes(run.id)}
              tick={() => tick(run.id)}
            />
          ))}
        </ul>
      )}
    </section>
  );
};

export const Runs = ({ chosen }: { chosen: Chosen }) => {
  const runs = useRuns(chosen.carId);
  return (
    <Sheet title="Runs" chosen={chosen}>
      <div className="runs">
        <Await answer={runs} what="Reading the runs">
          {(value) => <RunList runs={value} />}
        </Await>
        <DropZone key={chosen.buildId} chosen={chosen} />
      </div>
    </Sheet>
  );
};
