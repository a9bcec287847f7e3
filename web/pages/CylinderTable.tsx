/** The cylinder's drawings as tables. */
import type { CylinderView } from '../../src/app/cylinder-api.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { cylinderPressure } from './cylinder-data.ts';

const Columns = ({
  caption,
  heads,
  rows,
}: {
  caption: string;
  heads: readonly string[];
  rows: readonly (readonly string[])[];
}) => (
  <table className="twin">
    <caption>{caption}</caption>
    <thead>
      <tr>
        {heads.map((head) => (
          <th key={head} scope="col" className="num">
            {head}
          </th>
        ))}
      </tr>
    </thead>
    <tbody>
      {rows.map(([first, ...others]) => (
        <tr key={first}>
          <th scope="row" className="num">
            {first}
          </th>
          {others.map((cell, index) => (
            <td key={heads[index + 1]} className="num">
              {cell}
            </td>
          ))}
        </tr>
      ))}
    </tbody>
  </table>
);

/** One row each so many degrees of crank angle. */
const ROW_STEP_DEG = 5;

export const CylinderTable = ({ view }: { view: CylinderView }) => {
  const units = useUnits();
  const { trace, bySpark, byBoost, byChargeTemperature } = view;
  const temperature = (value: number | null) => (value === null ? '–' : units.write('temperature', value));
  const angles: number[] = [];
  let last = Number.NEGATIVE_INFINITY;
  trace.crankAngleDeg.forEach((angle, index) => {
    if (angle - last < ROW_STEP_DEG - 1e-6) return;
    angles.push(index);
    last = angle;
  });
  const degree = units.label('temperature');
  return (
    <div className="cyl-tables">
      <Columns
        caption="Over crank angle, after top dead centre"
        heads={['degrees', 'Pressure', 'Burned %', `Unburned ${degree}`, `Burned gas ${degree}`, 'Knock share %']}
        rows={angles.map((i) => [
          writeNumber(trace.crankAngleDeg[i]!, 0),
          cylinderPressure(trace.pressurePa[i]!, units),
          writeNumber(100 * trace.burnedShare[i]!, 0),
          temperature(trace.unburnedTemperatureK[i]!),
          temperature(trace.burnedTemperatureK[i]!),
          writeNumber(100 * trace.knockShare[i]!, 0),
        ])}
      />
      <Columns
        caption="Timing moved"
        heads={['degrees', `Torque ${units.label('torque')}`, 'Peak pressure', `Exhaust ${degree}`]}
        rows={bySpark.sparkAdvanceDeg.map((spark, i) => [
          writeNumber(spark, 1),
          units.write('torque', bySpark.torqueNm[i]!),
          cylinderPressure(bySpark.peakPressurePa[i]!, units),
          units.write('temperature', bySpark.exhaustTemperatureK[i]!),
        ])}
      />
      <Columns
        caption="Boost moved"
        heads={[`Boost ${units.label('pressure')}`, 'Knock limit, degrees', 'Best torque, degrees']}
        rows={byBoost.boostPa.map((boost, i) => [
          units.write('pressure', boost),
          writeNumber(byBoost.knockLimitAdvanceDeg[i]!, 1),
          writeNumber(byBoost.bestTorqueAdvanceDeg[i]!, 1),
        ])}
      />
      <Columns
        caption="Charge temperature moved, at this boost"
        heads={[`Charge ${degree}`, 'Knock limit, degrees']}
        rows={byChargeTemperature.chargeTemperatureK.map((charge, i) => [
          units.write('temperature', charge),
          writeNumber(byChargeTemperature.knockLimitAdvanceDeg[i]!, 1),
        ])}
      />
    </div>
  );
};
