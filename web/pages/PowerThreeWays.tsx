/** The pull's peak power from the air, from the fuel and from acceleration, beside the prediction. */
import type { Band } from '../../src/review/types.ts';
import { powerWaysHeight, powerWaysShapes } from '../charts/power-ways.ts';
import { Shapes, SourceMark } from '../parts/Shapes.tsx';
import { useSize } from '../parts/use-size.ts';
import { useStore } from '../state/store.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import type { RunState } from './run-state.ts';

export const PowerThreeWays = ({ state }: { state: RunState }) => {
  const units = useUnits();
  const index = useStore(state.pull);
  const [box, { width }] = useSize<HTMLDivElement>();
  const pull = state.view.pulls[index];
  if (!pull) return null;
  const { fromAir, fromFuel, fromAcceleration, combined, agree, disagreement } = pull.powerW;
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
      {width > 0 && (
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
        {joint && agree ? (
          <>
            <b>
              {writeNumber(joint.p50, 0)} ±{spread(joint)} {units.label('power')}
            </b>
            <SourceMark source="logged" /> where they overlap. In the air of the day, at the crank.
          </>
        ) : (
          (disagreement ??
          (joint ? 'Only one way was logged, so nothing confirms it.' : 'Power could not be worked out from this log.'))
        )}
      </p>
    </section>
  );
};
