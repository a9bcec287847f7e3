/** All pulls of a car: what they must be, and the list of those that are. */
import { useEffect } from 'react';
import type { BuildSummary } from '../../src/app/api.ts';
import type { PullRowView, PullsView } from '../../src/app/compare-api.ts';
import { fetchPulls } from '../answers/several-client.ts';
import { answered, forget, useAnswer } from '../answers/use-answer.ts';
import { CompareBar, useTicked } from '../parts/CompareBar.tsx';
import { runDay } from '../parts/run-day.ts';
import { Sheet } from '../parts/Sheet.tsx';
import { Await } from '../parts/States.tsx';
import { useBuild, useBuilds, useFuelOf } from '../state/garage.ts';
import { addressOf, go } from '../state/route.ts';
import { type Units, useUnits, writeNumber } from '../state/units.ts';
import { PullConditions } from './PullConditions.tsx';
import {
  askOf,
  askText,
  columnHead,
  columnsOf,
  columnText,
  conditionWords,
  findingName,
  PAGE_ROWS,
  type PullColumn,
  type PullsAsk,
} from './pulls-data.ts';

interface Chosen {
  readonly carId: string;
  readonly buildId: string;
}

/** Older runs are read behind: the list is asked for again until none waits [ms]. */
const ASK_AGAIN_MS = 1500;
const NO_BUILDS: readonly BuildSummary[] = [];

const open = (ask: PullsAsk) => {
  const text = askText(ask);
  go(text === '' ? { sheet: 'pulls' } : { sheet: 'pulls', ask: text });
};

const SortHead = ({ name, sort, ask, number }: { name: string; sort: string; ask: PullsAsk; number: boolean }) => {
  const on = ask.sort === sort;
  return (
    <th scope="col" className={number ? 'num' : ''} aria-sort={on ? (ask.rising ? 'ascending' : 'descending') : 'none'}>
      <button
        type="button"
        className="pl-sort"
        onClick={() => open({ ...ask, sort, rising: on && sort !== 'newest' && !ask.rising, offset: 0 })}
      >
        {name}
        <span aria-hidden="true">{on ? (ask.rising ? ' ▲' : ' ▼') : ''}</span>
      </button>
    </th>
  );
};

const PullRow = ({
  pull,
  columns,
  build,
  units,
  ticked,
  tick,
}: {
  pull: PullRowView;
  columns: readonly PullColumn[];
  build: string;
  units: Units;
  ticked: boolean;
  tick: () => void;
}) => {
  const name = `${pull.fileName}, pull ${pull.pull}`;
  const worst = pull.findings.filter(({ severity }) => severity === 'stop' || severity === 'fix');
  return (
    <tr>
      <td className="pl-tick">
        <input type="checkbox" checked={ticked} aria-label={`Compare ${name}`} onChange={tick} />
      </td>
      <th scope="row">
        <a href={addressOf({ sheet: 'run', runId: pull.runId, pull: pull.pull })}>{name}</a>
        <span className="note">
          {runDay(pull, 'short')}, {build}
        </span>
      </th>
      <td data-head="Gear">{pull.gears.join(', ') || '–'}</td>
      <td data-head="rpm">
        {writeNumber(pull.minEngineSpeedRpm, 0)} to {writeNumber(pull.maxEngineSpeedRpm, 0)}
      </td>
      <td className="num" data-head="Length, s">
        {writeNumber(pull.endS - pull.startS, 1)}
      </td>
      <td className="num strong" data-head={`Power, ${units.label('power')}`}>
        {pull.powerW
          ? `${units.write('power', pull.powerW.p50)} ±${units.writeSpread('power', (pull.powerW.p90 - pull.powerW.p10) / 2)}`
          : '–'}
      </td>
      {columns.map((column) => (
        <td className="num" key={`${column.channel} ${column.statistic}`} data-head={columnHead(column, units)}>
          {columnText(pull, column, units)}
        </td>
      ))}
      <td data-head="Found" className="pl-found">
        {worst.length === 0 ? '–' : worst.map(({ id }) => findingName(id)).join(', ')}
      </td>
    </tr>
  );
};

const Pages = ({ view, ask }: { view: PullsView; ask: PullsAsk }) => {
  const { offset, total } = view;
  const last = Math.min(total, offset + view.pulls.length);
  if (total <= PAGE_ROWS && offset === 0) return null;
  return (
    <nav className="pl-pages" aria-label="Pages of the list">
      <button
        type="button"
        className="btn"
        disabled={offset === 0}
        onClick={() => open({ ...ask, offset: Math.max(0, offset - PAGE_ROWS) })}
      >
        Before
      </button>
      <span>
        {writeNumber(Math.min(offset + 1, total), 0)} to {writeNumber(last, 0)} of {writeNumber(total, 0)}
      </span>
      <button
        type="button"
        className="btn"
        disabled={last >= total}
        onClick={() => open({ ...ask, offset: offset + PAGE_ROWS })}
      >
        Next
      </button>
    </nav>
  );
};

const headline = ({ total, ofCar, conditions }: PullsView): string => {
  const pulls = (count: number) => `${writeNumber(count, 0)} ${count === 1 ? 'pull' : 'pulls'}`;
  if (ofCar === 0) return 'No pull yet: bring a log of one in first.';
  if (conditions.length === 0) return `${pulls(ofCar)} of this car.`;
  return `${writeNumber(total, 0)} of ${pulls(ofCar)} ${total === 1 ? 'fits' : 'fit'}.`;
};

const PullList = ({ view, ask, builds }: { view: PullsView; ask: PullsAsk; builds: readonly BuildSummary[] }) => {
  const units = useUnits();
  const columns = columnsOf(view);
  const { ticked, tick } = useTicked(2);
  const [first, second] = ticked;
  const lacking = view.conditions.filter(({ pullsWithout }) => pullsWithout > 0);
  return (
    <section className="pl-list" aria-label="Pulls">
      <p className="lead" role="status">
        {headline(view)}
      </p>
      {lacking.map(({ text, pullsWithout }) => (
        <p key={text} className="note">
          {writeNumber(pullsWithout, 0)} of them cannot be told: no such reading for “{conditionWords(text, units)}”.
        </p>
      ))}
      {view.runsToRead > 0 && (
        <p className="note" role="status">
          {view.runsToRead === 1 ? 'One older run is' : `${view.runsToRead} older runs are`} still being read; the list
          fills by itself.
        </p>
      )}
      {view.problems.map(({ runId, says }) => (
        <p key={runId} className="cmp-problem">
          {says}
        </p>
      ))}
      {view.ofCar > 0 && <CompareBar first={first} second={second} what="pulls" />}
      {view.pulls.length > 0 && (
        // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1)
        <section className="pl-scroll" tabIndex={0} aria-label="The list of pulls">
          <table className="twin pl-table">
            <thead>
              <tr>
                <th scope="col">
                  <span className="vh">Compare</span>
                </th>
                <SortHead name="Run and pull" sort="newest" ask={ask} number={false} />
                <th scope="col">Gear</th>
                <th scope="col">rpm</th>
                <SortHead name="Length, s" sort="duration" ask={ask} number />
                <SortHead name={`Power, ${units.label('power')}`} sort="power" ask={ask} number />
                {columns.map((column) => {
                  const sort = `${column.channel} ${column.statistic}`;
                  return <SortHead key={sort} name={columnHead(column, units)} sort={sort} ask={ask} number />;
                })}
                <th scope="col">Found</th>
              </tr>
            </thead>
            <tbody>
              {view.pulls.map((pull) => {
                const key = `${pull.runId}:${pull.pull}`;
                return (
                  <PullRow
                    key={key}
                    pull={pull}
                    columns={columns}
                    build={builds.find(({ id }) => id === pull.buildId)?.label ?? pull.buildId}
                    units={units}
                    ticked={ticked.includes(key)}
                    tick={() => tick(key)}
                  />
                );
              })}
            </tbody>
          </table>
        </section>
      )}
      <Pages view={view} ask={ask} />
    </section>
  );
};

export const Pulls = ({ ask: text, chosen }: { ask: string; chosen: Chosen }) => {
  const ask = askOf(text);
  const builds = answered(useBuilds(chosen.carId))?.builds ?? NO_BUILDS;
  useFuelOf(answered(useBuild(chosen.buildId)));
  const query = new URLSearchParams(askText(ask));
  query.set('limit', String(PAGE_ROWS));
  const key = `pulls ${chosen.carId} ${query}`;
  const answer = useAnswer(key, () => fetchPulls(chosen.carId, query.toString()));
  const view = answered(answer);
  const channels = answered(
    useAnswer(`pulls ${chosen.carId} limit=1`, () => fetchPulls(chosen.carId, 'limit=1')),
  )?.channels;
  const waiting = (view?.runsToRead ?? 0) > 0;
  useEffect(() => {
    if (!waiting) return;
    const timer = setTimeout(() => forget(`pulls ${chosen.carId}`), ASK_AGAIN_MS);
    return () => clearTimeout(timer);
  });
  return (
    <Sheet title="Pulls" chosen={chosen}>
      <div className="pl">
        <PullConditions
          key={ask.where.join('\n')}
          where={ask.where}
          channels={channels ?? []}
          builds={builds}
          look={(where) => open({ ...ask, where, offset: 0 })}
        />
        <Await answer={answer} what="Looking through the pulls">
          {(value) => <PullList view={value} ask={ask} builds={builds} />}
        </Await>
      </div>
    </Sheet>
  );
};
