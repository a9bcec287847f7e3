/** Which parts to buy for a power: the front of price against power, and the cheapest set that reaches the hairline. */
import { type FormEvent, useId, useMemo, useState } from 'react';
import type { LiftSearchState, LiftSearchView } from '../../src/app/lift-api.ts';
import { fetchPartOptions } from '../answers/lift-client.ts';
import { useAnswer } from '../answers/use-answer.ts';
import { edgeCursor } from '../charts/edge.ts';
import { powerEdge, powerScale } from '../charts/ledger.ts';
import { type FrontPoint, frontDrawing, frontEnds, frontPlace, PRICE_ROOM } from '../charts/lift.ts';
import { linearScale } from '../charts/scale.ts';
import { path, px } from '../charts/shape.ts';
import { EdgeSlider } from '../parts/EdgeSlider.tsx';
import { Shapes } from '../parts/Shapes.tsx';
import { RuledOff, Waiting } from '../parts/States.tsx';
import { usePhone } from '../parts/use-media.ts';
import { useSize } from '../parts/use-size.ts';
import { useHeadroom } from '../state/garage.ts';
import { beginSearch, chanceStore, stopSearch, targetPowerStore, useSearch } from '../state/lift.ts';
import { useStore } from '../state/store.ts';
import { type Units, useUnits } from '../state/units.ts';
import { LiftOptions } from './LiftOptions.tsx';
import { LiftSetCard } from './LiftSetCard.tsx';
import { type Chosen, LiftSheet } from './LiftSheet.tsx';
import { FrontTable } from './LiftTables.tsx';
import { cheapestAt, searchSentence, writePrice } from './lift-data.ts';
import { rowName } from './part-marks.ts';

/** Rows whose rating is common practice until somebody types it; a builder may want them to count. */
const MAY_COUNT = ['peak cylinder pressure', 'turbine temperature', 'charge temperature', 'back-pressure'] as const;
const CHANCES = [0.5, 0.6, 0.7, 0.8, 0.9, 0.95] as const;

const STAGES: Readonly<Record<string, string>> = {
  waiting: 'Waiting for a free thread',
  screening: 'Sorting all sets by their best estimate',
  narrowing: 'Solving the near ones with a few samples',
  figures: 'Solving the best with all samples',
  checking: 'Checking them whole',
};

const Progress = ({ state }: { state: LiftSearchState & { state: 'working' } }) => (
  <div className="progress" role="status">
    <label>
      {STAGES[state.stage] ?? 'Searching'}
      <progress max={1} value={state.done} />
    </label>
    <button type="button" className="btn" onClick={() => void stopSearch()}>
      Stop
    </button>
  </div>
);

const AskForm = ({ chosen, ready, working }: { chosen: Chosen; ready: boolean; working: boolean }) => {
  const units = useUnits();
  const targetW = useStore(targetPowerStore);
  const headroom = useHeadroom(chosen.buildId);
  const nowW = headroom.state === 'here' ? headroom.value.powerNowW.p50 : null;
  const usualW = targetW ?? (nowW === null ? null : 1.2 * nowW);
  const [typed, setTyped] = useState<string | null>(null);
  const chance = useStore(chanceStore);
  const [kept, setKept] = useState<readonly string[]>([]);
  const [odd, setOdd] = useState(false);
  const ids = { power: useId(), chance: useId() };
  const shown = typed ?? (usualW === null ? '' : units.write('power', usualW).replace(/[^0-9.]/g, ''));
  const submit = (event: FormEvent) => {
    event.preventDefault();
    const value = Number(shown.replace(',', '.'));
    const powerW = units.fromReading('power', value);
    if (!(powerW >= 1000 && powerW <= 3e6)) {
      setOdd(true);
      return;
    }
    setOdd(false);
    setTyped(null);
    targetPowerStore.set(powerW);
    void beginSearch(chosen.buildId, { targetPowerW: powerW, chance, keepInside: kept });
  };
  return (
    <form className="ask" onSubmit={submit}>
      <span className="lift-pick">
        <label htmlFor={ids.power}>Power to reach, {units.label('power')}</label>
        <input
          id={ids.power}
          inputMode="decimal"
          size={6}
          value={shown}
          aria-invalid={odd}
          aria-describedby={odd ? `${ids.power}-odd` : undefined}
          onChange={(event) => setTyped(event.target.value)}
        />
      </span>
      <span className="lift-pick">
        <label htmlFor={ids.chance}>In how many of 100 cases</label>
        <select id={ids.chance} value={chance} onChange={(event) => chanceStore.set(Number(event.target.value))}>
          {CHANCES.map((one) => (
            <option key={one} value={one}>
              {Math.round(100 * one)}
            </option>
          ))}
        </select>
      </span>
      <fieldset className="counts">
        <legend>Count as limits too, by their usual ratings</legend>
        {MAY_COUNT.map((part) => (
          <label key={part} className="tick-box">
            <input
              type="checkbox"
              checked={kept.includes(part)}
              onChange={(event) =>
                setKept(event.target.checked ? [...kept, part] : kept.filter((other) => other !== part))
              }
            />
            {rowName(part)}
          </label>
        ))}
      </fieldset>
      <button type="submit" className="btn first" disabled={!ready || working}>
        Find parts
      </button>
      {odd && (
        <p className="odd" id={`${ids.power}-odd`} role="alert">
          The power must be a number up to {units.write('power', 3e6)} {units.label('power')}.
        </p>
      )}
    </form>
  );
};

const pointsOf = (view: LiftSearchView, units: Units): FrontPoint[] =>
  view.front.map(({ price, powerAtFirstLimitW: band, surePowerW }) => ({
    price,
    sure: units.toReading('power', surePowerW),
    power: {
      p10: units.toReading('power', band.p10),
      p50: units.toReading('power', band.p50),
      p90: units.toReading('power', band.p90),
    },
  }));

const TALL = 560;
const LOW = 320;
const EDGE = 96;

const Front = ({ view, targetW }: { view: LiftSearchView; targetW: number }) => {
  const units = useUnits();
  const height = usePhone() ? LOW : TALL;
  const [box, { width }] = useSize<HTMLDivElement>();
  const points = useMemo(() => pointsOf(view, units), [view, units]);
  const target = units.toReading('power', targetW);
  const full = Math.max(300, width);
  const scale = useMemo(() => {
    const [from, to] = frontEnds(points, units.toReading('power', view.target.powerW));
    const inner = powerScale(from, to, full);
    return linearScale(from, to, PRICE_ROOM, inner.end);
  }, [points, units, view, full]);
  const held = Math.min(scale.to, Math.max(scale.from, target));
  const chosen = cheapestAt(view.front, targetW - 1);
  const place = frontPlace(points, scale, full, height);
  const figure = `${units.write('power', targetW)} ${units.label('power')}`;
  const set = view.front[chosen];
  const price = set ? writePrice(set.price, view.currency) : 'out of reach';
  const x = scale.at(held);
  return (
    <div className="front" ref={box}>
      {width > 0 && (
        <>
          <svg width={full} height={height} viewBox={`0 0 ${full} ${height}`} aria-hidden="true">
            <Shapes of={frontDrawing(points, place, held, chosen, view.currency)} />
          </svg>
          <div style={{ height: EDGE }}>
            <EdgeSlider
              label="Power to reach"
              value={held}
              lowest={scale.from}
              highest={scale.to}
              graduation={1}
              valueText={`${figure} in ${Math.round(100 * view.target.chance)} of 100 cases: ${price}`}
              scale={scale}
              move={(to) => targetPowerStore.set(units.fromReading('power', to))}
              typedUnit={units.label('power')}
            >
              <svg width={full} height={EDGE} viewBox={`0 0 ${full} ${EDGE}`} aria-hidden="true">
                <Shapes
                  of={[
                    ...powerEdge(scale, null, full, EDGE, x, units.label('power')),
                    path('hair', `M${px(x)} 0V32`),
                    ...edgeCursor(x, 32, 62, figure, price, { from: 0, to: full }, 118),
                  ]}
                />
              </svg>
            </EdgeSlider>
          </div>
        </>
      )}
    </div>
  );
};

const Found = ({ chosen, view, table }: { chosen: Chosen; view: LiftSearchView; table: boolean }) => {
  const units = useUnits();
  const targetW = useStore(targetPowerStore) ?? view.target.powerW;
  const index = cheapestAt(view.front, targetW - 1);
  const set = view.front[index] ?? view.front.at(-1);
  const asked = Math.abs(targetW - view.target.powerW) < 1;
  if (table) return <FrontTable view={view} />;
  const { counts } = view;
  return (
    <>
      <p className="lead">
        {asked
          ? searchSentence(view, units)
          : index < 0
            ? `No set of these parts is sure of ${units.write('power', targetW)} ${units.label('power')}; the one that goes furthest is shown.`
            : `${units.write('power', targetW)} ${units.label('power')} in ${Math.round(100 * view.target.chance)} of 100 cases from ${writePrice(view.front[index]!.price, view.currency)}.`}
      </p>
      <div className="found">
        <div className="found-main">
          <Front view={view} targetW={targetW} />
          <p className="note">
            Rings: power at which the first part gives out, with its band. Steps: what each price is sure of in{' '}
            {Math.round(100 * view.target.chance)} of 100 cases. {counts.sets.toLocaleString('en-GB')} sets of parts;{' '}
            {counts.exact
              ? `all solved with ${counts.samples} samples.`
              : `sorted by best estimate, ${counts.withFigures.toLocaleString('en-GB')} of them solved with ${counts.samples} samples.`}
            {view.keptInside.length > 0 && ` Counted as limits: ${view.keptInside.join(', ')}.`}
          </p>
        </div>
        {set && (
          <LiftSetCard
            key={set.parts.map(({ option }) => option).join()}
            chosen={chosen}
            set={set}
            view={view}
            short={index < 0}
          />
        )}
      </div>
    </>
  );
};

export const LiftSearch = ({ chosen, table }: { chosen: Chosen; table: boolean }) => {
  const options = useAnswer(`part-options ${chosen.carId}`, () => fetchPartOptions(chosen.carId));
  const search = useSearch(chosen.buildId);
  const state = search?.state ?? null;
  const working = state?.state === 'working' || (search !== null && state === null && search.refused === null);
  const has = options.state === 'here' && options.value.options !== null;
  return (
    <LiftSheet chosen={chosen} view="parts">
      <AskForm chosen={chosen} ready={has} working={working} />
      {state?.state === 'working' && <Progress state={state} />}
      {search?.refused && <RuledOff refused={search.refused} />}
      {state?.state === 'refused' && (
        <section className="ruled" role="alert">
          <h2>{state.says}</h2>
        </section>
      )}
      {state?.state === 'cancelled' && <p className="lift-says">Stopped. Nothing was changed.</p>}
      {state?.state === 'done' ? (
        <Found chosen={chosen} view={state.answer} table={table} />
      ) : (
        state === null &&
        !search?.refused && (
          <p className="lift-says">
            {has
              ? 'Every set of the parts below is tried: boost is raised until the first part gives out. It takes some seconds.'
              : 'Say first what could be bought, below.'}
          </p>
        )
      )}
      {options.state === 'waiting' && <Waiting what="Reading the part options" />}
      {options.state === 'refused' && <RuledOff refused={options.refused} again={options.again} />}
      {options.state === 'here' && (
        <LiftOptions key={options.value.savedAt ?? 'none'} chosen={chosen} kept={options.value} />
      )}
    </LiftSheet>
  );
};
