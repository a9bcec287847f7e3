/** The engine's line on the map as a table. */
import type { MatchView } from '../../src/app/api.ts';
import { useUnits, writeNumber } from '../state/units.ts';

export const CompressorTable = ({ points }: { points: MatchView['points'] }) => {
  const units = useUnits();
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1)
    <section className="draw tables" tabIndex={0} aria-label="The compressor map as a table">
      <table className="twin">
        <caption>The compressor at each engine speed, full throttle, predicted</caption>
        <thead>
          <tr>
            <th scope="col">Engine speed, rpm</th>
            <th scope="col">Corrected flow, {units.label('airFlow')}</th>
            <th scope="col">Pressure ratio</th>
            <th scope="col">Shaft, krpm</th>
            <th scope="col">Efficiency, %</th>
            <th scope="col">Of surge flow, %</th>
            <th scope="col">Of choke flow, %</th>
            <th scope="col">Boost</th>
          </tr>
        </thead>
        <tbody>
          {points.map((point) => (
            <tr key={point.engineSpeedRpm}>
              <th scope="row">{writeNumber(point.engineSpeedRpm, 0)}</th>
              <td>{units.write('airFlow', point.compressorCorrectedFlowKgPerS.p50)}</td>
              <td>{writeNumber(point.compressorPressureRatio.p50, 2)}</td>
              <td>{writeNumber(point.shaftSpeedRpm.p50 / 1000, 0)}</td>
              <td>{writeNumber(point.compressorEfficiency.p50 * 100, 0)}</td>
              <td>{writeNumber(point.compressorSurgeShare.p50 * 100, 0)}</td>
              <td>{writeNumber(point.compressorChokeShare.p50 * 100, 0)}</td>
              <td>{point.case}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
};
