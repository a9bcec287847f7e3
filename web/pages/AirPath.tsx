/** Air path: what the car's flow does at each engine speed, and what each part has left there. */
import { useEffect, useMemo } from 'react';
import type { BuildView, MatchView } from '../../src/app/api.ts';
import { answered } from '../answers/use-answer.ts';
import { planOf } from '../charts/air-path/plan.ts';
import { RulerFoot } from '../parts/RulerFoot.tsx';
import { Sheet, tableStore } from '../parts/Sheet.tsx';
import { Await } from '../parts/States.tsx';
import { TitleBlock } from '../parts/TitleBlock.tsx';
import { usePhone } from '../parts/use-media.ts';
import { useBuild, useFuelOf, useHeadroom, useMatch } from '../state/garage.ts';
import { useKeyPair } from '../state/keys.ts';
import { useLaidOn } from '../state/laid-on.ts';
import { engineSpeedStore, moveToEngineSpeed } from '../state/position.ts';
import { go } from '../state/route.ts';
import { useStore } from '../state/store.ts';
import { writeNumber } from '../state/units.ts';
import { AirPathDrawing, numberedParts } from './AirPathDrawing.tsx';
import { AirPathList } from './AirPathList.tsx';
import { AirPathTable } from './AirPathTable.tsx';
import { airPathData } from './air-path-data.ts';
import { carShapeOf } from './part-marks.ts';
import { predictedAt } from './readings.ts';

interface Chosen {
  readonly carId: string;
  readonly buildId: string;
}

const Context = ({ points }: { points: MatchView['points'] }) => {
  const rpm = useStore(engineSpeedStore);
  const nearest = points.reduce(
    (best, point) => (Math.abs(point.engineSpeedRpm - rpm) < Math.abs(best.engineSpeedRpm - rpm) ? point : best),
    points[0]!,
  );
  return (
    <>
      Every reading at
      <br />
      <b>{writeNumber(rpm, 0)} rpm</b>, {nearest.case}
    </>
  );
};

const Drawn = ({ chosen, build, match }: { chosen: Chosen; build: BuildView; match: MatchView }) => {
  const headroom = answered(useHeadroom(chosen.buildId));
  const laid = useLaidOn(chosen.carId, chosen.buildId);
  const phone = usePhone();
  const table = useStore(tableStore);
  const data = useMemo(() => airPathData(build, match, headroom, laid.laid), [build, match, headroom, laid.laid]);
  const plan = useMemo(() => planOf(carShapeOf(build.facts, headroom)), [build.facts, headroom]);
  useEffect(() => {
    moveToEngineSpeed(engineSpeedStore.get(), data.lowestRpm, data.highestRpm);
  }, [data]);
  useKeyPair('p', (digit) => {
    const part = numberedParts(plan, headroom?.parts ?? []).find(({ number }) => number === Number(digit));
    if (part?.row) go({ sheet: 'headroom', part: part.row.part });
  });
  return (
    <Sheet
      title="Air path"
      chosen={chosen}
      fit
      hasTable
      context={<Context points={match.points} />}
      dock={phone ? <RulerFoot data={data} compact /> : undefined}
    >
      {table ? (
        <AirPathTable plan={plan} data={data} />
      ) : phone ? (
        <AirPathList plan={plan} data={data} state={laid} />
      ) : (
        <AirPathDrawing plan={plan} data={data} />
      )}
      {!phone && (
        <div className="foot">
          <RulerFoot data={data} />
          <TitleBlock data={data} state={laid} />
        </div>
      )}
      {match.problems.length > 0 &&
        predictedAt(data.points, (point) => point.powerW, data.highestRpm) === undefined && (
          <p className="note pad">{match.problems[0]!.says}</p>
        )}
    </Sheet>
  );
};

export const AirPath = ({ chosen }: { chosen: Chosen }) => {
  const build = useBuild(chosen.buildId);
  const match = useMatch(chosen.buildId);
  useFuelOf(answered(build));
  if (build.state === 'here' && match.state === 'here' && match.value.points.length > 1) {
    return <Drawn chosen={chosen} build={build.value} match={match.value} />;
  }
  return (
    <Sheet title="Air path" chosen={chosen}>
      <Await answer={build} what="Reading the build sheet">
        {() => (
          <Await answer={match} what="Matching turbocharger and engine at every engine speed">
            {(value) => (
              <section className="ruled" role="alert">
                <h2>No engine speed of this build can be matched.</h2>
                <ul>
                  {value.problems.map((problem) => (
                    <li key={`${problem.engineSpeedRpm} ${problem.reason}`}>{problem.says}</li>
                  ))}
                </ul>
                <p>Next: look at the boost target, the compressor map and the turbine on the build sheet.</p>
              </section>
            )}
          </Await>
        )}
      </Await>
    </Sheet>
  );
};
