/** When a run was driven, by the best of what is known at its import. */
import type { DrivenDate } from '../garage/index.ts';

/** What an import may know of the day. */
interface DateKnown {
  readonly drivenAt?: string;
  readonly fileDate?: string;
}

/** A logger's clock runs at most this far ahead, by its zone and its setting [ms]. */
const MOST_AHEAD_MS = 26 * 3600 * 1000;
/** A file of before then was written by a clock that nobody had set. */
const FIRST_BELIEVED_MS = Date.UTC(2000, 0, 3);

const isBelieved = (at: string, nowMs: number): boolean => {
  const ms = Date.parse(`${at}Z`);
  return ms >= FIRST_BELIEVED_MS && ms <= nowMs + MOST_AHEAD_MS;
};

/**
 * What a person says stands; then the date in the log's own clock, then the date of its file, where they are neither
 * in the future nor from a clock that was never set. Null where nothing tells.
 */
export const drivenDateOf = (
  { drivenAt, fileDate }: DateKnown,
  startedAt: string | undefined,
  nowMs: number,
): DrivenDate | null => {
  if (drivenAt !== undefined) return { at: drivenAt, by: 'typed' };
  if (startedAt !== undefined && isBelieved(startedAt, nowMs)) return { at: startedAt, by: 'log' };
  return fileDate !== undefined && isBelieved(fileDate, nowMs) ? { at: fileDate, by: 'file' } : null;
};
