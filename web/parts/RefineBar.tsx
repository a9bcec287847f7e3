/** How far a refined answer is, with the way to stop it. */
import type { Refining } from '../state/refine.ts';
import { writeNumber } from '../state/units.ts';

export const RefineBar = ({
  refining,
  samples,
  stop,
  begin,
}: {
  refining: Refining;
  /** Behind what is shown now. */
  samples: number;
  stop: () => void;
  begin: () => void;
}) => {
  const shown = `${writeNumber(samples, 0)} samples of what is uncertain`;
  if (refining.state === 'done') return <p className="refine note">From {shown}.</p>;
  if (refining.state === 'working')
    return (
      <div className="refine">
        <progress aria-label="Samples solved" value={refining.done} max={refining.of} />
        <span className="note">
          {writeNumber(refining.done, 0)} of {writeNumber(refining.of, 0)} samples; shown from {writeNumber(samples, 0)}
        </span>
        <button type="button" className="btn flat" onClick={stop}>
          Stop
        </button>
      </div>
    );
  return (
    <div className="refine" role="status">
      <span className="note">
        {refining.state === 'refused' ? `${refining.says} ` : 'Stopped. '}Shown from {shown}.
      </span>
      <button type="button" className="btn flat" onClick={begin}>
        Refine
      </button>
    </div>
  );
};
