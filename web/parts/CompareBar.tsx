/** Two things ticked in a list, to be laid on each other. */
import { type ReactNode, useState } from 'react';
import { go } from '../state/route.ts';

/** The last `most` things that were ticked, in order; ticking one more lets the first go. */
export const useTicked = (
  most: number,
): { readonly ticked: readonly string[]; readonly tick: (id: string) => void } => {
  const [ticked, setTicked] = useState<readonly string[]>([]);
  const tick = (id: string) =>
    setTicked((now) => (now.includes(id) ? now.filter((one) => one !== id) : [...now, id].slice(-most)));
  return { ticked, tick };
};

/** `first` and `second`: what the address of the Compare sheet names. */
export const CompareBar = ({
  first,
  second,
  what,
  more,
}: {
  first: string | undefined;
  second: string | undefined;
  what: 'runs' | 'pulls';
  more?: ReactNode;
}) => (
  <div className="cmp-bar">
    <button
      type="button"
      className="btn"
      disabled={first === undefined || second === undefined}
      onClick={() => {
        if (first !== undefined && second !== undefined) go({ sheet: 'compare', first, second });
      }}
    >
      Compare two {what}
    </button>
    <span className="note" role="status">
      {second !== undefined
        ? 'Two ticked.'
        : first !== undefined
          ? 'Tick one more.'
          : `Tick two ${what} to compare them.`}
    </span>
    {more}
  </div>
);
