/** The plan of the car with its stations and marks. Everything that moves with the hairline is a small part of its own. */
import { memo, useMemo } from 'react';
import type { PartHeadroomView } from '../../src/app/api.ts';
import { airPathShapes, tapShape } from '../charts/air-path/drawing.ts';
import {
  type AirPathPlan,
  type PartPlace,
  PLAN_HEIGHT,
  PLAN_WIDTH,
  STATION_WIDTH,
  type StationPlace,
} from '../charts/air-path/plan.ts';
import { agreementStrip, balloon, headroomBar, leftInWords, sourceMark, standing } from '../charts/marks.ts';
import { circle, path, type Shape, text } from '../charts/shape.ts';
import { Shapes } from '../parts/Shapes.tsx';
import { engineSpeedStore } from '../state/position.ts';
import { addressOf } from '../state/route.ts';
import { useStore } from '../state/store.ts';
import { useUnits } from '../state/units.ts';
import type { AirPathData } from './air-path-data.ts';
import { markAt, outAt, outFirst, rowName, rowOf } from './part-marks.ts';
import { loggedAt, predictedAt, STATION_READINGS, writeReading } from './readings.ts';

const Backdrop = memo(({ plan }: { plan: AirPathPlan }) => {
  const shapes = useMemo(
    () => [
      ...airPathShapes(plan),
      ...plan.stations.flatMap(({ leader, tap, x, y, title, wider = 0 }) => [
        ...(leader ? [path('lead-l', leader)] : []),
        ...(tap ? [tapShape(tap[0], tap[1])] : []),
        text('sname', x, y, title),
        path('lead-l', `M${x} ${y + 6.5}h${STATION_WIDTH + wider}`),
      ]),
    ],
    [plan],
  );
  return (
    // biome-ignore lint/a11y/noAriaHiddenOnFocusable: a plain SVG group cannot take focus
    <g aria-hidden="true">
      <Shapes of={shapes} />
    </g>
  );
});

/** Width of a 13 px figure [px], so that its dot stands before it: the face's own advance widths, rounded up. */
const smallWidth = (figure: string): number =>
  [...figure].reduce((width, sign) => width + (sign === '.' || sign === ',' ? 3.8 : sign === '%' ? 11.5 : 7.8), 0);

/** Nothing is written where the plus-minus is too small for its decimals: a nought would claim more than is known. */
const plusMinus = (spread: string): string => (Number(spread.replaceAll(',', '')) === 0 ? '' : `±${spread}`);

const Station = ({ place, data }: { place: StationPlace; data: AirPathData }) => {
  const units = useUnits();
  const rpm = useStore(engineSpeedStore);
  const shapes: Shape[] = [];
  const spoken: string[] = [];
  STATION_READINGS[place.id].forEach((definition, index) => {
    const band = predictedAt(data.points, definition.predicted, rpm);
    if (band === undefined) return;
    const logged = loggedAt(data.laid, definition, rpm);
    const half = (band.p90 - band.p10) / 2;
    const written = writeReading(definition, units, logged ?? band.p50, half);
    const predicted = writeReading(definition, units, band.p50, half);
    const y = place.y + 25 + index * 21;
    const { x, wider = 0 } = place;
    const right = x + wider;
    shapes.push(
      text(`val ${logged === undefined ? 'p' : ''}`, x + 44, y, written.value),
      text('unit', x + 48, y, written.unit),
      ...(logged === undefined
        ? [text('pmt', right + 117, y, plusMinus(written.spread))]
        : [
            circle('dotp small', right + 111 - smallWidth(predicted.value), y - 4.5, 3.2),
            text('pmt', right + 117, y, predicted.value),
          ]),
      sourceMark(logged === undefined ? 'estimate' : 'logged', right + 121.5, y - 9.5, 10.5),
      ...agreementStrip(band, logged, right + 139, y - 5.5, 33),
    );
    spoken.push(
      `${definition.name} ${written.value} ${written.unit} ${
        logged === undefined ? `predicted, plus or minus ${written.spread}` : `logged, ${predicted.value} predicted`
      }`,
    );
  });
  return (
    // biome-ignore lint/a11y/noInteractiveElementToNoninteractiveRole: a plain SVG group is not interactive; as an image its readings are one name
    <g role="img" aria-label={`${place.title}: ${spoken.join('; ')}`}>
      <Shapes of={shapes} />
    </g>
  );
};

const PartMark = ({
  place,
  row,
  number,
  data,
}: {
  place: PartPlace;
  row: PartHeadroomView;
  number: number;
  data: AirPathData;
}) => {
  const rpm = useStore(engineSpeedStore);
  const mark = markAt(row, rpm, data.laid);
  const words = leftInWords(mark);
  const state = standing(mark);
  const [bx, by] = place.label!;
  const x = bx + 19;
  const name = place.id === 'tyres' ? rowName(row.part) : place.name;
  const bar = place.oneLine
    ? { x: x + 77, y: by - 8, full: 76, height: 16, most: 84 }
    : { x, y: by + 4.5, full: 77, height: 16, most: 85 };
  const wordsAt = place.oneLine ? bar.x + 90 : x + 87;
  const shapes: Shape[] = [
    ...balloon(number, bx, by),
    text('name', x, place.oneLine ? by + 5 : by - 1, name),
    ...headroomBar(mark, bar),
    // Past the wall the bar takes the room to its right: the words go below it.
    state === 'over' && !place.oneLine
      ? text('left acc', x, by + 37, words)
      : text(`left ${state === 'over' ? 'acc' : ''}`, wordsAt, place.oneLine ? by + 5 : by + 17.5, words),
  ];
  return (
    <a href={addressOf({ sheet: 'headroom', part: row.part })}>
      <rect x={bx - 14} y={by - 20} width={place.oneLine ? 258 : 181} height={48} fill="transparent" />
      <Shapes of={shapes} />
      <text className="unseen" x={x} y={by}>
        {state === 'over' ? '' : 'left'}, {row.limit}
      </text>
    </a>
  );
};

/** Parts that have rows in the ledger get numbers, in the order of the flow. */
export const numberedParts = (plan: AirPathPlan, parts: readonly PartHeadroomView[]) => {
  let number = 0;
  return plan.parts.map((place) => {
    const row = rowOf(place, parts);
    if (row !== undefined) number += 1;
    return { place, row, number: row === undefined ? null : number };
  });
};

const nameOnly = (place: PartPlace): Shape[] =>
  place.label === null
    ? []
    : [
        ...(place.leader ? [path('lead-l', place.leader)] : []),
        text('name plain', place.label[0] - 8, place.label[1] + 4, place.name),
      ];

export const AirPathDrawing = ({ plan, data }: { plan: AirPathPlan; data: AirPathData }) => {
  const parts = useMemo(() => numberedParts(plan, data.headroom?.parts ?? []), [plan, data.headroom]);
  return (
    // The drawing is wider than a small window: the frame around it pans and so has to take the keyboard.
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1)
    <section className="draw" tabIndex={0} aria-label="Plan of the car">
      {/* biome-ignore lint/a11y/useSemanticElements: a fieldset cannot hold SVG parts */}
      <svg
        viewBox={`0 0 ${PLAN_WIDTH} ${PLAN_HEIGHT}`}
        preserveAspectRatio="xMidYMid meet"
        role="group"
        aria-label="Air path, plan view of the car, nose to the left"
      >
        <Backdrop plan={plan} />
        {plan.stations.map((place) => (
          <Station key={place.id} place={place} data={data} />
        ))}
        {parts.map(({ place, row, number }) =>
          row === undefined || number === null || place.label === null ? (
            <Shapes key={place.id} of={nameOnly(place)} />
          ) : (
            <g key={place.id}>
              {place.leader && <path className="lead-l" d={place.leader} />}
              <PartMark place={place} row={row} number={number} data={data} />
            </g>
          ),
        )}
        <FirstOut data={data} at={plan.firstOut} />
      </svg>
    </section>
  );
};

const FirstOut = ({ data, at: [x, y] }: { data: AirPathData; at: readonly [number, number] }) => {
  const units = useUnits();
  const [first, second] = outFirst(data.headroom?.parts ?? []);
  if (data.headroom === undefined) {
    return (
      <text className="nt" x={x} y={y}>
        Working out what gives out
      </text>
    );
  }
  if (first === undefined) return null;
  return (
    <g>
      <text className="left acc" x={x} y={y}>
        {first.utilisation.p50 > 1 ? 'Past its limit' : 'Gives out first'}
      </text>
      <text className="name" x={x} y={y + 19}>
        {rowName(first.part)}
      </text>
      <text className="nt" x={x} y={y + 36}>
        {outAt(first, units)}
      </text>
      {second && (
        <text className="nt" x={x} y={y + 53}>
          then {rowName(second.part).toLowerCase()}
        </text>
      )}
    </g>
  );
};
