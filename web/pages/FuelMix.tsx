/** The injected mix: its ratio said three ways, what to pour, when it freezes, and how long the tank lasts. */
import type { FuelView } from '../../src/app/fuel-api.ts';
import type { MixSheet } from '../../src/match/index.ts';
import { SourceMark } from '../parts/Shapes.tsx';
import { useUnits, writeNumber } from '../state/units.ts';
import { writeBand } from './fuel-data.ts';

const percent = (share: number): string => `${writeNumber(100 * share, 1)} %`;

export const FuelMix = ({ mix, view, tried }: { mix: MixSheet; view: FuelView; tried: boolean }) => {
  const units = useUnits();
  const litres = 1000 * (view.injection?.tankVolumeM3 ?? 5e-3);
  const temperature = (kelvin: number) => `${units.write('temperature', kelvin)} ${units.label('temperature')}`;
  const rows: (readonly [string, string])[] = [
    ['Methanol by mass', percent(mix.methanolMassFraction.p50)],
    ['by volume, poured together', percent(mix.methanolVolumeBeforeMixing)],
    ['by volume of the finished mix', percent(mix.methanolVolumeInFinishedMix)],
    [
      `For ${writeNumber(litres, 1)} L of mix`,
      `${writeNumber(litres * mix.recipe.methanolM3, 2)} L methanol, ${writeNumber(litres * mix.recipe.waterM3, 2)} L water`,
    ],
    [
      'Freezes',
      mix.freezingPointK === null ? `below ${temperature(mix.freezesBelowK)}` : `at ${temperature(mix.freezingPointK)}`,
    ],
    ['Boils from', temperature(mix.boilingPointK)],
    ['Density', `${writeNumber(mix.densityKgPerM3, 0)} kg/m³`],
    ['Latent heat', `${writeNumber(mix.latentHeatJPerKg / 1e3, 0)} kJ/kg`],
    ['Air per mix at lambda 1', `${writeNumber(mix.stoichiometricAirFuelRatio, 2)} kg/kg`],
  ];
  return (
    <section className="mix" aria-label="Injected mix">
      <h2>
        Injected mix <SourceMark source={tried ? 'estimate' : mix.source} />
      </h2>
      {!view.mix.fitted && <p className="note">None is fitted; this is what it would be.</p>}
      <dl className="facts">
        {rows.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
      <p className="note">Mass and volume differ, and the mix takes less room than its parts: say which is meant.</p>
      {view.endurance && view.injection && (
        <>
          <h2>
            Tank of {writeNumber(1000 * view.injection.tankVolumeM3, 1)} L <SourceMark source="estimate" />
          </h2>
          <dl className="facts">
            <div>
              <dt>Pulls</dt>
              <dd>{writeBand(view.endurance.pulls, 1)}</dd>
            </div>
            <div>
              <dt>Minutes at the most flow</dt>
              <dd>{writeBand(view.endurance.fullBoostS, 1 / 60, 1)}</dd>
            </div>
            <div>
              <dt>One pull takes</dt>
              <dd>{writeBand(view.endurance.pullVolumeM3, 1e6)} cm³</dd>
            </div>
          </dl>
          <p className="note">
            A pull is the rev range in a middle gear, with the nozzle and mix of the sheet. Fill up before the tank is a
            quarter full.
          </p>
        </>
      )}
    </section>
  );
};
