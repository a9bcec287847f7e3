/** The build sheet as tables by part of the car: every number with its plus-minus and source, choices, curves. */
import type { QuantityView } from '../../src/app/api.ts';
import { SourceMark } from '../parts/Shapes.tsx';
import { useUnits } from '../state/units.ts';
import { CHOICE_PLACES, PUMP_OCTANE, TABLE_PLACES } from './sheet-fields.ts';
import { type ChangeLine, tableInWords, typedChoiceOf, typedNumberOf, writeQuantity } from './sheet-typed.ts';

/** How a row is edited; absent: the tables are only read. */
export interface Editing {
  readonly edit: (path: string) => void;
  readonly lines: ReadonlyMap<string, ChangeLine>;
}

const groupName = (group: string): string => {
  const words = group.replace(/([a-z])([A-Z])/g, '$1 $2').toLowerCase();
  return words.charAt(0).toUpperCase() + words.slice(1);
};

/** The name of a row; where the sheet is edited, the way to change it. */
const Name = ({ path, about, editing }: { path: string; about: string; editing: Editing | undefined }) => (
  <th scope="row">
    {editing ? (
      <button
        type="button"
        className="name-btn"
        aria-haspopup="dialog"
        data-path={path}
        onClick={() => editing.edit(path)}
      >
        <span className="vh">Change: </span>
        {about}
      </button>
    ) : (
      about
    )}
  </th>
);

const Was = ({ line }: { line: ChangeLine | undefined }) =>
  line ? (
    <span className="was">
      <span className="vh">was </span>
      {line.before}
    </span>
  ) : null;

const NumberRow = ({ quantity, editing }: { quantity: QuantityView; editing: Editing | undefined }) => {
  const units = useUnits();
  const written = writeQuantity(quantity, units);
  const line = editing?.lines.get(quantity.path);
  return (
    <tr className={`${quantity.estimated ? 'pencilled' : ''} ${line ? 'edited' : ''}`}>
      <Name path={quantity.path} about={quantity.about} editing={editing} />
      <td className="num">
        {written.value}
        <span className="u">{written.unit}</span>
        <Was line={line} />
      </td>
      <td className="num pm">±{written.spread}</td>
      <td className="from">
        <SourceMark source={quantity.source} />
        <span aria-hidden="true">{quantity.estimated ? 'by engine class' : quantity.source.replace('-', ' ')}</span>
      </td>
    </tr>
  );
};

const WordsRow = ({
  path,
  about,
  words,
  said,
  editing,
}: {
  path: string;
  about: string;
  words: string;
  said: boolean;
  editing: Editing | undefined;
}) => {
  const line = editing?.lines.get(path);
  return (
    <tr className={`${said ? '' : 'pencilled'} ${line ? 'edited' : ''}`}>
      <Name path={path} about={about} editing={editing} />
      <td className="words" colSpan={3}>
        {words}
        <Was line={line} />
      </td>
    </tr>
  );
};

/** The pump's own octane is read with the others: it has no estimate of its own. */
const pumpOctaneRow = (sheet: unknown) => {
  const typed = typedNumberOf(sheet, PUMP_OCTANE.path);
  return { path: PUMP_OCTANE.path, about: PUMP_OCTANE.about, words: typed?.value ?? 'not said', said: typed !== null };
};

/** What of a group is no number with an estimate. */
const wordRows = (group: string, sheet: unknown) => [
  ...CHOICE_PLACES.filter(({ path }) => path.startsWith(`${group}.`)).map((place) => {
    const said = typedChoiceOf(sheet, place.path);
    return { path: place.path, about: place.about, words: said || place.usual || 'not said', said: said !== '' };
  }),
  ...TABLE_PLACES.filter(({ path }) => path.startsWith(`${group}.`)).map((place) => {
    const words = tableInWords(sheet, place);
    return { path: place.path, about: place.about, words: words || 'estimate by engine class', said: words !== '' };
  }),
  ...(group === 'fuel' ? [pumpOctaneRow(sheet)] : []),
];

const Group = ({
  group,
  quantities,
  sheet,
  editing,
}: {
  group: string;
  quantities: readonly QuantityView[];
  /** Choices and curves are shown where there is a sheet. */
  sheet: unknown;
  editing: Editing | undefined;
}) => (
  <table className="twin sheet-group">
    <caption>{groupName(group)}</caption>
    <thead className="vh">
      <tr>
        <th scope="col">What</th>
        <th scope="col">Value</th>
        <th scope="col">Plus-minus</th>
        <th scope="col">Source</th>
      </tr>
    </thead>
    <tbody>
      {sheet !== null && wordRows(group, sheet).map((row) => <WordsRow key={row.path} {...row} editing={editing} />)}
      {quantities.map((quantity) => (
        <NumberRow key={quantity.path} quantity={quantity} editing={editing} />
      ))}
      {sheet !== null && group === 'injection' && quantities.length === 0 && (
        <WordsRow
          path="injection.nozzleFlow"
          about="Water-methanol injection"
          words="not fitted"
          said
          editing={editing}
        />
      )}
    </tbody>
  </table>
);

/** Groups in the order of the sheet; those without a number too where choices are shown. */
export const SheetGroups = ({
  quantities,
  sheet,
  editing,
}: {
  quantities: readonly QuantityView[];
  sheet: unknown;
  editing?: Editing;
}) => {
  const by = new Map<string, QuantityView[]>();
  for (const quantity of quantities) {
    const group = quantity.path.split('.')[0] ?? '';
    by.set(group, [...(by.get(group) ?? []), quantity]);
  }
  const names = [...by.keys()];
  if (sheet !== null) {
    if (!by.has('injection')) names.splice(Math.max(0, names.indexOf('sensors')), 0, 'injection');
    names.push('targets');
  }
  return (
    <div className="groups">
      {names.map((group) => (
        <Group key={group} group={group} quantities={by.get(group) ?? []} sheet={sheet} editing={editing} />
      ))}
    </div>
  );
};
