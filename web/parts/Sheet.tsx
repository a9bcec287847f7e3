/** The frame that every sheet is drawn on: head with build, context and numbered sheets; dock of the sheets on a phone. */
import { type ReactNode, useEffect } from 'react';
import { answered } from '../answers/use-answer.ts';
import type { IconName } from '../charts/icons.ts';
import { useBuilds, useCars } from '../state/garage.ts';
import { useKeys } from '../state/keys.ts';
import { addressOf, go, type Route, routeStore } from '../state/route.ts';
import { createStore, useStore } from '../state/store.ts';
import { BuildChooser } from './BuildChooser.tsx';
import { SettingsPanel } from './SettingsPanel.tsx';
import { Icon } from './Shapes.tsx';

interface SheetEntry {
  readonly name: string;
  readonly icon: IconName;
  readonly route: Route;
  readonly covers: readonly Route['sheet'][];
}

const SHEETS: readonly SheetEntry[] = [
  { name: 'Air path', icon: 'compressor', route: { sheet: 'air-path' }, covers: ['air-path'] },
  { name: 'Headroom', icon: 'headroom', route: { sheet: 'headroom' }, covers: ['headroom'] },
  { name: 'Lift', icon: 'lift', route: { sheet: 'lift' }, covers: ['lift'] },
  { name: 'What if', icon: 'gauge', route: { sheet: 'what-if' }, covers: ['what-if'] },
  { name: 'Runs', icon: 'runs', route: { sheet: 'runs' }, covers: ['runs', 'run', 'compare', 'pulls', 'loose-log'] },
  { name: 'Compressor', icon: 'map', route: { sheet: 'compressor' }, covers: ['compressor'] },
  { name: 'Cylinder', icon: 'piston', route: { sheet: 'cylinder' }, covers: ['cylinder'] },
  { name: 'Spool', icon: 'turbine', route: { sheet: 'spool' }, covers: ['spool'] },
  { name: 'Fuel', icon: 'nozzle', route: { sheet: 'fuel' }, covers: ['fuel'] },
  { name: 'Build sheet', icon: 'sheet', route: { sheet: 'build' }, covers: ['build', 'new-car'] },
];

/** Drawing or table, for all sheets alike. */
export const tableStore = createStore(false);
/** Whether the settings are open: they stay so when a sheet takes the place of the one that waited for it. */
const settingsStore = createStore(false);

const useSheetKeys = (openSettings: () => void) =>
  useKeys((event) => {
    if (event.altKey && /^[1-9]$/.test(event.key) && SHEETS[Number(event.key) - 1]) {
      go(SHEETS[Number(event.key) - 1]!.route);
      return true;
    }
    if (event.altKey) return false;
    if (event.key === 'v' || event.key === 'V') {
      tableStore.set(!tableStore.get());
      return true;
    }
    if (event.key === 'u' || event.key === 'U' || event.key === '?') {
      openSettings();
      return true;
    }
    return false;
  });

interface SheetProps {
  readonly title: string;
  readonly chosen: { readonly carId: string; readonly buildId: string } | null;
  readonly context?: ReactNode;
  /** Fits one screen on a laptop instead of growing. */
  readonly fit?: boolean;
  readonly hasTable?: boolean;
  readonly dock?: ReactNode;
  readonly children: ReactNode;
}

export const Sheet = ({ title, chosen, context, fit, hasTable, dock, children }: SheetProps) => {
  const route = useStore(routeStore);
  const table = useStore(tableStore);
  const settings = useStore(settingsStore);
  const cars = answered(useCars());
  const builds = answered(useBuilds(chosen?.carId ?? null));
  const car = cars?.cars.find(({ id }) => id === chosen?.carId);
  const build = builds?.builds.find(({ id }) => id === chosen?.buildId);
  useSheetKeys(() => settingsStore.set(true));
  useEffect(() => {
    document.title = `${title} – ${car ? `${car.name} – ` : ''}Boostwright`;
  }, [title, car]);
  return (
    <div className={`sheet ${fit ? 'fit' : ''} ${dock ? 'has-dock' : ''}`}>
      <button type="button" className="skip" onClick={() => document.getElementById('main')?.focus()}>
        Skip to the sheet
      </button>
      <header className="head">
        <a className="brand" href={addressOf({ sheet: 'air-path' })} aria-label="Boostwright">
          <Icon name="mark" />
          <span>Boostwright</span>
        </a>
        {car && <BuildChooser car={car} build={build} />}
        {context && <div className="ctx">{context}</div>}
        <nav className="sheets" aria-label="Sheets">
          {SHEETS.map((sheet) => (
            <a
              key={sheet.name}
              href={addressOf(sheet.route)}
              aria-current={sheet.covers.includes(route.sheet) ? 'page' : undefined}
            >
              <Icon name={sheet.icon} />
              {sheet.name}
            </a>
          ))}
        </nav>
        <div className="head-tools">
          {hasTable && (
            <button type="button" className="tool" aria-pressed={table} onClick={() => tableStore.set(!table)}>
              {table ? 'Drawing' : 'Table'}
            </button>
          )}
          <button
            type="button"
            className="tool"
            aria-haspopup="dialog"
            aria-label="Units, light and keys"
            onClick={() => settingsStore.set(true)}
          >
            <Icon name="light" />
          </button>
        </div>
      </header>
      <main id="main" tabIndex={-1}>
        <h1 className="vh">
          {title}
          {car ? `, ${car.name}, ${build?.label ?? ''}` : ''}
        </h1>
        {children}
        {dock && <div className="dock-edge">{dock}</div>}
      </main>
      <SettingsPanel open={settings} close={() => settingsStore.set(false)} />
    </div>
  );
};
