/** For scripts/bench.mjs: a garage of many invented pulls, looked through as the server does it. */
import { openGarage } from '../garage/index.ts';
import { addManyPulls } from '../garage/many-pulls.testing.ts';
import { readBuild } from './builds.ts';
import { CompareDesk } from './compare-desk.ts';
import { computeHere } from './compute.ts';
import { JOBS } from './jobs.ts';

/** Few long runs: filling the garage is not what is timed. */
const PULLS_PER_RUN = 100;

export const manyPulls = (folder: string, sheet: string, count: number) => {
  const garage = openGarage(folder);
  const { car } = addManyPulls(garage, readBuild(sheet, 'the sheet').build, count, 'Heron', PULLS_PER_RUN);
  const desk = new CompareDesk(garage, computeHere(JOBS));
  return {
    /** Three conditions, sorted by a channel, a page of 100 rows, as text: what one call of the page costs. */
    look: () =>
      JSON.stringify(
        desk.pulls(car.id, {
          where: ['boost max > 300 Pa', 'lambda min < 900', 'charge-temperature mean > 100 K'],
          sort: 'torque max',
          rising: false,
          channels: [],
          offset: 0,
          limit: 100,
        }),
      ),
    close: () => garage.close(),
  };
};
