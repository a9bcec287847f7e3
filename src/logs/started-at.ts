/** When a log began by its own clock, for logs whose clock carries a date. */
import { dateText } from './clock-text.ts';
import { FIRST_DATE_S } from './clock-words.ts';
import type { LogTable } from './types.ts';

/** Seconds from 1970-01-01 of 2100-01-01: from {@link FIRST_DATE_S} to there a clock is a date, before it counts from its own start or was never set. */
const LAST_S = 4_102_444_800;

/**
 * The logger's own date and time of the first row, ISO 8601 to the second and without a zone ("2031-05-17T20:05:00"),
 * since loggers do not say theirs. Null where the clock carries no date between 2000 and 2100.
 */
export const startedAtOf = ({ startedAtS, timeS }: Pick<LogTable, 'startedAtS' | 'timeS'>): string | null => {
  const first = startedAtS ?? timeS[0] ?? Number.NaN;
  return first >= FIRST_DATE_S && first < LAST_S ? dateText(first) : null;
};
