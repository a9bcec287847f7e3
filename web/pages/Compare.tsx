/** Two runs laid on each other: one sentence, both over engine speed, the table, and what accounts for the difference. */
import { useMemo, useState } from 'react';
import type { CompareView, ComparisonView } from '../../src/app/compare-api.ts';
import { fetchCompare } from '../answers/several-client.ts';
import { answered, useAnswer } from '../answers/use-answer.ts';
import { Sheet } from '../parts/Sheet.tsx';
import { Await } from '../parts/States.tsx';
import { useBuild, useFuelOf } from '../state/garage.ts';
import { engineSpeedStore } from '../state/position.ts';
import { addressOf, go } from '../state/route.ts';
import { useStore } from '../state/store.ts';
import { useUnits } from '../state/units.ts';
import { CompareSide } from './CompareSide.tsx';
import { BASIS_WORDS, CompareTable } from './CompareTable.tsx';
import { OverlayRow, type OverlayWindow, SpeedEdge, useSpeedDrag } from './CompareTraces.tsx';
import {
  type Basis,
  binAt,
  type ComparedSpeed,
  comparedRows,
  differenceOverlay,
  FIRST_ROWS,
  gearsOf,
  inGear,
  powerOverlay,
  readingOverlay,
  readingWords,
  saysText,
  unitOf,
  useGathered,
  writeDifference,
  writeReading,
} from './compare-data.ts';

const windowOf = (rows: readonly ComparedSpeed[]): OverlayWindow => {
  const speeds = rows.map(({ engineSpeedRpm }) => engineSpeedRpm);
  return {
    fromRpm: Math.floor((Math.min(...speeds) - 200) / 250) * 250,
    toRpm: Math.ceil((Math.max(...speeds) + 200) / 250) * 250,
  };
};

const Overlays = ({
  view,
  comparison,
  rows,
  basis,
  gear,
}: {
  view: CompareView;
  comparison: ComparisonView;
  rows: readonly ComparedSpeed[];
  basis: Basis;
  gear: number | null;
}) => {
  const units = useUnits();
  const [all, setAll] = useState(false);
  const offered = useMemo(() => comparedRows(comparison), [comparison]);
  const names = all ? offered : offered.slice(0, FIRST_ROWS);
  const first = useGathered(view.sides[comparison.first]!, gear, offered);
  const second = useGathered(view.sides[comparison.second]!, gear, offered);
  const window = useMemo(() => windowOf(rows), [rows]);
  const rpm = useStore(engineSpeedStore);
  const bin = binAt(rows, Math.min(window.toRpm, Math.max(window.fromRpm, rpm)));
  const drag = useSpeedDrag(window);
  const power = readingWords('power');
  const told = bin?.[basis];
  const difference = told ? writeDifference(power, units, told.differenceW) : undefined;
  const powers = useMemo(() => powerOverlay(rows, basis, units), [rows, basis, units]);
  const differences = useMemo(() => differenceOverlay(rows, basis, units), [rows, basis, units]);
  const readings = useMemo(
    () => new Map(offered.map((name) => [name, readingOverlay(name, first, second, units)])),
    [offered, first, second, units],
  );
  return (
    <div className="cmp-traces">
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1) */}
      <section className="trs" tabIndex={0} aria-label="Both pulls over engine speed" {...drag}>
        {rows.some((row) => row[basis]) && (
          <>
            <OverlayRow
              name="Crank power"
              unit={units.label('power')}
              data={powers}
              window={window}
              reading={
                told
                  ? { first: units.write('power', told.firstW.p50), second: units.write('power', told.secondW.p50) }
                  : {}
              }
            />
            <OverlayRow
              name="B less A"
              unit={`${units.label('power')}, band p10 to p90`}
              data={differences}
              window={window}
              reading={difference === undefined ? {} : { difference }}
            />
          </>
        )}
        {names.map((name) => {
          const words = readingWords(name);
          const reading = bin?.readings[name];
          return (
            <OverlayRow
              key={name}
              name={words.name}
              unit={unitOf(words, units)}
              data={readings.get(name)!}
              window={window}
              reading={
                reading
                  ? {
                      first: writeReading(words, units, reading.first),
                      second: writeReading(words, units, reading.second),
                      difference: writeDifference(words, units, reading.difference),
                    }
                  : {}
              }
            />
          );
        })}
      </section>
      <SpeedEdge
        window={window}
        spoken={difference === undefined ? '' : `B less A ${difference} ${units.label('power')}`}
      />
      {offered.length > FIRST_ROWS && (
        <p className="pad">
          <button type="button" className="btn" aria-pressed={all} onClick={() => setAll(!all)}>
            All readings
          </button>
        </p>
      )}
    </div>
  );
};

const BASES: readonly Basis[] = ['asMeasured', 'sameAir'];

const Compared = ({ view, choose }: { view: CompareView; choose: (which: 0 | 1, pull: number) => void }) => {
  const units = useUnits();
  const comparison = view.comparisons[0]!;
  const { headline, sameAir } = comparison;
  const gears = gearsOf(comparison);
  const [wantedGear, setGear] = useState(headline?.gear ?? gears[0] ?? null);
  const [wantedBasis, setBasis] = useState<Basis>(headline?.basis === 'same air' ? 'sameAir' : 'asMeasured');
  const gear = gears.includes(wantedGear) ? wantedGear : (gears[0] ?? null);
  const basis = sameAir ? wantedBasis : 'asMeasured';
  const rows = useMemo(() => inGear(comparison, gear), [comparison, gear]);
  const rpm = useStore(engineSpeedStore);
  useFuelOf(answered(useBuild(view.sides[0]?.buildId ?? null)));
  return (
    <div className="cmp">
      <div className="cmp-main">
        <div className="cmp-head">
          <p className="lead">{saysText(comparison, units)}</p>
          {comparison.problems.map((text) => (
            <p key={text} className="cmp-problem">
              {text}
            </p>
          ))}
          {rows.length > 0 && (
            <div className="cmp-choices">
              <fieldset className="cmp-set">
                <legend>Power</legend>
                {BASES.map((one) => (
                  <label key={one} className="cmp-radio">
                    <input
                      type="radio"
                      name="basis"
                      checked={basis === one}
                      disabled={one === 'sameAir' && !sameAir}
                      onChange={() => setBasis(one)}
                    />
                    {BASIS_WORDS[one]}
                  </label>
                ))}
              </fieldset>
              {gears.length > 1 && (
                <label className="field">
                  Gear
                  <select
                    value={String(gear)}
                    onChange={(event) => setGear(gears.find((one) => String(one) === event.target.value) ?? null)}
                  >
                    {gears.map((one) => (
                      <option key={String(one)} value={String(one)}>
                        {one === null ? 'not known' : one}
                      </option>
                    ))}
                  </select>
                </label>
              )}
            </div>
          )}
        </div>
        {rows.length > 0 && (
          <>
            <Overlays view={view} comparison={comparison} rows={rows} basis={basis} gear={gear} />
            <CompareTable comparison={comparison} rows={rows} basis={basis} gear={gear} />
          </>
        )}
      </div>
      <CompareSide view={view} comparison={comparison} row={binAt(rows, rpm)} choose={choose} />
    </div>
  );
};

const withoutPull = (run: string): string => run.replace(/:\d+$/, '');

export const Compare = ({
  first,
  second,
  chosen,
}: {
  first: string;
  second: string;
  chosen: { carId: string; buildId: string };
}) => {
  const answer = useAnswer(`compare ${first} ${second}`, () => fetchCompare([first, second]));
  const view = answered(answer);
  const choose = (which: 0 | 1, pull: number) => {
    // The other side keeps the pull it shows now.
    const [a, b] = [view?.sides[0]?.pull ?? 1, view?.sides[1]?.pull ?? 1];
    go({
      sheet: 'compare',
      first: `${withoutPull(first)}:${which === 0 ? pull : a}`,
      second: `${withoutPull(second)}:${which === 1 ? pull : b}`,
    });
  };
  return (
    <Sheet title="Compare" chosen={chosen}>
      <Await answer={answer} what="Laying the two runs on each other">
        {(value) => <Compared key={`${first} ${second}`} view={value} choose={choose} />}
      </Await>
      {answer.state === 'refused' && (
        <p className="pad">
          <a href={addressOf({ sheet: 'runs' })}>All runs</a>
        </p>
      )}
    </Sheet>
  );
};
