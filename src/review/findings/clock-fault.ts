import type { ClockFault } from '../../logs/index.ts';
import type { ReviewContext } from '../context.ts';
import { atMoment, finding, inSeconds, type Rule } from './rule.ts';

/** A pause between two drives is the driver's, not the logger's. */
const PAUSE_S = 30;
/** A poller with so few readings a second of each channel waits for answers all the time: its pauses matter in pulls only. */
const POLLER_HZ = 3;
/** Rows out of order that lie no farther back than one reading change nothing. */
const STRAY_ROWS = 2;

const TEXT = {
  gap: (n: number, _rows: number, lostS: number) =>
    `${n} gap${n > 1 ? 's' : ''} in the clock, ${inSeconds(lostS)} missing in all`,
  duplicate: (n: number, rows: number) => `${Math.max(n, rows)} rows carry a time that was there already`,
  backward: (n: number) => `the clock ran backwards ${n === 1 ? 'once' : `${n} times`}`,
  step: (n: number) => `the clock jumped ${n === 1 ? 'once' : `${n} times`}`,
} as const;

/** True where nothing that is measured rests on the places: pauses of a poller outside its pulls, single rows out of order. */
const isHarmless = (context: ReviewContext, kind: ClockFault['kind'], faults: readonly ClockFault[]): boolean => {
  const rateHz = context.channel('engine-speed')?.rateHz ?? 0;
  const touchesPull = faults.some((fault) =>
    context.pulls.some((pull) => fault.startS < pull.endS + 1 && fault.endS > pull.startS - 1),
  );
  if (touchesPull || !(rateHz > 0)) return false;
  if (kind === 'gap') return rateHz < POLLER_HZ;
  const rows = faults.reduce((sum, fault) => sum + fault.rows, 0);
  return kind === 'backward' && rows <= STRAY_ROWS && faults.every(({ startS, endS }) => endS - startS < 1 / rateHz);
};

/** From the clock faults that reading found; one finding per kind. */
export const clockFault: Rule = {
  id: 'clock-fault',
  look(context) {
    const kinds = ['gap', 'duplicate', 'backward', 'step'] as const;
    return kinds.flatMap((kind) => {
      const all = context.log.clockFaults.filter((fault) => fault.kind === kind);
      const faults = kind === 'gap' ? all.filter((fault) => fault.endS - fault.startS < PAUSE_S) : all;
      const first = faults[0];
      const harmless = isHarmless(context, kind, faults);
      if (!first) {
        const pause = all[0];
        if (!pause) return [];
        return [
          finding('clock-fault', {
            severity: 'note',
            confidence: 0.9,
            startS: Math.min(pause.startS, pause.endS),
            endS: Math.max(pause.startS, pause.endS),
            channels: ['time'],
            numbers: { pauses: all.length, longestPauseS: Math.max(...all.map((fault) => fault.endS - fault.startS)) },
            says: `Logging paused ${all.length === 1 ? 'once' : `${all.length} times`}, first for ${inSeconds(pause.endS - pause.startS)}.`,
            couldAlsoBe: ['several drives written into one file'],
            next: 'Read each stretch for itself.',
            source: 'common practice',
          }),
        ];
      }
      const rows = faults.reduce((sum, fault) => sum + fault.rows, 0);
      const lost = faults.reduce((sum, fault) => sum + Math.abs(fault.endS - fault.startS), 0);
      return [
        finding('clock-fault', {
          severity: harmless ? 'note' : 'watch',
          confidence: 0.95,
          startS: Math.min(...faults.map((fault) => Math.min(fault.startS, fault.endS))),
          endS: Math.max(...faults.map((fault) => Math.max(fault.startS, fault.endS))),
          channels: ['time'],
          numbers: { faults: faults.length, rows, togetherS: lost },
          says: harmless
            ? `The logger waited or stumbled: ${TEXT[kind](faults.length, rows, lost)} (first at ${atMoment(first.startS)}), none of it in a pull.`
            : `The log's time is faulty: ${TEXT[kind](faults.length, rows, lost)} (first at ${atMoment(first.startS)}).`,
          couldAlsoBe: [
            'a logger that cannot keep up with so many channels',
            'two logs joined into one file',
            'a clock set during the drive',
          ],
          next: harmless
            ? 'Nothing to do: the log is read in pieces there.'
            : 'Log fewer channels or at a lower rate and record again; times, rates and power from acceleration near these places are not to be trusted.',
          source: 'common practice',
        }),
      ];
    });
  },
};
