/** Fields of a build sheet: a number with unit, plus-minus and source; a choice; a table that takes a paste from a spreadsheet. */
import { type ClipboardEvent, type ReactNode, useId, useRef, useState } from 'react';
import type { Source } from '../../src/car/index.ts';
import type { Dimension } from '../../src/physics/units.ts';
import { readPasted, withPasted } from '../state/typed.ts';
import type { TypedNumber, TypedTable } from './sheet-draft.ts';
import {
  type ChoicePlace,
  rememberUnit,
  SOURCE_CHOICES,
  type TablePlace,
  unitInWords,
  unitsFor,
} from './sheet-fields.ts';
import { withColumnUnit, withUnit } from './sheet-typed.ts';

/** Where the field of a place is found, to bring somebody to it. */
export const fieldId = (path: string): string => `field-${path.replace(/[^a-zA-Z0-9]+/g, '-')}`;

/** A dialog brings the focus to the field so marked; React's own autoFocus comes before the dialog is open. */
const takeFocus = (field: HTMLElement | null): void => field?.setAttribute('autofocus', '');

export const Problem = ({ id, says }: { id: string; says: string | undefined }) =>
  says === undefined ? null : (
    <p className="wrong" id={id}>
      {says}
    </p>
  );

const describedBy = (...ids: readonly (string | false | undefined)[]): string | undefined =>
  ids.filter((id) => id !== false && id !== undefined).join(' ') || undefined;

const SourceSelect = ({ name, source, change }: { name: string; source: Source; change: (source: Source) => void }) => (
  <label className="ni-source">
    <span className="vh">Source of {name}</span>
    <select value={source} onChange={(event) => change(event.target.value as Source)}>
      {SOURCE_CHOICES.map(({ source: one, says }) => (
        <option key={one} value={one}>
          {says}
        </option>
      ))}
    </select>
  </label>
);

export interface NumberInputProps {
  readonly path: string;
  readonly name: string;
  readonly help?: ReactNode;
  readonly dimensions: readonly Dimension[];
  readonly typed: TypedNumber;
  /** What the sheet has, where it has something. */
  readonly onSheet: TypedNumber | null;
  readonly change: (typed: TypedNumber) => void;
  readonly problem: string | undefined;
  readonly required: boolean;
  readonly left?: () => void;
  /** Takes the focus when its dialog opens. */
  readonly isFirst?: boolean;
  /** The plus-minus is a share of the value, not in its unit. */
  readonly percentOnly?: boolean;
  readonly more?: ReactNode;
}

/** A number with its unit, plus-minus and source. */
export const NumberInput = ({
  path,
  name,
  help,
  dimensions,
  typed,
  onSheet,
  change,
  problem,
  required,
  left,
  isFirst,
  percentOnly,
  more,
}: NumberInputProps) => {
  const own = useId();
  const units = unitsFor(dimensions);
  const unitWords = unitInWords(typed.unit);
  return (
    <fieldset className={`ni ${problem === undefined ? '' : 'has-wrong'}`}>
      <legend>
        {name}
        {!required && <span className="note"> may stay empty</span>}
      </legend>
      {help !== undefined && (
        <p className="note" id={`${own}h`}>
          {help}
        </p>
      )}
      <div className="ni-row">
        <label className="ni-value">
          <span className="vh">{name}</span>
          <input
            id={fieldId(path)}
            inputMode="decimal"
            autoComplete="off"
            value={typed.value}
            ref={isFirst ? takeFocus : undefined}
            aria-invalid={problem !== undefined}
            aria-describedby={describedBy(help !== undefined && `${own}h`, problem !== undefined && `${own}p`)}
            onChange={(event) => change({ ...typed, value: event.target.value })}
            onBlur={left}
          />
        </label>
        {units.length > 1 ? (
          <label className="ni-unit">
            <span className="vh">Unit of {name}</span>
            <select
              value={typed.unit}
              onChange={(event) => {
                rememberUnit(path, event.target.value);
                change(withUnit(typed, onSheet, event.target.value));
              }}
            >
              {units.map((unit) => (
                <option key={unit} value={unit}>
                  {unitInWords(unit) || 'plain number'}
                </option>
              ))}
            </select>
          </label>
        ) : (
          <span className="ni-fixed">{unitWords}</span>
        )}
        <div className="ni-pm">
          <label className="ni-spread">
            <span aria-hidden="true">±</span>
            <span className="vh">Plus-minus of {name}</span>
            <input
              inputMode="decimal"
              autoComplete="off"
              placeholder="usual"
              value={typed.spread}
              onChange={(event) => change({ ...typed, spread: event.target.value })}
              onBlur={left}
            />
          </label>
          {percentOnly ? (
            <span>%</span>
          ) : (
            <label className="ni-in">
              <span className="vh">Plus-minus of {name} is in</span>
              <select
                value={typed.spreadIn}
                onChange={(event) => change({ ...typed, spreadIn: event.target.value as TypedNumber['spreadIn'] })}
              >
                <option value="%">%</option>
                <option value="unit">{unitWords || 'as the value'}</option>
              </select>
            </label>
          )}
        </div>
        <SourceSelect name={name} source={typed.source} change={(source) => change({ ...typed, source })} />
      </div>
      {more}
      <Problem id={`${own}p`} says={problem} />
    </fieldset>
  );
};

export interface ChoiceInputProps {
  readonly place: ChoicePlace;
  readonly name?: string;
  readonly help?: ReactNode;
  readonly typed: string;
  readonly change: (typed: string) => void;
  readonly problem: string | undefined;
  readonly left?: () => void;
  /** Takes the focus when its dialog opens. */
  readonly isFirst?: boolean;
}

/** A word, a count, a yes or no, or a text. */
export const ChoiceInput = ({
  place,
  name = place.about,
  help,
  typed,
  change,
  problem,
  left,
  isFirst,
}: ChoiceInputProps) => {
  const own = useId();
  const common = {
    id: fieldId(place.path),
    value: typed,
    'aria-invalid': problem !== undefined,
    'aria-describedby': describedBy(help !== undefined && `${own}h`, problem !== undefined && `${own}p`),
    onBlur: left,
  } as const;
  return (
    <div className={`ni ${problem === undefined ? '' : 'has-wrong'}`}>
      <label className="ni-name" htmlFor={common.id}>
        {name}
      </label>
      {help !== undefined && (
        <p className="note" id={`${own}h`}>
          {help}
        </p>
      )}
      {place.kind === 'text' ? (
        <input
          {...common}
          ref={isFirst ? takeFocus : undefined}
          autoComplete="off"
          onChange={(event) => change(event.target.value)}
        />
      ) : (
        <select {...common} ref={isFirst ? takeFocus : undefined} onChange={(event) => change(event.target.value)}>
          {(!place.required || typed === '') && (
            <option value="">{place.required ? 'choose' : `not said (${place.usual ?? 'usual'})`}</option>
          )}
          {place.choices.map((choice) => (
            <option key={choice}>{choice}</option>
          ))}
        </select>
      )}
      <Problem id={`${own}p`} says={problem} />
    </div>
  );
};

export interface TableInputProps {
  readonly place: TablePlace;
  readonly name?: string;
  readonly help?: ReactNode;
  readonly typed: TypedTable;
  readonly change: (typed: TypedTable) => void;
  readonly problem: string | undefined;
  readonly left?: () => void;
  readonly isFirst?: boolean;
}

/** A curve or a list as rows that can be typed, or pasted from a spreadsheet into any cell. */
export const TableInput = ({
  place,
  name = place.about,
  help,
  typed,
  change,
  problem,
  left,
  isFirst,
}: TableInputProps) => {
  const own = useId();
  const body = useRef<HTMLTableSectionElement>(null);
  const [said, setSaid] = useState('');
  const { columns } = place;
  const rows = typed.rows.length > 0 ? typed.rows : [columns.map(() => '')];
  const put = (row: number, column: number, text: string) =>
    change({
      ...typed,
      rows: rows.map((cells, r) =>
        r === row ? columns.map((_, c) => (c === column ? text : (cells[c] ?? ''))) : cells,
      ),
    });
  const focus = (row: number) =>
    requestAnimationFrame(() => body.current?.querySelectorAll('tr')[row]?.querySelector('input')?.focus());
  const add = () => {
    change({ ...typed, rows: [...rows, columns.map(() => '')] });
    focus(rows.length);
  };
  const remove = (row: number) => {
    const rest = rows.filter((_, r) => r !== row);
    change({ ...typed, rows: rest.length > 0 ? rest : [columns.map(() => '')] });
    setSaid(`Row ${row + 1} taken out.`);
    focus(Math.max(0, row - 1));
  };
  const paste = (event: ClipboardEvent, row: number, column: number) => {
    const text = event.clipboardData.getData('text/plain');
    const pasted = readPasted(text, columns.length);
    if (pasted.rows.length <= 1 && (pasted.rows[0]?.length ?? 0) <= 1) return;
    event.preventDefault();
    change({ ...typed, rows: withPasted(rows, pasted, row, column, columns.length) });
    setSaid(
      `${pasted.rows.length} rows pasted${pasted.headingLeftOut ? '; the line of names above them was left out' : ''}.`,
    );
  };
  const turnColumn = (column: number, unit: string) => {
    rememberUnit(`${place.path} ${column}`, unit);
    const turned = withColumnUnit({ ...typed, rows }, column, unit);
    change(turned.typed);
    setSaid(
      turned.overStandardAir
        ? 'Turned between boost and absolute pressure over standard air of 101.3 kPa.'
        : 'Figures turned into the unit chosen.',
    );
  };
  return (
    <fieldset className={`ni ${problem === undefined ? '' : 'has-wrong'}`}>
      <legend>{name}</legend>
      <p className="note" id={`${own}h`}>
        {help} Copied cells can be pasted into any field.
      </p>
      <table className="ti">
        <thead>
          <tr>
            <th scope="col" className="note">
              <span className="vh">Row</span>
            </th>
            {columns.map((column, c) => (
              <th scope="col" key={column.name}>
                {column.name}
                {unitsFor(column.dimensions).length > 1 && !place.isList && (
                  <label>
                    <span className="vh">
                      Unit of {column.name}, {name}
                    </span>
                    <select value={typed.units[c]} onChange={(event) => turnColumn(c, event.target.value)}>
                      {unitsFor(column.dimensions).map((unit) => (
                        <option key={unit} value={unit}>
                          {unitInWords(unit) || 'of 1'}
                        </option>
                      ))}
                    </select>
                  </label>
                )}
              </th>
            ))}
            <th scope="col">
              <span className="vh">Take out</span>
            </th>
          </tr>
        </thead>
        <tbody ref={body}>
          {rows.map((cells, row) => (
            // biome-ignore lint/suspicious/noArrayIndexKey: a row has no name but its place
            <tr key={row}>
              <th scope="row" className="note">
                {row + 1}
              </th>
              {columns.map((column, c) => (
                <td key={column.name}>
                  <input
                    {...(row === 0 && c === 0 ? { id: fieldId(place.path) } : {})}
                    ref={isFirst && row === 0 && c === 0 ? takeFocus : undefined}
                    aria-label={`${column.name}, row ${row + 1}`}
                    aria-invalid={problem !== undefined}
                    aria-describedby={describedBy(`${own}h`, problem !== undefined && `${own}p`)}
                    inputMode="decimal"
                    autoComplete="off"
                    value={cells[c] ?? ''}
                    onChange={(event) => put(row, c, event.target.value)}
                    onPaste={(event) => paste(event, row, c)}
                    onBlur={left}
                  />
                </td>
              ))}
              <td>
                <button
                  type="button"
                  className="btn flat"
                  aria-label={`Take out row ${row + 1}`}
                  onClick={() => remove(row)}
                >
                  ×
                </button>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
      <div className="ni-row">
        <button type="button" className="btn" onClick={add}>
          Add a row
        </button>
        {!place.isList && (
          <>
            <label className="ni-spread">
              <span aria-hidden="true">±</span>
              <span className="vh">Plus-minus of {name}, percent</span>
              <input
                inputMode="decimal"
                autoComplete="off"
                placeholder="usual"
                value={typed.spread}
                onChange={(event) => change({ ...typed, spread: event.target.value })}
                onBlur={left}
              />
              <span>%</span>
            </label>
            <SourceSelect name={name} source={typed.source} change={(source) => change({ ...typed, source })} />
          </>
        )}
      </div>
      <p className="note" role="status">
        {said}
      </p>
      <Problem id={`${own}p`} says={problem} />
    </fieldset>
  );
};
