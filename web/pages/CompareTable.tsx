/** Two pulls by engine speed: power in the chosen air, then what the readings differ by. */
import type { ComparisonView } from '../../src/app/compare-api.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import {
  type Basis,
  type ComparedSpeed,
  comparedRows,
  FIRST_ROWS,
  readingWords,
  unitOf,
  writeDifference,
} from './compare-data.ts';

export const BASIS_WORDS: Readonly<Record<Basis, string>> = {
  asMeasured: 'in each day’s air',
  sameAir: 'corrected to the same air (SAE J1349)',
};

export const CompareTable = ({
  comparison,
  rows,
  basis,
  gear,
}: {
  comparison: ComparisonView;
  rows: readonly ComparedSpeed[];
  basis: Basis;
  gear: number | null;
}) => {
  const units = useUnits();
  const power = readingWords('power');
  const torque = readingWords('torque');
  const shown = comparedRows(comparison).slice(0, FIRST_ROWS);
  const difference = (words: typeof power, band: { p10: number; p50: number; p90: number } | undefined) =>
    band ? writeDifference(words, units, band) : '–';
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1)
    <section className="cmp-table" tabIndex={0} aria-label="By engine speed">
      <table className="twin">
        <caption>
          By engine speed{gear === null ? '' : ` in gear ${gear}`}: power {BASIS_WORDS[basis]}; readings are B less A
        </caption>
        <thead>
          <tr>
            <th scope="col">rpm</th>
            <th scope="col" className="num">
              A, {units.label('power')}
            </th>
            <th scope="col" className="num">
              B, {units.label('power')}
            </th>
            <th scope="col" className="num">
              B less A, {units.label('power')}
            </th>
            <th scope="col" className="num">
              Torque, {units.label('torque')}
            </th>
            {shown.map((name) => {
              const words = readingWords(name);
              const unit = unitOf(words, units);
              return (
                <th scope="col" className="num" key={name}>
                  {words.name}
                  {unit === '' || unit === 'lambda' ? '' : `, ${unit}`}
                </th>
              );
            })}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => {
            const told = row[basis];
            return (
              <tr key={row.engineSpeedRpm}>
                <th scope="row">{writeNumber(row.engineSpeedRpm, 0)}</th>
                <td className="num">{told ? units.write('power', told.firstW.p50) : '–'}</td>
                <td className="num">{told ? units.write('power', told.secondW.p50) : '–'}</td>
                <td className="num strong">{difference(power, told?.differenceW)}</td>
                <td className="num">{difference(torque, told?.differenceNm)}</td>
                {shown.map((name) => (
                  <td className="num" key={name}>
                    {difference(readingWords(name), row.readings[name]?.difference)}
                  </td>
                ))}
              </tr>
            );
          })}
        </tbody>
      </table>
    </section>
  );
};
