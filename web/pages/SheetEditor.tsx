/** Dialog: one place of the build sheet changed, or taken back to its estimate. */
import { useMemo, useState } from 'react';
import type { BuildView } from '../../src/app/api.ts';
import { resolveBuild } from '../../src/car/index.ts';
import { Panel } from '../parts/Panel.tsx';
import { useStore } from '../state/store.ts';
import { type Units, unitStore, useUnits } from '../state/units.ts';
import { ChoiceInput, NumberInput, TableInput } from './SheetInputs.tsx';
import { applyChanges, type Change, type Changes, type TypedNumber, valueAt } from './sheet-draft.ts';
import {
  CHOICE_PLACES,
  howOf,
  NUMBER_PLACES,
  shortName,
  TABLE_PLACES,
  typedUnitStore,
  unitToOffer,
} from './sheet-fields.ts';
import { typedChoiceOf, typedNumberOf, typedTableOf, writeQuantity } from './sheet-typed.ts';

interface EditorProps {
  readonly view: BuildView;
  readonly path: string;
  readonly changes: Changes;
  /** Null: as it stands on the sheet. */
  readonly put: (change: Change | null) => void;
  readonly close: () => void;
}

const estimateInWords = (view: BuildView, path: string, units: Units): string | null => {
  const quantity = view.quantities.find((one) => one.path === path);
  if (!quantity?.estimated || path === 'injection.nozzleFlow') return null;
  const { value, spread, unit } = writeQuantity(quantity, units);
  return `${value} ±${spread}${unit === '' ? '' : ` ${unit}`}`;
};

const useBegin = (view: BuildView, path: string): TypedNumber => {
  const choice = useStore(unitStore);
  const memory = useStore(typedUnitStore);
  const place = NUMBER_PLACES.get(path);
  const onSheet = typedNumberOf(view.sheet, path);
  if (onSheet || !place)
    return onSheet ?? { value: '', unit: '1', spread: '', spreadIn: '%', source: 'measured', note: '' };
  const unit = unitToOffer(path, place.dimension, place.unit, choice, memory);
  return { value: '', unit, spread: '', spreadIn: '%', source: 'measured', note: '' };
};

/** The first thing that is wrong at a place with a change; what is wrong elsewhere is said elsewhere. */
const problemOf = (view: BuildView, changes: Changes, path: string, change: Change): string | undefined => {
  const { problems } = applyChanges(view.sheet, { ...changes, [path]: change });
  const group = path.split('.')[0];
  return problems.find((problem) => problem.path === path || problem.path === group)?.says;
};

const Foot = ({
  ready,
  estimate,
  removes,
  asItWas,
  close,
}: {
  ready: boolean;
  estimate: (() => void) | undefined;
  /** Without the value the part is not there. */
  removes: boolean;
  asItWas: (() => void) | undefined;
  close: () => void;
}) => (
  <div className="acts">
    <button type="submit" className="btn first" disabled={!ready}>
      Put on the list
    </button>
    {estimate && (
      <button type="button" className="btn" onClick={estimate}>
        {removes ? 'Take it off the car' : 'Back to the estimate'}
      </button>
    )}
    {asItWas && (
      <button type="button" className="btn" onClick={asItWas}>
        As it was
      </button>
    )}
    <button type="button" className="btn flat" onClick={close}>
      Leave it
    </button>
  </div>
);

const Editor = ({ view, path, changes, put, close }: EditorProps) => {
  const units = useUnits();
  const number = NUMBER_PLACES.get(path);
  const choice = CHOICE_PLACES.find((place) => place.path === path);
  const table = TABLE_PLACES.find((place) => place.path === path);
  const begun = useBegin(view, path);
  const resolved = useMemo(() => (table ? resolveBuild(view.sheet) : null), [table, view.sheet]);
  const now = changes[path];
  const [change, setChange] = useState<Change>(() => {
    if (now && now.kind !== 'estimate') return now;
    if (table) {
      const { estimated: _estimated, ...typed } = typedTableOf(view.sheet, table, resolved);
      return { kind: 'table', typed };
    }
    return choice ? { kind: 'choice', typed: typedChoiceOf(view.sheet, path) } : { kind: 'number', typed: begun };
  });
  const [asked, setAsked] = useState(false);
  const problem = asked ? problemOf(view, changes, path, change) : undefined;
  const required = number?.required ?? choice?.required ?? table?.required ?? false;
  const onSheet = valueAt(view.sheet, path) !== undefined;
  const estimate = estimateInWords(view, path, units);
  const how = howOf(path);
  const empty = change.kind === 'number' && change.typed.value.trim() === '';
  const take = () => {
    setAsked(true);
    if (problemOf(view, changes, path, change) === undefined) put(change);
  };
  return (
    <form
      className="sheet-editor"
      onSubmit={(event) => {
        event.preventDefault();
        take();
      }}
    >
      {now?.kind === 'estimate' && (
        <p className="note">On the list: back to the estimate. Type a value to change that.</p>
      )}
      {number && change.kind === 'number' && (
        <NumberInput
          path={path}
          name={shortName(path)}
          help={number.about}
          dimensions={[number.dimension]}
          typed={change.typed}
          onSheet={typedNumberOf(view.sheet, path)}
          change={(typed) => setChange({ kind: 'number', typed })}
          problem={problem}
          required
          isFirst
        />
      )}
      {choice && change.kind === 'choice' && (
        <ChoiceInput
          place={choice}
          typed={change.typed}
          change={(typed) => setChange({ kind: 'choice', typed })}
          problem={problem}
          isFirst
        />
      )}
      {table && change.kind === 'table' && (
        <TableInput
          place={table}
          typed={change.typed}
          help={onSheet ? undefined : 'These rows are the estimate: type over them what you know.'}
          change={(typed) => setChange({ kind: 'table', typed })}
          problem={problem}
          isFirst
        />
      )}
      {(change.kind === 'number' || (table && !table.isList && change.kind === 'table')) && (
        <label className="field">
          Note
          <input
            value={change.typed.note}
            maxLength={400}
            autoComplete="off"
            onChange={(event) =>
              setChange(
                change.kind === 'number'
                  ? { kind: 'number', typed: { ...change.typed, note: event.target.value } }
                  : { kind: 'table', typed: { ...change.typed, note: event.target.value } },
              )
            }
          />
        </label>
      )}
      {estimate && (
        <p className="estimate-now">
          The estimate by engine class stands at <b>{estimate}</b>. A value of your own narrows it.
        </p>
      )}
      {how && (
        <p>
          <b>To find it out: </b>
          {how}
        </p>
      )}
      <Foot
        ready={!empty}
        estimate={onSheet && !required && change.kind !== 'choice' ? () => put({ kind: 'estimate' }) : undefined}
        removes={path === 'injection.nozzleFlow'}
        asItWas={now ? () => put(null) : undefined}
        close={close}
      />
    </form>
  );
};

export const SheetEditor = ({
  view,
  path,
  changes,
  put,
  close,
}: Omit<EditorProps, 'path'> & { readonly path: string | null }) => (
  <Panel
    title={path === null ? 'Change' : `Change: ${shortName(path).toLowerCase()}`}
    open={path !== null}
    close={close}
  >
    {path !== null && <Editor key={path} view={view} path={path} changes={changes} put={put} close={close} />}
  </Panel>
);
