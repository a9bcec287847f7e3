/** What the laid-on run has shown of knock, and taking it onto a planned build. */
import { useState } from 'react';
import type { BuildView, RunView } from '../../src/app/api.ts';
import { Refused, saveBuild } from '../answers/client.ts';
import { forget } from '../answers/use-answer.ts';
import { SourceMark } from '../parts/Shapes.tsx';
import { RuledOff } from '../parts/States.tsx';
import { chosenStore } from '../state/chosen.ts';

interface Props {
  readonly chosen: { readonly carId: string; readonly buildId: string };
  readonly build: BuildView;
  readonly run: RunView;
}

const rounded = (deg: number): number => Number(deg.toFixed(1));

export const KnockShown = ({ chosen, build, run }: Props) => {
  const [working, setWorking] = useState(false);
  const [refused, setRefused] = useState<Refused | null>(null);
  const { knock } = run;
  if (!knock) {
    return (
      <p className="note">
        The run laid on top does not say how far the borderline is: that needs its timing, manifold pressure, and knock
        retard or a knock count.
      </p>
    );
  }
  const keep = async () => {
    setWorking(true);
    setRefused(null);
    const { valueDeg, sdDeg } = knock.after;
    try {
      const saved = await saveBuild(chosen.carId, {
        label: 'knock as logged',
        planned: true,
        parentId: chosen.buildId,
        sheet: {
          ...build.sheet,
          learned: {
            ...build.sheet.learned,
            knockLimit: { value: rounded(valueDeg), unit: 'deg', spread: `${rounded(sdDeg)} deg`, source: 'logged' },
          },
        },
      });
      forget('cars');
      forget(`builds ${chosen.carId}`);
      chosenStore.set({ carId: chosen.carId, buildId: saved.build.id });
    } catch (error) {
      setRefused(error instanceof Refused ? error : new Refused('page-fault', String(error)));
      setWorking(false);
    }
  };
  return (
    <section className="cyl-shown" aria-label="What the log has shown">
      <p>
        {knock.says} <SourceMark source="logged" />
      </p>
      <button type="button" className="btn" disabled={working} onClick={() => void keep()}>
        Keep it as a planned build
      </button>
      {refused && <RuledOff refused={refused} />}
    </section>
  );
};
