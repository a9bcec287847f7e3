/** The pull over time as a table. */
import type { SpoolLoggedPull, SpoolView } from '../../src/app/spool-api.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { spoolCurves, spoolReadings } from './spool-data.ts';

const ROWS = 24;

export const SpoolTable = ({
  view,
  logged,
  endS,
}: {
  view: SpoolView;
  logged: SpoolLoggedPull | null;
  endS: number;
}) => {
  const units = useUnits();
  const curves = spoolCurves(view, logged, units, endS);
  const times = Array.from({ length: ROWS + 1 }, (_, i) => (endS * i) / ROWS);
  const names = spoolReadings(view, curves, logged, 0, units).map(({ name }) => name);
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1)
    <section className="spool-scroll" tabIndex={0} aria-label="The pull over time">
      <table className="twin">
        <caption>From the pedal{logged ? '; logged values stand after the predicted ones' : ''}</caption>
        <thead>
          <tr>
            <th scope="col" className="num">
              s
            </th>
            {names.map((name) => (
              <th key={name} scope="col" className="num">
                {name}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {times.map((timeS) => (
            <tr key={timeS}>
              <th scope="row" className="num">
                {writeNumber(timeS, 2)}
              </th>
              {spoolReadings(view, curves, logged, timeS, units).map(({ name, predicted, logged: read }) => (
                <td key={name} className="num">
                  {predicted}
                  {read === null ? '' : `; ${read} logged`}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
};
