/** Engine speed without what no engine does: for finding pulls and gears only, the channel itself keeps every reading. */
import type { Channel } from './types.ts';

/** A fall to under this share of the last reading, and back within {@link LONGEST_DROP_S}, is a sensor's. */
const DROP_SHARE = 0.5;
const LONGEST_DROP_S = 1.2;
/** One reading over both its neighbours by this factor is a spike: an engine gains at most some hundred rpm from reading to reading under load. */
const SPIKE_FACTOR = 1.3;

/** The readings of an engine speed that can be true: drop-outs and single spikes left out. Returns the channel itself when all are. */
export const soundEngineSpeed = (channel: Channel): Channel => {
  const { timesS, values } = channel;
  const keep = new Uint8Array(values.length).fill(1);
  let dropped = 0;
  for (let i = 1; i < values.length; i++) {
    const last = values[i - 1]!;
    const now = values[i]!;
    const next = values[i + 1] ?? now;
    if (now > 500 && now > SPIKE_FACTOR * last && now > SPIKE_FACTOR * next && timesS[i]! - timesS[i - 1]! < 0.5) {
      keep[i] = 0;
      dropped++;
      continue;
    }
    if (!(last > 700 && now < DROP_SHARE * last && keep[i - 1])) continue;
    let back = i;
    while (back < values.length && values[back]! < 0.75 * last && timesS[back]! - timesS[i - 1]! <= LONGEST_DROP_S)
      back++;
    const returns = back < values.length && values[back]! >= 0.75 * last && values[back]! > 1.6 * values[back - 1]!;
    if (!returns) continue;
    for (let k = i; k < back; k++) {
      keep[k] = 0;
      dropped++;
    }
    i = back - 1;
  }
  if (dropped === 0) return channel;
  return { ...channel, timesS: timesS.filter((_, i) => keep[i] === 1), values: values.filter((_, i) => keep[i] === 1) };
};
