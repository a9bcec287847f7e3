/** Crank power of pulls, three ways. */
export { conditionsOf, type Day, dayOf } from './day.ts';
export { type PullPower, pullPowers } from './pull-powers.ts';
