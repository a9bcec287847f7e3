/** Pieces of test drives: changes to the healthy drive, shared by the cases that must be found and those that must not. */
import type { FindingId } from '../types.ts';
import { type Drive, demoBuild, engineSpeed, manifold, rpmPerMPerS } from './base-drive.ts';
import { ripple, through } from './synthetic-log.ts';

export const build = demoBuild();
export const road = (timeS: number) => engineSpeed(timeS) / rpmPerMPerS(build);
export const between = (from: number, to: number) => (timeS: number) => timeS >= from && timeS < to;
export const lambdaWith = (extra: (timeS: number) => number) => (timeS: number) =>
  through([0, 1], [5.1, 1], [5.7, 0.83], [11, 0.83], [11.3, 1])(timeS) + extra(timeS) + ripple(0.003)(timeS);
export const boostWith = (extra: (timeS: number) => number) => (timeS: number) =>
  manifold(timeS) + extra(timeS) + ripple(300)(timeS);
/** One lone reading at each time. */
export const lone =
  (at: (timeS: number) => number, jump: number, ...times: number[]) =>
  (timeS: number) =>
    at(timeS) + (times.some((one) => Math.abs(timeS - one) < 0.02) ? jump : 0);
/** Engine runs up with the wheels until it breaks loose between 7 s and 9 s. */
export const runaway = (share: number) => through([0, 1], [6.8, 1], [7.3, 1 + share], [8.5, 1 + share], [9.2, 1]);

/** One drive and the finding that it must or must not bring. */
export interface Case {
  readonly id: FindingId;
  readonly what: string;
  readonly drive: Drive;
}
