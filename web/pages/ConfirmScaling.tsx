/** The straight line of an analogue column: two points, or slope and offset. */
import { useState } from 'react';
import type { Scaling } from '../../src/logs/types.ts';
import { Panel } from '../parts/Panel.tsx';
import { CHANNEL_WORDS } from './channels.ts';
import type { Draft } from './confirm-data.ts';

const numberOf = (text: string): number => (text.trim() === '' ? Number.NaN : Number(text.trim().replace(',', '.')));

const Field = ({ label, value, set }: { label: string; value: string; set: (value: string) => void }) => (
  <label className="field">
    {label}
    <input value={value} inputMode="decimal" onChange={(event) => set(event.target.value)} />
  </label>
);

/** What the fields say, or why they say nothing yet. */
const readFields = (way: 'points' | 'slope', fields: readonly string[]): Scaling | string => {
  const [a = Number.NaN, b = Number.NaN, c = Number.NaN, d = Number.NaN] = fields.map(numberOf);
  if (way === 'slope') {
    if (!Number.isFinite(a) || !Number.isFinite(b)) return 'Give slope and offset as numbers.';
    return a === 0 ? 'A slope of 0 makes every reading the same.' : { slope: a, offset: b };
  }
  if (![a, b, c, d].every(Number.isFinite)) return 'Give both points as numbers.';
  if (a === c) return 'The two points must be at different readings.';
  if (b === d) return 'The two points must give different values.';
  return {
    points: [
      [a, b],
      [c, d],
    ],
  };
};

const fieldsOf = (scaling: Scaling | undefined): { readonly points: string[]; readonly slope: string[] } => {
  if (!scaling) return { points: ['', '', '', ''], slope: ['', ''] };
  return 'points' in scaling
    ? { points: scaling.points.flat().map(String), slope: ['', ''] }
    : { points: ['', '', '', ''], slope: [String(scaling.slope), String(scaling.offset)] };
};

const Fields = ({ draft, done }: { draft: Draft; done: (draft: Draft) => void }) => {
  const { scaling, channel, unit } = draft;
  const [way, setWay] = useState<'points' | 'slope'>(scaling && 'slope' in scaling ? 'slope' : 'points');
  const [points, setPoints] = useState(fieldsOf(scaling).points);
  const [slope, setSlope] = useState(fieldsOf(scaling).slope);
  const known = channel === null ? [] : CHANNEL_WORDS[channel].writtenUnits;
  const [into, setInto] = useState(known.includes(unit) ? unit : (known[0] ?? ''));
  const read = readFields(way, way === 'points' ? points : slope);
  const put = (list: string[], set: (list: string[]) => void, at: number) => (value: string) =>
    set(list.map((one, place) => (place === at ? value : one)));
  return (
    <form
      className="scaling"
      onSubmit={(event) => {
        event.preventDefault();
        if (typeof read !== 'string') done({ ...draft, scaling: read, unit: into });
      }}
    >
      <p>
        “{draft.column}” holds what the sender gives, in volts or counts. Say what two readings mean, as the sender’s
        sheet has them, or the slope and offset.
      </p>
      <fieldset className="asked-one">
        <legend className="vh">Two points, or slope and offset</legend>
        <label className="tick-box">
          <input type="radio" name="way" checked={way === 'points'} onChange={() => setWay('points')} />
          Two points
        </label>
        <label className="tick-box">
          <input type="radio" name="way" checked={way === 'slope'} onChange={() => setWay('slope')} />
          Slope and offset
        </label>
      </fieldset>
      <label className="field">
        Unit of the result
        <select value={into} onChange={(event) => setInto(event.target.value)}>
          {known.map((one) => (
            <option key={one}>{one}</option>
          ))}
        </select>
      </label>
      {way === 'points' ? (
        <div className="pairs">
          <Field label="A reading of" value={points[0]!} set={put(points, setPoints, 0)} />
          <Field label={`is, ${into}`} value={points[1]!} set={put(points, setPoints, 1)} />
          <Field label="A reading of" value={points[2]!} set={put(points, setPoints, 2)} />
          <Field label={`is, ${into}`} value={points[3]!} set={put(points, setPoints, 3)} />
        </div>
      ) : (
        <div className="pairs">
          <Field label={`Slope, ${into} for 1 of the reading`} value={slope[0]!} set={put(slope, setSlope, 0)} />
          <Field label={`Offset, ${into} at a reading of 0`} value={slope[1]!} set={put(slope, setSlope, 1)} />
        </div>
      )}
      <div className="acts">
        <button type="submit" className="btn first" disabled={typeof read === 'string'}>
          Scale it so
        </button>
        {scaling && (
          <button type="button" className="btn" onClick={() => done({ ...draft, scaling: undefined })}>
            Take the scaling off
          </button>
        )}
        <p className="note" role="status">
          {typeof read === 'string' ? read : ''}
        </p>
      </div>
    </form>
  );
};

export const ConfirmScaling = ({
  draft,
  done,
  close,
}: {
  draft: Draft | null;
  done: (draft: Draft) => void;
  close: () => void;
}) => (
  <Panel title="Scaling of an analogue column" open={draft !== null} close={close}>
    {draft && <Fields draft={draft} done={done} />}
  </Panel>
);
