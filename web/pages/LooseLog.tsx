/** A log without a car: read and reviewed as far as a log alone goes, nothing kept, with what a build sheet would add. */
import { useMemo, useRef, useState } from 'react';
import type { ConfirmRequest, RunView } from '../../src/app/api.ts';
import type { LooseRunView } from '../../src/app/loose-api.ts';
import { Refused, readLooseLog, type SendingWatch } from '../answers/client.ts';
import { Caution, TESTING_CAUTION } from '../parts/Caution.tsx';
import { DropBox, RateField, refusedForSize, SendingBar } from '../parts/DropLog.tsx';
import { Sheet } from '../parts/Sheet.tsx';
import { RuledOff } from '../parts/States.tsx';
import { looseLogStore } from '../state/loose-log.ts';
import { addressOf } from '../state/route.ts';
import { writeNumber } from '../state/units.ts';
import { ConfirmChannels } from './ConfirmChannels.tsx';
import { FindingsPanel } from './FindingsPanel.tsx';
import { inOrder } from './finding-words.ts';
import { RunTable } from './RunTable.tsx';
import { createRunState } from './run-state.ts';

/** Enough for what the panels of a run read; a log without a car has no place in the garage. */
const asRun = ({ buildAdds: _adds, stage, schema: _schema, ...view }: LooseRunView, fileName: string): RunView => ({
  ...view,
  run: {
    id: '',
    carId: '',
    buildId: '',
    fileName,
    sha256: view.log.sha256,
    importedAt: '',
    driven: null,
    note: '',
    state: stage === 'read' ? 'to confirm' : 'reviewed',
    durationS: view.log.endS - view.log.startS,
    pulls: view.pulls.length,
  },
  build: { id: '', carId: '', label: '', createdAt: '', parentId: null, planned: false, contentHash: '' },
});

type Fuel = 'petrol' | 'diesel';

interface Looked {
  readonly file: File;
  readonly rateHz: number | undefined;
  readonly fuel: Fuel;
  readonly view: LooseRunView;
}

type Sending =
  | { readonly state: 'idle' }
  | { readonly state: 'sending'; readonly name: string; readonly part: 'sent' | 'read'; readonly share: number }
  | { readonly state: 'refused'; readonly file: File; readonly refused: Refused };

const Adds = ({ view }: { view: LooseRunView }) => (
  <section className="adds" aria-label="What a build sheet would add">
    <h2>What a build sheet would add</h2>
    <ul>
      {view.buildAdds.map(({ needs, gives }) => (
        <li key={needs}>
          <b>{gives.charAt(0).toUpperCase() + gives.slice(1)}</b>
          <span className="note">needs {needs}</span>
        </li>
      ))}
    </ul>
    <div className="acts">
      <a className="btn first" href={addressOf({ sheet: 'new-car' })}>
        Add the car
      </a>
    </div>
    <p className="note">
      This log waits meanwhile: once the car is saved, it can be brought in on Runs with one press.
    </p>
  </section>
);

const Reviewed = ({ looked, columns, other }: { looked: Looked; columns: () => void; other: () => void }) => {
  const run = useMemo(() => asRun(looked.view, looked.file.name), [looked]);
  const state = useMemo(() => createRunState(run, inOrder(run.findings)), [run]);
  return (
    <div className="rg loose">
      <div className="lt">
        <div className="bar1">
          <p className="pick">
            <b>{looked.file.name}</b>
            <span className="note">
              {writeNumber(run.run.durationS, 0)} s, {run.pulls.length} {run.pulls.length === 1 ? 'pull' : 'pulls'},{' '}
              {run.channels.length} channels; read without a car, nothing is kept
            </span>
          </p>
          <div className="bar-acts">
            <button type="button" className="bar-btn" onClick={columns}>
              Columns
            </button>
            <button type="button" className="bar-btn" onClick={other}>
              Another log
            </button>
          </div>
        </div>
        <Adds view={looked.view} />
        <RunTable run={run} />
      </div>
      <FindingsPanel state={state} />
    </div>
  );
};

const Intro = () => (
  <section className="run-list" aria-label="What is read">
    <h2>A log without a car</h2>
    <div className="pad loose-intro">
      <p>
        The log is read and its columns shown for confirming; then every pull is looked at: mixture, knock,
        temperatures, pressures, sensors, as far as the log alone tells. Nothing of it is kept.
      </p>
      <p>
        What the build should do, which part gives out first and a surer crank power need the car: about a dozen
        numbers. <a href={addressOf({ sheet: 'new-car' })}>Add a car</a>.
      </p>
    </div>
  </section>
);

export const LooseLog = () => {
  const [looked, setLooked] = useState<Looked | null>(null);
  const [fuel, setFuel] = useState<Fuel>('petrol');
  const [sending, setSending] = useState<Sending>({ state: 'idle' });
  const [columns, setColumns] = useState(false);
  const stop = useRef(new AbortController());
  const read = async (file: File, rateHz?: number) => {
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
      const watch = { sent: told('sent'), read: told('read'), signal: stop.current.signal };
      const view = await readLooseLog(file, { stage: 'read', fuel, choices: [], rateHz, watch });
      looseLogStore.set(file);
      setLooked({ file, rateHz, fuel, view });
      setColumns(true);
      setSending({ state: 'idle' });
    } catch (error) {
      const refused = error instanceof Refused ? error : new Refused('page-fault', String(error));
      setSending(refused.code === 'stopped' ? { state: 'idle' } : { state: 'refused', file, refused });
    }
  };
  const review = async ({ choices }: ConfirmRequest, watch: SendingWatch): Promise<RunView> => {
    if (!looked) throw new Refused('page-fault', 'There is no log to review.');
    const { file, rateHz } = looked;
    const view = await readLooseLog(file, { stage: 'review', fuel: looked.fuel, choices, rateHz, watch });
    setLooked({ ...looked, view });
    return asRun(view, file.name);
  };
  const other = () => {
    setLooked(null);
    looseLogStore.set(null);
    setColumns(false);
  };
  if (looked && columns) {
    return (
      <Sheet title="Columns of a log" chosen={null}>
        <ConfirmChannels
          run={asRun(looked.view, looked.file.name)}
          done={() => setColumns(false)}
          review={review}
          canRemember={false}
        />
      </Sheet>
    );
  }
  if (looked) {
    return (
      <Sheet title="A log without a car" chosen={null}>
        <Reviewed looked={looked} columns={() => setColumns(true)} other={other} />
      </Sheet>
    );
  }
  return (
    <Sheet title="A log without a car" chosen={null}>
      <div className="runs">
        <Intro />
        <section className="drop-side" aria-label="Bring a log in">
          <h2>Bring a log in</h2>
          <label className="field">
            What the engine burns
            <select value={fuel} onChange={(event) => setFuel(event.target.value as Fuel)}>
              <option value="petrol">petrol, ethanol or methanol</option>
              <option value="diesel">diesel</option>
            </select>
          </label>
          <DropBox busy={sending.state === 'sending'} take={read} />
          {sending.state === 'sending' && <SendingBar {...sending} callOff={() => stop.current.abort()} />}
          {sending.state === 'refused' && (
            <RuledOff refused={sending.refused}>
              <p className="note">{sending.file.name}: the file on your disk was not touched.</p>
              {sending.refused.code === 'needs-rate' && <RateField send={(rateHz) => read(sending.file, rateHz)} />}
            </RuledOff>
          )}
          <Caution title="full-throttle pulls" items={[TESTING_CAUTION]} />
        </section>
      </div>
    </Sheet>
  );
};
