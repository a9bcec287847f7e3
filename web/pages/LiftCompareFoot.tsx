/** Below the parts: what is gained, what gets worse, what changed and what it costs. */
import { useState } from 'react';
import type { LiftComparisonView } from '../../src/app/lift-api.ts';
import type { Gain } from '../../src/lift/types.ts';
import { regressionWords } from '../../src/lift/words.ts';
import { dimensionOf, fromSi, isUnit } from '../../src/physics/units.ts';
import { SourceMark } from '../parts/Shapes.tsx';
import { CautionButton } from '../parts/TitleBlock.tsx';
import { type Units, useUnits, writeNumber } from '../state/units.ts';
import { halfOf, writePrice, writeRegression } from './lift-data.ts';

interface GainRow {
  readonly name: string;
  readonly unit: string;
  readonly gain: Gain;
  readonly write: (value: number) => string;
}

const gainRows = (view: LiftComparisonView, units: Units): GainRow[] => {
  const power = (value: number) => units.write('power', value);
  const torque = (value: number) => units.write('torque', value);
  return [
    {
      name: 'Power when the first part gives out',
      unit: units.label('power'),
      gain: view.powerAtFirstLimitW,
      write: power,
    },
    { name: 'Power at the boost asked for', unit: units.label('power'), gain: view.powerW, write: power },
    { name: 'Torque at the boost asked for', unit: units.label('torque'), gain: view.torqueNm, write: torque },
    ...(view.boostArrivalRpm
      ? [
          {
            name: `${units.write('pressure', view.arrivalBoostPa)} ${units.label('pressure')} of boost there at`,
            unit: 'rpm',
            gain: view.boostArrivalRpm,
            write: (value: number) => writeNumber(value, 0),
          },
        ]
      : []),
  ];
};

export const Gains = ({ view }: { view: LiftComparisonView }) => {
  const units = useUnits();
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1)
    <table className="twin gains" tabIndex={0}>
      <caption>
        Gain, each in pairs of cars alike in what the builds share <SourceMark source="estimate" />
      </caption>
      <thead>
        <tr>
          <th scope="col">What</th>
          <th scope="col" className="num">
            Before
          </th>
          <th scope="col" className="num">
            After
          </th>
          <th scope="col" className="num">
            Gain
          </th>
        </tr>
      </thead>
      <tbody>
        {gainRows(view, units).map(({ name, unit, gain, write }) => (
          <tr key={name}>
            <th scope="row">
              {name}, {unit}
            </th>
            <td className="num">
              {write(gain.before.p50)} <span className="note">±{write(halfOf(gain.before))}</span>
            </td>
            <td className="num">
              {write(gain.after.p50)} <span className="note">±{write(halfOf(gain.after))}</span>
            </td>
            <td className="num">
              <b>
                {gain.gain.p50 > 0 ? '+' : ''}
                {write(gain.gain.p50)}
              </b>{' '}
              <span className="note">±{write(halfOf(gain.gain))}</span>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
};

export const Worse = ({ view }: { view: LiftComparisonView }) => {
  const units = useUnits();
  return (
    <section className="worse" aria-label="What gets worse">
      <h2>What gets worse</h2>
      {view.regressions.length === 0 ? (
        <p>Nothing that the model sees.</p>
      ) : (
        <ul>
          {view.regressions.map((one) => (
            <li key={`${one.kind} ${one.part ?? ''}`}>{regressionWords(one, writeRegression(units))}</li>
          ))}
        </ul>
      )}
    </section>
  );
};

const Cost = ({ view }: { view: LiftComparisonView }) => {
  const units = useUnits();
  const [typed, setTyped] = useState('');
  const { cost } = view;
  const gainW = view.powerAtFirstLimitW.gain.p50;
  const price = Number(typed.replace(',', '.'));
  const total = typed.trim() !== '' && price >= 0 ? price : cost && cost.total > 0 ? cost.total : null;
  const currency = cost?.currency ?? '';
  const per = total !== null && gainW > 0 ? total / units.toReading('power', gainW) : null;
  return (
    <section className="cost" aria-label="Cost">
      <h2>Cost</h2>
      {cost && cost.items.length > 0 && (
        <ul>
          {cost.items.map(({ place, option, price: own }) => (
            <li key={place}>
              {option} <b>{writePrice(own, currency)}</b>
            </li>
          ))}
        </ul>
      )}
      <p className="big-line">
        {total === null ? 'No prices for this change.' : writePrice(total, currency)}
        {per !== null && (
          <span className="note">
            {' '}
            {writePrice(Math.round(per), currency)} for each {units.label('power')} gained
          </span>
        )}
      </p>
      <label className="field">
        Type a price for the whole change
        <input inputMode="decimal" size={8} value={typed} onChange={(event) => setTyped(event.target.value)} />
      </label>
      {cost && cost.unpriced.length > 0 && (
        <p className="note">{cost.unpriced.length} changed numbers have no price in the part options.</p>
      )}
    </section>
  );
};

const valueText = (si: number, unit: string): string => {
  if (!isUnit(unit)) return String(Number(si.toPrecision(4)));
  const value = Number(fromSi(si, unit).toPrecision(4));
  return `${value}${dimensionOf(unit) === 'ratio' && unit === '1' ? '' : ` ${unit}`}`;
};

const Changed = ({ view }: { view: LiftComparisonView }) => {
  const own = view.changes.filter(({ follows }) => !follows);
  const count = own.length + view.facts.length;
  return (
    <details className="changed">
      <summary>{count === 1 ? 'One thing changed' : `${count} things changed`} on the sheet</summary>
      <ul>
        {view.facts.map(({ path, about, from, to }) => (
          <li key={path}>
            {about}: {from} → {to}
          </li>
        ))}
        {own.map(({ path, about, unit, fromSi: from, toSi: to }) => (
          <li key={path}>
            {about}: {valueText(from, unit)} → {valueText(to, unit)}
          </li>
        ))}
      </ul>
    </details>
  );
};

export const LiftCompareFoot = ({ view }: { view: LiftComparisonView }) => (
  <div className="lift-foot">
    <Gains view={view} />
    <Worse view={view} />
    <div className="lift-side">
      <Cost view={view} />
      <Changed view={view} />
      <CautionButton cautions={view.cautions} label="Caution: a limit is never a guarantee" />
    </div>
  </div>
);
