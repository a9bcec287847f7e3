/** What if: sliders that move the car's numbers, answered within a frame by the same core in the browser. */
import { useEffect, useId, useMemo, useRef, useState } from 'react';
import type { BuildView } from '../../src/app/api.ts';
import { fetchMatch, Refused, saveBuild } from '../answers/client.ts';
import { answered, forget, useAnswer } from '../answers/use-answer.ts';
import { afterCurve, type BeforeAfter, beforeAfterShapes } from '../charts/before-after.ts';
import { edgeCursor } from '../charts/edge.ts';
import { path, px } from '../charts/shape.ts';
import { type CurvePlace, curveScales, rulerFigures } from '../charts/torque-power.ts';
import { EdgeSlider } from '../parts/EdgeSlider.tsx';
import { Shapes, SourceMark } from '../parts/Shapes.tsx';
import { Sheet, tableStore } from '../parts/Sheet.tsx';
import { Await, RuledOff } from '../parts/States.tsx';
import { CautionButton } from '../parts/TitleBlock.tsx';
import { usePhone } from '../parts/use-media.ts';
import { useSize } from '../parts/use-size.ts';
import { chosenStore } from '../state/chosen.ts';
import { useBuild, useFuelOf } from '../state/garage.ts';
import { engineSpeedStore, moveToEngineSpeed } from '../state/position.ts';
import { go } from '../state/route.ts';
import { useStore } from '../state/store.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { rowName } from './part-marks.ts';
import { WhatIfBand } from './WhatIfBand.tsx';
import { type Knob, type KnobRange, knobsOf, type Moved, type Shown, shownOf, writeKnob } from './what-if-knobs.ts';
import { plannedSheet } from './what-if-sheet.ts';
import { movesAhead, type WhatIf as Solved, solveWhatIf } from './what-if-solve.ts';
import { changesAt, whatIfSentence } from './what-if-words.ts';

interface Chosen {
  readonly carId: string;
  readonly buildId: string;
}

/** Nothing is solved ahead so shortly after a slider was moved. */
const QUIET_MS = 400;
const PLOT_HEIGHT = 300;
/** On the phone the curve stays in sight above the sliders: no taller than leaves room for them. */
const PHONE_PLOT_HEIGHT = 200;

const KnobRow = ({
  range,
  value,
  move,
}: {
  range: KnobRange;
  value: number | undefined;
  move: (to: number | undefined) => void;
}) => {
  const units = useUnits();
  const id = useId();
  const now = value ?? range.base;
  const text = writeKnob(range.knob, now, units);
  return (
    <div className={`wi-row ${value === undefined ? '' : 'moved'}`}>
      <label htmlFor={id}>{range.name}</label>
      <output htmlFor={id} className="num">
        {text}
      </output>
      <input
        id={id}
        type="range"
        min={range.lowest}
        max={range.highest}
        step={range.step}
        value={now}
        aria-valuetext={text}
        onChange={(event) => move(Number(event.target.value))}
      />
      <button
        type="button"
        className="btn"
        disabled={value === undefined}
        aria-label={`${range.name}: as on the sheet`}
        onClick={() => move(undefined)}
      >
        ↺
      </button>
    </div>
  );
};

const Keep = ({ chosen, shown, moved }: { chosen: Chosen; shown: Shown; moved: Moved }) => {
  const [label, setLabel] = useState('what if');
  const [working, setWorking] = useState(false);
  const [refused, setRefused] = useState<Refused | null>(null);
  const airOnly = Object.keys(moved).every((knob) => knob === 'outside' || knob === 'altitude');
  const keep = async () => {
    const planned = plannedSheet(shown, moved);
    if (!planned.ok) {
      setRefused(new Refused('not-a-sheet', planned.says));
      return;
    }
    setWorking(true);
    setRefused(null);
    try {
      const saved = await saveBuild(chosen.carId, {
        label: label.trim(),
        planned: true,
        parentId: chosen.buildId,
        sheet: planned.build,
      });
      forget('cars');
      forget(`builds ${chosen.carId}`);
      chosenStore.set({ carId: chosen.carId, buildId: saved.build.id });
      go({ sheet: 'headroom' });
    } catch (error) {
      setRefused(error instanceof Refused ? error : new Refused('page-fault', String(error)));
      setWorking(false);
    }
  };
  return (
    <form
      className="plan"
      onSubmit={(event) => {
        event.preventDefault();
        void keep();
      }}
    >
      <label className="field">
        Name of the planned build
        <input value={label} maxLength={120} onChange={(event) => setLabel(event.target.value)} />
      </label>
      <button type="submit" className="btn" disabled={working || airOnly || label.trim() === ''}>
        Keep as a planned build
      </button>
      <p className="note">Outside air and altitude belong to no build and are not kept.</p>
      {refused && <RuledOff refused={refused} />}
    </form>
  );
};

const curvesOf = (before: Solved, after: Solved, shown: Shown, units: ReturnType<typeof useUnits>): BeforeAfter => {
  const of = ({ result }: Solved, kind: 'torque' | 'power') =>
    result.points.map((point) => units.toReading(kind, kind === 'torque' ? point.torqueNm : point.powerW));
  const rpm = ({ result }: Solved) => result.points.map(({ engineSpeedRpm }) => engineSpeedRpm);
  return {
    beforeRpm: rpm(before),
    beforeTorque: of(before, 'torque'),
    beforePower: of(before, 'power'),
    afterRpm: rpm(after),
    afterTorque: of(after, 'torque'),
    afterPower: of(after, 'power'),
    torqueUnit: units.label('torque'),
    powerUnit: units.label('power'),
    revLimitRpm: shown.car.engine.revLimitRpm,
  };
};

const Curves = ({ before, after, shown }: { before: Solved; after: Solved; shown: Shown }) => {
  const units = useUnits();
  const [box, { width }] = useSize<HTMLDivElement>();
  const height = usePhone() ? PHONE_PLOT_HEIGHT : PLOT_HEIGHT;
  const lowest = shown.engineSpeedsRpm[0]!;
  const highest = shown.car.engine.revLimitRpm;
  const rpm = Math.min(highest, Math.max(lowest, useStore(engineSpeedStore)));
  const place = useMemo(
    (): CurvePlace => ({ width, height, plotBottom: height - 56, compact: width < 560 }),
    [width, height],
  );
  const data = curvesOf(before, after, shown, units);
  const drawn = afterCurve(data);
  const { speed } = curveScales(drawn, place);
  const x = speed.at(rpm);
  return (
    <div className="wi-plot" ref={box} style={{ height }}>
      {width > 0 && (
        <EdgeSlider
          label="Engine speed"
          value={rpm}
          lowest={lowest}
          highest={highest}
          graduation={100}
          valueText={`${writeNumber(rpm, 0)} rpm`}
          scale={speed}
          move={(to) => moveToEngineSpeed(to, lowest, highest)}
          typedUnit="rpm"
        >
          <svg width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
            <Shapes
              of={[
                ...beforeAfterShapes(data, place),
                path('hair', `M${px(x)} 0V${place.plotBottom}`),
                ...rulerFigures(drawn, place, x),
                ...edgeCursor(x, place.plotBottom, 56, writeNumber(rpm, 0), undefined, { from: 0, to: width }),
              ]}
            />
          </svg>
        </EdgeSlider>
      )}
    </div>
  );
};

const Changes = ({ before, after }: { before: Solved; after: Solved }) => {
  const units = useUnits();
  const rpm = useStore(engineSpeedStore);
  const { points } = before.result;
  const held = Math.min(
    points[points.length - 1]?.engineSpeedRpm ?? rpm,
    Math.max(points[0]?.engineSpeedRpm ?? rpm, rpm),
  );
  return (
    <table className="twin wi-changes">
      <caption>
        At {writeNumber(held, 0)} rpm <SourceMark source="estimate" />
      </caption>
      <thead>
        <tr>
          <th scope="col">Full throttle</th>
          <th scope="col" className="num">
            Now
          </th>
          <th scope="col" className="num">
            Then
          </th>
          <th scope="col" className="num">
            Change
          </th>
        </tr>
      </thead>
      <tbody>
        {changesAt(before.result, after.result, held, units).map((row) => (
          <tr key={row.name}>
            <th scope="row">{row.name}</th>
            <td className="num">{row.before}</td>
            <td className="num">{row.after}</td>
            <td className="num">
              <b>{row.change}</b>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
};

const Nearest = ({ after }: { after: Solved }) => (
  <section className="wi-nearest" aria-label="Nearest their limits then">
    <h2>Nearest their limits then</h2>
    <ol>
      {after.parts.slice(0, 5).map(({ part, limit, used, atRpm }) => (
        <li key={part}>
          <b>{rowName(part)}</b> <span className="note">{limit}</span>
          <span className="num">
            {used > 1 ? `over by ${writeNumber(100 * (used - 1), 0)} %` : `${writeNumber(100 * (1 - used), 0)} % left`}{' '}
            at {writeNumber(atRpm, 0)} rpm
          </span>
        </li>
      ))}
    </ol>
  </section>
);

const SpeedTable = ({ before, after }: { before: Solved; after: Solved }) => {
  const units = useUnits();
  return (
    <table className="twin">
      <caption>Over engine speed, now and then</caption>
      <thead>
        <tr>
          {['rpm', `Torque now, ${units.label('torque')}`, 'Then', `Power now, ${units.label('power')}`, 'Then '].map(
            (head) => (
              <th key={head} scope="col" className="num">
                {head}
              </th>
            ),
          )}
        </tr>
      </thead>
      <tbody>
        {before.result.points.map((point) => {
          const then = after.result.points.find(({ engineSpeedRpm }) => engineSpeedRpm === point.engineSpeedRpm);
          return (
            <tr key={point.engineSpeedRpm}>
              <th scope="row" className="num">
                {writeNumber(point.engineSpeedRpm, 0)}
              </th>
              <td className="num">{units.write('torque', point.torqueNm)}</td>
              <td className="num">{then ? units.write('torque', then.torqueNm) : '–'}</td>
              <td className="num">{units.write('power', point.powerW)}</td>
              <td className="num">{then ? units.write('power', then.powerW) : '–'}</td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
};

/** Works out the cycles of other compression ratios and ethanol shares while nothing else goes on. */
const useSolvedAhead = (shown: Shown, moved: Moved) => {
  const movedAt = useRef(0);
  // biome-ignore lint/correctness/useExhaustiveDependencies: every move begins a new quiet time
  useEffect(() => {
    movedAt.current = performance.now();
  }, [moved]);
  useEffect(() => {
    const ahead = movesAhead(shown);
    let timer: ReturnType<typeof setTimeout>;
    const next = () => {
      if (performance.now() - movedAt.current > QUIET_MS) {
        const move = ahead.shift();
        if (move === undefined) return;
        solveWhatIf(shown, move);
      }
      timer = setTimeout(next, 60);
    };
    timer = setTimeout(next, QUIET_MS);
    return () => clearTimeout(timer);
  }, [shown]);
};

const Board = ({ chosen, build, table }: { chosen: Chosen; build: BuildView; table: boolean }) => {
  const units = useUnits();
  const shown = useMemo(() => shownOf(build.sheet), [build.sheet]);
  const knobs = useMemo(() => knobsOf(shown), [shown]);
  const [moved, setMoved] = useState<Moved>({});
  const before = useMemo(() => solveWhatIf(shown, {}), [shown]);
  // Solved where it is drawn: the browser gives one slider event a frame, so the newest move is the only one solved.
  const after = useMemo(
    () => (Object.keys(moved).length === 0 ? before : solveWhatIf(shown, moved)),
    [shown, moved, before],
  );
  useSolvedAhead(shown, moved);
  const match = answered(useAnswer(`match ${chosen.buildId}`, () => fetchMatch(chosen.buildId)));
  const move = (knob: Knob) => (to: number | undefined) =>
    setMoved((now) => {
      const { [knob]: _old, ...rest } = now;
      return to === undefined ? rest : { ...rest, [knob]: to };
    });
  const problems = [...new Set(after.result.problems.map(({ reason }) => reason))];
  if (before.result.points.length === 0) {
    return (
      <section className="ruled">
        <h2>This engine has no full-throttle match to move.</h2>
        <p>{before.result.problems[0]?.says}</p>
      </section>
    );
  }
  return (
    <div className="wi">
      <p className="lead">{whatIfSentence(before, after, moved, units)}</p>
      <div className="wi-cols">
        <section className="wi-knobs" aria-label="What to move">
          {knobs.map((range) => (
            <KnobRow key={range.knob} range={range} value={moved[range.knob]} move={move(range.knob)} />
          ))}
          <button type="button" className="btn" disabled={Object.keys(moved).length === 0} onClick={() => setMoved({})}>
            All as on the sheet
          </button>
        </section>
        <div className="wi-answers">
          {table ? (
            <SpeedTable before={before} after={after} />
          ) : (
            <Curves before={before} after={after} shown={shown} />
          )}
          <p className="note">
            Thin: now. Heavier: then. Best estimate, at {shown.engineSpeedsRpm.length} engine speeds. What is left
            before knock is relative, never a guarantee.{' '}
            {shown.car.curves.sparkAdvance === null &&
              'The sheet gives no timing: it follows fuel, boost and charge as engine computers are usually set.'}
          </p>
          <WhatIfBand sheet={shown.build} moved={moved} />
          <div className="wi-under">
            <Changes before={before} after={after} />
            <div className="wi-side">
              <Nearest after={after} />
              {problems.length > 0 && <p className="watch">Somewhere along: {problems.join('; ')}.</p>}
              <Keep chosen={chosen} shown={shown} moved={moved} />
            </div>
          </div>
        </div>
      </div>
      <CautionButton cautions={match?.cautions ?? []} label="Caution: predictions, not guarantees" />
    </div>
  );
};

export const WhatIf = ({ chosen }: { chosen: Chosen }) => {
  const build = useBuild(chosen.buildId);
  const table = useStore(tableStore);
  useFuelOf(answered(build));
  return (
    <Sheet title="What if" chosen={chosen} hasTable>
      <Await answer={build} what="Reading the build sheet">
        {(view) => <Board chosen={chosen} build={view} table={table} />}
      </Await>
    </Sheet>
  );
};
