/** Days in words, and that of a run: when it was driven and what says so, or when it was brought in where nothing does. */
import type { RunSummary } from '../../src/app/api.ts';

type Dated = Pick<RunSummary, 'importedAt' | 'driven'>;

/** "17 May 2031". */
export const dayText = (iso: string, month: 'long' | 'short' = 'long'): string =>
  new Date(iso).toLocaleDateString('en-GB', { day: 'numeric', month, year: 'numeric' });

/** "17 May 2031", or "brought in 25 November 2031". */
export const runDay = ({ importedAt, driven }: Dated, month: 'long' | 'short' = 'long'): string =>
  driven ? dayText(driven.at, month) : `brought in ${dayText(importedAt, month)}`;

const SAYS = { log: 'by its clock', file: 'by its file', typed: 'as told' } as const;

/** "Driven 17 May 2031, by its clock": the log's own, or the date of its file. */
export const runDayAndSource = (run: Dated): string =>
  run.driven ? `Driven ${runDay(run, 'short')}, ${SAYS[run.driven.by]}` : `B${runDay(run).slice(1)}`;
