/** The chosen set: what to buy, what else it needs, what gives out first then; saved as a planned build with one press. */
import { type FormEvent, useState } from 'react';
import type { LiftSearchView } from '../../src/app/lift-api.ts';
import type { LiftSet } from '../../src/lift/types.ts';
import { Refused } from '../answers/client.ts';
import { planSet } from '../answers/lift-client.ts';
import { forget } from '../answers/use-answer.ts';
import { RuledOff } from '../parts/States.tsx';
import { CautionButton } from '../parts/TitleBlock.tsx';
import { otherBuildStore } from '../state/lift.ts';
import { go } from '../state/route.ts';
import { useUnits } from '../state/units.ts';
import type { Chosen } from './LiftSheet.tsx';
import { writePower } from './ledger-data.ts';
import { firstInWords, writePrice } from './lift-data.ts';
import { rowName } from './part-marks.ts';

const SavePlan = ({ chosen, set }: { chosen: Chosen; set: LiftSet }) => {
  const [label, setLabel] = useState(`Plan: ${set.parts[0]?.option ?? ''}${set.parts.length > 1 ? ' and more' : ''}`);
  const [refused, setRefused] = useState<Refused | null>(null);
  const [working, setWorking] = useState(false);
  const save = async (event: FormEvent) => {
    event.preventDefault();
    setWorking(true);
    setRefused(null);
    try {
      const saved = await planSet(chosen.buildId, {
        label: label.trim(),
        parts: set.parts.map(({ place, option }) => ({ place, option })),
      });
      forget('cars');
      forget(`builds ${chosen.carId}`);
      otherBuildStore.set({
        ...otherBuildStore.get(),
        [`${chosen.buildId} before`]: chosen.buildId,
        [`${chosen.buildId} after`]: saved.build.id,
      });
      go({ sheet: 'lift' });
    } catch (error) {
      setRefused(error instanceof Refused ? error : new Refused('page-fault', String(error)));
      setWorking(false);
    }
  };
  return (
    <form className="plan" onSubmit={save}>
      <label className="field">
        Name of the planned build
        <input value={label} maxLength={120} onChange={(event) => setLabel(event.target.value)} />
      </label>
      <button type="submit" className="btn" disabled={working || label.trim() === ''}>
        Save as a planned build and compare
      </button>
      {refused && <RuledOff refused={refused} />}
    </form>
  );
};

export const LiftSetCard = ({
  chosen,
  set,
  view,
  short,
}: {
  chosen: Chosen;
  set: LiftSet;
  view: LiftSearchView;
  short: boolean;
}) => {
  const units = useUnits();
  const { currency } = view;
  const perReading = set.pricePerW === undefined ? null : set.pricePerW / units.toReading('power', 1);
  return (
    <aside className="set-card" aria-label="Chosen set of parts">
      <h2>
        {set.parts.length === 0 ? 'What is fitted' : writePrice(set.price, currency)}
        {short && <span className="note"> goes furthest</span>}
      </h2>
      {set.parts.length > 0 && (
        <ul className="buy">
          {set.parts.map(({ place, option, price, needs, note }) => (
            <li key={place}>
              <span>
                <span className="eyebrow">{place}</span>
                <b>{option}</b>
              </span>
              <span className="num">{writePrice(price, currency)}</span>
              {needs && <span className="note wide">Needs: {needs}.</span>}
              {note && <span className="note wide">{note}</span>}
            </li>
          ))}
        </ul>
      )}
      <dl className="facts">
        <div>
          <dt>First part gives out at</dt>
          <dd>{writePower(units, set.powerAtFirstLimitW)}</dd>
        </div>
        {set.boostAtFirstLimitPa && (
          <div>
            <dt>with boost of</dt>
            <dd>
              {units.write('pressure', set.boostAtFirstLimitPa.p50)} {units.label('pressure')} ±
              {units.writeSpread('pressure', (set.boostAtFirstLimitPa.p90 - set.boostAtFirstLimitPa.p10) / 2)}
            </dd>
          </div>
        )}
        <div>
          <dt>Gives out first then</dt>
          <dd>{firstInWords(set.first)}</dd>
        </div>
        {set.first[0]?.lift[0] && (
          <div>
            <dt>To lift that</dt>
            <dd>{set.first[0].lift[0]}</dd>
          </div>
        )}
        {perReading !== null && (
          <div>
            <dt>For each {units.label('power')} gained</dt>
            <dd>{writePrice(Math.round(perReading), currency)}</dd>
          </div>
        )}
      </dl>
      {set.alsoWatch.length > 0 && (
        <p className="watch">
          Not counted, but past its limit before then:{' '}
          {set.alsoWatch
            .map(
              ({ part, chance, usualRating }) =>
                `${rowName(part).toLowerCase()} in ${Math.round(100 * chance)} of 100${usualRating ? ' (usual rating)' : ''}`,
            )
            .join('; ')}
          .
        </p>
      )}
      {set.parts.length > 0 && <SavePlan chosen={chosen} set={set} />}
      <CautionButton cautions={view.cautions} label="Caution: right on paper only" />
    </aside>
  );
};
