/** Cylinder: pressure, burning and knock over crank angle at an engine speed, and how much more timing or boost it bears. */
import { memo, useEffect, useId, useMemo, useRef, useState } from 'react';
import type { BuildView } from '../../src/app/api.ts';
import type { CylinderView } from '../../src/app/cylinder-api.ts';
import { fetchCylinder } from '../answers/cylinder-client.ts';
import { answered, useAnswer } from '../answers/use-answer.ts';
import {
  type CylinderCurves,
  type CylinderPlace,
  cylinderHair,
  cylinderScales,
  cylinderTraceShapes,
} from '../charts/cylinder-trace.ts';
import { EdgeSlider } from '../parts/EdgeSlider.tsx';
import { Shapes } from '../parts/Shapes.tsx';
import { Sheet, tableStore } from '../parts/Sheet.tsx';
import { Await, RuledOff, Waiting } from '../parts/States.tsx';
import { CautionButton, LaidOnSelect } from '../parts/TitleBlock.tsx';
import { usePhone } from '../parts/use-media.ts';
import { useSize } from '../parts/use-size.ts';
import { quantityOf, useBuild, useFuelOf } from '../state/garage.ts';
import { useLaidOn } from '../state/laid-on.ts';
import { engineSpeedStore, moveToEngineSpeed } from '../state/position.ts';
import { useStore } from '../state/store.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { CylinderFacts, CylinderSweeps } from './CylinderSide.tsx';
import { CylinderTable } from './CylinderTable.tsx';
import { crankAngle, curvesOf, cylinderSentence, loggedAt, RELATIVE, readingsAt, speedEnds } from './cylinder-data.ts';
import { KnockShown } from './KnockShown.tsx';

interface Chosen {
  readonly carId: string;
  readonly buildId: string;
}

/** How long the engine speed rests before the server is asked. */
const REST_MS = 150;

/** The engine speed once it rests, in hundreds. */
const useRestedSpeed = (rpm: number): number => {
  const wanted = Math.round(rpm / 100) * 100;
  const [rested, setRested] = useState(wanted);
  useEffect(() => {
    const timer = setTimeout(() => setRested(wanted), REST_MS);
    return () => clearTimeout(timer);
  }, [wanted]);
  return rested;
};

/** Engine speed as a slide with a step to either side. */
const SpeedSlide = ({ lowest, highest }: { lowest: number; highest: number }) => {
  const id = useId();
  const rpm = Math.min(highest, Math.max(lowest, useStore(engineSpeedStore)));
  const move = (to: number) => moveToEngineSpeed(to, lowest, highest);
  return (
    <div className="speed-slide">
      <label htmlFor={id}>Engine speed</label>
      <button type="button" className="btn" aria-label="100 rpm less" onClick={() => move(rpm - 100)}>
        −
      </button>
      <input
        id={id}
        type="range"
        min={lowest}
        max={highest}
        step={100}
        value={Math.round(rpm / 100) * 100}
        aria-valuetext={`${writeNumber(rpm, 0)} rpm`}
        onChange={(event) => move(Number(event.target.value))}
      />
      <button type="button" className="btn" aria-label="100 rpm more" onClick={() => move(rpm + 100)}>
        +
      </button>
      <output htmlFor={id} className="num">
        {writeNumber(rpm, 0)} rpm
      </output>
    </div>
  );
};

const Still = memo(({ curves, place }: { curves: CylinderCurves; place: CylinderPlace }) => {
  const shapes = useMemo(() => cylinderTraceShapes(curves, place), [curves, place]);
  return <Shapes of={shapes} />;
});

const Trace = ({ view, loggedDeg }: { view: CylinderView; loggedDeg: number | undefined }) => {
  const units = useUnits();
  const phone = usePhone();
  const [box, { width }] = useSize<HTMLDivElement>();
  const [angleDeg, setAngleDeg] = useState(() => Math.round(view.peakPressureDeg));
  const height = phone ? 380 : 440;
  const place = useMemo(() => ({ width, height, compact: width < 560 }), [width, height]);
  const curves = useMemo(() => curvesOf(view, units, loggedDeg), [view, units, loggedDeg]);
  const { angle } = cylinderScales(curves, place);
  const readings = readingsAt(view, angleDeg, units);
  const said = `${crankAngle(angleDeg)}: ${readings.map(({ name, value }) => `${name.toLowerCase()} ${value}`).join('; ')}`;
  return (
    <section className="cyl-trace" aria-label="Over crank angle">
      <p className="cyl-readings" aria-hidden="true">
        <b>{crankAngle(angleDeg)}</b>
        {readings.map(({ name, value }) => (
          <span key={name}>
            {name} <b>{value}</b>
          </span>
        ))}
      </p>
      <div ref={box} className="cyl-plot" style={{ height }}>
        {width > 0 && (
          <EdgeSlider
            label="Crank angle"
            value={angleDeg}
            lowest={angle.from}
            highest={angle.to}
            graduation={1}
            valueText={said}
            scale={angle}
            move={(to) =>
              setAngleDeg(
                Math.min(
                  Math.floor(view.trace.crankAngleDeg[view.trace.crankAngleDeg.length - 1]!),
                  Math.max(Math.ceil(view.trace.crankAngleDeg[0]!), Math.round(to)),
                ),
              )
            }
            typedUnit="degrees"
          >
            <svg width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
              <Still curves={curves} place={place} />
              <Shapes of={cylinderHair(curves, place, angleDeg, `${angleDeg < 0 ? '−' : ''}${Math.abs(angleDeg)}°`)} />
            </svg>
          </EdgeSlider>
        )}
      </div>
      <p className="note">
        Full throttle, best estimate, thin: predicted. On the edge: ◇ the timing it runs
        {loggedDeg === undefined ? '' : ' (filled: logged)'}, plain line best torque, hatched the knock limit with its
        plus-minus.
      </p>
    </section>
  );
};

const Speed = ({ chosen, build, table }: { chosen: Chosen; build: BuildView; table: boolean }) => {
  const units = useUnits();
  const [lowest, highest] = speedEnds(quantityOf(build, 'engine.revLimit') ?? 7000);
  const wanted = useStore(engineSpeedStore);
  const rpm = useRestedSpeed(Math.min(highest, Math.max(lowest, wanted)));
  const answer = useAnswer(`cylinder ${chosen.buildId} ${rpm}`, () => fetchCylinder(chosen.buildId, rpm));
  const laidOn = useLaidOn(chosen.carId, chosen.buildId);
  // What was shown stays until the next answer is here, so that nothing jumps while the speed is moved.
  const last = useRef<CylinderView | null>(null);
  if (answer.state === 'here') last.current = answer.value;
  const view = answer.state === 'here' ? answer.value : last.current;
  const loggedDeg = view ? loggedAt(laidOn.laid, 'spark-advance', view.engineSpeedRpm) : undefined;
  return (
    <div className="cyl">
      {view && answer.state !== 'refused' && <p className="lead">{cylinderSentence(view, units)}</p>}
      <div className="cyl-set">
        <SpeedSlide lowest={lowest} highest={highest} />
        <LaidOnSelect state={laidOn} />
      </div>
      {answer.state === 'refused' ? (
        <RuledOff refused={answer.refused} again={answer.again} />
      ) : view === null ? (
        <Waiting what="Working out the cycle over crank angle" />
      ) : (
        <>
          {table ? (
            <CylinderTable view={view} />
          ) : (
            <>
              <div className="cyl-cols">
                <Trace view={view} loggedDeg={loggedDeg} />
                <CylinderFacts view={view} loggedDeg={loggedDeg} />
              </div>
              <CylinderSweeps view={view} loggedDeg={loggedDeg} />
            </>
          )}
          {laidOn.laid && <KnockShown chosen={chosen} build={build} run={laidOn.laid.run} />}
          <p className="note">{RELATIVE}</p>
          <CautionButton cautions={view.cautions} label="Caution: relative, never a guarantee" />
        </>
      )}
    </div>
  );
};

export const Cylinder = ({ chosen }: { chosen: Chosen }) => {
  const build = useBuild(chosen.buildId);
  const table = useStore(tableStore);
  useFuelOf(answered(build));
  return (
    <Sheet title="Cylinder" chosen={chosen} hasTable>
      <Await answer={build} what="Reading the build sheet">
        {(sheet) => <Speed chosen={chosen} build={sheet} table={table} />}
      </Await>
    </Sheet>
  );
};
