/** Compressor: where the engine stands on the map at each engine speed. */
import { memo, useEffect, useMemo, useRef } from 'react';
import type { MatchView } from '../../src/app/api.ts';
import { compressorMapShapes, hairBoxes, mapFigures, mapHair } from '../charts/compressor-map.ts';
import { mapNames } from '../charts/compressor-names.ts';
import { type MapPlace, mapScales, type OperatingPoint } from '../charts/compressor-scales.ts';
import { between, readAt } from '../charts/interpolate.ts';
import { linearScale } from '../charts/scale.ts';
import { circle, type Shape } from '../charts/shape.ts';
import { EdgeSlider } from '../parts/EdgeSlider.tsx';
import { Shapes } from '../parts/Shapes.tsx';
import { Sheet, tableStore } from '../parts/Sheet.tsx';
import { Await } from '../parts/States.tsx';
import { usePhone } from '../parts/use-media.ts';
import { useSize } from '../parts/use-size.ts';
import { useMatch } from '../state/garage.ts';
import { useLaidOn } from '../state/laid-on.ts';
import { engineSpeedStore, moveToEngineSpeed } from '../state/position.ts';
import { useStore } from '../state/store.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { SideSheet } from './CompressorSide.tsx';
import { CompressorTable } from './CompressorTable.tsx';
import { type LoggedPoint, loggedPoints, operatingLine } from './compressor-data.ts';

const Still = memo(({ match, line, place }: { match: MatchView; line: readonly OperatingPoint[]; place: MapPlace }) => {
  const units = useUnits();
  const shapes = useMemo(
    () =>
      compressorMapShapes(match.compressorMap, line, place, {
        toReading: (value) => units.toReading('airFlow', value),
        fromReading: (value) => units.fromReading('airFlow', value),
        unit: units.label('airFlow'),
      }),
    [match, line, place, units],
  );
  return <Shapes of={shapes} />;
});

/** The engine's line runs left to right: a place across the map is an engine speed along it. */
const speedAtFlow = (line: readonly OperatingPoint[], flow: number): number =>
  line.reduce(
    (best, point) => (Math.abs(point.flow.p50 - flow) < Math.abs(best.flow.p50 - flow) ? point : best),
    line[0]!,
  ).engineSpeedRpm;

const MapDrawing = ({
  match,
  logged,
  line,
}: {
  match: MatchView;
  logged: readonly LoggedPoint[];
  line: readonly OperatingPoint[];
}) => {
  const units = useUnits();
  const phone = usePhone();
  const rpm = useStore(engineSpeedStore);
  const [box, size] = useSize<HTMLDivElement>();
  // A map too narrow to read is panned instead: its figures stay their size.
  const width = Math.max(phone ? 760 : 560, Math.floor(size.width));
  const height = phone ? 560 : Math.max(440, Math.floor(size.height));
  const place = useMemo(() => ({ width, height }), [width, height]);
  const scales = useMemo(() => mapScales(match.compressorMap, line, place), [match, line, place]);
  const names = useMemo(() => mapNames(match.compressorMap, line, place), [match, line, place]);
  const speeds = useMemo(() => line.map((point) => point.engineSpeedRpm), [line]);
  const at = between(speeds, rpm);
  const [lowest, highest] = [speeds[0]!, speeds[speeds.length - 1]!];
  const read = (pick: (point: OperatingPoint) => number) => (at ? readAt(line.map(pick), at) : Number.NaN);
  const flow = read((point) => point.flow.p50);
  const ratio = read((point) => point.pressureRatio.p50);
  const dots = useMemo(
    (): Shape[] =>
      logged.map((point) => circle('dotl', scales.flow.at(point.flow), scales.ratio.at(point.pressureRatio), 4.4)),
    [logged, scales],
  );
  const along = useMemo(() => {
    const { flow: axis } = scales;
    return {
      ...linearScale(lowest, highest, axis.start, axis.end),
      valueAt: (x: number) => speedAtFlow(line, axis.valueAt(x)),
    };
  }, [scales, line, lowest, highest]);
  const flowText = units.write('airFlow', flow);
  const rpmText = `${writeNumber(rpm, 0)} rpm`;
  const flowReading = {
    toReading: (value: number) => units.toReading('airFlow', value),
    fromReading: (value: number) => units.fromReading('airFlow', value),
  };
  const hairAt = at ? scales.flow.at(flow) : null;
  const opened = useRef(false);
  useEffect(() => {
    // On a phone the map is wider than the screen: it opens where the hairline stands, and then the finger pans it.
    if (opened.current || !phone || hairAt === null || size.width === 0 || !box.current) return;
    box.current.scrollLeft = hairAt - size.width / 2;
    opened.current = true;
  }, [phone, size.width, hairAt, box]);
  return (
    <div className="mp" ref={box}>
      {size.width > 0 && (
        <EdgeSlider
          label="Engine speed"
          value={rpm}
          lowest={lowest}
          highest={highest}
          graduation={100}
          valueText={`${writeNumber(rpm, 0)} rpm: ${flowText} ${units.label('airFlow')} corrected, pressure ratio ${writeNumber(ratio, 2)}`}
          scale={along}
          move={(to) => moveToEngineSpeed(to, lowest, highest)}
          typedUnit="rpm"
        >
          <svg width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
            <Still match={match} line={line} place={place} />
            <Shapes of={names(at ? hairBoxes(scales.flow.at(flow), scales.ratio.at(ratio), scales, rpmText) : [])} />
            <Shapes of={dots} />
            {at && (
              <Shapes
                of={[
                  ...mapFigures(scales.flow.at(flow), scales.ratio.at(ratio), scales, place, flowReading),
                  ...mapHair(
                    scales.flow.at(flow),
                    scales.ratio.at(ratio),
                    scales,
                    place,
                    flowText,
                    writeNumber(ratio, 2),
                    rpmText,
                  ),
                ]}
              />
            )}
          </svg>
        </EdgeSlider>
      )}
    </div>
  );
};

const Shown = ({ chosen, match }: { chosen: { carId: string; buildId: string }; match: MatchView }) => {
  const state = useLaidOn(chosen.carId, chosen.buildId);
  const table = useStore(tableStore);
  const ofTheDay = state.laid?.run.prediction?.points;
  const points = ofTheDay && ofTheDay.length > 1 ? ofTheDay : match.points;
  const shown = useMemo(() => ({ ...match, points }), [match, points]);
  const line = useMemo(() => operatingLine(points), [points]);
  const logged = useMemo(() => loggedPoints(match, points, state.laid), [match, points, state.laid]);
  useEffect(() => {
    moveToEngineSpeed(engineSpeedStore.get(), points[0]!.engineSpeedRpm, points[points.length - 1]!.engineSpeedRpm);
  }, [points]);
  return (
    <Sheet
      title="Compressor"
      chosen={chosen}
      fit
      hasTable
      context={
        <>
          {state.laid
            ? `${state.laid.run.run.fileName}, pull ${state.laid.pullIndex + 1}, over the`
            : 'The engine’s line on the'}
          <br />
          <b>wheel as fitted</b>
        </>
      }
    >
      <div className="cg">
        {table ? <CompressorTable points={points} /> : <MapDrawing match={match} logged={logged} line={line} />}
        <SideSheet match={shown} chosen={chosen} state={state} logged={logged} />
      </div>
    </Sheet>
  );
};

export const Compressor = ({ chosen }: { chosen: { carId: string; buildId: string } }) => {
  const match = useMatch(chosen.buildId);
  if (match.state === 'here' && match.value.points.length > 1) return <Shown chosen={chosen} match={match.value} />;
  return (
    <Sheet title="Compressor" chosen={chosen}>
      <Await answer={match} what="Matching turbocharger and engine at every engine speed">
        {(value) => (
          <section className="ruled" role="alert">
            <h2>No engine speed of this build can be matched, so there is no line to draw.</h2>
            <ul>
              {value.problems.map((problem) => (
                <li key={`${problem.engineSpeedRpm} ${problem.reason}`}>{problem.says}</li>
              ))}
            </ul>
          </section>
        )}
      </Await>
    </Sheet>
  );
};
