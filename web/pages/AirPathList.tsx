/** The air path unrolled for a phone: the pipe as a vertical line, parts as stops, stations between them. */
import { Fragment, memo, useMemo } from 'react';
import type { PartHeadroomView } from '../../src/app/api.ts';
import type { AirPathPlan, PartPlace, StationPlace } from '../charts/air-path/plan.ts';
import { agreementStrip, headroomBar, leftInWords, standing } from '../charts/marks.ts';
import { Caution } from '../parts/Caution.tsx';
import { useBigReadings } from '../parts/RulerFoot.tsx';
import { Icon, Shapes, SourceMark } from '../parts/Shapes.tsx';
import { CautionButton, LaidOnSelect } from '../parts/TitleBlock.tsx';
import type { LaidOnState } from '../state/laid-on.ts';
import { engineSpeedStore } from '../state/position.ts';
import { addressOf } from '../state/route.ts';
import { useStore } from '../state/store.ts';
import { useUnits } from '../state/units.ts';
import { numberedParts } from './AirPathDrawing.tsx';
import type { AirPathData } from './air-path-data.ts';
import { markAt, outAt, outFirst, rowIcon, rowName } from './part-marks.ts';
import { loggedAt, predictedAt, STATION_READINGS, writeReading } from './readings.ts';

const Stop = ({
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
  const over = standing(mark) === 'over';
  return (
    <li className={`pt m-${place.medium}`}>
      <a href={addressOf({ sheet: 'headroom', part: row.part })}>
        <span className="pi">
          <Icon name={place.icon} />
          <i>{number}</i>
        </span>
        <span className="pn">{place.id === 'tyres' ? rowName(row.part) : place.name}</span>
        <svg viewBox="0 0 100 26" width="100" height="26" aria-hidden="true">
          <Shapes of={headroomBar(mark, { x: 1, y: 1.5, full: 82, height: 18, most: 90 })} />
        </svg>
        <span className={`pl ${over ? 'over' : ''}`}>
          {leftInWords(mark)}
          <span className="vh"> {over ? '' : 'left'}</span>
        </span>
      </a>
    </li>
  );
};

const PlainStop = memo(({ place }: { place: PartPlace }) => (
  <li className={`pt plain m-${place.medium}`}>
    <span className="pi">
      <Icon name={place.icon} />
    </span>
    <span className="pn">{place.name}</span>
  </li>
));

const StationRow = ({ place, data }: { place: StationPlace; data: AirPathData }) => {
  const units = useUnits();
  const rpm = useStore(engineSpeedStore);
  return (
    <li className={`st m-${place.medium}`}>
      <span className="sn">{place.title}</span>
      <span className="sv">
        {STATION_READINGS[place.id].map((definition) => {
          const band = predictedAt(data.points, definition.predicted, rpm);
          if (band === undefined) return null;
          const logged = loggedAt(data.laid, definition, rpm);
          const half = (band.p90 - band.p10) / 2;
          const written = writeReading(definition, units, logged ?? band.p50, half);
          return (
            <span className="ce" key={definition.id}>
              <span className={`n ${logged === undefined ? 'pred' : ''}`}>
                <span className="vh">{definition.name} </span>
                {written.value}
                <span className="u">{written.unit}</span>
                <SourceMark source={logged === undefined ? 'estimate' : 'logged'} />
              </span>
              <span className="c2">
                <svg viewBox="0 0 46 14" width="46" height="14" aria-hidden="true">
                  <Shapes of={agreementStrip(band, logged, 1, 7, 44)} />
                </svg>
                <span className="pm">
                  {logged === undefined
                    ? `±${written.spread}`
                    : `○ ${writeReading(definition, units, band.p50, half).value}`}
                </span>
              </span>
            </span>
          );
        })}
      </span>
    </li>
  );
};

const Summary = ({ data }: { data: AirPathData }) => {
  const readings = useBigReadings(data);
  return (
    <div className="psum">
      {readings.map((one) => (
        <div key={one.name} className={one.logged ? '' : 'pred'}>
          <span className="note">
            {one.name}, {one.unit}
          </span>
          <span className="hero">{one.value}</span>
          <span className="note">
            {one.logged ? (
              <>
                <i className="ho" />
                {one.predicted}
              </>
            ) : (
              `±${one.spread}, predicted`
            )}
          </span>
        </div>
      ))}
    </div>
  );
};

const FirstOut = ({ data }: { data: AirPathData }) => {
  const units = useUnits();
  const [first, second] = outFirst(data.headroom?.parts ?? []);
  if (data.headroom === undefined) return <p className="first note">Working out what gives out first</p>;
  if (first === undefined) return null;
  const past = first.utilisation.p50 > 1;
  return (
    <p className="first">
      <Icon name={rowIcon(first.part)} />
      <span>
        <b>{past ? `Past its limit: ${rowName(first.part)}` : `First to give out: ${rowName(first.part)}`}</b>,{' '}
        {outAt(first, units)}.
        {second && (
          <>
            <br />
            Next: {rowName(second.part).toLowerCase()}, {outAt(second, units)}.
          </>
        )}
      </span>
    </p>
  );
};

export const AirPathList = ({ plan, data, state }: { plan: AirPathPlan; data: AirPathData; state: LaidOnState }) => {
  const parts = useMemo(() => numberedParts(plan, data.headroom?.parts ?? []), [plan, data.headroom]);
  return (
    <div className="pmain">
      <Summary data={data} />
      <FirstOut data={data} />
      <div className="shown">
        <span className="note">Laid over it</span>
        <LaidOnSelect state={state} />
      </div>
      <ol className="run">
        {parts.map(({ place, row, number }) => (
          <Fragment key={place.id}>
            {row !== undefined && number !== null ? (
              <Stop place={place} row={row} number={number} data={data} />
            ) : (
              <PlainStop place={place} />
            )}
            {plan.stations
              .filter((station) => station.after === place.id)
              .map((station) => (
                <StationRow key={station.id} place={station} data={data} />
              ))}
          </Fragment>
        ))}
      </ol>
      <div className="pad">
        <Caution title="predictions are not guarantees" items={data.cautions.slice(0, 2)} />
        <CautionButton cautions={data.cautions} label="All cautions" />
      </div>
    </div>
  );
};
