/** The garage as screens see it: cars, the chosen car's builds, the chosen build. */
import { useEffect } from 'react';
import type { BuildsView, BuildView, CarsView, HeadroomView, MatchView, RunsView } from '../../src/app/api.ts';
import { fetchBuild, fetchBuilds, fetchCars, fetchHeadroom, fetchMatch, fetchRuns } from '../answers/client.ts';
import { type Answer, answered, useAnswer } from '../answers/use-answer.ts';
import { chosenStore } from './chosen.ts';
import { useStore } from './store.ts';
import { fuelStore } from './units.ts';

export const useCars = (): Answer<CarsView> => useAnswer('cars', fetchCars);

export const useBuilds = (carId: string | null): Answer<BuildsView> =>
  useAnswer(carId === null ? null : `builds ${carId}`, () => fetchBuilds(carId!));

export const useBuild = (buildId: string | null): Answer<BuildView> =>
  useAnswer(buildId === null ? null : `build ${buildId}`, () => fetchBuild(buildId!));

export const useMatch = (buildId: string): Answer<MatchView> =>
  useAnswer(`match ${buildId}`, () => fetchMatch(buildId));

export const useHeadroom = (buildId: string): Answer<HeadroomView> =>
  useAnswer(`headroom ${buildId}`, () => fetchHeadroom(buildId));

export const useRuns = (carId: string): Answer<RunsView> => useAnswer(`runs ${carId}`, () => fetchRuns(carId));

/**
 * Settles which build is shown: the remembered one while it is still in the garage, else the build the first car is in
 * now. Returns null while the garage is read or when it is empty.
 */
export const useChosenBuild = (): { readonly carId: string; readonly buildId: string } | null => {
  const chosen = useStore(chosenStore);
  const cars = answered(useCars());
  const car = cars?.cars.find(({ id }) => id === chosen.carId) ?? cars?.cars[0];
  const builds = answered(useBuilds(car?.id ?? null));
  const build =
    builds?.builds.find(({ id }) => id === chosen.buildId) ??
    builds?.builds.find(({ id }) => id === car?.currentBuildId) ??
    builds?.builds[0];
  const carId = car?.id;
  const buildId = build?.id;
  useEffect(() => {
    if (carId === undefined || buildId === undefined) return;
    const now = chosenStore.get();
    if (now.carId !== carId || now.buildId !== buildId) chosenStore.set({ carId, buildId });
  }, [carId, buildId]);
  return carId === undefined || buildId === undefined ? null : { carId, buildId };
};

/** A number of the build sheet by its path, SI. */
export const quantityOf = (build: BuildView, path: string): number | undefined =>
  build.quantities.find((quantity) => quantity.path === path)?.valueSi;

/** Names the shown build's fuel for readings in AFR. */
export const useFuelOf = (build: BuildView | undefined): void => {
  useEffect(() => {
    if (build === undefined) return;
    const stoichiometric = quantityOf(build, 'fuel.stoichiometricAirFuelRatio');
    const now = fuelStore.get();
    if (stoichiometric === undefined) fuelStore.set(null);
    else if (now?.stoichiometric !== stoichiometric || now.name !== build.facts.fuelKind) {
      fuelStore.set({ name: build.facts.fuelKind, stoichiometric });
    }
  }, [build]);
};
