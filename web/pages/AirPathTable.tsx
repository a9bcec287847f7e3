/** The air path as tables: the same numbers as the drawing, for reading in rows. */
import { useMemo } from 'react';
import type { AirPathPlan } from '../charts/air-path/plan.ts';
import { leftInWords, standing } from '../charts/marks.ts';
import { engineSpeedStore } from '../state/position.ts';
import { useStore } from '../state/store.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { numberedParts } from './AirPathDrawing.tsx';
import type { AirPathData } from './air-path-data.ts';
import { markAt, rowName } from './part-marks.ts';
import { loggedAt, predictedAt, STATION_READINGS, writeReading } from './readings.ts';

const StationTable = ({ plan, data }: { plan: AirPathPlan; data: AirPathData }) => {
  const units = useUnits();
  const rpm = useStore(engineSpeedStore);
  return (
    <table className="twin">
      <caption>Stations along the flow at {writeNumber(rpm, 0)} rpm</caption>
      <thead>
        <tr>
          <th scope="col">Station</th>
          <th scope="col">Reading</th>
          <th scope="col">Unit</th>
          <th scope="col" className="num">
            Predicted
          </th>
          <th scope="col" className="num">
            8 of 10 within
          </th>
          <th scope="col" className="num">
            Logged
          </th>
        </tr>
      </thead>
      <tbody>
        {plan.stations.flatMap((place) =>
          STATION_READINGS[place.id].flatMap((definition) => {
            const band = predictedAt(data.points, definition.predicted, rpm);
            if (band === undefined) return [];
            const logged = loggedAt(data.laid, definition, rpm);
            const predicted = writeReading(definition, units, band.p50, (band.p90 - band.p10) / 2);
            return [
              <tr key={`${place.id} ${definition.id}`}>
                <th scope="row">{place.title}</th>
                <td>{definition.name}</td>
                <td>{predicted.unit}</td>
                <td className="num">{predicted.value}</td>
                <td className="num">±{predicted.spread}</td>
                <td className="num">
                  {logged === undefined ? 'not logged' : writeReading(definition, units, logged, 0).value}
                </td>
              </tr>,
            ];
          }),
        )}
      </tbody>
    </table>
  );
};

const PartTable = ({ plan, data }: { plan: AirPathPlan; data: AirPathData }) => {
  const rpm = useStore(engineSpeedStore);
  const parts = useMemo(() => numberedParts(plan, data.headroom?.parts ?? []), [plan, data.headroom]);
  return (
    <table className="twin">
      <caption>Parts and what they have left at {writeNumber(rpm, 0)} rpm</caption>
      <thead>
        <tr>
          <th scope="col">No.</th>
          <th scope="col">Part</th>
          <th scope="col">Limit</th>
          <th scope="col" className="num">
            Left
          </th>
          <th scope="col" className="num">
            Worst at, rpm
          </th>
        </tr>
      </thead>
      <tbody>
        {parts.map(({ place, row, number }) => {
          if (row === undefined) {
            return (
              <tr key={place.id}>
                <td>–</td>
                <th scope="row">{place.name}</th>
                <td colSpan={3}>no limit known for it</td>
              </tr>
            );
          }
          const mark = markAt(row, rpm, data.laid);
          return (
            <tr key={place.id}>
              <td>{number}</td>
              <th scope="row">{place.name}</th>
              <td>
                {rowName(row.part)}: {row.limit}
              </td>
              <td className={`num ${standing(mark) === 'over' ? 'acc' : ''}`}>{leftInWords(mark)}</td>
              <td className="num">{writeNumber(row.worstEngineSpeedRpm, 0)}</td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
};

export const AirPathTable = ({ plan, data }: { plan: AirPathPlan; data: AirPathData }) => (
  // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1)
  <section className="draw tables" tabIndex={0} aria-label="The air path as tables">
    <StationTable plan={plan} data={data} />
    <PartTable plan={plan} data={data} />
  </section>
);
