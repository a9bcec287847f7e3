/** Which sheet is on the board. */
import { Suspense, useDeferredValue, useEffect } from 'react';
import { hatchPatterns } from './charts/marks.ts';
import { Shapes } from './parts/Shapes.tsx';
import { Sheet } from './parts/Sheet.tsx';
import { SheetGuard } from './parts/SheetGuard.tsx';
import { Await, Waiting } from './parts/States.tsx';
import {
  AirPath,
  BuildSheet,
  Compare,
  Compressor,
  Cylinder,
  EmptyGarage,
  Fuel,
  fetchTheRest,
  Headroom,
  Lift,
  LooseLog,
  NewCar,
  Pulls,
  Run,
  Runs,
  Spool,
  WhatIf,
} from './sheets.ts';
import { useBuilds, useCars, useChosenBuild } from './state/garage.ts';
import { addressOf, type Route, routeStore } from './state/route.ts';
import { useStore } from './state/store.ts';

const HATCHES = hatchPatterns();

const Hatches = () => (
  <svg width="0" height="0" className="defs" aria-hidden="true">
    <defs>
      <Shapes of={HATCHES} />
    </defs>
  </svg>
);

const NoSuchSheet = ({ asked }: { asked: string }) => (
  <Sheet title="No such sheet" chosen={null}>
    <section className="ruled">
      <h2>There is no sheet called “{asked}”.</h2>
      <p>
        <a href={addressOf({ sheet: 'air-path' })}>Go to the air path</a>
      </p>
    </section>
  </Sheet>
);

const OnTheBoard = ({ route, chosen }: { route: Route; chosen: { carId: string; buildId: string } }) => {
  switch (route.sheet) {
    case 'unknown':
      return <NoSuchSheet asked={route.asked} />;
    case 'headroom':
      return <Headroom key={chosen.buildId} chosen={chosen} part={route.part} />;
    case 'lift':
      return <Lift key={chosen.buildId} chosen={chosen} view={route.view ?? 'builds'} />;
    case 'compressor':
      return <Compressor key={chosen.buildId} chosen={chosen} />;
    case 'runs':
      return <Runs chosen={chosen} />;
    case 'run':
      return (
        <Run
          key={`${route.runId} ${route.pull ?? ''}`}
          runId={route.runId}
          pull={(route.pull ?? 0) - 1}
          chosen={chosen}
        />
      );
    case 'compare':
      return <Compare first={route.first} second={route.second} chosen={chosen} />;
    case 'pulls':
      return <Pulls key={chosen.carId} ask={route.ask ?? ''} chosen={chosen} />;
    case 'cylinder':
      return <Cylinder key={chosen.buildId} chosen={chosen} />;
    case 'what-if':
      return <WhatIf key={chosen.buildId} chosen={chosen} />;
    case 'spool':
      return <Spool key={chosen.buildId} chosen={chosen} />;
    case 'fuel':
      return <Fuel key={chosen.buildId} chosen={chosen} />;
    case 'build':
      return <BuildSheet key={chosen.buildId} chosen={chosen} />;
    default:
      return <AirPath key={chosen.buildId} chosen={chosen} />;
  }
};

export const App = () => {
  // The sheet before stays on the board until the next one's file has come.
  const route = useDeferredValue(useStore(routeStore));
  const cars = useCars();
  const chosen = useChosenBuild();
  const builds = useBuilds(cars.state === 'here' ? (cars.value.cars[0]?.id ?? null) : null);
  const empty = cars.state === 'here' && cars.value.cars.length === 0;
  useEffect(fetchTheRest, []);
  return (
    <>
      <Hatches />
      <SheetGuard sheet={route.sheet} chosen={chosen}>
        {empty || chosen ? (
          <Suspense
            fallback={
              <Sheet title="Boostwright" chosen={chosen}>
                <Waiting what="Opening the sheet" />
              </Sheet>
            }
          >
            {route.sheet === 'new-car' ? (
              <NewCar />
            ) : route.sheet === 'loose-log' || (route.sheet === 'runs' && empty) ? (
              <LooseLog />
            ) : empty || !chosen ? (
              <EmptyGarage />
            ) : (
              <OnTheBoard route={route} chosen={chosen} />
            )}
          </Suspense>
        ) : (
          <Sheet title="Boostwright" chosen={null}>
            <Await answer={cars} what="Opening the garage">
              {() => (
                <Await answer={builds} what="Reading the car’s builds">
                  {() => (
                    <section className="ruled">
                      <h2>This car has no build yet.</h2>
                      <p>Save a build sheet for it first.</p>
                    </section>
                  )}
                </Await>
              )}
            </Await>
          </Sheet>
        )}
      </SheetGuard>
    </>
  );
};
