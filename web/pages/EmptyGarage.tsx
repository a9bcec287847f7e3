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
          Boostwright puts its two invented demo cars into an empty garage when it starts: stop it and start it again
          with npm start. A build of your own begins from one of their sheets: save it to a file, write your dozen
          numbers into it, and bring it back on the Build sheet.
        </p>
      </div>
    </div>
  </Sheet>
);
