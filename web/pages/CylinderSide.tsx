/** The cylinder's figures, and its three small drawings of timing. */
import { useMemo } from 'react';
import type { CylinderView } from '../../src/app/cylinder-api.ts';
import type { Shape } from '../charts/shape.ts';
import { limitOverShapes, timingTorqueShapes } from '../charts/timing-plots.ts';
import { Shapes, SourceMark } from '../parts/Shapes.tsx';
import { useSize } from '../parts/use-size.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { bandIn, cylinderPressure, degrees } from './cylinder-data.ts';

export const CylinderFacts = ({ view, loggedDeg }: { view: CylinderView; loggedDeg: number | undefined }) => {
  const units = useUnits();
  const { timing, withoutInjection } = view;
  const half = (view.peakPressurePa.p90 - view.peakPressurePa.p10) / 2;
  const rows: [string, string][] = [
    [`Timing, ${timing.from}`, degrees(timing.sparkAdvanceDeg)],
    ...(loggedDeg === undefined ? [] : [['Timing, logged', `${writeNumber(loggedDeg, 1)}°`] as [string, string]]),
    ['Best torque at', degrees(timing.bestTorqueAdvanceDeg)],
    ['Knock limit, relative', degrees(timing.knockLimitAdvanceDeg)],
    ['Left before it', degrees(timing.knockMarginDeg)],
    ['Boost this timing bears', view.boostAtKnockPa ? bandIn(view.boostAtKnockPa, 'pressure', units) : 'out of reach'],
    [
      'Peak pressure',
      `${cylinderPressure(view.peakPressurePa.p50, units).replace(' ', ` ±${writeNumber(units.toReading('pressure', half), 0)} `)}`,
    ],
    ['Torque', bandIn(view.torqueNm, 'torque', units)],
    ['Exhaust before the turbine', bandIn(view.exhaustTemperatureK, 'temperature', units)],
    ['Charge', bandIn(view.chargeTemperatureK, 'temperature', units)],
    ['Half burned', `${writeNumber(view.halfBurnedDeg, 0)}° after top dead centre`],
  ];
  return (
    <div className="cyl-facts">
      <dl className="facts">
        {rows.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>
              {value} <SourceMark source={name === 'Timing, logged' ? 'logged' : 'estimate'} />
            </dd>
          </div>
        ))}
      </dl>
      {withoutInjection && (
        <p className="watch">
          Water-methanol is worth{' '}
          {writeNumber(timing.knockLimitAdvanceDeg.p50 - withoutInjection.knockLimitAdvanceDeg, 1)}° here: without it
          the charge would be at {units.write('temperature', withoutInjection.chargeTemperatureK)}{' '}
          {units.label('temperature')} and the limit at {writeNumber(withoutInjection.knockLimitAdvanceDeg, 1)}°.
        </p>
      )}
    </div>
  );
};

const Small = ({
  title,
  says,
  draw,
}: {
  title: string;
  says: string;
  draw: (place: { width: number; height: number }) => Shape[];
}) => {
  const [box, { width }] = useSize<HTMLDivElement>();
  const height = 220;
  const shapes = useMemo(() => (width > 0 ? draw({ width, height }) : []), [draw, width]);
  return (
    <figure className="cyl-small">
      <figcaption>
        <b>{title}</b>
        <span className="note">{says}</span>
      </figcaption>
      <div ref={box}>
        <svg width={width} height={height} viewBox={`0 0 ${Math.max(1, width)} ${height}`} aria-hidden="true">
          <Shapes of={shapes} />
        </svg>
      </div>
    </figure>
  );
};

export const CylinderSweeps = ({ view, loggedDeg }: { view: CylinderView; loggedDeg: number | undefined }) => {
  const units = useUnits();
  const { timing } = view;
  const drawings = useMemo(() => {
    const reading = (kind: 'pressure' | 'temperature', band: { p10: number; p50: number; p90: number }) => ({
      p10: units.toReading(kind, band.p10),
      p50: units.toReading(kind, band.p50),
      p90: units.toReading(kind, band.p90),
    });
    return {
      torque: (place: { width: number; height: number }) =>
        timingTorqueShapes(
          {
            sparkAdvanceDeg: view.bySpark.sparkAdvanceDeg,
            torque: view.bySpark.torqueNm.map((value) => units.toReading('torque', value)),
            torqueUnit: units.label('torque'),
            runAdvanceDeg: timing.sparkAdvanceDeg.p50,
            bestTorqueAdvanceDeg: timing.bestTorqueAdvanceDeg.p50,
            knockLimitAdvanceDeg: timing.knockLimitAdvanceDeg,
            loggedAdvanceDeg: loggedDeg,
          },
          place,
        ),
      boost: (place: { width: number; height: number }) =>
        limitOverShapes(
          {
            at: view.byBoost.boostPa.map((value) => units.toReading('pressure', value)),
            knockLimitAdvanceDeg: view.byBoost.knockLimitAdvanceDeg,
            bestTorqueAdvanceDeg: view.byBoost.bestTorqueAdvanceDeg,
            xName: `boost, ${units.label('pressure')}`,
            stands: { at: reading('pressure', view.boostPa), advanceDeg: timing.sparkAdvanceDeg.p50 },
            loggedAdvanceDeg: loggedDeg,
            borne: view.boostAtKnockPa && reading('pressure', view.boostAtKnockPa),
          },
          place,
        ),
      charge: (place: { width: number; height: number }) =>
        limitOverShapes(
          {
            at: view.byChargeTemperature.chargeTemperatureK.map((value) => units.toReading('temperature', value)),
            knockLimitAdvanceDeg: view.byChargeTemperature.knockLimitAdvanceDeg,
            xName: `charge temperature, ${units.label('temperature')}`,
            stands: { at: reading('temperature', view.chargeTemperatureK), advanceDeg: timing.sparkAdvanceDeg.p50 },
            loggedAdvanceDeg: loggedDeg,
            dry: view.withoutInjection && {
              at: units.toReading('temperature', view.withoutInjection.chargeTemperatureK),
              knockLimitAdvanceDeg: view.withoutInjection.knockLimitAdvanceDeg,
            },
          },
          place,
        ),
    };
  }, [view, units, timing, loggedDeg]);
  const bears = view.boostAtKnockPa
    ? `This timing bears ${bandIn(view.boostAtKnockPa, 'pressure', units)}; thin line: best torque.`
    : 'This timing meets the limit at no boost within reach; thin line: best torque.';
  return (
    <div className="cyl-sweeps">
      <Small title="Torque over timing" says="Ring: the timing it runs; wall: knock limit." draw={drawings.torque} />
      <Small title="Knock limit over boost" says={bears} draw={drawings.boost} />
      <Small
        title="Knock limit over charge temperature"
        says="Ring: where the car stands, at this boost."
        draw={drawings.charge}
      />
    </div>
  );
};
