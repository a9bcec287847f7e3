/** The fields of a new car, part by part. */
import { useState } from 'react';
import { Panel } from '../parts/Panel.tsx';
import { MapFromFile } from './MapImport.tsx';
import { ASKED, type Asked, choiceOf, isAsked, isOptional, type NewCarDraft } from './new-car-data.ts';
import { ChoiceInput, fieldId, NumberInput, Problem, TableInput } from './SheetInputs.tsx';
import type { Change, TypedNumber, TypedTable } from './sheet-draft.ts';
import { NUMBER_PLACES, TABLE_PLACES } from './sheet-fields.ts';

interface FieldsProps {
  readonly draft: NewCarDraft;
  readonly setDraft: (draft: NewCarDraft) => void;
  readonly problemOf: (path: string) => string | undefined;
  readonly left: (path: string) => () => void;
}

/** The boost as one figure for all engine speeds, until somebody asks for a table. */
const Boost = ({
  asked,
  typed,
  change,
  problem,
  left,
}: {
  asked: Asked;
  typed: TypedTable;
  change: (typed: TypedTable) => void;
  problem: string | undefined;
  left: () => void;
}) => {
  const place = TABLE_PLACES.find(({ path }) => path === asked.path);
  const [asTable, setAsTable] = useState(typed.rows.length > 1);
  if (!place) return null;
  if (asTable || typed.rows.length > 1) {
    return (
      <TableInput
        place={place}
        name={asked.name}
        help={asked.help}
        typed={typed}
        change={change}
        problem={problem}
        left={left}
      />
    );
  }
  const [rpm = '3000', value = ''] = typed.rows[0] ?? [];
  const figure: TypedNumber = {
    value,
    unit: typed.units[1] ?? 'kPa gauge',
    spread: typed.spread,
    spreadIn: '%',
    source: typed.source,
    note: typed.note,
  };
  return (
    <NumberInput
      path={asked.path}
      name={asked.name}
      help={`${asked.help} “Gauge” is over the outside air, “abs” counts from nothing.`}
      dimensions={place.columns[1]?.dimensions ?? []}
      typed={figure}
      onSheet={null}
      change={(next) =>
        change({
          ...typed,
          rows: [[rpm, next.value]],
          units: [typed.units[0] ?? 'rpm', next.unit],
          spread: next.spread,
          source: next.source,
        })
      }
      problem={problem}
      required
      left={left}
      percentOnly
      more={
        <button
          type="button"
          className="act-btn"
          onClick={() => {
            setAsTable(true);
            change({
              ...typed,
              rows: [
                [rpm, value],
                ['', ''],
              ],
            });
          }}
        >
          It differs over engine speed
        </button>
      }
    />
  );
};

const Field = ({ asked, draft, setDraft, problemOf, left }: FieldsProps & { readonly asked: Asked }) => {
  const { path, name, help } = asked;
  const change = draft.fields[path];
  const put = (next: Change) => setDraft({ ...draft, fields: { ...draft.fields, [path]: next } });
  const number = NUMBER_PLACES.get(path);
  const table = TABLE_PLACES.find((place) => place.path === path);
  const choice = choiceOf(path);
  if (change?.kind === 'number' && number) {
    return (
      <NumberInput
        path={path}
        name={name}
        help={help}
        dimensions={[number.dimension]}
        typed={change.typed}
        onSheet={null}
        change={(typed) => put({ kind: 'number', typed })}
        problem={problemOf(path)}
        required={!isOptional(draft, asked)}
        left={left(path)}
      />
    );
  }
  if (change?.kind === 'choice' && choice) {
    return (
      <ChoiceInput
        place={choice}
        name={name}
        help={help}
        typed={change.typed}
        change={(typed) => put({ kind: 'choice', typed })}
        problem={problemOf(path)}
        left={left(path)}
      />
    );
  }
  if (change?.kind === 'table' && table) {
    const props = {
      typed: change.typed,
      change: (typed: TypedTable) => put({ kind: 'table', typed }),
      problem: problemOf(path),
      left: left(path),
    };
    return path === 'targets.boost' ? (
      <Boost asked={asked} {...props} />
    ) : (
      <TableInput place={table} name={name} help={help} {...props} />
    );
  }
  return null;
};

/** Wheel sizes, or a map from a file. */
const Compressor = ({ draft, setDraft, problemOf }: FieldsProps) => {
  const [open, setOpen] = useState(false);
  const problem = problemOf('turbocharger.compressorMap');
  return (
    <fieldset className="ni">
      <legend>The compressor is known by</legend>
      <div className="nc-ways">
        {(
          [
            ['wheels', 'its wheel sizes'],
            ['map', 'a map from a file'],
          ] as const
        ).map(([way, says]) => (
          <label key={way} className="nc-way">
            <input
              type="radio"
              name="compressor"
              checked={draft.compressor === way}
              onChange={() => setDraft({ ...draft, compressor: way })}
            />
            {says}
          </label>
        ))}
      </div>
      {draft.compressor === 'map' && (
        <>
          <p className="note">
            {draft.map
              ? `${draft.map.file}: ${draft.map.data.lines.length} speed lines.`
              : 'A text file with shaft speed, corrected flow, pressure ratio and efficiency: typed, or traced off the picture in the data sheet.'}
          </p>
          <div>
            <button
              type="button"
              className="btn"
              id={fieldId('turbocharger.compressorMap')}
              aria-haspopup="dialog"
              aria-describedby={problem === undefined ? undefined : 'map-problem'}
              onClick={() => setOpen(true)}
            >
              {draft.map ? 'Choose another file' : 'Choose the file of the map'}
            </button>
          </div>
          <Problem id="map-problem" says={problem} />
        </>
      )}
      <Panel title="A compressor map from a file" open={open} close={() => setOpen(false)}>
        <MapFromFile>
          {(read, fileName) => (
            <div className="acts">
              <button
                type="button"
                className="btn first"
                onClick={() => {
                  const data = { ...read.map, note: `Read from ${fileName}`.slice(0, 400) };
                  setDraft({ ...draft, map: { file: fileName, data } });
                  setOpen(false);
                }}
              >
                Take this map
              </button>
            </div>
          )}
        </MapFromFile>
      </Panel>
    </fieldset>
  );
};

export const NewCarFields = (props: FieldsProps) => (
  <>
    {ASKED.map(({ title, asked }) => (
      <section key={title} aria-label={title}>
        <h2>{title}</h2>
        <div className="nc-part">
          {title === 'Turbocharger' && <Compressor {...props} />}
          {asked
            .filter((one) => isAsked(props.draft, one))
            .map((one) => (
              <Field key={one.path} asked={one} {...props} />
            ))}
        </div>
      </section>
    ))}
  </>
);
