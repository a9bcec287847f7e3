/** The part of a review that rests on pulls and build but on no finding: most of its work, which another thread may do. */
import type { ResolvedBuild } from '../car/index.ts';
import type { ChannelName, Log } from '../logs/index.ts';
import { knockEvidence } from './knock-evidence.ts';
import type { KnockEvidence } from './knock-shown.ts';
import { dayOf, type PullWork, pullWork, roadLoadSeen } from './power/index.ts';
import type { RoadLoadSeen } from './types.ts';

/** Plain data: it goes from thread to thread. */
export interface PowerWork {
  readonly pulls: readonly PullWork[];
  readonly knock: KnockEvidence | null;
  readonly roadLoad: RoadLoadSeen | null;
}

/** The channels of a log and what cuts it up, without the cells of its file: all that {@link powerWork} looks at. */
export const withoutCells = (log: Log): Log => ({ ...log, table: { ...log.table, columns: [] }, unrecognised: [] });

/** Road load, powers and knock of a log. `doubted`: channels that its findings do not believe. */
export const powerWork = (log: Log, resolved: ResolvedBuild, doubted: ReadonlySet<ChannelName>): PowerWork => {
  const road = roadLoadSeen(log, resolved, doubted);
  const day = dayOf(log);
  return {
    pulls: log.pulls.map((pull) => pullWork(log, pull, road.resolved, day, doubted)),
    knock: knockEvidence(log, resolved, doubted),
    roadLoad: road.seen,
  };
};
