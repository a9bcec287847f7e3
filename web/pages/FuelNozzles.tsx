/** Which nozzle for which share of the fuel: drawn over engine speed, with what each does at the hairline. */
import { useMemo } from 'react';
import type { FuelView } from '../../src/app/fuel-api.ts';
import type { NozzleEffect, NozzleRow } from '../../src/match/index.ts';
import {
  type NozzleCurve,
  type NozzleDrawing,
  nozzleHair,
  nozzleScales,
  nozzleShapes,
} from '../charts/fuel-nozzles.ts';
import { EdgeSlider } from '../parts/EdgeSlider.tsx';
import { Shapes } from '../parts/Shapes.tsx';
import { usePhone } from '../parts/use-media.ts';
import { useSize } from '../parts/use-size.ts';
import { engineSpeedStore, moveToEngineSpeed } from '../state/position.ts';
import { useStore } from '../state/store.ts';
import { type Units, useUnits, writeNumber } from '../state/units.ts';

const EDGE = 62;

const nameOf = (row: NozzleRow, units: Units): string =>
  `${units.write('volumeFlow', row.nozzleFlowM3PerS)} ${units.label('volumeFlow')}`;

/** The effect nearest an engine speed; null where nothing is injected near it. */
const effectAt = (row: NozzleRow, rpm: number): NozzleEffect | null => {
  let best: NozzleEffect | null = null;
  for (const effect of row.effects) {
    if (Math.abs(effect.state.engineSpeedRpm - rpm) > 300) continue;
    if (!best || Math.abs(effect.state.engineSpeedRpm - rpm) < Math.abs(best.state.engineSpeedRpm - rpm)) best = effect;
  }
  return best;
};

const LIMITS = { time: 'time', saturation: 'full air', nothing: 'all dry' } as const;

const cells = (effect: NozzleEffect | null, units: Units): string[] => {
  if (!effect) return ['–', '–', '–', '–', '–', '–', '–'];
  const { state, chargeTemperatureChangeK, knockGainDeg, powerChangeW } = effect;
  const signed = (value: string) => (value.startsWith('−') || Number(value) === 0 ? value : `+${value}`);
  const cooler = units.writeSpread('temperature', chargeTemperatureChangeK);
  return [
    writeNumber(100 * state.shareOfFuelByMass, 0),
    writeNumber(100 * state.shareOfFuelByVolume, 0),
    units.write('mixture', state.lambdaUncorrected),
    chargeTemperatureChangeK < 0 ? `−${cooler}` : cooler,
    signed(writeNumber(knockGainDeg, 1)),
    signed(units.write('power', powerChangeW)),
    `${writeNumber(100 * state.coolingShare, 0)} %, ${LIMITS[state.limit]}`,
  ];
};

const heads = (units: Units): string[] => [
  'of fuel, mass %',
  'volume %',
  `${units.label('mixture')} if not corrected`,
  `charge, ${units.label('temperature')}`,
  'knock limit, °',
  `power, ${units.label('power')}`,
  'dries, limited by',
];

interface Props {
  readonly rows: readonly NozzleRow[];
  readonly view: FuelView;
  readonly tried: boolean;
  readonly lowestRpm: number;
  readonly highestRpm: number;
  readonly table: boolean;
}

/** Every nozzle at every engine speed. */
const AllRows = ({ rows }: { rows: readonly NozzleRow[] }) => {
  const units = useUnits();
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1)
    <section className="nozzle-scroll" tabIndex={0} aria-label="Nozzles over engine speed">
      <table className="twin nozzle-table">
        <caption>Nozzles over engine speed, beside the same car without injection</caption>
        <thead>
          <tr>
            <th scope="col">Nozzle</th>
            <th scope="col" className="num">
              rpm
            </th>
            {heads(units).map((head) => (
              <th key={head} scope="col" className="num">
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.flatMap((row) =>
            row.effects.map((effect) => (
              <tr key={`${row.nozzleFlowM3PerS} ${effect.state.engineSpeedRpm}`}>
                <th scope="row">{nameOf(row, units)}</th>
                <td className="num">{writeNumber(effect.state.engineSpeedRpm, 0)}</td>
                {cells(effect, units).map((cell, i) => (
                  <td key={heads(units)[i]} className="num">
                    {cell}
                  </td>
                ))}
              </tr>
            )),
          )}
        </tbody>
      </table>
    </section>
  );
};

const Drawn = ({ rows, view, tried, lowestRpm, highestRpm }: Props) => {
  const units = useUnits();
  const [box, { width }] = useSize<HTMLDivElement>();
  const height = usePhone() ? 330 : 400;
  const asked = useStore(engineSpeedStore);
  const rpm = Math.min(highestRpm, Math.max(lowestRpm, asked));
  const fittedFlow = view.injection?.nozzleFlowM3PerS;
  const data = useMemo<NozzleDrawing>(
    () => ({
      curves: rows.map(
        (row): NozzleCurve => ({
          name: nameOf(row, units),
          engineSpeedRpm: row.effects.map(({ state }) => state.engineSpeedRpm),
          share: row.effects.map(({ state }) => 100 * state.shareOfFuelByMass),
          fitted: fittedFlow !== undefined && Math.abs(row.nozzleFlowM3PerS / fittedFlow - 1) < 0.01,
        }),
      ),
      band:
        view.injection && !tried
          ? {
              engineSpeedRpm: view.injection.bands.points.map((point) => point.engineSpeedRpm),
              share: view.injection.bands.points.map(({ shareOfFuelByMass: band }) => ({
                p10: 100 * band.p10,
                p50: 100 * band.p50,
                p90: 100 * band.p90,
              })),
            }
          : null,
      wanted: null,
      lowestRpm,
      highestRpm,
    }),
    [rows, view, tried, units, fittedFlow, lowestRpm, highestRpm],
  );
  const place = { width: Math.max(320, width), height, bottom: height - EDGE };
  const { speed } = nozzleScales(data, place);
  const spoken = rows
    .map((row) => {
      const effect = effectAt(row, rpm);
      return `${nameOf(row, units)} ${effect ? `${writeNumber(100 * effect.state.shareOfFuelByMass, 0)} % of the fuel by mass` : 'nothing'}`;
    })
    .join('; ');
  return (
    <div className="nozzles-plot" ref={box}>
      {width > 0 && (
        <EdgeSlider
          label="Engine speed"
          value={rpm}
          lowest={lowestRpm}
          highest={highestRpm}
          graduation={100}
          valueText={`${writeNumber(rpm, 0)} rpm: ${spoken}`}
          scale={speed}
          move={(to) => moveToEngineSpeed(to, lowestRpm, highestRpm)}
          typedUnit="rpm"
        >
          <svg width={place.width} height={height} viewBox={`0 0 ${place.width} ${height}`} aria-hidden="true">
            <Shapes of={nozzleShapes(data, place)} />
            <Shapes of={nozzleHair(data, place, rpm, `${writeNumber(rpm, 0)}`)} />
          </svg>
        </EdgeSlider>
      )}
    </div>
  );
};

/** What each nozzle does where the hairline stands. */
const AtHairline = ({ rows, lowestRpm, highestRpm }: Props) => {
  const units = useUnits();
  const rpm = Math.min(highestRpm, Math.max(lowestRpm, useStore(engineSpeedStore)));
  return (
    // biome-ignore lint/a11y/noNoninteractiveTabindex: a scrolling region must be reachable by keyboard (WCAG 2.1.1)
    <section className="nozzle-scroll" tabIndex={0} aria-label="Nozzles at the hairline">
      <table className="twin nozzle-table">
        <caption>At {writeNumber(rpm, 0)} rpm, beside the same car without injection</caption>
        <thead>
          <tr>
            <th scope="col">Nozzle</th>
            {heads(units).map((head) => (
              <th key={head} scope="col" className="num">
                {head}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {rows.map((row) => (
            <tr key={row.nozzleFlowM3PerS}>
              <th scope="row">{nameOf(row, units)}</th>
              {cells(effectAt(row, rpm), units).map((cell, i) => (
                <td key={heads(units)[i]} className="num">
                  {cell}
                </td>
              ))}
            </tr>
          ))}
        </tbody>
      </table>
    </section>
  );
};

export const FuelNozzles = (props: Props) =>
  props.table ? (
    <AllRows rows={props.rows} />
  ) : (
    <>
      <Drawn {...props} />
      <AtHairline {...props} />
    </>
  );
