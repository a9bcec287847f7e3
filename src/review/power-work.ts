/** The part of a review that rests on pulls and build but on no finding: most of its work, which threads may share. */
import type { ResolvedBuild } from '../car/index.ts';
import type { ChannelName, Log } from '../logs/index.ts';
import { knockEvidence } from './knock-evidence.ts';
import type { KnockEvidence } from './knock-shown.ts';
import { dayOf, type PullWork, pullWork, type RoadLoadUsed, roadLoadSeen, withRoadLoad } from './power/index.ts';
import type { RoadLoadSeen } from './types.ts';

/** Plain data, as all here: it goes from thread to thread. */
export interface PowerWork {
  /** By pull, in the log's order. */
  readonly pulls: readonly PullWork[];
  readonly knock: KnockEvidence | null;
  readonly roadLoad: RoadLoadSeen | null;
}

/** Work on some pulls of a log, by their number. */
export type PullWorks = readonly (readonly [index: number, work: PullWork])[];

/** The channels of a log and what cuts it up, without the cells of its file: all that the work here looks at. */
export const withoutCells = (log: Log): Log => ({ ...log, table: { ...log.table, columns: [] }, unrecognised: [] });

/**
 * The work of pulls, one after another, as `next` gives their numbers, until it gives one that the log has not. `used`: the
 * road load of {@link roadLoadSeen}. `doubted`: channels that the findings do not believe.
 */
export const pullWorks = (
  log: Log,
  resolved: ResolvedBuild,
  used: RoadLoadUsed | null,
  doubted: ReadonlySet<ChannelName>,
  next: () => number,
): PullWorks => {
  const onRoad = withRoadLoad(resolved, used);
  const day = dayOf(log);
  const works: [number, PullWork][] = [];
  for (let index = next(); index < log.pulls.length; index = next()) {
    works.push([index, pullWork(log, log.pulls[index]!, onRoad, day, doubted)]);
  }
  return works;
};

/** The works of one or several threads put together. */
export const powerWorkFrom = (
  works: PullWorks,
  { knock, roadLoad }: Pick<PowerWork, 'knock' | 'roadLoad'>,
): PowerWork => ({ pulls: [...works].sort(([a], [b]) => a - b).map(([, work]) => work), knock, roadLoad });

/** Road load, powers and knock of a log, all in this thread. */
export const powerWork = (log: Log, resolved: ResolvedBuild, doubted: ReadonlySet<ChannelName>): PowerWork => {
  const { seen, used } = roadLoadSeen(log, resolved, doubted);
  let next = 0;
  const works = pullWorks(log, resolved, used, doubted, () => next++);
  return powerWorkFrom(works, { knock: knockEvidence(log, resolved, doubted), roadLoad: seen });
};
