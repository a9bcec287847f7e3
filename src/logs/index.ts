/** The logs room's public face: bytes to table to channels to segments to pulls. */

export { type MomentWriter, momentWriter } from './clock-words.ts';
export type { MapNote } from './compressor-map/map-notes.ts';
export {
  type MapQuestion,
  type MapRead,
  type ReadMapOptions,
  readCompressorMap,
  usualReferences,
} from './compressor-map/read-map.ts';
export { readLog } from './read-log.ts';
export {
  type ChannelSlice,
  channelNamed,
  firstIndexAtOrAfter,
  medianOf,
  quantileOf,
  resample,
  sliceOf,
} from './sampling.ts';
export { startedAtOf } from './started-at.ts';
export { readTable } from './table.ts';
export { FINEST_LEVEL, type Tile, tileOf } from './tiles.ts';
export {
  CHANNEL_NAMES,
  type Channel,
  type ChannelChoice,
  type ChannelName,
  type ClockFault,
  type Column,
  type Dialect,
  type Log,
  type LogQuestion,
  type Pull,
  type PullPart,
  type RefusedColumn,
  type RefusedRow,
  type Scaling,
  type Segment,
} from './types.ts';
export type { ReadWatch } from './watch.ts';
