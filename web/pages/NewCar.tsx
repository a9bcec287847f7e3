/** New car: about a dozen numbers that make a build usable; all else starts as an estimate by engine class. */
import { useEffect, useMemo, useRef, useState } from 'react';
import { type Build, checkBuild, resolveBuild } from '../../src/car/index.ts';
import { makeCar, Refused } from '../answers/client.ts';
import { forget } from '../answers/use-answer.ts';
import { allCautions, Caution } from '../parts/Caution.tsx';
import { Sheet } from '../parts/Sheet.tsx';
import { RuledOff } from '../parts/States.tsx';
import { chooseBuild } from '../state/chosen.ts';
import { draftStore } from '../state/drafts.ts';
import { looseLogStore } from '../state/loose-log.ts';
import { addressOf, go } from '../state/route.ts';
import { useStore } from '../state/store.ts';
import { unitStore } from '../state/units.ts';
import { NewCarFields } from './NewCarFields.tsx';
import {
  ASKED,
  emptyDraft,
  NAME_MOST,
  type NewCarDraft,
  newCarSheet,
  progressOf,
  reviveNewCar,
  withBase,
} from './new-car-data.ts';
import { readJsonFile, SheetFileButton } from './SheetFile.tsx';
import { SheetGroups } from './SheetGroups.tsx';
import { fieldId, Problem } from './SheetInputs.tsx';
import type { FieldProblem } from './sheet-draft.ts';
import { typedUnitStore } from './sheet-fields.ts';
import { todayHere } from './sheet-save.ts';

const useDraft = () => {
  const [empty] = useState(() => emptyDraft(unitStore.get(), typedUnitStore.get()));
  const store = useMemo(() => draftStore<NewCarDraft>('new car', (saved) => reviveNewCar(saved, empty)), [empty]);
  const draft = useStore(store);
  return { draft: draft ?? empty, begun: draft !== null, setDraft: store.set };
};

const nameOf = (path: string): string =>
  path === 'name'
    ? 'Name of the car'
    : path === 'label'
      ? 'Name of this build'
      : path === 'turbocharger.compressorMap'
        ? 'Compressor map'
        : (ASKED.flatMap(({ asked }) => asked).find((one) => one.path === path)?.name ?? path);

/** Everything that is to be mended, each a way to its field. */
const ToMend = ({ problems }: { problems: readonly FieldProblem[] }) => {
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => heading.current?.focus(), []);
  return (
    <section className="ruled mending" role="alert">
      <h2 ref={heading} tabIndex={-1}>
        {problems.length === 1 ? 'One thing is' : `${problems.length} things are`} missing or cannot be; nothing typed
        is lost.
      </h2>
      <ol>
        {problems.map(({ path, says }) => (
          <li key={`${path} ${says}`}>
            <button
              type="button"
              onClick={() => {
                const field = document.getElementById(fieldId(path));
                field?.scrollIntoView({ block: 'center' });
                field?.focus();
              }}
            >
              {nameOf(path)}
            </button>
            : {says}
          </li>
        ))}
      </ol>
    </section>
  );
};

const Names = ({
  draft,
  setDraft,
  problemOf,
  left,
}: {
  draft: NewCarDraft;
  setDraft: (draft: NewCarDraft) => void;
  problemOf: (path: string) => string | undefined;
  left: (path: string) => () => void;
}) => (
  <>
    {(
      [
        ['name', 'Name of the car', 'What you call it. It stands on every sheet.'],
        ['label', 'Name of this build', 'The state the car is in now; each later change becomes a build of its own.'],
      ] as const
    ).map(([path, name, help]) => (
      <div className={`ni ${problemOf(path) === undefined ? '' : 'has-wrong'}`} key={path}>
        <label className="ni-name" htmlFor={fieldId(path)}>
          {name}
        </label>
        <p className="note" id={`${fieldId(path)}-h`}>
          {help}
        </p>
        <input
          id={fieldId(path)}
          value={draft[path]}
          maxLength={NAME_MOST}
          autoComplete="off"
          aria-invalid={problemOf(path) !== undefined}
          aria-describedby={`${fieldId(path)}-h${problemOf(path) === undefined ? '' : ` ${fieldId(path)}-p`}`}
          onChange={(event) => setDraft({ ...draft, [path]: event.target.value })}
          onBlur={left(path)}
        />
        <Problem id={`${fieldId(path)}-p`} says={problemOf(path)} />
      </div>
    ))}
  </>
);

/** What stands in for everything that is not asked. */
const Estimates = ({ build }: { build: Build | null }) => {
  const quantities = useMemo(
    () =>
      build === null
        ? []
        : Object.entries(resolveBuild(build).quantities)
            .map(([path, quantity]) => ({ path, ...quantity }))
            .filter(
              ({ path, estimated }) => estimated && (build.injection !== undefined || !/^injection\./.test(path)),
            ),
    [build],
  );
  return (
    <section aria-label="Estimates">
      <h2>All else is an estimate</h2>
      {build === null ? (
        <p className="note">
          As soon as the numbers above make a build, everything else stands here as an estimate by engine class, with
          its plus-minus. Each one narrows when you measure it.
        </p>
      ) : (
        <details className="estimates" open>
          <summary>{quantities.length} numbers by engine class, until you measure them</summary>
          <SheetGroups quantities={quantities} sheet={null} />
        </details>
      )}
    </section>
  );
};

const FIGURES =
  'Type what is on the car, not what is planned for it: a boost that is higher on the car than here, or an injector, pump or pressure figure that is higher here than on the car, makes the sheets see room that is not there.';

const cautions = (): string[] => [FIGURES, ...allCautions([]).filter((says) => /^(A limit|Fuel is under)/.test(says))];

const Side = ({
  draft,
  problems,
  setDraft,
  begun,
  clear,
}: {
  draft: NewCarDraft;
  problems: readonly FieldProblem[];
  setDraft: (draft: NewCarDraft) => void;
  begun: boolean;
  clear: () => void;
}) => {
  const [refused, setRefused] = useState<Refused | null>(null);
  const take = async (file: File) => {
    const read = await readJsonFile(file);
    if (read instanceof Refused) {
      setRefused(read);
      return;
    }
    const checked = checkBuild(read.value);
    if (!checked.ok) {
      const says = `${read.name} is not a usable build sheet; nothing was taken from it. Mend what is listed, or type the numbers here.`;
      setRefused(new Refused('bad-build', says, checked.problems));
      return;
    }
    setRefused(null);
    setDraft(withBase(draft, read.name, checked.build));
  };
  return (
    <aside className="nc-side">
      <h2>How far</h2>
      <ul className="nc-list">
        {progressOf(draft, problems).map(({ title, done, of }) => (
          <li key={title}>
            <span className="tick" aria-hidden="true">
              {done === of ? '✓' : '·'}
            </span>
            <span>
              <b>{title}</b>: {done} of {of}
            </span>
          </li>
        ))}
      </ul>
      <p className="note">What is typed is kept in this browser until it is saved.</p>
      <h2>From a file</h2>
      <p className="note">
        A build sheet saved from Boostwright, or written by hand: its figures go into the fields, the rest of it comes
        along.
      </p>
      <SheetFileButton take={take} says="Bring a build sheet in" />
      {draft.base && (
        <p role="status">
          <b>{draft.base.file}</b> lies under what is typed here.{' '}
          <button type="button" className="act-btn" onClick={() => setDraft({ ...draft, base: null })}>
            Take it away
          </button>
        </p>
      )}
      {refused && <RuledOff refused={refused} />}
      <Caution title="before you go by these sheets" items={cautions()} />
      {begun && (
        <button type="button" className="btn" onClick={clear}>
          Empty the form
        </button>
      )}
    </aside>
  );
};

export const NewCar = () => {
  const { draft, begun, setDraft } = useDraft();
  const applied = useMemo(() => newCarSheet(draft, todayHere()), [draft]);
  const [seen, setSeen] = useState<ReadonlySet<string>>(new Set());
  const [pressed, setPressed] = useState(0);
  const [working, setWorking] = useState(false);
  const [refused, setRefused] = useState<Refused | null>(null);
  const left = (path: string) => () => {
    if (!seen.has(path)) setSeen(new Set([...seen, path]));
  };
  const problemOf = (path: string): string | undefined => {
    const says = applied.problems.find((problem) => problem.path === path)?.says;
    // An empty field is a fault only once somebody wants to save.
    return pressed > 0 || (seen.has(path) && !says?.startsWith('missing')) ? says : undefined;
  };
  const save = async () => {
    setRefused(null);
    if (applied.build === null) {
      setPressed(pressed + 1);
      return;
    }
    setWorking(true);
    try {
      const made = await makeCar({
        name: draft.name.trim(),
        label: draft.label.trim(),
        planned: draft.planned,
        ...(draft.note.trim() === '' ? {} : { note: draft.note.trim() }),
        sheet: applied.build,
      });
      setDraft(null);
      forget('cars');
      chooseBuild(made.car.id, made.build.id);
      // Whoever came with a log goes on with it.
      go({ sheet: looseLogStore.get() === null ? 'air-path' : 'runs' });
    } catch (error) {
      setRefused(error instanceof Refused ? error : new Refused('page-fault', String(error)));
      setWorking(false);
    }
  };
  return (
    <Sheet title="New car" chosen={null}>
      <form
        className="nc"
        noValidate
        onSubmit={(event) => {
          event.preventDefault();
          save();
        }}
      >
        <div className="nc-main">
          <p className="lead">A dozen numbers make a car that every sheet can work with.</p>
          <p className="note nc-intro">
            Leave the plus-minus empty and the usual one of its source is taken: a measured figure counts for more than
            one off a data sheet, and that for more than an estimate. If you do not know a number, give your best guess
            and call it an estimate; the sheets then say how much hangs on it.
          </p>
          <h2>Names</h2>
          <div className="nc-part">
            <Names draft={draft} setDraft={setDraft} problemOf={problemOf} left={left} />
          </div>
          <NewCarFields draft={draft} setDraft={setDraft} problemOf={problemOf} left={left} />
          <h2>Save it</h2>
          <div className="nc-part">
            <div className="ni">
              <label className="ni-name" htmlFor="field-note">
                Note
              </label>
              <textarea
                id="field-note"
                value={draft.note}
                maxLength={4000}
                onChange={(event) => setDraft({ ...draft, note: event.target.value })}
              />
            </div>
            {pressed > 0 && applied.problems.length > 0 && <ToMend key={pressed} problems={applied.problems} />}
            {refused && (
              <RuledOff refused={refused}>
                <p>What you typed is still here.</p>
              </RuledOff>
            )}
            <div className="acts nc-save">
              <button type="submit" className="btn first" disabled={working}>
                {working ? 'Saving' : 'Save the car'}
              </button>
              <a className="btn flat" href={addressOf({ sheet: 'air-path' })}>
                Leave it for now
              </a>
            </div>
          </div>
          <Estimates build={applied.build} />
        </div>
        <Side
          draft={draft}
          problems={applied.problems}
          setDraft={setDraft}
          begun={begun}
          clear={() => {
            setDraft(null);
            setPressed(0);
            setSeen(new Set());
          }}
        />
      </form>
    </Sheet>
  );
};
