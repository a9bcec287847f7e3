/** Changes to a build sheet, gathered: old and new, what they do, and the new dated build that they make. */
import { useMemo, useState } from 'react';
import type { BuildView } from '../../src/app/api.ts';
import type { Build } from '../../src/car/index.ts';
import { fetchBuilds, Refused, saveBuild } from '../answers/client.ts';
import { answered, forget, keep } from '../answers/use-answer.ts';
import { useModelJob } from '../answers/use-model-job.ts';
import { allCautions, Caution } from '../parts/Caution.tsx';
import { RuledOff } from '../parts/States.tsx';
import { chooseBuild } from '../state/chosen.ts';
import { useBuilds } from '../state/garage.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { rowName } from './part-marks.ts';
import type { Applied } from './sheet-draft.ts';
import { shortName } from './sheet-fields.ts';
import { moveDraft, type SheetDraft, savedStore, todayHere } from './sheet-save.ts';
import { type ChangeLine, changesNote, suggestedLabel } from './sheet-typed.ts';

const SAMPLES = 16;
/** A list of changes rests this long before the work begins [ms]. */
const QUIET_MS = 500;

/** What the changes do to peak power and to what gives out first. */
const Effect = ({ before, after }: { before: Build; after: Build }) => {
  const units = useUnits();
  const key = JSON.stringify(after);
  // biome-ignore lint/correctness/useExhaustiveDependencies: the same sheet in another object asks nothing anew
  const request = useMemo(() => ({ before, after, samples: SAMPLES }), [before, key]);
  const answer = useModelJob('sheetEffect', request, QUIET_MS);
  if (answer.state === 'idle') return null;
  if (answer.state === 'working')
    return (
      <div className="effect">
        Working out what this does <progress aria-label="Cars solved" value={answer.done} max={answer.of || SAMPLES} />
      </div>
    );
  if (answer.state === 'refused') return <p className="effect">What this does cannot be said: {answer.says}</p>;
  const { powerW, powerAtFirstLimitW, first, samples } = answer.value;
  const write = (value: number, extra = 0) => units.write('power', value, extra);
  const signed = (value: number) => `${value > 0 ? '+' : ''}${write(value, 1)}`;
  const firstOf = (side: 'before' | 'after') => {
    const part = first[side][0];
    const at = `${write(powerAtFirstLimitW[side].p50)} ${units.label('power')}`;
    return part ? `${rowName(part.part).toLowerCase()}, at ${at}` : `nothing within reach, ${at}`;
  };
  return (
    <div className="effect" role="status">
      <p>
        Peak power: {write(powerW.before.p50)} → <b>{write(powerW.after.p50)}</b> {units.label('power')}, a change of{' '}
        {signed(powerW.gain.p50)} (8 of 10 between {signed(powerW.gain.p10)} and {signed(powerW.gain.p90)}).
      </p>
      <p>
        First to give out: {firstOf('before')} → <b>{firstOf('after')}</b>.
      </p>
      <p className="note">
        From {writeNumber(samples, 0)} cars inside the plus-minus, each before and after; predictions, not guarantees.
      </p>
    </div>
  );
};

const FUEL_FIGURES =
  'Injector, pump and pressure figures that are too high promise fuel that is not there: where two figures disagree, type the lower one, and tell the engine computer of new injectors before the first start.';

/** Cautions for what is being changed. */
const cautionsFor = (paths: readonly string[]): string[] => {
  const touches = (pattern: RegExp) => paths.some((path) => pattern.test(path));
  const standing = (pattern: RegExp) => allCautions([]).filter((says) => pattern.test(says));
  return [
    ...(touches(/^targets\.(boost|sparkAdvance)|^turbocharger\.|^engine\.compressionRatio/)
      ? standing(/^Boost and ignition timing/)
      : []),
    ...(touches(/^fuelSystem\.|^fuel\.|^targets\.lambda/)
      ? [FUEL_FIGURES, ...standing(/^Fuel is under pressure/)]
      : []),
    ...(touches(/^injection\.|^fuel\.methanol/) ? standing(/^Methanol/) : []),
    ...(touches(/^electrical\./) ? standing(/^Batteries/) : []),
  ];
};

const Lines = ({
  draft,
  lines,
  applied,
  edit,
  undo,
}: {
  draft: SheetDraft;
  lines: ReadonlyMap<string, ChangeLine>;
  applied: Applied;
  edit: (path: string) => void;
  undo: (path: string) => void;
}) => (
  <ol className="chg">
    {Object.keys(draft.changes).map((path) => {
      const line = lines.get(path);
      const wrong = applied.problems.find((problem) => problem.path === path || path.startsWith(`${problem.path}.`));
      return (
        <li key={path}>
          <b>{shortName(path)}</b>
          <span className="old-new">
            {line ? (
              <>
                <s>{line.before}</s> → {line.after}
              </>
            ) : wrong ? (
              ''
            ) : (
              'as on the sheet'
            )}
          </span>
          <button type="button" className="act-btn" aria-label={`Undo: ${shortName(path)}`} onClick={() => undo(path)}>
            Undo
          </button>
          {wrong && (
            <span className="wrong">
              {wrong.says}{' '}
              <button type="button" className="act-btn" onClick={() => edit(path)}>
                Mend it
              </button>
            </span>
          )}
        </li>
      );
    })}
  </ol>
);

/** The sentence of a stale save, with the two ways on. Nothing typed is lost in either. */
const Stale = ({
  refused,
  view,
  draft,
  beside,
}: {
  refused: Refused;
  view: BuildView;
  draft: SheetDraft;
  beside: (newestId: string) => void;
}) => {
  const newest = answered(useBuilds(view.car.id))?.builds[0];
  return (
    <RuledOff refused={refused}>
      <p>Your {Object.keys(draft.changes).length === 1 ? 'change is' : 'changes are'} still here.</p>
      {newest && newest.id !== view.build.id && (
        <div className="acts">
          <button
            type="button"
            className="btn first"
            onClick={() => {
              moveDraft(view.build.id, newest.id, { ...draft, newestId: newest.id });
              chooseBuild(view.car.id, newest.id);
            }}
          >
            Put my changes on “{newest.label}”
          </button>
          <button type="button" className="btn" onClick={() => beside(newest.id)}>
            Save beside it, from “{view.build.label}”
          </button>
        </div>
      )}
    </RuledOff>
  );
};

export const SheetChanges = ({
  view,
  draft,
  setDraft,
  lines,
  applied,
  edit,
  undo,
}: {
  view: BuildView;
  draft: SheetDraft;
  setDraft: (draft: SheetDraft | null) => void;
  lines: ReadonlyMap<string, ChangeLine>;
  applied: Applied;
  edit: (path: string) => void;
  undo: (path: string) => void;
}) => {
  const [refused, setRefused] = useState<Refused | null>(null);
  const [working, setWorking] = useState(false);
  const told = [...lines.values()];
  const label = draft.label ?? suggestedLabel(told);
  const note = draft.note ?? [changesNote(told), view.sheet.note ?? ''].filter((part) => part !== '').join('\n');
  const planned = draft.planned ?? view.build.planned;
  const save = async (newestId: string | undefined) => {
    if (!applied.build) return;
    setWorking(true);
    setRefused(null);
    try {
      const saved = await saveBuild(view.car.id, {
        label: label.trim(),
        planned,
        parentId: view.build.id,
        ...(newestId === undefined ? {} : { newestId }),
        sheet: {
          ...applied.build,
          name: `${view.car.name}: ${label.trim()}`.slice(0, 120),
          car: view.car.name,
          date: todayHere(),
          note: note.slice(0, 4000),
        },
      });
      setDraft(null);
      savedStore.set({ buildId: saved.build.id, from: view.build.label });
      forget('cars');
      forget(`builds ${view.car.id}`);
      chooseBuild(view.car.id, saved.build.id);
    } catch (error) {
      const why = error instanceof Refused ? error : new Refused('page-fault', String(error));
      // The list of builds is behind: asked again, it names the newer one. Kept, not forgotten: the page stays.
      if (why.code === 'newer-build')
        fetchBuilds(view.car.id).then(
          (builds) => keep(`builds ${view.car.id}`, builds),
          () => {},
        );
      setRefused(why);
      setWorking(false);
    }
  };
  const wrong = applied.problems.length;
  const cautions = cautionsFor(told.map(({ path }) => path));
  return (
    <section className="save" aria-label="Changes">
      <h2 id="sheet-changes" tabIndex={-1}>
        {Object.keys(draft.changes).length === 1 ? 'One change' : `${Object.keys(draft.changes).length} changes`}, not
        saved yet
      </h2>
      <Lines draft={draft} lines={lines} applied={applied} edit={edit} undo={undo} />
      {applied.problems
        .filter(({ path }) => !Object.keys(draft.changes).some((own) => own === path || own.startsWith(`${path}.`)))
        .map(({ path, says }) => (
          <p className="wrong" key={`${path} ${says}`}>
            {shortName(path)}: {says}
          </p>
        ))}
      {applied.build && told.length > 0 && <Effect before={view.sheet} after={applied.build} />}
      {cautions.length > 0 && <Caution title="before the car follows the sheet" items={cautions} />}
      <label className="field">
        Name of the new build
        <input
          value={label}
          maxLength={80}
          autoComplete="off"
          onChange={(event) => setDraft({ ...draft, label: event.target.value })}
        />
      </label>
      <label className="field">
        Note: what changed and why
        <textarea
          value={note}
          maxLength={4000}
          onChange={(event) => setDraft({ ...draft, note: event.target.value })}
        />
      </label>
      <label className="tick-box">
        <input
          type="checkbox"
          checked={planned}
          onChange={(event) => setDraft({ ...draft, planned: event.target.checked })}
        />
        Planned: the car is not in it yet
      </label>
      {refused?.code === 'newer-build' ? (
        <Stale
          refused={refused}
          view={view}
          draft={draft}
          beside={(newestId) => {
            setDraft({ ...draft, newestId });
            save(newestId);
          }}
        />
      ) : (
        refused && <RuledOff refused={refused} />
      )}
      <div className="acts">
        <button
          type="button"
          className="btn first"
          disabled={working || wrong > 0 || told.length === 0 || label.trim() === ''}
          onClick={() => save(draft.newestId)}
        >
          {working ? 'Saving' : 'Save as a new build'}
        </button>
        <button type="button" className="btn" onClick={() => setDraft(null)}>
          Undo all
        </button>
      </div>
      <p className="note">
        {wrong > 0
          ? `${wrong === 1 ? 'One thing needs' : `${wrong} things need`} mending before this can be saved.`
          : `“${view.build.label}” stays as it is.`}
      </p>
    </section>
  );
};
