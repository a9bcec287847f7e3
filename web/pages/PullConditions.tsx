/** Rows of fields for what a pull must be: a channel's number over or under a figure, a gear, a length, a finding, a build. */
import { useState } from 'react';
import type { BuildSummary } from '../../src/app/api.ts';
import { useUnits } from '../state/units.ts';
import { readingWords, unitOf } from './compare-data.ts';
import {
  type ConditionRow,
  conditionText,
  FINDINGS,
  findingName,
  rowOf,
  STATISTIC_NAMES,
  type StatisticName,
  type StatisticWord,
} from './pulls-data.ts';

const WORKED_OUT: readonly StatisticName[] = ['power', 'torque', 'boost'];
const OF_THE_PULL = { gear: 'Gear', duration: 'Length', finding: 'Finding', build: 'Build' } as const;

const fresh = (what: string, builds: readonly BuildSummary[]): ConditionRow => {
  switch (what) {
    case 'gear':
      return { kind: 'gear', typed: '' };
    case 'duration':
      return { kind: 'duration', over: true, typed: '' };
    case 'finding':
      return { kind: 'finding', id: 'knock' };
    case 'build':
      return { kind: 'build', id: builds[0]?.id ?? '' };
    default:
      return { kind: 'statistic', channel: what as StatisticName, statistic: 'max', over: true, typed: '' };
  }
};

const OverUnder = ({ over, set, name }: { over: boolean; set: (over: boolean) => void; name: string }) => (
  <select
    aria-label={`${name}: over or under`}
    value={over ? 'over' : 'under'}
    onChange={(e) => set(e.target.value === 'over')}
  >
    <option value="over">over</option>
    <option value="under">under</option>
  </select>
);

const Figure = ({
  typed,
  set,
  name,
  unit,
  wrong,
}: {
  typed: string;
  set: (typed: string) => void;
  name: string;
  unit: string;
  wrong: boolean;
}) => (
  <span className="pl-figure">
    <input
      value={typed}
      inputMode="decimal"
      size={7}
      aria-label={`${name}${unit === '' ? '' : `, ${unit}`}`}
      aria-invalid={wrong && typed.trim() !== ''}
      onChange={(event) => set(event.target.value)}
    />
    <span className="u">{unit}</span>
  </span>
);

const Row = ({
  row,
  index,
  channels,
  builds,
  set,
  remove,
}: {
  row: ConditionRow;
  index: number;
  channels: readonly string[];
  builds: readonly BuildSummary[];
  set: (row: ConditionRow) => void;
  remove: () => void;
}) => {
  const units = useUnits();
  const name = `Condition ${index + 1}`;
  const what = row.kind === 'statistic' ? row.channel : row.kind;
  const wrong = conditionText(row, units) === null;
  const offered = channels.filter((one) => !WORKED_OUT.includes(one as StatisticName));
  // A condition from a bookmark may name a channel that no pull has: it stays to be seen and changed.
  if (row.kind === 'statistic' && !channels.includes(row.channel) && !WORKED_OUT.includes(row.channel))
    offered.push(row.channel);
  return (
    <li className="pl-row">
      <select aria-label={`${name}: what`} value={what} onChange={(event) => set(fresh(event.target.value, builds))}>
        <optgroup label="Worked out">
          {WORKED_OUT.map((channel) => (
            <option key={channel} value={channel}>
              {readingWords(channel).name}
            </option>
          ))}
        </optgroup>
        <optgroup label="The pull">
          {Object.entries(OF_THE_PULL).map(([kind, label]) => (
            <option key={kind} value={kind}>
              {label}
            </option>
          ))}
        </optgroup>
        <optgroup label="Channels">
          {offered.map((channel) => (
            <option key={channel} value={channel}>
              {readingWords(channel as StatisticName).name}
            </option>
          ))}
        </optgroup>
      </select>
      {row.kind === 'statistic' && (
        <>
          <select
            aria-label={`${name}: which number`}
            value={row.statistic}
            onChange={(event) => set({ ...row, statistic: event.target.value as StatisticWord })}
          >
            {Object.entries(STATISTIC_NAMES).map(([word, label]) => (
              <option key={word} value={word}>
                {label}
              </option>
            ))}
          </select>
          <OverUnder name={name} over={row.over} set={(over) => set({ ...row, over })} />
          <Figure
            name={name}
            typed={row.typed}
            unit={unitOf(readingWords(row.channel), units)}
            wrong={wrong}
            set={(typed) => set({ ...row, typed })}
          />
        </>
      )}
      {row.kind === 'duration' && (
        <>
          <OverUnder name={name} over={row.over} set={(over) => set({ ...row, over })} />
          <Figure name={name} typed={row.typed} unit="s" wrong={wrong} set={(typed) => set({ ...row, typed })} />
        </>
      )}
      {row.kind === 'gear' && (
        <Figure name={name} typed={row.typed} unit="" wrong={wrong} set={(typed) => set({ ...row, typed })} />
      )}
      {row.kind === 'finding' && (
        <select
          aria-label={`${name}: finding`}
          value={row.id}
          onChange={(event) => set({ ...row, id: event.target.value })}
        >
          <option value="none">None at all</option>
          {FINDINGS.map((id) => (
            <option key={id} value={id}>
              {findingName(id)}
            </option>
          ))}
        </select>
      )}
      {row.kind === 'build' && (
        <select
          aria-label={`${name}: build`}
          value={row.id}
          onChange={(event) => set({ ...row, id: event.target.value })}
        >
          {builds.map((build) => (
            <option key={build.id} value={build.id}>
              {build.label}
            </option>
          ))}
        </select>
      )}
      <button type="button" className="btn flat" onClick={remove}>
        Take out<span className="vh"> condition {index + 1}</span>
      </button>
    </li>
  );
};

export const PullConditions = ({
  where,
  channels,
  builds,
  look,
}: {
  where: readonly string[];
  channels: readonly string[];
  builds: readonly BuildSummary[];
  look: (where: readonly string[]) => void;
}) => {
  const units = useUnits();
  const [rows, setRows] = useState<readonly ConditionRow[]>(() => where.flatMap((text) => rowOf(text, units) ?? []));
  /** Written by hand in the address in a way that the fields do not have. */
  const [byHand, setByHand] = useState<readonly string[]>(() => where.filter((text) => rowOf(text, units) === null));
  const texts = rows.map((row) => conditionText(row, units));
  const unready = texts.some((text) => text === null);
  const put = (index: number, row: ConditionRow | null) =>
    setRows(rows.flatMap((one, i) => (i === index ? (row ?? []) : one)));
  return (
    <form
      className="pl-form"
      aria-label="What the pulls must be"
      onSubmit={(event) => {
        event.preventDefault();
        if (!unready) look([...byHand, ...texts.filter((text) => text !== null)]);
      }}
    >
      <h2>{rows.length + byHand.length === 0 ? 'Which pulls: no condition, so all of them' : 'Which pulls'}</h2>
      <ul>
        {byHand.map((text) => (
          <li className="pl-row" key={text}>
            <b>{text}</b>
            <button type="button" className="btn flat" onClick={() => setByHand(byHand.filter((one) => one !== text))}>
              Take out<span className="vh"> {text}</span>
            </button>
          </li>
        ))}
        {rows.map((row, index) => (
          <Row
            // biome-ignore lint/suspicious/noArrayIndexKey: rows have no name of their own, and stay in their order
            key={index}
            row={row}
            index={index}
            channels={channels}
            builds={builds}
            set={(next) => put(index, next)}
            remove={() => put(index, null)}
          />
        ))}
      </ul>
      <div className="acts">
        <button type="button" className="btn" onClick={() => setRows([...rows, fresh('boost', builds)])}>
          Add a condition
        </button>
        <button type="submit" className="btn first" disabled={unready}>
          Find pulls
        </button>
        {unready && <span className="note">Type a figure in every condition.</span>}
      </div>
    </form>
  );
};
