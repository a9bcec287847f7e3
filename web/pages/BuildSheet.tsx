/** Build sheet: every number of the build with its plus-minus and where it came from, changed here into a new dated build. */
import { useEffect, useMemo, useRef, useState } from 'react';
import type { BuildView } from '../../src/app/api.ts';
import { resolveBuild } from '../../src/car/index.ts';
import { answered } from '../answers/use-answer.ts';
import { dayText } from '../parts/run-day.ts';
import { Sheet } from '../parts/Sheet.tsx';
import { Await } from '../parts/States.tsx';
import { chooseBuild } from '../state/chosen.ts';
import { useBuild, useBuilds, useFuelOf } from '../state/garage.ts';
import { addressOf } from '../state/route.ts';
import { useStore } from '../state/store.ts';
import { useUnits } from '../state/units.ts';
import { SheetChanges } from './SheetChanges.tsx';
import { SheetEditor } from './SheetEditor.tsx';
import { SheetFile } from './SheetFile.tsx';
import { SheetGroups } from './SheetGroups.tsx';
import { applyChanges, type Change } from './sheet-draft.ts';
import { type SheetDraft, savedStore, sheetDraftStore } from './sheet-save.ts';
import { changeLines, isSameAsSheet } from './sheet-typed.ts';

interface Chosen {
  readonly carId: string;
  readonly buildId: string;
}

/** What is being typed over a build, with what becomes of it. */
const useEdits = (view: BuildView) => {
  const units = useUnits();
  const store = useMemo(() => sheetDraftStore(view.build.id), [view.build.id]);
  const draft = useStore(store);
  const newest = answered(useBuilds(view.car.id))?.builds[0]?.id;
  const changes = draft?.changes;
  const applied = useMemo(() => applyChanges(view.sheet, changes ?? {}), [view.sheet, changes]);
  const after = useMemo(
    (): BuildView['quantities'] | null =>
      applied.build && changes
        ? Object.entries(resolveBuild(applied.build).quantities).map(([path, quantity]) => ({ path, ...quantity }))
        : null,
    [applied, changes],
  );
  const lines = useMemo(
    () =>
      new Map(changeLines(view, applied.sheet, changes ?? {}, units, after).map((line) => [line.path, line] as const)),
    [view, applied, changes, units, after],
  );
  const put = (path: string, change: Change | null) => {
    const { [path]: _old, ...rest } = draft?.changes ?? {};
    const next = change === null || isSameAsSheet(view.sheet, path, change) ? rest : { ...rest, [path]: change };
    if (Object.keys(next).length === 0) {
      store.set(null);
      return;
    }
    const begun: SheetDraft = draft ?? {
      changes: {},
      label: null,
      note: null,
      planned: null,
      ...(newest === undefined ? {} : { newestId: newest }),
    };
    store.set({ ...begun, changes: next });
  };
  return { draft, setDraft: store.set, applied, after, lines, put };
};

const Builds = ({ view }: { view: BuildView }) => {
  const builds = answered(useBuilds(view.car.id));
  return (
    <section className="save" aria-label="Builds of this car">
      <h2>Builds of this car</h2>
      <ol className="build-list">
        {builds?.builds.map((build) => (
          <li key={build.id}>
            <button
              type="button"
              className="pick-row"
              aria-pressed={build.id === view.build.id}
              onClick={() => chooseBuild(view.car.id, build.id)}
            >
              <b>{build.label}</b>
              <span className="note">
                {build.planned
                  ? 'planned'
                  : build.id === builds.car.currentBuildId
                    ? 'the car is in it now'
                    : 'driven before'}
                , {dayText(build.createdAt)}
              </span>
            </button>
          </li>
        ))}
      </ol>
      <a className="btn" href={addressOf({ sheet: 'new-car' })}>
        Add another car
      </a>
    </section>
  );
};

/** Said once, after a save has brought the page to the new build. */
const JustSaved = ({ view }: { view: BuildView }) => {
  const saved = useStore(savedStore);
  if (saved?.buildId !== view.build.id) return null;
  return (
    <p className="already" role="status">
      Saved as “{view.build.label}”. “{saved.from}” stays as it was.
    </p>
  );
};

/** Stays in sight where the list of changes stands below the tables. */
const Gathered = ({ count }: { count: number }) => (
  <p className="gathered">
    <button
      type="button"
      className="btn first"
      onClick={() => {
        const list = document.getElementById('sheet-changes');
        list?.scrollIntoView({ block: 'start' });
        list?.focus();
      }}
    >
      {count === 1 ? 'One change' : `${count} changes`} not saved: look at {count === 1 ? 'it' : 'them'}
    </button>
  </p>
);

const Shown = ({ view }: { view: BuildView }) => {
  const { draft, setDraft, applied, after, lines, put } = useEdits(view);
  const [editing, setEditing] = useState<string | null>(null);
  const opener = useRef<string | null>(null);
  // The button that opened the dialog may have been drawn anew meanwhile: the keyboard goes back to its place.
  useEffect(() => {
    if (editing !== null || opener.current === null) return;
    document.querySelector<HTMLElement>(`[data-path="${opener.current}"]`)?.focus();
    opener.current = null;
  }, [editing]);
  const edit = (path: string) => {
    opener.current = path;
    setEditing(path);
  };
  const hasInjection = view.facts.hasInjection || applied.build?.injection?.nozzleFlow !== undefined;
  // What is not fitted has estimates too, which nobody needs to read.
  const shown = (after ?? view.quantities).filter(({ path }) => hasInjection || !path.startsWith('injection.'));
  const estimated = shown.filter((quantity) => quantity.estimated).length;
  const map = view.sheet.turbocharger.compressorMap;
  return (
    <div className="sheet-page">
      <div className="sheet-main">
        <JustSaved view={view} />
        {draft && <Gathered count={Object.keys(draft.changes).length} />}
        <p className="lead">
          {shown.length - estimated} of {shown.length} numbers are typed in; {estimated} are pencilled in by engine
          class.
        </p>
        <p className="note sheet-how">
          Press a name to change what stands beside it; changes are gathered and saved as a new build. ± is one standard
          deviation: measure a pencilled number and its band on every sheet narrows.
        </p>
        <SheetGroups quantities={shown} sheet={applied.sheet} editing={{ edit, lines }} />
      </div>
      <aside className="sheet-side">
        <h2>{view.build.label}</h2>
        <p className="note">
          {view.build.planned ? 'Planned' : 'Dated'} {dayText(view.build.createdAt)}
        </p>
        {view.sheet.note && <p className="sheet-note">{view.sheet.note}</p>}
        <dl className="facts">
          <div>
            <dt>Compressor map</dt>
            <dd>
              {map ? `${map.lines.length} speed lines, typed in` : 'estimated from the wheel sizes'};{' '}
              <a href={addressOf({ sheet: 'compressor' })}>bring one in</a>
            </dd>
          </div>
        </dl>
        {draft && (
          <SheetChanges
            view={view}
            draft={draft}
            setDraft={setDraft}
            lines={lines}
            applied={applied}
            edit={edit}
            undo={(path) => put(path, null)}
          />
        )}
        <SheetFile view={view} />
        <Builds view={view} />
      </aside>
      <SheetEditor
        view={view}
        path={editing}
        changes={draft?.changes ?? {}}
        put={(change) => {
          if (editing !== null) put(editing, change);
          setEditing(null);
        }}
        close={() => setEditing(null)}
      />
    </div>
  );
};

export const BuildSheet = ({ chosen }: { chosen: Chosen }) => {
  const build = useBuild(chosen.buildId);
  useFuelOf(answered(build));
  return (
    <Sheet title="Build sheet" chosen={chosen}>
      <Await answer={build} what="Reading the build sheet">
        {(view) => <Shown view={view} />}
      </Await>
    </Sheet>
  );
};
