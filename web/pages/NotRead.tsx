/** How a log is written, and what of it could not be read: counted, with lines and reasons. */
import type { RunView } from '../../src/app/api.ts';
import { writeNumber } from '../state/units.ts';

/** How the file is written, in words. */
const writtenAs = ({ dialect }: RunView['log']): string => {
  if (dialect.format === 'mdf4') return 'measurement file (ASAM MDF 4)';
  if (dialect.format === 'parquet') return 'Parquet file';
  const separator = dialect.separator === '\t' ? 'tab' : `“${dialect.separator}”`;
  return `${dialect.encoding}, separator ${separator}, decimal “${dialect.decimal}”, names in line ${dialect.headerLine}`;
};

/** A list that is folded away, with what it counts. */
const Folded = ({
  what,
  lines,
  total,
  unfolded,
}: {
  what: string;
  lines: readonly string[];
  total: number;
  unfolded: boolean;
}) => (
  <details className="refused" open={unfolded}>
    <summary>{what}</summary>
    <ul>
      {lines.map((line) => (
        <li key={line}>{line}</li>
      ))}
      {total > lines.length && <li>and {writeNumber(total - lines.length, 0)} more</li>}
    </ul>
  </details>
);

const counted = (count: number, one: string, many: string): string =>
  `${writeNumber(count, 0)} ${count === 1 ? one : many}`;

/** What could not be read; nothing where all of it was. */
const NotRead = ({ log, unfolded }: { log: RunView['log']; unfolded: boolean }) => {
  // Reviews that were kept before these were counted have none of them.
  const { columnsRefused = [], cellsRefused = [] } = log;
  return (
    <>
      {log.rowsRefusedTotal > 0 && (
        <Folded
          what={`${counted(log.rowsRefusedTotal, 'row was', 'rows were')} not read`}
          lines={log.rowsRefused.map((row) => `line ${writeNumber(row.line, 0)}: ${row.why}`)}
          total={log.rowsRefusedTotal}
          unfolded={unfolded}
        />
      )}
      {columnsRefused.length > 0 && (
        <Folded
          what={`${counted(columnsRefused.length, 'column was', 'columns were')} not read`}
          lines={columnsRefused.map(({ column, why }) => `${column}: ${why}`)}
          total={columnsRefused.length}
          unfolded={unfolded}
        />
      )}
      {cellsRefused.length > 0 && (
        <Folded
          what={`Cells that are no numbers, in ${counted(cellsRefused.length, 'column', 'columns')}`}
          lines={cellsRefused.map(
            ({ column, count, line, text }) =>
              `${column}: ${writeNumber(count, 0)}${line === undefined ? '' : `, first in line ${writeNumber(line, 0)} (“${text}”)`}`,
          )}
          total={cellsRefused.length}
          unfolded={unfolded}
        />
      )}
    </>
  );
};

/** Rows, time and way of writing, notes, and what could not be read. */
export const LogFacts = ({ log, unfolded = false }: { log: RunView['log']; unfolded?: boolean }) => {
  const { notes = [] } = log;
  return (
    <>
      <p className="note">
        {writeNumber(log.rows, 0)} rows, {writeNumber(log.endS - log.startS, 1)} s, {writeNumber(log.medianRateHz, 0)} a
        second; {writtenAs(log)}.
      </p>
      {notes.map((note) => (
        <p key={note} className="note">
          Note: {note}.
        </p>
      ))}
      <NotRead log={log} unfolded={unfolded} />
    </>
  );
};

/** What a run's page says at its head: a line that unfolds, or nothing where all of the file was read without remark. */
export const ReadingRemarks = ({ log }: { log: RunView['log'] }) => {
  const { columnsRefused = [], cellsRefused = [], notes = [] } = log;
  const parts = [
    log.rowsRefusedTotal > 0 ? counted(log.rowsRefusedTotal, 'row', 'rows') : '',
    columnsRefused.length > 0 ? counted(columnsRefused.length, 'column', 'columns') : '',
    cellsRefused.length > 0
      ? counted(
          cellsRefused.reduce((sum, { count }) => sum + count, 0),
          'cell',
          'cells',
        )
      : '',
  ].filter((part) => part !== '');
  if (parts.length === 0 && notes.length === 0) return null;
  return (
    <details className="refused remarks">
      <summary>
        {parts.length > 0 ? `Not read: ${parts.join(', ')}` : ''}
        {parts.length > 0 && notes.length > 0 ? '; ' : ''}
        {notes.length > 0 ? counted(notes.length, 'note on the file', 'notes on the file') : ''}
      </summary>
      <div className="remarks-in">
        <LogFacts log={log} unfolded />
      </div>
    </details>
  );
};
