/** Torque and power over engine speed, and below them the ruler whose hairline moves every reading. */
import { memo, useMemo } from 'react';
import { edgeCursor } from '../charts/edge.ts';
import { between, readAt } from '../charts/interpolate.ts';
import { circle, path, px, type Shape } from '../charts/shape.ts';
import {
  type CurvePlace,
  curveScales,
  rulerFigures,
  type TorquePower,
  torquePowerShapes,
} from '../charts/torque-power.ts';
import { type AirPathData, loggedCurveAt, torquePowerOf } from '../pages/air-path-data.ts';
import { predictedAt } from '../pages/readings.ts';
import { engineSpeedStore, moveToEngineSpeed } from '../state/position.ts';
import { useStore } from '../state/store.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { EdgeSlider } from './EdgeSlider.tsx';
import { Shapes, SourceMark } from './Shapes.tsx';
import { useSize } from './use-size.ts';

const Still = memo(({ data, place }: { data: TorquePower; place: CurvePlace }) => {
  const shapes = useMemo(() => torquePowerShapes(data, place), [data, place]);
  return <Shapes of={shapes} />;
});

/** The hairline's own marks: dots on the curves and the cursor. */
const hairShapes = (data: TorquePower, place: CurvePlace, rpm: number): Shape[] => {
  const scales = curveScales(data, place);
  const x = scales.speed.at(rpm);
  const at = between(data.engineSpeedRpm, rpm);
  const shapes: Shape[] = [path('hair', `M${px(x)} 0V${place.plotBottom}`)];
  for (const [curve, logged, scale] of [
    [data.torque, data.loggedTorque, scales.torque],
    [data.power, data.loggedPower, scales.power],
  ] as const) {
    if (at) shapes.push(circle('dotp', x, scale.at(readAt(curve.middle, at)), 4.5));
    const value = loggedCurveAt(logged, rpm);
    if (value !== undefined) shapes.push(circle('dotl', x, scale.at(value), 5));
  }
  return [
    ...shapes,
    ...rulerFigures(data, place, x),
    ...edgeCursor(x, place.plotBottom, place.height - place.plotBottom, writeNumber(rpm, 0), undefined, {
      from: 0,
      to: place.width,
    }),
  ];
};

export interface BigReading {
  readonly name: string;
  readonly unit: string;
  readonly value: string;
  readonly spread: string;
  readonly predicted: string | null;
  readonly logged: boolean;
}

/** Torque, power and boost at the hairline. */
export const useBigReadings = (data: AirPathData): BigReading[] => {
  const units = useUnits();
  const rpm = useStore(engineSpeedStore);
  const curves = useMemo(() => torquePowerOf(data, units), [data, units]);
  const of = (
    name: string,
    kind: 'torque' | 'power' | 'pressure',
    key: 'torqueNm' | 'powerW' | 'boostPa',
    logged: number | undefined,
  ): BigReading => {
    const band = predictedAt(data.points, (point) => point[key], rpm);
    const predicted = band ? units.write(kind, band.p50) : '–';
    const spread = band ? units.writeSpread(kind, (band.p90 - band.p10) / 2) : '–';
    const unit = units.label(kind);
    if (logged === undefined) return { name, unit, value: predicted, spread, predicted: null, logged: false };
    return {
      name,
      unit,
      value: units.write(kind, units.fromReading(kind, logged)),
      spread,
      predicted: `${predicted} ±${spread}`,
      logged: true,
    };
  };
  const manifold = data.laid?.channels.get('manifold-pressure');
  const place = data.laid ? between(data.laid.engineSpeedRpm, rpm) : null;
  const boostPa = manifold && place ? readAt(manifold, place) - data.laid!.barometricPressurePa : Number.NaN;
  return [
    of('Torque', 'torque', 'torqueNm', loggedCurveAt(curves.loggedTorque, rpm)),
    of('Power', 'power', 'powerW', loggedCurveAt(curves.loggedPower, rpm)),
    of('Boost', 'pressure', 'boostPa', Number.isFinite(boostPa) ? units.toReading('pressure', boostPa) : undefined),
  ];
};

const spoken = (rpm: number, readings: readonly BigReading[]): string =>
  `${writeNumber(rpm, 0)} rpm: ${readings
    .map(({ name, value, unit, predicted, logged }) =>
      logged
        ? `${name.toLowerCase()} ${value} ${unit} logged, ${predicted} predicted`
        : `${name.toLowerCase()} ${value} ${unit} predicted`,
    )
    .join('; ')}`;

const BigReadings = ({ readings, x, right }: { readings: readonly BigReading[]; x: number; right: number }) => {
  // Under the power curve at high revs there is always room; where the hairline stands in it, the figures step left.
  const boxWidth = readings.length * 106;
  const slot = right - boxWidth;
  const left = x < slot - 14 ? slot : Math.max(70, x - 12 - boxWidth);
  return (
    <div className="bigs" style={{ left, width: boxWidth }} aria-hidden="true">
      {readings.map((one) => (
        <div key={one.name} className={one.logged ? '' : 'pred'}>
          <span className="note">
            {one.name}, {one.unit}
          </span>
          <span className="fig">
            {one.value}
            <span className="pm">{one.logged ? <SourceMark source="logged" /> : `±${one.spread}`}</span>
          </span>
          <span className="was">
            {one.predicted === null ? (
              'predicted'
            ) : (
              <>
                <i className="ho" />
                {one.predicted}
              </>
            )}
          </span>
        </div>
      ))}
    </div>
  );
};

export const RulerFoot = ({ data, compact = false }: { data: AirPathData; compact?: boolean }) => {
  const units = useUnits();
  const rpm = useStore(engineSpeedStore);
  const [box, { width }] = useSize<HTMLDivElement>();
  const height = compact ? 146 : 250;
  const place = useMemo(
    (): CurvePlace => ({ width, height, plotBottom: compact ? 88 : 196, compact }),
    [width, height, compact],
  );
  const curves = useMemo(() => torquePowerOf(data, units), [data, units]);
  const readings = useBigReadings(data);
  const scale = curveScales(curves, place).speed;
  return (
    <div className={`rulerbox ${compact ? 'compact' : ''}`} ref={box}>
      {width > 0 && (
        <EdgeSlider
          label="Engine speed"
          value={rpm}
          lowest={data.lowestRpm}
          highest={data.highestRpm}
          graduation={100}
          valueText={spoken(rpm, readings)}
          scale={scale}
          move={(to) => moveToEngineSpeed(to, data.lowestRpm, data.highestRpm)}
          typedUnit="rpm"
        >
          <svg width={width} height={height} viewBox={`0 0 ${width} ${height}`} aria-hidden="true">
            <Still data={curves} place={place} />
            <Shapes of={hairShapes(curves, place, rpm)} />
          </svg>
        </EdgeSlider>
      )}
      {width > 0 && !compact && (
        <BigReadings
          readings={readings}
          x={scale.at(rpm)}
          right={Math.min(width - 70, scale.at(data.revLimitRpm)) - 14}
        />
      )}
    </div>
  );
};
