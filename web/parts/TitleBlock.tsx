/** The title block: which run is laid on, the air outside, the key to the marks, and where the cautions are. */
import { useState } from 'react';
import { wallRight } from '../charts/marks.ts';
import { circle, path, rect, type Shape } from '../charts/shape.ts';
import type { AirPathData } from '../pages/air-path-data.ts';
import { type LaidOn, laidOnStore } from '../state/chosen.ts';
import type { LaidOnState } from '../state/laid-on.ts';
import { useStore } from '../state/store.ts';
import { useUnits } from '../state/units.ts';
import { allCautions, Caution } from './Caution.tsx';
import { Panel } from './Panel.tsx';
import { Icon, Shapes, SourceMark } from './Shapes.tsx';

const KEY: readonly (readonly [string, readonly Shape[]])[] = [
  ['predicted', [rect('bandbox', 2, 2, 26, 10)]],
  ['logged', [path('base', 'M0 7h30'), circle('dotl', 15, 7, 4)]],
  ['what it carries', wallRight(13, 0, 14)],
  ['8 of 10 in here', [path('wh', 'M4 7h22M4 3v8M26 3v8')]],
  ['worst speed', [path('worst', 'M10 11h10l-5 -8z')]],
];

const KeyList = () => (
  <div className="key">
    {KEY.map(([name, shapes]) => (
      <span key={name}>
        <svg viewBox="0 0 30 14" aria-hidden="true">
          <Shapes of={shapes} />
        </svg>
        {name}
      </span>
    ))}
    <span>
      <i className="key-src">
        <SourceMark source="estimate" />
      </i>
      computed
    </span>
  </div>
);

const laidValue = (laid: LaidOn, state: LaidOnState): string => {
  if (laid === 'none' || state.candidates.length === 0) return 'none';
  if (state.laid) return `${state.laid.run.run.id} ${state.laid.pullIndex}`;
  return laid === 'auto' ? `${state.candidates[0]!.id} 0` : `${laid.runId} ${laid.pull}`;
};

/** Which logged pull lies over the prediction. */
export const LaidOnSelect = ({ state }: { state: LaidOnState }) => {
  const laid = useStore(laidOnStore);
  const value = laidValue(laid, state);
  return (
    <select
      aria-label="Logged pull laid over the prediction"
      value={value}
      onChange={(event) => {
        const [runId, pull] = event.target.value.split(' ');
        laidOnStore.set(event.target.value === 'none' || !runId ? 'none' : { runId, pull: Number(pull) });
      }}
    >
      <option value="none">{state.candidates.length === 0 ? 'no run laid on' : 'nothing logged'}</option>
      {state.candidates.flatMap((run) =>
        Array.from({ length: run.pulls ?? 0 }, (_, index) => index).map((pull) => (
          <option key={`${run.id} ${pull}`} value={`${run.id} ${pull}`}>
            {run.fileName.replace(/\.[a-z0-9]+$/i, '')}, pull {pull + 1}
          </option>
        )),
      )}
    </select>
  );
};

export const CautionButton = ({ cautions, label }: { cautions: readonly string[]; label: string }) => {
  const [open, setOpen] = useState(false);
  return (
    <>
      <button type="button" className="caut-button" aria-haspopup="dialog" onClick={() => setOpen(true)}>
        <Icon name="caution" />
        <span>{label}</span>
      </button>
      <Panel title="Before you act on these numbers" open={open} close={() => setOpen(false)}>
        <Caution title="predictions are not guarantees" items={allCautions(cautions)} />
      </Panel>
    </>
  );
};

export const TitleBlock = ({ data, state }: { data: AirPathData; state: LaidOnState }) => {
  const units = useUnits();
  const { ambientPressurePa, ambientTemperatureK } = data.conditions;
  return (
    <section className="title" aria-label="Title block">
      <dl>
        <dt>Shown</dt>
        <dd>
          <LaidOnSelect state={state} />
        </dd>
        <dt>Outside</dt>
        <dd>
          {units.write('pressure', ambientPressurePa, 1)} {units.label('pressure')},{' '}
          {units.write('temperature', ambientTemperatureK)} {units.label('temperature')}
          {data.laid ? '' : ', standard'}
        </dd>
      </dl>
      <KeyList />
      <CautionButton cautions={data.cautions} label="Caution: predictions, not guarantees" />
    </section>
  );
};
