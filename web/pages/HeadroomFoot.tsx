/** Below the ledger: where the hairline stands, the boost and power edge, what to measure next, the cautions. */
import { useMemo } from 'react';
import { edgeCursor } from '../charts/edge.ts';
import { powerEdge, powerScale } from '../charts/ledger.ts';
import type { Scale } from '../charts/scale.ts';
import { path, px } from '../charts/shape.ts';
import { allCautions, Caution } from '../parts/Caution.tsx';
import { EdgeSlider } from '../parts/EdgeSlider.tsx';
import { Shapes } from '../parts/Shapes.tsx';
import { useSize } from '../parts/use-size.ts';
import { crankPowerStore } from '../state/position.ts';
import { useUnits } from '../state/units.ts';
import { boostAtPower, givenOut, type LedgerData, powerAtBoost } from './ledger-data.ts';
import { MeasureNext } from './MeasureNext.tsx';

const BOOST_STEP_PA = 5000;

const moveTo = (data: LedgerData, powerW: number): void =>
  crankPowerStore.set(Math.min(data.highestW, Math.max(data.lowestW, powerW)));

export const PowerRuler = ({
  data,
  powerW,
  compact = false,
  scale,
}: {
  data: LedgerData;
  powerW: number;
  compact?: boolean;
  scale?: Scale;
}) => {
  const units = useUnits();
  const [box, { width }] = useSize<HTMLDivElement>();
  const own = useMemo(
    () =>
      powerScale(units.toReading('power', data.lowestW), units.toReading('power', data.highestW), Math.max(160, width)),
    [data, units, width],
  );
  const used = scale ?? own;
  const height = compact ? 92 : 120;
  const reading = units.toReading('power', powerW);
  const boostPa = boostAtPower(data, powerW);
  const power = `${units.write('power', powerW)} ${units.label('power')}`;
  const boost = Number.isFinite(boostPa) ? `${units.write('pressure', boostPa)} ${units.label('pressure')}` : undefined;
  const gone = givenOut(data, powerW);
  const x = used.at(reading);
  const inReading = (valuePa: number) => units.toReading('pressure', valuePa);
  const boostAxis =
    boost === undefined
      ? null
      : {
          at: (value: number) =>
            used.at(units.toReading('power', powerAtBoost(data, units.fromReading('pressure', value)))),
          from: Math.max(0, inReading(boostAtPower(data, data.lowestW))),
          to: inReading(boostAtPower(data, data.highestW)),
          unit: units.label('pressure'),
        };
  const drawn = Math.max(width, used.end + 14);
  return (
    <div className="power-ruler" ref={box} style={{ height }}>
      {width > 0 && (
        <EdgeSlider
          label="Crank power"
          value={reading}
          lowest={used.from}
          highest={used.to}
          graduation={1}
          valueText={`${power}${boost === undefined ? '' : `, ${boost} boost`}; ${gone.length === 0 ? 'no part has given out' : `given out: ${gone.join(', ')}`}`}
          scale={used}
          move={(to) => moveTo(data, units.fromReading('power', to))}
          typedUnit={units.label('power')}
        >
          <svg width={drawn} height={height} viewBox={`0 0 ${drawn} ${height}`} aria-hidden="true">
            <Shapes
              of={[
                ...powerEdge(used, boostAxis, drawn, height, x, units.label('power')),
                path('hair', `M${px(x)} 0V32`),
                ...edgeCursor(x, 32, compact ? 58 : 72, power, boost, { from: 0, to: drawn }, 108),
              ]}
            />
          </svg>
        </EdgeSlider>
      )}
    </div>
  );
};

const Setting = ({ data, powerW }: { data: LedgerData; powerW: number }) => {
  const units = useUnits();
  const boostPa = boostAtPower(data, powerW);
  const gone = givenOut(data, powerW);
  const { p10, p90 } = data.view.powerNowW;
  const atNow = Math.abs(powerW - data.powerNowW) < 1;
  const stepTo = (by: number) => moveTo(data, powerAtBoost(data, boostPa + by));
  return (
    <div className="set">
      <p className="eyebrow">
        {gone.length === 0
          ? 'At this setting nothing has given out.'
          : `Given out by here: ${gone.slice(0, 4).join('; ')}${gone.length > 4 ? ` and ${gone.length - 4} more` : ''}.`}
      </p>
      <p>
        <span className="big">{units.write('power', powerW)}</span>
        <span className="u">{units.label('power')}</span>
        <span className="pm">
          {atNow ? `±${units.writeSpread('power', (p90 - p10) / 2)}, predicted as it stands` : 'read on straight lines'}
        </span>
      </p>
      {Number.isFinite(boostPa) && (
        <div className="step">
          <button type="button" className="btn" aria-label="Less boost" onClick={() => stepTo(-BOOST_STEP_PA)}>
            −
          </button>
          <span>
            <b>
              {units.write('pressure', boostPa)} {units.label('pressure')}
            </b>
            <br />
            <span className="note">boost asked for</span>
          </span>
          <button type="button" className="btn" aria-label="More boost" onClick={() => stepTo(BOOST_STEP_PA)}>
            +
          </button>
          <button type="button" className="btn flat" disabled={atNow} onClick={() => crankPowerStore.set(null)}>
            As it stands
          </button>
        </div>
      )}
    </div>
  );
};

export const HeadroomFoot = ({
  data,
  powerW,
  scale,
  noRuler = false,
}: {
  data: LedgerData;
  powerW: number;
  scale: Scale;
  noRuler?: boolean;
}) => (
  <div className="hfoot">
    <Setting data={data} powerW={powerW} />
    {!noRuler && <PowerRuler data={data} powerW={powerW} scale={scale} />}
    <MeasureNext data={data} caution={!noRuler} />
    {noRuler && (
      <div className="pad">
        <Caution title="a limit is never a guarantee" items={allCautions(data.view.cautions)} />
      </div>
    )}
  </div>
);
