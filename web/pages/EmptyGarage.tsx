/** No car yet: a clean sheet and the ways to begin. */

import { airPathShapes } from '../charts/air-path/drawing.ts';
import { PLAN_HEIGHT, PLAN_WIDTH, planOf } from '../charts/air-path/plan.ts';
import { Shapes } from '../parts/Shapes.tsx';
import { Sheet } from '../parts/Sheet.tsx';
import { addressOf } from '../state/route.ts';

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
          Add the car you have: about a dozen numbers make it usable, all else starts as an estimate. A log can be read
          without a car too, as far as a log alone goes.
        </p>
        <div className="acts">
          <a className="btn first" href={addressOf({ sheet: 'new-car' })}>
            Add a car
          </a>
          <a className="btn" href={addressOf({ sheet: 'loose-log' })}>
            Read a log without a car
          </a>
        </div>
        <p className="note">
          The two invented demo cars come into an empty garage when Boostwright starts: stop it and start it again with
          npm start.
        </p>
      </div>
    </div>
  </Sheet>
);
