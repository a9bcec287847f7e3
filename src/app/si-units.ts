/** The SI unit in which each channel's values are kept. */
import { CHANNEL_NAMES, type ChannelName } from '../logs/index.ts';

const UNIT_BY_ENDING: readonly (readonly [RegExp, string])[] = [
  [/^(engine|shaft)-speed$/, 'rpm'],
  [/speed|^wheel-/, 'm/s'],
  [/pressure/, 'Pa'],
  [/temperature$/, 'K'],
  [/^air-flow-frequency$/, 'Hz'],
  [/^injection-flow$/, 'm3/s'],
  [/flow$/, 'kg/s'],
  [/^(spark-advance|knock-retard)$/, 'deg'],
  [/^(battery-voltage|knock-level)$/, 'V'],
  [/^(time|injector-pulse)$/, 's'],
  [/^acceleration$/, 'm/s2'],
  [/^altitude$/, 'm'],
];

/** Unit of a channel's values as {@link Channel} keeps them; "1" for shares, counts, gears and switches. */
export const siUnitOf = (channel: ChannelName): string =>
  UNIT_BY_ENDING.find(([ending]) => ending.test(channel))?.[1] ?? '1';

export const isChannelName = (name: string): name is ChannelName => (CHANNEL_NAMES as readonly string[]).includes(name);
