/** Moments of a log as people read them: seconds from its start, or the time of day where its clock told that. */

/** From 2000-01-01 on, in seconds since 1970, a clock is a date. */
export const FIRST_DATE_S = 946_684_800;
const HOUR_S = 3600;
const DAY_S = 86_400;

/** What of a log says how its clock counts. */
export interface Clocked {
  readonly startS: number;
  readonly endS: number;
  readonly dialect: { readonly timeFormat: string };
}

/** True where moments are times of the day: a clock with a date, or one written as hh:mm:ss that has passed its first hour. */
const isTimeOfDay = ({ startS, endS, dialect }: Clocked): boolean =>
  startS >= FIRST_DATE_S || (dialect.timeFormat === 'clock' && endS >= HOUR_S);

const two = (value: number): string => String(value).padStart(2, '0');

/** "23:59:53.6" of any seconds. */
export const timeOfDay = (timeS: number, digits: number): string => {
  const ticks = 10 ** digits;
  // Rounded once and as a whole, so that 59.96 s becomes the next minute.
  const rounded = Math.round((((timeS % DAY_S) + DAY_S) % DAY_S) * ticks) % (DAY_S * ticks);
  const seconds = Math.floor(rounded / ticks);
  const fraction = digits > 0 ? `.${String(rounded % ticks).padStart(digits, '0')}` : '';
  return `${two(Math.floor(seconds / HOUR_S))}:${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}${fraction}`;
};

export interface MomentWriter {
  readonly isTimeOfDay: boolean;
  /** Without a unit: "23:59:53.6" or "3.6". */
  readonly figure: (timeS: number, digits?: number) => string;
  /** "23:59:53.6" or "3.6 s". */
  readonly moment: (timeS: number, digits?: number) => string;
  /** "23:59:53.6 to 00:00:03.7" or "3.6 to 13.7 s". */
  readonly span: (startS: number, endS: number) => string;
}

/** How the moments of a log are written. */
export const momentWriter = (log: Clocked): MomentWriter => {
  const ofDay = isTimeOfDay(log);
  const figure = (timeS: number, digits = 1): string => {
    if (ofDay) return timeOfDay(timeS, digits);
    const [whole, fraction] = timeS.toFixed(digits).split('.');
    // Groups of three as everywhere else: 51,324.9.
    return `${whole!.replace(/\B(?=(\d{3})+$)/g, ',')}${fraction === undefined ? '' : `.${fraction}`}`;
  };
  const unit = ofDay ? '' : ' s';
  return {
    isTimeOfDay: ofDay,
    figure,
    moment: (timeS, digits) => figure(timeS, digits) + unit,
    span: (startS, endS) => `${figure(startS)} to ${figure(endS)}${unit}`,
  };
};
