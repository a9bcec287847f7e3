/** Every sheet is a file of its own: the one asked for comes first, the others while nothing else is to be done. */
import { type ComponentType, type LazyExoticComponent, lazy } from 'react';

/** A sheet whose file did not come. */
export class SheetAbsent extends Error {}

const files: (() => Promise<unknown>)[] = [];

const sheetOf = <P>(load: () => Promise<ComponentType<P>>): LazyExoticComponent<ComponentType<P>> => {
  files.push(load);
  return lazy(async () => {
    try {
      return { default: await load() };
    } catch (cause) {
      throw new SheetAbsent('the file of a sheet did not come', { cause });
    }
  });
};

export const AirPath = sheetOf(() => import('./pages/AirPath.tsx').then((page) => page.AirPath));
export const BuildSheet = sheetOf(() => import('./pages/BuildSheet.tsx').then((page) => page.BuildSheet));
export const Compare = sheetOf(() => import('./pages/Compare.tsx').then((page) => page.Compare));
export const Compressor = sheetOf(() => import('./pages/Compressor.tsx').then((page) => page.Compressor));
export const Cylinder = sheetOf(() => import('./pages/Cylinder.tsx').then((page) => page.Cylinder));
export const EmptyGarage = sheetOf(() => import('./pages/EmptyGarage.tsx').then((page) => page.EmptyGarage));
export const Fuel = sheetOf(() => import('./pages/Fuel.tsx').then((page) => page.Fuel));
export const Headroom = sheetOf(() => import('./pages/Headroom.tsx').then((page) => page.Headroom));
export const Lift = sheetOf(() => import('./pages/Lift.tsx').then((page) => page.Lift));
export const LooseLog = sheetOf(() => import('./pages/LooseLog.tsx').then((page) => page.LooseLog));
export const NewCar = sheetOf(() => import('./pages/NewCar.tsx').then((page) => page.NewCar));
export const Pulls = sheetOf(() => import('./pages/Pulls.tsx').then((page) => page.Pulls));
export const Run = sheetOf(() => import('./pages/Run.tsx').then((page) => page.Run));
export const Runs = sheetOf(() => import('./pages/Runs.tsx').then((page) => page.Runs));
export const Spool = sheetOf(() => import('./pages/Spool.tsx').then((page) => page.Spool));
export const WhatIf = sheetOf(() => import('./pages/WhatIf.tsx').then((page) => page.WhatIf));

/** After the first sheet has had its turn [ms]. */
const REST_AFTER_MS = 1500;

/** Fetches the files of all sheets one after another, so that going to another one waits for nothing. */
export const fetchTheRest = (): void => {
  const next = (at: number): void => {
    // One that fails is asked for again when its sheet is, and said then.
    files[at]?.().then(
      () => next(at + 1),
      () => {},
    );
  };
  setTimeout(() => next(0), REST_AFTER_MS);
};
