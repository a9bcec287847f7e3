/** Crank power of pulls, three ways. */
export { CELL_SD, combine, leastVarianceWeights, NORMAL_90, SHAPE_SD } from './combine.ts';
export { conditionsOf, dayOf } from './day.ts';
export { type Predicts, predictedPower } from './predicted.ts';
export { BIN_RPM, pullEstimates } from './pull-estimates.ts';
export { type PullPower, type PullWork, pullPowers, pullWork, speedsOf, toldPowers } from './pull-powers.ts';
export { type RoadLoadAnswer, type RoadLoadUsed, roadLoadSeen, withRoadLoad } from './road-load.ts';
export { type Method, type Unknown, unknownsOf } from './unknowns.ts';
