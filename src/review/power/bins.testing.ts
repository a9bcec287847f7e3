/** Eight bins of a pull in third gear, for tests of what is made of estimates in bins. */
import type { Bin } from './pull-estimates.ts';

export const BINS: readonly Bin[] = Array.from({ length: 8 }, (_, i) => ({
  part: 0,
  gear: 3,
  engineSpeedRpm: 3000 + 250 * i,
  meanSpeedRpm: 3000 + 250 * i,
  timeS: i / 2,
}));
