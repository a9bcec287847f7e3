/** How well a map's speed lines run through its points, a row for each line. */
import type { MapFit } from '../../src/physics/index.ts';
import { writeNumber } from '../state/units.ts';

const percent = (share: number): string => writeNumber(share * 100, 1);

export const MapFitTable = ({ fit }: { fit: MapFit }) => (
  // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1)
  <section className="fit-rows" tabIndex={0} aria-label="Fit of each speed line">
    <table className="twin">
      <caption>Points off the fitted line: root mean square, and worst</caption>
      <thead>
        <tr>
          <th scope="col">Shaft, krpm</th>
          <th scope="col">Points</th>
          <th scope="col">Pressure ratio, %</th>
          <th scope="col">Flow, %</th>
          <th scope="col">Efficiency, points</th>
          <th scope="col">Reach, % of choke flow</th>
          <th scope="col">Steps that rise</th>
        </tr>
      </thead>
      <tbody>
        {fit.lines.map((line) => (
          <tr key={line.shaftSpeedRpm}>
            <th scope="row">{writeNumber(line.shaftSpeedRpm / 1000, 1)}</th>
            <td>{line.points}</td>
            <td>
              {percent(line.rmsPressureRatio)} / {percent(line.worstPressureRatio)}
            </td>
            <td>
              {percent(line.rmsFlow)} / {percent(line.worstFlow)}
            </td>
            <td>
              {percent(line.rmsEfficiency)} / {percent(line.worstEfficiency)}
            </td>
            <td>
              {writeNumber(line.fromChokeShare * 100, 0)} to {writeNumber(line.toChokeShare * 100, 0)}
            </td>
            <td>{line.rises === 0 ? 'none' : line.rises}</td>
          </tr>
        ))}
      </tbody>
    </table>
  </section>
);
