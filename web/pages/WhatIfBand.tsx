/** The plus-minus of what has been moved: the same cars before and after, solved in the browser's worker. */
import { useMemo } from 'react';
import type { Build } from '../../src/car/index.ts';
import { useModelJob } from '../answers/use-model-job.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import type { Moved } from './what-if-knobs.ts';

const SAMPLES = 96;
/** Sliders rest this long before the work begins [ms]. */
const QUIET_MS = 350;

export const WhatIfBand = ({ sheet, moved }: { sheet: Build; moved: Moved }) => {
  const units = useUnits();
  const still = Object.keys(moved).length === 0;
  const request = useMemo(() => (still ? null : { sheet, moved, samples: SAMPLES }), [sheet, moved, still]);
  const answer = useModelJob('whatIfBand', request, QUIET_MS);
  if (answer.state === 'idle') return null;
  if (answer.state === 'working')
    return (
      <p className="note">
        Plus-minus of the change: <progress aria-label="Cars solved" value={answer.done} max={answer.of || SAMPLES} />
      </p>
    );
  if (answer.state === 'refused') return <p className="note">No plus-minus of the change: {answer.says}</p>;
  const { powerChangeW: change, samples } = answer.value;
  const signed = (value: number) => `${value > 0 ? '+' : ''}${units.write('power', value, 1)}`;
  return (
    <p className="note" role="status">
      Peak power {signed(change.p50)} {units.label('power')}, in 8 of 10 cars inside the sheet's plus-minus from{' '}
      {signed(change.p10)} to {signed(change.p90)} ({writeNumber(samples, 0)} cars, each before and after).
    </p>
  );
};
