/** The frame of the lift sheet: two builds, or parts for a power. */
import type { ReactNode } from 'react';
import { Sheet } from '../parts/Sheet.tsx';
import { addressOf } from '../state/route.ts';

export interface Chosen {
  readonly carId: string;
  readonly buildId: string;
}

const Views = ({ view }: { view: 'builds' | 'parts' }) => (
  <nav className="views" aria-label="What to lift">
    <a href={addressOf({ sheet: 'lift' })} aria-current={view === 'builds' ? 'page' : undefined}>
      Two builds
    </a>
    <a href={addressOf({ sheet: 'lift', view: 'parts' })} aria-current={view === 'parts' ? 'page' : undefined}>
      Parts for a power
    </a>
  </nav>
);

/** The frame of both views. */
export const LiftSheet = ({
  chosen,
  view,
  context,
  children,
}: {
  chosen: Chosen;
  view: 'builds' | 'parts';
  context?: ReactNode;
  children: ReactNode;
}) => (
  <Sheet title="Lift" chosen={chosen} hasTable context={context}>
    <div className="lift">
      <Views view={view} />
      {children}
    </div>
  </Sheet>
);
