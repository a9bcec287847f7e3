/** Spool: a pull over time from the pedal, with boost and shaft speed, and what happens when the pedal comes up. */
import { memo, type ReactNode, useId, useMemo, useRef, useState } from 'react';
import type { BuildView } from '../../src/app/api.ts';
import type { SpoolLoggedPull, SpoolView } from '../../src/app/spool-api.ts';
import { fetchSpool, fetchSpoolLogged, spoolQuery } from '../answers/spool-client.ts';
import { answered, useAnswer } from '../answers/use-answer.ts';
import { type SpoolCurves, type SpoolPlace, spoolHair, spoolScales, spoolShapes } from '../charts/spool-traces.ts';
import { Caution, TESTING_CAUTION } from '../parts/Caution.tsx';
import { EdgeSlider } from '../parts/EdgeSlider.tsx';
import { Shapes, SourceMark } from '../parts/Shapes.tsx';
import { Sheet, tableStore } from '../parts/Sheet.tsx';
import { Await, RuledOff, Waiting } from '../parts/States.tsx';
import { CautionButton } from '../parts/TitleBlock.tsx';
import { usePhone } from '../parts/use-media.ts';
import { useSize } from '../parts/use-size.ts';
import { quantityOf, useBuild, useFuelOf } from '../state/garage.ts';
import { useStore } from '../state/store.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { SpoolTable } from './SpoolTable.tsx';
import {
  firstSeconds,
  gearWords,
  liftSentence,
  loggedSentence,
  speedChoices,
  spoolCurves,
  spoolFacts,
  spoolReadings,
  spoolSentence,
} from './spool-data.ts';

interface Chosen {
  readonly carId: string;
  readonly buildId: string;
}

const LOWEST_RPM = 1000;
const USUAL_FROM_RPM = 2000;
const FROM_STEP_RPM = 250;
const LIFT_STEP_RPM = 500;
/** A pull starts at least this far below the rev limit. */
const LEAST_PULL_RPM = 500;

const Still = memo(({ curves, place }: { curves: SpoolCurves; place: SpoolPlace }) => {
  const shapes = useMemo(() => spoolShapes(curves, place), [curves, place]);
  return <Shapes of={shapes} />;
});

const Trace = ({ view, logged, endS }: { view: SpoolView; logged: SpoolLoggedPull | null; endS: number }) => {
  const units = useUnits();
  const phone = usePhone();
  const [box, { width }] = useSize<HTMLDivElement>();
  const [asked, setAsked] = useState<number | null>(null);
  const height = phone ? 400 : 470;
  const place = useMemo(() => ({ width, height, compact: width < 560 }), [width, height]);
  const curves = useMemo(() => spoolCurves(view, logged, units, endS), [view, logged, units, endS]);
  const timeS = Math.min(endS, asked ?? view.arrived?.timeS.p50 ?? endS / 2);
  const readings = spoolReadings(view, curves, logged, timeS, units);
  const figure = `${writeNumber(timeS, 2)} s`;
  const said = `${writeNumber(timeS, 2)} seconds: ${readings
    .map(
      ({ name, predicted, logged: read }) =>
        `${name.toLowerCase()} ${predicted} predicted${read ? `, ${read} logged` : ''}`,
    )
    .join('; ')}`;
  return (
    <section className="spool-trace" aria-label="Over time">
      <p className="spool-readings" aria-hidden="true">
        {readings.map(({ name, predicted, logged: read }) => (
          <span key={name}>
            {name}{' '}
            {read === null ? null : (
              <b>
                {read} <SourceMark source="logged" />
              </b>
            )}{' '}
            <span className={read === null ? 'n pred' : 'was'}>
              <i className="ho" />
              {predicted}
            </span>
          </span>
        ))}
      </p>
      <div ref={box} className="spool-plot" style={{ height }}>
        {width > 0 && (
          <EdgeSlider
            label="Time from the pedal"
            value={timeS}
            lowest={0}
            highest={endS}
            graduation={0.1}
            valueText={said}
            scale={spoolScales(curves, place).time}
            move={(to) => setAsked(Math.min(endS, Math.max(0, Math.round(to * 100) / 100)))}
            typedUnit="s"
          >
            <svg width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
              <Still curves={curves} place={place} />
              <Shapes of={spoolHair(curves, place, timeS, figure)} />
            </svg>
          </EdgeSlider>
        )}
      </div>
    </section>
  );
};

const Choice = ({
  label,
  value,
  set,
  children,
}: {
  label: string;
  value: number;
  set: (value: number) => void;
  children: ReactNode;
}) => {
  const id = useId();
  return (
    <div className="field">
      <label htmlFor={id}>{label}</label>
      <select id={id} value={value} onChange={(event) => set(Number(event.target.value))}>
        {children}
      </select>
    </div>
  );
};

const speedOptions = (speeds: readonly number[], loggedRpm?: number) =>
  speeds.map((rpm) => (
    <option key={rpm} value={rpm}>
      {writeNumber(rpm, 0)} rpm{rpm === loggedRpm ? ', as logged' : ''}
    </option>
  ));

const Shown = ({ view, logged, table }: { view: SpoolView; logged: SpoolLoggedPull | null; table: boolean }) => {
  const units = useUnits();
  const [whole, setWhole] = useState(false);
  const end = view.curves.timesS[view.curves.timesS.length - 1] ?? 1;
  const first = firstSeconds(view, logged);
  const endS = whole ? end : first;
  const beside = loggedSentence(view, logged);
  return (
    <>
      <p className="lead">{spoolSentence(view)}</p>
      {view.says && <p className="spool-why">{view.says}</p>}
      <div className="spool-cols">
        <div>
          {table ? (
            <SpoolTable view={view} logged={logged} endS={endS} />
          ) : (
            <Trace view={view} logged={logged} endS={endS} />
          )}
          <p className="spool-beside note">
            {beside ??
              `No run of this car has a pull from cruise in ${gearWords(view.gear)}: log one and it will lie on top.`}
          </p>
          {end > first + 0.5 && (
            <button type="button" className="tool" aria-pressed={whole} onClick={() => setWhole(!whole)}>
              Whole pull, {writeNumber(end, 0)} s
            </button>
          )}
        </div>
        <section className="spool-facts" aria-label="Spool in figures">
          <dl className="facts">
            {spoolFacts(view, units).map(([name, value]) => (
              <div key={name}>
                <dt>{name}</dt>
                <dd>{value}</dd>
              </div>
            ))}
          </dl>
          <h2>When the pedal comes up</h2>
          <p className={view.lift.kind === 'clear' ? '' : 'spool-surge'}>{liftSentence(view, units)}</p>
          <p className="note">
            Time counts from the pedal all the way down after cruising on the level, without wheel spin. {view.samples}{' '}
            samples, outside {units.write('pressure', view.conditions.ambientPressurePa, 1)} {units.label('pressure')},{' '}
            {units.write('temperature', view.conditions.ambientTemperatureK)} {units.label('temperature')}
            {logged?.conditions ? ', as on the day of the log' : ', standard air'}.
          </p>
        </section>
      </div>
    </>
  );
};

/** Where nothing is logged: third, or the middle of a shorter gearbox. */
const usualGear = (gears: number): number => Math.min(3, Math.max(1, Math.ceil(gears / 2)));

const Asked = ({
  chosen,
  build,
  firstGear,
  table,
}: {
  chosen: Chosen;
  build: BuildView;
  firstGear: number;
  table: boolean;
}) => {
  const gears = build.facts.gearRatios.length;
  const limit = quantityOf(build, 'engine.revLimit') ?? 7000;
  const idle = quantityOf(build, 'engine.idleSpeed') ?? LOWEST_RPM;
  const lowest = Math.max(LOWEST_RPM, Math.ceil(idle / 50) * 50);
  const highest = Math.floor((limit - LEAST_PULL_RPM) / 50) * 50;
  const [gear, setGear] = useState(Math.min(gears, firstGear));
  const [from, setFrom] = useState<number | null>(null);
  const [lift, setLift] = useState(Math.round((0.8 * limit) / 100) * 100);
  const loggedAnswer = useAnswer(`spool-logged ${chosen.buildId} ${gear}`, () =>
    fetchSpoolLogged(chosen.buildId, gear),
  );
  const logged = answered(loggedAnswer)?.pull ?? null;
  const within = (rpm: number) => Math.min(highest, Math.max(lowest, rpm));
  const loggedRpm = logged ? within(Math.round(logged.fromEngineSpeedRpm / 10) * 10) : undefined;
  const fromRpm = from ?? loggedRpm ?? within(USUAL_FROM_RPM);
  const ask = { gear, fromRpm, liftRpm: lift, conditions: logged?.conditions ?? null };
  const ready = loggedAnswer.state !== 'waiting';
  const answer = useAnswer(ready ? `spool ${chosen.buildId} ${spoolQuery(ask)}` : null, () =>
    fetchSpool(chosen.buildId, ask),
  );
  // What was shown stays until the next answer is here, so that nothing jumps while the choice is changed.
  const last = useRef<{ view: SpoolView; logged: SpoolLoggedPull | null } | null>(null);
  if (answer.state === 'here') last.current = { view: answer.value, logged };
  const shown = last.current;
  return (
    <div className="spool">
      <div className="spool-set">
        <Choice
          label="Gear"
          value={gear}
          set={(to) => {
            setGear(to);
            setFrom(null);
          }}
        >
          {build.facts.gearRatios.map((_, i) => (
            // biome-ignore lint/suspicious/noArrayIndexKey: gears are known by their number
            <option key={i} value={i + 1}>
              {gearWords(i + 1)}
            </option>
          ))}
        </Choice>
        <Choice label="Pedal down at" value={fromRpm} set={setFrom}>
          {speedOptions(
            speedChoices(lowest, highest, FROM_STEP_RPM, loggedRpm === undefined ? [fromRpm] : [loggedRpm, fromRpm]),
            loggedRpm,
          )}
        </Choice>
        <Choice label="Pedal up at" value={lift} set={setLift}>
          {speedOptions(speedChoices(Math.max(lowest, 2000), limit, LIFT_STEP_RPM, [lift]))}
        </Choice>
        {answer.state === 'waiting' && shown && (
          <span className="note" role="status">
            Running the samples
          </span>
        )}
      </div>
      {answer.state === 'refused' ? (
        <RuledOff refused={answer.refused} again={answer.again} />
      ) : shown === null ? (
        <Waiting what="Running the car through the pull, sample by sample" />
      ) : (
        <Shown view={shown.view} logged={shown.logged} table={table} />
      )}
      <Caution title="testing at speed" items={[TESTING_CAUTION]} />
      {shown && <CautionButton cautions={shown.view.cautions} label="Caution: predictions, not guarantees" />}
    </div>
  );
};

export const Spool = ({ chosen }: { chosen: Chosen }) => {
  const build = useBuild(chosen.buildId);
  const table = useStore(tableStore);
  const newest = useAnswer(`spool-logged ${chosen.buildId}`, () => fetchSpoolLogged(chosen.buildId, null));
  useFuelOf(answered(build));
  return (
    <Sheet title="Spool" chosen={chosen} hasTable>
      <Await answer={build} what="Reading the build sheet">
        {(sheet) =>
          newest.state === 'waiting' ? (
            <Waiting what="Looking for a logged pull" />
          ) : (
            <Asked
              chosen={chosen}
              build={sheet}
              firstGear={answered(newest)?.gear ?? usualGear(sheet.facts.gearRatios.length)}
              table={table}
            />
          )
        }
      </Await>
    </Sheet>
  );
};
