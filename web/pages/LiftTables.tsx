/** The lift sheets as tables. */
import type { LiftComparisonView, LiftSearchView } from '../../src/app/lift-api.ts';
import type { PartStanding } from '../../src/lift/types.ts';
import { leftInWords } from '../charts/marks.ts';
import { type Units, useUnits, writeNumber } from '../state/units.ts';
import { Gains, Worse } from './LiftCompareFoot.tsx';
import { writePower } from './ledger-data.ts';
import { comparisonSentence, firstInWords, searchSentence } from './lift-data.ts';
import { rowName } from './part-marks.ts';

const limitText = (standing: PartStanding | null, units: Units): string => {
  if (!standing) return 'not there';
  if (standing.powerAtLimitW) return writePower(units, standing.powerAtLimitW);
  return standing.decides ? 'not within reach' : 'not counted';
};

export const LiftCompareTable = ({ view }: { view: LiftComparisonView }) => {
  const units = useUnits();
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1)
    <section className="draw tables" tabIndex={0} aria-label="The comparison as a table">
      <p className="lead">{comparisonSentence(view, units)}</p>
      <Gains view={view} />
      <Worse view={view} />
      <table className="twin">
        <caption>Every part before and after, in the order in which they give out after</caption>
        <thead>
          <tr>
            <th scope="col">Part</th>
            <th scope="col">Limit</th>
            <th scope="col" className="num">
              Left before
            </th>
            <th scope="col" className="num">
              Left after
            </th>
            <th scope="col">Gave out at</th>
            <th scope="col">Gives out at</th>
            <th scope="col" className="num">
              First, of 100
            </th>
          </tr>
        </thead>
        <tbody>
          {view.parts.map(({ part, limit, before, after }) => (
            <tr key={part}>
              <th scope="row">{rowName(part)}</th>
              <td>{limit}</td>
              <td className="num">{before ? leftInWords(before.utilisation) : '–'}</td>
              <td className="num">{after ? leftInWords(after.utilisation) : '–'}</td>
              <td>{limitText(before, units)}</td>
              <td>{limitText(after, units)}</td>
              <td className="num">{writeNumber(100 * (after?.chanceFirst ?? 0), 0)}</td>
            </tr>
          ))}
        </tbody>
      </table>
      <table className="twin">
        <caption>Full throttle over engine speed</caption>
        <thead>
          <tr>
            <th scope="col" className="num">
              rpm
            </th>
            <th scope="col" className="num">
              Torque before, {units.label('torque')}
            </th>
            <th scope="col" className="num">
              After
            </th>
            <th scope="col" className="num">
              Gain
            </th>
            <th scope="col" className="num">
              Boost before, {units.label('pressure')}
            </th>
            <th scope="col" className="num">
              After
            </th>
          </tr>
        </thead>
        <tbody>
          {view.curve.map(({ engineSpeedRpm, torqueNm, boostPa }) => (
            <tr key={engineSpeedRpm}>
              <th scope="row" className="num">
                {writeNumber(engineSpeedRpm, 0)}
              </th>
              <td className="num">{units.write('torque', torqueNm.before.p50)}</td>
              <td className="num">{units.write('torque', torqueNm.after.p50)}</td>
              <td className="num">
                {units.write('torque', torqueNm.gain.p50)} ±
                {units.writeSpread('torque', (torqueNm.gain.p90 - torqueNm.gain.p10) / 2)}
              </td>
              <td className="num">{units.write('pressure', boostPa.before.p50)}</td>
              <td className="num">{units.write('pressure', boostPa.after.p50)}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
};

export const FrontTable = ({ view }: { view: LiftSearchView }) => {
  const units = useUnits();
  const sure = `${Math.round(100 * view.target.chance)} of 100`;
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1)
    <section className="draw tables" tabIndex={0} aria-label="Sets of parts as a table">
      <p className="lead">{searchSentence(view, units)}</p>
      <table className="twin">
        <caption>Sets that no other beats in price and power, cheapest first</caption>
        <thead>
          <tr>
            <th scope="col" className="num">
              {view.currency}
            </th>
            <th scope="col" className="num">
              {units.label('power')} in {sure}
            </th>
            <th scope="col">First part gives out at</th>
            <th scope="col">First then</th>
            <th scope="col">Parts</th>
          </tr>
        </thead>
        <tbody>
          {view.front.map((set) => (
            <tr key={`${set.price} ${set.parts.map(({ option }) => option).join()}`}>
              <th scope="row" className="num">
                {writeNumber(set.price, Number.isInteger(set.price) ? 0 : 2)}
              </th>
              <td className="num">{units.write('power', set.surePowerW)}</td>
              <td>{writePower(units, set.powerAtFirstLimitW)}</td>
              <td>{firstInWords(set.first)}</td>
              <td>
                {set.parts.length === 0
                  ? 'as it is fitted'
                  : set.parts.map(({ place, option }) => `${place}: ${option}`).join('; ')}
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
};
