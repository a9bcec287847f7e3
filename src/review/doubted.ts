/** Channels that a review does not believe. */
import type { ChannelName } from '../logs/index.ts';
import type { Finding, FindingId } from './types.ts';

/** Findings that prove a sensor wrong; the first channel of such a finding is the sensor. */
const PROVES_WRONG: ReadonlySet<FindingId> = new Set(['sensor-stuck', 'sensor-offset']);

/** The sensors that findings prove wrong: neither powers nor comparisons rest on them. */
export const doubtedChannels = (findings: readonly Finding[]): ReadonlySet<ChannelName> =>
  new Set(
    findings.flatMap(({ id, severity, channels }) =>
      PROVES_WRONG.has(id) && severity !== 'note' && channels[0] ? [channels[0]] : [],
    ),
  );
