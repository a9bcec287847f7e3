/** The logs room's public face: bytes to table to channels to segments to pulls. */

export { type MomentWriter, momentWriter } from './clock-words.ts';
export type { MapNote } from './compressor-map/map-notes.ts';
export {
  type MapQuestion,
  type MapRead,
  type MapReadResult,
  type MapRefusalCode,
  type ReadMapOptions,
  readCompressorMap,
  usualReferences,
} from './compressor-map/read-map.ts';
export { driverDemand, type FullStretch } from './demand.ts';
export { type GearModel, gearModelOf, gearOfSpan, spanRatio } from './gears.ts';
export { type FoundPulls, findPulls } from './pulls.ts';
export { type ReadLogOptions, readLog } from './read-log.ts';
export { type Recognised, type RecogniseOptions, recogniseChannels } from './recognise.ts';
export {
  type ChannelSlice,
  channelNamed,
  channelsNamed,
  firstIndexAtOrAfter,
  medianOf,
  quantileOf,
  resample,
  sliceOf,
  valueAt,
} from './sampling.ts';
export { findSegments } from './segments.ts';
export { soundEngineSpeed } from './sound.ts';
export { startedAtOf } from './started-at.ts';
export { readTable, type TableOptions, type TableResult } from './table.ts';
export { FINEST_LEVEL, levelFor, type Tile, type TiledTime, tileOf, tileSpanS, tilesOver } from './tiles.ts';
export {
  CHANNEL_NAMES,
  type Channel,
  type ChannelChoice,
  type ChannelName,
  type ClockFault,
  type ClockFaultKind,
  type ClockPiece,
  type Column,
  type Dialect,
  type GearCluster,
  type KnownGearing,
  type Log,
  type LogProblem,
  type LogQuestion,
  type LogResult,
  type LogTable,
  type PressureReference,
  type Pull,
  type PullPart,
  type RefusedColumn,
  type RefusedRow,
  type Scaling,
  type Segment,
  type SegmentKind,
} from './types.ts';
export type { ReadWatch } from './watch.ts';
