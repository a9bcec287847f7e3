/** The pull's peak power from the air, from the fuel and from acceleration, beside the prediction; and what coasting tells of the road. */
import { forceByAirN, plusMinus, roadLoadWorth } from '../../src/review/road-load-words.ts';
import type { Band, FindingId } from '../../src/review/types.ts';
import { powerWaysHeight, powerWaysShapes } from '../charts/power-ways.ts';
import { Shapes, SourceMark } from '../parts/Shapes.tsx';
import { useSize } from '../parts/use-size.ts';
import { useStore } from '../state/store.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { idInWords } from './finding-words.ts';
import { type RunState, showFinding } from './run-state.ts';

/** One button for each finding that speaks for a cause. */
const Speaking = ({ state, ids }: { state: RunState; ids: readonly FindingId[] }) => (
  <p className="speaking">
    {ids.flatMap((id) => {
      const index = state.findings.findIndex((finding) => finding.id === id);
      return index < 0
        ? []
        : [
            <button key={id} type="button" className="bar-btn" onClick={() => showFinding(state, index)}>
              Show {idInWords(id)}
            </button>,
          ];
    })}
  </p>
);

/** Road load from coasting; nothing where the log has none. */
export const RoadLoad = ({ state }: { state: RunState }) => {
  const units = useUnits();
  const { roadLoad } = state.view;
  if (!roadLoad) return null;
  // Thousands of newtons are for tyres under power; what holds a car back is some hundred.
  const small = units.label('force') === 'kN';
  const forceLabel = small ? 'N' : units.label('force');
  const force = (band: Band): string => {
    const write = (newtons: number) => writeNumber(small ? newtons : units.toReading('force', newtons), 0);
    return `${write(band.p50)} ±${write(plusMinus(band))}`;
  };
  const fastest = Math.max(...roadLoad.coastDowns.map(({ fromMPerS }) => fromMPerS));
  const rows = [
    ['At any speed', force(roadLoad.constantForceN), force(roadLoad.standardConstantForceN)],
    [
      `More at ${writeNumber(units.toReading('speed', fastest), 0)} ${units.label('speed')}`,
      force(forceByAirN(roadLoad, roadLoad.quadraticForceNPerM2S2)),
      force(forceByAirN(roadLoad, roadLoad.standardQuadraticForceNPerM2S2)),
    ],
  ] as const;
  return (
    <section className="est coast">
      <h2>
        Road load, from coasting
        <span className="note">{roadLoad.standard}</span>
      </h2>
      <table>
        <thead>
          <tr>
            <th scope="col">{forceLabel}</th>
            <th scope="col">that day</th>
            <th scope="col">standard air</th>
          </tr>
        </thead>
        <tbody>
          {rows.map(([name, day, standard]) => (
            <tr key={name}>
              <th scope="row">{name}</th>
              <td>{day}</td>
              <td>{standard}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <p className="agree">{roadLoadWorth(roadLoad)}</p>
    </section>
  );
};

/** Bands of which two do not touch: apart by more than chance, though not by so much that one of them is set aside. */
const standApart = (bands: readonly Band[]): boolean =>
  Math.max(...bands.map(({ p10 }) => p10)) > Math.min(...bands.map(({ p90 }) => p90));

const howTogether = (agree: boolean, logged: readonly Band[]): string => {
  if (logged.length < 2) return 'One way alone: nothing else was logged to confirm it.';
  if (!agree) return 'They do not all agree.';
  return standApart(logged)
    ? 'All of them together, each by what it is worth, though two lie farther apart than their bands: the cause is worth finding.'
    : 'All of them together, each by what it is worth.';
};

export const PowerThreeWays = ({ state }: { state: RunState }) => {
  const units = useUnits();
  const index = useStore(state.pull);
  const [box, { width }] = useSize<HTMLDivElement>();
  const pull = state.view.pulls[index];
  if (!pull) return null;
  const { fromAir, fromFuel, fromAcceleration, combined, agree, disagreement, disagreementFindings = [] } = pull.powerW;
  const reading = (band: Band | undefined): Band | undefined =>
    band && {
      p10: units.toReading('power', band.p10),
      p50: units.toReading('power', band.p50),
      p90: units.toReading('power', band.p90),
    };
  const predicted = pull.curve.find(
    (point) => Math.abs(point.engineSpeedRpm - (pull.powerEngineSpeedRpm ?? 0)) <= 125,
  )?.predictedPowerW;
  const ways = {
    rows: [
      { name: 'From the air', band: reading(fromAir), mark: 'square' as const },
      { name: 'From the fuel', band: reading(fromFuel), mark: 'diamond' as const },
      { name: 'From acceleration', band: reading(fromAcceleration), mark: 'disc' as const },
    ],
    ...(predicted ? { predicted: reading(predicted) } : {}),
    ...(combined ? { combined: reading(combined) } : {}),
    agree,
  };
  const logged = ways.rows.flatMap(({ band }) => band ?? []);
  const spread = (band: Band) => writeNumber((band.p90 - band.p10) / 2, 0);
  const height = powerWaysHeight(ways);
  const joint = reading(combined);
  const spoken = ways.rows
    .map(
      ({ name, band }) =>
        `${name} ${band ? `${writeNumber(band.p50, 0)} plus or minus ${spread(band)}` : 'not logged'}`,
    )
    .join('; ');
  return (
    <section className="est" ref={box}>
      <h2>
        Peak power of pull {index + 1}, three ways
        <span className="note">
          {pull.powerEngineSpeedRpm === undefined ? '' : `at ${writeNumber(pull.powerEngineSpeedRpm, 0)} rpm, `}
          {units.label('power')}
        </span>
      </h2>
      {width > 40 && (
        <svg
          width={width - 40}
          height={height}
          viewBox={`0 0 ${width - 40} ${height}`}
          role="img"
          aria-label={`${spoken}; in ${units.label('power')}`}
        >
          <Shapes of={powerWaysShapes(ways, width - 40, (value) => writeNumber(value, 0), spread)} />
        </svg>
      )}
      <p className="agree">
        {joint ? (
          <>
            <b>
              {writeNumber(joint.p50, 0)} ±{spread(joint)} {units.label('power')}
            </b>
            <SourceMark source="logged" /> at the crank, in the air of the day. {howTogether(agree, logged)}
          </>
        ) : (
          'Power could not be worked out from this log.'
        )}
      </p>
      {disagreement && <p className="agree apart">{disagreement}</p>}
      {disagreementFindings.length > 0 && <Speaking state={state} ids={disagreementFindings} />}
    </section>
  );
};
