/** No car yet: a clean sheet and the ways to begin. */

import { airPathShapes } from '../charts/air-path/drawing.ts';
import { PLAN_HEIGHT, PLAN_WIDTH, planOf } from '../charts/air-path/plan.ts';
import { Shapes } from '../parts/Shapes.tsx';
import { Sheet } from '../parts/Sheet.tsx';

const PENCILLED = airPathShapes(
  planOf({
    cylinders: 4,
    layout: 'inline',
    driven: 'rear',
    throttled: true,
    injection: false,
    airflowMeter: false,
    pressureSensor: true,
    boostGauge: false,
    wideband: false,
  }),
);

export const EmptyGarage = () => (
  <Sheet title="Air path" chosen={null}>
    <div className="emp">
      <svg className="gh" viewBox={`0 0 ${PLAN_WIDTH} ${PLAN_HEIGHT}`} aria-hidden="true">
        <Shapes of={PENCILLED} />
      </svg>
      <div className="et">
        <h2>A clean sheet. The garage has no car in it.</h2>
        <p>
          Put the demo garage back, or start with a build sheet of your own: one JSON file with about a dozen numbers.
          The rest is pencilled in from estimates until you measure it.
        </p>
        <p className="note">
          On the command line, boostwright --help says how a build sheet is written and brought in.
        </p>
      </div>
    </div>
  </Sheet>
);
