/** Beside the compressor map: readings at the hairline, what the map says, how well it is known, what lies over it. */
import { useMemo, useState } from 'react';
import type { BuildView, MatchView } from '../../src/app/api.ts';
import { answered } from '../answers/use-answer.ts';
import { agreementStrip } from '../charts/marks.ts';
import { Icon, Shapes, SourceMark } from '../parts/Shapes.tsx';
import { CautionButton, LaidOnSelect } from '../parts/TitleBlock.tsx';
import { useBuild } from '../state/garage.ts';
import type { LaidOnState } from '../state/laid-on.ts';
import { engineSpeedStore } from '../state/position.ts';
import { useStore } from '../state/store.ts';
import { useUnits, writeNumber } from '../state/units.ts';
import { fitSays, type LoggedPoint, mapSays, wheelFigures } from './compressor-data.ts';
import { MapFitPanel } from './MapFitPanel.tsx';
import { MapImport } from './MapImport.tsx';
import { loggedAt, pointsOf, predictedAt, type ReadingDefinition, writeReading } from './readings.ts';

const PANEL: readonly ReadingDefinition[] = [
  {
    id: 'pr',
    name: 'Pressure ratio',
    plain: { unit: '', factor: 1, decimals: 2 },
    predicted: (point) => point.compressorPressureRatio,
  },
  {
    id: 'n',
    name: 'Shaft speed',
    plain: { unit: 'krpm', factor: 1e-3, decimals: 0 },
    predicted: (point) => point.shaftSpeedRpm,
    logged: (_, read) => read('shaft-speed'),
  },
  {
    id: 'e',
    name: 'Efficiency',
    plain: { unit: '%', factor: 100, decimals: 0 },
    predicted: (point) => point.compressorEfficiency,
  },
  {
    id: 't',
    name: 'Outlet',
    kind: 'temperature',
    predicted: (point) => point.compressorOutletTemperatureK,
    logged: (_, read) => read('compressor-outlet-temperature'),
  },
];
const FLOW: ReadingDefinition = {
  id: 'f',
  name: 'Corrected flow',
  kind: 'airFlow',
  predicted: (point) => point.compressorCorrectedFlowKgPerS,
};

const Readings = ({
  match,
  state,
  logged,
}: {
  match: MatchView;
  state: LaidOnState;
  logged: readonly LoggedPoint[];
}) => {
  const units = useUnits();
  const rpm = useStore(engineSpeedStore);
  const points = useMemo(() => pointsOf(match.points), [match]);
  const near = logged.find((point) => Math.abs(point.engineSpeedRpm - rpm) <= 125);
  const own: Readonly<Record<string, number | undefined>> = { f: near?.flow, pr: near?.pressureRatio };
  return (
    <table>
      <caption className="vh">Readings at {writeNumber(rpm, 0)} rpm</caption>
      <tbody>
        {[FLOW, ...PANEL].map((definition) => {
          const band = predictedAt(points, definition.predicted, rpm);
          if (band === undefined) return null;
          const value = own[definition.id] ?? loggedAt(state.laid, definition, rpm);
          const half = (band.p90 - band.p10) / 2;
          const written = writeReading(definition, units, value ?? band.p50, half);
          return (
            <tr key={definition.id}>
              <th scope="row">{definition.name}</th>
              <td className={`v ${value === undefined ? 'p' : ''}`}>{written.value}</td>
              <td className="u2">
                {written.unit}
                {value === undefined ? ` ±${written.spread}` : ''}
                <SourceMark source={value === undefined ? 'estimate' : 'logged'} />
              </td>
              <td>
                <svg viewBox="0 0 72 14" width="72" height="14" aria-hidden="true">
                  <Shapes of={agreementStrip(band, value, 1, 7, 70)} />
                </svg>
              </td>
              <td className="pv">
                {value === undefined ? (
                  ''
                ) : (
                  <>
                    <i className="ho" />
                    {writeReading(definition, units, band.p50, half).value}
                  </>
                )}
              </td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
};

/** Which wheel and which map: sizes, reference, how well the lines run through the points, and a map from a file. */
const WheelAndMap = ({
  map,
  build,
  open,
}: {
  map: MatchView['compressorMap'];
  build: BuildView | undefined;
  open: (panel: 'fit' | 'import') => void;
}) => {
  const units = useUnits();
  return (
    <section className="laid">
      <h2>
        The map <SourceMark source={map.estimated ? 'estimate' : map.source} />
      </h2>
      <p className="note">{fitSays(map)}</p>
      <div className="acts">
        {!map.estimated && (
          <button type="button" className="btn" aria-haspopup="dialog" onClick={() => open('fit')}>
            Fit, line by line
          </button>
        )}
        <button type="button" className="btn" aria-haspopup="dialog" onClick={() => open('import')}>
          Map from a file
        </button>
      </div>
      <p className="note">
        Corrected to {units.write('temperature', map.referenceTemperatureK)} {units.label('temperature')} and{' '}
        {units.write('pressure', map.referencePressurePa, 1)} {units.label('pressure')}, total to total.
      </p>
      {build && (
        <dl className="wheel">
          {wheelFigures(build).map(({ name, value, source }) => (
            <div key={name}>
              <dt>{name}</dt>
              <dd>
                {value} <SourceMark source={source} />
              </dd>
            </div>
          ))}
        </dl>
      )}
      <p className="note">At full throttle the bypass valve is shut: it plays no part on this sheet.</p>
    </section>
  );
};

export const SideSheet = ({
  match,
  chosen,
  state,
  logged,
}: {
  match: MatchView;
  chosen: { readonly carId: string; readonly buildId: string };
  state: LaidOnState;
  logged: readonly LoggedPoint[];
}) => {
  const units = useUnits();
  const rpm = useStore(engineSpeedStore);
  const build = answered(useBuild(chosen.buildId));
  const [open, setOpen] = useState<'fit' | 'import' | null>(null);
  const close = () => setOpen(null);
  const says = useMemo(() => mapSays(match, units), [match, units]);
  return (
    <>
      <aside className="cr" aria-label="Readings and what the map says">
        <h2 className="at">At {writeNumber(rpm, 0)} rpm</h2>
        <Readings match={match} state={state} logged={logged} />
        <section className="says">
          <h2>What the map says</h2>
          <ul>
            {says.map((one) => (
              <li key={one.bold}>
                <Icon name={one.mark} />
                <p>
                  <b>{one.bold}</b> {one.rest}
                </p>
              </li>
            ))}
          </ul>
        </section>
        <WheelAndMap map={match.compressorMap} build={build} open={setOpen} />
        <section className="laid">
          <h2>Laid over it</h2>
          <LaidOnSelect state={state} />
          {state.laid !== null && logged.length === 0 && (
            <p className="note">This run has no air flow and manifold pressure to put on the map.</p>
          )}
        </section>
        <CautionButton cautions={match.cautions} label="Caution: predictions, not guarantees" />
      </aside>
      <MapFitPanel map={match.compressorMap} open={open === 'fit'} close={close} />
      {build && <MapImport build={build} open={open === 'import'} close={close} />}
    </>
  );
};
