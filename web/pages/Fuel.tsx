/** Fuel: what is in the tank and what is injected, what else could be, and which nozzle for which share. */
import { useDeferredValue, useEffect, useId, useMemo, useState } from 'react';
import type { BuildView } from '../../src/app/api.ts';
import type { FuelView } from '../../src/app/fuel-api.ts';
import type { Build } from '../../src/car/index.ts';
import type { NozzleRow } from '../../src/match/index.ts';
import { fetchFuel } from '../answers/fuel-client.ts';
import { answered, useAnswer } from '../answers/use-answer.ts';
import { Caution } from '../parts/Caution.tsx';
import { Sheet, tableStore } from '../parts/Sheet.tsx';
import { Await } from '../parts/States.tsx';
import { useBuild, useFuelOf } from '../state/garage.ts';
import { useStore } from '../state/store.ts';
import { useUnits } from '../state/units.ts';
import { FuelMix } from './FuelMix.tsx';
import { FuelNozzles } from './FuelNozzles.tsx';
import { FuelProperties } from './FuelProperties.tsx';
import { FuelTry } from './FuelTry.tsx';
import {
  asTyped,
  fuelSentence,
  nozzleRows,
  nozzlesOf,
  rulerOf,
  sheetsOf,
  type Tried,
  triedBuild,
} from './fuel-data.ts';

interface Chosen {
  readonly carId: string;
  readonly buildId: string;
}

/** Nozzles compared where nobody types others, cm3/min. */
const USUAL_NOZZLES = [150, 250, 350, 500];
/** How long the sliders rest before the engine is matched again: properties follow at once, the match when they stand still. */
const REST_MS = 180;

/** The build once the sliders rest. */
const useRested = (build: Build): Build => {
  const [rested, setRested] = useState(build);
  useEffect(() => {
    const timer = setTimeout(() => setRested(build), REST_MS);
    return () => clearTimeout(timer);
  }, [build]);
  return rested;
};

const usualText = (view: FuelView, write: (si: number) => string): string => {
  const flows = USUAL_NOZZLES.map((flow) => (flow * 1e-6) / 60);
  const fitted = view.injection?.nozzleFlowM3PerS;
  const all = fitted === undefined ? flows : [...flows, fitted];
  return [...new Set(all.map(write))].sort((a, b) => Number(a) - Number(b)).join(', ');
};

const Shown = ({ view, build, table }: { view: FuelView; build: BuildView; table: boolean }) => {
  const units = useUnits();
  const nozzleId = useId();
  const sheet = build.sheet;
  const typed = useMemo(() => asTyped(sheet), [sheet]);
  const [tried, setTried] = useState<Tried>(typed);
  // The slider moves at once; what follows from it comes as soon as the page has time.
  const settled = useDeferredValue(tried);
  const result = useMemo(() => triedBuild(sheet, typed, settled), [sheet, typed, settled]);
  const [last, setLast] = useState<Build>(sheet);
  const now = result.ok ? result.build : last;
  useEffect(() => {
    if (result.ok) setLast(result.build);
  }, [result]);
  const changed = now !== sheet;
  const sheets = useMemo(() => (changed ? sheetsOf(now) : { fuel: view.fuel, mix: view.mix }), [changed, now, view]);
  const write = (si: number) => String(Number(units.toReading('volumeFlow', si).toPrecision(4)));
  const [text, setText] = useState<string | null>(null);
  const shown = text ?? usualText(view, write);
  const nozzles = nozzlesOf(shown, units);
  const nozzleKey = nozzles?.join(' ') ?? '';
  const rested = useRested(now);
  const ruler = useMemo(() => rulerOf(sheet), [sheet]);
  const turbocharged = build.facts.aspiration === 'turbocharged';
  const cautions = useMemo(() => {
    const parts = (['ethanol', 'methanol', 'toluene'] as const).filter((part) => settled[part] > 0);
    const tried = parts.flatMap((part) => view.cautionsWhenTried[part]);
    const injected = turbocharged ? view.cautionsWhenTried.injection : [];
    return [...new Set([...view.cautions, ...tried, ...injected])];
  }, [settled, view, turbocharged]);
  const rows = useMemo<readonly NozzleRow[]>(
    () =>
      turbocharged && nozzleKey !== '' ? nozzleRows(rested, view.conditions, nozzleKey.split(' ').map(Number)) : [],
    [rested, view, nozzleKey, turbocharged],
  );
  return (
    <div className="fuel">
      <p className="lead">{fuelSentence(sheets.fuel, { ...sheets.mix, fitted: view.mix.fitted }, units)}</p>
      <div className="fuel-cols">
        <FuelTry tried={tried} typed={typed} set={setTried} mix={sheets.mix} says={result.ok ? null : result.says} />
        <section className="fuel-is" aria-label="Properties of the fuel">
          <FuelProperties fuel={sheets.fuel} sheet={changed ? view.fuel : null} />
        </section>
        <FuelMix mix={sheets.mix} view={view} tried={changed} />
      </div>
      {turbocharged && (
        <section className="nozzles" aria-label="Nozzles">
          <h2>Nozzle for a share of the fuel</h2>
          <div className="nozzle-ask">
            <label htmlFor={nozzleId}>
              Nozzles to compare, {units.label('volumeFlow')}, rated at the pump pressure
            </label>
            <input
              id={nozzleId}
              value={shown}
              inputMode="text"
              aria-invalid={nozzles === null}
              aria-describedby={nozzles === null ? `${nozzleId}-odd` : undefined}
              onChange={(event) => setText(event.target.value)}
            />
            {nozzles === null && (
              <p className="odd" id={`${nozzleId}-odd`} role="alert">
                Give one to six flows, apart by commas, none above {units.write('volumeFlow', 4e-3 / 60)}{' '}
                {units.label('volumeFlow')}.
              </p>
            )}
          </div>
          {rows.length > 0 && <FuelNozzles rows={rows} view={view} tried={changed} table={table} {...ruler} />}
          <p className="note">
            Best estimate of this build in standard air
            {view.injection && !changed ? '; the band is that of the fitted nozzle' : ''}. Knock: degrees won at the
            knock limit, or gained by estimated timing where the sheet types none. Time limits the drying where droplets
            are under way too briefly, full air where no more vapour goes in. Above some 40 % of the fuel by mass
            engines tend to misfire (common practice, no source); the match does not know of that.
          </p>
        </section>
      )}
      {view.problems.map((says) => (
        <p key={says} className="note">
          {says}
        </p>
      ))}
      <Caution title="fuel, methanol, frost" items={cautions} />
    </div>
  );
};

export const Fuel = ({ chosen }: { chosen: Chosen }) => {
  const build = useBuild(chosen.buildId);
  const table = useStore(tableStore);
  const fuel = useAnswer(`fuel ${chosen.buildId}`, () => fetchFuel(chosen.buildId));
  useFuelOf(answered(build));
  return (
    <Sheet title="Fuel" chosen={chosen} hasTable>
      <Await answer={build} what="Reading the build sheet">
        {(sheet) => (
          <Await answer={fuel} what="Working out fuel and mix">
            {(view) => <Shown view={view} build={sheet} table={table} />}
          </Await>
        )}
      </Await>
    </Sheet>
  );
};
