/** The ledger as a table. */
import { leftInWords } from '../charts/marks.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { type LedgerData, ledgerSentence, writePower } from './ledger-data.ts';
import { rowName } from './part-marks.ts';

export const HeadroomTable = ({ data }: { data: LedgerData }) => {
  const units = useUnits();
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1)
    <section className="draw tables" tabIndex={0} aria-label="The ledger as a table">
      <p className="lead">{ledgerSentence(data, units)}</p>
      <table className="twin">
        <caption>Parts in the order in which they give out, as the build stands</caption>
        <thead>
          <tr>
            <th scope="col">Part</th>
            <th scope="col">Limit</th>
            <th scope="col" className="num">
              Demand
            </th>
            <th scope="col" className="num">
              Carries
            </th>
            <th scope="col" className="num">
              Left
            </th>
            <th scope="col" className="num">
              Worst at, rpm
            </th>
            <th scope="col">Gives out at</th>
            <th scope="col">Boost there</th>
            <th scope="col">To lift it</th>
          </tr>
        </thead>
        <tbody>
          {data.view.parts.map((row) => {
            const demand = units.writeSi(row.demand, row.unit);
            const rating = units.writeSi(row.rating, row.unit);
            return (
              <tr key={row.part}>
                <th scope="row">{rowName(row.part)}</th>
                <td>{row.limit}</td>
                <td className="num">
                  {demand.text} {demand.unit}
                </td>
                <td className="num">
                  {rating.text} {rating.unit}
                </td>
                <td className="num">{leftInWords(row.utilisation)}</td>
                <td className="num">{writeNumber(row.worstEngineSpeedRpm, 0)}</td>
                <td>
                  {row.powerAtLimitW
                    ? writePower(units, row.powerAtLimitW)
                    : row.decides
                      ? row.boostAtLimitPa
                        ? 'power stays'
                        : 'not within reach'
                      : 'not counted'}
                </td>
                <td>
                  {row.boostAtLimitPa
                    ? `${units.write('pressure', row.boostAtLimitPa.p50)} ${units.label('pressure')}`
                    : 'not within reach'}
                </td>
                <td>{row.lift.join('; or: ')}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
};
