/** Which car and which of its builds the sheets are about. */
import type { BuildSummary, CarSummary } from '../../src/app/api.ts';
import { answered } from '../answers/use-answer.ts';
import { chooseBuild } from '../state/chosen.ts';
import { useBuilds, useCars } from '../state/garage.ts';
import { addressOf } from '../state/route.ts';
import { createStore, useStore } from '../state/store.ts';
import { Panel } from './Panel.tsx';
import { dayText } from './run-day.ts';
import { RuledOff, Waiting } from './States.tsx';

/** Apart from the head it stands in: that of a sheet whose file is still to come gives way to the sheet's own, and what was opened stays open. */
const openStore = createStore(false);

const BuildRow = ({
  build,
  current,
  shown,
  choose,
}: {
  build: BuildSummary;
  current: boolean;
  shown: boolean;
  choose: () => void;
}) => (
  <li>
    <button type="button" className="pick-row" aria-pressed={shown} onClick={choose}>
      <b>{build.label}</b>
      <span className="note">
        {build.planned ? 'planned, not driven' : current ? 'the car is in this build now' : 'driven before'},{' '}
        {dayText(build.createdAt)}
      </span>
    </button>
  </li>
);

const CarRows = ({ car, shown, done }: { car: CarSummary; shown: string; done: () => void }) => {
  const builds = useBuilds(car.id);
  return (
    <section className="car-rows">
      <h3>
        {car.name} {car.demo && <span className="note">invented, comes with Boostwright</span>}
      </h3>
      {car.note !== '' && <p className="note">{car.note}</p>}
      {builds.state === 'waiting' && <Waiting what="Reading its builds" />}
      {builds.state === 'refused' && <RuledOff refused={builds.refused} again={builds.again} />}
      {builds.state === 'here' && (
        <ul>
          {builds.value.builds.map((build) => (
            <BuildRow
              key={build.id}
              build={build}
              current={build.id === car.currentBuildId}
              shown={build.id === shown}
              choose={() => {
                chooseBuild(car.id, build.id);
                done();
              }}
            />
          ))}
        </ul>
      )}
    </section>
  );
};

export const BuildChooser = ({ car, build }: { car: CarSummary; build: BuildSummary | undefined }) => {
  const open = useStore(openStore);
  const cars = answered(useCars());
  return (
    <>
      <button type="button" className="build" aria-haspopup="dialog" onClick={() => openStore.set(true)}>
        <span className="vh">Car and build: </span>
        <b>{car.name}</b>
        <span>
          {build?.label ?? 'no build'}
          {build?.planned ? ', planned' : ''}
        </span>
      </button>
      <Panel title="Car and build" open={open} close={() => openStore.set(false)}>
        {cars?.cars.map((one) => (
          <CarRows key={one.id} car={one} shown={build?.id ?? ''} done={() => openStore.set(false)} />
        ))}
        <div className="acts">
          <a className="btn" href={addressOf({ sheet: 'new-car' })} onClick={() => openStore.set(false)}>
            Add a car
          </a>
        </div>
      </Panel>
    </>
  );
};
